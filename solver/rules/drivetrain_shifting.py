"""Joints of the drivetrain: chain, shift system, derailleurs on the frame and over the rings, levers on the bar."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Final

from solver.formulas import drivetrain as formulas
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
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

Row = Mapping[str, Decimal | str | None]

#: Numbers of cogs that cassettes have.
_COGS: Final = range(5, 14)
_FRICTION: Final = "shift.friction"


def _alike(outcomes: list[Outcome], reason: str) -> Outcome:
    """Return what all outcomes say; where their verdicts differ, it is not known."""
    return outcomes[0] if len({o.verdict for o in outcomes}) == 1 else not_known(reason)


# ------------------------------------------------------------------------------------------------- chain on cassette

CHAIN_ON_CASSETTE = joint(
    "drivetrain.chain-on-cassette",
    "chain on cassette",
    """
    What meets: the chain and the cogs of the cassette.

    Why it matters: the more cogs, the closer they stand, and the thinner the chain has to be over its rivets. A chain
    that is too wide rubs on the next cog. From 12 gears on, makers also shape rollers and plates each in their own way.

    What to do: take the chain for the number of cogs. A chain for one or two gears more runs as well; one for fewer
    gears does not.

    Measure: with a caliper over the rivets. About 7.1 mm is for 8 gears, 6.6 for 9, 5.9 for 10, 5.6 for 11, 5.3 for 12.

    Caution: shift through every gear on the stand before anybody rides; a chain that climbs on the next cog jumps under
    load.
    """,
    place(chain="chain", cassette="cassette"),
    place("freewheel", chain="chain", cassette="freewheel"),
)


@CHAIN_ON_CASSETTE.test(
    "gears",
    reasons={"chain-too-wide": Verdict.NO_FIT, "steps-not-told": Verdict.NOT_KNOWN},
    chain_gears=deciding("chain.plates.speeds"),
    cogs=deciding("cassette.bore.speeds"),
    steps=trade_figure("shifting.chain-steps"),
)
def chain_gears_on_cassette(chain_gears: Num, cogs: Num, steps: Band) -> Outcome:
    """The chain is made for as many gears as there are cogs, or for up to two more.

    One chain serves five to eight cogs alike. A chain for fewer gears than there are cogs is too wide.
    """
    if chain_gears < cogs:
        return no_fit("chain-too-wide")
    if chain_gears <= steps["common_to"]:
        return fits()
    if chain_gears <= cogs:
        return fits()
    if chain_gears - cogs <= steps["steps"]:
        return fits("narrower-chain")
    return not_known("steps-not-told")


@CHAIN_ON_CASSETTE.test(
    "over-rivets",
    silent="instead",
    reasons={"chain-too-wide": Verdict.NO_FIT, "cogs-not-in-table": Verdict.NOT_KNOWN},
    asked_if=("chain.plates.outer_mm",),
    asked_unless=("chain.plates.speeds",),
    outer=deciding("chain.plates.outer_mm"),
    cogs=deciding("cassette.bore.speeds"),
    widths=table("shifting.chain-widths"),
)
def chain_over_rivets(outer: Num, cogs: Num, widths: RowTable) -> Outcome:
    """Where nobody states for how many gears a chain is made, its width over the rivets tells."""
    for row in widths.dicts():
        count, most = row["speeds"], row["outer_mm"]
        if isinstance(count, Decimal) and isinstance(most, Decimal) and cogs == count:
            return fits() if outer <= most else no_fit("chain-too-wide", room_mm=Num(most))
    return not_known("cogs-not-in-table")


@CHAIN_ON_CASSETTE.test(
    "between-plates",
    silent="finer",
    reasons={"cog-too-thick": Verdict.NO_FIT},
    asked_if=("chain.plates.inner_mm", "cassette.bore.cog_mm"),
    inner=deciding("chain.plates.inner_mm"),
    cog=deciding("cassette.bore.cog_mm"),
)
def cog_between_plates(inner: Num, cog: Num) -> Outcome:
    """A cog is thinner than the chain is wide inside; asked where both are stated."""
    return fits() if cog <= inner else no_fit("cog-too-thick", over_mm=cog - inner)


def _shapes(chain: WordFigure | str, teeth: WordFigure | str, where: str, pairs: RowTable) -> Outcome:
    """Say whether a chain of one shape sits on teeth of another."""
    if chain == teeth:
        return fits()
    for row in pairs.dicts():
        if row["where"] == where and chain == str(row["chain"]) and teeth == str(row["teeth"]):
            return fits() if row["go"] == "yes" else no_fit("shape-differs")
    return not_known("shapes-not-told")


_SHAPE_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "shape-differs": Verdict.NO_FIT,
    "shapes-not-told": Verdict.NOT_KNOWN,
}


@CHAIN_ON_CASSETTE.test(
    "shape",
    silent="instead",
    reasons=_SHAPE_REASONS,
    asked_if=("cassette.bore.tooth_shape",),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    teeth=deciding("cassette.bore.tooth_shape"),
    steps=trade_figure("shifting.chain-steps"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_on_cassette(
    chain_gears: Num, chain_shape: WordFigure, teeth: WordFigure, steps: Band, pairs: RowTable
) -> Outcome:
    """From 12 gears on, rollers and plates suit the teeth; chains for fewer gears all have one shape."""
    if chain_gears <= steps["plain_to"]:
        return fits()
    return _shapes(chain_shape, teeth, "cassette", pairs)


@CHAIN_ON_CASSETTE.test(
    "shape-by-splines",
    reasons={**_SHAPE_REASONS, "teeth-not-told": Verdict.NOT_KNOWN},
    asked_unless=("cassette.bore.tooth_shape",),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    cogs=deciding("cassette.bore.speeds"),
    spline=deciding("cassette.bore.spline"),
    steps=trade_figure("shifting.chain-steps"),
    kinds=table("shifting.teeth-by-splines"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_by_splines(
    chain_gears: Num,
    chain_shape: WordFigure,
    cogs: Num,
    spline: WordFigure,
    steps: Band,
    kinds: RowTable,
    pairs: RowTable,
) -> Outcome:
    """The same, where nobody states the shape of the teeth: up to 11 cogs they are ordinary, else the splines tell.

    Where splines carry teeth of several shapes it is known only if all come out alike.
    """
    if chain_gears <= steps["plain_to"]:
        return fits()
    if cogs <= steps["plain_to"]:
        return _shapes(chain_shape, "chain.standard", "older cassette", pairs)
    rows = [r for r in kinds.dicts() if isinstance(r["speeds"], Decimal) and cogs == r["speeds"]]
    possible = [str(r["teeth"]) for r in rows if spline == str(r["spline"])]
    if not possible:
        return not_known("teeth-not-told")
    return _alike([_shapes(chain_shape, teeth, "cassette", pairs) for teeth in possible], "teeth-not-told")


# --------------------------------------------------------------------------------------------------- chain on rings

CHAIN_ON_RINGS = joint(
    "drivetrain.chain-on-rings",
    "chain on chainrings",
    """
    What meets: the chain and the teeth of the chainrings.

    Why it matters: a tooth has to go between the plates. The chain is as wide inside from 9 to 12 gears, so rings are
    patient; some makers of 12 gears have longer plates or larger rollers, and then only their own rings do.

    What to do: take rings made for the chain, or for one or two gears more or less.

    Measure: the thickness of a tooth with a caliper; the chain inside, between two plates that face each other.

    Caution: a worn ring with hooked teeth does not let go of a new chain; change both.
    """,
    place(chain="chain", crank="crank"),
)


@CHAIN_ON_RINGS.test(
    "gears",
    silent="finer",
    reasons={"tooth-too-thick": Verdict.NO_FIT, "steps-not-told": Verdict.NOT_KNOWN},
    asked_if=("chain.plates.speeds", "crank.rings.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    ring_gears=deciding("crank.rings.speeds"),
    steps=trade_figure("shifting.ring-steps"),
    classes=trade_figure("shifting.chain-steps"),
)
def chain_gears_on_rings(chain_gears: Num, ring_gears: Num, steps: Band, classes: Band) -> Outcome:
    """The rings are made for the gears of the chain, give or take two; asked where both are stated.

    A wide chain runs on thin teeth, with noise. A chain for several gears does not go on the teeth of a single-speed
    ring for wide chains.
    """
    if ring_gears <= 1:
        return fits() if chain_gears <= 1 else no_fit("tooth-too-thick")
    if chain_gears <= 1:
        return fits("wide-chain-noisy")
    if chain_gears == ring_gears:
        return fits()
    if chain_gears <= classes["common_to"] and ring_gears <= classes["common_to"]:
        return fits()
    if chain_gears.near(ring_gears, steps["steps"]):
        return fits("rings-for-other-gears")
    return not_known("steps-not-told")


@CHAIN_ON_RINGS.test(
    "between-plates",
    silent="finer",
    reasons={"tooth-too-thick": Verdict.NO_FIT},
    asked_if=("chain.plates.inner_mm", "crank.rings.tooth_mm"),
    inner=deciding("chain.plates.inner_mm"),
    tooth=deciding("crank.rings.tooth_mm"),
    room=trade_figure("shifting.ring-room"),
)
def tooth_between_plates(inner: Num, tooth: Num, room: Band) -> Outcome:
    """A tooth is thinner than the chain is wide inside; asked where both are stated. Much thinner is noisy."""
    if inner < tooth:
        return no_fit("tooth-too-thick", over_mm=tooth - inner)
    return fits("wide-chain-noisy") if inner - tooth >= room["noisy_mm"] else fits()


@CHAIN_ON_RINGS.test(
    "shape",
    silent="finer",
    reasons=_SHAPE_REASONS,
    asked_if=("chain.plates.speeds", "crank.rings.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    ring_gears=deciding("crank.rings.speeds"),
    teeth=deciding("crank.rings.tooth_shape"),
    steps=trade_figure("shifting.chain-steps"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_on_rings(
    chain_gears: Num, chain_shape: WordFigure, ring_gears: Num, teeth: WordFigure, steps: Band, pairs: RowTable
) -> Outcome:
    """Rollers and plates suit the teeth of the rings; up to 11 gears both have one shape.

    Asked where the gears of both are stated.
    """
    if chain_gears <= steps["plain_to"]:
        if ring_gears <= steps["plain_to"]:
            return fits()
        return _shapes("chain.standard", teeth, "ring", pairs)
    if ring_gears <= steps["plain_to"]:
        return _shapes(chain_shape, "chain.standard", "ring", pairs)
    return _shapes(chain_shape, teeth, "ring", pairs)


# ----------------------------------------------------------------------------------------------------- link in chain

LINK_IN_CHAIN = joint(
    "drivetrain.link-in-chain",
    "link or pin in the chain",
    """
    What meets: the chain, and the link or pin that closes it.

    Why it matters: the rivets of a link are as long as the chain is wide. Too long, the plates have play and the link
    catches; too short, it cannot be closed safely.

    What to do: take the link or pin for the gears of the chain, from 12 gears on of the same shape. Many links and all
    pins are for one use.

    Measure: read the number on the link; with a caliper over the rivets, compare with the chain.

    Caution: a chain that opens under load throws the rider. Never use a pin twice, and check that a link has
    snapped in.
    """,
    place(link="chain_link", chain="chain"),
    safety=True,
)


@LINK_IN_CHAIN.test(
    "gears",
    reasons={"link-too-wide": Verdict.NO_FIT, "link-too-narrow": Verdict.NO_FIT},
    link_gears=deciding("link.joiner.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    steps=trade_figure("shifting.chain-steps"),
)
def link_gears(link_gears: Num, chain_gears: Num, steps: Band) -> Outcome:
    """Link and chain are made for the same gears; one link serves five to eight."""
    if link_gears.within(steps["common_from"], steps["common_to"]) and chain_gears.within(
        steps["common_from"], steps["common_to"]
    ):
        return fits()
    if link_gears < chain_gears:
        return no_fit("link-too-wide")
    return fits() if link_gears <= chain_gears else no_fit("link-too-narrow")


@LINK_IN_CHAIN.test(
    "shape",
    reasons={"shapes-not-told": Verdict.NOT_KNOWN},
    chain_gears=deciding("chain.plates.speeds"),
    link_shape=deciding("link.joiner.shape"),
    chain_shape=deciding("chain.plates.shape"),
    steps=trade_figure("shifting.chain-steps"),
)
def link_shape(chain_gears: Num, link_shape: WordFigure, chain_shape: WordFigure, steps: Band) -> Outcome:
    """From 12 gears on the link has the shape of the chain; of mixed shapes nobody at hand says that they hold."""
    if chain_gears <= steps["plain_to"]:
        return fits()
    return fits() if link_shape == chain_shape else not_known("shapes-not-told")


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
    """Cable a click times ratio gives the distance from cog to cog; asked where somebody states the ratio.

    The derailleur is set to the middle of the cassette. Off by up to 0.6 mm at the outer cogs it runs, up to 0.9 mm
    once set with care. A cassette without a stated distance is taken for one of its number of cogs and its splines.
    """
    if lever is not None and lever == _FRICTION:
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
    return _alike(
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


def _moved(lever: WordFigure | None, mech: WordFigure | None) -> tuple[bool, bool]:
    """Return whether a motor is stated on either side, and whether the sides are stated to differ."""
    first = lever is not None and lever == "motor"
    second = mech is not None and mech == "motor"
    return first or second, lever is not None and mech is not None and first != second


def _motors(lever: WordFigure, mech: WordFigure, pairs: RowTable) -> Outcome:
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
    if lever == _FRICTION or (action is not None and action == "motor"):
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
        "other-anchor": Verdict.NEEDS_ADAPTER,
        "cogs-not-told": Verdict.NOT_KNOWN,
        "ratio-not-told": Verdict.NOT_KNOWN,
        "pitch-not-told": Verdict.NOT_KNOWN,
    },
    asked_if=("cassette.bore.speeds",),
    asked_unless=("derailleur.drive.ratio",),
    lever=deciding("shifter.lever.family"),
    lever_action=confirming("shifter.lever.action"),
    clicks=deciding("shifter.lever.speeds"),
    pull=deciding("shifter.lever.pull_mm"),
    mech=deciding("derailleur.drive.family"),
    mech_action=confirming("derailleur.drive.action"),
    cogs=deciding("cassette.bore.speeds"),
    spacing=confirming("cassette.bore.spacing"),
    spline=confirming("cassette.bore.spline"),
    slop=trade_figure("shifting.slop"),
    pitches=table("shifting.cog-pitch"),
    ratios=table("shifting.ratios"),
    systems=table("shifting.systems"),
    closed=table("shifting.closed-families"),
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
    cogs: Num,
    spacing: WordFigure | None,
    spline: WordFigure | None,
    slop: Band,
    pitches: RowTable,
    ratios: RowTable,
    systems: RowTable,
    closed: RowTable,
    electric_pairs: RowTable,
    anchor: AdapterPairs,
) -> Outcome:
    """Lever and derailleur of one family move the chain over the cogs that they are made for.

    Parts of two families go together where cable a click and ratio are known and give the distance from cog to cog. A
    cassette of which only the number of cogs is told is taken for the common one of that number; Italian and thick cogs
    go by their name. A lever without clicks goes with every derailleur that is pulled by a cable.
    """
    motor, differ = _moved(lever_action, mech_action)
    if lever == _FRICTION:
        return no_fit("cable-and-motor") if motor else fits("no-clicks")
    if differ:
        return no_fit("cable-and-motor")
    if motor:
        return _motors(lever, mech, electric_pairs)
    shut = _closed(lever, mech, spacing, closed)
    if shut is not None:
        return shut
    found = _Cogs(pitches, spacing, spline, cogs)
    taken = ("cogs-taken-as-common",) if spacing is None and spline is None else ()
    if lever == mech and _made_for(lever, clicks, found, systems):
        return fits(*taken)
    for pair in anchor.pairs:
        counts = clicks == Decimal(pair["clicks"]) and cogs == Decimal(pair["cogs"])
        if counts and lever == str(pair["lever"]) and mech == str(pair["derailleur"]):
            return needs_adapter("other-anchor", anchor.row)
    ratio = next((r["ratio"] for r in ratios.dicts() if mech == str(r["family"])), None)
    if not isinstance(ratio, Decimal):
        return not_known("ratio-not-told")
    known = [row["pitch_mm"] for row in found.rows]
    if not known or not all(isinstance(pitch, Decimal) for pitch in known):
        return not_known("pitch-not-told")
    said = [_stepped(pull * ratio, p, cogs, slop, *taken) for p in known if isinstance(p, Decimal)]
    return _alike(said, "pitch-not-told")


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


# ---------------------------------------------------------------------------------------- derailleur, slack and cogs

SLACK = joint(
    "drivetrain.derailleur-slack",
    "rear derailleur and the slack of the chain",
    """
    What meets: the cage of the rear derailleur, and the slack that rings and cogs leave in the chain.

    Why it matters: the cage takes up the difference between the longest and the shortest way of the chain. If it
    cannot, the chain is either too short for the largest ring and cog, or hangs down on the smallest.

    What to do: count the teeth. Largest ring less smallest, plus largest cog less smallest, is the capacity that is
    needed.

    Measure: count teeth, or read them on ring and cog; the capacity stands in the derailleur's leaflet.

    Caution: size the chain on the largest ring and the largest cog, on a sprung frame at its longest travel. A chain
    that is too short tears the derailleur off and can lock the wheel.
    """,
    place(derailleur="rear_derailleur", cassette="cassette", crank="crank"),
    place("freewheel", derailleur="rear_derailleur", cassette="freewheel", crank="crank"),
)

UNDER_COGS = joint(
    "drivetrain.derailleur-under-cogs",
    "rear derailleur under the cogs",
    """
    What meets: the upper pulley of the rear derailleur and the cogs.

    Why it matters: the pulley needs room under the largest cog; far from the smallest one it shifts badly.

    What to do: keep within the cogs that the derailleur's maker prints. A hanger extension lowers the derailleur for
    some larger cogs, and does not change the slack that it takes up.

    Measure: count the teeth of the smallest and the largest cog; the limits stand in the derailleur's leaflet.

    Caution: a pulley that runs into the cog bends the hanger, and a bent hanger puts the derailleur into the spokes.
    """,
    place(adapter="hanger_link", derailleur="rear_derailleur", cassette="cassette", extender="hanger_link"),
    place(
        "freewheel",
        adapter="hanger_link",
        derailleur="rear_derailleur",
        cassette="freewheel",
        extender="hanger_link",
    ),
)

_CAPACITY_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "over-capacity": Verdict.NO_FIT,
    "capacity-by-cage": Verdict.NOT_KNOWN,
}


def _taken_up(needed: Num, capacity: LimitFigure, cage: WordFigure, classes: RowTable) -> Outcome:
    """Say whether a derailleur takes up so many teeth; without a printed capacity the length of the cage tells."""
    if not capacity.not_printed:
        return fits() if needed <= capacity.number else no_fit("over-capacity", needed_teeth=needed)
    for row in classes.dicts():
        least, most = row["least_teeth"], row["most_teeth"]
        if isinstance(least, Decimal) and isinstance(most, Decimal) and cage == str(row["length"]):
            if needed <= least:
                return fits("capacity-by-cage")
            return not_known("capacity-by-cage") if needed <= most else no_fit("over-capacity", needed_teeth=needed)
    return not_known("capacity-by-cage")


@SLACK.test(
    "slack",
    reasons=_CAPACITY_REASONS,
    asked_unless=("crank.rings.single_teeth",),
    capacity=limit("derailleur.cage.capacity_teeth", "function"),
    cage=deciding("derailleur.cage.length"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    smallest_ring=deciding("crank.rings.smallest_teeth"),
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
    classes=table("shifting.cage-classes"),
)
def slack(
    capacity: LimitFigure,
    cage: WordFigure,
    largest_ring: Num,
    smallest_ring: Num,
    largest_cog: Num,
    smallest_cog: Num,
    classes: RowTable,
) -> Outcome:
    """The difference of the rings plus that of the cogs is no more than the derailleur takes up."""
    return _taken_up(
        formulas.capacity_needed(largest_ring, smallest_ring, largest_cog, smallest_cog), capacity, cage, classes
    )


@SLACK.test(
    "slack-one-ring",
    silent="instead",
    reasons=_CAPACITY_REASONS,
    asked_if=("crank.rings.single_teeth",),
    ring=deciding("crank.rings.single_teeth"),
    capacity=limit("derailleur.cage.capacity_teeth", "function"),
    cage=deciding("derailleur.cage.length"),
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
    classes=table("shifting.cage-classes"),
)
def slack_one_ring(
    ring: Num, capacity: LimitFigure, cage: WordFigure, largest_cog: Num, smallest_cog: Num, classes: RowTable
) -> Outcome:
    """With one ring only the cogs differ."""
    return _taken_up(formulas.capacity_needed(ring, ring, largest_cog, smallest_cog), capacity, cage, classes)


@UNDER_COGS.test(
    "largest-cog",
    reasons={"cog-too-large": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER)},
    links=(),
    most=limit("derailleur.cage.largest_cog_teeth", "function"),
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    reach=deciding("extender.reach.largest_cog_teeth", optional=True),
    extension=adapter_kind("rd.extender"),
)
def largest_cog(most: LimitFigure, largest_cog: Num, reach: Num, extension: AdapterPairs) -> Outcome:
    """The largest cog is no larger than the derailleur's maker allows, or than the hanger extension on the list."""
    if most.not_printed:
        return fits("largest-cog-not-printed")
    if largest_cog <= most.number:
        return fits()
    if largest_cog <= reach:
        return fits("through-extension")
    if extension.covers(rated_teeth=most.number, cog_teeth=largest_cog):
        return needs_adapter("cog-too-large", extension.row)
    return no_fit("cog-too-large")


@UNDER_COGS.test(
    "smallest-cog",
    silent="finer",
    reasons={"cog-too-small": Verdict.NO_FIT},
    links=(),
    asked_if=("derailleur.cage.smallest_cog_teeth",),
    least=limit("derailleur.cage.smallest_cog_teeth", "function"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
)
def smallest_cog_under_cage(least: LimitFigure, smallest_cog: Num) -> Outcome:
    """The smallest cog is no smaller than the derailleur's maker allows; asked where he prints one."""
    if least.not_printed or smallest_cog >= least.number:
        return fits()
    return no_fit("cog-too-small")


@SLACK.test(
    "ring-difference",
    silent="finer",
    reasons={"rings-too-far-apart": Verdict.NO_FIT},
    asked_if=("derailleur.cage.front_difference_teeth",),
    asked_unless=("crank.rings.single_teeth",),
    most=limit("derailleur.cage.front_difference_teeth", "function"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    smallest_ring=deciding("crank.rings.smallest_teeth"),
)
def ring_difference(most: LimitFigure, largest_ring: Num, smallest_ring: Num) -> Outcome:
    """The rings are no further apart than the derailleur's maker allows; asked where he prints a figure."""
    if most.not_printed or largest_ring - smallest_ring <= most.number:
        return fits()
    return no_fit("rings-too-far-apart", apart_teeth=largest_ring - smallest_ring)


# ----------------------------------------------------------------------------------------------- derailleur on hanger

ON_HANGER = joint(
    "drivetrain.derailleur-on-hanger",
    "rear derailleur on its hanger",
    """
    What meets: the rear derailleur and the lug of the frame that carries it.

    Why it matters: most derailleurs are screwed into a lug with an M10x1 thread. Derailleurs for direct mounting leave
    a link away where the lug is made for it, and full-mount derailleurs sit on the axle of a frame for the universal
    hanger.

    What to do: look at the lug and at the derailleur's upper end; keep the link that lies in the box.

    Measure: look at the shape of the lug; the thread with a gauge.

    Caution: a bent hanger puts the derailleur into the spokes. Steel may be bent back; a hanger of aluminium is
    replaced, and carbon is looked at by the frame's maker.
    """,
    place(adapter="hanger_link", derailleur="rear_derailleur", holder="frame"),
    between=("derailleur", "holder"),
)


@ON_HANGER.test(
    "mount",
    reasons={
        "mount-differs": Verdict.NO_FIT,
        "link-wanted": Verdict.NEEDS_ADAPTER,
        "no-lug": Verdict.NEEDS_ADAPTER,
        "mounts-not-told": Verdict.NOT_KNOWN,
    },
    mount=deciding("derailleur.mount.form"),
    lug=deciding("holder.hanger.form"),
    pairs=table("shifting.hangers"),
    link=adapter_kind("rd.link"),
    claw=adapter_kind("rd.claw"),
)
def mount(mount: WordFigure, lug: WordFigure, pairs: RowTable, link: AdapterPairs, claw: AdapterPairs) -> Outcome:
    """The derailleur's upper end is made for the lug, or its own link makes it so."""
    for row in pairs.dicts():
        if mount == str(row["derailleur"]) and lug == str(row["lug"]):
            said = {
                "yes": fits(),
                "link-off": fits("link-off"),
                "link": needs_adapter("link-wanted", link.row),
                "claw": needs_adapter("no-lug", claw.row),
                "no": no_fit("mount-differs"),
            }
            return said[str(row["go"])]
    return not_known("mounts-not-told")


HANGER_ON_FRAME = joint(
    "drivetrain.hanger-on-frame",
    "replaceable hanger on the frame",
    """
    What meets: a hanger that is bolted on, and the seat for it on the frame.

    Why it matters: there are hundreds of outlines, and only the universal hanger has one for all frames built for it.

    What to do: order by the frame's make, model and year, or lay the old hanger on the picture.

    Measure: the outline and the bolt holes, on a photograph beside a ruler.

    Caution: a hanger that rocks on its seat lets the derailleur run into the spokes.
    """,
    place(piece="derailleur_hanger", holder="frame"),
)


@HANGER_ON_FRAME.test(
    "seat",
    reasons={
        "hanger-is-fixed": Verdict.NO_FIT,
        "seat-differs": Verdict.NO_FIT,
        "outline-not-told": Verdict.NOT_KNOWN,
    },
    piece_seat=deciding("piece.piece.seat"),
    frame_seat=deciding("holder.hanger.seat"),
)
def hanger_seat(piece_seat: WordFigure, frame_seat: WordFigure) -> Outcome:
    """A universal hanger goes on frames built for it; of any other only the outline tells."""
    if frame_seat == "fixed":
        return no_fit("hanger-is-fixed")
    if piece_seat != frame_seat:
        return no_fit("seat-differs")
    return fits() if piece_seat == "universal" else not_known("outline-not-told")


# ---------------------------------------------------------------------------------------- front derailleur on the frame

FRONT_ON_FRAME = joint(
    "drivetrain.front-derailleur-on-frame",
    "front derailleur on the frame",
    """
    What meets: the front derailleur and the seat tube, by a band, a slotted lug or bolts.

    Why it matters: a band closes on one size of tube. Direct mounts have bolt holes of their own each, and cannot be
    moved.

    What to do: measure the tube where the band sits; a band that is a size too wide takes a sleeve, one that is too
    small takes nothing.

    Measure: the seat tube with a caliper: 28.6, 31.8 or 34.9 mm, paint included a little more.

    Caution: a band crushes a thin carbon tube. Tighten to the figure printed on the derailleur and ask the frame's
    maker where none of his frames has a band.
    """,
    place(adapter="front_derailleur_band", derailleur="front_derailleur", holder="frame"),
    between=("derailleur", "holder"),
)


def _banded(clamp: Num, tube: Num, play: Band, sleeve: AdapterPairs) -> Outcome:
    """Say how a band sits on a tube."""
    gap = clamp - tube
    if gap < -play["tighter_mm"]:
        return no_fit("band-too-tight", under_mm=-gap)
    if gap <= play["wider_mm"]:
        return fits()
    for pair in sleeve.pairs:
        if clamp.near(Decimal(pair["clamp_mm"]), play["wider_mm"]) and tube.near(
            Decimal(pair["tube_mm"]), play["wider_mm"]
        ):
            return needs_adapter("band-too-wide", sleeve.row, over_mm=gap)
    return no_fit("band-too-wide", over_mm=gap)


@FRONT_ON_FRAME.test(
    "mount",
    reasons={
        "band-too-tight": Verdict.NO_FIT,
        "band-too-wide": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "no-slot": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "mount-differs": Verdict.NO_FIT,
    },
    mount=deciding("derailleur.mount.form"),
    clamp=deciding("derailleur.mount.clamp_mm"),
    seat=deciding("holder.fd_mount.form"),
    tube=deciding("holder.seat_tube.outside_mm"),
    play=trade_figure("shifting.band-play"),
    sleeve=adapter_kind("fd.sleeve"),
    slotted_band=adapter_kind("fd.band-for-braze-on"),
)
def front_mount(
    mount: WordFigure,
    clamp: Num,
    seat: WordFigure,
    tube: Num,
    play: Band,
    sleeve: AdapterPairs,
    slotted_band: AdapterPairs,
) -> Outcome:
    """A band closes on the tube; any other mount finds its own counterpart on the frame."""
    if mount == "band":
        return _banded(clamp, tube, play, sleeve)
    if mount == seat:
        return fits()
    if mount == "braze-on" and seat == "round-tube":
        for pair in slotted_band.pairs:
            if tube.near(Decimal(pair["tube_mm"]), play["wider_mm"]):
                return needs_adapter("no-slot", slotted_band.row)
        return no_fit("no-slot")
    return no_fit("mount-differs")


@FRONT_ON_FRAME.test(
    "route",
    silent="finer",
    reasons={"cable-from-other-side": Verdict.NEEDS_ADAPTER},
    links=(),
    asked_if=("derailleur.drive.cable", "holder.fd_mount.cable"),
    cable=deciding("derailleur.drive.cable"),
    route=deciding("holder.fd_mount.cable"),
    pulley=adapter_kind("fd.pulley"),
)
def front_route(cable: WordFigure, route: WordFigure, pulley: AdapterPairs) -> Outcome:
    """The cable arrives from the side from which the derailleur is pulled; asked where both are stated."""
    if cable == "dual" or cable == route:
        return fits()
    return needs_adapter("cable-from-other-side", pulley.row)


SLOT_AND_RING = joint(
    "drivetrain.front-slot-and-ring",
    "slot of the front derailleur and the outer ring",
    """
    What meets: the slotted lug on the seat tube and the height at which the outer ring needs the cage.

    Why it matters: the lug is placed for one size of ring, and its slot is short. With a much smaller ring the cage
    stays too high and the chain falls beside the ring.

    What to do: take an outer ring near the one that the lug was placed for, or a band derailleur on a round tube.

    Measure: set the derailleur as low as the slot lets it, and measure from the ring's teeth to the cage.

    Caution: filing a slot longer weakens it; ask the frame's maker first.
    """,
    place(holder="frame", crank="crank"),
)

_SLOT_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "cage-too-high": Verdict.NO_FIT,
    "cage-high": Verdict.NEEDS_WORK,
}


@SLOT_AND_RING.test(
    "teeth",
    silent="instead",
    reasons={**_SLOT_REASONS, "between-two-cases": Verdict.NOT_KNOWN},
    asked_if=("holder.fd_mount.slot_ring_teeth",),
    asked_unless=("holder.fd_mount.gap_mm",),
    slot_teeth=deciding("holder.fd_mount.slot_ring_teeth"),
    ring=deciding("crank.rings.largest_teeth"),
    bounds=trade_figure("shifting.braze-on-slot"),
)
def slot_teeth(slot_teeth: Num, ring: Num, bounds: Band) -> Outcome:
    """The outer ring is near the one that the slot was placed for; asked where that is stated.

    Up to two teeth smaller needs nothing, three a longer slot, six are out of reach; between these nobody says.
    """
    under = slot_teeth - ring
    lower = formulas.ring_lower_by(ring, slot_teeth)
    if under >= bounds["no_teeth"]:
        return no_fit("cage-too-high", lower_mm=lower)
    if under.near(0, bounds["fits_teeth"]):
        return fits()
    if under == bounds["work_teeth"]:
        return needs_work("cage-high", lower_mm=lower)
    return not_known("between-two-cases")


@SLOT_AND_RING.test(
    "gap",
    silent="choice",
    reasons=_SLOT_REASONS,
    asked_if=("holder.fd_mount.gap_mm",),
    gap=deciding("holder.fd_mount.gap_mm"),
    ring=confirming("crank.rings.largest_teeth"),
    bounds=trade_figure("shifting.braze-on-gap"),
)
def slot_gap(gap: Num, ring: Num | None, bounds: Band) -> Outcome:
    """At the lowest point of the slot the cage comes as near to the ring as it should; asked where it was measured."""
    if gap <= bounds["most_mm"]:
        return fits()
    lower = gap - bounds["most_mm"]
    if gap <= bounds["works_mm"]:
        return needs_work("cage-high", lower_mm=lower)
    return no_fit("cage-too-high", lower_mm=lower)


# ------------------------------------------------------------------------------------------ front derailleur and rings

FRONT_CAGE = joint(
    "drivetrain.front-cage-over-ring",
    "front derailleur over the outer ring",
    """
    What meets: the outer plate of the front derailleur's cage and the outer ring.

    Why it matters: the plate follows the curve of one size of ring. On a larger ring its tail is in the way, on a much
    smaller one the chain finds a gap.

    What to do: take a derailleur made for the outer ring.

    Measure: count the teeth; set the cage 1 to 3 mm over the outer ring.

    Caution: a chain that falls between cage and ring can jam and lock the crank.
    """,
    place(derailleur="front_derailleur", crank="crank"),
)

FRONT_DEPTH = joint(
    "drivetrain.front-cage-depth",
    "front derailleur and the inner ring",
    """
    What meets: the tail of the front derailleur's cage and the chain on the inner ring.

    Why it matters: the cage hangs low enough for one difference between outer and inner ring; over it the chain drags
    on the tail.

    What to do: take a derailleur made for that difference, or rings that lie closer together.

    Measure: count the teeth of outer and inner ring; the capacity stands in the derailleur's leaflet.

    Caution: try the smallest gear on the stand before anybody rides.
    """,
    place(derailleur="front_derailleur", crank="crank"),
)

FRONT_AND_RINGS = joint(
    "drivetrain.front-derailleur-and-rings",
    "front derailleur and the steps and line of the rings",
    """
    What meets: the plates of the front derailleur, and where the rings stand.

    Why it matters: of three rings the middle one needs its step; the screws move the cage only so far from its line;
    and a ring whose teeth hold the chain cannot be shifted at all.

    What to do: take rings and derailleur made for each other.

    Measure: count the teeth; the line of the rings with a caliper from the middle of the seat tube.

    Caution: set both limit screws; a chain thrown over the outer ring jams at the crank.
    """,
    place(derailleur="front_derailleur", crank="crank"),
)


@FRONT_CAGE.test(
    "outer-ring",
    reasons={"ring-too-large": Verdict.NO_FIT, "ring-far-below": Verdict.NOT_KNOWN},
    asked_unless=("crank.rings.single_teeth",),
    most=limit("derailleur.cage.largest_ring_teeth", "function"),
    least=confirming("derailleur.cage.least_ring_teeth"),
    ring=deciding("crank.rings.largest_teeth"),
    below=trade_figure("shifting.cage-under-ring"),
)
def outer_ring(most: LimitFigure, least: LimitFigure | None, ring: Num, below: Band) -> Outcome:
    """The outer ring is the one that the cage was made for, or up to four teeth smaller."""
    if most.not_printed:
        return fits("cage-size-not-printed")
    if ring > most.number:
        return no_fit("ring-too-large")
    if ring >= most.number:
        return fits()
    if least is not None and not least.not_printed and ring >= least.number:
        return fits()
    return fits("cage-above-ring") if ring >= most.number - below["teeth"] else not_known("ring-far-below")


@FRONT_DEPTH.test(
    "ring-difference",
    reasons={"rings-too-far-apart": Verdict.NO_FIT},
    asked_unless=("crank.rings.single_teeth",),
    most=limit("derailleur.cage.capacity_teeth", "function"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    smallest_ring=deciding("crank.rings.smallest_teeth"),
)
def front_capacity(most: LimitFigure, largest_ring: Num, smallest_ring: Num) -> Outcome:
    """Outer and inner ring are no further apart than the cage reaches down."""
    if most.not_printed:
        return fits("front-capacity-not-printed")
    apart = largest_ring - smallest_ring
    return fits() if apart <= most.number else no_fit("rings-too-far-apart", apart_teeth=apart)


@FRONT_AND_RINGS.test(
    "middle-ring",
    silent="feature",
    reasons={"middle-ring-too-large": Verdict.NO_FIT},
    asked_if=("crank.rings.middle_teeth",),
    least=limit("derailleur.cage.middle_gap_teeth", "function"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    middle_ring=deciding("crank.rings.middle_teeth"),
)
def middle_ring(least: LimitFigure, largest_ring: Num, middle_ring: Num) -> Outcome:
    """Of three rings the middle one is smaller than the outer one by as much as the cage asks for."""
    if least.not_printed:
        return fits("middle-gap-not-printed")
    step = largest_ring - middle_ring
    return fits() if step >= least.number else no_fit("middle-ring-too-large", step_teeth=step)


@FRONT_AND_RINGS.test(
    "chainline",
    silent="finer",
    reasons={"rings-out-of-line": Verdict.NO_FIT, "line-at-the-screws": Verdict.NOT_KNOWN},
    asked_if=("derailleur.cage.chainline_mm", "crank.rings.chainline_mm"),
    cage_line=deciding("derailleur.cage.chainline_mm"),
    ring_line=deciding("crank.rings.chainline_mm"),
    reach=trade_figure("shifting.front-chainline"),
)
def front_chainline(cage_line: Num, ring_line: Num, reach: Band) -> Outcome:
    """The rings stand where the cage moves; asked where both lines are stated."""
    if cage_line.near(ring_line, reach["within_mm"]):
        return fits()
    if cage_line.near(ring_line, reach["beyond_mm"]):
        return not_known("line-at-the-screws")
    return no_fit("rings-out-of-line")


@FRONT_AND_RINGS.test(
    "profile",
    silent="feature",
    reasons={"ring-holds-chain": Verdict.NO_FIT},
    beside=("derailleur",),
    asked_if=("crank.rings.profile",),
    profile=deciding("crank.rings.profile"),
)
def ring_profile(profile: WordFigure) -> Outcome:
    """A ring whose teeth are thick and thin in turn does not let the chain go; asked where it is stated."""
    return no_fit("ring-holds-chain") if profile == "narrow-wide" else fits()


FRONT_LEVER = joint(
    "drivetrain.front-shifter-and-derailleur",
    "front shifter and front derailleur",
    """
    What meets: the clicks of the front shifter and the front derailleur.

    Why it matters: mountain levers move more cable in front than road levers, and the newer road groups have another
    way again.

    What to do: keep front shifter and front derailleur of one family. A lever without clicks goes with every derailleur
    that is pulled by a cable.

    Measure: read the names on both; the cable that one click moves, with tape and a ruler.

    Caution: set both limit screws; a chain thrown over the outer ring jams at the crank.
    """,
    place(shifter="front_shifter", derailleur="front_derailleur"),
)


@FRONT_LEVER.test(
    "family",
    reasons={
        "pulls-differ": Verdict.NO_FIT,
        "cable-and-motor": Verdict.NO_FIT,
        "motors-differ": Verdict.NO_FIT,
        "pair-not-told": Verdict.NOT_KNOWN,
    },
    lever=deciding("shifter.lever.front_family"),
    mech=deciding("derailleur.drive.family"),
    lever_action=confirming("shifter.lever.action"),
    mech_action=confirming("derailleur.drive.action"),
    electric_pairs=table("shifting.electric-pairs"),
    pairs=table("shifting.front-pairs"),
)
def front_family(
    lever: WordFigure,
    mech: WordFigure,
    lever_action: WordFigure | None,
    mech_action: WordFigure | None,
    electric_pairs: RowTable,
    pairs: RowTable,
) -> Outcome:
    """Front shifter and front derailleur belong to one family; road and mountain pulls do not mix."""
    motor, differ = _moved(lever_action, mech_action)
    if lever == _FRICTION:
        return no_fit("cable-and-motor") if motor else fits("no-clicks")
    if differ:
        return no_fit("cable-and-motor")
    if motor:
        return _motors(lever, mech, electric_pairs)
    if lever == mech:
        return fits()
    for row in pairs.dicts():
        if lever == str(row["lever"]) and mech == str(row["derailleur"]):
            return no_fit("pulls-differ")
    return not_known("pair-not-told")


# ---------------------------------------------------------------------------------------------------- where levers sit

LEVER_ON_LEVER = joint(
    "drivetrain.shifter-on-brake-lever",
    "shift lever on the clamp of the brake lever",
    """
    What meets: a shift lever without a band of its own, and the clamp of the brake lever beside it.

    Why it matters: makers have changed these shared mounts several times; each generation has a shape of its own.

    What to do: keep shift and brake lever of one generation, or give the shift lever a band of its own. The rear shift
    lever is taken to sit beside the rear brake lever; where the right hand works the front brake it sits beside that
    one, which matters only if the two brake levers are of two kinds.

    Measure: look at the mount and read its name on the lever's underside.

    Caution: tighten only as far as printed; a lever that turns on the bar is missed in the wrong moment.
    """,
    place("front", shifter="front_shifter", lever="front_brake_lever"),
    place("rear", shifter="rear_shifter", lever="rear_brake_lever"),
)


@LEVER_ON_LEVER.test(
    "mount",
    silent="feature",
    reasons={"mount-differs": Verdict.NO_FIT, "piece-wanted": Verdict.NEEDS_ADAPTER},
    asked_if=("shifter.mount.form", "lever.shifter_seat.form"),
    mount=deciding("shifter.mount.form"),
    seat=deciding("lever.shifter_seat.form"),
    pairs=table("shifting.lever-seats"),
    piece=adapter_kind("lever.seat-piece"),
)
def lever_seat(mount: WordFigure, seat: WordFigure, pairs: RowTable, piece: AdapterPairs) -> Outcome:
    """Mount and seat are of one generation; a shift lever with a band of its own needs no seat."""
    if mount == "band" or mount == seat:
        return fits()
    for row in pairs.dicts():
        if mount == str(row["shifter"]) and seat == str(row["seat"]):
            said = {"yes": fits(), "tight": fits("thin-grips-only"), "piece": needs_adapter("piece-wanted", piece.row)}
            return said[str(row["go"])]
    return no_fit("mount-differs")


LEVER_ON_BAR = joint(
    "drivetrain.shifter-on-bar",
    "shift lever on the handlebar",
    """
    What meets: the band of a shift lever and the handlebar where it is held.

    Why it matters: flat bars are thinner at the hands than drop bars; a band for the one does not close on the other.

    What to do: take levers for the kind of bar.

    Measure: the bar where the lever sits, with a caliper: 22.2 mm on flat bars, about 23.8 on drop bars.

    Caution: a band that is forced open or overtightened cracks a carbon bar.
    """,
    place("front", shifter="front_shifter", bar="handlebar"),
    place("rear", shifter="rear_shifter", bar="handlebar"),
)


@LEVER_ON_BAR.test(
    "band",
    silent="regular",
    reasons={"band-too-tight": Verdict.NO_FIT, "band-too-wide": Verdict.NO_FIT},
    asked_if=("shifter.mount.clamp_mm", "bar.controls.dia_mm"),
    clamp=deciding("shifter.mount.clamp_mm"),
    bar_dia=deciding("bar.controls.dia_mm"),
    play=trade_figure("shifting.control-play"),
)
def lever_band(clamp: Num, bar_dia: Num, play: Band) -> Outcome:
    """The band is as wide as the bar; asked where both are stated. 23.8 and 24.0 mm are sold as one."""
    gap = clamp - bar_dia
    if gap < -play["either_mm"]:
        return no_fit("band-too-tight", under_mm=-gap)
    return fits() if gap <= play["either_mm"] else no_fit("band-too-wide", over_mm=gap)


SHIFTER_IN_BAR_END = joint(
    "drivetrain.shifter-in-bar-end",
    "shift lever in the end of the bar",
    """
    What meets: the spreading plug of a bar-end lever and the inside of the handlebar's end.

    Why it matters: the plug spreads by a millimetre or two. Drop bars have the room; most flat bars are too narrow
    inside.

    What to do: measure the bar before you order; spacers for wide bars come with some levers.

    Measure: the inside of the bar end with the inside jaws of a caliper.

    Caution: carbon bars want the consent of their maker; the plug can split them.
    """,
    place("front", shifter="front_shifter", bar="handlebar"),
    place("rear", shifter="rear_shifter", bar="handlebar"),
)


# Only levers for the end of a bar state a bore; of all others there is nothing to ask.
@SHIFTER_IN_BAR_END.test(
    "bore",
    silent="feature",
    reasons={"bar-too-narrow": Verdict.NO_FIT, "bar-too-wide": Verdict.NO_FIT},
    asked_if=("shifter.mount.bore_mm",),
    holds=deciding("shifter.mount.bore_mm"),
    bore=deciding("bar.ends.bore_mm"),
)
def bar_end_bore(holds: SpanFigure, bore: Num) -> Outcome:
    """The inside of the bar lies in the range in which the plug spreads; asked of levers for the end of a bar."""
    if bore < holds.low:
        return no_fit("bar-too-narrow")
    return fits() if bore <= holds.high else no_fit("bar-too-wide")


# ------------------------------------------------------------------------------------------------------------ the work

HANGER_ON_FRAME.step("hanger-on", before=("rd-on",), tools=("hex-4",))
ON_HANGER.step(
    "rd-on",
    before=("chain-on",),
    torques=(Torque("torque.rear-derailleur"),),
    tools=("hex-5", "hanger-gauge", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=("practice.hanger-straight",),
)
FRONT_ON_FRAME.step(
    "fd-on",
    after=("crank-on",),
    before=("chain-on",),
    torques=(Torque("torque.front-derailleur"),),
    tools=("hex-5", "torque-wrench"),
    practice=("practice.cage-gap",),
)
LEVER_ON_LEVER.step(
    "shifters-on",
    needs=("shifter", "handlebar"),
    apart=("shifter", "lever"),
    after=("bar-in",),
    torques=(Torque("torque.shifter"),),
    tools=("hex-4", "torque-wrench"),
)
CHAIN_ON_RINGS.step(
    "chain-on",
    after=("crank-on", "wheel-in@rear", "axle-in@rear"),
    before=("gears-set",),
    tools=("chain-tool", "chain-hook"),
    practice=("practice.chain-around", "practice.chain-pin"),
    figures=("drivetrain.chain-length", "drivetrain.chain-length-one-cog"),
)
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
