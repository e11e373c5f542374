"""Ports of the rim brakes: their places on frame and fork, arms, pads, the track of a rim; brakes inside hubs."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class RimBrakeMount(Port):
    """The place of a rim brake: here that of a piece between, below those of a fork and of a frame.

    ``reach_mm`` goes from the bolt to the middle of the brake track, with the wheel of the list in place; where it was
    measured with another wheel, ``reach_bsd_mm`` is the bead seat of that one. ``boss_bsd_mm`` are the rims that the
    bosses are placed for.
    """

    form: Word = None
    reach_mm: Figure = None
    reach_bsd_mm: Figure = None
    boss_spacing_mm: Figure = None
    boss_bsd_mm: FigureOrChoice = None
    cable_stop: Word = None
    material: Word = None


class ForkRimBrakeMount(RimBrakeMount):
    """The place of the front rim brake. A trade name may mean another figure here than on a frame."""


class FrameRimBrakeMount(RimBrakeMount):
    """The place of the rear rim brake."""


class RimBrakeFoot(Port):
    """A rim brake as it sits on the bicycle.

    ``reach_mm`` is from its bolt to the middle of the pad, with the pad at the top and at the bottom of its slot.
    ``cable`` says where the cable comes from. ``drop_mm``, of a piece between, is how much nearer to the axle the brake
    sits on it; a piece that raises the brake has a figure below zero. ``bolt`` is how the arms of a
    brake are held on its bolt; of a piece between, the kind of bolt that it takes the place of. ``tried`` is where the
    pads were seen to land.
    """

    form: Word = None
    reach_mm: Span = None
    boss_spacing_mm: Span = None
    cable: Word = None
    tyre_max_mm: Bound = None
    pad_fixing: Word = None
    drop_mm: Figure = None
    bolt: Word = None
    tried: Word = None


class BrakeTrack(Port):
    """The sides of a rim on which the pads rub. ``wear`` is what its wear mark shows."""

    surface: Word = None
    wear: Word = None


class BrakePad(Port):
    """A pair of pads, for a rim or a rotor. ``used_on`` is what they have braked before."""

    compound: Word = None
    fixing: Word = None
    outline: Word = None
    used_on: Word = None


class CableHanger(Port):
    """A stop for the housing above a centre-pull brake."""

    form: Word = None


class HubBrake(Port):
    """A brake inside or beside a hub. ``drive`` is the cable that it asks for."""

    form: Word = None
    drive: Word = None


class ArmAnchor(Port):
    """Where frame or fork holds the reaction arm of a hub brake; ``tube_mm`` is the tube that a clip goes round."""

    form: Word = None
    tube_mm: Figure = None


class ArmClip(Port):
    """The clip of a reaction arm, the tubes that it goes round, and whether it is bolted on."""

    tube_mm: Span = None
    fitted: Word = None
