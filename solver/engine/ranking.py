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
from solver.engine.tables import Index, LongArray

Picks = tuple[int, ...]


class _Order:
    """Alternatives by cost, ties by position, sorted only when more than the first is asked for."""

    def __init__(self, found: LongArray, far: int) -> None:
        self._found = found
        self._far = far
        self._sorted: Index | None = None
        self._taken = 0

    def peek(self) -> tuple[int, int] | None:
        """Cost and position of the next alternative, or ``None`` when what is left is not allowed."""
        if self._taken >= len(self._found):
            return None
        if self._taken == 0:
            at = int(np.argmin(self._found))
        else:
            if self._sorted is None:
                self._sorted = np.argsort(self._found, kind="stable")
            at = int(self._sorted[self._taken])
        cost = int(self._found[at])
        return (cost, at) if cost < self._far else None

    def drop(self) -> None:
        """Go on to the next."""
        self._taken += 1


@dataclass(slots=True, eq=False)
class _Stream:
    """The derivations of one row: those found, in order, and what may come next.

    Attributes:
        number: the leaf or node.
        begin: position of the row's first alternative (pair or choice) among all of its number.
        order: the alternatives by their best cost.
        found: cost and picks of the derivations found.
        heap: candidates ``(cost, pair, left rank, right rank)`` of a node.
        pending: candidates whose cost is not known yet.
        closed: there are no more.
    """

    number: int
    begin: int
    order: _Order
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
            return _Stream(number, begin, _Order(choices, far))
        node = self._circuit.node(number)
        begin, end = node.run(row)
        pairs = taken(self._inside, node.left)[node.lefts[begin:end]]
        if node.right >= 0:
            pairs = pairs + taken(self._inside, node.right)[node.rights[begin:end]]
        return _Stream(number, begin, _Order(pairs, far))

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

    def _choose(self, stream: _Stream) -> None:
        """Find the next choice on a row of a unit."""
        ahead = stream.order.peek()
        if ahead is None:
            stream.closed = True
            return
        stream.order.drop()
        leaf = self._circuit.stacked(stream.number)
        at = stream.begin + ahead[1]
        stream.found.append((ahead[0], (at if leaf is None else int(leaf.entries[at]),)))

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
        if stream.number in self._units:
            self._choose(stream)
            return None
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
        if not stream.heap or stream.found:
            while (ahead := stream.order.peek()) and (not stream.heap or ahead[0] < stream.heap[0][0]):
                stream.order.drop()
                heapq.heappush(stream.heap, (ahead[0], stream.begin + ahead[1], 0, 0))
                if not stream.found:
                    break
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


def ranked(state: State, objective: Objective) -> Iterator[tuple[int, Picks]]:
    """Cost and picks of the solutions of a state, cheapest first. O(pairs) once, then little for each."""
    return iter(KBest(costs(state, objective)))
