"""What is still possible: the rows, items and values that occur in some solution, all in one pass down.

In: a ``State`` (and, under a limit on a sum, its costs). Out: a ``Live`` record. The pass up is ``State.alive``; the
pass down follows alive pairs from the root. This makes every domain *globally inverse consistent* (Bessiere, Fargier,
Lecoutre, Artificial Intelligence 241, 2016, pages 153 to 169; cited second-hand). Hidden rows count as live if they
occur in some solution, chosen by the engine or not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from solver.engine.circuit import Circuit, Leaf
from solver.engine.costs import Costs, inside, outside, taken
from solver.engine.problem import BoolArray
from solver.engine.state import State


@dataclass(frozen=True, slots=True, eq=False)
class Live:
    """Masks over the problem as the caller wrote it.

    Attributes:
        rows: for each relation, one truth value a row.
        items: for each relation with items, one truth value an entry of its stacks.
        values: for each variable, one truth value a value.
    """

    rows: tuple[BoolArray, ...]
    items: Mapping[int, BoolArray]
    values: tuple[BoolArray, ...]


def live_rows(state: State) -> list[BoolArray | None]:
    """For each number the rows that occur in some solution; ``None``: all. O(pairs that can have changed).

    A node below which nothing changed, and whose own live rows are as before, is taken over with all that is below it.
    """
    if state.live is not None:
        return state.live
    circuit, leaves = state.circuit, len(state.circuit.leaves)
    live: list[BoolArray | None] = [None] * circuit.size
    before = state.parent.live if state.parent is not None else None
    if not state.exists:
        live = [np.zeros(circuit.rows(n), dtype=bool) for n in range(circuit.size)]
        state.live = live
        return live
    same = [False] * circuit.size
    for number in range(circuit.root, leaves - 1, -1):
        node = circuit.node(number)
        sides = [node.left] if node.right < 0 else [node.left, node.right]
        mine = live[number]
        if before is not None and not any(state.dirty[s] for s in sides):
            old = before[number]
            if same[number] or _equal(mine, old):
                for side in sides:
                    live[side], same[side] = before[side], True
                continue
        pairs = state.pairs_alive(number)
        if mine is not None:
            wide = mine if node.single else np.repeat(mine, node.lengths)
            pairs = wide if pairs is None else pairs & wide
        for side, at in zip(sides, (node.lefts, node.rights), strict=False):
            seen = np.zeros(circuit.rows(side), dtype=bool)
            seen[at if pairs is None else at[pairs]] = True
            live[side] = None if seen.all() else seen
    state.live = live
    return live


def _equal(a: BoolArray | None, b: BoolArray | None) -> bool:
    if a is None or b is None:
        return a is b
    return np.array_equal(a, b)


def live(state: State) -> Live:
    """Rows, items and values that occur in some solution."""
    found = live_rows(state)
    return _record(state.circuit, [_leaf(state, n, found[n]) for n in range(len(state.circuit.leaves))])


def _leaf(state: State, number: int, rows: BoolArray | None) -> tuple[BoolArray, BoolArray | None]:
    """Live rows of a leaf, and live positions of its entries."""
    leaf = state.circuit.leaves[number]
    alive = np.ones(leaf.table.rows, dtype=bool) if rows is None else rows
    if leaf.row_of is None:
        return alive, None
    entries = np.repeat(alive, leaf.lengths)
    allowed = state.allowed[number]
    return alive, entries if allowed is None else entries & allowed


def live_within(state: State, parts: Sequence[tuple[Costs, int]]) -> Live:
    """The same when solutions must not cost more than a limit. O(pairs) a part.

    A choice is live if its own cost and the least cost of everything outside its row stay within the limit. Of a live
    item with alternatives those are shown that some item with the same alternatives takes: here, and only here, an
    entry may be shown too many (never an item).

    Args:
        state: all that is allowed.
        parts: costs of restrictions of ``state`` that share its solutions out, each with its limit.
    """
    circuit = state.circuit
    units: dict[int, BoolArray] = {u: np.zeros(circuit.rows(u), dtype=bool) for u in state.units}
    items: dict[int, BoolArray] = {}
    for found, most in parts:
        if not found.state.exists:
            continue
        within = inside(found)
        around = outside(found, within)
        for unit in state.units:
            below, rest = taken(within, unit), taken(around, unit)
            units[unit] |= below + rest <= most
            leaf = circuit.stacked(unit)
            if leaf is not None:
                lengths = leaf.lengths
                choice = found.choices[unit] + np.repeat(rest, lengths) <= most
                allowed = found.state.allowed[unit]
                choice &= np.repeat(below < found.far, lengths) if allowed is None else allowed
                items[unit] = choice | items.get(unit, np.zeros(len(choice), dtype=bool))
    rows = _below(state, units)
    leaves = []
    for number in range(len(circuit.leaves)):
        alive, entries = _leaf(state, number, rows[number])
        leaves.append((alive, items.get(number, entries)))
    return _record(circuit, leaves)


def _below(state: State, units: Mapping[int, BoolArray]) -> list[BoolArray | None]:
    """Live rows inside hidden parts, from the live rows of their units."""
    circuit = state.circuit
    rows: list[BoolArray | None] = [None] * circuit.size
    for unit, mask in units.items():
        rows[unit] = mask
    for number in range(circuit.size - 1, len(circuit.leaves) - 1, -1):
        node, mine = circuit.node(number), rows[number]
        if not node.hidden or mine is None:
            continue
        pairs = np.repeat(mine, node.lengths)
        alive = state.pairs_alive(number)
        pairs = pairs if alive is None else pairs & alive
        for side, at in ((node.left, node.lefts), (node.right, node.rights)):
            if side >= 0:
                seen = np.zeros(circuit.rows(side), dtype=bool)
                seen[at[pairs]] = True
                rows[side] = seen
    return rows


def _record(circuit: Circuit, leaves: list[tuple[BoolArray, BoolArray | None]]) -> Live:
    problem = circuit.problem
    rows = [np.zeros(len(r.rows), dtype=bool) for r in problem.relations]
    items = {
        n: np.zeros(len(r.stacks.row), dtype=bool) for n, r in enumerate(problem.relations) if r.stacks is not None
    }
    merged = [np.zeros(len(v), dtype=bool) for v in circuit.values]
    for leaf, (alive, entries) in zip(circuit.leaves, leaves, strict=True):
        for v, column in zip(leaf.table.variables, leaf.table.values, strict=True):
            merged[v][column[alive]] = True
        if leaf.relation < 0:
            continue
        if not leaf.grouped:
            rows[leaf.relation][leaf.origin[alive]] = True
        if entries is not None and leaf.row_of is not None:
            items[leaf.relation][leaf.entries[entries]] = True
    for leaf in circuit.leaves:
        if leaf.grouped:
            items[leaf.relation] = _alternatives(circuit, leaf, items[leaf.relation], [alive for alive, _ in leaves])
    values = []
    for number, variable in enumerate(problem.variables):
        whole = np.zeros(variable.size, dtype=bool)
        v = circuit.merged[number]
        whole[circuit.values[v][merged[v]]] = True
        values.append(whole)
    return Live(tuple(rows), items, tuple(values))


def _alternatives(circuit: Circuit, grouped: Leaf, standing: BoolArray, alive: Sequence[BoolArray]) -> BoolArray:
    """Live entries where items have alternatives: the item is live, and its group may take the row of the entry.

    ``standing`` tells it only for the entries that stand for their items.
    """
    stacks = circuit.problem.relations[grouped.relation].stacks
    if stacks is None or grouped.row_of is None:
        raise AssertionError("a table of item groups without items")
    _, item = np.unique(stacks.ident, return_inverse=True)
    chosen = np.bincount(item[standing], minlength=int(item.max(initial=0)) + 1) > 0
    choice = grouped.table.variables[0]
    rows = len(circuit.problem.relations[grouped.relation].rows)
    taken_rows = np.zeros(0, dtype=np.int64)
    for leaf, live_here in zip(circuit.leaves, alive, strict=True):
        if leaf.relation == grouped.relation and not leaf.grouped:
            groups = circuit.values[choice][leaf.table.column(choice)]
            taken_rows = (groups * rows + leaf.origin)[live_here]
    inside = grouped.row_of >= 0
    group_of = np.where(inside, grouped.origin[np.where(inside, grouped.row_of, 0)] if len(grouped.origin) else 0, -1)
    mask: BoolArray = inside & chosen[item] & np.isin(group_of * rows + stacks.row, taken_rows)
    return mask
