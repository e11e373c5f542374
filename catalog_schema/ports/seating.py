"""Ports of the seat: seat tube, seatpost, collar, saddle."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, Word


class SeatTube(Port):
    """The frame's seat tube at its top. ``outside_mm`` is what the collar goes round.

    ``joint_depth_mm`` is how far below the collar the lowest edge of the top tube joint lies.
    """

    bore_mm: Figure = None
    outside_mm: Figure = None
    section: Word = None
    material: Word = None
    joint_depth_mm: Figure = None
    insertion_min_mm: Bound = None
    insertion_max_mm: Bound = None


class PostShaft(Port):
    """The part of a seatpost that goes into the frame. ``inserted_mm`` is how deep it sits as set up."""

    dia_mm: Figure = None
    section: Word = None
    material: Word = None
    length_mm: Figure = None
    mark_mm: Bound = None
    inserted_mm: Figure = None


class CollarBand(Port):
    """The inside of a seat collar."""

    bore_mm: Figure = None


class SaddleHead(Port):
    """The clamp of a seatpost for the saddle."""

    form: Word = None
    rail: Word = None


class SaddleMount(Port):
    """The underside of a saddle."""

    form: Word = None
    rail: Word = None
