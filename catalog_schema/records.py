"""What fills a slot: one record class a kind of slot, made of ports.

In: tables of a catalogue or a list. Out: frozen, validated records. The class name in snake case is the kind;
``bicycle.toml`` says which slots there are and which kind each takes. A record written as one string is its
``box``: the words on the box, which ``boxline`` places into ports.
"""

from __future__ import annotations

import sys
from functools import cache
from inspect import get_annotations
from typing import Any, Final

from catalog_schema.frozen import Frozen, Reads
from catalog_schema.ports import (
    brakes,
    brakes_levers,
    brakes_rim,
    drivetrain,
    drivetrain_belt,
    drivetrain_cranks,
    drivetrain_hub_gear,
    drivetrain_shifting,
    drivetrain_single,
    drivetrain_sprocket,
    front_end,
    front_end_cockpit,
    front_end_extensions,
    seating,
    tyres,
    tyres_use,
    wheels,
    wheels_drivers,
    wheels_spokes,
)
from catalog_schema.ports.base import PORT_KINDS, Port
from catalog_schema.quantity import READERS, Word, shown

#: The kinds of port, registered by the area modules that this module imports.
__all__ = ["PORT_KINDS", "RECORD_KINDS", "Record"]

RECORD_KINDS: Final[dict[str, type[Record]]] = {}


def _text(raw: object) -> str:
    if isinstance(raw, str):
        return raw
    raise ValueError(f"expected words, found {shown(raw)}")


class Record(Frozen):
    """What a part is in one slot. ``material`` holds for every port that does not name its own."""

    box: str = ""
    material: Word = None

    def __init_subclass__(cls) -> None:
        """Register the kind."""
        super().__init_subclass__()
        RECORD_KINDS[cls.kind] = cls

    @classmethod
    def table_of(cls, raw: Any) -> Any:
        """Return the table of a box line."""
        return {"box": raw} if isinstance(raw, str) else raw

    @classmethod
    def reader_of(cls, annotation: str) -> Reads:
        """Return what reads a field: a figure of the record as a whole, or a port, which may be None."""
        if annotation in READERS:
            return READERS[annotation]
        if annotation == "str":
            return _text
        port = _port_class(cls.__module__, annotation)
        return lambda raw: None if raw is None else port.read(raw)

    @classmethod
    @cache
    def ports(cls) -> dict[str, type[Port]]:
        """Return the ports of this kind: name -> port class, in bicycle order."""
        own = get_annotations(cls)
        return {n: _port_class(cls.__module__, a) for n, a in own.items() if a.endswith(_MAY_LACK)}

    @classmethod
    @cache
    def scalars(cls) -> tuple[str, ...]:
        """Return the names of the figures that belong to the record as a whole."""
        return tuple(n for n in cls.field_names() if n != "box" and n not in cls.ports())


#: How the annotation of a port ends: ``front_end.HeadTube | None``.
_MAY_LACK: Final = " | None"


def _port_class(module: str, annotation: str) -> type[Port]:
    area, _, name = annotation.removesuffix(_MAY_LACK).partition(".")
    found: type[Port] = getattr(vars(sys.modules[module])[area], name)
    return found


class Frame(Record):
    """A frame."""

    head_tube: front_end.HeadTube | None = None
    head_tube_upper: front_end.HeadTubeEnd | None = None
    head_tube_lower: front_end.HeadTubeEnd | None = None
    seat_tube: seating.SeatTube | None = None
    bb_shell: drivetrain_cranks.BottomBracketShell | None = None
    ring_room: drivetrain_cranks.ChainringRoom | None = None
    chain_stay: drivetrain.ChainStay | None = None
    dropout: wheels.Dropout | None = None
    brake_mount: brakes.FrameBrakeMount | None = None
    rim_brake_mount: brakes_rim.FrameRimBrakeMount | None = None
    arm_anchor: brakes_rim.ArmAnchor | None = None
    tyre_room: tyres.TyreRoom | None = None
    hanger: drivetrain_shifting.Hanger | None = None
    fd_mount: drivetrain_shifting.FrontMount | None = None
    fork_room: front_end_cockpit.ForkRoom | None = None
    chain_adjuster: drivetrain_single.ChainAdjuster | None = None
    guide_mount: drivetrain_single.GuideMount | None = None
    motor_mount: drivetrain_single.MotorMount | None = None
    belt_way: drivetrain_belt.BeltWay | None = None
    hose_way: front_end_cockpit.HoseWay | None = None


class Fork(Record):
    """A fork."""

    steerer: front_end.Steerer | None = None
    crown_seat: front_end.CrownSeat | None = None
    length: front_end_cockpit.ForkLength | None = None
    dropout: wheels.Dropout | None = None
    brake_mount: brakes.ForkBrakeMount | None = None
    rim_brake_mount: brakes_rim.ForkRimBrakeMount | None = None
    arm_anchor: brakes_rim.ArmAnchor | None = None
    tyre_room: tyres.TyreRoom | None = None


class HeadsetUpper(Record):
    """The upper half of a headset."""

    cup: front_end.HeadsetCup | None = None
    bore: front_end.UpperBore | None = None
    stack: front_end.Stack | None = None
    hose_way: front_end_cockpit.HoseWay | None = None


class HeadsetLower(Record):
    """The lower half of a headset, with its crown race unless ``race`` is ``"none"``."""

    cup: front_end.HeadsetCup | None = None
    race: front_end.CrownRace | None = None
    stack: front_end.Stack | None = None


class CrownRaceReducer(Record):
    """A race for a thin fork in a bearing that is made for a thick one."""

    race: front_end.CrownRace | None = None
    crown_seat: front_end.CrownSeat | None = None


class Spacers(Record):
    """The spacers on the steerer, as a stack."""

    stack: front_end.SpacerStack | None = None
    hose_way: front_end_cockpit.HoseWay | None = None


class Stem(Record):
    """A stem."""

    steerer_clamp: front_end.StemClamp | None = None
    bar_clamp: front_end.BarClamp | None = None
    hose_way: front_end_cockpit.HoseWay | None = None


class StemShim(Record):
    """A sleeve between steerer and stem, or between a quill and its steerer."""

    steerer_clamp: front_end.StemClamp | None = None
    steerer: front_end.Steerer | None = None


class PreloadAnchor(Record):
    """Star nut or expander."""

    anchor: front_end.Anchor | None = None


class Handlebar(Record):
    """A handlebar."""

    centre: front_end.BarCentre | None = None
    tops: front_end_extensions.BarTops | None = None
    span: front_end.BarSpan | None = None
    controls: drivetrain_shifting.BarControls | None = None
    ends: front_end_cockpit.BarEnd | None = None


class BarShim(Record):
    """A sleeve between handlebar and stem."""

    bar_clamp: front_end.BarClamp | None = None
    centre: front_end.BarCentre | None = None


class Grips(Record):
    """Grips or bar tape."""

    grip: front_end_cockpit.Grip | None = None


class BarPlugs(Record):
    """A pair of plugs for the ends of a handlebar."""

    plug: front_end_cockpit.BarPlug | None = None


class BarExtensions(Record):
    """A pair of aero extensions that are clamped on a handlebar."""

    clamp: front_end_extensions.ExtensionClamp | None = None


class BarEnds(Record):
    """A pair of bar ends on a flat handlebar."""

    foot: front_end_extensions.BarEndFoot | None = None


class Seatpost(Record):
    """A seatpost."""

    shaft: seating.PostShaft | None = None
    head: seating.SaddleHead | None = None


class SeatpostSleeve(Record):
    """A sleeve between seatpost and seat tube."""

    seat_tube: seating.SeatTube | None = None
    shaft: seating.PostShaft | None = None


class DropperRemote(Record):
    """The lever of a dropper post."""

    drive: seating.RemoteDrive | None = None
    mount: drivetrain_shifting.ShifterMount | None = None


class SeatCollar(Record):
    """A seat collar."""

    band: seating.CollarBand | None = None


class SeatCollarLiner(Record):
    """A split ring between seat tube and seat collar."""

    seat_tube: seating.SeatTube | None = None
    band: seating.CollarBand | None = None


class Saddle(Record):
    """A saddle."""

    mount: seating.SaddleMount | None = None


class FrontHub(Record):
    """A front hub."""

    axle: wheels.HubAxle | None = None
    rotor_mount: wheels.RotorMount | None = None
    flanges: wheels.Flanges | None = None
    brake: brakes_rim.HubBrake | None = None


class RearHub(Record):
    """A rear hub."""

    axle: wheels.HubAxle | None = None
    rotor_mount: wheels.RotorMount | None = None
    driver: wheels.FreehubBody | None = None
    gear: drivetrain_hub_gear.HubGear | None = None
    flanges: wheels.Flanges | None = None
    brake: brakes_rim.HubBrake | None = None


class HubAdapter(Record):
    """What lies between a hub and its dropouts: spacers, a sleeve, washers, a spacing kit.

    Its dropout is what the hub sits in, its axle what sits in the frame or fork.
    """

    dropout: wheels.Dropout | None = None
    axle: wheels.HubAxle | None = None


class WheelAxle(Record):
    """What holds the wheel: a thru axle, a skewer, nuts."""

    rod: wheels.AxleRod | None = None


class Rotor(Record):
    """A disc brake rotor."""

    face: brakes.RotorFace | None = None
    disc: brakes.Disc | None = None


class RotorAdapter(Record):
    """A piece between a hub and a rotor of another pattern."""

    face: brakes.RotorFace | None = None
    rotor_mount: wheels.RotorMount | None = None


class RotorLockring(Record):
    """The ring that holds a splined rotor."""

    ring: brakes.RotorLockring | None = None


class Caliper(Record):
    """A disc brake caliper."""

    foot: brakes.CaliperFoot | None = None
    slot: brakes.CaliperSlot | None = None
    input: brakes_levers.BrakeInput | None = None


class BrakeMountAdapter(Record):
    """A bracket between a mount and a caliper: its foot sits on the mount, its mount carries the caliper."""

    foot: brakes.BracketFoot | None = None
    brake_mount: brakes.BrakeMount | None = None


class RimBrake(Record):
    """A rim brake."""

    foot: brakes_rim.RimBrakeFoot | None = None
    input: brakes_levers.BrakeInput | None = None
    underside: tyres_use.Underside | None = None


class RimBrakeAdapter(Record):
    """What lies between a rim brake and its place: a drop bolt, a plate. Its foot sits in the place of the brake."""

    foot: brakes_rim.RimBrakeFoot | None = None
    rim_brake_mount: brakes_rim.RimBrakeMount | None = None


class CableHanger(Record):
    """A stop for the housing above a centre-pull brake."""

    hanger: brakes_rim.CableHanger | None = None


class BrakePads(Record):
    """A pair of pads or brake shoes."""

    pad: brakes_rim.BrakePad | None = None


class ArmClip(Record):
    """The clip that holds the reaction arm of a hub brake."""

    clip: brakes_rim.ArmClip | None = None


class BrakeLever(Record):
    """A brake lever."""

    output: brakes_levers.LeverOutput | None = None
    clamp: brakes_levers.LeverClamp | None = None
    shifter_seat: drivetrain_shifting.ShifterSeat | None = None


class PullConverter(Record):
    """A pulley between a lever and a brake of another cable pull: it takes the one and gives the other."""

    input: brakes_levers.BrakeInput | None = None
    output: brakes_levers.LeverOutput | None = None


class BrakeLine(Record):
    """Cable with housing, or a hose, from lever to brake."""

    line: brakes_levers.BrakeLine | None = None


class BrakeFluid(Record):
    """Fluid for hydraulic brakes."""

    liquid: brakes_levers.BrakeLiquid | None = None


class Shifter(Record):
    """A shifter."""

    lever: drivetrain_shifting.ShiftLever | None = None
    mount: drivetrain_shifting.ShifterMount | None = None


class Cassette(Record):
    """A cassette."""

    bore: drivetrain.CassetteBore | None = None


class Freewheel(Record):
    """A freewheel that is screwed on the hub, with its sprockets."""

    bore: wheels_drivers.FreewheelBore | None = None


class Cog(Record):
    """A single sprocket: fixed, of a hub gear, or single on a freehub body."""

    bore: wheels_drivers.CogBore | None = None
    tooth: drivetrain_shifting.SprocketTeeth | None = None
    belt_track: drivetrain_belt.BeltTrack | None = None


class CogLockring(Record):
    """The ring that keeps a fixed sprocket from unscrewing."""

    ring: wheels_drivers.CogLockring | None = None


class HubGearPiece(Record):
    """The piece at a hub gear that its cable is held in."""

    seat: drivetrain_hub_gear.HubGearPiece | None = None


class CassetteSpacer(Record):
    """Rings behind a cassette."""

    spacer: drivetrain.CassetteSpacer | None = None


class CassetteLockring(Record):
    """The ring that clamps a cassette."""

    ring: drivetrain.CassetteLockring | None = None


class ShellInsert(Record):
    """An insert that gives a shell another thread or bore: its cups sit in the frame, its shell takes the bearings."""

    cups: drivetrain_cranks.BearingCups | None = None
    bb_shell: drivetrain_cranks.BottomBracketShell | None = None


class Motor(Record):
    """A motor at the cranks, in place of the bottom bracket."""

    foot: drivetrain_single.MotorFoot | None = None
    spindle: drivetrain_single.MotorSpindle | None = None


class BottomBracket(Record):
    """A bearing set for the crank, with or without a spindle of its own."""

    cups: drivetrain_cranks.BearingCups | None = None
    seat: drivetrain_cranks.BearingSeat | None = None


class SpindleSleeve(Record):
    """Sleeves between a spindle and wider bearings: their spindle sits in them, their seat takes the crank's."""

    spindle: drivetrain_cranks.CrankSpindle | None = None
    seat: drivetrain_cranks.BearingSeat | None = None


class Crank(Record):
    """A crankset."""

    spindle: drivetrain_cranks.CrankSpindle | None = None
    spider: drivetrain_cranks.Spider | None = None
    inner_spider: drivetrain_cranks.InnerSpider | None = None
    arm: drivetrain_cranks.CrankArm | None = None
    eye: drivetrain_cranks.PedalEye | None = None
    chain_room: tyres_use.ChainRoom | None = None
    rings: drivetrain_shifting.Rings | None = None
    sprocket: drivetrain_sprocket.SprocketSeat | None = None
    belt_track: drivetrain_belt.BeltTrack | None = None


class CrankBolts(Record):
    """The bolts or nuts that hold the cranks on a spindle."""

    bolt: drivetrain_cranks.SpindleBolt | None = None


class Chainring(Record):
    """A chainring."""

    holes: drivetrain_cranks.ChainringHoles | None = None
    ring: drivetrain_cranks.ChainringTeeth | None = None
    bore: drivetrain_sprocket.SprocketBore | None = None
    tooth: drivetrain_shifting.SprocketTeeth | None = None
    belt_track: drivetrain_belt.BeltTrack | None = None


class SprocketReducer(Record):
    """A ring between a thin spindle and the wide bore of a sprocket."""

    ring: drivetrain_sprocket.SprocketReducer | None = None


class Chain(Record):
    """A chain."""

    plates: drivetrain_shifting.ChainPlates | None = None
    span: drivetrain_shifting.ChainSpan | None = None


class Belt(Record):
    """A toothed belt, in place of a chain."""

    strap: drivetrain_belt.BeltStrap | None = None


class ChainTensioner(Record):
    """A sprung arm that keeps a chain tight where no derailleur does."""

    arm: drivetrain_single.TensionerArm | None = None


class ChainGuide(Record):
    """A guide that keeps the chain on its ring."""

    foot: drivetrain_single.GuideFoot | None = None


class FrontDerailleur(Record):
    """A front derailleur."""

    drive: drivetrain_shifting.FrontDrive | None = None
    mount: drivetrain_shifting.FrontDerailleurMount | None = None
    cage: drivetrain_shifting.FrontCage | None = None


class RearDerailleur(Record):
    """A rear derailleur."""

    drive: drivetrain_shifting.DerailleurDrive | None = None
    mount: drivetrain_shifting.DerailleurMount | None = None
    cage: drivetrain_shifting.DerailleurCage | None = None


class ChainLink(Record):
    """The link or pin that closes a chain."""

    joiner: drivetrain_shifting.ChainJoiner | None = None


class FrontDerailleurBand(Record):
    """What lies between a front derailleur and a seat tube: a sleeve in its band, or a band with a slot for it."""

    mount: drivetrain_shifting.FrontDerailleurMount | None = None
    fd_mount: drivetrain_shifting.FrontMount | None = None
    seat_tube: seating.SeatTube | None = None


class DerailleurHanger(Record):
    """A hanger that is bolted to a frame."""

    piece: drivetrain_shifting.HangerPiece | None = None


class HangerLink(Record):
    """What lies between a rear derailleur and its hanger: a mount towards the frame, a hanger for the derailleur."""

    mount: drivetrain_shifting.DerailleurMount | None = None
    hanger: drivetrain_shifting.Hanger | None = None
    reach: drivetrain_shifting.HangerReach | None = None


class Pedals(Record):
    """A pair of pedals."""

    axle: drivetrain_cranks.PedalAxle | None = None


class Rim(Record):
    """A rim."""

    bead: tyres.RimBead | None = None
    valve_hole: tyres.ValveHole | None = None
    bed: wheels.SpokeBed | None = None
    track: brakes_rim.BrakeTrack | None = None


class Spokes(Record):
    """The spokes of one wheel, and how they are laced; their nipples are a part of their own."""

    wire: wheels_spokes.SpokeWire | None = None
    lacing: wheels_spokes.Lacing | None = None


class Nipples(Record):
    """The nipples of one wheel."""

    body: wheels_spokes.NippleBody | None = None


class RimTape(Record):
    """Rim tape."""

    strip: tyres_use.TapeStrip | None = None


class Tyre(Record):
    """A tyre, with the pressure that is wanted in it."""

    bead: tyres.TyreBead | None = None
    air: tyres_use.TyreAir | None = None


class Tube(Record):
    """An inner tube."""

    body: tyres.TubeBody | None = None
    valve: tyres.ValveStem | None = None


class TubelessValve(Record):
    """A valve that is bolted into the rim."""

    valve: tyres.ValveStem | None = None


class ValveSleeve(Record):
    """A ring between a thin valve and a wide valve hole."""

    valve_hole: tyres.ValveHole | None = None
    valve: tyres.ValveStem | None = None


class Mudguard(Record):
    """A mudguard."""

    guard: tyres_use.Guard | None = None
