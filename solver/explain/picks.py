"""Which picks of a list cannot hold together, whatever else lies on the bench: judged by the rules themselves.

In: a list as a ``Trial``. Out: minimal clashes of its purchases. Picks that are not in a set may be on the list or off
it, whichever is milder: parts in between and stacked parts can cure a joint by being there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

from catalog_schema.lean import dataclass, field, replace
from solver.explain import conflicts
from solver.explain.conflicts import Things
from solver.explain.trial import Trial
from solver.report import NO, Finding
from solver.rules.registry import JOINTS


@cache
def helping_slots(finding_id: str) -> frozenset[str]:
    """Return the slots whose part may make a joint milder by being there: adapters, and what is read if it is there."""
    name, _, at = finding_id.partition("@")
    joint = JOINTS[name]
    optional = {r.ref.partition(".")[0] for t in joint.tests for r in t.reads if r.optional}
    optional |= {ref.partition(".")[0] for t in joint.tests for ref in t.asked_unless}
    found: set[str] = set()
    for place in joint.places:
        if place.name == at:
            found |= {*(place.roles[r] for r in optional), place.adapter} - {""}
    return frozenset(found)


@dataclass
class Picks:
    """The purchases of a list as numbered things, and an oracle over them."""

    work: Trial
    _kept: dict[Things, tuple[Finding, ...]] = field(default_factory=dict)
    _held: dict[Things, bool] = field(default_factory=dict)

    @property
    def number(self) -> int:
        """How many purchases there are."""
        return len(self.work.entries)

    @property
    def whole(self) -> Things:
        """All of them."""
        return frozenset(range(self.number))

    def slots(self, things: Iterable[int]) -> tuple[str, ...]:
        """Return the slot under which each purchase stands, in bicycle order."""
        return tuple(self.work.entries[i].slots[0] for i in sorted(things))

    def reds(self, things: Things) -> tuple[Finding, ...]:
        """Return what does not fit if only these purchases are there."""
        if things not in self._kept:
            there = replace(self.work, entries=tuple(self.work.entries[i] for i in sorted(things)))
            found = there.findings().values()
            self._kept[things] = tuple(f for f in found if f.state == "judged" and f.verdict in NO)
        return self._kept[things]

    def holds(self, things: Things) -> bool:
        """Return whether these purchases can hold together, with the most helpful of the others or without them."""
        if things not in self._held:
            self._held[things] = all(bool(reds) for reds in self._cases(things)) is False
        return self._held[things]

    def _cases(self, things: Things) -> Iterator[tuple[Finding, ...]]:
        """Yield the reds of these purchases with helpers that may cure one; an empty one ends the search."""
        seen: set[Things] = set()
        waiting = [things]
        while waiting:
            now = waiting.pop()
            if now in seen:
                continue
            seen.add(now)
            reds = self.reds(now)
            yield reds
            if not reds:
                return
            waiting += self._more(reds, now)

    def _more(self, reds: tuple[Finding, ...], now: Things) -> list[Things]:
        """Return the sets to try next: with each helper of the joint that has the fewest."""
        helping: list[list[int]] = [self._helpers(f, now) for f in reds]
        fewest = min(range(len(helping)), key=lambda i: len(helping[i]))
        return [now | {h} for h in helping[fewest]]

    def _helpers(self, finding: Finding, there: Things) -> list[int]:
        slots = helping_slots(finding.id)
        return [i for i in range(self.number - 1, -1, -1) if i not in there and slots & set(self.work.entries[i].slots)]

    def clashes(self, most: int = 200) -> tuple[list[Things], bool]:
        """Return all minimal clashes, smallest first, then in bicycle order, and whether that is all."""
        if not self.reds(self.whole):
            return [], True
        known = []
        for finding in self.reds(self.whole):
            slots = {*finding.slots, *finding.through}
            touched = frozenset(i for i, e in enumerate(self.work.entries) if slots & set(e.slots))
            if not self.holds(touched):
                known.append(conflicts.shrink(sorted(touched), self.holds))
        return conflicts.every(self.number, self.holds, known, most)

    def joints(self, things: Things) -> tuple[Finding, ...]:
        """Return the fewest joints that make a clash: with each choice of helpers one of them does not fit."""
        cases = [reds for reds in self._cases(things) if reds]
        by_id = {f.id: f for reds in reversed(cases) for f in reds}
        names = list(by_id)
        numbered = [frozenset(names.index(f.id) for f in reds) for reds in cases]
        fewest = next(conflicts.hitting(numbered), frozenset())
        order = list(JOINTS)
        return tuple(sorted((by_id[names[i]] for i in fewest), key=lambda f: (order.index(f.joint), f.place)))
