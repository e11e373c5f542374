"""Small random problems for the engine's tests, and the brute-force referee: it tries every assignment.

The referee follows the definition of a solution in ``solver.engine.problem`` word by word and uses nothing else of the
engine.
"""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
import pytest

from solver.engine.problem import MISSING, NOTHING, Builder, Item, Problem, Relation, Stacks

FEATURES = (
    "hidden",
    "all_hidden",
    "levels",
    "stacks",
    "missing",
    "alternatives",
    "shared",
    "hidden_items",
    "equal",
    "doubled_rows",
    "masks",
)
WORLDS = 240
MOST = 1_200

Items = tuple[int, ...]
Key = tuple[Items, Items]
Choice = tuple[int, int, int, int, int, int]
"""Row, item, level, price, mass, lead."""


@dataclass(frozen=True)
class Found:
    """A solution as the referee sees it."""

    level: int
    unpriced: int
    price: int
    unweighed: int
    mass: int
    undated: int
    lead: int


@dataclass(frozen=True)
class World:
    """A problem, masks over it, and which features it has."""

    problem: Problem
    rows: dict[int, np.ndarray]
    items: dict[int, np.ndarray]
    features: frozenset[str]


class TooMany(Exception):
    """The random problem has more solutions than a small test should list."""


def world(seed: int) -> World:
    """The random problem of a seed."""
    for attempt in itertools.count():
        made = _world(random.Random(1000 * seed + attempt), seed)
        try:
            number = len(referee(made.problem, 3))
        except TooMany:
            continue
        if number or attempt > 20:
            return made
    raise AssertionError


def _world(rng: random.Random, seed: int) -> World:
    has = {f for n, f in enumerate(FEATURES) if (seed >> (n % 4)) & 1 == (n // 4) % 2 or rng.random() < 0.25}
    if "all_hidden" in has and seed % 5:
        has.discard("all_hidden")
    b = Builder()
    number = rng.randint(3, 6)
    sizes = [rng.randint(2, 4) for _ in range(number)]
    if "equal" in has:
        sizes[1] = sizes[0]
    veiled = [("all_hidden" in has) or ("hidden" in has and rng.random() < 0.4) for _ in range(number)]
    variables = [b.variable(f"v{n}", s, hidden=h) for n, (s, h) in enumerate(zip(sizes, veiled, strict=True))]
    idents = itertools.count(100)
    for n in range(rng.randint(1, 3)):
        columns = rng.sample(variables, min(rng.randint(2, 3), number))
        rows = _rows(rng, [sizes[c] for c in columns], 0.6)
        if "doubled_rows" in has:
            rows += rng.sample(rows, min(2, len(rows)))
        b.relation(f"plain {n}", columns, rows, levels=_levels(rng, len(rows), has))
    for n in range(rng.randint(1, 3)):
        columns = rng.sample(variables, rng.randint(1, min(3, number)))
        rows = _rows(rng, [sizes[c] for c in columns], 0.7)
        stacks = _stacks(rng, len(rows), idents, has)
        b.relation(f"items {n}", columns, rows, stacks=stacks, levels=_levels(rng, len(rows), has))
    if "hidden_items" in has:
        columns = rng.sample(variables, min(2, number))
        rows = _rows(rng, [sizes[c] for c in columns], 0.9)
        power = itertools.count()  # prices such that no two choices cost the same
        stacks = [
            [
                Item(next(idents), 2 ** next(power), rng.randint(0, 9), rng.randint(0, 5))
                for _ in range(rng.randint(1, 2))
            ]
            for _ in rows
        ]
        stacks[-1] = [Item(next(idents), None, 1, None)]
        stacks[0] = [Item(NOTHING)]
        b.relation("hidden items", columns, rows, stacks=stacks, levels=_levels(rng, len(rows), has), hidden=True)
    if "shared" in has:
        _share(b, rng, variables, sizes, idents, has)
    if "equal" in has:
        b.equal(variables[0], variables[1])
    problem = b.problem()
    masks: tuple[dict[int, np.ndarray], dict[int, np.ndarray]] = ({}, {})
    if "masks" in has:
        masks = _masks(rng, problem)
    return World(problem, *masks, frozenset(has))


def _rows(rng: random.Random, sizes: list[int], share: float) -> list[tuple[int, ...]]:
    every = list(itertools.product(*(range(s) for s in sizes)))
    return [r for r in every if rng.random() < share] or every[:1]


def _levels(rng: random.Random, number: int, has: set[str]) -> list[int] | None:
    return [rng.choice((0, 0, 0, 1, 2, 3)) for _ in range(number)] if "levels" in has else None


def _item(rng: random.Random, ident: int, has: set[str]) -> Item:
    def figure(most: int) -> int | None:
        return None if "missing" in has and rng.random() < 0.25 else rng.randint(0, most)

    return Item(ident, figure(30), figure(20), figure(6))


def _stacks(rng: random.Random, number: int, idents: Iterator[int], has: set[str]) -> list[list[Item]]:
    most = 3 if "stacks" in has else 1
    stacks = [
        [_item(rng, next(idents), has) for _ in range(rng.randint(0 if most > 1 else 1, most))] for _ in range(number)
    ]
    if "alternatives" in has:
        for item in rng.sample([i for s in stacks for i in s], min(3, sum(map(len, stacks)))):
            for stack in rng.sample(stacks, min(2, number)):
                if item not in stack:
                    stack.append(item)
    return stacks


def _share(
    b: Builder, rng: random.Random, variables: list[int], sizes: list[int], idents: Iterator[int], has: set[str]
) -> None:
    """Two places, and two sorts of item that fill both: the recipe of ``solver.engine.problem``."""
    mode = b.variable("mode", 3, hidden="all_hidden" in has)
    for place in range(2):
        v = variables[place]
        rows, stacks = [], []
        for value in range(sizes[v]):
            rows.append((value, 0))
            stacks.append([_item(rng, next(idents), has) for _ in range(rng.randint(1, 2))])
        for sort in (1, 2):
            rows.append((rng.randrange(sizes[v]), sort))
            stacks.append([Item(NOTHING)])
        b.relation(f"place {place}", (v, mode), rows, stacks=stacks)
    shared = [[_item(rng, next(idents), has) for _ in range(rng.randint(1, 2))] for _ in range(2)]
    b.relation("shared", (mode,), [(0,), (1,), (2,)], stacks=[[Item(NOTHING)], *shared])


def _masks(rng: random.Random, problem: Problem) -> tuple[dict[int, np.ndarray], dict[int, np.ndarray]]:
    rows: dict[int, np.ndarray] = {}
    items: dict[int, np.ndarray] = {}
    for number, relation in enumerate(problem.relations):
        if relation.stacks is not None and rng.random() < 0.5:
            out = {i for i in relation.stacks.ident.tolist() if rng.random() < 0.25}
            items[number] = np.array([i not in out for i in relation.stacks.ident.tolist()], dtype=bool)
        elif rng.random() < 0.5:
            rows[number] = np.array([rng.random() < 0.8 for _ in relation.rows], dtype=bool)
    return rows, items


def masked(problem: Problem, rows: dict[int, np.ndarray], items: dict[int, np.ndarray]) -> Problem:
    """The problem in which the masked rows and items were never there."""
    relations = []
    for number, r in enumerate(problem.relations):
        keep = rows.get(number, np.ones(len(r.rows), dtype=bool))
        stacks = r.stacks
        if stacks is not None:
            chosen = items.get(number, np.ones(len(stacks.row), dtype=bool)) & keep[stacks.row]
            place = np.cumsum(keep) - 1
            columns = (place[stacks.row], stacks.ident, stacks.price, stacks.mass, stacks.lead)
            stacks = Stacks(*(c[chosen] for c in columns))
        levels = None if r.levels is None else r.levels[keep]
        relations.append(Relation(r.name, r.columns, r.rows[keep], stacks, levels, r.hidden))
    return Problem(problem.variables, tuple(relations), problem.equal)


@dataclass(frozen=True)
class Assignment:
    """One way to satisfy everything, hidden values and purchases included."""

    key: Key
    found: Found
    rank: tuple[int, ...]
    values: Items
    chosen: tuple[Choice, ...]


def counted_variables(problem: Problem) -> tuple[list[int], list[int]]:
    """For each variable the one that stands for all its equals, and those of them that are counted."""
    merged = list(range(len(problem.variables)))
    for a, b in problem.equal:
        merged = [min(merged[a], merged[b]) if m in (merged[a], merged[b]) else m for m in merged]
    groups = {m: [v for v in range(len(merged)) if merged[v] == m] for m in sorted(set(merged))}
    return merged, [m for m, group in groups.items() if not all(problem.variables[v].hidden for v in group)]


def assignments(problem: Problem, accept: int) -> Iterator[Assignment]:
    """Every way to satisfy everything up to a level."""
    merged, counted = counted_variables(problem)
    order = sorted(set(merged))
    places = {v: n for n, v in enumerate(order)}
    offers = [(_offers(r, accept), [places[merged[c]] for c in r.columns]) for r in problem.relations]
    for values in itertools.product(*(range(problem.variables[v].size) for v in order)):
        choices = [offer.get(tuple(values[p] for p in columns), ()) for offer, columns in offers]
        for chosen in itertools.product(*choices):
            items = tuple(chosen[n][1] for n in problem.item_relations)
            found, rank = _come_to(problem, chosen)
            key = tuple(values[places[v]] for v in counted), items
            yield Assignment(key, found, rank, tuple(values[places[m]] for m in merged), chosen)


def referee(problem: Problem, accept: int) -> dict[Key, Found]:
    """Every solution up to a level: (counted values, items) -> what it comes to.

    Raises:
        TooMany: more than ``MOST`` solutions.
    """
    best: dict[Key, tuple[tuple[int, ...], Found]] = {}
    for a in assignments(problem, accept):
        if a.key not in best or a.rank < best[a.key][0]:
            best[a.key] = (a.rank, a.found)
        if len(best) > MOST:
            raise TooMany
    return {key: found for key, (_, found) in best.items()}


@dataclass(frozen=True)
class Alive:
    """What occurs in some assignment: (relation, row), (relation, row, item), (variable, value)."""

    rows: frozenset[tuple[int, int]]
    items: frozenset[tuple[int, int, int]]
    values: frozenset[tuple[int, int]]


def alive(problem: Problem, accept: int, keys: frozenset[Key] | None = None) -> Alive:
    """What occurs in the assignments (of these solutions only, if given)."""
    rows, items, values = set(), set(), set()
    for a in assignments(problem, accept):
        if keys is None or a.key in keys:
            rows |= {(n, c[0]) for n, c in enumerate(a.chosen)}
            items |= {(n, *c[:2]) for n, c in enumerate(a.chosen) if problem.relations[n].stacks is not None}
            values |= set(enumerate(a.values))
    return Alive(frozenset(rows), frozenset(items), frozenset(values))


def _offers(relation: Relation, accept: int) -> dict[Items, list[Choice]]:
    """What a relation offers at which values."""
    found: dict[Items, list[Choice]] = {}
    for row, line in enumerate(relation.rows.tolist()):
        level = 0 if relation.levels is None else int(relation.levels[row])
        if level > accept:
            continue
        mine = found.setdefault(tuple(line), [])
        if relation.stacks is None:
            mine.append((row, NOTHING, level, 0, 0, 0))
        else:
            stacks = relation.stacks
            columns = (stacks.row, stacks.ident, stacks.price, stacks.mass, stacks.lead)
            for at, ident, *figures in zip(*(c.tolist() for c in columns), strict=True):
                if at == row:
                    mine.append((row, ident, level, *figures))
    return found


def _come_to(problem: Problem, chosen: tuple[Choice, ...]) -> tuple[Found, tuple[int, ...]]:
    level = unpriced = price = unweighed = mass = undated = lead = 0
    hidden_unpriced = hidden_price = purchases = 0
    for relation, (_, ident, step, cost, weight, days) in zip(problem.relations, chosen, strict=True):
        level = max(level, step)
        unpriced += cost == MISSING
        price += 0 if cost == MISSING else cost
        unweighed += weight == MISSING
        mass += 0 if weight == MISSING else weight
        undated += days == MISSING
        lead = max(lead, 0 if days == MISSING else days)
        if relation.hidden:
            hidden_unpriced += cost == MISSING
            hidden_price += 0 if cost == MISSING else cost
            purchases += ident != NOTHING
    found = Found(level, unpriced, price, unweighed, mass, undated, lead)
    return found, (level, hidden_unpriced, hidden_price, purchases)


@cache
def known_world(seed: int) -> World:
    """The same, made once a run."""
    return world(seed)


@cache
def known_solutions(seed: int) -> dict[Key, Found]:
    """The referee's solutions of the masked problem of a seed, found once a run."""
    made = known_world(seed)
    return referee(masked(made.problem, made.rows, made.items), 3)


@lru_cache(maxsize=1)
def features_seen() -> Counter[str]:
    """How many worlds have each feature, and some solution."""
    return Counter(f for seed in range(WORLDS) for f in known_world(seed).features)


def test_every_feature_is_in_at_least_twenty_worlds() -> None:
    assert {f: n for f in FEATURES if (n := features_seen()[f]) < 20} == {}


def test_the_referee_on_a_problem_counted_by_hand() -> None:
    b = Builder()
    x, h = b.variable("x", 2), b.variable("h", 3, hidden=True)
    b.relation("items", (x,), [(0,), (1,)], stacks=[[Item(1), Item(2)], [Item(3)]])
    b.relation("link", (x, h), [(0, 0), (0, 1), (1, 2)], levels=[2, 1, 3])
    found = referee(b.problem(), 3)
    assert {key: f.level for key, f in found.items()} == {((0,), (1,)): 1, ((0,), (2,)): 1, ((1,), (3,)): 3}
    assert len(referee(b.problem(), 2)) == 2


def test_the_referee_gives_up_on_too_many() -> None:
    b = Builder()
    for n in range(13):
        b.variable(f"v{n}", 2)
    with pytest.raises(TooMany):
        referee(b.problem(), 0)
