"""Ports of tyre, rim, tube and valve, and the room that frame and fork leave for a tyre."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class RimBead(Port):
    """The seat of a tyre on a rim. ``inner_width_mm`` is between the hooks or walls.

    ``tyre_min_mm`` and ``tyre_max_mm`` are the tyre widths that the rim's maker prints; ``table`` names a table that
    alone is to count, where the rim's papers go by one.
    """

    bsd_mm: Figure = None
    inner_width_mm: Figure = None
    profile: Word = None
    tubeless: Word = None
    tyre_min_mm: Bound = None
    tyre_max_mm: Bound = None
    table: Word = None
    pressure_max_bar: Bound = None


class TyreBead(Port):
    """A tyre. ``width_mm`` is the nominal section; ``design_rim_mm`` the inner width it is true on.

    ``width_in`` is the width of its name in inches, where nobody stated the millimetres of its mark.

    ``rim_min_mm`` and ``rim_max_mm`` are the inner rim widths that the tyre's maker prints; ``hookless`` is whether he
    allows rims without hooks; ``bead`` whether it can be folded; the measured figures are of the tyre as mounted.
    """

    bsd_mm: Figure = None
    width_mm: Figure = None
    width_in: Figure = None
    type: Word = None
    bead: Word = None
    hookless: Word = None
    rim_min_mm: Bound = None
    rim_max_mm: Bound = None
    design_rim_mm: Figure = None
    measured_width_mm: Figure = None
    measured_radius_mm: Figure = None
    pressure_max_bar: Bound = None


class TyreRoom(Port):
    """The room of a frame or fork for a tyre.

    ``tyre_max_mm`` is what its maker prints, ``tyre_max_in`` where he prints it in inches; ``gap_mm`` is between the
    blades or stays where the tyre is widest; ``room_mm`` is the room beside this tyre, felt with it mounted;
    ``height_mm`` goes from the axle to the nearest thing above the tyre; ``bsd_mm`` are the wheel sizes that it is made
    for, ``outside_dia_mm`` how large over the tyre the wheel is that it was built with. ``guarded_max_mm`` (or
    ``guarded_max_in``) is the largest tyre that he prints for a bicycle with mudguards.
    """

    tyre_max_mm: Bound = None
    tyre_max_in: Bound = None
    guarded_max_mm: Bound = None
    guarded_max_in: Bound = None
    gap_mm: Figure = None
    room_mm: Figure = None
    height_mm: Figure = None
    bsd_mm: FigureOrChoice = None
    outside_dia_mm: Figure = None


class ValveHole(Port):
    """The valve hole of a rim. ``rim_depth_mm`` is how deep the rim is there, ``rim_width`` whether it is wide."""

    dia_mm: Figure = None
    rim_depth_mm: Figure = None
    rim_width: Word = None


class ValveStem(Port):
    """The valve of a tube, or a tubeless valve."""

    form: Word = None
    dia_mm: Figure = None
    length_mm: Figure = None


class TubeBody(Port):
    """An inner tube. ``tyre_width_mm`` is the range of tyre widths on its box, ``tyre_width_in`` if it is in inches."""

    bsd_mm: FigureOrChoice = None
    tyre_width_mm: Span = None
    tyre_width_in: Span = None
