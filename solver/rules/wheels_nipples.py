"""Joints of spoke, nipple and rim: how long the spokes are, and what their nipples hold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Final

from solver.formulas import spoke as formulas
from solver.report import Verdict
from solver.rules.figures import Num, WordFigure, number
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    RowTable,
    adapter_kind,
    deciding,
    fits,
    joint,
    needs_adapter,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.work import notes

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
                thin = number(spoke["dia_mm"]) < number(nipple["dia_mm"])
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
