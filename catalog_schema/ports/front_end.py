"""Ports of the front end: head tube, headset, fork, stem, handlebar."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class HeadTubeEnd(Port):
    """One end of the head tube. ``fit`` says whether a cup is pressed in or a bare bearing sits in a seat of the frame.

    ``bore_mm`` is the bore that a cup is pressed into. Of an end with a seat, ``bearing_od_mm`` and ``bearing_bore_mm``
    are the bearing that it is made for, and ``seat_angle_deg`` is the slope that the bearing rests on.
    """

    fit: Word = None
    bore_mm: Figure = None
    bore_depth_mm: Figure = None
    seat_angle_deg: Figure = None
    bearing_od_mm: Figure = None
    bearing_bore_mm: Figure = None


class HeadTube(Port):
    """The head tube as a whole."""

    length_mm: Figure = None


class HeadsetCup(Port):
    """The side of a headset half that sits in the head tube: a cup, or the bare bearing of an integrated set.

    ``size_mm`` is the bore that a cup is made for (33.95 where the scheme says 34), ``cup_od_mm`` its measured skirt.
    ``press_max_mm`` is the most by which its maker lets the skirt be larger than the bore.
    ``frame_angle_deg`` and ``ring_angle_deg`` are the outer and the inner chamfer of the bearing.
    """

    fit: Word = None
    size_mm: Figure = None
    cup_od_mm: Figure = None
    press_max_mm: Bound = None
    insertion_mm: Figure = None
    bearing_od_mm: Figure = None
    frame_angle_deg: Figure = None
    ring_angle_deg: Figure = None


class UpperBore(Port):
    """The side of the upper headset half that holds the steerer."""

    dia_mm: FigureOrChoice = None
    form: Word = None
    thread: Word = None


class CrownRace(Port):
    """The ring of the lower headset half that sits on the fork.

    ``seat_mm`` is the nominal seat that it is made for, ``bore_mm`` its hole as measured, ``angle_deg`` its slope.
    """

    seat_mm: Figure = None
    bore_mm: Figure = None
    form: Word = None
    angle_deg: Figure = None


class Stack(Port):
    """The height that a headset half adds above or below the head tube."""

    height_mm: Figure = None


class Steerer(Port):
    """The fork's steerer. ``form`` is threadless or threaded.

    ``bottom_dia_mm`` is the tube just above the crown seat, ``taper_end_mm`` the height over the crown seat at which it
    has become the top size (0: it is straight). ``below_stem_top_mm`` is measured on the bicycle: from the top of the
    stem (or of the spacer on it) down to the end of the steerer. ``shim`` is the word of the fork's maker on a shim
    under the stem. ``between_clamps_mm`` is the room between the crowns of a fork that brings its own upper clamp.
    """

    form: Word = None
    top_dia_mm: Figure = None
    bottom_dia_mm: Figure = None
    bore_mm: Figure = None
    thread: Word = None
    length_mm: Figure = None
    taper_end_mm: Figure = None
    below_stem_top_mm: Figure = None
    between_clamps_mm: Figure = None
    material: Word = None
    section: Word = None
    shim: Word = None
    spacers_below_min_mm: Bound = None
    spacers_below_max_mm: Bound = None
    spacers_above_min_mm: Bound = None
    spacers_above_max_mm: Bound = None
    torque_nm: Bound = None


class CrownSeat(Port):
    """The shoulder of the fork on which the crown race sits."""

    dia_mm: Figure = None
    material: Word = None


class StemClamp(Port):
    """The side of a stem that holds the steerer: a clamp around it, or a quill inside it.

    ``inserted_mm`` is how deep a quill sits, measured on the bicycle; ``mark_mm`` the least depth by its mark.
    """

    form: Word = None
    bore_mm: Figure = None
    height_mm: Figure = None
    section: Word = None
    quill_dia_mm: Figure = None
    inserted_mm: Figure = None
    mark_mm: Bound = None
    torque_nm: Bound = None


class BarClamp(Port):
    """The side of a stem that holds the bar. ``reach_mm`` and ``angle_deg`` (without sign) say where it holds it."""

    dia_mm: Figure = None
    width_mm: Figure = None
    opening: Word = None
    reach_mm: Figure = None
    angle_deg: Figure = None
    torque_nm: Bound = None


class BarCentre(Port):
    """The middle of a handlebar, where the stem clamps it. ``shim`` is the maker's word on a shim there."""

    dia_mm: Figure = None
    material: Word = None
    straight_width_mm: Figure = None
    shim: Word = None
    torque_nm: Bound = None


class BarSpan(Port):
    """How wide a handlebar is. ``width_mm`` is from end to end as sold, ``least_mm`` what its maker lets be left.

    ``wanted_mm`` is the width that the rider wants: his choice, so what is asked of it is asked only once it is stated.
    """

    width_mm: Figure = None
    least_mm: Bound = None
    wanted_mm: Figure = None


class SpacerStack(Port):
    """The loose rings under and over the stem."""

    below_mm: Figure = None
    above_mm: Figure = None
    bore_mm: Figure = None


class Anchor(Port):
    """What the top cap's bolt pulls on: a star nut or an expander.

    ``for_steerer_mm`` is the steerer that a star nut is sold for, ``steerer_bore_mm`` the bores that an expander grips.
    """

    form: Word = None
    for_steerer_mm: Figure = None
    steerer_bore_mm: Span = None
    length_mm: Figure = None
