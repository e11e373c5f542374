"""The fewest picks to give up so that parts of the shelf complete the list: sought joint by joint around what is red.

In: a list as a ``Trial``, what the shelf has, which picks must stay or go. Out: every smallest set of picks that may be
given up, proven, and for each the parts that may fill its slots. Only joints at which a part is exchanged are judged,
so a large catalogue costs little; where too many would have to be, the question is handed back.

The search tries 1, 2, 3 ... picks. Where a joint is red one of its parts must go; where a slot is empty a part of the
shelf must fill it, and what that makes red, or what sits in slots that it fills as well, must go too. Nothing is left
out: whatever cures a red joint changes a part at it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import Final

from catalog_schema.lean import dataclass, field, replace
from catalog_schema.parts import Part
from solver.explain.conflicts import Things
from solver.explain.meets import Meets, TooFarError
from solver.explain.trial import Trial
from solver.report import Finding
from solver.rules.evaluating import Entry

#: So many joints are judged, and so many steps made, before the question is handed back.
MOST_JUDGED: Final = 60_000
MOST_STEPS: Final = 150_000
_NEVER: Final = 1_000


@dataclass(frozen=True)
class Sought:
    """What is asked: the list, the shelf by slot, picks that stay, picks that go, and which findings are no cause.

    ``stands`` are ids of findings that may stay as they are.
    """

    work: Trial
    shelf: Callable[[str], Sequence[Part]]
    stay: Things
    go: Things
    tolerates: Callable[[Finding], bool]
    stands: frozenset[str] = frozenset()


@dataclass(frozen=True)
class _State:
    """Picks given up, picks that must not be, what is in each slot, slots with a new part, and slots to fill."""

    gone: Things
    locked: Things
    there: Mapping[str, Entry]
    fresh: frozenset[str] = frozenset()
    holes: frozenset[str] = frozenset()

    def without(self, things: Things, entries: Sequence[Entry], locked: Things | None = None) -> _State:
        """Return the state with some picks given up, and perhaps more that must not be."""
        slots = {s for t in things for s in entries[t].slots}
        there = {s: e for s, e in self.there.items() if s not in slots}
        kept = self.locked if locked is None else locked
        return _State(self.gone | things, kept, there, self.fresh, self.holes | slots)

    def having(self, entry: Entry) -> _State:
        """Return the state with a part of the shelf in its slots."""
        mine = frozenset(entry.slots)
        there = {**self.there, **dict.fromkeys(entry.slots, entry)}
        return _State(self.gone, self.locked, there, self.fresh | mine, self.holes - mine)

    def key(self) -> tuple[object, ...]:
        """Return what tells this state from others of the same search."""
        return (self.gone, self.locked, frozenset((s, id(self.there[s])) for s in self.fresh))

    def entries(self, order: Mapping[str, int]) -> tuple[Entry, ...]:
        """Return the whole list in bicycle order."""
        return tuple(sorted({id(e): e for e in self.there.values()}.values(), key=lambda e: order[e.slots[0]]))


@dataclass
class Nearby:
    """A search. Things are numbers of purchases, as in ``Trial.entries``."""

    sought: Sought
    _fillings: dict[str, list[Entry]] = field(default_factory=dict)
    _done: dict[Things, bool] = field(default_factory=dict)
    _tried: set[tuple[object, ...]] = field(default_factory=set)
    _steps: int = 0
    _cut: bool = False

    def __post_init__(self) -> None:
        work = self.sought.work
        self._entries, self._order = work.entries, work.bicycle.order
        self._meets = Meets(work, self.sought.tolerates, self.sought.stands, MOST_JUDGED)
        self._home = {s: i for i, e in enumerate(self._entries) for s in e.slots}
        self._listed = {s: e for e in self._entries for s in e.slots}
        self._red = [n for n in range(len(self._meets.all)) if not self._meets.holds(n, self._listed)]

    def smallest(self, most: int) -> tuple[int, list[Things]]:
        """Return the fewest picks to give up, and all sets of so many; 0 and none if no set of any size will do.

        Raises:
            TooFarError: more than ``most`` picks, or too much would have to be judged.
        """
        start = _State(frozenset(), frozenset(), self._listed).without(self.sought.go, self._entries)
        for size in range(max(1, len(self.sought.go)), most + 1):
            found: dict[Things, None] = {}
            self._tried.clear()
            self._cut = False
            self._widen(start, size, found)
            if found:
                return size, sorted(found, key=sorted)
            if not self._cut:
                return 0, []
        raise TooFarError

    def _widen(self, state: _State, size: int, found: dict[Things, None]) -> None:
        self._step()
        if state.key() in self._tried:
            return
        self._tried.add(state.key())
        if len(state.gone) == size:
            if self.completes(state.gone):
                found[state.gone] = None
            else:
                self._cut = self._cut or not self._hopeless(state.gone)
            return
        wrong = self._to_break(state)
        if not self._within(wrong, size - len(state.gone)):
            return
        if wrong:
            locked: frozenset[int] = state.locked
            narrowest: Things = min(wrong, key=_shortest)
            for thing in sorted(narrowest):
                self._widen(state.without(frozenset({thing}), self._entries, locked), size, found)
                locked |= {thing}
            return
        if state.holes:
            for candidate in self._filling(self._tightest(state.holes)):
                after = self._putting(state, candidate)
                if after is None:
                    continue
                left = size - len(after.gone)
                if left < 0:
                    self._cut = True
                elif self._within(self._to_break(after), left):
                    self._widen(after, size, found)

    def _within(self, wrong: Sequence[Things], left: int) -> bool:
        """Return whether so many picks may break what is wrong; note if only more would."""
        needed = fewest(wrong)
        self._cut = self._cut or left < needed < _NEVER
        return needed <= left

    def _putting(self, state: _State, candidate: Entry) -> _State | None:
        """Return the state with a part put in; picks in slots that it fills as well are given up."""
        if set(candidate.slots) & (self.sought.work.none | state.fresh):
            return None
        taken = frozenset(self._home[s] for s in candidate.slots if s in state.there)
        if taken & (self.sought.stay | state.locked):
            return None
        return state.without(taken, self._entries).having(candidate)

    def _tightest(self, holes: frozenset[str]) -> str:
        return min(holes, key=lambda s: (len(self._filling(s)), self._order[s]))

    def _hopeless(self, gone: Things) -> bool:
        """Return whether a slot of these picks has no part that goes with the picks that stay."""
        start = _State(frozenset(), frozenset(), self._listed).without(
            frozenset(range(len(self._entries))) - self.sought.stay, self._entries
        )
        slots = {s for t in gone for s in self._entries[t].slots}
        return any(not self._candidates(s, start) for s in slots)

    # -- what is red

    def _to_break(self, state: _State) -> list[Things]:
        """Return for each red joint the picks of which one must be given up."""
        numbers = {*self._red, *self._meets.at(state.fresh)}
        out: dict[Things, None] = {}
        for number in sorted(numbers):
            reads = self._meets.reads(number)
            if state.holes.isdisjoint(reads) and not self._meets.holds(number, state.there):
                out[self._to_blame({*reads, *self._beside(reads, state)}, state)] = None
        if not out and not state.holes:
            return self._as_a_whole(state)
        return list(out)

    def _to_blame(self, slots: Collection[str], state: _State) -> Things:
        mine = frozenset(self._home[s] for s in slots if s in state.there and s not in state.fresh)
        return mine - self.sought.stay - state.locked

    def _beside(self, slots: Collection[str], state: _State) -> set[str]:
        """Return slots of parts that, sold together with one for an empty slot of a joint, might cure it."""
        out: set[str] = set()
        for slot in slots:
            if slot not in state.there and slot in self._order and slot not in self.sought.work.none:
                out |= {s for p in self.sought.shelf(slot) if p.together for s in p.fills}
        return out

    def _as_a_whole(self, state: _State) -> list[Things]:
        """Return the picks of which one must go where joints hold one by one and yet not together.

        They want different settings of one part; so all that meet a part with settings, and so on, may be to blame.
        """
        entries = state.entries(self._order)
        bad = self._reds(entries)
        if not bad:
            return []
        several = {s for e in entries for s in e.slots if len(e.parts) > 1 or any(p.settings for p in e.parts)}
        near, before = {s for f in bad for s in (*f.slots, *f.through)}, set[str]()
        while near != before:
            before = set(near)
            near |= {s for e in entries if not near.isdisjoint(e.slots) for s in e.slots}
            for meet in self._meets.all:
                if not (near & several).isdisjoint(meet.reads):
                    near |= meet.reads.keys() & state.there.keys()
        return [self._to_blame(near, state)]

    def _reds(self, entries: tuple[Entry, ...]) -> list[Finding]:
        found = replace(self.sought.work, entries=entries).findings().values()
        return [f for f in found if not self.sought.tolerates(f)]

    def _step(self) -> None:
        self._steps += 1
        if self._steps > MOST_STEPS:
            raise TooFarError

    # -- completing

    def completes(self, gone: Things) -> bool:
        """Return whether parts of the shelf complete the list without these picks."""
        if gone not in self._done:
            start = _State(frozenset(), frozenset(), self._listed).without(gone, self._entries)
            broken = all(not start.holes.isdisjoint(self._meets.reads(n)) for n in self._red)
            self._done[gone] = broken and self._stuck(start, self.viable(gone)) is None
        return self._done[gone]

    def viable(self, gone: Things) -> dict[str, list[Entry]]:
        """Return for each slot of these picks what may fill it: nothing is red between it and the picks that stay."""
        start = _State(frozenset(), frozenset(), self._listed).without(gone, self._entries)
        return {s: self._candidates(s, start) for s in sorted(start.holes, key=self._order.__getitem__)}

    def _candidates(self, slot: str, state: _State) -> list[Entry]:
        """Return what may fill a slot so that nothing is red at it."""
        taken = state.there.keys() | self.sought.work.none
        return [c for c in self._filling(slot) if taken.isdisjoint(c.slots) and self._goes(c, state.having(c))]

    def _goes(self, candidate: Entry, state: _State) -> bool:
        return self._against(candidate, state) is None

    def _against(self, candidate: Entry, state: _State) -> frozenset[str] | None:
        """Return the slots of a joint that is red at a part that was put in, None if there is none."""
        for number in self._meets.at(candidate.slots):
            reads = self._meets.reads(number)
            if state.holes.isdisjoint(reads) and not self._meets.holds(number, state.there):
                return frozenset(reads)
        return None

    def _stuck(self, state: _State, viable: Mapping[str, Sequence[Entry]]) -> frozenset[str] | None:
        """Return None if the empty slots can be filled, else slots with new parts that leave no way to.

        Where a slot that was filled has no share in that, no other part for it is tried.
        """
        self._step()
        if not state.holes:
            return state.fresh if self._reds(state.entries(self._order)) else None
        near = {r for n in self._meets.at(state.fresh) for r in self._meets.reads(n)}
        slot = min(state.holes, key=lambda s: (s not in near, len(viable[s]), self._order[s]))
        blame: frozenset[str] = frozenset()
        for candidate in viable[slot]:
            mine = frozenset(candidate.slots)
            found: frozenset[str] | None = mine & state.fresh
            if not found:
                after = state.having(candidate)
                found = self._against(candidate, after)
                found = self._stuck(after, viable) if found is None else found & after.fresh
                if found is None:
                    return None
                if found.isdisjoint(mine):
                    return found
            blame |= found - mine
        return blame

    # -- the shelf

    def _filling(self, slot: str) -> list[Entry]:
        """Return the parts of the shelf that may fill a slot, one of each kind that no joint tells apart."""
        if slot not in self._fillings:
            kinds: dict[tuple[object, ...], Entry] = {}
            for entry in self._every(slot):
                kinds.setdefault(self._meets.kind(entry), entry)
            self._fillings[slot] = list(kinds.values())
        return self._fillings[slot]

    def serving(self, gone: Things) -> set[int]:
        """Return the ids of all parts that may fill a slot of these picks."""
        kinds = {self._meets.kind(c) for found in self.viable(gone).values() for c in found}
        slots = {s for t in gone for s in self._entries[t].slots}
        return {id(e.parts[0]) for s in slots for e in self._every(s) if self._meets.kind(e) in kinds}

    def _every(self, slot: str) -> Iterator[Entry]:
        """Yield all parts of the shelf that may fill a slot; a listed part in its own slots is no exchange."""
        for part in self.sought.shelf(slot):
            whole = part.together and len(part.fills) > 1
            slots = tuple(s for s in self._order if s in part.fills) if whole else (slot,)
            mine = (e for e in self._entries if slot in e.slots and set(e.slots) == set(slots))
            if not any(p is part for e in mine for p in e.parts):
                yield Entry(slots, (part,))


def fewest(sets: Sequence[Things]) -> int:
    """Return a lower bound of how many things hit all sets; ``_NEVER`` if one of them is empty.

    It is the number of sets, shortest first, that have nothing in common with those counted before.

    >>> fewest([frozenset({1, 2}), frozenset({2, 3}), frozenset({4})])
    2
    """
    number, seen = 0, set[int]()
    for group in sorted(sets, key=len):
        if not group:
            return _NEVER
        if seen.isdisjoint(group):
            number += 1
            seen |= group
    return number


def _shortest(things: Things) -> tuple[int, list[int]]:
    return (len(things), sorted(things))
