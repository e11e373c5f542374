"""Figures of the drivetrain: the chain's length, slack, gears, chainline, shift errors, rings behind the cassette."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from catalog_schema.quantity import Limit, Series
from solver.bench.registry import Outcome, Wanted, Worked, down, either, figure, nearest, up
from solver.formulas import bolt_circle as circles
from solver.formulas import chain, chainline, gears
from solver.formulas import drivetrain as steps
from solver.report_bench import Grid
from solver.rules.registry import Band, Read, RowTable, confirming, deciding, place, table, trade_figure

_COGS: Final = (
    place(crank="crank", frame="frame", cassette="cassette", derailleur="rear_derailleur"),
    place("freewheel", crank="crank", frame="frame", cassette="freewheel", derailleur="rear_derailleur"),
)
_LARGEST_RING: Final = either("crank.rings.single_teeth", "crank.rings.largest_teeth")
_SMALLEST_RING: Final = either("crank.rings.single_teeth", "crank.rings.smallest_teeth")


@figure(
    "drivetrain.chain-length",
    *_COGS,
    formula="formula.chain-large-to-large",
    gives={
        "cut_links": up("2"),
        "by_sum_links": up("2"),
        "by_handbook_links": up("2"),
        "around_links": nearest("0.01"),
    },
    remarks=("ways-agree", "ways-differ", "a-millimetre-decides"),
    lasting=True,
    caution=True,
    beside=("derailleur",),
    stay=deciding("frame.chain_stay.length_mm"),
    ring=_LARGEST_RING,
    cog=deciding("cassette.bore.largest_cog_teeth"),
    by_sum=trade_figure("formula.chain-by-sum"),
    by_handbook=trade_figure("formula.chain-by-handbook"),
)
def chain_length(stay: Decimal, ring: Decimal, cog: Decimal, by_sum: Band, by_handbook: Band) -> Worked:
    """How many links the chain keeps: round the largest ring and cog without the derailleur, and two more.

    Both published sums stand beside it, each up to an even number of links.
    """
    around = chain.wrapped(stay, ring, cog)
    ways = {
        "cut_links": around + chain.FOR_THE_DERAILLEUR,
        "by_sum_links": chain.by_sum(stay, ring, cog),
        "by_handbook_links": chain.by_handbook(stay, ring, cog),
    }
    alike = len({chain.joinable(n) for n in ways.values()}) == 1
    remarks = ("ways-agree" if alike else "ways-differ", *_at_the_edge(stay, ring, cog, more=chain.FOR_THE_DERAILLEUR))
    return Worked({**ways, "around_links": around}, remarks)


def _at_the_edge(stay: Decimal, ring: Decimal, cog: Decimal, *, more: Decimal = Decimal(0)) -> tuple[str, ...]:
    """Return the remark that no tape settles it where a millimetre of the stay is worth a pair of links.

    A derailleur takes up a chain that is a pair too long; there a shorter stay changes nothing.
    """
    pairs = {
        chain.joinable(chain.wrapped(stay + aside, ring, cog) + more) for aside in ((0, 1) if more else (-1, 0, 1))
    }
    return ("a-millimetre-decides",) if len(pairs) > 1 else ()


@figure(
    "drivetrain.chain-length-one-cog",
    place(crank="crank", frame="frame", cog="cog", belt="belt"),
    formula="formula.chain-around",
    where={"belt.strap.drives": ("timing",)},  # no chain where a belt drives the wheel
    gives={"cut_links": up("2"), "around_links": nearest("0.01")},
    remarks=("axle-back", "a-millimetre-decides"),
    lasting=True,
    caution=True,
    stay=deciding("frame.chain_stay.length_mm"),
    ring=_LARGEST_RING,
    cog=deciding("cog.bore.teeth"),
)
def chain_length_one_cog(stay: Decimal, ring: Decimal, cog: Decimal) -> Worked:
    """How many links a chain without a derailleur keeps; the axle then moves back until it is tight."""
    around = chain.wrapped(stay, ring, cog)
    return Worked({"cut_links": around, "around_links": around}, ("axle-back", *_at_the_edge(stay, ring, cog)))


@figure(
    "drivetrain.capacity",
    place(crank="crank", cassette="cassette", derailleur="rear_derailleur"),
    place("freewheel", crank="crank", cassette="freewheel", derailleur="rear_derailleur"),
    formula="formula.capacity",
    gives={"needed_teeth": None, "given_teeth": None, "spare_teeth": None, "over_teeth": None},
    remarks=("not-printed", "too-much-slack"),
    largest_ring=_LARGEST_RING,
    smallest_ring=_SMALLEST_RING,
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
    given=Read("derailleur.cage.capacity_teeth"),
)
def capacity(
    largest_ring: Decimal, smallest_ring: Decimal, largest_cog: Decimal, smallest_cog: Decimal, given: Limit
) -> Worked:
    """How much slack the rings and cogs leave, and how much the derailleur takes up."""
    needed = steps.capacity_needed(largest_ring, smallest_ring, largest_cog, smallest_cog)
    if given.value is None:
        return Worked({"needed_teeth": needed}, ("not-printed",))
    spare = given.value - needed
    results = {"needed_teeth": needed, "given_teeth": given.value}
    if spare < 0:
        return Worked({**results, "over_teeth": -spare}, ("too-much-slack",))
    return Worked({**results, "spare_teeth": spare})


@figure(
    "drivetrain.gear-table",
    place(crank="crank", cassette="cassette", tyre="rear_tyre"),
    place("freewheel", crank="crank", cassette="freewheel", tyre="rear_tyre"),
    formula="formula.gears",
    gives={"spread_percent": nearest("1")},
    remarks=("radius-measured", "radius-worked-out"),
    largest_ring=_LARGEST_RING,
    smallest_ring=_SMALLEST_RING,
    middle_ring=confirming("crank.rings.middle_teeth"),
    cogs=deciding("cassette.bore.cogs_teeth"),
    seat=deciding("tyre.bead.bsd_mm"),
    width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    section=trade_figure("tyres.section-height"),
)
def gear_table(
    largest_ring: Decimal,
    smallest_ring: Decimal,
    middle_ring: Decimal | None,
    cogs: Series,
    seat: Decimal,
    width: Decimal,
    measured: Decimal | None,
    section: Band,
) -> Worked:
    """What each gear is worth: ratio, gear inches, metres a turn of the cranks, and the step from the one below."""
    over = 2 * measured if measured is not None else _over_the_tyre(seat, width, section)
    rings = [r for r in (smallest_ring, middle_ring, largest_ring) if r is not None]
    rings = sorted(set(rings))
    lines = tuple(
        (g.ring, g.cog, _to(g.ratio, "0.01"), _to(g.inches, "0.1"), _to(g.development, "0.01"), _step(g.step))
        for g in gears.table(rings, cogs.values, over)
    )
    grid = Grid(("ring", "cog", "ratio", "gear_inches", "development", "step_percent"), lines)
    told = "radius-measured" if measured is not None else "radius-worked-out"
    return Worked({"spread_percent": gears.spread(rings, cogs.values)}, (told,), grid=grid)


@figure(
    "drivetrain.gear-of-one-cog",
    place(crank="crank", cog="cog", tyre="rear_tyre"),
    formula="formula.gears",
    gives={"ratio": nearest("0.01"), "gear_inches": nearest("0.1"), "development_m": nearest("0.01")},
    ring=_LARGEST_RING,
    cog=deciding("cog.bore.teeth"),
    seat=deciding("tyre.bead.bsd_mm"),
    width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    section=trade_figure("tyres.section-height"),
)
def gear_of_one_cog(
    ring: Decimal, cog: Decimal, seat: Decimal, width: Decimal, measured: Decimal | None, section: Band
) -> Worked:
    """What the only gear is worth, or that of a hub gear in its direct gear."""
    over = 2 * measured if measured is not None else _over_the_tyre(seat, width, section)
    (only,) = gears.table([ring], [cog], over)
    return Worked({"ratio": only.ratio, "gear_inches": only.inches, "development_m": only.development})


@figure(
    "drivetrain.bolt-circle",
    place(ring="chainring"),
    place("middle ring", ring="chainring_middle"),
    place("inner ring", ring="chainring_inner"),
    formula="formula.bolt-circle",
    gives={"circle_mm": nearest("1"), "exact_mm": nearest("0.1")},
    where={"ring.holes.pattern": ("even",)},
    stated=("ring.holes.hole_mm",),
    between=deciding("ring.holes.hole_mm"),
    holes=deciding("ring.holes.bolts"),
)
def bolt_circle(between: Decimal, holes: Decimal) -> Worked | None:
    """The circle through the bolts of a chainring, from the distance of two neighbouring holes."""
    if holes < 3:
        return None
    circle = circles.diameter(between, int(holes))
    return Worked({"circle_mm": circle, "exact_mm": circle})


def _over_the_tyre(seat: Decimal, width: Decimal, section: Band) -> Decimal:
    high = width + section["narrow_added_mm"] if width < section["narrow_below_mm"] else width
    return seat + 2 * high


def _to(number: Decimal, places: str) -> Decimal:
    return nearest(places).of(number)


def _step(step: Decimal | None) -> Decimal | None:
    return None if step is None else _to(step, "0.1")


@figure(
    "drivetrain.chainline",
    place(crank="crank", cassette="cassette", hub="rear_hub"),
    place("freewheel", crank="crank", cassette="freewheel", hub="rear_hub"),
    formula="formula.chainline",
    gives=dict.fromkeys(("rings_mm", "cogs_mm", "outside_mm", "inside_mm"), nearest("0.1")),
    remarks=("in-line", "far-off"),
    rings=deciding("crank.rings.chainline_mm"),
    over=deciding("hub.axle.width_mm"),
    gap=deciding("hub.driver.cog_gap_mm"),
    pitch=confirming("cassette.bore.pitch_mm"),
    spacing=confirming("cassette.bore.spacing"),
    speeds=deciding("cassette.bore.speeds"),
    thickness=Read("cassette.bore.cog_mm", "confirming"),
    pitches=table("shifting.cog-pitch"),
    usual=trade_figure("drivetrain.cog-thickness"),
    slack=trade_figure("drivetrain.chainline-slack"),
)
def chain_line(
    rings: Decimal,
    over: Decimal,
    gap: Decimal,
    pitch: Decimal | None,
    spacing: str | None,
    speeds: Decimal,
    thickness: Decimal | None,
    pitches: RowTable,
    usual: Band,
    slack: Band,
) -> Outcome:
    """How far the rings stand outside or inside of the middle of the cogs."""
    apart = _pitch(pitch, spacing, speeds, pitches)
    if apart is None:
        return Wanted(("pitch",))
    thick = thickness if thickness is not None else usual["mm"]
    middle = chainline.middle(chainline.cog(over, gap, thick, apart, 1), apart, int(speeds))
    off = chainline.error(rings, middle)
    results = {"rings_mm": rings, "cogs_mm": middle}
    if abs(off) < Decimal("0.05"):
        return Worked(results, ("in-line",))
    results["outside_mm" if off > 0 else "inside_mm"] = abs(off)
    return Worked(results, ("far-off",) if abs(off) > slack["far_mm"] else ())


def _pitch(pitch: Decimal | None, spacing: str | None, speeds: Decimal, pitches: RowTable) -> Decimal | None:
    """Return the distance from cog to cog: stated, or that of the word for the spacing, or of the number of cogs."""
    if pitch is not None:
        return pitch
    for row in pitches.dicts():
        meant = row["spacing"] == spacing if spacing is not None else row["told"] == "number"
        if meant and row["speeds"] == speeds and isinstance(row["pitch_mm"], Decimal):
            return row["pitch_mm"]
    return None


@figure(
    "drivetrain.shift-error",
    place(shifter="rear_shifter", derailleur="rear_derailleur", cassette="cassette"),
    place("freewheel", shifter="rear_shifter", derailleur="rear_derailleur", cassette="freewheel"),
    formula="formula.shift-error",
    gives=dict.fromkeys(("click_mm", "ends_mm", "least_mm", "most_mm"), nearest("0.01")) | {"pitch_mm": None},
    remarks=("one-family", "goes-together", "figures-too-coarse", "with-care", "does-not-follow"),
    where={"shifter.lever.action": ("cable",), "derailleur.drive.action": ("cable",)},
    stated=("shifter.lever.pull_mm",),
    pull=deciding("shifter.lever.pull_mm"),
    ratio=confirming("derailleur.drive.ratio"),
    family=confirming("derailleur.drive.family"),
    lever=confirming("shifter.lever.family"),
    pitch=confirming("cassette.bore.pitch_mm"),
    spacing=confirming("cassette.bore.spacing"),
    speeds=deciding("cassette.bore.speeds"),
    ratios=table("shifting.ratios"),
    pitches=table("shifting.cog-pitch"),
    slop=trade_figure("shifting.slop"),
)
def shift_error(
    pull: Decimal,
    ratio: Decimal | None,
    family: str | None,
    lever: str | None,
    pitch: Decimal | None,
    spacing: str | None,
    speeds: Decimal,
    ratios: RowTable,
    pitches: RowTable,
    slop: Band,
) -> Outcome:
    """How far the derailleur is off at each cog, once it is set to the middle of the cassette.

    Pull and ratio are printed in few digits; what the digits left out may mean stands beside the error. A lever and a
    derailleur of one family are made for each other, whatever the rounded figures come to.
    """
    apart = _pitch(pitch, spacing, speeds, pitches)
    of_family = next((r["ratio"] for r in ratios.dicts() if r["family"] == family), None)
    moves = ratio if ratio is not None else of_family
    wanted = tuple(n for n, known in (("ratio", isinstance(moves, Decimal)), ("pitch", apart is not None)) if not known)
    if apart is None or not isinstance(moves, Decimal):
        return Wanted(wanted)
    click = steps.sideways(pull, moves)
    off = steps.errors(click, apart, int(speeds))
    lines = tuple((Decimal(n), _to(e, "0.01")) for n, e in enumerate(off, 1))
    low, high = (
        steps.error_at_the_ends(
            steps.sideways(pull + way * _half_a_digit(pull), moves + way * _half_a_digit(moves)), apart, int(speeds)
        )
        for way in (-1, 1)
    )
    least, most = (Decimal(0) if low <= 0 <= high else min(abs(low), abs(high))), max(abs(low), abs(high))
    results = {"click_mm": click, "pitch_mm": apart, "ends_mm": abs(off[-1]), "least_mm": least, "most_mm": most}
    told = "one-family" if lever is not None and lever == family else _follows(least, most, slop)
    return Worked(results, (told,), grid=Grid(("cog", "off_mm"), lines))


def _half_a_digit(number: Decimal) -> Decimal:
    """Return half a unit of the last digit that a figure is printed with."""
    exponent = number.as_tuple().exponent
    return Decimal(5).scaleb(exponent - 1) if isinstance(exponent, int) else Decimal(0)


def _follows(least: Decimal, most: Decimal, slop: Band) -> str:
    if most <= slop["fits_mm"]:
        return "goes-together"
    if least <= slop["fits_mm"]:
        return "figures-too-coarse"
    return "with-care" if least <= slop["work_mm"] else "does-not-follow"


@figure(
    "drivetrain.cassette-rings",
    place(cassette="cassette", hub="rear_hub"),
    formula="formula.cassette-rings",
    gives={"ring_mm": down("0.05"), "short_mm": nearest("0.05")},
    remarks=("no-ring", "body-too-short", "two-kinds-sold"),
    spline=deciding("cassette.bore.spline"),
    speeds=deciding("cassette.bore.speeds"),
    largest=deciding("cassette.bore.largest_cog_teeth"),
    seat=confirming("cassette.bore.seat"),
    body=deciding("hub.driver.spline"),
    length=confirming("hub.driver.length_mm"),
    seats=table("drivetrain.cassette-seats"),
    cogs=table("drivetrain.seat-by-cogs"),
    play=trade_figure("drivetrain.body-play"),
)
def cassette_rings(
    spline: str,
    speeds: Decimal,
    largest: Decimal,
    seat: str | None,
    body: str,
    length: Decimal | None,
    seats: RowTable,
    cogs: RowTable,
    play: Band,
) -> Outcome:
    """How thick the rings behind the cassette are: what the body is longer than the one the cassette is made for."""
    by_cogs = {str(r["seat"]) for r in cogs.dicts() if _meant(r, spline, speeds, largest)}
    wanted = {seat} if seat is not None else by_cogs
    alike = [r for r in seats.dicts() if r["spline"] == spline and r["body"] == body]
    meant = [r for r in alike if r["seat"] in wanted]
    if not meant:
        return None
    if length is None and any(r["length_mm"] for r in meant):
        return Wanted(("length",))
    gaps = {_gap(r, length or Decimal(0)) for r in meant}
    if len(gaps) > 1:
        return Worked({}, ("two-kinds-sold",))
    (gap,) = gaps
    if gap < -play["shorter_mm"]:
        return Worked({"short_mm": -gap}, (), ("body-too-short",))
    return Worked({"ring_mm": gap}) if gap > play["longer_mm"] else Worked({}, ("no-ring",))


Row = dict[str, Decimal | str | None]


def _gap(row: Row, length: Decimal) -> Decimal:
    made_for, longer = row["length_mm"], row["longer_mm"]
    if isinstance(made_for, Decimal):
        return length - made_for
    return longer if isinstance(longer, Decimal) else Decimal(0)


def _meant(row: Row, spline: str, speeds: Decimal, largest: Decimal) -> bool:
    """Return whether a row of the table by cogs is about this cassette; only what the row names is looked at."""
    low, high = row["from_teeth"], row["to_teeth"]
    return (
        row["spline"] == spline
        and (not isinstance(row["speeds"], Decimal) or row["speeds"] == speeds)
        and (not isinstance(low, Decimal) or low <= largest)
        and (not isinstance(high, Decimal) or largest <= high)
    )
