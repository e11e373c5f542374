"""Ports of what lies in or over a tyre: rim tape, the air in it, mudguards, and how wide the cranks leave the chain."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Word


class TapeStrip(Port):
    """Rim tape: ``use`` tells a strip that keeps the tube off the holes from tape that holds the air."""

    width_mm: Figure = None
    bsd_mm: FigureOrChoice = None
    use: Word = None


class TyreAir(Port):
    """The pressure that is wanted in a tyre, in one unit or the other."""

    pressure_bar: Figure = None
    pressure_psi: Figure = None


class Guard(Port):
    """A mudguard. ``room_mm`` is what is left between it and the tyre where it is nearest, as fitted.

    ``tyre_max_mm`` is the widest tyre that its maker sells it for.
    """

    width_mm: Figure = None
    room_mm: Figure = None
    bsd_mm: FigureOrChoice = None
    tyre_max_mm: Bound = None


class ChainRoom(Port):
    """Where the cranks carry the chain: ``line`` is the kind of chainline that they are made for."""

    line: Word = None


class Underside(Port):
    """The underside of a rim brake as fitted. ``height_mm`` is from the axle to the lowest part over the tyre."""

    height_mm: Figure = None
