"""Joints of the rim's bed under a tyre, and the pressure that both bear."""

from __future__ import annotations

from typing import Final

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure, number
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
        if tyre_width <= number(row["tyre_mm"]):
            within = wanted * unit["one_bar"] <= number(row["max_bar"])
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


# ------------------------------------------------------------------------------------------------------------ the work

TAPE_IN_RIM.step(
    "tape-on",
    before=("valve-in", "tyre-on"),
    tools=("cloth",),
    practice=("practice.tape-clean",),
    figures=("tyres.tape",),
)
