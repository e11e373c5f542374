"""Joints of the tyre with the frame and fork that it turns in."""

from __future__ import annotations

from decimal import Decimal

from solver.formulas import tyre as formulas
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.tyres_inches import within_limit

TYRE_IN_FRAME = joint(
    "tyres.tyre-in-frame",
    "room for the tyre",
    """
    What meets: the mounted tyre, and the blades, stays, crown and bridges beside and above it.

    Why it matters: mud, a stone or a wheel out of true closes a narrow gap and stops the wheel.

    What to do: go by the largest tyre that the maker of frame or fork prints; where he prints none, by the room
    that is left. With a suspension fork look at full travel too. A front mudguard and its bolts count as part
    of the fork.

    Measure: the gap with inside jaws where the tyre is widest; the tyre inflated, over its widest tread, after
    a day.

    Caution: a wheel that locks throws the rider. Follow the makers of frame and fork.
    """,
    place("front", tyre="front_tyre", holder="fork", rim="front_rim", bicycle="bicycle"),
    place("rear", tyre="rear_tyre", holder="frame", rim="rear_rim", bicycle="bicycle"),
    safety=True,
)

_MAKERS = "holder.tyre_room.tyre_max_mm"
_GAP = "holder.tyre_room.gap_mm"
_GUARDED = "holder.tyre_room.guarded_max_mm"


@TYRE_IN_FRAME.test(
    "makers-limit",
    silent="instead",
    reasons={
        "over-makers-limit": Verdict.UNSAFE,
        "limit-not-printed": Verdict.NOT_KNOWN,
        "inches-are-a-name": Verdict.NOT_KNOWN,
    },
    asked_if=(_MAKERS,),
    tyre_width=deciding("tyre.bead.width_mm"),
    named_in=confirming("tyre.bead.width_in"),
    measured=confirming("tyre.bead.measured_width_mm"),
    most=limit(_MAKERS, "safety"),
    most_in=confirming("holder.tyre_room.tyre_max_in"),
    gap=confirming(_GAP),
    felt=confirming("holder.tyre_room.room_mm"),
    inches=trade_figure("tyres.inch-names"),
)
def makers_limit(
    tyre_width: Num,
    named_in: Num | None,
    measured: Num | None,
    most: LimitFigure,
    most_in: LimitFigure | None,
    gap: Num | None,
    felt: Num | None,
    inches: Band,
) -> Outcome:
    """The tyre is no wider than the largest that the maker prints; measured if somebody did, else as printed.

    Inches beside inches are two names, compared as they stand; inches beside millimetres are not so exact.
    """
    if most.not_printed:
        return not_known("limit-not-printed") if gap is None and felt is None else fits()
    return within_limit(tyre_width, named_in, measured, most, most_in, inches)


@TYRE_IN_FRAME.test(
    "measured-gap",
    silent="instead",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_if=(_MAKERS, _GAP),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    felt=confirming("holder.tyre_room.room_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
@TYRE_IN_FRAME.test(
    "measured-gap-guarded",
    silent="instead",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_if=(_GUARDED, _GAP),
    asked_unless=(_MAKERS,),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    felt=confirming("holder.tyre_room.room_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
def gap_beside(
    gap: Num, tyre_width: Num, measured: Num | None, felt: Num | None, use: WordFigure, clearance: Band
) -> Outcome:
    """Half of what the gap is wider than the tyre is the room on each side: 4 mm on racing bicycles, 6 on others.

    Where somebody felt the room beside this very tyre, that is the answer.
    """
    if felt is not None:
        return fits()
    actual = measured if measured is not None else tyre_width
    outcome = too_little(formulas.side_room(gap, actual), use, clearance)
    if outcome is not None:
        return outcome
    return fits() if measured is not None else fits("width-as-printed")


@TYRE_IN_FRAME.test(
    "gap",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_unless=(_MAKERS,),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    felt=confirming("holder.tyre_room.room_mm"),
    named_in=confirming("tyre.bead.width_in"),
    guarded=confirming(_GUARDED),
    guarded_in=confirming("holder.tyre_room.guarded_max_in"),
    inches=trade_figure("tyres.inch-names"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
def gap_or_guarded(
    gap: Num,
    tyre_width: Num,
    measured: Num | None,
    felt: Num | None,
    named_in: Num | None,
    guarded: LimitFigure | None,
    guarded_in: LimitFigure | None,
    inches: Band,
    use: WordFigure,
    clearance: Band,
) -> Outcome:
    """What the maker allows under a mudguard goes without one as well; else the gap beside the tyre decides."""
    if guarded is not None and not guarded.not_printed:
        under_guard = within_limit(tyre_width, named_in, measured, guarded, guarded_in, inches)
        if under_guard.verdict is Verdict.FITS:
            return fits()
    return gap_beside(gap, tyre_width, measured, felt, use, clearance)


@TYRE_IN_FRAME.test(
    "feeler",
    silent="choice",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_if=("holder.tyre_room.room_mm",),
    felt=deciding("holder.tyre_room.room_mm"),
    tyre_width=confirming("tyre.bead.width_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
def feeler(felt: Num, tyre_width: Num | None, use: WordFigure, clearance: Band) -> Outcome:
    """The room that was felt beside the mounted tyre is enough."""
    return too_little(felt, use, clearance) or fits()


@TYRE_IN_FRAME.test(
    "gap-on-this-rim",
    silent="instead",
    reasons={"grows-on-this-rim": Verdict.NOT_KNOWN},
    asked_if=(_GAP, "tyre.bead.design_rim_mm", "rim.bead.inner_width_mm"),
    asked_unless=("tyre.bead.measured_width_mm",),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    design_rim=deciding("tyre.bead.design_rim_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
    growth=trade_figure("tyres.width-growth"),
)
def gap_on_this_rim(
    gap: Num, tyre_width: Num, design_rim: Num, inner_width: Num, use: WordFigure, clearance: Band, growth: Band
) -> Outcome:
    """A tyre stands wider on a rim wider than it was drawn for; where that could use up the room, it is measured."""
    if inner_width <= design_rim:
        return fits()
    widest = formulas.mounted_width(tyre_width, inner_width, design_rim, growth["most_mm"])
    usual = formulas.mounted_width(tyre_width, inner_width, design_rim, growth["usual_mm"])
    if too_little(formulas.side_room(gap, widest), use, clearance) is None:
        return fits()
    return not_known("grows-on-this-rim", usual_mm=usual, widest_mm=widest)


@TYRE_IN_FRAME.test(
    "limit-on-this-rim",
    silent="instead",
    reasons={"grows-on-this-rim": Verdict.NOT_KNOWN},
    asked_if=(_MAKERS, "tyre.bead.design_rim_mm", "rim.bead.inner_width_mm"),
    asked_unless=("tyre.bead.measured_width_mm",),
    most=limit(_MAKERS, "safety"),
    tyre_width=deciding("tyre.bead.width_mm"),
    design_rim=deciding("tyre.bead.design_rim_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    growth=trade_figure("tyres.width-growth"),
)
def limit_on_this_rim(most: LimitFigure, tyre_width: Num, design_rim: Num, inner_width: Num, growth: Band) -> Outcome:
    """The maker's limit is for the tyre as it stands; on a wider rim than it was drawn for it may stand over it."""
    if most.not_printed:
        return fits()
    return _grown(most, tyre_width, design_rim, inner_width, growth)


def _grown(most: LimitFigure, tyre_width: Num, design_rim: Num | Decimal, inner_width: Num, growth: Band) -> Outcome:
    if inner_width <= design_rim or tyre_width > most.number:
        return fits()  # a tyre that is over the limit by its mark is said so above
    widest = tyre_width + (inner_width - design_rim) * growth["most_mm"]
    if widest <= most.number:
        return fits()
    usual = tyre_width + (inner_width - design_rim) * growth["usual_mm"]
    return not_known("grows-on-this-rim", usual_mm=usual, widest_mm=widest)


@TYRE_IN_FRAME.test(
    "limit-by-table",
    silent="instead",
    reasons={"grows-on-this-rim": Verdict.NOT_KNOWN},
    asked_if=(_MAKERS, "rim.bead.inner_width_mm"),
    asked_unless=("tyre.bead.measured_width_mm",),
    most=limit(_MAKERS, "safety"),
    tyre_width=deciding("tyre.bead.width_mm"),
    own_rim=confirming("tyre.bead.design_rim_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    rims=table("tyres.measuring-rim-2020"),
    growth=trade_figure("tyres.width-growth"),
)
def limit_by_table(
    most: LimitFigure, tyre_width: Num, own_rim: Num | None, inner_width: Num, rims: RowTable, growth: Band
) -> Outcome:
    """The same where nobody says for which rim the tyre was drawn: the table of the standard tells."""
    if most.not_printed or own_rim is not None:
        return fits()
    for row in rims.dicts():
        widest_tyre, rim = row["tyre_to_mm"], row["rim_mm"]
        if isinstance(widest_tyre, Decimal) and isinstance(rim, Decimal) and tyre_width <= widest_tyre:
            return _grown(most, tyre_width, rim, inner_width, growth)
    return fits()


@TYRE_IN_FRAME.test(
    "above",
    silent="choice",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE, "height-by-rule": Verdict.NOT_KNOWN},
    asked_if=("holder.tyre_room.height_mm",),
    height=deciding("holder.tyre_room.height_mm"),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
    section=trade_figure("tyres.section-height"),
    reserve=trade_figure("tyres.height-reserve"),
)
def room_above(
    height: Num,
    tyre_seat: Num,
    tyre_width: Num,
    measured: Num | None,
    use: WordFigure,
    clearance: Band,
    section: Band,
    reserve: Band,
) -> Outcome:
    """Over the tyre there is as much room as beside it.

    A tyre that nobody measured counts as high as it is wide. That is so as a rule only, and the tread comes on top:
    such a tyre needs the room twice over, or has to be measured.
    """
    return room_over(height, tyre_seat, tyre_width, measured, use, clearance, section, reserve)


@TYRE_IN_FRAME.test(
    "rim-size",
    silent="feature",
    reasons={
        "larger-wheel": Verdict.NOT_KNOWN,
        "much-smaller-wheel": Verdict.NOT_KNOWN,
        "far-smaller-wheel": Verdict.NO_FIT,
    },
    asked_if=("holder.tyre_room.bsd_mm",),
    tyre_seat=deciding("rim.bead.bsd_mm"),
    made_for=deciding("holder.tyre_room.bsd_mm"),
    height=confirming("holder.tyre_room.height_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
    smaller=trade_figure("tyres.smaller-wheel"),
)
@TYRE_IN_FRAME.test(
    "wheel-size",
    silent="feature",
    reasons={
        "larger-wheel": Verdict.NOT_KNOWN,
        "much-smaller-wheel": Verdict.NOT_KNOWN,
        "far-smaller-wheel": Verdict.NO_FIT,
    },
    asked_if=("holder.tyre_room.bsd_mm",),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    made_for=deciding("holder.tyre_room.bsd_mm"),
    height=confirming("holder.tyre_room.height_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
    smaller=trade_figure("tyres.smaller-wheel"),
)
def wheel_size(tyre_seat: Num, made_for: Num, height: Num | None, tolerance: Band, smaller: Band) -> Outcome:
    """Frame and fork are made for this wheel size or one a little larger.

    The room above a larger wheel is measured; under a much smaller one the pedals come near the ground, under a far
    smaller one they touch it.
    """
    if tyre_seat > made_for + tolerance["either_way_mm"]:
        return fits() if height is not None else not_known("larger-wheel")
    if tyre_seat >= made_for - tolerance["either_way_mm"]:
        return fits()
    less = made_for - tyre_seat
    if less > smaller["most_mm"]:
        return no_fit("far-smaller-wheel", lower_mm=less / 2)
    return not_known("much-smaller-wheel", lower_mm=less / 2) if less > smaller["usual_mm"] else fits("smaller-wheel")


def too_little(room: Num, use: WordFigure, clearance: Band) -> Outcome | None:
    """Return what is wrong with the room beside or above a tyre, or None if there is enough."""
    if room <= 0:
        return no_fit("touches", room_mm=room)
    if room >= clearance["other_mm"]:
        return None
    if room >= clearance["racing_mm"] and use == "racing":
        return None
    racing, other = Num(clearance["racing_mm"]), Num(clearance["other_mm"])
    return unsafe("too-little-room", room_mm=room, racing_mm=racing, other_mm=other)


def rule_height(tyre_width: Num, section: Band) -> Num:
    """Return how high a tyre counts that nobody measured."""
    return tyre_width + section["narrow_added_mm"] if tyre_width < section["narrow_below_mm"] else tyre_width


def room_over(
    height: Num,
    tyre_seat: Num,
    tyre_width: Num,
    measured: Num | None,
    use: WordFigure,
    clearance: Band,
    section: Band,
    reserve: Band,
) -> Outcome:
    """Return whether there is room between a tyre and what stands at ``height`` over the axle.

    A tyre whose ``measured`` radius is not stated needs that room ``reserve`` times over.
    """
    if measured is not None:
        room = height - measured
        return too_little(room, use, clearance) or fits(room_mm=room)
    room = height - formulas.radius(tyre_seat, rule_height(tyre_width, section))
    wrong = too_little(room, use, clearance)
    if wrong is not None:
        return wrong
    if too_little(room / reserve["times"], use, clearance) is not None:
        return not_known("height-by-rule", room_mm=room)
    return fits("radius-by-rule", room_mm=room)
