"""An instance with all that the plain one lacks: settings, a stock limit, purchases that fill two slots, levels.

In: parts a slot and a seed. Out: a ``Problem`` in which every variable is hidden, so that only purchases are counted.
Rear hubs may be set up in three ways (the second and third at level 1); front and rear rims come from one list, some
with one piece in stock; some wheels fill both hubs at once.

``python -m tests.benchmarks.engine_everything PARTS SEED [bare]`` times one size (``bare``: without the stock limit).
"""

from __future__ import annotations

import itertools
import resource
import sys
import time
from dataclasses import replace

import numpy as np

from solver.engine.problem import NOTHING, Problem, Relation, Stacks, Variable
from solver.engine.view import open_problem
from tests.benchmarks.engine_encode import encode
from tests.benchmarks.engine_instance import SLOTS, make

WHEELS = 5
"""How many purchases fill both hubs."""


def everything(parts: int, seed: int, *, stock: bool = True, wheels: bool = True) -> Problem:
    """The instance; ``stock`` and ``wheels`` can be left out to check the count by adding up."""
    plain = encode(make(parts, seed))
    names = list(SLOTS)
    relations = list(plain.relations)
    variables = [replace(v, hidden=True) for v in plain.variables]
    hub = names.index("rear_hub")
    relations[hub] = _with_settings(relations[hub], variables)
    if wheels:
        _add_wheels(relations, variables, [names.index("front_hub"), names.index("rear_hub")], seed)
    if stock:
        _add_stock(relations, variables, [names.index("front_rim"), names.index("rear_rim")])
    return Problem(tuple(variables), tuple(relations), plain.equal)


def _with_settings(relation: Relation, variables: list[Variable]) -> Relation:
    """Every item also lies on the rows with the first column one and two further, at level 1."""
    stacks = relation.stacks
    if stacks is None:
        raise ValueError(relation.name)
    size = variables[relation.columns[0]].size
    first = (np.arange(relation.rows.shape[1]) == 0).astype(np.int64)
    rows = np.concatenate([(relation.rows + k * first) for k in range(3)])
    rows[:, 0] %= size
    rows, place = np.unique(rows, axis=0, return_inverse=True)
    number = len(relation.rows)
    columns = [np.tile(c, 3) for c in (stacks.ident, stacks.price, stacks.mass, stacks.lead)]
    at = np.concatenate([place[stacks.row + k * number] for k in range(3)])
    levels = np.ones(len(rows), dtype=np.int64)
    levels[place[:number]] = 0
    return Relation(relation.name, relation.columns, rows, Stacks(at, *columns), levels)


def _add_wheels(relations: list[Relation], variables: list[Variable], hubs: list[int], seed: int) -> None:
    """``WHEELS`` purchases that stand in for both hubs, by the recipe for shared items."""
    source = np.random.default_rng(seed)
    mode = len(variables)
    variables.append(Variable("mode", WHEELS + 1, hidden=True))
    for number in hubs:
        relation, stacks = relations[number], relations[number].stacks
        if stacks is None:
            raise ValueError(relation.name)
        copied = source.integers(0, len(relation.rows), WHEELS)
        rows = np.concatenate([relation.rows, relation.rows[copied]])
        modes = np.concatenate([np.zeros(len(relation.rows), dtype=np.int64), np.arange(1, WHEELS + 1)])
        nought = np.zeros(WHEELS, dtype=np.int64)
        levels = relation.levels if relation.levels is not None else np.zeros(len(relation.rows), dtype=np.int64)
        relations[number] = Relation(
            relation.name,
            (*relation.columns, mode),
            np.column_stack([rows, modes]),
            Stacks(
                np.concatenate([stacks.row, len(relation.rows) + np.arange(WHEELS)]),
                np.concatenate([stacks.ident, np.full(WHEELS, NOTHING)]),
                *(np.concatenate([c, nought]) for c in (stacks.price, stacks.mass, stacks.lead)),
            ),
            np.concatenate([levels, nought]),
        )
    first = 10**7
    row = np.concatenate([[0], 1 + np.repeat(np.arange(WHEELS), 3)])
    ident = np.concatenate([[NOTHING], first + np.arange(3 * WHEELS)])
    figures = [np.concatenate([[0], source.integers(50, 300, 3 * WHEELS)]) for _ in range(3)]
    relations.append(Relation("wheels", (mode,), np.arange(WHEELS + 1).reshape(-1, 1), Stacks(row, ident, *figures)))


def _add_stock(relations: list[Relation], variables: list[Variable], twins: list[int]) -> None:
    """The twins take the same purchases; every third is there only once, and only these need a column of their own."""
    columns = []
    front = relations[twins[0]].stacks
    for twin in twins:
        relation, stacks = relations[twin], relations[twin].stacks
        if stacks is None or front is None:
            raise ValueError(relation.name)
        number = np.arange(len(stacks.row))
        piece = np.where(number % 3 == 0, number // 3 + 1, 0)
        columns.append(len(variables))
        variables.append(Variable(f"piece {twin}", int(piece.max()) + 1, hidden=True))
        rows, row = np.unique(np.column_stack([relation.rows[stacks.row], piece]), axis=0, return_inverse=True)
        own = Stacks(row.astype(np.int64), front.ident, stacks.price, stacks.mass, stacks.lead)
        relations[twin] = Relation(relation.name, (*relation.columns, columns[-1]), rows, own)
    size = variables[columns[0]].size
    pairs = np.indices((size, size)).reshape(2, -1).T
    apart = (pairs[:, 0] != pairs[:, 1]) | (pairs[:, 0] == 0)
    relations.append(Relation("stock", tuple(columns), np.ascontiguousarray(pairs[apart])))


def main(arguments: list[str]) -> None:
    """Print one row: parts, stock limit, digits, join rows, milliseconds (open, count, 100 cheapest, live), memory."""
    stock = "bare" not in arguments
    problem = everything(int(arguments[0]), int(arguments[1]), stock=stock)
    marks = [time.perf_counter()]
    view = open_problem(problem)
    marks.append(time.perf_counter())
    count = view.count()
    marks.append(time.perf_counter())
    list(itertools.islice(view.best(), 100))
    marks.append(time.perf_counter())
    view.live()
    marks.append(time.perf_counter())
    times = [f"{1000 * (b - a):.0f}" for a, b in itertools.pairwise(marks)]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    cells = [arguments[0], "yes" if stock else "no", len(str(count)), view.circuit.join_rows, *times, memory]
    print("| " + " | ".join(map(str, cells)) + " |")


if __name__ == "__main__":
    main(sys.argv[1:])
