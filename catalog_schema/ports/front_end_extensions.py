"""Ports of what is clamped on a handlebar beside levers and grips: aero extensions, bar ends."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class BarTops(Port):
    """The straight part of a handlebar on each side of the stem.

    ``straight_mm`` is how much of it there is on one side, beside the clamp of the stem; ``section`` is round or
    flattened; ``extensions`` the word of the bar's maker on clip-on bars.
    """

    dia_mm: Figure = None
    section: Word = None
    straight_mm: Figure = None
    material: Word = None
    extensions: Word = None


class ExtensionClamp(Port):
    """The clamps of aero extensions: the bars that they are made for, and the straight bar that one of them takes."""

    dia_mm: FigureOrChoice = None
    width_mm: Figure = None
    torque_nm: Bound = None


class BarEndFoot(Port):
    """How a bar end is held: ``form`` is outside for a clamp, inside for a wedge in the tube.

    ``dia_mm`` is the bar that a clamp is made for, ``bore_mm`` the bores that a wedge holds in.
    """

    form: Word = None
    dia_mm: Figure = None
    bore_mm: Span = None
    torque_nm: Bound = None
