"""One solution as a record, and how it is read off the picks of a pass.

In: a ``State`` and, for each unit, the choice taken (an entry of the stacks, or a row). Out: a ``Solution``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.engine.problem import MISSING
from solver.engine.state import State
from solver.engine.veiled import Figures, chosen, hidden_figures, levels_change_choice

_Ints = Sequence[int] | memoryview


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over the items, hidden ones included: stated prices and masses, the longest stated lead.

    ``unpriced``, ``unweighed`` and ``undated`` count the figures that are not stated and so are not in the sums.
    """

    price: int
    mass: int
    lead: int
    unpriced: int = 0
    unweighed: int = 0
    undated: int = 0

    @property
    def soonness(self) -> tuple[int, ...]:
        """Sort key of the soonest: a lead that is not stated last, then the lead, then the price."""
        return (*((1, 0) if self.undated else (0, self.lead)), self.unpriced, self.price)


@dataclass(frozen=True, slots=True)
class Solution:
    """One solution.

    Attributes:
        items: the item of every counted item relation, in the order of ``Problem.item_relations``.
        hidden_items: the hidden purchases taken, ``(relation, item)``, by relation.
        level: the least level at which it holds.
        totals: see ``Totals``.
        picks: the choice at each unit, for the engine's own use.
    """

    items: tuple[int, ...]
    hidden_items: tuple[tuple[int, int], ...]
    level: int
    totals: Totals
    picks: tuple[int, ...]


class Reader:
    """Turns picks into solutions; holds what is common to all of them."""

    def __init__(self, state: State) -> None:
        circuit = state.circuit
        self._state = state
        self._units = state.units
        self._figures: dict[int, dict[int, Figures]] = {}
        self._states: dict[int, State] = {}
        self._exact: dict[int, State] = {}
        self._veiled = any(leaf.hidden for leaf in circuit.leaves)
        self._staged = levels_change_choice(state)
        relations = circuit.problem.relations
        self._order: list[tuple[int, int]] = []
        self._stacks: list[tuple[_Ints, _Ints, _Ints, _Ints]] = []
        self._levels: list[tuple[int, _Ints, _Ints | None]] = []
        for place, unit in enumerate(self._units):
            leaf = circuit.stacked(unit)
            if leaf is not None:
                stacks = relations[leaf.relation].stacks
                assert stacks is not None
                self._order.append((leaf.relation, place))
                columns = (stacks.ident, stacks.price, stacks.mass, stacks.lead)
                ident, price, mass, lead = (np.ascontiguousarray(c).data for c in columns)
                self._stacks.append((ident, price, mass, lead))
            if unit in state.levels:
                row_of = leaf.row_of.data if leaf is not None and leaf.row_of is not None else None
                self._levels.append((place, np.ascontiguousarray(state.levels[unit]).data, row_of))

    def read(self, picks: Sequence[int]) -> Solution:
        """The solution with these picks. O(units)."""
        level = 0
        for place, levels, row_of in self._levels:
            row = picks[place] if row_of is None else row_of[picks[place]]
            level = max(level, levels[row])
        price = mass = lead = unpriced = unweighed = undated = 0
        items: list[tuple[int, int]] = []
        for (relation, place), (idents, prices, masses, leads) in zip(self._order, self._stacks, strict=True):
            entry = picks[place]
            items.append((relation, idents[entry]))
            if (p := prices[entry]) != MISSING:
                price += p
            else:
                unpriced += 1
            if (m := masses[entry]) != MISSING:
                mass += m
            else:
                unweighed += 1
            if (d := leads[entry]) == MISSING:
                undated += 1
            elif d > lead:
                lead = d
        items.sort()
        totals = Totals(price, mass, lead, unpriced, unweighed, undated)
        hidden: tuple[tuple[int, int], ...] = ()
        if self._veiled:
            totals, hidden = self._with_hidden(totals, picks, level)
        return Solution(tuple(i for _, i in items), hidden, level, totals, tuple(picks))

    def _at(self, level: int) -> tuple[State, dict[int, Figures]]:
        """The state in which hidden choices of a solution of this level are made, and its figures."""
        level = level if self._staged else self._state.accept
        if level not in self._figures:
            state = self._state if level == self._state.accept else self._state.restricted(accept=level)
            self._states[level], self._figures[level] = state, hidden_figures(state)
        return self._states[level], self._figures[level]

    def _with_hidden(
        self, totals: Totals, picks: Sequence[int], level: int
    ) -> tuple[Totals, tuple[tuple[int, int], ...]]:
        state, figures = self._at(level)
        circuit = state.circuit
        hidden: list[tuple[int, int]] = []
        for place, unit in enumerate(self._units):
            if unit not in figures:
                continue
            f, row = figures[unit], picks[place]
            totals = Totals(
                totals.price + int(f.price[row]),
                totals.mass + int(f.mass[row]),
                max(totals.lead, int(f.lead[row])),
                totals.unpriced + int(f.unpriced[row]),
                totals.unweighed + int(f.unweighed[row]),
                totals.undated + int(f.undated[row]),
            )
            for leaf, (_, entry) in chosen(state, unit, row, figures).items():
                stacks = circuit.problem.relations[circuit.leaves[leaf].relation].stacks
                if entry >= 0 and stacks is not None:
                    hidden.append((circuit.leaves[leaf].relation, int(stacks.ident[entry])))
        return totals, tuple(sorted(hidden))

    def values(self, solution: Solution) -> tuple[int, ...]:
        """A value for every variable of the problem; hidden ones as the engine chose them. O(leaves)."""
        circuit = self._state.circuit
        if solution.level not in self._exact:
            self._exact[solution.level] = self._state.restricted(accept=solution.level)
        state = self._exact[solution.level]
        figures = self._at(solution.level)[1]
        found: dict[int, int] = {}
        for unit, pick in zip(self._units, solution.picks, strict=True):
            leaf = circuit.stacked(unit)
            if leaf is not None and leaf.row_of is not None:
                rows = {unit: (int(leaf.row_of[pick]), pick)}
            else:
                rows = chosen(state, unit, pick, figures)
            for number, (row, _) in rows.items():
                table = circuit.leaves[number].table
                for v, column in zip(table.variables, table.values, strict=True):
                    found[v] = int(column[row])
        return tuple(int(circuit.values[v][found[v]]) for v in circuit.merged)
