"""Joints of the chainrings: on the cranks, beside the frame, and the chainline."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
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
    limit,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
)
from solver.rules.work import Torque, notes

# ------------------------------------------------------------------------------------------------- chainring on cranks

RING_ON_CRANK = joint(
    "drivetrain.chainring-on-crank",
    "chainring on cranks",
    """
    What meets: the holes or the star of a chainring, and the arms or the seat of the crank that carry it.

    When it fits: the same number of bolts on the same circle in the same pattern, or the same shape of direct mount;
    and no ring so small that chain and bolts get in each other's way.

    Why it matters: holes that nearly meet cannot be drawn together, and each maker's direct mount has its own shape.

    What to do: go by the crank. A direct mount takes a spider of its maker, which then carries rings with bolts.

    Measure: with an even number of holes from one to the one opposite, centre to centre; with five from one to its
    neighbour, times 1.70. On uneven patterns neighbours tell nothing: go by the crank's name.
    """,
    place("outer", crank="crank", ring="chainring"),
    place("middle", crank="crank", ring="chainring_middle"),
)

INNER_RING_ON_CRANK = joint(
    "drivetrain.inner-chainring-on-crank",
    "inner chainring on cranks",
    """
    What meets: the inner chainring, and the crank. On a double it shares the bolts of the outer ring; on a triple it
    has a smaller circle of its own.

    When it fits: as with the outer ring, on either of the two circles.

    Why it matters: a ring on another circle has no holes where the crank has its own.

    Measure: both circles of the crank; they are printed together, such as 110/74 or 104/64.
    """,
    place(crank="crank", ring="chainring_inner"),
)

#: The mount of a sprocket without arms, and what may turn it there.
_SPINDLE: Final = "direct.spindle"
_SPROCKET_DRIVES: Final = ("bolt", "pin", "spline")

_BOLTED: Mapping[str, Verdict | tuple[Verdict, ...]] = {
    "bolts-differ": Verdict.NO_FIT,
    "circle-differs": Verdict.NO_FIT,
    "pattern-differs": Verdict.NO_FIT,
    "ring-too-small": Verdict.NO_FIT,
}


def _too_small(teeth: Num | None, bolts: Num, circle: Num, least: Iterable[RowTable], slack: Decimal) -> Num | None:
    """Return the least teeth on this circle if the ring has fewer, else nothing."""
    if teeth is None:
        return None
    for row in (r for rows in least for r in rows.dicts()):
        number, bcd, fewest = row["bolts"], row["bcd_mm"], row["teeth"]
        if not isinstance(number, Decimal) or not isinstance(bcd, Decimal) or not isinstance(fewest, Decimal):
            continue
        if teeth < fewest and bolts == number and circle.near(bcd, slack):
            return Num(fewest)
    return None


def _on_mount(crank: WordFigure, ring: WordFigure, spider: AdapterPairs) -> Outcome | None:
    """Say what follows from the two mounts alone; nothing where both are held by bolts on arms."""
    if crank == "bolts" and ring == "bolts":
        return None
    if crank == ring:
        return fits()
    if ring == "bolts" and any(crank == str(pair["mount"]) for pair in spider.pairs):
        return needs_adapter("mount-without-spider", spider.row)
    return no_fit("mount-differs")


@RING_ON_CRANK.test(
    "circle",
    reasons={**_BOLTED, "mount-differs": Verdict.NO_FIT, "mount-without-spider": Verdict.NEEDS_ADAPTER},
    asked_unless=("ring.holes.hole_mm",),
    asked_anyway=("ring.holes.bcd_mm",),
    crank_mount=deciding("crank.spider.mount"),
    ring_mount=deciding("ring.holes.mount"),
    crank_bolts=deciding("crank.spider.bolts"),
    ring_bolts=deciding("ring.holes.bolts"),
    crank_circle=deciding("crank.spider.bcd_mm"),
    ring_circle=deciding("ring.holes.bcd_mm"),
    crank_pattern=deciding("crank.spider.pattern"),
    ring_pattern=deciding("ring.holes.pattern"),
    position=confirming("ring.holes.position"),
    teeth=confirming("ring.ring.teeth"),
    play=trade_figure("drivetrain.circle-play"),
    least=table("drivetrain.least-rings"),
    least_remembered=table("drivetrain.least-rings-remembered"),
    turned_by=deciding("ring.bore.drive"),
    spider=adapter_kind("drivetrain.direct-mount-spider"),
    spindle_spider=adapter_kind("drivetrain.sprocket-spider"),
)
def ring_circle(
    crank_mount: WordFigure,
    ring_mount: WordFigure,
    crank_bolts: Num,
    ring_bolts: Num,
    crank_circle: Num,
    ring_circle: Num,
    crank_pattern: WordFigure,
    ring_pattern: WordFigure,
    position: WordFigure | None,
    teeth: Num | None,
    play: Band,
    least: RowTable,
    least_remembered: RowTable,
    turned_by: WordFigure,
    spider: AdapterPairs,
    spindle_spider: AdapterPairs,
) -> Outcome:
    """Mount, bolts, bolt circle and pattern are the same, and the ring is not smaller than the circle allows.

    Of a sprocket on the spindle itself it has to be told what turns it; then the joint of such sprockets is asked.
    """
    if crank_mount == _SPINDLE and ring_mount == _SPINDLE:
        return fits() if turned_by.within(_SPROCKET_DRIVES) else no_fit("mount-differs")
    told = _on_mount(crank_mount, ring_mount, spindle_spider if crank_mount == _SPINDLE else spider)
    if told is not None:
        return told
    if crank_bolts != ring_bolts:
        return no_fit("bolts-differ")
    if not ring_circle.near(crank_circle, play["mm"]):
        return no_fit("circle-differs")
    fewest = _too_small(teeth, crank_bolts, crank_circle, (least, least_remembered), play["mm"])
    if fewest is not None:
        return no_fit("ring-too-small", least_teeth=fewest)
    if crank_pattern != ring_pattern:
        return no_fit("pattern-differs")
    return fits("made-for-the-inside") if position is not None and position == "inner" else fits()


@RING_ON_CRANK.test(
    "holes",
    silent="instead",
    reasons={
        "mount-differs": Verdict.NO_FIT,
        "bolts-differ": Verdict.NO_FIT,
        "circle-differs": Verdict.NO_FIT,
        "ring-too-small": Verdict.NO_FIT,
        "uneven-holes": Verdict.NOT_KNOWN,
    },
    asked_if=("ring.holes.hole_mm",),
    asked_unless=("ring.holes.bcd_mm",),
    crank_mount=deciding("crank.spider.mount"),
    crank_bolts=deciding("crank.spider.bolts"),
    ring_bolts=deciding("ring.holes.bolts"),
    crank_circle=deciding("crank.spider.bcd_mm"),
    hole_distance=deciding("ring.holes.hole_mm"),
    crank_pattern=deciding("crank.spider.pattern"),
    teeth=confirming("ring.ring.teeth"),
    play=trade_figure("drivetrain.circle-play"),
    factors=table("drivetrain.hole-distance"),
    least=table("drivetrain.least-rings"),
    least_remembered=table("drivetrain.least-rings-remembered"),
)
def ring_holes(
    crank_mount: WordFigure,
    crank_bolts: Num,
    ring_bolts: Num,
    crank_circle: Num,
    hole_distance: Num,
    crank_pattern: WordFigure,
    teeth: Num | None,
    play: Band,
    factors: RowTable,
    least: RowTable,
    least_remembered: RowTable,
) -> Outcome:
    """The distance of neighbouring holes is that of the crank's circle: the circle times the sine of half the angle.

    Asked where the distance of the holes was measured and no circle is printed. On a crank with uneven holes it says
    nothing.
    """
    if crank_mount != "bolts":
        return no_fit("mount-differs")
    if crank_bolts != ring_bolts:
        return no_fit("bolts-differ")
    if crank_pattern != "even":
        return not_known("uneven-holes")
    fewest = _too_small(teeth, crank_bolts, crank_circle, (least, least_remembered), play["mm"])
    if fewest is not None:
        return no_fit("ring-too-small", least_teeth=fewest)
    for row in factors.dicts():
        number, factor = row["bolts"], row["factor"]
        if isinstance(number, Decimal) and isinstance(factor, Decimal) and crank_bolts == number:
            wanted = crank_circle * factor
            return fits() if hole_distance.near(wanted, play["mm"]) else no_fit("circle-differs", wanted_mm=wanted)
    return not_known("uneven-holes")


@INNER_RING_ON_CRANK.test(
    "circle",
    reasons=_BOLTED,
    ring_bolts=deciding("ring.holes.bolts"),
    ring_circle=deciding("ring.holes.bcd_mm"),
    ring_pattern=deciding("ring.holes.pattern"),
    crank_bolts=deciding("crank.spider.bolts"),
    crank_circle=deciding("crank.spider.bcd_mm"),
    crank_pattern=deciding("crank.spider.pattern"),
    inner_bolts=deciding("crank.inner_spider.bolts"),
    inner_circle=deciding("crank.inner_spider.bcd_mm"),
    inner_pattern=deciding("crank.inner_spider.pattern"),
    position=confirming("ring.holes.position"),
    teeth=confirming("ring.ring.teeth"),
    play=trade_figure("drivetrain.circle-play"),
    least=table("drivetrain.least-rings"),
    least_remembered=table("drivetrain.least-rings-remembered"),
)
def inner_ring_circle(
    ring_bolts: Num,
    ring_circle: Num,
    ring_pattern: WordFigure,
    crank_bolts: Num,
    crank_circle: Num,
    crank_pattern: WordFigure,
    inner_bolts: Num,
    inner_circle: Num,
    inner_pattern: WordFigure,
    position: WordFigure | None,
    teeth: Num | None,
    play: Band,
    least: RowTable,
    least_remembered: RowTable,
) -> Outcome:
    """The inner ring goes on the circle of the outer one, or on the crank's inner circle."""
    own = ring_bolts == crank_bolts and ring_circle.near(crank_circle, play["mm"])
    bolts, circle, pattern = (
        (crank_bolts, crank_circle, crank_pattern) if own else (inner_bolts, inner_circle, inner_pattern)
    )
    if bolts != ring_bolts:
        return no_fit("bolts-differ")
    if not ring_circle.near(circle, play["mm"]):
        return no_fit("circle-differs")
    fewest = _too_small(teeth, bolts, circle, (least, least_remembered), play["mm"])
    if fewest is not None:
        return no_fit("ring-too-small", least_teeth=fewest)
    if pattern != ring_pattern:
        return no_fit("pattern-differs")
    return fits("made-for-the-outside") if position is not None and position == "outer" else fits()


# ------------------------------------------------------------------------------------------------- chainring in frame

RING_IN_FRAME = joint(
    "drivetrain.chainring-in-frame",
    "chainring past the frame",
    """
    What meets: the chainring, and the chainstay that it passes.

    Why it matters: a ring that is too large touches the stay as soon as frame and spindle give.

    What to do: keep to the largest ring that the maker of the frame prints. Where he prints none, mount it and look: at
    least 3 mm of room, all round.

    Measure: count the teeth; the room with a feeler or a folded card between ring and stay, while a helper loads the
    pedal.
    """,
    place(frame="frame", ring="chainring", inner="chainring_inner", crank="crank"),
)


def _past(largest: LimitFigure, teeth: Num) -> Outcome:
    if largest.not_printed:
        return fits("room-to-measure")
    return no_fit("ring-too-large") if teeth > largest.number else fits()


@RING_IN_FRAME.test(
    "ring",
    silent="regular",
    reasons={"ring-too-large": Verdict.NO_FIT},
    asked_if=("frame.ring_room.largest_teeth",),
    largest=limit("frame.ring_room.largest_teeth", "function"),
    teeth=deciding("ring.ring.teeth"),
)
def ring_in_frame(largest: LimitFigure, teeth: Num) -> Outcome:
    """The only or outer ring is no larger than the maker of the frame prints. Asked where somebody looked for that."""
    return _past(largest, teeth)


@RING_IN_FRAME.test(
    "inner-ring",
    silent="regular",
    reasons={"ring-too-large": Verdict.NO_FIT},
    asked_if=("frame.ring_room.largest_inner_teeth",),
    largest=limit("frame.ring_room.largest_inner_teeth", "function"),
    teeth=deciding("inner.ring.teeth"),
)
def inner_ring_in_frame(largest: LimitFigure, teeth: Num) -> Outcome:
    """The inner ring is no larger than the maker of the frame prints. Asked where somebody looked for that."""
    return _past(largest, teeth)


@RING_IN_FRAME.test(
    "single-of-the-cranks",
    silent="regular",
    reasons={"ring-too-large": Verdict.NO_FIT},
    asked_if=("frame.ring_room.largest_teeth", "crank.rings.single_teeth"),
    largest=limit("frame.ring_room.largest_teeth", "function"),
    teeth=deciding("crank.rings.single_teeth"),
)
def single_ring_of_cranks(largest: LimitFigure, teeth: Num) -> Outcome:
    """The one ring that the cranks come with is no larger than the maker of the frame prints."""
    return _past(largest, teeth)


@RING_IN_FRAME.test(
    "largest-of-the-cranks",
    silent="regular",
    reasons={"ring-too-large": Verdict.NO_FIT},
    asked_if=("frame.ring_room.largest_teeth", "crank.rings.largest_teeth"),
    largest=limit("frame.ring_room.largest_teeth", "function"),
    teeth=deciding("crank.rings.largest_teeth"),
)
def largest_ring_of_cranks(largest: LimitFigure, teeth: Num) -> Outcome:
    """The outer ring that the cranks come with is no larger than the maker of the frame prints."""
    return _past(largest, teeth)


# ------------------------------------------------------------------------------------------------- chainline

CHAINLINE = joint(
    "drivetrain.chainline",
    "chainline of cranks and rear hub",
    """
    What meets: the line on which the cranks carry the chain, and the middle of the sprockets on the rear hub.

    When it fits: both lie equally far from the middle of the frame, within about 2 mm.

    Why it matters: off the line, the chain runs askew in half of the gears; it wears, is noisy, and may drop when
    pedalled backwards.

    What to do: another offset of the ring, another length of the spindle, or the cranks that are made for this width of
    hub.

    Measure: from the middle of the seat tube to the middle of the teeth; on a double between the rings, on a triple to
    the middle one.
    """,
    place(crank="crank", hub="rear_hub"),
)


@CHAINLINE.test(
    "line",
    silent="finer",
    reasons={"far-off-the-line": Verdict.NEEDS_WORK},
    asked_if=("crank.rings.chainline_mm",),
    line=deciding("crank.rings.chainline_mm"),
    hub_width=deciding("hub.axle.width_mm"),
    lines=table("drivetrain.chainlines"),
    lines_fat=table("drivetrain.chainlines-fat"),
    lines_remembered=table("drivetrain.chainlines-remembered"),
    slack=trade_figure("drivetrain.chainline-slack"),
)
def chainline(
    line: Num, hub_width: Num, lines: RowTable, lines_fat: RowTable, lines_remembered: RowTable, slack: Band
) -> Outcome:
    """The chainline of the cranks is one that goes with hubs of this width.

    2 mm off runs. Up to 5 mm off is said and left to the rider; more asks for another ring offset or spindle. Asked
    where the chainline of the cranks is stated.
    """
    for row in (*lines.dicts(), *lines_fat.dicts(), *lines_remembered.dicts()):
        width, low, high = row["hub_mm"], row["from_mm"], row["to_mm"]
        if not isinstance(width, Decimal) or not isinstance(low, Decimal) or not isinstance(high, Decimal):
            continue
        if hub_width.near(width, slack["hub_mm"]):
            if line.within(low - slack["runs_mm"], high + slack["runs_mm"]):
                return fits()
            if line.within(low - slack["far_mm"], high + slack["far_mm"]):
                return fits("off-the-line")
            return needs_work("far-off-the-line")
    return fits("hub-width-not-listed")


RING_ON_CRANK.step(
    "rings-on",
    never={"ring.holes.mount": (_SPINDLE,)},
    before=("crank-on",),
    torques=(Torque("torque.chainring-bolts"),),
    tools=("hex-5", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=("practice.star-pattern",),
)
