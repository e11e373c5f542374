"""The formulas of the bench against another way to the same figure: vectors, a tightened rope, a library of units."""

from __future__ import annotations

import doctest
import math
import pkgutil
from decimal import Decimal
from importlib import import_module
from typing import Any

import numpy as np
import numpy.typing as npt
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver import formulas
from solver.formulas import (
    axle,
    belt,
    bolt_circle,
    chain,
    chainline,
    dish,
    drivetrain,
    exact,
    gears,
    spoke,
    tyre,
    units,
)

MODULES = sorted(m.name for m in pkgutil.iter_modules(formulas.__path__))
UNIT: pint.UnitRegistry[Any] = pint.UnitRegistry(non_int_type=Decimal)

Vector = npt.NDArray[np.float64]


def between(low: str, high: str, places: int = 1) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(low), Decimal(high), places=places, allow_nan=False)


def counts(low: int, high: int) -> st.SearchStrategy[Decimal]:
    return st.integers(low, high).map(Decimal)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_the_docstrings_hold(name: str) -> None:
    failed, tried = doctest.testmod(import_module(f"solver.formulas.{name}"))
    assert tried
    assert not failed


# -------------------------------------------------------------------------------------------------------------- angles


@given(between("-40", "40", 6))
def test_angles_agree_with_the_binary_ones(turns: Decimal) -> None:
    assert math.isclose(exact.sine(turns), math.sin(math.tau * float(turns)), abs_tol=1e-12)
    assert math.isclose(exact.cosine(turns), math.cos(math.tau * float(turns)), abs_tol=1e-12)


@given(between("-1", "1", 8))
def test_the_angle_of_a_sine_has_that_sine(ratio: Decimal) -> None:
    assert abs(exact.sine(exact.angle_of_sine(ratio)) - ratio) < Decimal("1e-22")


@given(between("-5", "5", 8))
def test_sine_and_cosine_lie_on_a_circle(turns: Decimal) -> None:
    assert abs(exact.sine(turns) ** 2 + exact.cosine(turns) ** 2 - 1) < Decimal("1e-22")


@pytest.mark.parametrize("ratio", ["1.0000001", "-2"])
def test_nothing_has_a_sine_over_one(ratio: str) -> None:
    with pytest.raises(ValueError, match="no angle"):
        exact.angle_of_sine(Decimal(ratio))


# -------------------------------------------------------------------------------------------------------------- spokes


def laced(rim: float, circle: float, offset: float, hole: float, spokes: int, crosses: int) -> float:
    """The length of a spoke from two points in space, its holes counted out one by one round hub and rim.

    Holes of a flange stand a turn over half of the spokes apart. Of two spokes that lie side by side at the rim, one
    leads and one trails. A trailing spoke meets those leading ones of its flange whose rim holes it passes: each step
    of its hub hole by one further moves it across one more.
    """
    a_side = spokes // 2
    hub_hole = np.array([math.cos(0), math.sin(0), 0]) * circle / 2 + np.array([0, 0, offset])
    at_the_rim = math.tau * crosses / a_side
    rim_hole = np.array([math.cos(at_the_rim), math.sin(at_the_rim), 0]) * rim / 2
    return float(np.linalg.norm(rim_hole - hub_hole)) - hole / 2


def crossings(circle: float, rim: float, a_side: int, shift: int) -> int:
    """How many others of its side a spoke crosses, seen along the axle, when it is turned by ``shift`` holes.

    The other half of the side is turned the other way. Counted by cutting the straight lines of all spokes.
    """

    def line(hole: int, turned: int) -> tuple[Vector, Vector]:
        step = math.tau / a_side
        here, there = hole * step, (hole + turned) * step
        return (
            np.array([math.cos(here), math.sin(here)]) * circle / 2,
            np.array([math.cos(there), math.sin(there)]) * rim / 2,
        )

    mine = line(0, shift)
    return sum(cut(*mine, *line(hole, -shift)) for hole in range(1, a_side, 2))


def cut(a: Vector, b: Vector, c: Vector, d: Vector) -> bool:
    def side(p: Vector, q: Vector, r: Vector) -> float:
        return float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


@given(
    between("250", "640"),
    between("30", "110"),
    between("0", "45"),
    between("2.0", "3.2"),
    st.sampled_from([16, 18, 20, 24, 28, 32, 36, 40, 48]),
    st.integers(0, 4),
)
def test_spokes_agree_with_vectors(
    rim: Decimal, circle: Decimal, offset: Decimal, hole: Decimal, spokes: int, crosses: int
) -> None:
    ours = spoke.length(rim, circle, offset, hole, Decimal(spokes), Decimal(crosses))
    theirs = laced(float(rim), float(circle), float(offset), float(hole), spokes, crosses)
    assert abs(float(ours) - theirs) <= 0.0051


@pytest.mark.parametrize(("spokes", "crosses"), [(28, 2), (32, 3), (36, 3), (36, 4), (40, 4)])
def test_a_spoke_turned_by_its_crossings_crosses_as_many(spokes: int, crosses: int) -> None:
    """The angle of the formula is that of a spoke which the drawing of a wheel shows crossing so many others."""
    assert crossings(58, 600, spokes // 2, crosses) == crosses


def test_a_radial_spoke_is_the_straight_way() -> None:
    """Without crossings, and the flange in the plane of the rim, the triangle is a line."""
    assert spoke.length(*map(Decimal, ("600", "60", "0", "0", "32", "0"))) == 270


def test_each_crossing_makes_it_longer() -> None:
    lengths = [spoke.length(*map(Decimal, ("600", "44", "35", "2.6", "36", str(n)))) for n in range(5)]
    assert lengths == sorted(set(lengths))


@pytest.mark.parametrize(("flange", "offset"), [("3.35", "31.075"), ("-3.35", "34.425"), ("0", "32.75")])
def test_the_offset_says_which_face_was_measured(flange: str, offset: str) -> None:
    """The figures of philipmolloy.com: its 34.425 is right if measured to the inner face of the flange only."""
    assert spoke.flange_offset(Decimal("120.5"), Decimal("27.5"), Decimal(flange)) == Decimal(offset)


@given(between("250", "640"), between("30", "110"), between("5", "40"))
def test_more_offset_or_more_rim_asks_for_a_longer_spoke(rim: Decimal, circle: Decimal, offset: Decimal) -> None:
    plain = (circle, offset, Decimal("2.6"), Decimal(32), Decimal(3))
    assert spoke.length(rim + 2, *plain) > spoke.length(rim, *plain)
    wider = (circle, offset + 5, *plain[2:])
    assert spoke.length(rim, *wider) > spoke.length(rim, *plain)


@given(between("200", "320", 2), st.sampled_from(["1", "2"]))
def test_a_spoke_from_the_shelf_is_shorter_by_less_than_a_step(length: Decimal, step: str) -> None:
    bought = spoke.on_the_shelf(length, Decimal(step))
    assert 0 <= length - bought < Decimal(step)
    assert bought % Decimal(step) == 0


@given(between("10", "45"), between("10", "45"), between("10", "45"))
def test_spokes_with_their_share_of_the_pull_leave_the_rim_where_it_is(a: Decimal, b: Decimal, rise: Decimal) -> None:
    """Sum of the sideways parts of two pulls, taken from the vectors of the spokes."""
    left, right = np.array([float(rise) + 250, float(a)]), np.array([float(rise) + 250, -float(b)])
    lengths = [Decimal(str(float(np.linalg.norm(v)))) for v in (left, right)]
    share = float(dish.share_of_the_pull(a, b, *lengths))
    pulls = share * left / np.linalg.norm(left) + right / np.linalg.norm(right)
    assert abs(pulls[1]) < 1e-9


@given(between("0", "10"), between("0", "10"))
def test_spacers_at_the_ends_move_the_middle(left: Decimal, right: Decimal) -> None:
    """A rim stays where it is while the ends move out: it has to follow the new middle between them."""
    over = Decimal(100)
    ends = (-over / 2 - left, over / 2 + right)
    assert -dish.rim_to_the_left(left, right) == sum(ends) / 2


# --------------------------------------------------------------------------------------------------------------- chain


def rope(stay: float, ring: int, cog: int, corners: int) -> float:
    """The length of a rope pulled tight round two circles of corners, in pitches: their convex hull, walked round.

    No formula of belts is used: the points of both circles are sorted and the hull is wrapped from corner to corner.
    """
    points = []
    for teeth, middle in ((ring, 0.0), (cog, stay / 12.7)):
        radius = teeth / math.tau
        angles = np.arange(corners) * math.tau / corners
        points += list(zip(middle + radius * np.cos(angles), radius * np.sin(angles), strict=True))
    return walk(hull(sorted(points)))


def toothed(stay: float, ring: int, cog: int, turned: float) -> float:
    """The same round two real toothed wheels: a corner at every pin, one pitch from the next."""
    points = []
    for teeth, middle, phase in ((ring, 0.0, 0.0), (cog, stay / 12.7, turned)):
        radius = 0.5 / math.sin(math.pi / teeth)
        angles = (np.arange(teeth) + phase) * math.tau / teeth
        points += list(zip(middle + radius * np.cos(angles), radius * np.sin(angles), strict=True))
    return walk(hull(sorted(points)))


Point = tuple[float, float]


def hull(points: list[Point]) -> list[Point]:
    def half(ordered: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in ordered:
            while len(kept) > 1:
                (ax, ay), (bx, by) = kept[-2:]
                if (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) > 0:
                    break
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return half(points) + half(points[::-1])


def walk(corners: list[Point]) -> float:
    return sum(math.dist(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


STAYS = between("380", "520", 0)


@settings(max_examples=40)
@given(STAYS, st.integers(22, 58), st.integers(9, 52))
def test_a_chain_is_as_long_as_a_rope_pulled_tight(stay: Decimal, ring: int, cog: int) -> None:
    ours = float(chain.wrapped(stay, Decimal(ring), Decimal(cog)))
    coarse, fine = (rope(float(stay), ring, cog, n) for n in (180, 720))
    assert coarse <= fine <= ours + 1e-6
    assert ours - fine < 0.005


@settings(max_examples=40)
@given(STAYS, st.integers(22, 58), st.integers(9, 52), st.sampled_from([0.0, 0.25, 0.5]))
def test_real_teeth_change_it_by_less_than_a_tenth_of_a_pitch(
    stay: Decimal, ring: int, cog: int, turned: float
) -> None:
    ours = float(chain.wrapped(stay, Decimal(ring), Decimal(cog)))
    assert abs(ours - toothed(float(stay), ring, cog, turned)) < 0.1


@given(STAYS, counts(22, 58), counts(9, 52))
def test_the_four_ways_agree(stay: Decimal, ring: Decimal, cog: Decimal) -> None:
    """Handbook and geometry to a few hundredths of a pitch; the plain sum leaves out what the slant adds."""
    wrapped = chain.wrapped(stay, ring, cog) + chain.FOR_THE_DERAILLEUR
    handbook, plain = chain.by_handbook(stay, ring, cog), chain.by_sum(stay, ring, cog)
    assert abs(handbook - wrapped) < Decimal("0.05")
    slant = (ring - cog) ** 2 / (4 * exact.PI**2) / (stay / chain.PITCH)
    assert abs(handbook - plain - slant) < Decimal("0.00001")
    assert chain.large_to_large(stay, ring, cog) - chain.joinable(handbook) in (-2, 0, 2)


def test_noise_in_the_last_digit_does_not_cost_two_links() -> None:
    assert chain.joinable(Decimal("114.000000000000000000000001")) == 114


@given(between("80", "130", 3))
def test_a_chain_that_can_be_closed_is_even_and_no_shorter(pitches: Decimal) -> None:
    cut_to = chain.joinable(pitches)
    assert cut_to % 2 == 0
    assert 0 <= cut_to - pitches < 2


@settings(max_examples=40)
@given(st.integers(34, 70), st.integers(18, 40), STAYS, st.sampled_from([8, 11, 14]))
def test_a_belt_is_tight_where_its_length_says(front: int, rear: int, stay: Decimal, pitch: int) -> None:
    """Its length is that of a rope round both sprockets, and leads back to the distance."""
    sides = Decimal(front), Decimal(rear), Decimal(pitch)
    found = belt.teeth(stay, *sides)
    assert float(found) == pytest.approx(rope(float(stay) * 12.7 / pitch, front, rear, 1440), abs=0.01)
    back = belt.distance(found, *sides)
    assert back is not None
    assert abs(back - stay) <= Decimal("0.001")


def test_a_belt_shorter_than_its_sprockets_does_not_go_round() -> None:
    assert belt.distance(Decimal(60), Decimal(60), Decimal(40), Decimal(11)) is None


def test_wheels_inside_each_other_have_no_chain() -> None:
    with pytest.raises(ValueError, match="no chain"):
        chain.wrapped(Decimal(50), Decimal(52), Decimal(11))


# --------------------------------------------------------------------------------------------------------------- gears


@given(counts(22, 58), counts(9, 52), between("400", "780", 0))
def test_gear_inches_and_development_are_one_thing_in_two_units(ring: Decimal, cog: Decimal, wheel: Decimal) -> None:
    inches = UNIT.Quantity(gears.gear_inches(ring, cog, wheel), "inch")
    rolled = (inches * exact.PI).to("metre").magnitude
    assert abs(rolled - gears.development(ring, cog, gears.around(wheel))) < Decimal("1e-20")


@given(st.lists(counts(9, 52), min_size=1, max_size=13, unique=True), counts(22, 58))
def test_the_steps_of_a_gear_table_lead_from_its_lowest_to_its_highest(cogs: list[Decimal], ring: Decimal) -> None:
    rows = gears.table([ring], cogs, Decimal(678))
    assert [r.ratio for r in rows] == sorted(r.ratio for r in rows)
    product = Decimal(100)
    for row in rows:
        product *= 1 + (row.step or Decimal(0)) / 100
    assert abs(product - gears.spread([ring], cogs)) < Decimal("1e-18")


@given(st.integers(3, 12), between("20", "160"))
def test_holes_set_out_round_a_circle_stand_as_far_apart(holes: int, circle: Decimal) -> None:
    first, second = (np.array([math.cos(a), math.sin(a)]) * float(circle) / 2 for a in (0, math.tau / holes))
    assert math.isclose(float(bolt_circle.between(circle, holes)), float(np.linalg.norm(first - second)))
    assert abs(bolt_circle.diameter(bolt_circle.between(circle, holes), holes) - circle) < Decimal("1e-18")


def test_one_hole_makes_no_circle() -> None:
    with pytest.raises(ValueError, match="no circle"):
        bolt_circle.diameter(Decimal(50), 1)


@given(between("2.5", "5.6", 2), between("2.5", "5.6", 2), st.integers(1, 13))
def test_shift_errors_are_the_difference_of_two_combs(step: Decimal, pitch: Decimal, cogs: int) -> None:
    """Stops of the derailleur and middles of the cogs laid out from the middle of each."""
    stops, middles = ([w * (Decimal(n) - Decimal(cogs - 1) / 2) for n in range(cogs)] for w in (step, pitch))
    found = drivetrain.errors(step, pitch, cogs)
    assert list(found) == [s - m for s, m in zip(stops, middles, strict=True)]
    assert found[-1] == drivetrain.error_at_the_ends(step, pitch, cogs)


@given(between("100", "200", 0), st.integers(1, 13), between("3", "6", 2))
def test_the_middle_of_the_cogs_is_their_mean(over: Decimal, cogs: int, pitch: Decimal) -> None:
    lines = [chainline.cog(over, Decimal(3), Decimal("1.6"), pitch, n + 1) for n in range(cogs)]
    assert chainline.middle(lines[0], pitch, cogs) * cogs == sum(lines)
    assert lines[0] - lines[-1] + Decimal("1.6") == chainline.width(cogs, pitch, Decimal("1.6"))


# ------------------------------------------------------------------------------------------------- axles, tyres, units


@given(between("100", "200", 0), between("100", "200", 0), between("5", "25", 0), between("5", "25", 0))
def test_threads_hold_where_both_are(axle_length: Decimal, wanted: Decimal, hole: Decimal, own: Decimal) -> None:
    """Counted millimetre by millimetre along the axle."""
    both = sum(1 for mm in range(250) if wanted - hole <= mm < wanted and axle_length - own <= mm < axle_length)
    assert axle.engaged(axle_length, wanted, hole, own) == both


@given(between("20", "70"), between("0", "12"), between("0", "12"))
def test_the_widest_tyre_leaves_the_room_that_was_wanted(width: Decimal, room: Decimal, wanted: Decimal) -> None:
    gap = width + 2 * room
    assert tyre.side_room(gap, tyre.widest(width, room, wanted)) == wanted


@given(st.lists(between("1", "12"), min_size=1, max_size=4))
def test_no_limit_is_passed_at_the_ceiling(limits: list[Decimal]) -> None:
    ceiling = tyre.pressure_ceiling(limits)
    assert ceiling in limits
    assert all(ceiling <= m for m in limits)


def test_without_a_limit_there_is_no_ceiling() -> None:
    with pytest.raises(ValueError, match="no limit"):
        tyre.pressure_ceiling([])


@pytest.mark.parametrize(
    ("ours", "theirs", "target"),
    [
        (units.inches, "millimetre", "inch"),
        (units.millimetres, "inch", "millimetre"),
        (units.psi, "bar", "pound_force / inch ** 2"),
        (units.bar, "pound_force / inch ** 2", "bar"),
        (units.newton_metres, "pound_force * inch", "newton * metre"),
        (units.newtons, "kilogram_force", "newton"),
    ],
)
@given(amount=between("0.1", "5000", 3))
@settings(max_examples=30)
def test_units_agree_with_a_library_of_units(ours: object, theirs: str, target: str, amount: Decimal) -> None:
    assert callable(ours)
    other = UNIT.Quantity(amount, theirs).to(target).magnitude
    assert abs(ours(amount) - other) <= abs(other) * Decimal("1e-24")


@given(between("0.5", "12", 2))
def test_the_librarys_row_for_psi_agrees_to_its_last_digit(bar: Decimal) -> None:
    assert units.bar(Decimal(1)).quantize(Decimal("1e-7")) == Decimal("0.0689476")
    assert abs(units.bar(units.psi(bar)) - bar) < Decimal("1e-20")
