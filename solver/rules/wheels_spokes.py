"""Joints of a wheel as it is built: hub and rim, spokes in flange and nipple, nipples in the rim, rim in the frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Final

from solver.formulas import spoke as formulas
from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    RowTable,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.work import notes

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
    place("front", spokes="front_spokes", hub="front_hub", rotor="front_rotor"),
    place("rear", spokes="rear_spokes", hub="rear_hub", rotor="rear_rotor"),
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

SPOKE_LENGTH = joint(
    "wheels.spoke-length",
    "length of the spokes",
    """
    What meets: the spokes, and the distance from the flange to the rim that they have to bridge.

    Why it matters: too short, a spoke holds by a few turns and pulls the nipple apart; too long, it bottoms in the
    nipple or stands into the tube.

    What to do: work the length out for each side by itself and take the nearest that is sold.

    Measure: the rim over two spokes of known length; the circle of the holes and the distance of each flange from the
    middle.

    Caution: a nipple that breaks lets the wheel go out of true. Spokes reach the slot of the nipple, most of all in
    aluminium. If in doubt, ask a qualified mechanic.
    """,
    place("front", spokes="front_spokes", hub="front_hub", rim="front_rim"),
    place("rear", spokes="rear_spokes", hub="rear_hub", rim="rear_rim"),
    safety=True,
    presupposes=("wheels.rim-on-hub", "wheels.spokes-in-hub"),
)

SPOKE_IN_NIPPLE = joint(
    "wheels.spoke-in-nipple",
    "spoke in nipple",
    """
    What meets: the thread rolled on the spoke, and the thread inside the nipple.

    Why it matters: all of them have 56 turns an inch, so a thin spoke goes into a wide nipple and holds by the tips.

    What to do: take nipples with the code of the spokes: FG 2, FG 2.3 or FG 2.6.

    Measure: over the thread of the spoke with a caliper: 2.1, 2.3 or 2.6 mm.

    Caution: a spoke that slips out lets the wheel fold. If in doubt, ask a qualified mechanic.
    """,
    place("front", spokes="front_spokes", nipples="front_nipples"),
    place("rear", spokes="rear_spokes", nipples="rear_nipples"),
    safety=True,
)

NIPPLE_IN_RIM = joint(
    "wheels.nipple-in-rim",
    "nipple in rim",
    """
    What meets: the body of a nipple, and the hole in the rim that it comes through.

    Why it matters: a thick body does not come through; a thin one sits askew in a wide hole and wears the rim.

    What to do: 4.5 mm holes take the nipples of ordinary spokes. For other pairs there are nipples with the thread of
    one size in the body of the other, and washers.

    Measure: body and hole with a caliper.
    """,
    place("front", nipples="front_nipples", rim="front_rim"),
    place("rear", nipples="rear_nipples", rim="rear_rim"),
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
        if hub_holes == _number(pair["hub"]) and rim_holes == _number(pair["rim"]):
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


_LENGTH: Final = {
    "too-short": Verdict.NO_FIT,
    "too-long": Verdict.NO_FIT,
    "a-shade-short": Verdict.NOT_KNOWN,
    "a-shade-long": Verdict.NOT_KNOWN,
}
_LEFT: Final = (
    "spokes.wire.left_length_mm",
    "spokes.lacing.crosses",
    "hub.flanges.left_circle_mm",
    "hub.flanges.left_offset_mm",
    "hub.flanges.hole_mm",
    "hub.flanges.holes",
    "rim.bed.erd_mm",
)
_RIGHT: Final = tuple(ref.replace(".left_", ".right_") for ref in _LEFT)


@SPOKE_LENGTH.test(
    "right",
    silent="choice",
    reasons=_LENGTH,
    asked_if=_RIGHT,
    spoke=deciding("spokes.wire.right_length_mm"),
    crosses=deciding("spokes.lacing.crosses"),
    circle=deciding("hub.flanges.right_circle_mm"),
    offset=deciding("hub.flanges.right_offset_mm"),
    hole=deciding("hub.flanges.hole_mm"),
    hub_holes=deciding("hub.flanges.holes"),
    erd=deciding("rim.bed.erd_mm"),
    near=trade_figure("wheels.spoke-length-fit"),
)
@SPOKE_LENGTH.test(
    "left",
    silent="choice",
    reasons=_LENGTH,
    asked_if=_LEFT,
    spoke=deciding("spokes.wire.left_length_mm"),
    crosses=deciding("spokes.lacing.crosses"),
    circle=deciding("hub.flanges.left_circle_mm"),
    offset=deciding("hub.flanges.left_offset_mm"),
    hole=deciding("hub.flanges.hole_mm"),
    hub_holes=deciding("hub.flanges.holes"),
    erd=deciding("rim.bed.erd_mm"),
    near=trade_figure("wheels.spoke-length-fit"),
)
def spoke_length(
    spoke: Num, crosses: Num, circle: Num, offset: Num, hole: Num, hub_holes: Num, erd: Num, near: Band
) -> Outcome:
    """The spoke is within 1 mm of the length that rim, flange and lacing ask for; up to 2 mm the nipple decides.

    Asked where hub, rim, lacing and the length of the spokes are all stated.
    """
    need = _worked_out(formulas.length, (erd, circle, offset, hole, hub_holes, crosses))
    over = spoke - need
    if over.near(0, near["sure_mm"]):
        return fits(need_mm=need)
    if over < 0:
        short = -over
        return (
            not_known("a-shade-short", need_mm=need, short_mm=short)
            if short <= near["ask_mm"]
            else no_fit("too-short", need_mm=need, short_mm=short)
        )
    if over <= near["ask_mm"]:
        return not_known("a-shade-long", need_mm=need, over_mm=over)
    return no_fit("too-long", need_mm=need, over_mm=over)


@SPOKE_IN_NIPPLE.test(
    "thread",
    reasons={"spoke-too-thin": Verdict.UNSAFE, "spoke-too-thick": Verdict.NO_FIT},
    spoke_thread=deciding("spokes.wire.thread"),
    nipple_thread=deciding("nipples.body.thread"),
    threads=table("wheels.spoke-threads"),
)
def nipple_thread(spoke_thread: WordFigure, nipple_thread: WordFigure, threads: RowTable) -> Outcome:
    """Spoke and nipple carry the same code. A thicker spoke does not enter; a thinner one holds by the tips."""
    if spoke_thread == nipple_thread:
        return fits()
    for spoke in threads.dicts():
        for nipple in threads.dicts():
            if spoke_thread == str(spoke["thread"]) and nipple_thread == str(nipple["thread"]):
                thin = _number(spoke["dia_mm"]) < _number(nipple["dia_mm"])
                return unsafe("spoke-too-thin") if thin else no_fit("spoke-too-thick")
    return no_fit("spoke-too-thick")


@NIPPLE_IN_RIM.test(
    "body",
    silent="instead",
    reasons={"body-too-thick": Verdict.NO_FIT, "hole-too-wide": Verdict.NEEDS_ADAPTER},
    asked_if=("nipples.body.body_dia_mm",),
    body=deciding("nipples.body.body_dia_mm"),
    hole=deciding("rim.bed.nipple_hole_mm"),
    play=trade_figure("wheels.nipple-play"),
    washer=adapter_kind("wheels.nipple-washer"),
)
def nipple_body(body: Num, hole: Num, play: Band, washer: AdapterPairs) -> Outcome:
    """The body of the nipple comes through the hole with little play; a wide hole wants a washer under the head."""
    loose = hole - body
    if loose < 0:
        return no_fit("body-too-thick")
    return fits() if loose <= play["most_mm"] else needs_adapter("hole-too-wide", washer.row, play_mm=loose)


@NIPPLE_IN_RIM.test(
    "size",
    reasons={
        "hole-too-small": (Verdict.NEEDS_ADAPTER, Verdict.NO_FIT),
        "hole-too-wide": Verdict.NEEDS_ADAPTER,
        "body-not-known": Verdict.NOT_KNOWN,
    },
    asked_unless=("nipples.body.body_dia_mm",),
    nipple_thread=deciding("nipples.body.thread"),
    hole=deciding("rim.bed.nipple_hole_mm"),
    usual=trade_figure("wheels.nipple-holes"),
    adapter_nipple=adapter_kind("wheels.adapter-nipple"),
)
def nipple_size(nipple_thread: WordFigure, hole: Num, usual: Band, adapter_nipple: AdapterPairs) -> Outcome:
    """Nipples of ordinary spokes are made for holes of 4.5 mm, those of thick spokes for larger ones.

    Asked where nobody measured the body. Nipples with the thread of one size in the body of the other close the gap.
    """
    smallest, largest = usual["usual_mm"] - usual["either_way_mm"], usual["usual_mm"] + usual["either_way_mm"]
    if hole < smallest:
        return no_fit("hole-too-small")
    if nipple_thread == "spoke-thread.fg-2.6":
        return needs_adapter("hole-too-small", adapter_nipple.row) if hole <= largest else not_known("body-not-known")
    return fits() if hole <= largest else needs_adapter("hole-too-wide", adapter_nipple.row)


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


def _worked_out(formula: Callable[..., Decimal], figures: Sequence[Num]) -> Num:
    """Return what a formula that is no sum makes of some figures, as a number that keeps what is open in them.

    A measured figure counts by its slope at the value measured. With a figure missing, nothing is known of the result.
    """
    values = [figure.value for figure in figures]
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        open_terms = {
            name for figure, value in zip(figures, values, strict=True) if value is None for name, _ in figure.terms
        }
        return Num(Decimal(0), tuple((name, Decimal(1)) for name in sorted(open_terms)))
    result = Num(formula(*known))
    for at, figure in enumerate(figures):
        for name, reach in figure.spread:
            step = max(reach, Decimal("0.1"))
            moved = [value + step if here == at else value for here, value in enumerate(known)]
            slope = (formula(*moved) - formula(*known)) / step
            result = result + (Num.measured(name, Decimal(0), reach) * slope)
    return result


def _number(cell: Decimal | str | None) -> Decimal:
    if not isinstance(cell, Decimal):
        raise TypeError(f"the table has no number here: {cell!r}")
    return cell


# ------------------------------------------------------------------------------------------------------------ the work

SPOKE_LENGTH.step(
    "lace",
    apart=("hub", "rim"),
    before=("true-wheel",),
    tools=("spoke-key", "nipple-driver"),
    uses=notes("use.spoke-prep"),
    practice=("practice.lace-label",),
    figures=("wheels.spoke-length",),
)
SPOKE_LENGTH.step(
    "true-wheel",
    apart=("hub", "rim"),
    before=("tape-on", "tyre-on", "rotor-on", "wheel-in"),
    tools=("spoke-key", "truing-stand", "dish-gauge", "tension-gauge"),
    practice=("practice.stress-relieve",),
    figures=("wheels.dish",),
)
