"""Ports of the brakes: mounts, calipers, brackets, rotors, lockrings."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class BrakeMount(Port):
    """The seat of a disc caliper: here that of a bracket, below those of a fork and of a frame.

    ``native_rotor_mm`` is the smallest rotor that the mount is for: on posts and on a frame's flat mount the one that a
    caliper sits right for with nothing between, on tabs and on a fork's flat mount the one of the lowest bracket.
    """

    pattern: Word = None
    native_rotor_mm: FigureOrChoice = None
    rotor_max_mm: Bound = None
    stay_thickness_mm: Figure = None


class ForkBrakeMount(BrakeMount):
    """The seat of the front caliper. A trade name may mean another figure here than on a frame."""


class FrameBrakeMount(BrakeMount):
    """The seat of the rear caliper. ``stay_thickness_mm`` is what the bolts of a flat mount pass through."""


class CaliperFoot(Port):
    """The side of a caliper that sits on a mount.

    ``step_mm`` is how much larger the rotor is than the mount's own, where the foot decides that; ``native_rotor_mm``
    the mount that it is made for, where it names one. ``bolt_mark_mm`` stands on the flat-mount bolt that is fitted,
    ``bolts_sold_mm`` are the marks that its maker sells.
    """

    pattern: Word = None
    native_rotor_mm: Figure = None
    step_mm: FigureOrChoice = None
    bolt_mark_mm: Figure = None
    bolts_sold_mm: FigureOrChoice = None
    torque_nm: Bound = None


class BracketFoot(CaliperFoot):
    """The side of a bracket (or of a pair of washers) that sits on a mount, as a caliper would."""


class CaliperSlot(Port):
    """The slot of a caliper in which the rotor turns, and the outline of the pads that it takes."""

    rotor_thickness_mm: Span = None
    pad_outline: Word = None


class RotorFace(Port):
    """The inner edge of a rotor, which sits on the hub."""

    pattern: Word = None
    torque_nm: Bound = None


class Disc(Port):
    """The braking ring of a rotor. ``thickness_mm`` as made; ``worn_mm`` as measured now, at its thinnest.

    ``pads`` is whether its maker allows pads of every compound.
    """

    dia_mm: Figure = None
    thickness_mm: Figure = None
    worn_mm: Figure = None
    least_thickness_mm: Bound = None
    pads: Word = None


class RotorLockring(Port):
    """The ring that holds a splined rotor. ``form`` says on which side the tool takes it."""

    form: Word = None
    torque_nm: Bound = None
