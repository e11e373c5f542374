"""Joints round the tyre: mudguard and chain beside it, brake over it, a wheel of another size."""

from __future__ import annotations

from solver.formulas import tyre as formulas
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    no_fit,
    not_known,
    place,
    trade_figure,
)
from solver.rules.tyres_inches import slack as slack_of
from solver.rules.tyres_inches import within_limit
from solver.rules.tyres_room import room_over, rule_height, too_little

GUARD_OVER_TYRE = joint(
    "tyres.mudguard-over-tyre",
    "mudguard over tyre",
    """
    What meets: a mudguard, and the tyre that runs under it.

    Why it matters: a narrow guard does not catch the spray; one that stands too close is dragged in by a
    stone.

    What to do: a guard about four tenths wider than the tyre, with room above and beside it, and no wider tyre than
    its maker names, nor than frame or fork are made for with mudguards. Front stays come loose by themselves when
    something jams.

    Measure: the tyre inflated, where it is widest; the room with feeler gauges or hex keys, where it is narrowest.

    Caution: a front guard that is dragged under locks the wheel and throws the rider. Follow the maker of the guard; if
    in doubt, ask a qualified mechanic.
    """,
    place("front", guard="front_mudguard", tyre="front_tyre", holder="fork", bicycle="bicycle"),
    place("rear", guard="rear_mudguard", tyre="rear_tyre", holder="frame", bicycle="bicycle"),
    safety=True,
)

GUARD_BESIDE_CHAIN = joint(
    "tyres.mudguard-beside-chain",
    "mudguard beside the chain",
    """
    What meets: the rear mudguard, and the chain in the smallest gear.

    Why it matters: the chain rubs on a wide guard and saws it through.

    What to do: with road cranks no guard over 60 mm; a flatter one may stand higher above the tyre.

    Measure: the guard across its edges.
    """,
    place(guard="rear_mudguard", crank="crank"),
)

TYRE_UNDER_BRAKE = joint(
    "tyres.tyre-under-brake",
    "tyre under the brake",
    """
    What meets: the mounted tyre, and the underside of a rim brake above it.

    Why it matters: there is often less room under the brake than under the crown or bridge.

    What to do: a brake with more reach stands higher; else a lower tyre.

    Measure: from the middle of the axle to the lowest part of the closed brake; the tyre inflated, after a day.

    Caution: a wheel that locks throws the rider. Follow the makers; if in doubt, ask a qualified mechanic.
    """,
    place("front", brake="front_rim_brake", tyre="front_tyre", bicycle="bicycle"),
    place("rear", brake="rear_rim_brake", tyre="rear_tyre", bicycle="bicycle"),
    safety=True,
)

WHEEL_OF_ANOTHER_SIZE = joint(
    "tyres.wheel-of-another-size",
    "wheel of another size",
    """
    What meets: a wheel over its tyre, and the frame or fork that was built for wheels of some diameter.

    Why it matters: half of the difference is what the pedals come nearer to the ground, or the front goes up.

    What to do: with disc or hub brakes another rim will do where tyre and rim together come out nearly as large. A rim
    brake has to reach the other rim as well.

    Measure: over the tyre from the ground to its top, inflated.

    Caution: a pedal that touches in a bend throws the rider. Follow the maker of the frame.
    """,
    place("front", tyre="front_tyre", holder="fork"),
    place("rear", tyre="rear_tyre", holder="frame"),
    safety=True,
)

# ----------------------------------------------------------------------------------------------------------- mudguards


@GUARD_OVER_TYRE.test(
    "width",
    reasons={"guard-too-narrow": Verdict.NO_FIT, "narrower-than-recommended": Verdict.NOT_KNOWN},
    guard_width=deciding("guard.guard.width_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
    wider=trade_figure("tyres.guard-width"),
)
def guard_width(guard_width: Num, tyre_width: Num, wider: Band) -> Outcome:
    """A mudguard is about four tenths wider than the tyre; the narrowest pair that is recommended has three tenths.

    Down to two tenths makers disagree, and the maker of the guard decides. All are printed in whole millimetres: half
    of one decides nothing.
    """
    if guard_width + wider["rounded_mm"] >= tyre_width * wider["recommended_times"]:
        return fits()
    if guard_width + wider["rounded_mm"] >= tyre_width * wider["least_times"]:
        return not_known("narrower-than-recommended", usual_mm=tyre_width * wider["usual_times"])
    return no_fit("guard-too-narrow", usual_mm=tyre_width * wider["usual_times"])


@GUARD_OVER_TYRE.test(
    "diameter",
    silent="feature",
    reasons={"other-diameter": Verdict.NO_FIT},
    asked_if=("guard.guard.bsd_mm",),
    guard_seat=deciding("guard.guard.bsd_mm"),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
)
def guard_diameter(guard_seat: Num, tyre_seat: Num, tolerance: Band) -> Outcome:
    """A mudguard is rolled for wheels of one size."""
    return fits() if guard_seat.near(tyre_seat, tolerance["either_way_mm"]) else no_fit("other-diameter")


@GUARD_OVER_TYRE.test(
    "room",
    silent="choice",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    beside=("tyre",),
    asked_if=("guard.guard.room_mm",),
    room=deciding("guard.guard.room_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
def guard_room(room: Num, use: WordFigure, clearance: Band) -> Outcome:
    """Under a mudguard there is as much room as under a frame: 4 mm on racing bicycles, 6 on others."""
    return too_little(room, use, clearance) or fits(room_mm=room)


@GUARD_OVER_TYRE.test(
    "sold-for",
    silent="finer",
    reasons={"over-the-guards-limit": Verdict.NO_FIT, "inches-are-a-name": Verdict.NOT_KNOWN},
    asked_if=("guard.guard.tyre_max_mm",),
    tyre_width=deciding("tyre.bead.width_mm"),
    named_in=confirming("tyre.bead.width_in"),
    measured=confirming("tyre.bead.measured_width_mm"),
    most=limit("guard.guard.tyre_max_mm", "function"),
    inches=trade_figure("tyres.inch-names"),
)
def guard_sold_for(
    tyre_width: Num, named_in: Num | None, measured: Num | None, most: LimitFigure, inches: Band
) -> Outcome:
    """The tyre is no wider than the widest that the mudguard is sold for; measured if somebody did.

    A tyre named in inches may be a little narrower by its mark.
    """
    actual = measured if measured is not None else tyre_width
    if most.not_printed or actual <= most.number:
        return fits()
    if measured is None and actual - slack_of(named_in, inches) <= most.number:
        return not_known("inches-are-a-name")
    return no_fit("over-the-guards-limit")


@GUARD_OVER_TYRE.test(
    "makers-limit",
    silent="finer",
    reasons={
        "over-makers-limit": Verdict.UNSAFE,
        "limit-not-printed": Verdict.NOT_KNOWN,
        "inches-are-a-name": Verdict.NOT_KNOWN,
    },
    beside=("guard",),
    asked_if=("holder.tyre_room.guarded_max_mm",),
    tyre_width=deciding("tyre.bead.width_mm"),
    named_in=confirming("tyre.bead.width_in"),
    measured=confirming("tyre.bead.measured_width_mm"),
    most=limit("holder.tyre_room.guarded_max_mm", "safety"),
    most_in=confirming("holder.tyre_room.guarded_max_in"),
    room=confirming("guard.guard.room_mm"),
    inches=trade_figure("tyres.inch-names"),
)
def guarded_limit(
    tyre_width: Num,
    named_in: Num | None,
    measured: Num | None,
    most: LimitFigure,
    most_in: LimitFigure | None,
    room: Num | None,
    inches: Band,
) -> Outcome:
    """With mudguards the tyre is no wider than the largest that the maker of frame or fork prints for that."""
    if most.not_printed:
        return not_known("limit-not-printed") if room is None else fits()
    return within_limit(tyre_width, named_in, measured, most, most_in, inches)


@GUARD_BESIDE_CHAIN.test(
    "width",
    silent="feature",
    reasons={"chain-hits-the-guard": Verdict.NO_FIT},
    asked_if=("guard.guard.width_mm",),
    guard_width=deciding("guard.guard.width_mm"),
    line=deciding("crank.chain_room.line"),
    widest=trade_figure("tyres.guard-chain"),
)
def guard_beside_chain(guard_width: Num, line: WordFigure, widest: Band) -> Outcome:
    """With road cranks a mudguard is no wider than 60 mm."""
    if guard_width <= widest["most_mm"]:
        return fits()
    return no_fit("chain-hits-the-guard", most_mm=Num(widest["most_mm"])) if line == "road" else fits()


# ------------------------------------------------------------------------------------------- brake above, other wheels


@TYRE_UNDER_BRAKE.test(
    "room",
    silent="choice",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE, "height-by-rule": Verdict.NOT_KNOWN},
    asked_if=("brake.underside.height_mm",),
    height=deciding("brake.underside.height_mm"),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
    section=trade_figure("tyres.section-height"),
    reserve=trade_figure("tyres.height-reserve"),
)
def under_brake(
    height: Num,
    tyre_seat: Num,
    tyre_width: Num,
    measured: Num | None,
    use: WordFigure,
    clearance: Band,
    section: Band,
    reserve: Band,
) -> Outcome:
    """Under the brake there is as much room as beside the tyre.

    A tyre that nobody measured counts as high as it is wide. That is so as a rule only, and the tread comes on top:
    such a tyre needs the room twice over, or has to be measured.
    """
    return room_over(height, tyre_seat, tyre_width, measured, use, clearance, section, reserve)


@WHEEL_OF_ANOTHER_SIZE.test(
    "diameter",
    silent="choice",
    reasons={"pedals-nearer-the-ground": Verdict.NOT_KNOWN, "larger-than-built-for": Verdict.NOT_KNOWN},
    asked_if=("holder.tyre_room.outside_dia_mm",),
    built_for=deciding("holder.tyre_room.outside_dia_mm"),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    differ=trade_figure("tyres.swap-diameter"),
    section=trade_figure("tyres.section-height"),
)
def swapped_wheel(
    built_for: Num, tyre_seat: Num, tyre_width: Num, measured: Num | None, differ: Band, section: Band
) -> Outcome:
    """Over the tyre the wheel is within 15 mm of what frame or fork was built with.

    A smaller one brings the pedals down by half of the difference, a larger one has to clear everything it passes.
    """
    outside = formulas.outside_diameter(tyre_seat, rule_height(tyre_width, section))
    if measured is not None:
        outside = measured * 2
    over = outside - built_for
    if over.near(0, differ["either_way_mm"]):
        return fits()
    if over < 0:
        return not_known("pedals-nearer-the-ground", outside_mm=outside, lower_mm=-over / 2)
    return not_known("larger-than-built-for", outside_mm=outside, over_mm=over)
