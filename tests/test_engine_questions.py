"""What the engine promises beside agreement: uniform samples, refusals, depth, interruption, clear faults."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Generator, Mapping
from statistics import NormalDist
from types import MappingProxyType
from typing import Any

import networkx as nx
import numpy as np
import pytest
from networkx.algorithms.approximation import treewidth_min_fill_in

from solver.engine.circuit import estimate
from solver.engine.costs import BY_PRICE, Objective
from solver.engine.options import Options, TooWide
from solver.engine.problem import MISSING, NOTHING, Builder, Item, Problem, ProblemError, Stacks
from solver.engine.solution import Solution
from solver.engine.view import Limits, View, open_problem
from tests.benchmarks.engine_encode import encode
from tests.benchmarks.engine_everything import everything
from tests.benchmarks.engine_instance import SLOTS, make
from tests.test_engine_agreement import key_of, opened
from tests.test_engine_worlds import FEATURES, WORLDS, known_solutions, known_world


def chain(length: int, width: int = 3) -> Builder:
    """A chain of variables, neighbours different, an item on every value."""
    b = Builder()
    variables = [b.variable(f"v{n}", width) for n in range(length)]
    differ = [(i, j) for i in range(width) for j in range(width) if i != j]
    for n, v in enumerate(variables):
        b.relation(
            f"items {n}",
            (v,),
            [(i,) for i in range(width)],
            stacks=[[Item(100 * n + i, price=(7 * n + 3 * i) % 11, mass=(5 * n + i) % 7)] for i in range(width)],
        )
        if n:
            b.relation(f"link {n}", (variables[n - 1], v), differ)
    return b


def chi_square_bound(cells: int, doubt: float = 1e-4) -> float:
    """What a chi-square sum of uniform samples exceeds with a chance of about ``doubt`` (Wilson and Hilferty, 1931)."""
    free = cells - 1
    z = NormalDist().inv_cdf(1 - doubt)
    return float(free * (1 - 2 / (9 * free) + z * (2 / (9 * free)) ** 0.5) ** 3)


SAMPLED = range(0, WORLDS, 3)


@pytest.mark.parametrize("seed", SAMPLED)
def test_samples_are_uniform(seed: int) -> None:
    """Twenty samples a solution; the sum of squares stays under the bound that one run in ten thousand exceeds.

    The seeds are fixed, so the test always gives the same answer.
    """
    wanted = known_solutions(seed)
    view = opened(seed, Options())
    if not wanted:
        with pytest.raises(IndexError):
            view.sample(1, seed)
        return
    number = 20 * min(len(wanted), 400)
    cells = Counter(view.sample(number, seed))
    assert {key_of(view, s) for s in cells} <= set(wanted)
    if len(wanted) > 1:
        expected = number / len(wanted)
        seen = sum((c - expected) ** 2 / expected for c in cells.values())
        assert seen + (len(wanted) - len(cells)) * expected < chi_square_bound(len(wanted))


def test_the_bound_catches_a_crooked_sample() -> None:
    source = random.Random(1)
    cells = Counter(min(source.randrange(60), 57) for _ in range(1200))
    assert sum((cells[c] - 20) ** 2 / 20 for c in range(60)) > chi_square_bound(60)


def test_ranks_beyond_machine_integers() -> None:
    view = open_problem(chain(120).problem())
    total = view.count()
    assert total == 3 * 2**119
    assert view.at(0) == view.first()
    last = view.at(total - 1)
    assert last != view.at(total - 2)
    with pytest.raises(IndexError):
        view.at(total)


@pytest.mark.parametrize("seed", [1, 2])
def test_long_counts_by_two_arithmetics(seed: int) -> None:
    """Long runs of pairs, counts of some seventy digits: residues against Python integers."""
    problem = encode(make(400, seed))
    view = open_problem(problem)
    by_hand = open_problem(problem, Options(residues=False)).count()
    assert max(n.longest_run for n in view.circuit.nodes) > 100
    assert by_hand > 10**55
    assert view.count() == by_hand


def test_deep_circuits_need_no_recursion() -> None:
    view = open_problem(chain(900).problem())
    assert view.count() == 3 * 2**899
    ten = list(itertools.islice(view.best(), 10))
    prices = [s.totals.price for s in ten]
    assert prices == sorted(prices)
    assert next(view.listing()) == view.first()
    assert len(view.sample(2, 1)) == 2
    live = view.live()
    assert all(mask.all() for mask in live.items.values())


def test_a_refusal_carries_numbers_and_comes_before_the_work() -> None:
    b = Builder()
    n = 14
    rows = [b.variable(f"q{i}", n) for i in range(n)]
    for i, j in itertools.combinations(range(n), 2):
        apart = [(x, y) for x in range(n) for y in range(n) if x != y and abs(x - y) != j - i]
        b.relation(f"{i}-{j}", (rows[i], rows[j]), apart)
    problem = b.problem()
    expected = estimate(problem)
    assert expected.width >= 10
    assert expected.join_rows > 1e6
    with pytest.raises(TooWide) as refusal:
        open_problem(problem, Options(join_rows=200_000))
    assert refusal.value.what == "join_rows"
    assert refusal.value.needed > refusal.value.bound == 200_000
    assert refusal.value.estimate == expected


def test_an_estimate_of_a_narrow_problem_is_near() -> None:
    problem = chain(50).problem()
    expected = estimate(problem)
    circuit = open_problem(problem).circuit
    assert expected.width <= 3
    assert circuit.join_rows / 2 <= expected.join_rows <= 2 * circuit.join_rows


def test_counting_under_a_limit_refuses_when_the_sum_is_too_long() -> None:
    problem = chain(40).problem()
    cheapest = next(open_problem(problem).best()).totals.price
    assert open_problem(problem).count(Limits(price=cheapest)) >= 1
    with pytest.raises(TooWide) as refusal:
        open_problem(problem, Options(expansion=1000)).count(Limits(price=cheapest + 50))
    assert refusal.value.what == "expansion"


def test_counting_under_a_limit_adds_up_to_the_whole() -> None:
    """Beyond what listing could check: the counts by price, added up, are all solutions."""
    view = open_problem(chain(60).problem())
    dearest = 11 * 60
    assert view.count(Limits(price=dearest)) == view.count() == 3 * 2**59
    middle = view.count(Limits(price=300))
    assert 0 < middle < view.count()
    assert middle == view.count(Limits(price=299)) + _exactly(60, 300)


def _exactly(length: int, price: int) -> int:
    """Solutions of ``chain`` at exactly a price, by plain dynamic programming."""
    counts: Counter[tuple[int, int]] = Counter({(i, (3 * i) % 11): 1 for i in range(3)})
    for n in range(1, length):
        after: Counter[tuple[int, int]] = Counter()
        for (last, spent), number in counts.items():
            for i in range(3):
                if i != last:
                    after[i, spent + (7 * n + 3 * i) % 11] += number
        counts = after
    return sum(number for (_, spent), number in counts.items() if spent == price)


def test_an_interrupted_generator_harms_nothing() -> None:
    view = open_problem(chain(30).problem())
    expected = list(itertools.islice(view.best(), 50))
    for make_one in (view.best, view.listing, view.soonest):
        running = make_one()
        assert isinstance(running, Generator)
        for _ in range(7):
            next(running)
        with pytest.raises(KeyboardInterrupt):
            running.throw(KeyboardInterrupt)
        running.close()
    assert list(itertools.islice(view.best(), 50)) == expected
    assert view.count() == 3 * 2**29


def test_the_same_answers_in_every_run() -> None:
    one, two = (open_problem(encode(make(12, 5))) for _ in range(2))
    assert list(itertools.islice(one.best(), 200)) == list(itertools.islice(two.best(), 200))
    assert list(itertools.islice(one.listing(), 200)) == list(itertools.islice(two.listing(), 200))
    assert one.sample(20, 3) == two.sample(20, 3)


def test_own_costs_come_before_the_price() -> None:
    """Fewest changes of given picks, then cheapest: a cost of 1 on every item that is not the pick."""
    view = open_problem(chain(8).problem())
    picks = [100 * n for n in range(8)]  # all the same value: neighbours clash
    stacks = [view.circuit.problem.relations[n].stacks for n in view.circuit.problem.item_relations]
    extra = {
        number: np.array([int(i not in picks) for i in s.ident.tolist()], dtype=np.int64)
        for number, s in zip(view.circuit.problem.item_relations, stacks, strict=True)
        if s is not None
    }
    ranked = [
        (sum(i not in picks for i in s.items), s.totals.price) for s in view.best(Objective(price=1, extra=extra))
    ]
    assert ranked == sorted((sum(i not in picks for i in s.items), s.totals.price) for s in view.listing())
    assert ranked[0][0] == 4


def test_figures_beyond_machine_integers() -> None:
    b = Builder()
    x, y = b.variable("x", 2), b.variable("y", 2)
    huge = 2**61
    b.relation("left", (x,), [(0,), (1,)], stacks=[[Item(1, huge, 1)], [Item(2, huge - 1, 5)]])
    b.relation("right", (y,), [(0,), (1,)], stacks=[[Item(3, huge, 1)], [Item(4, huge - 2, 2)]])
    view = open_problem(b.problem())
    assert [s.totals.price for s in view.best()] == [2 * huge - 3, 2 * huge - 2, 2 * huge - 1, 2 * huge]
    assert view.count(Limits(price=2 * huge - 2)) == 2
    assert [p[:2] for p in view.front()] == [(2 * huge - 3, 7), (2 * huge - 2, 3), (2 * huge, 2)]


def test_levels_pick_the_hidden_purchase() -> None:
    """The best level comes first, the price second: a dearer purchase at level 0 beats a cheaper one at level 2."""
    b = Builder()
    x, h = b.variable("x", 2), b.variable("h", 2, hidden=True)
    b.relation("items", (x,), [(0,), (1,)], stacks=[[Item(1, 10)], [Item(2, 10)]])
    b.relation(
        "adapter",
        (x, h),
        [(0, 0), (0, 1), (1, 1)],
        stacks=[[Item(50, 20, 3)], [Item(51, 1, 4)], [Item(52, 5, 5), Item(53, 2, 6)]],
        levels=[0, 2, 2],
        hidden=True,
    )
    view = open_problem(b.problem())
    best = [(s.items, s.hidden_items, s.level, s.totals.price, s.totals.mass) for s in view.best()]
    assert best == [((2,), ((1, 53),), 2, 12, 6), ((1,), ((1, 50),), 0, 30, 3)]
    assert view.count_by_level() == (1, 1, 2, 2)
    assert view.count(Limits(price=12)) == 1
    assert [p[:2] for p in view.front()] == [(12, 6), (30, 3)]


def test_a_shared_item_is_counted_priced_and_weighed_once() -> None:
    b = Builder()
    left, right, mode = b.variable("left", 2), b.variable("right", 2), b.variable("mode", 2)
    b.relation("same", (left, right), [(0, 0), (1, 1)])
    b.relation("left", (left, mode), [(0, 0), (1, 0), (1, 1)], stacks=[[Item(1, 3)], [Item(2, 4)], [Item(NOTHING)]])
    b.relation("right", (right, mode), [(0, 0), (1, 0), (1, 1)], stacks=[[Item(3, 3)], [Item(4, 9)], [Item(NOTHING)]])
    b.relation("pair", (mode,), [(0,), (1,)], stacks=[[Item(NOTHING)], [Item(5, 6), Item(6, 8)]])
    view = open_problem(b.problem())
    assert sorted((s.totals.price, s.items) for s in view.best()) == [
        (6, (NOTHING, NOTHING, 5)),
        (6, (1, 3, NOTHING)),
        (8, (NOTHING, NOTHING, 6)),
        (13, (2, 4, NOTHING)),
    ]
    assert view.count() == 4


def assert_holds(
    view: View, solution: Solution, kept: Mapping[int, np.ndarray[Any, Any]] = MappingProxyType({})
) -> None:
    """The values of a solution are a row of every relation, and its items lie on these rows."""
    problem = view.circuit.problem
    values = view.values(solution)
    assert all(values[a] == values[b] for a, b in problem.equal)
    hidden = dict(solution.hidden_items)
    level = 0
    for number, relation in enumerate(problem.relations):
        wanted = [values[c] for c in relation.columns]
        rows = np.flatnonzero((relation.rows == np.array(wanted)).all(axis=1) & kept.get(number, True))
        if relation.stacks is not None:
            places = problem.item_relations
            ident = hidden[number] if relation.hidden else solution.items[places.index(number)]
            on = relation.stacks.row[relation.stacks.ident == ident]
            rows = np.intersect1d(rows, on)
        assert len(rows), relation.name
        level = max(level, int(relation.levels[rows].min()) if relation.levels is not None else 0)
    assert level == solution.level


@pytest.mark.parametrize("seed", range(1, WORLDS, 4))
def test_values_satisfy_every_relation(seed: int) -> None:
    view = opened(seed, Options())
    for solution in itertools.islice(view.best(), 30):
        assert_holds(view, solution, known_world(seed).rows)


def test_hidden_prices_too_large_are_refused() -> None:
    b = Builder()
    x = b.variable("x", 1)
    b.relation("items", (x,), [(0,)], stacks=[[Item(1, 1)]])
    b.relation("veiled", (x,), [(0,)], stacks=[[Item(2, 2**58)]], hidden=True)
    view = open_problem(b.problem())
    assert view.count() == 1
    with pytest.raises(ProblemError, match="too large"):
        next(view.best())


SCARCE = 3
"""``everything`` has every third rim once."""


def test_a_large_problem_with_everything_adds_up() -> None:
    """10**24 solutions: settings, levels, twins with a stock limit, items that fill two places."""
    view = open_problem(everything(20, 1))
    free = open_problem(everything(20, 1, stock=False))
    bare = open_problem(everything(20, 1, wheels=False))
    assert view.count() > 10**23
    problem = view.circuit.problem
    names = [r.name for r in problem.relations]
    wheels = problem.relations[names.index("wheels")].stacks
    assert wheels is not None
    assert view.restricted(items={names.index("wheels"): wheels.ident == NOTHING}).count() == bare.count()
    twins = [names.index("front_rim"), names.index("rear_rim")]
    same = 0
    for piece in range(0, 20, SCARCE):
        only = np.arange(20) == piece
        same += free.restricted(items=dict.fromkeys(twins, only)).count()
    assert view.count() == free.count() - same < free.count()
    places = [problem.item_relations.index(t) for t in twins]
    scarce = {int(i) for i in free.circuit.problem.relations[twins[0]].stacks.ident[::SCARCE]}  # type: ignore[union-attr]
    for solution in [*view.sample(60, 2), *itertools.islice(view.best(), 60), *itertools.islice(view.listing(), 60)]:
        assert_holds(view, solution)
        front, rear = (solution.items[p] for p in places)
        assert front != rear or front not in scarce
    assert len({s.level for s in view.sample(60, 2)}) == 2


@pytest.mark.parametrize("copies", [1, 2])
def test_the_benchmark_instance_is_as_narrow_as_it_says(copies: int) -> None:
    instance = make(20, 1, copies=copies)
    graph: nx.Graph[int] = nx.Graph()
    meetings = [*instance.tables, *((tuple((s, p) for s, p, _ in terms), ()) for terms, _, _ in instance.sums)]
    for slots in [[a[0], b[0]] for a, b in instance.equalities] + [[s for s, _ in columns] for columns, _ in meetings]:
        graph.add_edges_from(itertools.combinations(sorted(set(slots)), 2))
    width, _ = treewidth_min_fill_in(graph)
    assert graph.number_of_nodes() <= copies * len(SLOTS)
    assert len(instance.equalities) + len(meetings) == copies * 49
    assert width == 4


def test_restricting_by_picks_is_as_compiling_anew() -> None:
    problem = encode(make(15, 3))
    whole = open_problem(problem)
    source = random.Random(4)
    for _ in range(6):
        view = whole
        for number in source.sample(range(len(SLOTS)), 4):
            alive = np.flatnonzero(view.live().items[number])
            mask = np.zeros(15, dtype=bool)
            mask[source.choice(alive.tolist())] = True
            view = view.restricted(items={number: mask})
        fresh = open_problem(_with_picks(problem, view), Options(reuse=False))
        assert view.count() == fresh.count() > 0
        assert next(view.best()).items == next(fresh.best()).items or (
            next(view.best()).totals.price == next(fresh.best()).totals.price
        )
        for number in range(len(SLOTS)):
            stacks = problem.relations[number].stacks
            assert stacks is not None
            fresh_stacks = fresh.circuit.problem.relations[number].stacks
            assert fresh_stacks is not None
            assert set(stacks.ident[view.live().items[number]]) == set(fresh_stacks.ident[fresh.live().items[number]])


def _with_picks(problem: Problem, view: View) -> Problem:
    """The problem with only the items that are live in a view."""
    relations = []
    live = view.live()
    for number, relation in enumerate(problem.relations):
        stacks = relation.stacks
        if stacks is None:
            relations.append(relation)
            continue
        keep = live.items[number]
        columns = (stacks.row, stacks.ident, stacks.price, stacks.mass, stacks.lead)
        relations.append(
            type(relation)(relation.name, relation.columns, relation.rows, Stacks(*(c[keep] for c in columns)))
        )
    return Problem(problem.variables, tuple(relations), problem.equal)


def one_relation(**changes: object) -> None:
    b = Builder()
    x = b.variable("x", 2)
    arguments = {"columns": (x,), "rows": [(0,), (1,)], **changes}
    b.relation("only", **arguments)  # type: ignore[arg-type]
    b.problem()


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"columns": (1,)}, "no variable 1"),
        ({"rows": [(2,)]}, "out of range"),
        ({"levels": [0, 4]}, "levels run from"),
        ({"levels": [0]}, "one level a row"),
        ({"stacks": [[Item(1), Item(1)], []]}, "twice on one row"),
        ({"stacks": [[Item(1, price=-1)], []]}, "negative figure"),
        ({"hidden": True}, "only a relation with items"),
    ],
)
def test_contradictory_records_are_refused(changes: dict[str, object], fault: str) -> None:
    with pytest.raises(ProblemError, match=fault):
        one_relation(**changes)


def test_unequal_equals_are_refused() -> None:
    b = Builder()
    b.equal(b.variable("x", 2), b.variable("y", 3))
    with pytest.raises(ProblemError, match="differ in size"):
        b.problem()


def test_alternatives_with_different_figures_are_refused() -> None:
    b = Builder()
    x = b.variable("x", 2, hidden=True)
    b.relation("items", (x,), [(0,), (1,)], stacks=[[Item(1, price=3)], [Item(1, price=4)]])
    with pytest.raises(ProblemError, match="alternatives of one item differ"):
        open_problem(b.problem())


def test_masks_are_checked() -> None:
    b = Builder()
    x = b.variable("x", 2, hidden=True)
    b.relation("items", (x,), [(0,), (1,)], stacks=[[Item(1)], [Item(1), Item(2)]])
    view = open_problem(b.problem())
    with pytest.raises(ProblemError, match="one truth value a row"):
        view.restricted(rows={0: np.ones(3, dtype=bool)})
    with pytest.raises(ProblemError, match="one truth value an item"):
        view.restricted(items={0: np.ones(2, dtype=bool)})
    with pytest.raises(ProblemError, match="kept only together"):
        view.restricted(items={0: np.array([True, False, True])})
    assert view.restricted(items={0: np.array([True, True, False])}).count() == 1


def test_edges_of_the_record() -> None:
    assert open_problem(Problem((), ())).count() == 1
    b = Builder()
    b.variable("free", 5)
    b.variable("veiled", 5, hidden=True)
    assert open_problem(b.problem()).count() == 5
    b.variable("nothing", 0, hidden=True)
    empty = open_problem(b.problem())
    assert (empty.count(), empty.first(), list(empty.listing()), list(empty.best()), empty.front()) == (
        0,
        None,
        [],
        [],
        [],
    )
    assert not any(mask.any() for mask in empty.live().values)


def test_a_price_that_is_not_stated_is_never_nought() -> None:
    b = Builder()
    x = b.variable("x", 3)
    b.relation("items", (x,), [(0,), (1,), (2,)], stacks=[[Item(1, None)], [Item(2, 50)], [Item(3, 0)]])
    view = open_problem(b.problem())
    assert [s.items for s in view.best(BY_PRICE)] == [(3,), (2,), (1,)]
    assert [s.items for s in view.listing(Limits(price=10**9))] == [(2,), (3,)]
    assert view.count(Limits(price=10**9)) == 2
    assert MISSING < 0


def test_every_feature_is_sampled_often_enough() -> None:
    seen = Counter(f for s in SAMPLED for f in known_world(s).features if known_solutions(s))
    assert {f: seen[f] for f in FEATURES if seen[f] < (5 if f == "all_hidden" else 20)} == {}
