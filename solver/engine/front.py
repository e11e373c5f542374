"""The Pareto front of two sums, exact: every pair (price, mass) that no solution beats in both.

In: a ``State`` in which items without a stated price or mass are out. Out: the points by rising price, each with the
picks of one solution. First the corners of the convex hull, by weighted sums; then, between two neighbours, whatever
lies in their triangle, by a pass that carries small fronts of partial sums over those rows only whose best completion
can still enter the triangle (the two-phase method of Ulungu and Teghem, 1995; cited from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from solver.engine.costs import Costs, Objective, costs, inside, outside, taken
from solver.engine.options import TooWide
from solver.engine.problem import BoolArray, IntArray
from solver.engine.ranking import KBest
from solver.engine.state import State
from solver.engine.tables import LongArray

MOST_PARTIAL = 5_000_000


@dataclass(frozen=True, slots=True)
class Point:
    """A point of the front and the picks of one solution there."""

    price: int
    mass: int
    picks: tuple[int, ...]


@dataclass(slots=True, eq=False)
class _Bounds:
    """Least sums inside and outside each row, for one objective, and the most that a solution may come to."""

    costs: Costs
    within: Sequence[LongArray | None]
    around: Sequence[LongArray | None]

    @classmethod
    def of(cls, state: State, objective: Objective) -> _Bounds:
        found = costs(state, objective)
        within = inside(found)
        return cls(found, within, outside(found, within))


@dataclass(slots=True, eq=False)
class _Partial:
    """The front of one row: sums, and where each came from (pair, or pick; rank left, rank right)."""

    price: IntArray
    mass: IntArray
    source: IntArray
    left: IntArray
    right: IntArray


def front(state: State) -> list[Point]:
    """The front, by rising price and falling mass.

    Raises:
        TooWide: more than ``MOST_PARTIAL`` partial sums would have to be carried between two neighbours.
    """
    if not state.exists:
        return []
    corners = _corners(state)
    price, mass = _Bounds.of(state, Objective(price=1)), _Bounds.of(state, Objective(mass=1))
    points = list(corners)
    for a, b in pairwise(corners):
        if b.price - a.price > 1 and a.mass - b.mass > 1:
            points += _Triangle(state, a, b, price, mass).points()
    points.sort(key=lambda p: (p.price, p.mass, p.picks))
    kept: list[Point] = []
    for point in points:
        if not kept or point.mass < kept[-1].mass:
            kept.append(point)
    return kept


def _best(state: State, price: int, mass: int) -> Point:
    """A solution with the least weighted sum."""
    _, picks = next(iter(KBest(costs(state, Objective(price=price, mass=mass)))))
    return _point(state, picks)


def _point(state: State, picks: tuple[int, ...]) -> Point:
    x, y = costs(state, Objective(price=1)), costs(state, Objective(mass=1))
    return Point(_sum(x, picks), _sum(y, picks), picks)


def _sum(found: Costs, picks: tuple[int, ...]) -> int:
    return sum(found.of_pick(unit, pick) for unit, pick in zip(found.state.units, picks, strict=True))


def _corners(state: State) -> list[Point]:
    """The corners of the hull, and perhaps points on its edges, by rising price."""
    span = [
        1 + sum(int(c.max(initial=0)) for c in costs(state, objective).choices.values())
        for objective in (Objective(price=1), Objective(mass=1))
    ]
    cheap, light = _best(state, span[1], 1), _best(state, 1, span[0])
    found = [cheap]
    waiting = [(cheap, light)] if cheap.price < light.price else []
    while waiting:
        a, b = waiting.pop()
        weights = a.mass - b.mass, b.price - a.price
        middle = _best(state, *weights)
        if weights[0] * (middle.price - a.price) + weights[1] * (middle.mass - a.mass) < 0:
            waiting += [(middle, b), (a, middle)]
        else:
            found.append(b)
    return found


class _Triangle:
    """The points strictly between two neighbours of the hull."""

    def __init__(self, state: State, a: Point, b: Point, price: _Bounds, mass: _Bounds) -> None:
        self._state = state
        self._circuit = state.circuit
        weights = a.mass - b.mass, b.price - a.price
        most = b.price - 1, a.mass - 1
        both = _Bounds.of(state, Objective(price=weights[0], mass=weights[1]))
        self._weights = weights
        self._caps = ((price, most[0]), (mass, most[1]), (both, weights[0] * most[0] + weights[1] * most[1]))
        self._fronts: dict[int, dict[int, _Partial]] = {}
        self._carried = 0

    def points(self) -> list[Point]:
        """The points, each with a solution; some may be beaten by others."""
        units = set(self._state.units)
        for number in range(self._circuit.size):
            if number in units:
                self._unit(number)
            elif number >= len(self._circuit.leaves) and not self._circuit.node(number).hidden:
                self._node(number)
        top = self._fronts[self._circuit.root].get(0)
        if top is None:
            return []
        return [
            Point(int(p), int(m), self._picks(self._circuit.root, 0, k))
            for k, (p, m) in enumerate(zip(top.price, top.mass, strict=True))
        ]

    def _open(self, number: int) -> BoolArray:
        """The rows whose best completion keeps every bound."""
        keep: BoolArray = np.ones(self._circuit.rows(number), dtype=bool)
        for bounds, most in self._caps:
            keep &= taken(bounds.within, number) + taken(bounds.around, number) <= most
        return keep

    def _kept(self, number: int, row: int, found: _Partial) -> _Partial | None:
        """Those partial sums of a row that can still be completed within the bounds and are not beaten."""
        keep = np.ones(len(found.price), dtype=bool)
        sums = (found.price, found.mass, self._weights[0] * found.price + self._weights[1] * found.mass)
        for (bounds, most), value in zip(self._caps, sums, strict=True):
            keep &= value + taken(bounds.around, number)[row] <= most
        order = np.flatnonzero(keep)
        order = order[np.lexsort((found.mass[order], found.price[order]))]
        mass = found.mass[order]
        best = np.minimum.accumulate(mass)
        order = order[np.concatenate(([True], mass[1:] < best[:-1]))] if len(order) else order
        if not len(order):
            return None
        self._carried += len(order)
        if self._carried > MOST_PARTIAL:
            raise TooWide("front", self._carried, MOST_PARTIAL)
        return _Partial(*(c[order] for c in (found.price, found.mass, found.source, found.left, found.right)))

    def _unit(self, unit: int) -> None:
        circuit = self._circuit
        price, mass = (bounds.costs.choices[unit] for bounds, _ in self._caps[:2])
        counted = circuit.stacked(unit)
        allowed = self._state.allowed[unit] if counted is not None else None
        mine: dict[int, _Partial] = {}
        for row in np.flatnonzero(self._open(unit)).tolist():
            if counted is None:
                at = picks = np.array([row])
            else:
                at = np.arange(int(counted.begin[row]), int(counted.begin[row + 1]))
                at = at if allowed is None else at[allowed[at]]
                picks = counted.entries[at]
            none = np.zeros(len(at), dtype=np.int64)
            kept = self._kept(unit, row, _Partial(price[at], mass[at], picks, none, none))
            if kept is not None:
                mine[row] = kept
        self._fronts[unit] = mine

    def _node(self, number: int) -> None:
        node = self._circuit.node(number)
        lefts = self._fronts[node.left]
        rights = self._fronts[node.right] if node.right >= 0 else {}
        mine: dict[int, _Partial] = {}
        for row in np.flatnonzero(self._open(number)).tolist():
            begin, end = node.run(row)
            parts: list[_Partial] = []
            for pair in range(begin, end):
                left = lefts.get(int(node.lefts[pair]))
                right = rights.get(int(node.rights[pair])) if node.right >= 0 else None
                if left is None or (node.right >= 0 and right is None):
                    continue
                parts.append(_product(left, right, pair))
            if parts:
                whole = _Partial(
                    *(
                        np.concatenate([getattr(p, name) for p in parts])
                        for name in ("price", "mass", "source", "left", "right")
                    )
                )
                kept = self._kept(number, row, whole)
                if kept is not None:
                    mine[row] = kept
        self._fronts[number] = mine

    def _picks(self, number: int, row: int, rank: int) -> tuple[int, ...]:
        found: list[int] = []
        units = set(self._state.units)
        waiting = [(number, row, rank)]
        while waiting:
            at, line, place = waiting.pop()
            partial = self._fronts[at][line]
            source = int(partial.source[place])
            if at in units:
                found.append(source)
                continue
            node = self._circuit.node(at)
            if node.right >= 0:
                waiting.append((node.right, int(node.rights[source]), int(partial.right[place])))
            waiting.append((node.left, int(node.lefts[source]), int(partial.left[place])))
        return tuple(found)


def _product(left: _Partial, right: _Partial | None, pair: int) -> _Partial:
    """All sums of a left and a right partial."""
    if right is None:
        number = len(left.price)
        none = np.zeros(number, dtype=np.int64)
        return _Partial(left.price, left.mass, np.full(number, pair), np.arange(number), none)
    a, b = len(left.price), len(right.price)
    return _Partial(
        np.add.outer(left.price, right.price).ravel(),
        np.add.outer(left.mass, right.mass).ravel(),
        np.full(a * b, pair),
        np.repeat(np.arange(a), b),
        np.tile(np.arange(b), a),
    )
