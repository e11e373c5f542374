"""Ports of the wheels: hub ends, dropouts, axles, flanges."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Count, Figure, FigureOrChoice, Word


class HubAxle(Port):
    """The two ends of a hub that sit in the dropouts.

    ``width_mm`` is over the end faces (the locknuts), not over the axle tips. ``bore_mm`` is what a thru axle passes;
    ``end_dia_mm`` is what sits in a slot (across the flats, if the axle has any); ``stub_mm`` how far it stands out a
    side. ``rim_shift_mm`` is how far to the left the rim must be moved once these ends are on, below 0 to the right.
    ``rotor_plane`` tells the two places of the rotor apart that one width has; ``rotor_offset_mm`` is from the end face
    to the rotor's seat.
    """

    form: Word = None
    width_mm: FigureOrChoice = None
    bore_mm: FigureOrChoice = None
    end_dia_mm: Figure = None
    end_cap_od_mm: Figure = None
    stub_mm: Figure = None
    thread: Word = None
    rotor_offset_mm: Figure = None
    rotor_plane: Word = None
    rim_shift_mm: Figure = None


class Dropout(Port):
    """The two faces of a frame or fork between which a hub sits, and the seat of its axle.

    ``width_mm`` is between the faces that the hub ends touch (the floors of the recesses, if there are any); a frame
    that is made to give has several. ``axle_length_mm`` is the length under the head that the frame asks for,
    ``thread_dia_mm`` the thread that the axle's tip goes into. ``rim_left_mm`` is how far to the left of the middle
    between the faces the frame wants the rim; 0 on nearly all frames.
    """

    form: Word = None
    width_mm: FigureOrChoice = None
    axle_dia_mm: Figure = None
    slot_mm: Figure = None
    recess_od_mm: Figure = None
    thickness_mm: Figure = None
    spreading: Word = None
    thread_dia_mm: Figure = None
    pitch_mm: Figure = None
    head_seat: Word = None
    axle_length_mm: Figure = None
    thread_length_mm: Figure = None
    lips: Word = None
    rotor_offset_mm: Figure = None
    rotor_plane: Word = None
    rim_left_mm: Figure = None


class AxleRod(Port):
    """What holds a wheel: a thru axle, a quick-release skewer, a bolt with its own nut, or a pair of nuts.

    ``dia_mm`` is the shank; ``thread_dia_mm`` and ``pitch_mm`` the thread at its tip; ``length_mm`` is from under the
    head to the tip. ``for_width_mm`` is the hub width that it is sold for, ``thread`` that of a pair of nuts.
    """

    form: Word = None
    dia_mm: Figure = None
    thread_dia_mm: Figure = None
    pitch_mm: Figure = None
    length_mm: Figure = None
    thread_length_mm: Figure = None
    for_width_mm: FigureOrChoice = None
    head: Word = None
    cam: Word = None
    thread: Word = None
    torque_nm: Bound = None


class RotorMount(Port):
    """The side of a hub that carries the rotor."""

    pattern: Word = None


class Flanges(Port):
    """The spoke flanges of a hub.

    ``hole_mm`` is one spoke hole; the circles are through the middles of the holes, the offsets from the middle between
    the end faces to the middle of a flange. ``radial`` is whether the maker allows spokes that do not cross, ``disc``
    whether he clears these few spokes for a disc brake.
    """

    holes: Count = None
    spoke_head: Word = None
    hole_mm: Figure = None
    left_circle_mm: Figure = None
    right_circle_mm: Figure = None
    left_offset_mm: Figure = None
    right_offset_mm: Figure = None
    radial: Word = None
    disc: Word = None


class SpokeBed(Port):
    """The spoke bed of a rim.

    ``nipple_hole_mm`` is the hole that the nipple comes through; ``access_mm`` the larger one on the side of the tyre.
    """

    holes: Count = None
    erd_mm: Figure = None
    depth_mm: Figure = None
    nipple_hole_mm: Figure = None
    access_mm: Figure = None


class FreehubBody(Port):
    """The side of a rear hub that carries the sprockets: a splined body, a thread, or a driver of one piece.

    ``length_mm`` is the length of the splines, from the shoulder to the outer end; ``smallest_cog_teeth`` the smallest
    sprocket that goes on, where it differs from what the shape of the splines allows. Where it is a thread, ``thread``
    is its nation, and ``lockring_thread`` the thread of the step beside it, "none" if there is none. ``cog_gap_mm`` is
    from the smallest cog's outer face to the end face of the hub, with the cogs on.
    """

    spline: Word = None
    thread: Word = None
    lockring_thread: Word = None
    length_mm: Figure = None
    smallest_cog_teeth: Bound = None
    cog_gap_mm: Figure = None
