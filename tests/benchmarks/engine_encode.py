"""From an ``Instance`` to the engine's problem record: parts grouped by signature, sums split into partial sums.

In: an ``Instance``. Out: a ``Problem`` with one item relation a slot (in slot order) and plain relations for tables and
sums. This is the work that a caller of the engine does, and it is timed with the compilation.
"""

from __future__ import annotations

import numpy as np

from solver.engine.problem import Builder, IntArray, Problem, Stacks
from tests.benchmarks.engine_instance import Instance, Slot


def grouped(slot: Slot) -> tuple[IntArray, IntArray]:
    """The distinct signatures of a slot's parts, and the signature number of each part."""
    code = np.zeros(len(slot.columns), dtype=np.int64)
    for column in slot.columns.T:
        if int(code.max(initial=0)) > 2**40:
            code = np.unique(code, return_inverse=True)[1].astype(np.int64)
        code = code * (int(column.max(initial=0)) + 1) + column
    _, first, row = np.unique(code, return_index=True, return_inverse=True)
    return slot.columns[first], row.astype(np.int64)


def encode(instance: Instance) -> Problem:
    """The problem whose solutions are the builds of the instance. Items are numbered part by part, slot by slot."""
    builder = Builder()
    of: list[list[int]] = []
    least: list[list[int]] = []
    ident = 0
    for number, slot in enumerate(instance.slots):
        spans = [instance.span(number, p) for p in range(len(slot.attributes))]
        of.append([builder.variable(f"{slot.name}.{a}", len(s)) for a, s in zip(slot.attributes, spans, strict=True)])
        least.append([s.start for s in spans])
        rows, row = grouped(slot)
        parts = len(row)
        stacks = Stacks(row, np.arange(ident, ident + parts), slot.price, slot.mass, slot.lead)
        builder.relation(slot.name, of[number], rows - np.array(least[number]), stacks=stacks)
        ident += parts
    for (a, b), (c, d) in instance.equalities:
        builder.equal(of[a][b], of[c][d])
    for number, (columns, rows_) in enumerate(instance.tables):
        shift = np.array([least[s][p] for s, p in columns])
        table = np.array(rows_, dtype=np.int64).reshape(-1, len(columns)) - shift
        builder.relation(f"table {number}", [of[s][p] for s, p in columns], table)
    for number, (terms, low, high) in enumerate(instance.sums):
        values = [np.array(instance.span(s, p)) * sign for s, p, sign in terms]
        columns_ = [of[s][p] for s, p, _ in terms]
        _sum(builder, f"sum {number}", columns_, values, low, high)
    return builder.problem()


def _sum(builder: Builder, name: str, columns: list[int], values: list[IntArray], low: int, high: int) -> None:
    while len(columns) > 3:
        total = np.add.outer(values[-2], values[-1])
        distinct, number = np.unique(total, return_inverse=True)
        partial = builder.variable(f"{name}.{len(columns)}", len(distinct))
        a, b = np.indices(total.shape)
        rows = np.stack([a.ravel(), b.ravel(), number.ravel()], axis=1)
        builder.relation(f"{name}.{len(columns)}", [columns[-2], columns[-1], partial], rows)
        columns = [columns[0], partial, *columns[1:-2]]
        values = [values[0], distinct, *values[1:-2]]
    total = values[0]
    for other in values[1:]:
        total = np.add.outer(total, other)
    builder.relation(name, columns, np.argwhere((low <= total) & (total <= high)))
