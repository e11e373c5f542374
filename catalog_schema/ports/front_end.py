"""Ports of the front end: head tube, headset, fork, stem, handlebar."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class HeadTubeEnd(Port):
    """One end of the head tube. ``fit`` is how the headset sits in it (see the ``head_tube_end.fit`` words)."""

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

    ``size_mm`` is the bore group that the set is made for, as in the identification scheme (34, 44, 56).
    """

    fit: Word = None
    size_mm: Figure = None
    cup_od_mm: Figure = None
    insertion_mm: Figure = None
    bearing_od_mm: Figure = None
    frame_angle_deg: Figure = None


class UpperBore(Port):
    """The side of the upper headset half that holds the steerer."""

    dia_mm: FigureOrChoice = None
    form: Word = None
    thread: Word = None


class CrownRace(Port):
    """The ring of the lower headset half that sits on the fork; ``seat_mm`` is the seat it is made for."""

    seat_mm: Figure = None
    bore_mm: Figure = None
    form: Word = None


class Stack(Port):
    """The height that a headset half adds above or below the head tube."""

    height_mm: Figure = None


class Steerer(Port):
    """The fork's steerer. ``form`` is threadless or threaded; ``taper_end_mm`` is where it becomes the top size."""

    form: Word = None
    top_dia_mm: Figure = None
    bore_mm: Figure = None
    thread: Word = None
    length_mm: Figure = None
    taper_end_mm: Figure = None
    material: Word = None
    section: Word = None
    spacers_below_min_mm: Bound = None
    spacers_below_max_mm: Bound = None


class CrownSeat(Port):
    """The shoulder of the fork on which the crown race sits."""

    dia_mm: Figure = None
    material: Word = None


class StemClamp(Port):
    """The side of a stem that holds the steerer: a clamp around it, or a quill inside it."""

    form: Word = None
    bore_mm: Figure = None
    height_mm: Figure = None
    quill_dia_mm: Figure = None


class BarClamp(Port):
    """The side of a stem that holds the handlebar."""

    dia_mm: Figure = None
    width_mm: Figure = None


class BarCentre(Port):
    """The middle of a handlebar, where the stem clamps it."""

    dia_mm: Figure = None
    material: Word = None
    straight_width_mm: Figure = None
    shim: Word = None


class SpacerStack(Port):
    """The loose rings under and over the stem."""

    below_mm: Figure = None
    above_mm: Figure = None
    bore_mm: Figure = None


class Anchor(Port):
    """What the top cap's bolt pulls on: a star nut or an expander."""

    form: Word = None
    steerer_bore_mm: Span = None
