"""A circuit under restrictions: which rows and items are still allowed, and which rows are alive because of it.

In: a ``Circuit`` and masks. Out: a ``State`` with lazily made boolean arrays. Nothing is compiled again: a restricted
state shares with the state it came from every array that the restriction cannot have changed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np

from solver.engine.circuit import Circuit, Leaf, Node
from solver.engine.problem import TOP_LEVEL, BoolArray, IntArray, ProblemError
from solver.engine.tables import LongArray

DEAD_LEVEL = TOP_LEVEL + 1


class State:
    """Masks over one circuit. Immutable; ``restricted`` makes another.

    A *unit* is what the counted part of the circuit is made of: a leaf that is not hidden, or the topmost number of a
    hidden part, whose rows only say that hidden values exist.

    Attributes:
        circuit: what it is about.
        accept: rows above this level are out.
        parent: the state this one restricts, if arrays may be taken over from it.
        allowed: for each leaf with items which of ``Leaf.entries`` are allowed; ``None``: all.
        counts, live: kept here by ``counting.exact`` and ``live.live_rows``.
    """

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.accept = circuit.accept
        self.parent: State | None = None
        self.allowed: list[BoolArray | None] = [None] * len(circuit.leaves)
        self._rows: list[BoolArray | None] = [None] * len(circuit.leaves)
        self._masks: dict[int, BoolArray] = {}
        self._changed: frozenset[int] = frozenset()
        self._pairs: dict[int, BoolArray] = {}
        self.counts: list[LongArray | None] | None = None
        self.live: list[BoolArray | None] | None = None

    def restricted(
        self,
        *,
        rows: Mapping[int, BoolArray] | None = None,
        items: Mapping[int, BoolArray] | None = None,
        accept: int | None = None,
        units: Mapping[int, BoolArray] | None = None,
    ) -> State:
        """The state in which only these rows and items are left, of those that are left now.

        Args:
            rows: relation -> mask over its rows.
            items: relation -> mask over the entries of its stacks. Alternatives of one item must agree.
            accept: a level not above the present one (a higher one changes nothing).
            units: unit -> mask over its rows (for the engine's own use).

        Raises:
            ProblemError: a mask has the wrong length, or alternatives of an item disagree.
        """
        new = State(self.circuit)
        new.allowed, new._rows, new._masks = list(self.allowed), list(self._rows), dict(self._masks)
        new.accept = self.accept if accept is None else min(accept, self.accept)
        changed = {u for u, mask in (units or {}).items() if not mask.all()}
        for unit in changed:
            mask, old = (units or {})[unit], self._masks.get(unit)
            new._masks[unit] = mask if old is None else mask & old
        self._check(rows or {}, items or {})
        for number, leaf in enumerate(self.circuit.leaves):
            keep = _row_mask(leaf, (rows or {}).get(leaf.relation), self.accept, new.accept)
            chosen = _entry_mask(leaf, (items or {}).get(leaf.relation))
            if keep is not None:
                kept = self._rows[number]
                new._rows[number] = keep if kept is None else keep & kept
            if chosen is not None:
                before = self.allowed[number]
                new.allowed[number] = chosen if before is None else chosen & before
            if keep is not None or chosen is not None:
                changed.add(number)
        new._changed = frozenset(changed)
        new.parent = self if self.circuit.options.reuse else None
        return new

    def _check(self, rows: Mapping[int, BoolArray], items: Mapping[int, BoolArray]) -> None:
        relations = self.circuit.problem.relations
        for number, mask in rows.items():
            if mask.dtype != np.bool_ or mask.shape != (len(relations[number].rows),):
                raise ProblemError(f"{relations[number].name}: the mask must have one truth value a row")
        for number, mask in items.items():
            stacks = relations[number].stacks
            if stacks is None or mask.dtype != np.bool_ or mask.shape != stacks.row.shape:
                raise ProblemError(f"{relations[number].name}: the mask must have one truth value an item")
            if any(leaf.grouped and leaf.relation == number for leaf in self.circuit.leaves):
                _, item = np.unique(stacks.ident, return_inverse=True)
                kept = np.bincount(item[mask], minlength=int(item.max()) + 1)
                if np.any((kept > 0) & (kept < np.bincount(item))):
                    raise ProblemError(f"{relations[number].name}: alternatives of one item are kept only together")

    @cached_property
    def dirty(self) -> list[bool]:
        """For each number whether its rows may live otherwise than in ``parent``."""
        circuit = self.circuit
        if self.parent is None:
            return [True] * circuit.size
        dirty = [n in self._changed for n in range(circuit.size)]
        for number in range(len(circuit.leaves), circuit.size):
            node = circuit.node(number)
            dirty[number] |= dirty[node.left] or (node.right >= 0 and dirty[node.right])
        return dirty

    @cached_property
    def weights(self) -> list[IntArray | None]:
        """For each leaf with items how many are allowed on each row (rows out of bounds included); else ``None``."""
        found: list[IntArray | None] = []
        for leaf, allowed in zip(self.circuit.leaves, self.allowed, strict=True):
            if leaf.row_of is None:
                found.append(None)
            elif allowed is None:
                found.append(leaf.lengths)
            else:
                found.append(np.add.reduceat(allowed, leaf.begin[:-1], dtype=np.int64))
        return found

    @cached_property
    def alive(self) -> list[BoolArray | None]:
        """For each number the rows that the part below supports; ``None``: all of them. O(pairs that changed)."""
        circuit, parent = self.circuit, self.parent
        found: list[BoolArray | None] = []
        for number in range(circuit.size):
            if parent is not None and not self.dirty[number]:
                found.append(parent.alive[number])
                continue
            alive = self._leaf_alive(number) if number < len(circuit.leaves) else self._node_alive(number, found)
            mask = self._masks.get(number)
            if mask is not None:
                alive = mask if alive is None else alive & mask
            found.append(None if alive is not None and alive.all() else alive)
        return found

    def _leaf_alive(self, number: int) -> BoolArray | None:
        alive = self._rows[number]
        if self.allowed[number] is not None:
            weights = self.weights[number]
            filled = None if weights is None else weights > 0
            alive = filled if alive is None or filled is None else alive & filled
        return alive

    def _node_alive(self, number: int, found: Sequence[BoolArray | None]) -> BoolArray | None:
        node = self.circuit.node(number)
        left = found[node.left]
        right = found[node.right] if node.right >= 0 else None
        if left is None and right is None:
            return None
        pairs = self._pairs[number] = _both(node, left, right)
        if node.single:
            return pairs
        alive: BoolArray = np.logical_or.reduceat(pairs, node.begin[:-1])
        return alive

    @property
    def exists(self) -> bool:
        """Whether any solution is left."""
        root = self.alive[self.circuit.root]
        return self.circuit.rows(self.circuit.root) == 1 and (root is None or bool(root[0]))

    @cached_property
    def units(self) -> list[int]:
        """The units from left to right: the places of ``Solution.picks``."""
        return units_of(self.circuit)

    @cached_property
    def levels(self) -> dict[int, IntArray]:
        """For each number that can exceed level 0 the least level of each row (``DEAD_LEVEL``: dead). O(pairs)."""
        circuit = self.circuit
        found: dict[int, IntArray] = {}
        for number in range(circuit.size):
            if number < len(circuit.leaves):
                levels = circuit.leaves[number].levels
            elif circuit.node(number).hidden:
                levels = self._node_levels(number, found)
            else:
                continue
            if levels is not None and levels.any():
                alive = self.alive[number]
                found[number] = levels if alive is None else np.where(alive, levels, DEAD_LEVEL)
        return found

    def _node_levels(self, number: int, found: Mapping[int, IntArray]) -> IntArray | None:
        node = self.circuit.node(number)
        sides = [found[s][at] for s, at in ((node.left, node.lefts), (node.right, node.rights)) if s in found]
        if not sides:
            return None
        pairs = sides[0] if len(sides) == 1 else np.maximum(sides[0], sides[1])
        if node.single:
            return pairs
        dead = self.pairs_alive(number)
        if dead is not None:
            pairs = np.where(dead, pairs, DEAD_LEVEL)
        least: IntArray = np.minimum.reduceat(pairs, node.begin[:-1])
        return least

    def pairs_alive(self, number: int) -> BoolArray | None:
        """Which pairs of a node have both sides alive; ``None``: all."""
        node = self.circuit.node(number)
        left = self.alive[node.left]
        right = self.alive[node.right] if node.right >= 0 else None
        if left is None and right is None:
            return None
        if number not in self._pairs:
            self._pairs[number] = _both(node, left, right)
        return self._pairs[number]


def _both(node: Node, left: BoolArray | None, right: BoolArray | None) -> BoolArray:
    """For each pair whether both sides are alive; ``None`` stands for a side that is alive throughout."""
    if left is None:
        return np.ones(len(node.lefts), dtype=bool) if right is None else right[node.rights]
    pairs = left[node.lefts]
    if right is not None:
        pairs &= right[node.rights]
    return pairs


def units_of(circuit: Circuit) -> list[int]:
    """The topmost leaves and hidden parts below the counted nodes, from left to right."""
    found: list[int] = []
    waiting = [circuit.root]
    leaves = len(circuit.leaves)
    while waiting:
        number = waiting.pop()
        if number < leaves or circuit.node(number).hidden:
            found.append(number)
            continue
        node = circuit.node(number)
        if node.right >= 0:
            waiting.append(node.right)
        waiting.append(node.left)
    return found


def _row_mask(leaf: Leaf, mask: BoolArray | None, before: int, accept: int) -> BoolArray | None:
    keep = None
    if mask is not None and not leaf.grouped:
        keep = mask[leaf.origin]
    if leaf.levels is not None and accept < before:
        low = leaf.levels <= accept
        keep = low if keep is None else keep & low
    return None if keep is None or keep.all() else keep


def _entry_mask(leaf: Leaf, mask: BoolArray | None) -> BoolArray | None:
    if mask is None or leaf.row_of is None:
        return None
    chosen = mask[leaf.entries]
    return None if chosen.all() else chosen
