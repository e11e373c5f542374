"""Ports of the wheels: hub ends, dropouts, axles, flanges."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Count, Figure, FigureOrChoice, Word


class HubAxle(Port):
    """The two ends of a hub that sit in the dropouts.

    ``width_mm`` is over the end faces (the locknuts), not over the axle tips. ``bore_mm`` is what a thru axle
    passes; ``end_dia_mm`` the stub or solid axle that sits in a slot; ``stub_mm`` how far it stands out a side.
    """

    form: Word = None
    width_mm: FigureOrChoice = None
    bore_mm: FigureOrChoice = None
    end_dia_mm: Figure = None
    end_cap_od_mm: Figure = None
    stub_mm: Figure = None
    thread: Word = None
    rotor_offset_mm: Figure = None


class Dropout(Port):
    """The two faces of a frame or fork between which a hub sits, and the seat of its axle.

    ``width_mm`` is between the faces that the hub ends touch (the floors of the recesses, if there are any).
    ``axle_length_mm`` is the length under the head that the frame asks for.
    """

    form: Word = None
    width_mm: FigureOrChoice = None
    axle_dia_mm: Figure = None
    slot_mm: Figure = None
    recess_od_mm: Figure = None
    thickness_mm: Figure = None
    spreading: Word = None
    pitch_mm: Figure = None
    head_seat: Word = None
    axle_length_mm: Figure = None
    thread_length_mm: Figure = None
    lips: Word = None
    rotor_offset_mm: Figure = None


class AxleRod(Port):
    """What holds a wheel: a thru axle, a quick-release skewer or a pair of nuts."""

    form: Word = None
    dia_mm: Figure = None
    pitch_mm: Figure = None
    length_mm: Figure = None
    thread_length_mm: Figure = None
    head: Word = None
    cam: Word = None


class RotorMount(Port):
    """The side of a hub that carries the rotor."""

    pattern: Word = None


class Flanges(Port):
    """The spoke flanges of a hub."""

    holes: Count = None
    spoke_head: Word = None


class SpokeBed(Port):
    """The spoke bed of a rim."""

    holes: Count = None
    erd_mm: Figure = None
    depth_mm: Figure = None


class FreehubBody(Port):
    """The side of a rear hub that carries the sprockets."""

    spline: Word = None
    length_mm: Figure = None
    smallest_cog_teeth: Bound = None
