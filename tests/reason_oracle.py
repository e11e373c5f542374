"""Random workshops in clauses for a SAT solver, written from the rules one joint at a time.

A variable for each purchase and each of its settings; a clause for each combination at a joint that is red. Nothing of
the search, of the network or of what they remember is used: the solver answers the same questions in its own way.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from catalog_schema.parts import Part
from solver.explain.trial import Trial
from solver.report import NO, Finding
from solver.rules.evaluating import Entry, Memo
from solver.rules.registry import JOINTS, Joint, Place
from solver.rules.ways import ways

Things = frozenset[int]


@dataclass
class Clauses:
    """Clauses over purchases: ``chosen`` gives each its variable, ``settings`` one for each of its ways."""

    work: Trial
    red: Callable[[Finding], bool]
    clauses: list[list[int]] = field(default_factory=list)
    chosen: dict[int, int] = field(default_factory=dict)
    settings: dict[int, list[tuple[int, Entry]]] = field(default_factory=dict)
    _next: int = 1

    def new(self) -> int:
        """Return a new variable."""
        self._next += 1
        return self._next - 1

    def purchase(self, number: int, entry: Entry) -> int:
        """Add a purchase: if it is chosen, exactly one of its settings is."""
        self.chosen[number] = self.new()
        mine = []
        for way in ways(entry.parts, frozenset(self.work.extras)):
            fixed = replace(way.part, fills={s: way.variants(s) for s in way.part.fills}, settings=())
            mine.append((self.new(), Entry(entry.slots, (fixed,))))
        self.settings[number] = mine
        literals = [v for v, _ in mine]
        self.clauses.append([-self.chosen[number], *literals])
        self.clauses += [[-v, self.chosen[number]] for v in literals]
        self.clauses += [[-a, -b] for a, b in itertools.combinations(literals, 2)]
        return self.chosen[number]

    def joints(self, by_slot: Mapping[str, Sequence[int]], *, may_be_empty: Callable[[str], bool]) -> None:
        """Forbid every combination at a joint that is red; a slot without any purchase is empty."""
        plain = replace(self.work, memo=Memo())
        for joint in JOINTS.values():
            for place in joint.places:
                slots = [s for s in dict.fromkeys((*place.roles.values(), place.adapter)) if by_slot.get(s)]
                if slots:
                    self._joint(joint, place, slots, by_slot, plain, may_be_empty)

    def _joint(
        self,
        joint: Joint,
        place: Place,
        slots: Sequence[str],
        by_slot: Mapping[str, Sequence[int]],
        plain: Trial,
        may_be_empty: Callable[[str], bool],
    ) -> None:
        choices = [[*by_slot[s], *([-1] if may_be_empty(s) else [])] for s in slots]
        for numbers in itertools.product(*choices):
            taken = sorted({n for n in numbers if n >= 0})
            if any((n in numbers) and (s not in self._slots(n)) for n, s in zip(numbers, slots, strict=True) if n >= 0):
                continue
            if any(s in self._slots(n) and m != n for n in taken for s, m in zip(slots, numbers, strict=True)):
                continue
            empty = [s for s, n in zip(slots, numbers, strict=True) if n < 0]
            absent = [self.chosen[n] for s in empty for n in by_slot[s]]
            for found in itertools.product(*(self.settings[n] for n in taken)):
                finding = plain.at(joint, place, [e for _, e in found])
                if finding.state == "judged" and self.red(finding):
                    self.clauses.append([*(-v for v, _ in found), *absent])

    def _slots(self, number: int) -> tuple[str, ...]:
        return self.settings[number][0][1].slots


def of_the_list(work: Trial) -> Clauses:
    """Return the clauses of a list whose picks may each be on it or off it."""
    found = Clauses(work, lambda f: f.verdict in NO)
    by_slot: dict[str, list[int]] = {}
    for number, entry in enumerate(work.entries):
        found.purchase(number, entry)
        for slot in entry.slots:
            by_slot.setdefault(slot, []).append(number)
    found.joints(by_slot, may_be_empty=lambda _: True)
    return found


def of_the_shop(work: Trial, purchases: Sequence[Entry], tolerates: Callable[[Finding], bool]) -> Clauses:
    """Return the clauses of a list whose slots may each be filled by its pick or by another of some purchases.

    The picks are the purchases ``0 .. n - 1``; every slot of the list is filled once.
    """
    found = Clauses(work, lambda f: not tolerates(f))
    listed = {s for e in work.entries for s in e.slots}
    by_slot: dict[str, list[int]] = {}
    for number, entry in enumerate([*work.entries, *purchases]):
        found.purchase(number, entry)
        for slot in entry.slots:
            by_slot.setdefault(slot, []).append(number)
    for slot, numbers in by_slot.items():
        literals = [found.chosen[n] for n in numbers]
        if slot in listed:
            found.clauses.append(literals)
        found.clauses += [[-a, -b] for a, b in itertools.combinations(literals, 2)]
    found.joints(by_slot, may_be_empty=lambda s: s not in listed)
    return found


def shop_of(parts: Mapping[str, Part], work: Trial) -> list[Entry]:
    """Return every purchase of a shop that fills a slot of the list, and is not a pick in its own slots."""
    listed = {s for e in work.entries for s in e.slots}
    own = {(e.slots, id(p)) for e in work.entries for p in e.parts}
    out = []
    for _, part in sorted(parts.items()):
        whole = part.together and len(part.fills) > 1
        wanted = [tuple(s for s in work.bicycle.order if s in part.fills)] if whole else [(s,) for s in part.fills]
        good = (s for s in wanted if listed & set(s) and not work.none & set(s) and (s, id(part)) not in own)
        out += [Entry(s, (part,)) for s in good]
    return out


def fine(clauses: Clauses, things: Iterator[Things], solver_of: Callable[..., Any]) -> dict[Things, bool]:
    """Return which sets of picks can hold, asked of one solver under assumptions."""
    with solver_of(name="cadical153", bootstrap_with=clauses.clauses) as solver:
        return {s: bool(solver.solve([clauses.chosen[i] for i in sorted(s)])) for s in things}
