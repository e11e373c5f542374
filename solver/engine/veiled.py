"""Hidden purchases: which one goes with each row of a unit, and what it adds to the figures.

In: a ``State``. Out: for each unit that contains hidden items, per row: price, mass, lead and how many figures are not
stated, and the items themselves on request. The choice is the same whatever the question: among the choices within the
level accepted, the one with fewest prices not stated, then the lowest price, then the fewest purchases, then the first
in order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.engine.circuit import Node
from solver.engine.problem import MISSING, NOTHING, BoolArray, IntArray, ProblemError, Stacks
from solver.engine.state import State

_FAR = 2**60


@dataclass(slots=True, eq=False)
class Figures:
    """Additive figures of each row, and the choice that gives them.

    ``key`` orders choices; ``choice`` is the entry (leaf) or the pair (node) taken.
    """

    key: IntArray
    price: IntArray
    mass: IntArray
    lead: IntArray
    unpriced: IntArray
    unweighed: IntArray
    undated: IntArray
    choice: IntArray


def has_hidden_items(state: State) -> list[bool]:
    """For each number whether hidden items lie on or below it."""
    circuit = state.circuit
    found = [leaf.hidden for leaf in circuit.leaves]
    for node in circuit.nodes:
        found.append(found[node.left] or (node.right >= 0 and found[node.right]))
    return found


def hidden_figures(state: State) -> dict[int, Figures]:
    """The figures of every hidden number with hidden items, within the level that the state accepts.

    O(pairs of the hidden parts). A dead row has a key of 2**60 or more.

    Raises:
        ProblemError: the prices of hidden items are so large that a key could reach 2**60.
    """
    circuit = state.circuit
    inside = has_hidden_items(state)
    scale = 1 + sum(1 for leaf in circuit.leaves if leaf.hidden)
    span = scale * (1 + sum(_most_price(state, n) for n, leaf in enumerate(circuit.leaves) if leaf.hidden))
    if scale * span >= _FAR:
        raise ProblemError("hidden items: prices too large to rank choices by")
    found: dict[int, Figures] = {}
    for number in range(circuit.size):
        if not inside[number]:
            continue
        if number < len(circuit.leaves):
            found[number] = _leaf(state, number, scale, span)
        elif circuit.node(number).hidden:
            found[number] = _node(state, circuit.node(number), number, found)
    return found


def _most_price(state: State, number: int) -> int:
    stacks = state.circuit.problem.relations[state.circuit.leaves[number].relation].stacks
    return 0 if stacks is None else int(stacks.price.max(initial=0))


def stated(figures: IntArray) -> tuple[IntArray, IntArray]:
    """The figures with 0 where nothing is stated, and 1 there."""
    missing = figures == MISSING
    return np.where(missing, 0, figures), missing.astype(np.int64)


def _leaf(state: State, number: int, scale: int, span: int) -> Figures:
    leaf = state.circuit.leaves[number]
    stacks = state.circuit.problem.relations[leaf.relation].stacks
    assert stacks is not None
    entries = leaf.entries
    price, unpriced = stated(stacks.price[entries])
    key = unpriced * span + price * scale + (stacks.ident[entries] != NOTHING)
    allowed = state.allowed[number]
    if allowed is not None:
        key = np.where(allowed, key, _FAR)
    choice = first_least(key, leaf.begin)
    alive = state.alive[number]
    key = key[choice]
    taken = entries[choice]
    return _figures(stacks, taken, key if alive is None else np.where(alive, key, _FAR), choice)


def _figures(stacks: Stacks, entries: IntArray, key: IntArray, choice: IntArray) -> Figures:
    price, unpriced = stated(stacks.price[entries])
    mass, unweighed = stated(stacks.mass[entries])
    lead, undated = stated(stacks.lead[entries])
    return Figures(key, price, mass, lead, unpriced, unweighed, undated, choice)


def _node(state: State, node: Node, number: int, found: dict[int, Figures]) -> Figures:
    sides = [(found[s], at) for s, at in ((node.left, node.lefts), (node.right, node.rights)) if s in found]
    key = sum((f.key[at] for f, at in sides), start=np.zeros(len(node.lefts), dtype=np.int64))
    alive = state.pairs_alive(number)
    if alive is not None:
        key = np.where(alive, key, _FAR)
    choice = first_least(key, node.begin)

    def total(name: str) -> IntArray:
        parts: list[IntArray] = [getattr(f, name)[at[choice]] for f, at in sides]
        return parts[0] if len(parts) == 1 else parts[0] + parts[1]

    leads: list[IntArray] = [f.lead[at[choice]] for f, at in sides]
    return Figures(
        np.minimum(key[choice], _FAR),
        total("price"),
        total("mass"),
        leads[0] if len(leads) == 1 else np.maximum(leads[0], leads[1]),
        total("unpriced"),
        total("unweighed"),
        total("undated"),
        choice,
    )


def first_least(key: IntArray, begin: IntArray) -> IntArray:
    """The first position of the least key in each run. Runs are not empty."""
    if len(begin) <= 1:
        return np.zeros(0, dtype=np.int64)
    least = np.minimum.reduceat(key, begin[:-1])
    at = np.flatnonzero(key == np.repeat(least, np.diff(begin)))
    run = np.searchsorted(begin, at, side="right") - 1
    first: IntArray = at[np.concatenate(([True], run[1:] != run[:-1]))]
    return first


def chosen(state: State, unit: int, row: int, found: dict[int, Figures]) -> dict[int, tuple[int, int]]:
    """How a hidden part is filled for one row of its unit, within the level that the state accepts.

    Returns:
        For each leaf below the unit its row and, where it has hidden items, the entry taken (else -1). Where no
        hidden items decide, the first alive pair is taken.
    """
    circuit = state.circuit
    picks: dict[int, tuple[int, int]] = {}
    waiting = [(unit, row)]
    while waiting:
        number, at = waiting.pop()
        if number < len(circuit.leaves):
            leaf = circuit.leaves[number]
            entry = int(leaf.entries[found[number].choice[at]]) if number in found else -1
            picks[number] = (at, entry)
            continue
        node = circuit.node(number)
        if number in found:
            pair = int(found[number].choice[at])
        else:
            begin, end = node.run(at)
            alive = state.pairs_alive(number)
            pair = begin if alive is None else begin + int(np.argmax(alive[begin:end]))
        waiting.append((node.left, int(node.lefts[pair])))
        if node.right >= 0:
            waiting.append((node.right, int(node.rights[pair])))
    return picks


def levels_change_choice(state: State) -> bool:
    """Whether the hidden purchases of some row may depend on the level accepted: then levels are ranked apart."""
    circuit = state.circuit
    if state.accept == 0 or not any(leaf.hidden for leaf in circuit.leaves):
        return False
    stepped = [leaf.levels is not None and bool(leaf.levels.any()) for leaf in circuit.leaves]
    for node in circuit.nodes:
        stepped.append(stepped[node.left] or (node.right >= 0 and stepped[node.right]))
    inside = has_hidden_items(state)
    return any(inside[u] and stepped[u] for u in state.units)


def unit_masks(state: State, level: int) -> Sequence[dict[int, BoolArray]]:
    """Restrictions that part the solutions of exactly one level, each by its first unit that reaches the level.

    Together they hold every solution of the level once. Used with ``accept=level``.
    """
    if level == 0:
        return [{}]
    levels = state.levels
    parts = []
    before: dict[int, BoolArray] = {}
    for unit in state.units:
        if unit in levels:
            parts.append({**before, unit: levels[unit] == level})
            before[unit] = levels[unit] < level
    return [p for p in parts if all(m.any() for m in p.values())]
