"""What a ranking adds up, and the least it can come to below and around each row.

In: a ``State`` and an ``Objective``. Out: for each unit the cost of each choice, and for each row the least cost of
the part below it (*inside*) and of all the rest (*outside*): two min-plus passes. Costs are integers; a figure that is
not stated outweighs every stated one, so that solutions are ranked first by the number of figures not stated.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from solver.engine.problem import BoolArray, IntArray
from solver.engine.state import State
from solver.engine.tables import Index, LongArray, Scratch, long
from solver.engine.veiled import Figures, hidden_figures, stated

_ROOM = 2**60


@dataclass(frozen=True, slots=True, eq=False)
class Objective:
    """A sum to rank by: lexicographic in (``extra``, figures not stated, weighted sum of price and mass).

    Attributes:
        price, mass: weights, not negative; a figure of weight 0 may be missing without harm.
        extra: relation -> own cost of each entry of its stacks, not negative; it comes before everything else.
    """

    price: int = 0
    mass: int = 0
    extra: Mapping[int, IntArray] = field(default_factory=dict)


BY_PRICE = Objective(price=1)
BY_MASS = Objective(mass=1)


@dataclass(slots=True, eq=False)
class Costs:
    """Cost of every choice, one array a unit (items: by position in ``Leaf.entries``; else by row).

    Attributes:
        choices: unit -> costs.
        far: more than any solution costs; stands for what is not allowed.
        missing: what one figure that is not stated adds.
        extra: what one unit of extra cost adds.
    """

    state: State
    choices: dict[int, LongArray]
    figures: dict[int, Figures]
    far: int
    missing: int
    extra: int

    def parted(self, cost: int) -> tuple[int, int, int]:
        """A cost as (extra, figures not stated, weighted sum): comparable between states."""
        extra, rest = divmod(cost, self.extra)
        return extra, *divmod(rest, self.missing)

    def of_pick(self, unit: int, pick: int) -> int:
        """The cost of one pick of a solution."""
        leaf = self.state.circuit.stacked(unit)
        return int(self.choices[unit][pick if leaf is None else leaf.position(pick)])

    def rows(self, unit: int) -> LongArray:
        """For each row of a unit the least cost of a choice on it; ``far`` where there is none."""
        circuit = self.state.circuit
        cost = self.choices[unit]
        leaf = circuit.stacked(unit)
        if leaf is not None:
            allowed = self.state.allowed[unit]
            if allowed is not None:
                cost = np.where(allowed, cost, self.far)
            cost = np.minimum.reduceat(cost, leaf.begin[:-1])
        alive = self.state.alive[unit]
        return cost if alive is None else np.where(alive, cost, self.far)


def costs(state: State, objective: Objective) -> Costs:
    """The costs of a state's choices under an objective. O(items)."""
    circuit = state.circuit
    figures = hidden_figures(state)
    layers = [_layers(state, objective, figures, unit) for unit in state.units]
    spans = [1 + sum(int(parts[k].max(initial=0)) for parts in layers) for k in range(3)]
    missing, extra = spans[2], spans[2] * spans[1]
    far = extra * spans[0]
    wide = far >= _ROOM or not circuit.options.machine
    choices: dict[int, LongArray] = {}
    for unit, (own, absent, value) in zip(state.units, layers, strict=True):
        if wide:
            choices[unit] = long(own) * extra + long(absent) * missing + long(value)
        else:
            choices[unit] = own * extra + absent * missing + value
    return Costs(state, choices, figures, far, missing, extra)


def _layers(
    state: State, objective: Objective, figures: Mapping[int, Figures], unit: int
) -> tuple[IntArray, IntArray, LongArray]:
    """Extra cost, figures missing, and weighted sum, of every choice of a unit."""
    circuit = state.circuit
    if unit in figures:
        f = figures[unit]
        absent = bool(objective.price) * f.unpriced + bool(objective.mass) * f.unweighed
        own = np.zeros(len(f.key), dtype=np.int64)
        return own, absent, _weighted(objective, f.price, f.mass)
    leaf = circuit.stacked(unit)
    stacks = None if leaf is None else circuit.problem.relations[leaf.relation].stacks
    if leaf is None or stacks is None:
        nought = np.zeros(circuit.rows(unit), dtype=np.int64)
        return nought, nought, nought
    price, unpriced = stated(stacks.price[leaf.entries])
    mass, unweighed = stated(stacks.mass[leaf.entries])
    absent = bool(objective.price) * unpriced + bool(objective.mass) * unweighed
    given = objective.extra.get(leaf.relation)
    own = np.zeros(len(leaf.entries), dtype=np.int64) if given is None else given[leaf.entries]
    return own, absent, _weighted(objective, price, mass)


def _weighted(objective: Objective, price: IntArray, mass: IntArray) -> LongArray:
    most = objective.price * int(price.max(initial=0)) + objective.mass * int(mass.max(initial=0))
    if most >= _ROOM:
        return long(price) * objective.price + long(mass) * objective.mass
    return objective.price * price + objective.mass * mass


def inside(found: Costs) -> list[LongArray | None]:
    """For each counted number the least cost of the part below each row, ``far`` where there is none. O(pairs)."""
    circuit = found.state.circuit
    least: list[LongArray | None] = [None] * circuit.size
    for unit in found.state.units:
        least[unit] = found.rows(unit)
    scratch = Scratch()
    whole = all(found.state.alive[u] is None for u in found.state.units)
    for number in range(len(circuit.leaves), circuit.size):
        left = least[circuit.node(number).left]
        if circuit.node(number).hidden or left is None or least[number] is not None:
            continue
        node = circuit.node(number)
        right = least[node.right] if node.right >= 0 else None
        pairs = scratch.take(left, node.lefts)
        if right is not None:
            pairs += scratch.take(right, node.rights, 1)
        best = pairs.copy() if node.single else np.minimum.reduceat(pairs, node.begin[:-1])
        least[number] = best if whole else np.minimum(best, found.far)
    return least


def outside(found: Costs, within: Sequence[LongArray | None]) -> list[LongArray | None]:
    """For each counted number the least cost of everything that is not below each row. O(pairs)."""
    circuit = found.state.circuit
    least: list[LongArray | None] = [None] * circuit.size
    root = within[circuit.root]
    if root is None:
        return least
    least[circuit.root] = root * 0
    for number in range(circuit.root, len(circuit.leaves) - 1, -1):
        above = least[number]
        node = circuit.node(number)
        left = within[node.left]
        if above is None or left is None or node.hidden:
            continue
        around = np.repeat(above, node.lengths)
        right = within[node.right] if node.right >= 0 else None
        pairs = around if right is None else around + right[node.rights]
        least[node.left] = _scatter(pairs, node.lefts, left, found.far)
        if right is not None:
            least[node.right] = _scatter(around + left[node.lefts], node.rights, right, found.far)
    return least


def taken(least: Sequence[LongArray | None], number: int) -> LongArray:
    """The array of a counted number."""
    found = least[number]
    if found is None:
        raise AssertionError(f"{number} is not counted")
    return found


def narrowed(found: Costs, most: int) -> dict[int, BoolArray]:
    """Masks over the units that drop every row no solution of at most this cost can have. O(pairs)."""
    within = inside(found)
    around = outside(found, within)
    return {unit: taken(within, unit) + taken(around, unit) <= most for unit in found.state.units}


def _scatter(pairs: LongArray, at: Index, like: LongArray, far: int) -> LongArray:
    result = np.full(len(like), far, dtype=pairs.dtype)
    np.minimum.at(result, at, pairs)
    return result
