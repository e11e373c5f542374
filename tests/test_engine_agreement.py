"""The engine against the brute-force referee, on small random problems with random masks, tricks on and off."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.engine.costs import BY_MASS, BY_PRICE, Objective
from solver.engine.live import Live
from solver.engine.options import Options, TooWide
from solver.engine.problem import MISSING, Problem
from solver.engine.solution import Solution
from solver.engine.view import Limits, View, open_problem
from tests.test_engine_worlds import (
    WORLDS,
    Alive,
    Found,
    Key,
    World,
    alive,
    counted_variables,
    known_solutions,
    known_world,
    masked,
    referee,
)

ALL_OFF = Options(consistency=False, promote=False, greedy=False, machine=False, residues=False, reuse=False)
SWITCHES = {
    "as it is": Options(),
    "all off": ALL_OFF,
    **{
        f"no {name}": replace(Options(), **{name: False})
        for name in ("consistency", "promote", "greedy", "machine", "residues", "reuse")
    },
}


def opened(seed: int, options: Options) -> View:
    made = known_world(seed)
    view = open_problem(made.problem, options)
    return view.restricted(rows=made.rows, items=made.items) if "masks" in made.features else view


def key_of(view: View, solution: Solution) -> Key:
    _, counted = counted_variables(view.circuit.problem)
    values = view.values(solution)
    return tuple(values[v] for v in counted), solution.items


def figures(solution: Solution) -> tuple[int, ...]:
    t = solution.totals
    return solution.level, t.unpriced, t.price, t.unweighed, t.mass, t.undated, t.lead


def as_figures(found: Found) -> tuple[int, ...]:
    return found.level, found.unpriced, found.price, found.unweighed, found.mass, found.undated, found.lead


@pytest.mark.parametrize("seed", range(WORLDS))
def test_count_listing_ranks_and_levels(seed: int) -> None:
    wanted = known_solutions(seed)
    for name in ("as it is", "all off", list(SWITCHES)[2 + seed % 6]):
        view = opened(seed, SWITCHES[name])
        assert view.count() == len(wanted), name
        assert view.exists == bool(wanted)
        assert view.count_by_level() == tuple(sum(f.level <= n for f in wanted.values()) for n in range(4))
        listed = list(view.listing())
        assert {key_of(view, s): figures(s) for s in listed} == {k: as_figures(f) for k, f in wanted.items()}, name
        assert len(listed) == len(wanted)
        assert [view.at(n) for n in range(len(listed))] == listed
        assert view.first() == (listed[0] if listed else None)


@pytest.mark.parametrize("seed", range(WORLDS))
def test_rankings(seed: int) -> None:
    wanted = known_solutions(seed)
    for name in ("as it is", "all off")[: 1 + seed % 2]:
        view = opened(seed, SWITCHES[name])
        ranked = list(view.best(BY_PRICE))
        assert [(s.totals.unpriced, s.totals.price) for s in ranked] == sorted(
            (f.unpriced, f.price) for f in wanted.values()
        )
        assert {key_of(view, s): figures(s) for s in ranked} == {k: as_figures(f) for k, f in wanted.items()}
        by_mass = [(s.totals.unweighed, s.totals.mass) for s in view.best(BY_MASS)]
        assert by_mass == sorted((f.unweighed, f.mass) for f in wanted.values())
        both = [
            (s.totals.unpriced + s.totals.unweighed, 3 * s.totals.price + 2 * s.totals.mass)
            for s in view.best(Objective(price=3, mass=2))
        ]
        assert both == sorted((f.unpriced + f.unweighed, 3 * f.price + 2 * f.mass) for f in wanted.values())


@pytest.mark.parametrize("seed", range(WORLDS))
def test_live_rows_items_and_values(seed: int) -> None:
    made = known_world(seed)
    wanted = alive(masked(made.problem, made.rows, made.items), 3)
    for name in ("as it is", "all off", list(SWITCHES)[2 + seed % 6]):
        assert_live(opened(seed, SWITCHES[name]).live(), wanted, made, name)


def assert_live(live: Live, wanted: Alive, made: World, name: str, *, limited: bool = False) -> None:
    """Compare with the referee, whose rows are numbered after masking."""
    problem = made.problem
    for number, relation in enumerate(problem.relations):
        kept = np.flatnonzero(made.rows.get(number, np.ones(len(relation.rows), dtype=bool)))
        expected = {int(kept[row]) for n, row in wanted.rows if n == number}
        assert set(np.flatnonzero(live.rows[number]).tolist()) == expected, (name, relation.name)
        if relation.stacks is not None:
            stacks, mask = relation.stacks, live.items[number]
            entries = set(zip(stacks.row[mask].tolist(), stacks.ident[mask].tolist(), strict=True))
            expected_entries = {(int(kept[row]), i) for n, row, i in wanted.items if n == number}
            assert {i for _, i in entries} == {i for _, i in expected_entries}, (name, relation.name)
            assert entries == expected_entries or (limited and entries > expected_entries), (name, relation.name)
    for number in range(len(problem.variables)):
        found = set(np.flatnonzero(live.values[number]).tolist())
        assert found == {value for v, value in wanted.values if v == number}, (name, number)


def within(found: Found, limits: Limits) -> bool:
    return (
        (limits.price is None or (not found.unpriced and found.price <= limits.price))
        and (limits.mass is None or (not found.unweighed and found.mass <= limits.mass))
        and (limits.lead is None or (not found.undated and found.lead <= limits.lead))
    )


@pytest.mark.parametrize("seed", range(0, WORLDS, 2))
def test_limits(seed: int) -> None:
    made = known_world(seed)
    wanted = known_solutions(seed)
    plain = masked(made.problem, made.rows, made.items)
    prices = sorted(f.price for f in wanted.values() if not f.unpriced) or [5]
    masses = sorted(f.mass for f in wanted.values() if not f.unweighed) or [5]
    price, mass = prices[len(prices) // 3], masses[len(masses) // 2]
    for name in ("as it is", "all off")[: 1 + (seed % 4 == 0)]:
        view = opened(seed, SWITCHES[name])
        for limits in (Limits(price=price), Limits(mass=mass)):
            inside = {k: f for k, f in wanted.items() if within(f, limits)}
            assert view.count(limits) == len(inside), (name, limits)
            assert {key_of(view, s): figures(s) for s in view.listing(limits)} == {
                k: as_figures(f) for k, f in inside.items()
            }
            assert_live(view.live(limits), alive_within(plain, inside), made, name, limited=True)
            ranked = [(s.totals.unpriced, s.totals.price) for s in view.best(BY_PRICE, limits)]
            assert ranked == sorted((f.unpriced, f.price) for f in inside.values())
        both = Limits(price, mass)
        inside = {k: f for k, f in wanted.items() if within(f, both)}
        assert {key_of(view, s) for s in view.listing(both)} == set(inside)
        ranked = [(s.totals.unpriced, s.totals.price) for s in view.best(BY_PRICE, both)]
        assert ranked == sorted((f.unpriced, f.price) for f in inside.values())
        with pytest.raises(TooWide):
            view.count(both)
        with pytest.raises(TooWide):
            view.live(both)


def alive_within(problem: Problem, inside: dict[Key, Found]) -> Alive:
    return alive(problem, 3, frozenset(inside))


@pytest.mark.parametrize("seed", range(0, WORLDS, 2))
def test_lead_limit_is_a_mask_and_soonest_comes_first(seed: int) -> None:
    made = known_world(seed)
    plain = masked(made.problem, made.rows, made.items)
    view = opened(seed, Options())
    stages: dict[Key, tuple[int, ...]] = {}
    for stage, lead in enumerate([*range(7), None]):
        slow = plain if lead is None else without_slow(plain, lead)
        found = referee(slow, 3)
        if lead is not None:
            assert view.count(Limits(lead=lead)) == len(found)
        for key, f in found.items():
            stages.setdefault(key, (stage, f.unpriced, f.price))
    soonest = list(view.soonest())
    assert [stages[key_of(view, s)] for s in soonest] == sorted(stages.values())
    assert [(s.totals.unpriced, s.totals.price) for s in soonest] == [x[1:] for x in sorted(stages.values())]


def without_slow(problem: Problem, lead: int) -> Problem:
    masks = {}
    for n, r in enumerate(problem.relations):
        if r.stacks is not None:
            masks[n] = (r.stacks.lead <= lead) & (r.stacks.lead != MISSING)
    return masked(problem, {}, masks)


@pytest.mark.parametrize("seed", range(WORLDS))
def test_front(seed: int) -> None:
    wanted = known_solutions(seed)
    points = {(f.price, f.mass) for f in wanted.values() if not f.unpriced and not f.unweighed}
    best = sorted(p for p in points if not any(q[0] <= p[0] and q[1] <= p[1] and q != p for q in points))
    for name in ("as it is", "all off"):
        front = opened(seed, SWITCHES[name]).front()
        assert [p[:2] for p in front] == best
        assert [(s.totals.price, s.totals.mass) for _, _, s in front] == best
