"""The questions: one object that holds a compiled problem under restrictions and answers everything about it.

In: a ``Problem`` (through ``open_problem``) and masks. Out: counts, solutions, live choices. Every method leaves the
view as it was; an interrupted generator harms nothing but itself. Restricting compiles nothing again.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from solver.engine.capped import count_within
from solver.engine.circuit import Circuit, contract
from solver.engine.costs import BY_MASS, BY_PRICE, Costs, Objective, costs, narrowed
from solver.engine.counting import total
from solver.engine.front import Point, front
from solver.engine.listing import Cap, Listing
from solver.engine.live import Live, live, live_within
from solver.engine.options import Options, TooWide
from solver.engine.problem import MISSING, TOP_LEVEL, BoolArray, Problem
from solver.engine.ranking import KBest, Picks
from solver.engine.ranks import Ranks
from solver.engine.solution import Reader, Solution
from solver.engine.state import State
from solver.engine.veiled import hidden_figures, levels_change_choice, unit_masks


@dataclass(frozen=True, slots=True)
class Limits:
    """What a solution may come to at most, hidden purchases included; ``None``: no limit.

    A solution with a figure that is not stated is not within a limit on that figure. ``lead`` says when everything
    must be there: what takes longer is not available at all, for hidden purchases neither.
    """

    price: int | None = None
    mass: int | None = None
    lead: int | None = None

    @property
    def sums(self) -> list[tuple[Objective, int]]:
        """The limits on sums."""
        return [(o, m) for o, m in ((BY_PRICE, self.price), (BY_MASS, self.mass)) if m is not None]

    def hold(self, solution: Solution) -> bool:
        """Whether a solution is within the limits."""
        t = solution.totals
        return (
            (self.price is None or (t.unpriced == 0 and t.price <= self.price))
            and (self.mass is None or (t.unweighed == 0 and t.mass <= self.mass))
            and (self.lead is None or (t.undated == 0 and t.lead <= self.lead))
        )


NO_LIMITS = Limits()


class View:
    """A compiled problem under restrictions."""

    def __init__(self, state: State) -> None:
        self._state = state

    @property
    def circuit(self) -> Circuit:
        """What was compiled: sizes, width, estimate."""
        return self._state.circuit

    def restricted(
        self,
        *,
        rows: Mapping[int, BoolArray] | None = None,
        items: Mapping[int, BoolArray] | None = None,
        accept: int | None = None,
    ) -> View:
        """The view in which only these rows and items are left; see ``State.restricted``."""
        return View(self._state.restricted(rows=rows, items=items, accept=accept))

    def in_time(self, lead: int | None) -> View:
        """The view without items that take longer, or whose lead is not stated."""
        if lead is None:
            return self
        masks = {}
        for number, relation in enumerate(self.circuit.problem.relations):
            if relation.stacks is not None:
                masks[number] = (relation.stacks.lead <= lead) & (relation.stacks.lead != MISSING)
        return self.restricted(items=masks)

    # -- how many -------------------------------------------------------------------------------------------------

    @property
    def exists(self) -> bool:
        """Whether there is any solution."""
        return self._state.exists

    def count(self, limits: Limits = NO_LIMITS) -> int:
        """The exact number of solutions.

        Raises:
            TooWide: under a limit on a sum, when the sum is too long to carry; under two such limits always.
        """
        view = self.in_time(limits.lead)
        if not limits.sums:
            return total(view._state)
        (objective, most) = _only(limits)
        return sum(count_within(found, _stated(found, most)) for found in view._costs(objective))

    def count_by_level(self) -> tuple[int, ...]:
        """How many solutions there are up to each level, from 0 to the level accepted."""
        return tuple(total(self._state.restricted(accept=level)) for level in range(self._state.accept + 1))

    def live(self, limits: Limits = NO_LIMITS) -> Live:
        """The rows, items and values that occur in some solution within the limits.

        Raises:
            TooWide: under limits on two sums.
        """
        view = self.in_time(limits.lead)
        if not limits.sums:
            return live(view._state)
        (objective, most) = _only(limits)
        return live_within(view._state, [(found, _stated(found, most)) for found in view._costs(objective)])

    # -- which ----------------------------------------------------------------------------------------------------

    def first(self) -> Solution | None:
        """The first solution of the listing, or ``None``. O(numbers), after the pass that finds what is alive."""
        picks = Listing(self._state).first()
        return None if picks is None else Reader(self._state).read(picks)

    def listing(self, limits: Limits = NO_LIMITS) -> Iterator[Solution]:
        """Every solution once, in the order of ranks, lazily.

        Without dead ends, unless two sums are limited. Where hidden purchases depend on the level and a sum is
        limited, the solutions come level by level.
        """
        view = self.in_time(limits.lead)
        if not limits.sums:
            yield from view._listed(view._state, ())
            return
        for state in view._parts():
            caps = []
            for objective, most in limits.sums:
                found = costs(state, objective)
                caps.append(Cap(found, _stated(found, most)))
            yield from view._listed(state, caps)

    def _listed(self, state: State, caps: Sequence[Cap]) -> Iterator[Solution]:
        reader = Reader(state)
        for block in Listing(state, caps).blocks():
            for picks in block.tolist():
                yield reader.read(picks)

    def best(self, objective: Objective = BY_PRICE, limits: Limits = NO_LIMITS) -> Iterator[Solution]:
        """The solutions from the best on, lazily, each proven: nothing better is left out.

        A limit on the very sum that is ranked ends the generator; other limits filter it.
        """
        view = self.in_time(limits.lead)
        streams = [_stream(found, limits, objective) for found in view._costs(objective)]
        readers = [read for _, read in streams]
        merged = heapq.merge(*(_numbered(s, n) for n, (s, _) in enumerate(streams)))
        for _, number, picks in merged:
            solution = readers[number](picks)
            if limits.hold(solution):
                yield solution

    def soonest(self, limits: Limits = NO_LIMITS) -> Iterator[Solution]:
        """The solutions by the longest lead among their items, then by price.

        Those with a lead that is not stated come last, by price. Hidden purchases are taken from what is there in
        time.
        """
        view = self.in_time(limits.lead)
        leads = sorted({lead for r in self.circuit.problem.relations if r.stacks for lead in r.stacks.lead.tolist()})
        steps: list[int | None] = [lead for lead in leads if lead != MISSING]
        steps = [*steps[_first_true(steps, lambda lead: view.in_time(lead).exists) :], None]
        before: State | None = None
        for step in steps:
            stage = view.in_time(step)
            if before is not None and total(stage._state) == total(before):
                continue
            for solution in stage.best(BY_PRICE, Limits(limits.price, limits.mass)):
                if before is None or not _holds(before, solution.picks):
                    yield solution
            before = stage._state

    def front(self) -> list[tuple[int, int, Solution]]:
        """Every (price, mass) that no solution beats in both, by rising price, each with one solution.

        Only solutions with all prices and masses stated take part.

        Raises:
            TooWide: the front between two neighbours is too large to carry.
        """
        masks = {}
        for number, relation in enumerate(self.circuit.problem.relations):
            if relation.stacks is not None and not relation.hidden:
                masks[number] = (relation.stacks.price != MISSING) & (relation.stacks.mass != MISSING)
        found: list[tuple[Point, Reader]] = []
        for state in self.restricted(items=masks)._parts():
            stated = _all_stated(state)
            reader = Reader(stated)
            found += [(point, reader) for point in front(stated)]
        found.sort(key=lambda pair: (pair[0].price, pair[0].mass, pair[0].picks))
        kept: list[tuple[int, int, Solution]] = []
        for point, reader in found:
            if not kept or point.mass < kept[-1][1]:
                kept.append((point.price, point.mass, reader.read(point.picks)))
        return kept

    def at(self, rank: int) -> Solution:
        """The solution at a rank of the listing.

        Raises:
            IndexError: there is no such rank.
        """
        return self._reader.read(self._ranks.picks(rank))

    def sample(self, number: int, seed: int) -> list[Solution]:
        """Independent uniform samples, with replacement.

        Raises:
            IndexError: there is no solution to draw.
        """
        return [self._reader.read(picks) for picks in self._ranks.sample(number, seed)]

    def values(self, solution: Solution) -> tuple[int, ...]:
        """A value for every variable of the problem in a solution of this view."""
        return self._reader.values(solution)

    @cached_property
    def _reader(self) -> Reader:
        return Reader(self._state)

    @cached_property
    def _ranks(self) -> Ranks:
        return Ranks(self._state)

    def _parts(self) -> list[State]:
        """States that share the solutions out so that in each the hidden purchases are settled."""
        state = self._state
        if not levels_change_choice(state):
            return [state]
        return [
            state.restricted(accept=level, units=masks)
            for level in range(state.accept + 1)
            for masks in unit_masks(state, level)
        ]

    def _costs(self, objective: Objective) -> list[Costs]:
        return [costs(state, objective) for state in self._parts()]


def open_problem(problem: Problem, options: Options | None = None, *, accept: int = TOP_LEVEL) -> View:
    """Compile a problem and open a view on all of it.

    Args:
        problem: the record.
        options: switches and bounds.
        accept: rows above this level are left out from the start.

    Raises:
        TooWide: before the join that would exceed ``Options.join_rows``.
    """
    return View(State(contract(problem, options, accept)))


def _only(limits: Limits) -> tuple[Objective, int]:
    if len(limits.sums) > 1:
        raise TooWide("limits on two sums", float("inf"), 1)
    return limits.sums[0]


def _stated(found: Costs, most: int) -> int:
    """A limit as a cost: a figure that is not stated exceeds it."""
    return min(most, found.missing - 1)


def _stream(
    found: Costs, limits: Limits, objective: Objective
) -> tuple[Iterator[tuple[tuple[int, int, int], Picks]], Callable[[Sequence[int]], Solution]]:
    """The ranking of one part, narrowed to choices that can be within each limit."""
    state = found.state
    most = None
    for limited, bound in limits.sums:
        other = costs(state, limited)
        if (limited.price, limited.mass) == (objective.price, objective.mass) and not objective.extra:
            most = _stated(found, bound)
        else:
            state = state.restricted(units=narrowed(other, _stated(other, bound)))
    if state is not found.state:
        found = costs(state, objective)

    def stream() -> Iterator[tuple[tuple[int, int, int], Picks]]:
        for cost, picks in KBest(found):
            if most is not None and cost > most:
                return
            yield found.parted(cost), picks

    return stream(), Reader(state).read


def _numbered(
    stream: Iterator[tuple[tuple[int, int, int], Picks]], number: int
) -> Iterator[tuple[tuple[int, int, int], int, Picks]]:
    return ((cost, number, picks) for cost, picks in stream)


def _first_true(steps: Sequence[int | None], holds: Callable[[int | None], bool]) -> int:
    """The first position from which on the test holds; it must not fail again after it has held."""
    low, high = 0, len(steps)
    while low < high:
        middle = (low + high) // 2
        if holds(steps[middle]):
            high = middle
        else:
            low = middle + 1
    return low


def _holds(state: State, picks: Sequence[int]) -> bool:
    """Whether a solution is one of a state's."""
    circuit = state.circuit
    for unit, pick in zip(state.units, picks, strict=True):
        leaf = circuit.stacked(unit)
        row, alive = pick, state.alive[unit]
        if leaf is not None and leaf.row_of is not None:
            row = int(leaf.row_of[pick])
            allowed = state.allowed[unit]
            if allowed is not None and not allowed[leaf.position(pick)]:
                return False
        if alive is not None and not alive[row]:
            return False
    return True


def _all_stated(state: State) -> State:
    """The state without rows whose hidden purchases lack a price or a mass."""
    figures = hidden_figures(state)
    masks = {
        unit: (figures[unit].unpriced == 0) & (figures[unit].unweighed == 0) for unit in state.units if unit in figures
    }
    return state.restricted(units=masks)
