"""Ports of the shift system: levers, derailleurs, what carries them, the chain, its joint, and the rings it runs on."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Count, Figure, Span, Word


class ShiftLever(Port):
    """What a shift lever does to its cable, or says to its motor.

    ``family`` is the word for how the lever talks to a rear derailleur or a hub gear, ``front_family`` to a front
    derailleur; ``speeds`` the gears that it clicks through. ``pull_mm`` is the cable that one click moves; a lever of
    uneven clicks has none. ``action`` is cable or motor.
    """

    action: Word = None
    family: Word = None
    front_family: Word = None
    speeds: Count = None
    pull_mm: Figure = None


class ShifterMount(Port):
    """How a shift lever is held: by a band of its own, by a mount shared with the brake lever, or in the bar's end.

    ``bore_mm`` are the bores of a bar end that its plug holds in.
    """

    form: Word = None
    clamp_mm: Figure = None
    bore_mm: Span = None


class ShifterSeat(Port):
    """The place for a shift lever on the clamp of a brake lever."""

    form: Word = None


class DerailleurDrive(Port):
    """What moves a rear derailleur.

    ``ratio`` is how far the cage goes sideways for each millimetre of cable. ``stops`` is the number of gears that the
    motor of an electronic one knows; ``speeds`` the number that it was sold for. ``action`` is cable or motor.
    """

    action: Word = None
    family: Word = None
    ratio: Figure = None
    stops: Count = None
    speeds: Count = None


class DerailleurMount(Port):
    """The side of a rear derailleur that is bolted to the frame."""

    form: Word = None


class DerailleurCage(Port):
    """What the cage of a rear derailleur takes: slack, and cogs.

    ``capacity_teeth`` is the slack that it takes up, counted in teeth; ``front_difference_teeth`` how far apart the
    rings may be.
    """

    length: Word = None
    capacity_teeth: Bound = None
    largest_cog_teeth: Bound = None
    smallest_cog_teeth: Bound = None
    front_difference_teeth: Bound = None
    clutch: Word = None


class Hanger(Port):
    """The lug of a frame that carries the rear derailleur, or the lower end of a link.

    ``seat`` says what kind of piece the lug is, ``brought`` whether it comes with the frame.
    """

    form: Word = None
    seat: Word = None
    brought: Word = None


class HangerPiece(Port):
    """A hanger that is bolted to a frame: ``seat`` is the kind of frame that it goes on."""

    seat: Word = None


class HangerReach(Port):
    """How far a link lets a derailleur reach: ``largest_cog_teeth`` is the cog that its maker sells it for."""

    largest_cog_teeth: Figure = None


class FrontDrive(Port):
    """What moves a front derailleur; ``cable`` is the side from which the cable pulls, ``action`` cable or motor."""

    action: Word = None
    family: Word = None
    cable: Word = None


class FrontDerailleurMount(Port):
    """The side of a front derailleur that is held by the frame; ``clamp_mm`` is the bore of its band."""

    form: Word = None
    clamp_mm: Figure = None


class FrontCage(Port):
    """What the cage of a front derailleur takes.

    ``largest_ring_teeth`` and ``least_ring_teeth`` bound the outer ring that it is made for; ``capacity_teeth`` is the
    greatest difference between outer and inner ring, ``middle_gap_teeth`` the least between outer and middle one;
    ``speeds`` the chain that it is as wide as.
    """

    largest_ring_teeth: Bound = None
    least_ring_teeth: Bound = None
    capacity_teeth: Bound = None
    middle_gap_teeth: Bound = None
    chainline_mm: Figure = None
    speeds: Count = None


class FrontMount(Port):
    """The place for a front derailleur on a frame.

    ``slot_ring_teeth`` is the outer ring that a brazed-on slot is placed for; ``gap_mm`` what is left between the ring
    and the cage at the lowest point of the slot; ``cable`` the side from which the cable arrives.
    """

    form: Word = None
    slot_ring_teeth: Count = None
    gap_mm: Figure = None
    cable: Word = None


class Rings(Port):
    """The chainrings of a crank as the chain meets them.

    A crank with one ring has ``single_teeth``. ``speeds`` is the chain that the rings are made for, ``tooth_shape`` the
    word for teeth that only some chains sit on, ``profile`` whether thick and thin teeth alternate.
    """

    largest_teeth: Count = None
    middle_teeth: Count = None
    smallest_teeth: Count = None
    single_teeth: Count = None
    speeds: Count = None
    tooth_mm: Figure = None
    tooth_shape: Word = None
    profile: Word = None
    chainline_mm: Figure = None


class ChainPlates(Port):
    """A chain: the gears that it is made for, its width inside and over the rivets, the shape of plates and rollers."""

    speeds: Count = None
    inner_mm: Figure = None
    outer_mm: Figure = None
    shape: Word = None
    joiner: Word = None


class ChainSpan(Port):
    """How long a chain is that was cut already.

    ``links`` are pitches of half an inch; ``cut_for_teeth`` are the cogs, smallest and largest, that it was cut for,
    and ``reach`` says whether it was seen to go round the largest ring and the largest cog.
    """

    links: Count = None
    cut_for_teeth: Span = None
    reach: Word = None


class ChainJoiner(Port):
    """What closes a chain: a link or a pin."""

    speeds: Count = None
    shape: Word = None


class SprocketTeeth(Port):
    """The teeth of one chainring or one sprocket, as a chain meets them.

    ``tooth_mm`` is how thick they are, ``speeds`` the chain that they are made for, ``tooth_shape`` the word for teeth
    that only some chains sit on.
    """

    tooth_mm: Figure = None
    speeds: Count = None
    tooth_shape: Word = None


class BarControls(Port):
    """The part of a handlebar that carries levers and grips."""

    dia_mm: Figure = None
