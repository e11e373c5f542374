"""The engine against python-constraint, on the small random problems of the brute-force referee."""

from __future__ import annotations

import itertools

import pytest

from solver.engine.baseline import baseline
from solver.engine.options import Options
from solver.engine.problem import Builder, Item
from solver.engine.view import open_problem
from tests.test_engine_agreement import key_of, opened
from tests.test_engine_worlds import WORLDS, known_solutions, known_world, masked


@pytest.mark.parametrize("seed", range(0, WORLDS, 2))
def test_three_roads_one_answer(seed: int) -> None:
    made = known_world(seed)
    plain = baseline(masked(made.problem, made.rows, made.items))
    found = {(s.values, s.items): (s.level, s.unpriced, s.price) for s in plain}
    assert found == {k: (f.level, f.unpriced, f.price) for k, f in known_solutions(seed).items()}
    view = opened(seed, Options())
    ranked = {key_of(view, s): (s.level, s.totals.unpriced, s.totals.price) for s in view.best()}
    assert ranked == found
    ten = [(s.totals.unpriced, s.totals.price) for s in itertools.islice(view.best(), 10)]
    assert ten == [(s.unpriced, s.price) for s in plain[:10]]


def test_a_problem_counted_by_hand() -> None:
    b = Builder()
    x, y = b.variable("x", 2), b.variable("y", 2)
    b.relation("differ", (x, y), [(0, 1), (1, 0)])
    b.relation("left", (x,), [(0,), (1,)], stacks=[[Item(1, 5), Item(2, 7)], [Item(3, 1)]])
    b.relation("right", (y,), [(0,), (1,)], stacks=[[Item(4, 1)], [Item(5, 2)]])
    assert [(s.items, s.price) for s in baseline(b.problem())] == [((3, 4), 2), ((1, 5), 7), ((2, 5), 9)]
    assert open_problem(b.problem()).count() == 3


def test_an_empty_relation_leaves_nothing() -> None:
    b = Builder()
    x = b.variable("x", 2)
    b.relation("never", (x,), [])
    assert baseline(b.problem()) == []
    assert not open_problem(b.problem()).exists
