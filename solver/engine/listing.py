"""Every solution, lazily, without dead ends and in a fixed order.

In: a ``State``, and limits if wanted. Out: blocks of picks, one row a solution. The circuit is walked from the root; a
partial choice is a row chosen for each number still to be opened, and each such choice can be completed, because only
alive pairs are followed. With one limit on a sum there are no dead ends either: what is still to be opened adds at
least its *inside* cost, and that is reached. With several limits there may be.

The order is that of ranks: pairs by position, then the left part, then the right part.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from solver.engine.costs import Costs, inside, taken
from solver.engine.problem import IntArray
from solver.engine.state import State
from solver.engine.tables import LongArray

FIRST_BLOCK = 64
BLOCK = 16_384


@dataclass(frozen=True, slots=True, eq=False)
class Cap:
    """A limit on a sum: solutions that cost more than ``most`` are left out."""

    costs: Costs
    most: int


@dataclass(slots=True, eq=False)
class _Trail:
    """How a block came about: choice ``c`` continues choice ``source[c]`` (``c + shift``) of the block before.

    ``picks`` are those made at the unit in ``place``, if one was opened.
    """

    before: _Trail | None
    source: IntArray | None
    shift: int = 0
    place: int = -1
    picks: IntArray | None = None


@dataclass(slots=True, eq=False)
class _Partial:
    """Partial choices, one a column: ``step`` numbers have been opened.

    ``chosen`` holds the rows of the numbers still to be opened, at their depth; ``spent``, for each cap, the least
    that each choice can come to.
    """

    step: int
    chosen: IntArray
    spent: list[LongArray]
    trail: _Trail | None = None

    def picks(self, places: int) -> IntArray:
        """What was picked on the way, a row a choice."""
        picks = np.empty((self.chosen.shape[1], places), dtype=np.int64)
        at = np.arange(self.chosen.shape[1])
        link = self.trail
        while link is not None:
            if link.picks is not None:
                picks[:, link.place] = link.picks[at]
            at = at + link.shift if link.source is None else link.source[at]
            link = link.before
        return picks


class Listing:
    """The walk over one state."""

    def __init__(self, state: State, caps: Sequence[Cap] = ()) -> None:
        self._state = state
        self._circuit = state.circuit
        self._place = {unit: place for place, unit in enumerate(state.units)}
        self._order, self._depth = _preorder(state)
        self._caps = caps
        self._inside = [inside(cap.costs) for cap in caps]

    def blocks(self) -> Iterator[IntArray]:
        """Blocks of solutions, shape ``(solutions, units)``. O(1) numpy steps a block and step of the walk."""
        if not self._state.exists:
            return
        spent = [taken(found, self._circuit.root) for found in self._inside]
        chosen = np.zeros((1 + max(self._depth.values()), 1), dtype=np.int64)
        start = _Partial(0, chosen, spent)
        if any(int(s[0]) > cap.most for s, cap in zip(spent, self._caps, strict=True)):
            return
        waiting = [start]
        size = FIRST_BLOCK
        while waiting:
            partial = waiting.pop()
            if partial.step == len(self._order):
                yield partial.picks(len(self._place))
                size = BLOCK
                continue
            waiting.extend(p for p in reversed(self._opened(partial, size)) if p.chosen.shape[1])

    def first(self) -> tuple[int, ...] | None:
        """The picks of the first solution (caps are not looked at), or ``None``. O(numbers and pairs visited)."""
        state, circuit = self._state, self._circuit
        if not state.exists:
            return None
        rows = {circuit.root: 0}
        picks: list[int] = []
        for number in self._order:
            row = rows.pop(number)
            if number in self._place:
                picks.append(self._first_choice(number, row))
                continue
            node = circuit.node(number)
            begin, end = node.run(row)
            alive = np.ones(end - begin, dtype=bool)
            for side, at in ((node.left, node.lefts), (node.right, node.rights)):
                mask = state.alive[side] if side >= 0 else None
                if mask is not None:
                    alive &= mask[at[begin:end]]
            pair = begin + int(np.argmax(alive))
            rows[node.left] = int(node.lefts[pair])
            if node.right >= 0:
                rows[node.right] = int(node.rights[pair])
        return tuple(picks)

    def _first_choice(self, unit: int, row: int) -> int:
        leaf = self._circuit.stacked(unit)
        if leaf is None:
            return row
        begin, end = int(leaf.begin[row]), int(leaf.begin[row + 1])
        allowed = self._state.allowed[unit]
        return int(leaf.entries[begin if allowed is None else begin + int(np.argmax(allowed[begin:end]))])

    def _opened(self, partial: _Partial, size: int) -> list[_Partial]:
        """Open the next number of a block; the result is cut into blocks of at most ``size`` where it grows."""
        number = self._order[partial.step]
        at = partial.chosen[self._depth[number]]
        bounds = self._bounds(number)
        begin = at if bounds is None else bounds[at]
        lengths = np.ones(len(at), dtype=np.int64) if bounds is None else bounds[at + 1] - begin
        ends = np.cumsum(lengths)
        cuts = [0]
        while cuts[-1] < len(at):
            base = int(ends[cuts[-1] - 1]) if cuts[-1] else 0
            cuts.append(max(int(np.searchsorted(ends, base + size, side="right")), cuts[-1] + 1))
        if len(cuts) > 2:
            return [self._slice(partial, a, b) for a, b in pairwise(cuts)]
        total = int(ends[-1])
        source = np.repeat(np.arange(len(at)), lengths)
        position = np.arange(total) + (begin - (ends - lengths))[source]
        return [self._filled(partial, number, source, position)]

    def _slice(self, partial: _Partial, begin: int, end: int) -> _Partial:
        return _Partial(
            partial.step,
            partial.chosen[:, begin:end],
            [s[begin:end] for s in partial.spent],
            _Trail(partial.trail, None, begin),
        )

    def _bounds(self, number: int) -> IntArray | None:
        if number not in self._place:
            return self._circuit.node(number).begin
        leaf = self._circuit.stacked(number)
        return None if leaf is None else leaf.begin

    def _filled(self, partial: _Partial, number: int, source: IntArray, position: IntArray) -> _Partial:
        """The block after opening: keep what is alive and within the caps, and note rows or picks."""
        place = self._place.get(number)
        if place is not None:
            leaf = self._circuit.stacked(number)
            allowed = None if leaf is None else self._state.allowed[number]
            keep = np.ones(len(position), dtype=bool) if allowed is None else allowed[position]
        else:
            alive = self._state.pairs_alive(number)
            keep = np.ones(len(position), dtype=bool) if alive is None else alive[position]
        spent = []
        for cap, found, before in zip(self._caps, self._inside, partial.spent, strict=True):
            now = before[source] - taken(found, number)[partial.chosen[self._depth[number]]][source]
            now = now + self._added(cap, found, number, position)
            keep &= now <= cap.most
            spent.append(now)
        whole = bool(keep.all())
        if not whole:
            source, position = source[keep], position[keep]
        same = whole and len(source) == partial.chosen.shape[1]
        chosen = partial.chosen if same else partial.chosen.take(source, axis=1)
        trail = partial.trail if same and place is None else _Trail(partial.trail, None if same else source)
        if place is not None and trail is not None:
            leaf = self._circuit.stacked(number)
            trail.place, trail.picks = place, position if leaf is None else leaf.entries[position]
        elif place is None:
            node = self._circuit.node(number)
            chosen[self._depth[node.left]] = node.lefts[position]
            if node.right >= 0:
                chosen[self._depth[node.right]] = node.rights[position]
        return _Partial(partial.step + 1, chosen, spent if whole else [s[keep] for s in spent], trail)

    def _added(self, cap: Cap, found: Sequence[LongArray | None], number: int, position: IntArray) -> LongArray:
        if number in self._place:
            return cap.costs.choices[number][position]
        node = self._circuit.node(number)
        cost = taken(found, node.left)[node.lefts[position]]
        return cost if node.right < 0 else cost + taken(found, node.right)[node.rights[position]]


def _preorder(state: State) -> tuple[list[int], dict[int, int]]:
    """The counted numbers, each before its left part, that before its right part; and how many are then still open."""
    circuit, units = state.circuit, set(state.units)
    order: list[int] = []
    depth: dict[int, int] = {}
    waiting = [circuit.root]
    while waiting:
        number = waiting.pop()
        order.append(number)
        depth[number] = len(waiting)
        if number not in units:
            node = circuit.node(number)
            if node.right >= 0:
                waiting.append(node.right)
            waiting.append(node.left)
    return order, depth
