"""The k best solutions in order, proven: lazy k-best over the circuit.

In: a ``State`` and an ``Objective``. Out: picks with their cost, cheapest first, one after another. This is the lazy
algorithm of Huang and Chiang ("Better k-best parsing", IWPT 2005, algorithm 3; cited from memory) on an and-or
circuit: a row keeps the derivations found so far and a heap of candidates; the next one of a row asks its inputs for
one more only when needed. Ties are broken by position, so that the order is the same in every run.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count

import numpy as np

from solver.engine.costs import Costs, Objective, costs, inside, taken
from solver.engine.state import State
from solver.engine.tables import LongArray

Picks = tuple[int, ...]


@dataclass(slots=True, eq=False)
class _Stream:
    """The derivations of one row: those found, in order, and what may come next.

    ``order`` lists the alternatives behind the row (pairs, or choices of a unit) by their best cost, cheapest last;
    ``heap`` holds candidates ``(cost, pair, left rank, right rank)``; ``pending`` those still to be priced.
    """

    number: int
    order: list[tuple[int, int]]
    found: list[tuple[int, Picks]] = field(default_factory=list)
    heap: list[tuple[int, int, int, int]] = field(default_factory=list)
    pending: list[tuple[int, int, int]] = field(default_factory=list)
    closed: bool = False


class KBest:
    """The ranking of one state under one objective."""

    def __init__(self, found: Costs) -> None:
        self._state = found.state
        self._circuit = found.state.circuit
        self._units = set(found.state.units)
        self._costs = found
        self._inside = inside(found)
        self._streams: dict[tuple[int, int], _Stream] = {}

    def __iter__(self) -> Iterator[tuple[int, Picks]]:
        """Cost and picks of every solution, cheapest first."""
        if not self._state.exists:
            return
        root = self._stream(self._circuit.root, 0)
        for rank in count():
            self._reach(root, rank)
            if len(root.found) <= rank:
                return
            yield root.found[rank]

    def _stream(self, number: int, row: int) -> _Stream:
        known = self._streams.get((number, row))
        if known is None:
            known = self._streams[number, row] = self._open(number, row)
        return known

    def _open(self, number: int, row: int) -> _Stream:
        far = self._costs.far
        if number in self._units:
            begin, choices = self._choices(number, row)
            order = _sorted(choices, begin, far)[::-1]
            leaf = self._circuit.stacked(number)
            if leaf is not None:
                return _Stream(number, [], [(cost, (int(leaf.entries[p]),)) for cost, p in order], closed=True)
            return _Stream(number, [], [(cost, (row,)) for cost, row in order], closed=True)
        node = self._circuit.node(number)
        begin, end = node.run(row)
        pairs = taken(self._inside, node.left)[node.lefts[begin:end]]
        if node.right >= 0:
            pairs = pairs + taken(self._inside, node.right)[node.rights[begin:end]]
        return _Stream(number, _sorted(pairs, begin, far))

    def _choices(self, unit: int, row: int) -> tuple[int, LongArray]:
        """Costs of the choices on one row of a unit, and what to add to their position to get the pick."""
        leaf = self._circuit.stacked(unit)
        costs_of = self._costs.choices[unit]
        if leaf is not None:
            begin, end = int(leaf.begin[row]), int(leaf.begin[row + 1])
            found = costs_of[begin:end]
            allowed = self._state.allowed[unit]
            return begin, found if allowed is None else np.where(allowed[begin:end], found, self._costs.far)
        return row, costs_of[row : row + 1]

    def _reach(self, stream: _Stream, rank: int) -> None:
        """Find derivations of a row until ``rank`` is among them or none is left. No recursion: circuits are deep."""
        work = [(stream, rank)]
        while work:
            top, wanted = work[-1]
            if len(top.found) > wanted or top.closed:
                work.pop()
            else:
                needed = self._advance(top)
                if needed is not None:
                    work.append(needed)

    def _advance(self, stream: _Stream) -> tuple[_Stream, int] | None:
        """Find the next derivation of a row, or return the input that must be advanced first."""
        node = self._circuit.node(stream.number)
        while stream.pending:
            pair, i, j = stream.pending[-1]
            left = self._stream(node.left, int(node.lefts[pair]))
            right = self._stream(node.right, int(node.rights[pair])) if node.right >= 0 else None
            if len(left.found) <= i and not left.closed:
                return left, i
            if right is not None and len(right.found) <= j and not right.closed:
                return right, j
            stream.pending.pop()
            if len(left.found) > i and (len(right.found) > j if right is not None else j == 0):
                cost = left.found[i][0] + (right.found[j][0] if right is not None else 0)
                heapq.heappush(stream.heap, (cost, pair, i, j))
        while stream.order and (not stream.heap or stream.order[-1][0] <= stream.heap[0][0]):
            cost, pair = stream.order.pop()
            heapq.heappush(stream.heap, (cost, pair, 0, 0))
        if not stream.heap:
            stream.closed = True
            return None
        cost, pair, i, j = stream.heap[0]
        left = self._stream(node.left, int(node.lefts[pair]))
        if len(left.found) <= i:
            return left, i
        picks = left.found[i][1]
        if node.right >= 0:
            right = self._stream(node.right, int(node.rights[pair]))
            if len(right.found) <= j:
                return right, j
            picks += right.found[j][1]
        heapq.heappop(stream.heap)
        stream.found.append((cost, picks))
        stream.pending.append((pair, i, j + 1))
        if j == 0:
            stream.pending.append((pair, i + 1, 0))
        return None


def _sorted(found: LongArray, begin: int, far: int) -> list[tuple[int, int]]:
    """Costs below ``far`` with their positions, dearest first, ties by position."""
    order = np.argsort(found, kind="stable")
    near = int(np.count_nonzero(found < far))
    order = order[:near][::-1]
    return list(zip(found[order].tolist(), (order + begin).tolist(), strict=True))


def ranked(state: State, objective: Objective) -> Iterator[tuple[int, Picks]]:
    """Cost and picks of the solutions of a state, cheapest first. O(pairs) once, then little for each."""
    return iter(KBest(costs(state, objective)))
