"""What is known to be out: pairs of parts that one test refuses need not be judged by another.

In: tables of one or two sides, as they are judged. Out: for the sides of a later table, the combinations that hold such
a pair. They are in no build whatever the later test says of them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from solver.network.projection import Side

Bools = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.intp]

#: Pairs of what two slots can look like; beyond it nothing is foretold, so that memory stays small.
MOST_PAIRS: Final = 4_000_000


@dataclass(frozen=True, slots=True)
class _Seen:
    """One table: the numbers that its sides (one side twice) give to the ways of their slots, and what is allowed."""

    first: Numbers
    second: Numbers
    allowed: Bools


@dataclass(slots=True)
class Bounds:
    """Pairs that are out. ``ways`` are the (candidate, way) pairs of each slot, (-1, 0) where it may stay empty."""

    ways: Mapping[str, Sequence[tuple[int, int]]]
    seen: dict[tuple[str, str], list[_Seen]] = field(default_factory=dict)

    def learn(self, sides: Sequence[Side], rows: Sequence[tuple[int, ...]]) -> None:
        """Learn from a table of one or two sides; ``rows`` are the combinations that go together."""
        if not 1 <= len(sides) <= 2:
            return
        first, second = sides[0], sides[-1]
        allowed = np.zeros((len(first.kinds), len(second.kinds)), dtype=bool)
        for row in rows:
            allowed[row[0], row[-1]] = True
        if len(sides) == 1:
            allowed = np.broadcast_to(np.any(allowed, axis=1, keepdims=True), allowed.shape)
        if allowed.all():
            return
        found = _Seen(self._numbers(first), self._numbers(second), allowed)
        self.seen.setdefault((first.slot, second.slot), []).append(found)

    def out(self, sides: Sequence[Side]) -> Iterator[tuple[int, int, Bools]]:
        """Yield (side, other side, which of their numbers are never together); a side twice: which are never at all."""
        for p, q in itertools.combinations(range(len(sides)), 2):
            allowed = self._allowed(sides[p], sides[q])
            if allowed is not None and not allowed.all():
                yield p, q, ~allowed
        for p, where in enumerate(sides):
            alone = self._alone(where)
            if not alone.all():
                yield p, p, ~alone[:, None] | ~alone[None, :]

    def _numbers(self, where: Side) -> Numbers:
        empty = len(where.kinds) - 1
        found = [where.number[w] if w[0] >= 0 else empty for w in self.ways[where.slot]]
        return np.asarray(found, dtype=np.intp)

    def _between(self, a: str, b: str) -> list[_Seen]:
        mine = self.seen.get((a, b), [])
        other = [_Seen(s.second, s.first, s.allowed.T) for s in self.seen.get((b, a), [])] if a != b else []
        return [*mine, *other]

    def _allowed(self, first: Side, second: Side) -> Bools | None:
        found = self._between(first.slot, second.slot)
        if not found:
            return None
        looks_a, kinds_a = _looks([self._numbers(first), *(s.first for s in found)])
        looks_b, kinds_b = _looks([self._numbers(second), *(s.second for s in found)])
        if len(kinds_a) * len(kinds_b) > MOST_PAIRS:
            return None
        together = np.ones((len(kinds_a), len(kinds_b)), dtype=bool)
        for at, one in enumerate(found, start=1):
            together &= one.allowed[looks_a[:, at][:, None], looks_b[:, at][None, :]]
        return _spread(together, kinds_a, kinds_b, len(first.kinds), len(second.kinds))

    def _alone(self, where: Side) -> Bools:
        """Return for each number of a side whether some way of it has a partner in every table."""
        mine = self._numbers(where)
        living = np.ones(len(mine), dtype=bool)
        for (a, b), found in self.seen.items():
            for one in found:
                if a == where.slot:
                    living &= _some(one.allowed[:, np.unique(one.second)], 1)[one.first]
                if b == where.slot:
                    living &= _some(one.allowed[np.unique(one.first), :], 0)[one.second]
        alone = np.zeros(len(where.kinds), dtype=bool)
        alone[mine[living]] = True
        return alone


def _some(found: Bools, axis: int) -> Bools:
    return np.asarray(np.any(found, axis=axis))


def _looks(columns: Sequence[Numbers]) -> tuple[Numbers, Numbers]:
    """Return the distinct rows of some columns, and the first column of each."""
    rows: Any = np.unique(np.column_stack(columns), axis=0)
    return rows, rows[:, 0]


def _spread(together: Bools, kinds_a: Numbers, kinds_b: Numbers, size_a: int, size_b: int) -> Bools:
    """Return which kinds have some pair of looks together."""
    found = np.zeros((size_a, size_b), dtype=bool)
    first, second = np.nonzero(together)
    found[kinds_a[first], kinds_b[second]] = True
    return found
