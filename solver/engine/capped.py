"""Exact counts under a limit on a sum, where the sum is small enough to carry.

In: ``Costs`` and a limit. Out: the number of solutions that cost at most the limit, as a Python integer. Below each
row stands not one count but a count for each sum, packed side by side into one long integer (Kronecker's
substitution), so that the pass is the same sum of products; what exceeds the limit is cut off after each row. Rows that
cannot be part of a solution within the limit are left out first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from solver.engine.costs import Costs, narrowed
from solver.engine.counting import total
from solver.engine.live import live_rows
from solver.engine.options import TooWide
from solver.engine.state import State
from solver.engine.tables import Index, LongArray


def count_within(found: Costs, most: int) -> int:
    """The number of solutions that cost at most ``most``.

    Raises:
        TooWide: the bits to carry exceed ``Options.expansion``; raised before the work, with the estimate.
    """
    state = found.state
    circuit = state.circuit
    if not state.exists:
        return 0
    near = state.restricted(units=narrowed(found, most))
    if not near.exists:
        return 0
    width = total(near).bit_length() + 1
    floors, unit_costs, step = _floors(found, near)
    bins = (most - sum(floors.values())) // step + 1
    pairs = _live_pairs(near)
    needed = sum(len(p) for p in pairs.values()) * bins * width
    if needed > circuit.options.expansion:
        raise TooWide("expansion", needed, circuit.options.expansion)
    return _carry(near, pairs, floors, unit_costs, step, width, bins)


def _live_pairs(state: State) -> dict[int, Index]:
    """For each counted node the pairs that occur in some solution."""
    circuit = state.circuit
    rows = live_rows(state)
    found: dict[int, Index] = {}
    for number in range(len(circuit.leaves), circuit.size):
        node = circuit.node(number)
        if not node.hidden:
            mine, alive = rows[number], state.pairs_alive(number)
            keep = np.ones(len(node.lefts), dtype=bool) if alive is None else alive.copy()
            if mine is not None:
                keep &= np.repeat(mine, node.lengths)
            found[number] = np.flatnonzero(keep)
    return found


def _floors(found: Costs, near: State) -> tuple[dict[int, int], dict[int, LongArray], int]:
    """The least cost at each unit, the costs above it (-1: out), and the greatest common divisor of those."""
    floors: dict[int, int] = {}
    above: dict[int, LongArray] = {}
    step = 0
    for unit in near.units:
        circuit = near.circuit
        cost = found.choices[unit]
        leaf = circuit.stacked(unit)
        alive = near.alive[unit]
        keep = np.ones(circuit.rows(unit), dtype=bool) if alive is None else alive
        if leaf is not None:
            keep = np.repeat(keep, leaf.lengths)
            allowed = near.allowed[unit]
            keep = keep if allowed is None else keep & allowed
        floors[unit] = int(cost[keep].min())
        above[unit] = np.where(keep, cost - floors[unit], -1)
        step = math.gcd(step, *{int(c) for c in np.unique(above[unit][keep])})
    return floors, above, max(step, 1)


def _carry(
    state: State,
    pairs: Mapping[int, Index],
    floors: Mapping[int, int],
    above: Mapping[int, LongArray],
    step: int,
    width: int,
    bins: int,
) -> int:
    """The pass: every row carries ``bins`` counts of ``width`` bits; returns the sum of the root's."""
    circuit = state.circuit
    cut = (1 << (width * bins)) - 1
    carried: dict[int, np.ndarray[tuple[int, ...], np.dtype[np.object_]]] = {}
    for number in range(circuit.size):
        if number in floors:
            packed = [1 << (width * (int(c) // step)) if 0 <= int(c) // step < bins else 0 for c in above[number]]
            leaf = circuit.stacked(number)
            if leaf is not None:
                ends = leaf.begin.tolist()
                packed = [sum(packed[a:b]) for a, b in pairwise(ends)]
            rows = np.empty(len(packed), dtype=object)
            rows[:] = packed
            carried[number] = rows
        elif number in pairs:
            node = circuit.node(number)
            left = carried.pop(node.left)
            right = carried.pop(node.right) if node.right >= 0 else None
            out = np.zeros(node.rows, dtype=object)
            mine = pairs[number]
            row_of = np.searchsorted(node.begin, mine, side="right") - 1
            for row, a, b in zip(row_of.tolist(), node.lefts[mine].tolist(), node.rights[mine].tolist(), strict=True):
                out[row] += left[a] if right is None else left[a] * right[b] & cut
            out &= cut
            carried[number] = out
    packed_root = carried[circuit.root][0]
    mask = (1 << width) - 1
    return sum((packed_root >> (width * k)) & mask for k in range(bins))
