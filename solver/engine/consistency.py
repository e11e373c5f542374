"""Dropping values that some table cannot support, before anything is joined.

In: drafts and variable sizes. Out: the drafts without rows that such a value would need, and for each variable the
values left, which are then renumbered without gaps. This is generalised arc consistency over values: cheap, and it
removes no solution (Mackworth, "Consistency in networks of relations", Artificial Intelligence 8, 1977; cited from
memory).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from solver.engine.normal import Draft
from solver.engine.problem import BoolArray, IntArray
from solver.engine.tables import Table


def prune(drafts: Sequence[Draft], sizes: Sequence[int]) -> None:
    """Drop rows until every value left occurs in every table that reads its variable.

    Each round over a table is O(rows x columns); a table is visited again only after a variable of it lost a value.
    """
    alive: list[BoolArray] = [np.ones(s, dtype=bool) for s in sizes]
    readers: dict[int, list[int]] = defaultdict(list)
    for number, draft in enumerate(drafts):
        for v in draft.table.variables:
            readers[v].append(number)
    waiting = dict.fromkeys(range(len(drafts)))
    while waiting:
        number = next(iter(waiting))
        del waiting[number]
        draft = drafts[number]
        table = draft.table
        keep = np.ones(table.rows, dtype=bool)
        for v, column in zip(table.variables, table.values, strict=True):
            if not alive[v].all():
                keep &= alive[v][column]
        if not keep.all():
            draft.keep(keep)
        for v, column in zip(draft.table.variables, draft.table.values, strict=True):
            seen = np.zeros(sizes[v], dtype=bool)
            seen[column] = True
            if np.any(alive[v] & ~seen):
                alive[v] &= seen
                waiting.update(dict.fromkeys(r for r in readers[v] if r != number))


def renumber(drafts: Sequence[Draft], sizes: Sequence[int]) -> list[IntArray]:
    """Renumber the values that occur without gaps; returns for each variable its old values by new number."""
    alive: list[BoolArray] = [np.zeros(s, dtype=bool) for s in sizes]
    for draft in drafts:
        for v, column in zip(draft.table.variables, draft.table.values, strict=True):
            alive[v][column] = True
    numbers = [np.cumsum(a) - 1 for a in alive]
    for draft in drafts:
        table = draft.table
        draft.table = Table(
            table.variables,
            [numbers[v][c] for v, c in zip(table.variables, table.values, strict=True)],
            table.rows,
        )
    return [np.flatnonzero(a) for a in alive]
