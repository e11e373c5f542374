"""Joints of the spokes: hub and rim, spokes in the flange, under the chain, the rim in the frame."""

from __future__ import annotations

from typing import Final

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure, number
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
    confirming,
    deciding,
    fits,
    joint,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)

RIM_ON_HUB = joint(
    "wheels.rim-on-hub",
    "rim on hub",
    """
    What meets: the holes of a hub and the holes of a rim, through the spokes between them.

    Why it matters: every hole of the rim wants a spoke. A rim that is held at some places only, or by too few spokes
    under a disc brake, goes out of true and folds.

    What to do: take a rim with as many holes as the hub. With a disc brake, 24 are the fewest that wheel builders use.

    Measure: count the holes of the rim from the valve hole all round, and those of both flanges.

    Caution: a wheel that folds throws the rider. Follow the makers of hub and rim; if in doubt, ask a qualified
    mechanic.
    """,
    place("front", hub="front_hub", rim="front_rim", rotor="front_rotor", spokes="front_spokes"),
    place("rear", hub="rear_hub", rim="rear_rim", rotor="rear_rotor", spokes="rear_spokes"),
    safety=True,
)

SPOKES_IN_HUB = joint(
    "wheels.spokes-in-hub",
    "spokes in hub",
    """
    What meets: the heads of the spokes, the holes of the flanges, and the way the spokes are laced.

    Why it matters: a head of another shape has no hold; wire too thick or too thin, or a pull the flange was not made
    for, breaks the flange.

    What to do: take the spokes that the hub is drilled for, and no more crossings than its holes allow. Radial spokes
    pull the flange outward: only where the hub's maker allows them, and never where chain or disc brake pull.

    Measure: wire and hole with a caliper; count how many spokes of its side each one crosses.

    Caution: a torn flange lets the wheel go. Follow the maker of the hub; if in doubt, ask a qualified mechanic.
    """,
    place("front", spokes="front_spokes", hub="front_hub", rotor="front_rotor", rim_brake="front_rim_brake"),
    place("rear", spokes="rear_spokes", hub="rear_hub", rotor="rear_rotor", rim_brake="rear_rim_brake"),
    safety=True,
)

DRIVEN_SPOKES = joint(
    "wheels.spokes-under-the-chain",
    "spokes under the pull of the chain",
    """
    What meets: the lacing of the rear wheel, and the pull that the chain gives its hub.

    Why it matters: spokes that cross nowhere cannot carry a twist: they wind up until they break.

    What to do: cross the spokes of a driven wheel, at least on one side.

    Measure: look whether any spokes cross.

    Caution: broken spokes let the wheel fold. Follow the maker of the wheel; if in doubt, ask a qualified mechanic.
    """,
    place(spokes="rear_spokes", hub="rear_hub"),
    safety=True,
)

RIM_IN_FRAME = joint(
    "wheels.rim-in-frame",
    "rim in the middle of the frame",
    """
    What meets: a wheel whose rim stands aside of the middle of its hub, or does not, and a frame that wants it there.

    Why it matters: some frames have the hub moved to the right and want the rim to the left of it. A wheel built
    straight then runs beside the middle, near one of the stays.

    What to do: have the wheel built, or rebuilt, to the offset of the frame.

    Measure: with a dishing gauge; the gap on the second side is twice the offset.
    """,
    place("rear", spokes="rear_spokes", frame="frame"),
)

STRAIGHT: Final = "straight-pull"


@RIM_ON_HUB.test(
    "holes",
    reasons={"counts-differ": Verdict.NO_FIT, "holes-left-empty": Verdict.NEEDS_WORK},
    hub_holes=deciding("hub.flanges.holes"),
    rim_holes=deciding("rim.bed.holes"),
    practice=trade_figure("wheels.equal-holes"),
    skipped=table("wheels.skip-lacings"),
)
def holes(hub_holes: Num, rim_holes: Num, practice: Band, skipped: RowTable) -> Outcome:
    """Hub and rim have the same number of holes.

    A wheel builder laces a rim of 24 on a hub of 32 and leaves holes of the hub empty; that is work for one who knows
    the pattern. Every other difference is a no.
    """
    if hub_holes == rim_holes:
        return fits()
    for pair in skipped.dicts():
        if hub_holes == number(pair["hub"]) and rim_holes == number(pair["rim"]):
            return needs_work("holes-left-empty")
    return no_fit("counts-differ")


# A hub made for a rotor is drilled for it; beside a rim the count is asked by the other test, and a hub alone whose
# holes nobody counted is no reason to doubt the rotor that goes on it.
@RIM_ON_HUB.test(
    "disc",
    silent="finer",
    asked_if=("hub.flanges.holes",),
    reasons={"few-for-a-disc": Verdict.NOT_KNOWN},
    beside=("rotor",),
    hub_holes=deciding("hub.flanges.holes"),
    said=confirming("hub.flanges.disc"),
    fewest=trade_figure("wheels.disc-spokes"),
)
def disc_spokes(hub_holes: Num, said: WordFigure | None, fewest: Band) -> Outcome:
    """With a disc brake the wheel has at least 24 spokes; of fewer only its maker knows whether they are enough.

    Asked of a hub whose holes are counted.
    """
    if hub_holes >= fewest["least_holes"]:
        return fits()
    if said is not None and said == "cleared":
        return fits("cleared-by-the-maker")
    return not_known("few-for-a-disc", least=Num(fewest["least_holes"]))


@RIM_ON_HUB.test(
    "spokes",
    silent="choice",
    reasons={"spokes-too-few": Verdict.NO_FIT},
    beside=("spokes",),
    asked_if=("spokes.wire.count",),
    count=deciding("spokes.wire.count"),
    rim_holes=deciding("rim.bed.holes"),
)
def spokes(count: Num, rim_holes: Num) -> Outcome:
    """There is a spoke for every hole of the rim; more than that are spares."""
    return fits() if count >= rim_holes else no_fit("spokes-too-few")


@SPOKES_IN_HUB.test(
    "head",
    silent="finer",
    reasons={"heads-differ": Verdict.NO_FIT},
    asked_if=("spokes.wire.head",),
    head=deciding("spokes.wire.head"),
    takes=deciding("hub.flanges.spoke_head"),
)
def head(head: WordFigure, takes: WordFigure) -> Outcome:
    """Bent spokes hang in round holes or slots, straight ones in hubs made for them."""
    if head == takes:
        return fits()
    return fits() if head == "j-bend" and takes == "slotted" else no_fit("heads-differ")


@SPOKES_IN_HUB.test(
    "wire",
    silent="finer",
    reasons={"wire-too-thick": Verdict.UNSAFE, "tight-hole": Verdict.NOT_KNOWN, "loose-hole": Verdict.NOT_KNOWN},
    asked_if=("spokes.wire.elbow_mm", "hub.flanges.hole_mm"),
    wire=deciding("spokes.wire.elbow_mm"),
    hole=deciding("hub.flanges.hole_mm"),
    play=trade_figure("wheels.spoke-hole-play"),
)
def wire(wire: Num, hole: Num, play: Band) -> Outcome:
    """The hole is a few tenths wider than the wire at the bend. Thicker wire is forced in, and the flange breaks."""
    loose = hole - wire
    if loose < 0:
        return unsafe("wire-too-thick")
    if loose < play["least_mm"]:
        return not_known("tight-hole", play_mm=loose)
    return fits() if loose <= play["most_mm"] else not_known("loose-hole", play_mm=loose)


@SPOKES_IN_HUB.test(
    "blade",
    silent="finer",
    reasons={"blade-does-not-pass": Verdict.NO_FIT},
    asked_if=("spokes.wire.blade_mm", "hub.flanges.hole_mm"),
    blade=deciding("spokes.wire.blade_mm"),
    hole=deciding("hub.flanges.hole_mm"),
    takes=deciding("hub.flanges.spoke_head"),
)
def blade(blade: Num, hole: Num, takes: WordFigure) -> Outcome:
    """A flat spoke passes the hole edgewise, or the flange is slotted, or it goes in straight from its head."""
    if blade <= hole:
        return fits()
    return fits() if takes.within(("slotted", STRAIGHT)) else no_fit("blade-does-not-pass")


@SPOKES_IN_HUB.test(
    "crossings-right",
    silent="choice",
    reasons={"too-many-crossings": Verdict.NO_FIT},
    asked_if=("spokes.lacing.right_crosses",),
    crosses=deciding("spokes.lacing.right_crosses"),
    hub_holes=deciding("hub.flanges.holes"),
    most=trade_figure("wheels.crossings"),
)
@SPOKES_IN_HUB.test(
    "crossings-left",
    silent="choice",
    reasons={"too-many-crossings": Verdict.NO_FIT},
    asked_if=("spokes.lacing.left_crosses",),
    crosses=deciding("spokes.lacing.left_crosses"),
    hub_holes=deciding("hub.flanges.holes"),
    most=trade_figure("wheels.crossings"),
)
@SPOKES_IN_HUB.test(
    "crossings",
    silent="choice",
    reasons={"too-many-crossings": Verdict.NO_FIT},
    asked_if=("spokes.lacing.crosses",),
    crosses=deciding("spokes.lacing.crosses"),
    hub_holes=deciding("hub.flanges.holes"),
    most=trade_figure("wheels.crossings"),
)
def crossings(crosses: Num, hub_holes: Num, most: Band) -> Outcome:
    """A spoke crosses no more others than a ninth of the holes; one more, and it lies over the head of the next."""
    return fits() if crosses * most["holes_each"] <= hub_holes else no_fit("too-many-crossings")


@SPOKES_IN_HUB.test(
    "radial-right",
    silent="choice",
    reasons={"radial-forbidden": Verdict.UNSAFE},
    asked_if=("spokes.lacing.right_crosses",),
    crosses=deciding("spokes.lacing.right_crosses"),
    radial=deciding("hub.flanges.radial"),
    practice=trade_figure("wheels.radial-flanges"),
)
@SPOKES_IN_HUB.test(
    "radial-left",
    silent="choice",
    reasons={"radial-forbidden": Verdict.UNSAFE},
    asked_if=("spokes.lacing.left_crosses",),
    crosses=deciding("spokes.lacing.left_crosses"),
    radial=deciding("hub.flanges.radial"),
    practice=trade_figure("wheels.radial-flanges"),
)
@SPOKES_IN_HUB.test(
    "radial",
    silent="choice",
    reasons={"radial-forbidden": Verdict.UNSAFE},
    asked_if=("spokes.lacing.crosses",),
    crosses=deciding("spokes.lacing.crosses"),
    radial=deciding("hub.flanges.radial"),
    practice=trade_figure("wheels.radial-flanges"),
)
def radial(crosses: Num, radial: WordFigure, practice: Band) -> Outcome:
    """Spokes that cross nowhere pull the flange outward: only on a hub whose maker allows it."""
    if crosses > 0 or radial == "allowed":
        return fits()
    return unsafe("radial-forbidden")


@SPOKES_IN_HUB.test(
    "disc-side",
    silent="choice",
    reasons={"radial-under-a-disc": Verdict.UNSAFE},
    beside=("rotor",),
    asked_if=("spokes.lacing.left_crosses",),
    crosses=deciding("spokes.lacing.left_crosses"),
    practice=trade_figure("wheels.torque-spokes"),
)
@SPOKES_IN_HUB.test(
    "disc",
    silent="choice",
    reasons={"radial-under-a-disc": Verdict.UNSAFE},
    beside=("rotor",),
    asked_if=("spokes.lacing.crosses",),
    crosses=deciding("spokes.lacing.crosses"),
    practice=trade_figure("wheels.torque-spokes"),
)
def disc_side(crosses: Num, practice: Band) -> Outcome:
    """The side of a disc brake has crossed spokes; radial ones wind up under the brake."""
    return fits() if crosses > 0 else unsafe("radial-under-a-disc")


# A hub without a word about a rotor's seat is judged by the rotor on the list, above.
@SPOKES_IN_HUB.test(
    "disc-hub-side",
    silent="feature",
    reasons={"radial-on-a-disc-hub": Verdict.UNSAFE},
    asked_if=("spokes.lacing.left_crosses", "hub.rotor_mount.pattern"),
    crosses=deciding("spokes.lacing.left_crosses"),
    pattern=deciding("hub.rotor_mount.pattern"),
    brake_form=deciding("rim_brake.foot.form", optional=True),
    practice=trade_figure("wheels.torque-spokes"),
)
@SPOKES_IN_HUB.test(
    "disc-hub",
    silent="feature",
    reasons={"radial-on-a-disc-hub": Verdict.UNSAFE},
    asked_if=("spokes.lacing.crosses", "hub.rotor_mount.pattern"),
    crosses=deciding("spokes.lacing.crosses"),
    pattern=deciding("hub.rotor_mount.pattern"),
    brake_form=deciding("rim_brake.foot.form", optional=True),
    practice=trade_figure("wheels.torque-spokes"),
)
def disc_hub(crosses: Num, pattern: WordFigure, brake_form: WordFigure, practice: Band) -> Outcome:
    """A hub with a seat for a rotor gets a disc brake, on the list or not: its side has crossed spokes.

    Where a rim brake stops this wheel, the seat stays empty, and the hub's maker alone decides.
    """
    if crosses > 0 or pattern == "none":
        return fits()
    return unsafe("radial-on-a-disc-hub") if brake_form == "none" else fits("never-with-a-disc")


@DRIVEN_SPOKES.test(
    "crossed",
    silent="choice",
    reasons={"radial-under-the-chain": Verdict.UNSAFE},
    beside=("hub",),
    asked_if=("spokes.lacing.crosses",),
    crosses=deciding("spokes.lacing.crosses"),
    practice=trade_figure("wheels.torque-spokes"),
)
def driven(crosses: Num, practice: Band) -> Outcome:
    """A wheel that is driven has crossed spokes on one side at least."""
    return fits() if crosses > 0 else unsafe("radial-under-the-chain")


@RIM_IN_FRAME.test(
    "wheel",
    silent="feature",
    reasons={"rim-beside-the-middle": Verdict.NEEDS_WORK},
    asked_if=("spokes.lacing.rim_left_mm",),
    rim_left=deciding("spokes.lacing.rim_left_mm"),
    wanted=deciding("frame.dropout.rim_left_mm"),
    near=trade_figure("wheels.offset-near"),
)
@RIM_IN_FRAME.test(
    "frame",
    silent="feature",
    reasons={"rim-beside-the-middle": Verdict.NEEDS_WORK},
    asked_if=("frame.dropout.rim_left_mm",),
    rim_left=deciding("spokes.lacing.rim_left_mm"),
    wanted=deciding("frame.dropout.rim_left_mm"),
    near=trade_figure("wheels.offset-near"),
)
def rim_left(rim_left: Num, wanted: Num, near: Band) -> Outcome:
    """The rim stands where the frame wants it: in the middle, or as far to the left as the frame is offset.

    Asked where frame or wheel is known for an offset. Otherwise the spokes are taken out and the wheel is built anew.
    """
    aside = rim_left - wanted
    return fits() if aside.near(0, near["near_mm"]) else needs_work("rim-beside-the-middle")
