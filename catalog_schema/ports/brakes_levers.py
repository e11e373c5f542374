"""Ports of what works a brake: levers, the brake's own end, cable or hose, fluid."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class LeverOutput(Port):
    """What a lever gives: a class of cable pull, or a fluid.

    ``pull_mm`` is the cable pull if its maker prints one; ``generation`` tells the two cable pulls of road levers
    apart; ``system`` is the maker's word for levers and calipers that belong together; ``head`` the cable head that it
    holds; ``hose_mm`` the hose that its fitting takes.
    """

    drive: Word = None
    pull_mm: Figure = None
    generation: Word = None
    system: Word = None
    head: Word = None
    hose_mm: FigureOrChoice = None


class LeverClamp(Port):
    """The band of a brake lever; ``dia_mm`` is the bar that it is made for.

    ``form`` is band, or bar-end for a lever that a plug holds in the end of the bar; ``plug_mm`` are the bores that it
    holds in.
    """

    form: Word = None
    plug_mm: Span = None
    dia_mm: FigureOrChoice = None
    torque_nm: Bound = None


class BrakeInput(Port):
    """What a brake asks for: a class of cable pull, or a fluid. The figures are those of the lever."""

    drive: Word = None
    pull_mm: Figure = None
    generation: Word = None
    system: Word = None
    hose_mm: FigureOrChoice = None


class BrakeLine(Port):
    """What runs from lever to brake: housing with its inner cable, or a hose.

    ``bore_mm`` is the inside of a hose, ``insert_mm`` the bore that the insert (the barb) in its end is made for.
    ``run_mm`` is its way along the bicycle, from the lever to the brake, with the bar turned as far as it goes.
    """

    housing: Word = None
    head: Word = None
    hose_mm: Figure = None
    bore_mm: Figure = None
    insert_mm: Figure = None
    run_mm: Figure = None


class BrakeLiquid(Port):
    """What is filled in."""

    grade: Word = None
