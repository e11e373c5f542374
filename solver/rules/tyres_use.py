"""Joints of tyres in use: rim tape, pressure, mudguards, the brake above the tyre, wheels of another size."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

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

TAPE_IN_RIM = joint(
    "tyres.tape-in-rim",
    "rim tape in rim",
    """
    What meets: rim tape, and the bed of the rim with its holes.

    Why it matters: a hole that shows cuts the tube or lets the air out; tape that climbs under the beads lifts the tyre
    off its seat.

    What to do: with a tube, a strip that covers the holes and lies between the bead seats; without one, tape from shelf
    to shelf. Take the width that the rim's maker names.

    Measure: the rim between its walls, the holes on the side of the tyre, the tape as it comes off the roll.

    Caution: a tyre that is lifted by its tape can blow off. Stay with the pressure that tyre and rim allow.
    """,
    place("front", tape="front_rim_tape", rim="front_rim"),
    place("rear", tape="rear_rim_tape", rim="rear_rim"),
    safety=True,
)

PRESSURE = joint(
    "tyres.pressure",
    "pressure in the tyre",
    """
    What meets: the pressure that is wanted, and what tyre and rim bear.

    Why it matters: over its limit a tyre stretches off the rim, or the walls of the rim spread and split.

    What to do: read both limits; the lower one counts. On a rim without hooks 5 bar is a limit as well. Whoever wants
    more air takes a wider tyre.

    Measure: read the sidewall and the rim, or the maker's page. One bar is 14.5 psi.

    Caution: a tyre that blows off throws the rider and can hurt the one who pumps. Follow the makers of tyre and rim.
    """,
    place("front", tyre="front_tyre", rim="front_rim"),
    place("rear", tyre="rear_tyre", rim="rear_rim"),
    safety=True,
)

GUARD_OVER_TYRE = joint(
    "tyres.mudguard-over-tyre",
    "mudguard over tyre",
    """
    What meets: a mudguard, and the tyre that runs under it.

    Why it matters: a narrow guard does not catch the spray; one that stands too close is dragged in by a
    stone.

    What to do: a guard about four tenths wider than the tyre, with room above and beside it. Front stays come loose by
    themselves when something jams.

    Measure: the tyre inflated, where it is widest; the room with feeler gauges or hex keys, where it is narrowest.

    Caution: a front guard that is dragged under locks the wheel and throws the rider. Follow the maker of the guard; if
    in doubt, ask a qualified mechanic.
    """,
    place("front", guard="front_mudguard", tyre="front_tyre", bicycle="bicycle"),
    place("rear", guard="rear_mudguard", tyre="rear_tyre", bicycle="bicycle"),
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

# ------------------------------------------------------------------------------------------------------------ rim tape


@TAPE_IN_RIM.test(
    "diameter",
    silent="feature",
    reasons={"other-diameter": Verdict.NO_FIT},
    asked_if=("tape.strip.bsd_mm",),
    tape_seat=deciding("tape.strip.bsd_mm"),
    rim_seat=deciding("rim.bead.bsd_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
)
def tape_diameter(tape_seat: Num, rim_seat: Num, tolerance: Band) -> Outcome:
    """A strip made in the round is made for the rim's diameter."""
    return fits() if tape_seat.near(rim_seat, tolerance["either_way_mm"]) else no_fit("other-diameter")


@TAPE_IN_RIM.test(
    "width",
    silent="feature",
    reasons={
        "shelves-open": Verdict.NO_FIT,
        "climbs-the-walls": Verdict.NOT_KNOWN,
        "under-the-beads": Verdict.UNSAFE,
    },
    asked_if=("tape.strip.width_mm",),
    tape_use=deciding("tape.strip.use"),
    tape_width=deciding("tape.strip.width_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    airtight=trade_figure("tyres.tubeless-tape"),
)
def tape_width(tape_use: WordFigure, tape_width: Num, inner_width: Num, airtight: Band) -> Outcome:
    """Tubeless tape is as wide as the rim inside, up to 5 mm wider; a strip for a tube is no wider than the rim."""
    over = tape_width - inner_width
    if tape_use == "tubeless":
        if over < airtight["least_over_mm"]:
            return no_fit("shelves-open", short_mm=-over)
        return fits() if over <= airtight["most_over_mm"] else not_known("climbs-the-walls", over_mm=over)
    return fits() if over <= 0 else unsafe("under-the-beads", over_mm=over)


@TAPE_IN_RIM.test(
    "holes",
    silent="finer",
    reasons={"holes-show": Verdict.NO_FIT, "little-margin": Verdict.NOT_KNOWN},
    asked_if=("tape.strip.width_mm", "rim.bed.access_mm"),
    tape_width=deciding("tape.strip.width_mm"),
    hole=deciding("rim.bed.access_mm"),
    margin=trade_figure("tyres.tape-margin"),
)
def tape_holes(tape_width: Num, hole: Num, margin: Band) -> Outcome:
    """The tape covers the holes and 2 mm on each side; with less it has to lie exactly, and it slips."""
    if tape_width < hole:
        return no_fit("holes-show")
    beside = (tape_width - hole) / 2
    return fits() if beside >= margin["least_mm"] else not_known("little-margin", beside_mm=beside)


@TAPE_IN_RIM.test(
    "kind",
    silent="feature",
    reasons={"slips-into-the-well": Verdict.NOT_KNOWN},
    asked_if=("tape.strip.use", "rim.bead.tubeless"),
    tape_use=deciding("tape.strip.use"),
    rim_kind=deciding("rim.bead.tubeless"),
    practice=trade_figure("tyres.band-in-well"),
)
def tape_kind(tape_use: WordFigure, rim_kind: WordFigure, practice: Band) -> Outcome:
    """A rim made for tubeless has a deep well into which a plain band slips; adhesive tape stays, tube or not."""
    return not_known("slips-into-the-well") if tape_use == "tube" and rim_kind == "ready" else fits()


# ------------------------------------------------------------------------------------------------------------ pressure

_BAR: Final = "tyre.air.pressure_bar"
_PSI: Final = "tyre.air.pressure_psi"
_TYRES_LIMIT: Final = "tyre.bead.pressure_max_bar"
_RIMS_LIMIT: Final = "rim.bead.pressure_max_bar"


@PRESSURE.test(
    "tyre-psi",
    silent="choice",
    reasons={"over-the-tyres-limit": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    asked_if=(_PSI,),
    wanted=deciding(_PSI),
    most=limit(_TYRES_LIMIT, "safety"),
    unit=trade_figure("tyres.unit-psi"),
    practice=trade_figure("tyres.lowest-pressure"),
)
@PRESSURE.test(
    "tyre",
    silent="choice",
    reasons={"over-the-tyres-limit": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    asked_if=(_BAR,),
    wanted=deciding(_BAR),
    most=limit(_TYRES_LIMIT, "safety"),
    unit=trade_figure("tyres.unit-bar"),
    practice=trade_figure("tyres.lowest-pressure"),
)
def tyre_pressure(wanted: Num, most: LimitFigure, unit: Band, practice: Band) -> Outcome:
    """The pressure is no higher than the tyre's maker prints."""
    if most.not_printed:
        return not_known("limit-not-printed")
    return fits() if wanted * unit["one_bar"] <= most.number else unsafe("over-the-tyres-limit")


@PRESSURE.test(
    "rim-psi",
    silent="choice",
    reasons={"over-the-rims-limit": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    asked_if=(_PSI, _RIMS_LIMIT),
    wanted=deciding(_PSI),
    most=limit(_RIMS_LIMIT, "safety"),
    unit=trade_figure("tyres.unit-psi"),
    practice=trade_figure("tyres.lowest-pressure"),
)
@PRESSURE.test(
    "rim",
    silent="choice",
    reasons={"over-the-rims-limit": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    asked_if=(_BAR, _RIMS_LIMIT),
    wanted=deciding(_BAR),
    most=limit(_RIMS_LIMIT, "safety"),
    unit=trade_figure("tyres.unit-bar"),
    practice=trade_figure("tyres.lowest-pressure"),
)
def rim_pressure(wanted: Num, most: LimitFigure, unit: Band, practice: Band) -> Outcome:
    """The pressure is no higher than the rim's maker prints."""
    if most.not_printed:
        return not_known("limit-not-printed")
    return fits() if wanted * unit["one_bar"] <= most.number else unsafe("over-the-rims-limit")


@PRESSURE.test(
    "rim-by-width-psi",
    silent="choice",
    reasons={"ask-the-rims-maker": Verdict.NOT_KNOWN},
    beside=("rim",),
    asked_if=(_PSI,),
    asked_unless=(_RIMS_LIMIT,),
    wanted=deciding(_PSI),
    tyre_width=deciding("tyre.bead.width_mm"),
    unit=trade_figure("tyres.unit-psi"),
    by_width=table("tyres.rim-pressure"),
)
@PRESSURE.test(
    "rim-by-width",
    silent="choice",
    reasons={"ask-the-rims-maker": Verdict.NOT_KNOWN},
    beside=("rim",),
    asked_if=(_BAR,),
    asked_unless=(_RIMS_LIMIT,),
    wanted=deciding(_BAR),
    tyre_width=deciding("tyre.bead.width_mm"),
    unit=trade_figure("tyres.unit-bar"),
    by_width=table("tyres.rim-pressure"),
)
def rim_by_width(wanted: Num, tyre_width: Num, unit: Band, by_width: RowTable) -> Outcome:
    """Where the rim's limit is not stated: no more than one rim maker's table allows for a tyre so wide.

    The wider the tyre, the harder the same pressure pulls the walls of the rim apart. Between two rows the wider
    counts.
    Above the table, and for wider tyres than it lists, the rim's maker is asked.
    """
    for row in by_width.dicts():
        if tyre_width <= _number(row["tyre_mm"]):
            within = wanted * unit["one_bar"] <= _number(row["max_bar"])
            return fits("by-one-rim-makers-table") if within else not_known("ask-the-rims-maker")
    return not_known("ask-the-rims-maker")


@PRESSURE.test(
    "hookless-psi",
    silent="instead",
    reasons={"over-the-hookless-limit": Verdict.UNSAFE},
    asked_if=(_PSI, "rim.bead.profile"),
    wanted=deciding(_PSI),
    profile=deciding("rim.bead.profile"),
    unit=trade_figure("tyres.unit-psi"),
    most=trade_figure("tyres.hookless-pressure"),
)
@PRESSURE.test(
    "hookless",
    silent="instead",
    reasons={"over-the-hookless-limit": Verdict.UNSAFE},
    asked_if=(_BAR, "rim.bead.profile"),
    wanted=deciding(_BAR),
    profile=deciding("rim.bead.profile"),
    unit=trade_figure("tyres.unit-bar"),
    most=trade_figure("tyres.hookless-pressure"),
)
def hookless_pressure(wanted: Num, profile: WordFigure, unit: Band, most: Band) -> Outcome:
    """On a rim without hooks never more than 5 bar, whatever the tyre allows."""
    if wanted * unit["one_bar"] <= most["max_bar"]:
        return fits()
    return unsafe("over-the-hookless-limit", most_bar=Num(most["max_bar"])) if profile == "hookless" else fits()


@PRESSURE.test(
    "edge-not-told",
    silent="choice",
    reasons={"over-the-hookless-limit": Verdict.UNSAFE},
    asked_if=(_BAR,),
    asked_unless=("rim.bead.profile",),
    wanted=deciding(_BAR),
    profile=deciding("rim.bead.profile"),
    rim_most=confirming("rim.bead.pressure_max_bar"),
    unit=trade_figure("tyres.unit-bar"),
    most=trade_figure("tyres.hookless-pressure"),
)
@PRESSURE.test(
    "edge-not-told-psi",
    silent="choice",
    reasons={"over-the-hookless-limit": Verdict.UNSAFE},
    asked_if=(_PSI,),
    asked_unless=("rim.bead.profile",),
    wanted=deciding(_PSI),
    profile=deciding("rim.bead.profile"),
    rim_most=confirming("rim.bead.pressure_max_bar"),
    unit=trade_figure("tyres.unit-psi"),
    most=trade_figure("tyres.hookless-pressure"),
)
def edge_not_told(wanted: Num, profile: WordFigure, rim_most: LimitFigure | None, unit: Band, most: Band) -> Outcome:
    """Over 5 bar it matters whether the rim has hooks; a rim that prints more than that has them.

    Asked while nobody says which edge the rim has.
    """
    if wanted * unit["one_bar"] <= most["max_bar"]:
        return fits()
    if rim_most is not None and not rim_most.not_printed and rim_most.number > most["max_bar"]:
        return fits()
    return unsafe("over-the-hookless-limit", most_bar=Num(most["max_bar"])) if profile == "hookless" else fits()


# ----------------------------------------------------------------------------------------------------------- mudguards


@GUARD_OVER_TYRE.test(
    "width",
    reasons={"guard-too-narrow": Verdict.NO_FIT},
    guard_width=deciding("guard.guard.width_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
    wider=trade_figure("tyres.guard-width"),
)
def guard_width(guard_width: Num, tyre_width: Num, wider: Band) -> Outcome:
    """A mudguard is about four tenths wider than the tyre; the narrowest pair that is recommended has three tenths.

    Both are printed in whole millimetres, and half of one decides nothing.
    """
    if guard_width + wider["rounded_mm"] >= tyre_width * wider["least_times"]:
        return fits()
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
    return _room(room, use, clearance)


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
    if measured is not None:
        return _room(height - measured, use, clearance)
    room = height - formulas.radius(tyre_seat, _height(tyre_width, section))
    outcome = _room(room, use, clearance)
    if outcome.verdict is not Verdict.FITS:
        return outcome
    if _room(room / reserve["times"], use, clearance).verdict is not Verdict.FITS:
        return not_known("height-by-rule", room_mm=room)
    return fits("radius-by-rule", room_mm=room)


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
    outside = formulas.outside_diameter(tyre_seat, _height(tyre_width, section))
    if measured is not None:
        outside = measured * 2
    over = outside - built_for
    if over.near(0, differ["either_way_mm"]):
        return fits()
    if over < 0:
        return not_known("pedals-nearer-the-ground", outside_mm=outside, lower_mm=-over / 2)
    return not_known("larger-than-built-for", outside_mm=outside, over_mm=over)


def _height(tyre_width: Num, section: Band) -> Num:
    """Return how high a tyre counts that nobody measured."""
    return tyre_width + section["narrow_added_mm"] if tyre_width < section["narrow_below_mm"] else tyre_width


def _room(room: Num, use: WordFigure, clearance: Band) -> Outcome:
    """Return whether the room above a tyre is enough for the kind of bicycle."""
    if room <= 0:
        return no_fit("touches", room_mm=room)
    if room >= clearance["other_mm"]:
        return fits(room_mm=room)
    if room >= clearance["racing_mm"] and use == "racing":
        return fits(room_mm=room)
    racing, other = Num(clearance["racing_mm"]), Num(clearance["other_mm"])
    return unsafe("too-little-room", room_mm=room, racing_mm=racing, other_mm=other)


def _number(cell: Decimal | str | None) -> Decimal:
    if not isinstance(cell, Decimal):
        raise TypeError(f"the table has no number here: {cell!r}")
    return cell


# ------------------------------------------------------------------------------------------------------------ the work

TAPE_IN_RIM.step(
    "tape-on",
    before=("valve-in", "tyre-on"),
    tools=("cloth",),
    practice=("practice.tape-clean",),
    figures=("tyres.tape",),
)
