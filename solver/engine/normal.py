"""From the problem record to the normal form: distinct variables, clean tables, items on counted rows only.

In: a ``Problem``. Out: ``Draft`` tables over merged variables. After this step: no equalities are left; no table has a
column twice; a table with counted items has no hidden column left unless each item lies on exactly one row (then the
item determines the row); equal rows of a plain table are told apart by a hidden variable of their own; every variable
is in some table. Nothing is joined here.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from solver.engine.options import Options
from solver.engine.problem import BoolArray, IntArray, Problem, ProblemError, Relation, Stacks
from solver.engine.tables import Index, Table, group, key

NO_RELATION = -1

_FEW = 8
"""Alternatives of an item that are compared as columns; items with more are compared one by one."""


@dataclass(slots=True)
class Draft:
    """A table on its way to becoming a leaf.

    Attributes:
        relation: the relation it comes from, or ``NO_RELATION``.
        table: its rows.
        origin: for each row the row of the relation (for a table of item groups: the group).
        levels: level of each row, or ``None`` for 0 throughout.
        place: for each entry of the stacks the ``origin`` on which it lies; ``None`` for a plain table.
        first: which entries stand for their item (the others are alternatives of it); ``None``: all.
        hidden: the items are hidden purchases.
    """

    relation: int
    table: Table
    origin: IntArray
    levels: IntArray | None = None
    place: IntArray | None = None
    first: BoolArray | None = None
    hidden: bool = False

    def keep(self, rows: BoolArray) -> None:
        """Drop the other rows."""
        positions = np.flatnonzero(rows)
        self.table = self.table.take(positions)
        self.origin = self.origin[positions]
        if self.levels is not None:
            self.levels = self.levels[positions]


@dataclass(slots=True)
class Normal:
    """The normal form.

    Attributes:
        merged: for each variable of the problem the number that stands for it here.
        sizes, hidden: of each number here (some are new).
        drafts: the tables.
    """

    merged: list[int]
    sizes: list[int]
    hidden: list[bool]
    drafts: list[Draft] = field(default_factory=list)

    def new_variable(self, size: int, *, hidden: bool) -> int:
        """A variable of the engine's own."""
        self.sizes.append(size)
        self.hidden.append(hidden)
        return len(self.sizes) - 1


def normal_form(problem: Problem, options: Options, accept: int) -> Normal:
    """The normal form of a problem, rows above the accepted level left out. O(input x log)."""
    normal = _merged(problem)
    for number, relation in enumerate(problem.relations):
        _add(normal, number, relation, options, accept)
    used = {v for d in normal.drafts for v in d.table.variables}
    for variable in sorted(set(normal.merged) - used):
        every = np.arange(normal.sizes[variable])
        normal.drafts.append(Draft(NO_RELATION, Table((variable,), [every], len(every)), every))
    return normal


def _merged(problem: Problem) -> Normal:
    leader = list(range(len(problem.variables)))

    def find(v: int) -> int:
        while leader[v] != v:
            leader[v] = leader[leader[v]]
            v = leader[v]
        return v

    for a, b in problem.equal:
        low, high = sorted((find(a), find(b)))
        leader[high] = low
    merged = [find(v) for v in range(len(leader))]
    hidden = [True] * len(leader)
    for v, variable in enumerate(problem.variables):
        hidden[merged[v]] &= variable.hidden
    return Normal(merged, [v.size for v in problem.variables], hidden)


def _add(normal: Normal, number: int, relation: Relation, options: Options, accept: int) -> None:
    draft = Draft(number, *_columns(normal, relation), levels=relation.levels, hidden=relation.hidden)
    stacks = relation.stacks
    keep = np.ones(draft.table.rows, dtype=bool)
    if relation.levels is not None:
        keep &= relation.levels[draft.origin] <= accept
        draft.levels = relation.levels[draft.origin]
    if stacks is not None:
        filled = np.zeros(len(relation.rows), dtype=bool)
        filled[stacks.row] = True
        keep &= filled[draft.origin]
        draft.place = stacks.row
    if not keep.all():
        draft.keep(keep)
    veiled = any(normal.hidden[v] for v in draft.table.variables)
    if stacks is not None and not relation.hidden and veiled:
        alternatives = len(np.unique(stacks.ident)) < len(stacks.ident)
        if alternatives or not options.promote:
            draft = _split(normal, draft, stacks, relation.name)
    if draft.place is None or draft.hidden:
        _tell_apart(normal, draft)
    normal.drafts.append(draft)


def _columns(normal: Normal, relation: Relation) -> tuple[Table, IntArray]:
    """The relation over merged variables; rows that contradict an equality are left out."""
    first: dict[int, int] = {}
    keep = np.ones(len(relation.rows), dtype=bool)
    for position, column in enumerate(relation.columns):
        variable = normal.merged[column]
        if variable in first:
            keep &= relation.rows[:, position] == relation.rows[:, first[variable]]
        else:
            first[variable] = position
    origin = np.flatnonzero(keep)
    rows = relation.rows if len(origin) == len(keep) else relation.rows[origin]
    return Table(tuple(first), [np.ascontiguousarray(rows[:, p]) for p in first.values()], len(origin)), origin


def _split(normal: Normal, draft: Draft, stacks: Stacks, name: str) -> Draft:
    """Part a relation whose items have alternatives.

    The plain half (added to ``normal``) says which rows each *group* of items may take; the half returned is one
    counted column, the group. Items with the same set of rows share a group.
    """
    idents, item = np.unique(stacks.ident, return_inverse=True)
    for figures in (stacks.price, stacks.mass, stacks.lead):
        least = np.full(len(idents), np.iinfo(np.int64).max)
        np.minimum.at(least, item, figures)
        if np.any(least[item] != figures):
            raise ProblemError(f"{name}: the alternatives of one item differ in price, mass or lead")
    group_of, chosen, taken = _groups(draft, stacks, item.astype(np.int64), len(idents))
    first = np.zeros(len(item), dtype=bool)
    first[np.unique(item, return_index=True)[1]] = True
    groups = int(group_of.max(initial=-1)) + 1
    choice = normal.new_variable(groups, hidden=False)
    plain = draft.table.take(taken)
    plain = Table((choice, *plain.variables), [chosen, *plain.values], plain.rows)
    levels = None if draft.levels is None else draft.levels[taken]
    half = Draft(draft.relation, plain, draft.origin[taken], levels)
    _tell_apart(normal, half)
    normal.drafts.append(half)
    numbers = np.arange(groups)
    return Draft(draft.relation, Table((choice,), [numbers], groups), numbers, place=group_of[item], first=first)


def _groups(draft: Draft, stacks: Stacks, item: IntArray, items: int) -> tuple[IntArray, IntArray, Index]:
    """Items with the same set of rows share a group.

    Returns:
        The group of each item; and group by group the rows it may take, as two columns (group, row of the table).
    """
    row_at = np.full(max(int(stacks.row.max(initial=-1)), int(draft.origin.max(initial=-1))) + 1, -1)
    row_at[draft.origin] = np.arange(draft.table.rows)
    row = row_at[stacks.row]
    order = np.lexsort((row, item))
    order = order[row[order] >= 0]
    item, row = item[order], row[order]
    lengths = np.bincount(item, minlength=items)
    begin = np.cumsum(lengths) - lengths
    few = lengths <= _FEW
    wide = np.zeros((items, _FEW), dtype=np.int64)
    inside = few[item]
    wide[item[inside], (np.arange(len(item)) - begin[item])[inside]] = row[inside] + 1
    code, _ = key(list(wide.T), [draft.table.rows + 1] * _FEW, items)
    _, group_of = np.unique(code, return_inverse=True)
    group_of = group_of.astype(np.int64)
    many: dict[tuple[int, ...], int] = {}
    for i in np.flatnonzero(~few).tolist():
        rows = tuple(row[begin[i] : begin[i] + lengths[i]].tolist())
        group_of[i] = many.setdefault(rows, items + len(many))
    _, first, group_of = np.unique(group_of, return_index=True, return_inverse=True)
    member = np.repeat(np.arange(len(first)), lengths[first])
    ends = np.cumsum(lengths[first])
    taken = row[np.arange(len(member)) + (begin[first] - ends + lengths[first])[member]]
    return group_of.astype(np.int64), member, taken


def _tell_apart(normal: Normal, draft: Draft) -> None:
    """Number equal rows of a table in a hidden column, where rows are only asked to exist: none is counted twice."""
    table = draft.table
    code, space = key(table.values, [normal.sizes[v] for v in table.variables], table.rows)
    order, begin = group(code, space)
    if len(begin) == table.rows:
        return
    lengths = np.diff(np.append(begin, table.rows))
    rank = np.arange(table.rows) - np.repeat(begin, lengths)
    which = np.empty(table.rows, dtype=np.int64)
    which[slice(None) if order is None else order] = rank
    extra = normal.new_variable(int(lengths.max()), hidden=True)
    draft.table = Table((*table.variables, extra), [*table.values, which], table.rows)


def determined(normal: Normal) -> list[bool]:
    """Which variables the counted choice determines, directly or through tables. O(hidden columns x rows x log).

    A hidden variable that is a function of the counted ones takes at most one value in a solution, so that adding up
    over it and asking whether it exists are the same.
    """
    fixed = [not h for h in normal.hidden]
    for draft in normal.drafts:
        if draft.place is not None and not draft.hidden:
            for v in draft.table.variables:
                fixed[v] = True
    waiting = [d for d in normal.drafts if not all(fixed[v] for v in d.table.variables)]
    progress = True
    while waiting and progress:
        progress = False
        for draft in waiting:
            table = draft.table
            known = [v for v in table.variables if fixed[v]]
            code, space = key(table.columns(known), [normal.sizes[v] for v in known], table.rows)
            order, begin = group(code, space)
            for v in table.variables:
                column = table.column(v) if order is None else table.column(v)[order]
                if not fixed[v] and _constant(column, begin):
                    fixed[v] = progress = True
        waiting = [d for d in waiting if not all(fixed[v] for v in d.table.variables)]
    return fixed


def _constant(column: IntArray, begin: Index) -> bool:
    """Whether a column has one value within each group."""
    if not len(column):
        return True
    return np.array_equal(np.minimum.reduceat(column, begin), np.maximum.reduceat(column, begin))
