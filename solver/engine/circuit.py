"""Contraction: joins tables two by two and keeps the row numbers of every join, which makes a circuit of and and or.

In: a ``Problem``. Out: a read-only ``Circuit``: leaves (tables with items) and nodes. A row of a node is an *or* over
a run of joined pairs; a pair is an *and* of one row of each input. The circuit is deterministic and decomposable, so
each question is one pass over it (Darwiche and Marquis, "A knowledge compilation map", JAIR 17, 2002; cited from
memory). Rows of *hidden* nodes only say that hidden values exist; all other rows stand for disjoint sets of solutions.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from solver.engine.consistency import prune, renumber
from solver.engine.normal import Draft, Normal, determined, normal_form
from solver.engine.options import Estimate, Options, TooWide
from solver.engine.planning import Planner, Shape, Step, simulate
from solver.engine.problem import TOP_LEVEL, BoolArray, IntArray, Problem
from solver.engine.tables import Index, Scratch, Table, group, key, key_pair, match, match_count


@dataclass(eq=False)
class Leaf:
    """A table at the bottom, and where its rows and items come from.

    Attributes:
        relation: relation of the problem, or -1.
        table: the rows over merged, renumbered variables.
        origin: row of the relation for each row, unless ``grouped``.
        levels: level of each row, or ``None``.
        row_of: for each entry of the stacks the row here, -1 where it was dropped; ``None``: no items.
        entries: entries that stand for an item, by row; ``begin[r]:begin[r + 1]`` are those of row ``r``.
        first: which entries of the stacks stand for an item; ``None``: all.
        hidden: hidden purchases.
        grouped: the rows are groups of items with alternatives, not rows of the relation.
    """

    relation: int
    table: Table
    origin: IntArray
    levels: IntArray | None
    row_of: IntArray | None
    entries: IntArray
    begin: IntArray
    first: BoolArray | None
    hidden: bool
    grouped: bool

    @cached_property
    def lengths(self) -> Index:
        """Items on each row."""
        return np.diff(self.begin)

    def position(self, entry: int) -> int:
        """Where an entry that lies on a row stands in ``entries``."""
        row = 0 if self.row_of is None else int(self.row_of[entry])
        begin, end = int(self.begin[row]), int(self.begin[row + 1])
        return begin + int(np.searchsorted(self.entries[begin:end], entry))


@dataclass(eq=False)
class Node:
    """Rows made of pairs: pair ``p`` joins row ``lefts[p]`` of ``left`` with row ``rights[p]`` of ``right``.

    Row ``r`` is the run of pairs from ``begin[r]`` to ``begin[r + 1]``; ``single`` says that every run has length one.
    ``right`` is -1 for a projection.
    """

    left: int
    right: int
    lefts: Index
    rights: Index
    begin: Index
    rows: int
    hidden: bool
    single: bool

    def run(self, row: int) -> tuple[int, int]:
        """First pair of a row, and the pair after its last."""
        return int(self.begin[row]), int(self.begin[row + 1])

    @cached_property
    def lengths(self) -> Index:
        """Pairs behind each row."""
        return np.diff(self.begin)

    @cached_property
    def longest_run(self) -> int:
        """Most pairs behind one row."""
        return int(self.lengths.max(initial=0))


@dataclass(slots=True, eq=False)
class Circuit:
    """Leaves are numbered first, nodes after them; the last number is the root, which has one row (none: no solution).

    Attributes:
        problem, options, accept: what it was compiled from; rows above level ``accept`` were left out.
        merged, values: variable of the problem -> number here -> the old value of each new one.
        plain: which leaves and nodes are counted, not hidden (a hidden node below a plain one is asked to exist).
        weights: of each node, see ``weight``. The lighter side of a node is its left: walks keep few numbers open.
        join_rows, width: what the contraction really took.
    """

    problem: Problem
    options: Options
    accept: int
    merged: list[int]
    values: list[IntArray]
    leaves: list[Leaf] = field(default_factory=list)
    nodes: list[Node] = field(default_factory=list)
    weights: list[int] = field(default_factory=list)
    join_rows: int = 0
    width: int = 0

    @property
    def size(self) -> int:
        """Number of leaves and nodes."""
        return len(self.leaves) + len(self.nodes)

    @property
    def root(self) -> int:
        """Number of the root."""
        return self.size - 1

    def node(self, number: int) -> Node:
        """The node with this number."""
        return self.nodes[number - len(self.leaves)]

    def weight(self, number: int) -> int:
        """How many leaves and nodes a number stands on, itself included."""
        return 1 if number < len(self.leaves) else self.weights[number - len(self.leaves)]

    def stacked(self, number: int) -> Leaf | None:
        """The leaf with this number, if its items are counted."""
        leaf = self.leaves[number] if number < len(self.leaves) else None
        return leaf if leaf is not None and leaf.row_of is not None and not leaf.hidden else None

    def rows(self, number: int) -> int:
        """Rows of a leaf or node."""
        leaves = len(self.leaves)
        return self.leaves[number].table.rows if number < leaves else self.nodes[number - leaves].rows


def prepared(problem: Problem, options: Options, accept: int) -> tuple[Normal, list[IntArray]]:
    """Normal form, values without support dropped and renumbered."""
    normal = normal_form(problem, options, accept)
    if options.consistency:
        prune(normal.drafts, normal.sizes)
    values = renumber(normal.drafts, normal.sizes)
    normal.sizes = [len(v) for v in values]
    if options.promote:
        normal.hidden = [not f for f in determined(normal)]
    return normal, values


def _planner_input(normal: Normal) -> tuple[dict[int, Shape], frozenset[int]]:
    shapes = {n: _shape(d.table, normal.sizes) for n, d in enumerate(normal.drafts)}
    return shapes, frozenset(v for v, h in enumerate(normal.hidden) if h)


def estimate(problem: Problem, options: Options | None = None, accept: int = TOP_LEVEL) -> Estimate:
    """What contraction is expected to take. Nothing is joined; O(input x log)."""
    options = options or Options()
    normal, _ = prepared(problem, options, accept)
    return simulate(*_planner_input(normal), greedy=options.greedy)


def contract(problem: Problem, options: Options | None = None, accept: int = TOP_LEVEL) -> Circuit:
    """The circuit of a problem.

    Time and memory are proportional to the rows of all joins, which grow with the width of the problem.

    Raises:
        TooWide: before the join that would exceed ``options.join_rows``.
    """
    options = options or Options()
    normal, values = prepared(problem, options, accept)
    shapes, hidden = _planner_input(normal)
    circuit = Circuit(problem, options, accept, normal.merged, values)
    circuit.leaves = [_leaf(d, problem) for d in normal.drafts]
    tables = {n: leaf.table for n, leaf in enumerate(circuit.leaves)}
    planner = Planner(shapes, hidden, greedy=options.greedy)
    scratch = Scratch()
    while (step := planner.next()) is not None:
        try:
            table = _take(circuit, tables, step, normal.sizes, scratch)
        except TooWide as refusal:
            refusal.estimate = simulate(shapes, hidden, greedy=options.greedy)
            raise
        number = circuit.root
        for old in (step.left, step.right):
            if old is not None:
                del tables[old]
        tables[number] = table
        planner.done(step, number, _shape(table, normal.sizes))
    _close(circuit, tables)
    return circuit


def _shape(table: Table, sizes: list[int]) -> Shape:
    distinct = {}
    for v, column in zip(table.variables, table.values, strict=True):
        seen = np.zeros(sizes[v], dtype=bool)
        seen[column] = True
        distinct[v] = float(np.count_nonzero(seen))
    return Shape(float(table.rows), distinct)


def _leaf(draft: Draft, problem: Problem) -> Leaf:
    empty = np.zeros(0, dtype=np.int64)
    rows = draft.table.rows
    if draft.place is None:
        return Leaf(
            draft.relation,
            draft.table,
            draft.origin,
            draft.levels,
            None,
            empty,
            empty,
            None,
            hidden=False,
            grouped=False,
        )
    room = int(max(draft.place.max(initial=-1), draft.origin.max(initial=-1))) + 1
    row_at = np.full(room, -1, dtype=np.int64)
    row_at[draft.origin] = np.arange(rows)
    row_of = row_at[draft.place]
    standing = row_of >= 0 if draft.first is None else (row_of >= 0) & draft.first
    entries = np.flatnonzero(standing)
    at = row_of[entries]
    if np.any(at[1:] < at[:-1]):
        entries = entries[np.argsort(at, kind="stable")]
    begin = np.zeros(rows + 1, dtype=np.int64)
    np.cumsum(np.bincount(at, minlength=rows), out=begin[1:])
    grouped = draft.first is not None
    return Leaf(
        draft.relation,
        draft.table,
        draft.origin,
        draft.levels,
        row_of,
        entries,
        begin,
        draft.first,
        hidden=draft.hidden,
        grouped=grouped,
    )


def _take(circuit: Circuit, tables: dict[int, Table], step: Step, sizes: list[int], scratch: Scratch) -> Table:
    """Carry out one step; the new node is added to the circuit, its table returned."""
    left = tables[step.left]
    if step.right is None:
        lefts: Index = np.arange(left.rows)
        return _project(circuit, step, left, None, lefts, lefts, sizes, scratch)
    right = tables[step.right]
    gone = step.gone
    if any(v not in gone and v not in left.variables for v in right.variables) and all(
        v in gone or v in right.variables for v in left.variables
    ):
        step = Step(step.right, step.left, gone, step.hidden, step.join)
        left, right = right, left
    kept = [v for v in left.variables if v not in gone]
    if gone and not all(v in gone or v in left.variables for v in right.variables):
        kept = []
    common = [v for v in left.variables if v in right.variables]
    codes = key_pair(left.columns(common), right.columns(common), [sizes[v] for v in common], (left.rows, right.rows))
    total = circuit.join_rows + match_count(*codes)
    if total > circuit.options.join_rows:
        raise TooWide("join_rows", total, circuit.options.join_rows)
    if gone and kept:
        order, _ = group(*key(left.columns(kept), [sizes[v] for v in kept], left.rows))
        if order is not None:
            lefts, rights = match(codes[0][order], codes[1], codes[2])
            return _project(circuit, step, left, right, order[lefts], rights, sizes, scratch)
    lefts, rights = match(*codes)
    return _project(circuit, step, left, right, lefts, rights, sizes, scratch)


def _project(
    circuit: Circuit,
    step: Step,
    left: Table,
    right: Table | None,
    lefts: Index,
    rights: Index,
    sizes: list[int],
    scratch: Scratch,
) -> Table:
    """Group joined pairs by the variables that stay."""
    pairs = len(lefts)
    kept_left = [v for v in left.variables if v not in step.gone]
    kept_right = [v for v in right.variables if v not in step.gone and v not in left.variables] if right else []
    variables = (*kept_left, *kept_right)
    circuit.width = max(circuit.width, len(variables) + len(step.gone))
    begin: Index = np.arange(pairs)
    if step.gone:
        code, space = key(left.columns(kept_left), [sizes[v] for v in kept_left], left.rows)
        code = scratch.take(code, lefts)
        if right is not None and kept_right:
            other, more = key(right.columns(kept_right), [sizes[v] for v in kept_right], right.rows)
            if space * more > 2**62:
                code, space = np.unique(code, return_inverse=True)[1].astype(np.int64), left.rows
            code *= more
            code += scratch.take(other, rights, 1)
            space *= more
        order, begin = group(code, space)
        if order is not None:
            lefts, rights = lefts[order], rights[order]
    rows = len(begin)
    heads = (lefts, rights) if rows == pairs else (lefts[begin], rights[begin])
    values = [c[heads[0]] for c in left.columns(kept_left)]
    if right is not None:
        values += [c[heads[1]] for c in right.columns(kept_right)]
    sides = [(step.left, lefts), (-1 if step.right is None else step.right, rights)]
    if step.right is not None and circuit.weight(step.right) < circuit.weight(step.left):
        sides.reverse()
    (a, at_a), (b, at_b) = sides
    node = Node(a, b, at_a, at_b, np.append(begin, pairs), rows, hidden=step.hidden, single=rows == pairs)
    circuit.nodes.append(node)
    circuit.weights.append(1 + circuit.weight(a) + (circuit.weight(b) if b >= 0 else 0))
    circuit.join_rows += pairs
    return Table(variables, values, rows)


def _close(circuit: Circuit, tables: dict[int, Table]) -> None:
    """See to it that the last number is a root with at most one row."""
    if not tables:
        empty = np.zeros(0, dtype=np.int64)
        unit = Table((), [], 1)
        circuit.leaves.append(Leaf(-1, unit, np.zeros(1, dtype=np.int64), None, None, empty, empty, None, False, False))
        return
    (number,) = tables
    rows = tables[number].rows
    if rows > 1 or number != circuit.root:
        pairs = np.arange(rows)
        begin = np.array([0, rows] if rows else [0])
        circuit.nodes.append(Node(number, -1, pairs, pairs, begin, len(begin) - 1, hidden=False, single=rows == 1))
        circuit.weights.append(1 + circuit.weight(number))
