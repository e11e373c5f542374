"""The joint of shifter, derailleur and cogs: one pull, one step."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Final

from solver.formulas import drivetrain as formulas
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
)
from solver.rules.work import Torque

Row = Mapping[str, Decimal | str | None]

#: Numbers of cogs that cassettes have.
_COGS: Final = range(5, 14)

FRICTION: Final = "shift.friction"


def alike(outcomes: list[Outcome], reason: str) -> Outcome:
    """Return what all outcomes say; where their verdicts differ, it is not known."""
    return outcomes[0] if len({o.verdict for o in outcomes}) == 1 else not_known(reason)


# ------------------------------------------------------------------------------------------------------ shift system

SHIFT_SYSTEM = joint(
    "drivetrain.shift-system",
    "rear shifter, derailleur and cassette",
    """
    What meets: the clicks of the rear shifter, the derailleur that turns cable into a sideways step, and the cogs.

    Why it matters: one click has to move the chain by one cog. The cable that a click moves, times the ratio of the
    derailleur, has to give the distance from cog to cog; a small difference adds up over the whole cassette.

    What to do: keep lever and derailleur of one family and take the cassette that they are made for. A lever without
    clicks goes with everything. Electronic parts go by their generation.

    Measure: put tape on the bare cable and a ruler beside it, shift through all gears, and divide by the clicks;
    measure the cassette over all its cogs, from face to like face, and divide by the steps.

    Caution: whenever shifter, derailleur, cassette, wheel or hanger is changed, set both limit screws before anybody
    pedals; a derailleur that goes too far runs into the spokes.
    """,
    place(shifter="rear_shifter", derailleur="rear_derailleur", cassette="cassette"),
    place("freewheel", shifter="rear_shifter", derailleur="rear_derailleur", cassette="freewheel"),
)

#: Where both families are told, a stated ratio only confirms or contradicts them.
_FAMILIES: Final = ("shifter.lever.family", "derailleur.drive.family")

#: What the steps of a lever may be to the cogs, with the verdict of each.
_STEPS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "too-few-clicks": Verdict.NO_FIT,
    "steps-too-long": Verdict.NO_FIT,
    "steps-too-short": Verdict.NO_FIT,
    "set-with-care": Verdict.NEEDS_WORK,
}


def _stepped(step: Num, pitch: Num | Decimal, cogs: Num, slop: Band, *remarks: str) -> Outcome:
    """Say how the steps of one click go with the distance from cog to cog, over the whole cassette."""
    for count in _COGS:
        if cogs == count:
            error = formulas.error_at_the_ends(step, pitch if isinstance(pitch, Num) else Num(pitch), count)
            if error.near(0, slop["fits_mm"]):
                return fits(*remarks)
            if error.near(0, slop["work_mm"]):
                return needs_work("set-with-care", off_mm=error if error >= 0 else -error)
            if error > 0:
                return no_fit("steps-too-long", off_mm=error)
            return no_fit("steps-too-short", off_mm=-error)
    return not_known("cogs-not-counted")


def _quoted(ratio: Num, ratios: RowTable) -> Decimal | None:
    """Return a ratio as a plain number, if it is one of those that are quoted."""
    for row in ratios.dicts():
        quoted = row["ratio"]
        if isinstance(quoted, Decimal) and ratio == quoted:
            return quoted
    return None


@SHIFT_SYSTEM.test(
    "clicks",
    silent="instead",
    reasons={
        **_STEPS,
        "cogs-not-counted": Verdict.NOT_KNOWN,
        "ratio-not-quoted": Verdict.NOT_KNOWN,
        "pitch-not-told": Verdict.NOT_KNOWN,
    },
    asked_if=("derailleur.drive.ratio",),
    asked_unless=_FAMILIES,
    pull=deciding("shifter.lever.pull_mm"),
    ratio=deciding("derailleur.drive.ratio"),
    pitch=confirming("cassette.bore.pitch_mm"),
    cogs=deciding("cassette.bore.speeds"),
    spacing=confirming("cassette.bore.spacing"),
    spline=confirming("cassette.bore.spline"),
    clicks=confirming("shifter.lever.speeds"),
    lever=confirming("shifter.lever.family"),
    slop=trade_figure("shifting.slop"),
    pitches=table("shifting.cog-pitch"),
    ratios=table("shifting.quoted-ratios"),
)
def clicks(
    pull: Num,
    ratio: Num,
    pitch: Num | None,
    cogs: Num,
    spacing: WordFigure | None,
    spline: WordFigure | None,
    clicks: Num | None,
    lever: WordFigure | None,
    slop: Band,
    pitches: RowTable,
    ratios: RowTable,
) -> Outcome:
    """Cable a click times ratio gives the distance from cog to cog; asked of a stated ratio where a family is missing.

    The derailleur is set to the middle of the cassette. Off by up to 0.6 mm at the outer cogs it runs, up to 0.9 mm
    once set with care. A cassette without a stated distance is taken for one of its number of cogs and its splines.
    """
    if lever is not None and lever == FRICTION:
        return fits("no-clicks")
    if clicks is not None and clicks < cogs:
        return no_fit("too-few-clicks")
    quoted = _quoted(ratio, ratios)
    if quoted is None:
        return not_known("ratio-not-quoted")
    idle = ("idle-click",) if clicks is not None and clicks > cogs else ()
    if pitch is not None:
        return _stepped(pull * quoted, pitch, cogs, slop, *idle)
    taken = (*idle, "cogs-taken-as-common") if spacing is None and spline is None else idle
    known = [row["pitch_mm"] for row in _Cogs(pitches, spacing, spline, cogs).rows]
    if not known or not all(isinstance(p, Decimal) for p in known):
        return not_known("pitch-not-told")
    return alike(
        [_stepped(pull * quoted, p, cogs, slop, *taken) for p in known if isinstance(p, Decimal)], "pitch-not-told"
    )


class _Cogs:
    """What is known of the distances from cog to cog on a cassette."""

    def __init__(self, pitches: RowTable, spacing: WordFigure | None, spline: WordFigure | None, cogs: Num) -> None:
        self.rows = [row for row in self._of(pitches, cogs) if self._may_be(row, spacing, spline)]

    @staticmethod
    def _of(pitches: RowTable, cogs: Num) -> Iterator[Row]:
        for row in pitches.dicts():
            if isinstance(row["speeds"], Decimal) and cogs == row["speeds"]:
                yield row

    @staticmethod
    def _may_be(row: Row, spacing: WordFigure | None, spline: WordFigure | None) -> bool:
        if spacing is not None:
            return spacing == str(row["spacing"])
        if spline is not None:
            return row["told"] != "word" and spline == str(row["spline"])
        return row["told"] == "number"


def _made_for(family: WordFigure, clicks: Num, cogs: _Cogs, systems: RowTable) -> bool:
    """Return whether lever and derailleur of this family are made for these cogs."""
    for row in systems.dicts():
        if any(row["spacing"] == c["spacing"] and row["speeds"] == c["speeds"] for c in cogs.rows):
            speeds = row["speeds"]
            if isinstance(speeds, Decimal) and family == str(row["family"]) and clicks == speeds:
                return True
    return False


def moved(lever: WordFigure | None, mech: WordFigure | None) -> tuple[bool, bool]:
    """Return whether a motor is stated on either side, and whether the sides are stated to differ."""
    first = lever is not None and lever == "motor"
    second = mech is not None and mech == "motor"
    return first or second, lever is not None and mech is not None and first != second


def motors(lever: WordFigure, mech: WordFigure, pairs: RowTable) -> Outcome:
    """Say whether an electronic lever and derailleur understand each other."""
    if lever == mech:
        return fits()
    known = any(lever == str(row["lever"]) and mech == str(row["derailleur"]) for row in pairs.dicts())
    return fits("lever-is-a-switch") if known else no_fit("motors-differ")


def _closed(lever: WordFigure, mech: WordFigure, spacing: WordFigure | None, families: RowTable) -> Outcome | None:
    """Say what follows where a family goes only with its own lever, derailleur and cogs; None for any other."""
    for row in families.dicts():
        family, cogs = str(row["family"]), str(row["spacing"])
        if lever == family:
            if mech != family:
                return no_fit("closed-family")
            if spacing is None:
                return not_known("cogs-not-told")
            return fits() if spacing == cogs else no_fit("closed-family")
        if mech == family or (spacing is not None and spacing == cogs):
            return no_fit("closed-family")
    return None


@SHIFT_SYSTEM.test(
    "gears",
    reasons={"too-few-clicks": Verdict.NO_FIT},
    asked_unless=("derailleur.drive.ratio",),
    asked_anyway=_FAMILIES,
    lever=deciding("shifter.lever.family"),
    action=confirming("shifter.lever.action"),
    clicks=deciding("shifter.lever.speeds"),
    cogs=deciding("cassette.bore.speeds"),
    between=confirming("derailleur.drive.family"),
)
def gears(lever: WordFigure, action: WordFigure | None, clicks: Num, cogs: Num, between: WordFigure | None) -> Outcome:
    """A lever with clicks has at least as many gears as there are cogs; a click too many stays idle.

    A lever without clicks reaches every cog, and an electronic one leaves the counting to its derailleur. Asked once
    there is a derailleur: clicks and cogs that can be counted off say nothing of how far a click moves the chain.
    """
    del between  # what it is made for decides in the test of the family
    if lever == FRICTION or (action is not None and action == "motor"):
        return fits()
    if clicks < cogs:
        return no_fit("too-few-clicks")
    return fits() if clicks <= cogs else fits("idle-click")


@SHIFT_SYSTEM.test(
    "family",
    silent="instead",
    reasons={
        "steps-too-long": Verdict.NO_FIT,
        "steps-too-short": Verdict.NO_FIT,
        "set-with-care": Verdict.NEEDS_WORK,
        "cable-and-motor": Verdict.NO_FIT,
        "motors-differ": Verdict.NO_FIT,
        "closed-family": Verdict.NO_FIT,
        "told-apart": Verdict.NO_FIT,
        "other-anchor": Verdict.NEEDS_ADAPTER,
        "cogs-not-told": Verdict.NOT_KNOWN,
        "ratio-not-told": Verdict.NOT_KNOWN,
        "ratio-differs": Verdict.NOT_KNOWN,
        "ratio-not-quoted": Verdict.NOT_KNOWN,
        "pitch-not-told": Verdict.NOT_KNOWN,
    },
    asked_if=("cassette.bore.speeds",),
    asked_unless=("derailleur.drive.ratio",),
    asked_anyway=_FAMILIES,
    lever=deciding("shifter.lever.family"),
    lever_action=confirming("shifter.lever.action"),
    clicks=deciding("shifter.lever.speeds"),
    pull=deciding("shifter.lever.pull_mm"),
    mech=deciding("derailleur.drive.family"),
    mech_action=confirming("derailleur.drive.action"),
    stated=confirming("derailleur.drive.ratio"),
    cogs=deciding("cassette.bore.speeds"),
    spacing=confirming("cassette.bore.spacing"),
    spline=confirming("cassette.bore.spline"),
    slop=trade_figure("shifting.slop"),
    pitches=table("shifting.cog-pitch"),
    ratios=table("shifting.ratios"),
    quoted_ratios=table("shifting.quoted-ratios"),
    agrees=trade_figure("shifting.ratio-agrees"),
    systems=table("shifting.systems"),
    closed=table("shifting.closed-families"),
    told_apart=table("shifting.told-apart"),
    electric_pairs=table("shifting.electric-pairs"),
    anchor=adapter_kind("rd.anchor"),
)
def family(
    lever: WordFigure,
    lever_action: WordFigure | None,
    clicks: Num,
    pull: Num,
    mech: WordFigure,
    mech_action: WordFigure | None,
    stated: Num | None,
    cogs: Num,
    spacing: WordFigure | None,
    spline: WordFigure | None,
    slop: Band,
    pitches: RowTable,
    ratios: RowTable,
    quoted_ratios: RowTable,
    agrees: Band,
    systems: RowTable,
    closed: RowTable,
    told_apart: RowTable,
    electric_pairs: RowTable,
    anchor: AdapterPairs,
) -> Outcome:
    """Lever and derailleur of one family move the chain over the cogs that they are made for.

    Parts of two families go together where cable a click and ratio are known and give the distance from cog to cog. A
    cassette of which only the number of cogs is told is taken for the common one of that number; Italian and thick cogs
    go by their name. A lever without clicks goes with every derailleur that is pulled by a cable. A stated ratio
    has to be that of the family; where none is printed for the family, the stated one counts.
    """
    motor, differ = moved(lever_action, mech_action)
    if lever == FRICTION:
        return no_fit("cable-and-motor") if motor else fits("no-clicks")
    if differ:
        return no_fit("cable-and-motor")
    if motor:
        return motors(lever, mech, electric_pairs)
    shut = _closed(lever, mech, spacing, closed)
    if shut is not None:
        return shut
    printed = next((r["ratio"] for r in ratios.dicts() if mech == str(r["family"])), None)
    if stated is not None and isinstance(printed, Decimal) and not stated.near(printed, agrees["either"]):
        return not_known("ratio-differs")
    found = _Cogs(pitches, spacing, spline, cogs)
    taken = ("cogs-taken-as-common",) if spacing is None and spline is None else ()
    if lever == mech and _made_for(lever, clicks, found, systems):
        return fits(*taken)
    for row in told_apart.dicts():
        told = isinstance(row["clicks"], Decimal) and clicks == row["clicks"]
        if told and lever == str(row["lever"]) and mech == str(row["derailleur"]):
            return no_fit("told-apart")
    for pair in anchor.pairs:
        counts = clicks == Decimal(pair["clicks"]) and cogs == Decimal(pair["cogs"])
        if counts and lever == str(pair["lever"]) and mech == str(pair["derailleur"]):
            return needs_adapter("other-anchor", anchor.row)
    ratio = printed
    if not isinstance(ratio, Decimal) and stated is not None:
        ratio = _quoted(stated, quoted_ratios)
        if ratio is None:
            return not_known("ratio-not-quoted")
    if not isinstance(ratio, Decimal):
        return not_known("ratio-not-told")
    known = [row["pitch_mm"] for row in found.rows]
    if not known or not all(isinstance(pitch, Decimal) for pitch in known):
        return not_known("pitch-not-told")
    said = [_stepped(pull * ratio, p, cogs, slop, *taken) for p in known if isinstance(p, Decimal)]
    return alike(said, "pitch-not-told")


@SHIFT_SYSTEM.test(
    "stops",
    silent="feature",
    reasons={"motor-counts-otherwise": Verdict.NO_FIT},
    asked_if=("derailleur.drive.stops",),
    stops=deciding("derailleur.drive.stops"),
    cogs=deciding("cassette.bore.speeds"),
)
def stops(stops: Num, cogs: Num) -> Outcome:
    """An electronic derailleur knows one number of gears; the cassette has as many cogs."""
    return fits() if stops == cogs else no_fit("motor-counts-otherwise")


SHIFT_SYSTEM.step(
    "shift-cables",
    where={"derailleur.drive.action": ("cable",)},
    after=("shifters-on", "levers-on", "rd-on", "fd-on"),
    before=("gears-set",),
    torques=(Torque("torque.shift-cable"),),
    tools=("cable-cutter", "hex-5"),
    practice=("practice.housing-square",),
)

SHIFT_SYSTEM.step(
    "gears-set",
    tools=("screwdriver",),
    practice=("practice.limits-first", "practice.upper-pulley"),
)
