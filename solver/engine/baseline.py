"""The same answers for small problems by another road: python-constraint, straight from the problem record.

In: a ``Problem``. Out: every solution with its level and its sums. One variable stands for each variable of the
problem and one for the row and item chosen in each relation; nothing is merged, grouped, pruned or joined. It is the
independent referee of the engine, and the only module that imports ``constraint``. Its time grows with the number of
assignments, hidden ones included.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from constraint import Problem as Csp

from solver.engine.problem import MISSING, NOTHING, TOP_LEVEL, Problem, Relation


@dataclass(frozen=True, slots=True)
class Plain:
    """A solution: the counted values (of the first among equals, in order), the items, and what they come to."""

    values: tuple[int, ...]
    items: tuple[int, ...]
    level: int
    unpriced: int
    price: int


@dataclass(frozen=True, slots=True)
class _Choice:
    """A row of a relation, and an item on it."""

    row: tuple[int, ...]
    level: int
    item: int
    price: int


def baseline(problem: Problem, accept: int = TOP_LEVEL) -> list[Plain]:
    """Every solution up to a level, sorted by (unpriced, price, level, values, items).

    Hidden values and purchases are chosen as ``Relation.hidden`` says.
    """
    csp = Csp()
    names = [f"v{n}" for n in range(len(problem.variables))]
    if any(v.size == 0 for v in problem.variables):
        return []
    for name, variable in zip(names, problem.variables, strict=True):
        csp.addVariable(name, list(range(variable.size)))
    for a, b in problem.equal:
        csp.addConstraint(_same, (names[a], names[b]))
    choices = [_choices(r, accept) for r in problem.relations]
    if not all(choices):
        return []
    for number, relation in enumerate(problem.relations):
        csp.addVariable(f"r{number}", list(range(len(choices[number]))))
        csp.addConstraint(_holds(choices[number]), (f"r{number}", *(names[c] for c in relation.columns)))
    counted = _counted(problem)
    best: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[tuple[int, ...], Plain]] = {}
    for found in csp.getSolutionIter():
        picked = [choices[n][found[f"r{n}"]] for n in range(len(choices))]
        values = tuple(int(found[names[v]]) for v in counted)
        rank, solution = _come_to(problem, values, picked)
        key = values, solution.items
        if key not in best or rank < best[key][0]:
            best[key] = rank, solution
    return sorted((s for _, s in best.values()), key=lambda s: (s.unpriced, s.price, s.level, s.values, s.items))


def _same(a: int, b: int) -> bool:
    return a == b


def _choices(relation: Relation, accept: int) -> list[_Choice]:
    rows = [tuple(r) for r in relation.rows.tolist()]
    levels = [0] * len(rows) if relation.levels is None else relation.levels.tolist()
    if relation.stacks is None:
        return [_Choice(r, level, NOTHING, 0) for r, level in zip(rows, levels, strict=True) if level <= accept]
    stacks = relation.stacks
    entries = zip(stacks.row.tolist(), stacks.ident.tolist(), stacks.price.tolist(), strict=True)
    return [_Choice(rows[r], levels[r], ident, price) for r, ident, price in entries if levels[r] <= accept]


def _holds(choices: list[_Choice]) -> Callable[..., bool]:
    def agree(choice: int, *values: int) -> bool:
        return choices[choice].row == values

    return agree


def _counted(problem: Problem) -> list[int]:
    """The first of each group of equal variables, unless all of the group are hidden."""
    groups = [{n} for n in range(len(problem.variables))]
    for a, b in problem.equal:
        if groups[a] is not groups[b]:
            groups[a] |= groups[b]
            for n in groups[a]:
                groups[n] = groups[a]
    return [
        n for n, group in enumerate(groups) if n == min(group) and not all(problem.variables[v].hidden for v in group)
    ]


def _come_to(problem: Problem, values: tuple[int, ...], picked: list[_Choice]) -> tuple[tuple[int, ...], Plain]:
    """How good the hidden part of an assignment is, and the solution it makes."""
    items = tuple(picked[n].item for n in problem.item_relations)
    veiled = [c for c, r in zip(picked, problem.relations, strict=True) if r.hidden]
    level = max((c.level for c in picked), default=0)
    unpriced = sum(c.price == MISSING for c in picked)
    price = sum(c.price for c in picked if c.price != MISSING)
    rank = (
        level,
        sum(c.price == MISSING for c in veiled),
        sum(c.price for c in veiled if c.price != MISSING),
        sum(c.item != NOTHING for c in veiled),
    )
    return rank, Plain(values, items, level, unpriced, price)
