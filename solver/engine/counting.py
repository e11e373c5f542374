"""Exact counts: of all solutions, and of the solutions below each row.

In: a ``State``. Out: Python integers. Machine integers carry the work while a bound, made of Python integers, proves
that they do not overflow; beyond that either residues (one count) or Python integers (counts below each row). No
number here is ever a float.
"""

from __future__ import annotations

import numpy as np

from solver.engine.circuit import Node
from solver.engine.problem import IntArray
from solver.engine.residues import count_by_residues
from solver.engine.state import State
from solver.engine.tables import LongArray, Scratch, is_long, long

_MACHINE = 2**63


def unit_counts(state: State, number: int) -> IntArray:
    """For each row of a unit the number of choices that it stands for: items on it, or one."""
    alive = state.alive[number]
    rows = state.circuit.rows(number)
    weights = None if state.circuit.stacked(number) is None else state.weights[number]
    if weights is None:
        return np.ones(rows, dtype=np.int64) if alive is None else alive.astype(np.int64)
    return weights if alive is None else np.where(alive, weights, 0)


def exact(state: State) -> list[LongArray | None]:
    """For each counted number the solutions of the part below each row; ``None`` for what is inside a hidden part.

    O(pairs) machine operations, plus those on long integers where the counts are long. Arrays that a restriction cannot
    have changed are taken over.
    """
    if state.counts is None:
        circuit = state.circuit
        before = state.parent.counts if state.parent is not None else None
        counts: list[LongArray | None] = [None] * circuit.size
        units, scratch = set(state.units), Scratch()
        for number in range(circuit.size):
            if before is not None and not state.dirty[number]:
                counts[number] = before[number]
            elif number in units:
                found = unit_counts(state, number)
                counts[number] = found if circuit.options.machine else long(found)
            elif number >= len(circuit.leaves) and not circuit.node(number).hidden:
                node = circuit.node(number)
                right = counts[node.right] if node.right >= 0 else None
                counts[number] = _node(node, counts[node.left], right, scratch)
        state.counts = counts
    return state.counts


def _node(node: Node, left: LongArray | None, right: LongArray | None, scratch: Scratch) -> LongArray:
    if left is None:
        raise AssertionError("a counted node above a part that is not counted")
    if not is_long(left) and (right is None or not is_long(right)):
        bound = node.longest_run * _most(left) * (1 if right is None else _most(right))
        left = left if bound < _MACHINE else long(left)
    elif not is_long(left):
        left = long(left)
    if right is not None and is_long(left) and not is_long(right):
        right = long(right)
    pairs = scratch.take(left, node.lefts)
    if right is not None:
        pairs *= scratch.take(right, node.rights, 1)
    return pairs.copy() if node.single else np.add.reduceat(pairs, node.begin[:-1])


def _most(counts: LongArray) -> int:
    return int(counts.max()) if len(counts) else 0


def total(state: State) -> int:
    """The number of solutions. O(pairs), and some passes over the pairs with counts beyond a machine integer."""
    if not state.exists:
        return 0
    circuit = state.circuit
    if state.counts is not None or not circuit.options.residues or not circuit.options.machine:
        found = exact(state)[circuit.root]
        return 0 if found is None else int(found[0])
    return _by_residues(state)


def _by_residues(state: State) -> int:
    """The total, by machine integers as far up as a bound allows and by residues from there."""
    circuit = state.circuit
    leaves, units = len(circuit.leaves), set(state.units)
    values: dict[int, IntArray] = {}
    above: list[int] = []
    scratch = Scratch()
    for number in range(circuit.size):
        if number in units:
            values[number] = unit_counts(state, number)
        elif number >= leaves and not circuit.node(number).hidden:
            node = circuit.node(number)
            left, right = values.get(node.left), values.get(node.right)
            proven = left is not None and (node.right < 0 or right is not None)
            if proven and left is not None:
                bound = node.longest_run * _most(left) * (1 if right is None else _most(right))
                proven = bound < _MACHINE
                if proven:
                    values[number] = _node(node, left, right, scratch)
            if not proven:
                above.append(number)
    if circuit.root in values:
        return int(values[circuit.root][0])
    return count_by_residues(circuit, values, above)
