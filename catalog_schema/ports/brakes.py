"""Ports of the brakes: mounts, calipers, rotors."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class BrakeMount(Port):
    """The seat of a disc caliper on a frame, a fork or an adapter.

    ``native_rotor_mm`` is the rotor that a caliper sits right for with nothing between.
    """

    pattern: Word = None
    native_rotor_mm: FigureOrChoice = None
    rotor_max_mm: Bound = None
    stay_thickness_mm: Figure = None


class CaliperFoot(Port):
    """The side of a caliper (or of an adapter) that sits on a mount."""

    pattern: Word = None
    native_rotor_mm: Figure = None
    bolt_mark_mm: Figure = None


class CaliperSlot(Port):
    """The slot of a caliper in which the rotor turns."""

    rotor_thickness_mm: Span = None


class RotorFace(Port):
    """The inner edge of a rotor, which sits on the hub."""

    pattern: Word = None


class Disc(Port):
    """The braking ring of a rotor."""

    dia_mm: Figure = None
    thickness_mm: Figure = None
    least_thickness_mm: Bound = None


class RotorLockring(Port):
    """The ring that holds a splined rotor."""

    form: Word = None
    tool: Word = None


class RimBrakeMount(Port):
    """The place of a rim brake on a frame or fork."""

    form: Word = None
