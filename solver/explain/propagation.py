"""A conflict found without a search: what picks settle, relation by relation, until two of them contradict.

In: a problem of the engine and the picks, each as items of one relation. Out: a small set of picks that cannot hold
together, not yet minimal; None if nothing contradicts at once, which does not mean that they hold.
"""

from __future__ import annotations

from collections.abc import Mapping

from solver.engine.problem import Problem
from solver.explain.conflicts import Holds, Things, shrink


def first(number: int, holds: Holds, problem: Problem, picks: Mapping[int, tuple[int, frozenset[int]]]) -> Things:
    """Return a minimal conflict among things that do not hold together: what contradicts at once is looked at first."""
    found = contradiction(problem, picks)
    return shrink(sorted(found), holds) if found is not None else shrink(range(number), holds)


def contradiction(problem: Problem, picks: Mapping[int, tuple[int, frozenset[int]]]) -> Things | None:
    """Return picks that contradict, or None. ``picks``: thing -> its relation, and the items that it stands for."""
    state = _Settled(problem)
    for thing, (number, idents) in picks.items():
        relation = problem.relations[number]
        if relation.stacks is None:
            continue
        mask = relation.stacks.ident == -2
        for ident in idents:
            mask = mask | (relation.stacks.ident == ident)
        rows = relation.rows[relation.stacks.row[mask]]
        for at, column in enumerate(relation.columns):
            if len(rows) and bool((rows[:, at] == rows[0, at]).all()):
                bad = state.settle(column, int(rows[0, at]), frozenset({thing}))
                if bad is not None:
                    return bad
    return state.spread()


class _Settled:
    """Values that are settled, and the picks that settle them."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.same = list(range(len(problem.variables)))
        for a, b in problem.equal:
            self.same[self.find(a)] = self.find(b)
        self.values: dict[int, tuple[int, Things]] = {}
        plain = [n for n, r in enumerate(problem.relations) if r.stacks is None]
        self.plain = sorted(plain, key=lambda n: (len(problem.relations[n].columns), len(problem.relations[n].rows)))

    def find(self, variable: int) -> int:
        """Return the variable that stands for all that are equal to this one."""
        while self.same[variable] != variable:
            variable = self.same[variable]
        return variable

    def settle(self, variable: int, value: int, why: Things) -> Things | None:
        """Note a value; return the picks that contradict if another one is settled."""
        at = self.find(variable)
        if at in self.values and self.values[at][0] != value:
            return self.values[at][1] | why
        self.values.setdefault(at, (value, why))
        return None

    def spread(self) -> Things | None:
        """Let relations settle more values until nothing changes or two contradict."""
        done: dict[int, int] = {}
        changed = True
        while changed:
            changed = False
            for number in self.plain:
                relation = self.problem.relations[number]
                known = [(at, self.find(c)) for at, c in enumerate(relation.columns) if self.find(c) in self.values]
                if not known or done.get(number) == len(known):
                    continue
                done[number] = len(known)
                rows = relation.rows
                for at, column in known:
                    rows = rows[rows[:, at] == self.values[column][0]]
                why = frozenset[int]().union(*(self.values[c][1] for _, c in known))
                if not len(rows):
                    return why
                for at, column in enumerate(relation.columns):
                    if self.find(column) not in self.values and bool((rows[:, at] == rows[0, at]).all()):
                        self.settle(column, int(rows[0, at]), why)
                        changed = True
        return None
