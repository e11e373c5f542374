"""The values of a total put in order, so that all of them are placed between the figures of a rule at once.

In: the values that a total may have. Out: for a row of edges a code for each value; no comparison with these edges
tells values of one code apart.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import numpy.typing as npt

from solver.network.projection import Term

Codes = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class _Ordered:
    """Figures in rising order, and where each of them stands among all values."""

    figures: list[Decimal]
    places: Codes

    @classmethod
    def of(cls, pairs: Sequence[tuple[Decimal, int]]) -> _Ordered:
        found = sorted(pairs)
        return cls([f for f, _ in found], np.asarray([at for _, at in found], dtype=np.int64))

    def cells(self, edges: Sequence[Decimal], shift: Decimal, out: Codes) -> None:
        """Write for each figure where it lies: 0 below the first edge, 1 on it, 2 above it, 3 on the second, ..."""
        cuts = [cut(self.figures, e - shift) for e in edges for cut in (bisect.bisect_left, bisect.bisect_right)]
        out[self.places] = np.searchsorted(np.asarray(cuts), np.arange(len(self.figures)), side="right")


class Sums:
    """The values of a total: where each begins and ends (the same if it is exact), in order."""

    def __init__(self, values: Sequence[Term]) -> None:
        self.values = values
        known = [(v, at) for at, v in enumerate(values) if not v.missing and not v.conflict]
        self.low = _Ordered.of([(v.constant - v.spread, at) for v, at in known])
        self.high = _Ordered.of([(v.constant + v.spread, at) for v, at in known])
        self.known = np.zeros(len(values), dtype=bool)
        self.known[[at for _, at in known]] = True
        self.weak = np.asarray([v.weak for v in values], dtype=np.int64)
        self.measured = np.asarray([bool(v.spread) for v in values], dtype=np.int64)

    def codes(self, edges: Sequence[Decimal], shift: Decimal = Decimal(0)) -> Codes:
        """Return a code for each value; ``shift`` moves every edge down. What is not known has one of its own, < 0."""
        low, high = (np.zeros(len(self.values), dtype=np.int64) for _ in range(2))
        self.low.cells(edges, shift, low)
        self.high.cells(edges, shift, high)
        cells = 2 * len(edges) + 1
        return np.where(self.known, ((low * cells + high) * 2 + self.weak) * 2 + self.measured, self.apart())

    def apart(self) -> Codes:
        """Return a code of its own for each value."""
        return -1 - np.arange(len(self.values))
