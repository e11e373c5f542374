"""Ranks: the solution at a position of the listing, and uniform samples.

In: a ``State``. Out: picks. The exact counts below each row lead from a rank to its solution; a uniform rank gives a
uniform solution.
"""

from __future__ import annotations

import random
from bisect import bisect_right
from itertools import accumulate

import numpy as np

from solver.engine.counting import exact
from solver.engine.state import State
from solver.engine.tables import LongArray


class Ranks:
    """Solutions by rank, for one state. Cumulative counts of the rows visited are kept."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._counts = exact(state)
        self._sums: dict[tuple[int, int], list[int]] = {}
        root = self._counts[state.circuit.root]
        self.total = int(root[0]) if state.exists and root is not None else 0

    def picks(self, rank: int) -> tuple[int, ...]:
        """The picks of the solution at a rank, counted from 0 in the order of the listing. O(pairs visited).

        Raises:
            IndexError: there is no such rank.
        """
        if not 0 <= rank < self.total:
            raise IndexError(rank)
        circuit = self._state.circuit
        units = set(self._state.units)
        found: list[int] = []
        waiting = [(circuit.root, 0, rank)]
        while waiting:
            number, row, rest = waiting.pop()
            if number in units:
                found.append(self._choice(number, row, rest))
                continue
            node = circuit.node(number)
            begin, _ = node.run(row)
            sums = self._cumulated(number, row)
            at = bisect_right(sums, rest)
            rest -= sums[at - 1] if at else 0
            pair = begin + at
            if node.right < 0:
                waiting.append((node.left, int(node.lefts[pair]), rest))
                continue
            right = int(node.rights[pair])
            high, low = divmod(rest, int(self._of(node.right)[right]))
            waiting.append((node.right, right, low))
            waiting.append((node.left, int(node.lefts[pair]), high))
        return tuple(found)

    def sample(self, number: int, seed: int) -> list[tuple[int, ...]]:
        """Independent uniform samples, drawn with replacement; the same seed gives the same samples.

        Raises:
            IndexError: there is no solution to draw.
        """
        if self.total == 0:
            raise IndexError("no solution to draw")
        source = random.Random(seed)
        return [self.picks(source.randrange(self.total)) for _ in range(number)]

    def _of(self, number: int) -> LongArray:
        counts = self._counts[number]
        assert counts is not None
        return counts

    def _cumulated(self, number: int, row: int) -> list[int]:
        known = self._sums.get((number, row))
        if known is None:
            node = self._state.circuit.node(number)
            begin, end = node.run(row)
            counts = self._of(node.left)[node.lefts[begin:end]].astype(object)
            if node.right >= 0:
                counts = counts * self._of(node.right)[node.rights[begin:end]]
            known = self._sums[number, row] = list(accumulate(counts.tolist()))
        return known

    def _choice(self, unit: int, row: int, rank: int) -> int:
        leaf = self._state.circuit.stacked(unit)
        if leaf is None:
            return row
        begin, end = int(leaf.begin[row]), int(leaf.begin[row + 1])
        allowed = self._state.allowed[unit]
        position = rank if allowed is None else int(np.flatnonzero(allowed[begin:end])[rank])
        return int(leaf.entries[begin + position])
