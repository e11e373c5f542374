"""The referee of the search: every list there is, one after the other, judged as ``check`` judges it.

It never touches ``solver.network`` or ``solver.engine``: it reads the list and the catalogue itself, fills each slot in
every way, and asks the rules about each whole list. Slow, plain, and right if ``check`` is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from unittest import mock

from catalog_schema import bicycle as bicycles
from catalog_schema import library as libraries
from catalog_schema.fitting_list import FittingList
from catalog_schema.library import Library
from catalog_schema.parts import Part
from solver import questions
from solver.report import NO, Finding, TestResult, Verdict
from solver.rules import evaluating
from solver.rules.evaluating import Entry, Memo, evaluate
from solver.rules.judging import Filled, judge
from solver.rules.registry import JOINTS, Joint, Test

LIBRARY = libraries.load()
BICYCLE = bicycles.load()

#: A purchase: the part, and the slots that it fills.
Bought = tuple[Part, tuple[str, ...]]
Name = frozenset[tuple[str, tuple[str, ...]]]


@dataclass(frozen=True)
class Judged:
    """A list that was judged: its level (of the joints that are known), and how many joints are not known."""

    bought: tuple[Bought, ...]
    level: int
    unknown: int
    findings: tuple[Finding, ...]

    @property
    def name(self) -> Name:
        return frozenset((p.number, s) for p, s in self.bought)


def offers(
    fitting: FittingList, slot: str, *, in_stock: bool = False, within: int | None = None
) -> Iterator[Bought]:  # fmt: skip
    """Yield what may fill a slot of a list."""
    order = list(BICYCLE.order)
    states = fitting.slots
    none = {s for s, state in states.items() if state.state == "none"}
    fixed = {s for s, state in states.items() if state.state == "picked"}
    closed = fixed | {s for s, state in states.items() if state.state == "shortlist"}

    def there(part: Part) -> bool:
        stock, lead = part.identity.stock, part.identity.lead_days
        if in_stock and stock == 0:
            return False
        days = 0 if stock else lead
        return within is None or (days is not None and days <= within)

    if slot in closed:
        for part in states[slot].parts:
            if slot not in fixed and part.number and not there(part):
                continue
            slots = tuple(s for s in order if s in part.fills) if part.together else (slot,)
            others = [states[s] for s in slots if s in states and s != slot]
            allowed = all(o.state == "open" or (o.state == "shortlist" and part in o.parts) for o in others)
            if slot in fixed or allowed:
                yield part, slots
        return
    for _, part in sorted(fitting.catalog.parts.items()):
        if slot in part.fills and there(part):
            slots = tuple(s for s in order if s in part.fills) if part.together else (slot,)
            if not set(slots) & (none | (closed - {slot})):
                yield part, slots


def _waits(part: Part, within: int | None) -> bool:
    """Return whether a second piece is there in time."""
    lead = part.identity.lead_days
    return within is not None and lead is not None and lead <= within


def fillings(
    fitting: FittingList, *, in_stock: bool = False, within: int | None = None
) -> Iterator[tuple[Bought, ...]]:
    """Yield every way to fill the slots of a list, each once."""
    wanted = [s for s in BICYCLE.order if s in fitting.slots and fitting.slots[s].state != "none"]
    options = {s: list(offers(fitting, s, in_stock=in_stock, within=within)) for s in wanted}

    def fill(at: int, chosen: tuple[Bought, ...], taken: frozenset[str]) -> Iterator[tuple[Bought, ...]]:
        while at < len(wanted) and wanted[at] in taken:
            at += 1
        if at == len(wanted):
            yield chosen
            return
        for part, slots in options[wanted[at]]:
            if not taken & set(slots):
                yield from fill(at + 1, (*chosen, (part, slots)), taken | set(slots))

    for chosen in fill(0, (), frozenset()):
        if in_stock or within is not None:
            pieces: dict[str, int] = {}
            for part, _ in chosen:
                pieces[part.number] = pieces.get(part.number, 0) + 1
            scarce = {p.number for p, _ in chosen if p.identity.stock == 1 and (in_stock or not _waits(p, within))}
            if any(n > 1 and number in scarce for number, n in pieces.items() if number):
                continue
        yield chosen


@contextmanager
def narrowed(fitting: FittingList) -> Iterator[None]:
    """Leave joints out that no list of this question can ask, and ask each rule once about the same records.

    Both save time only; ``tests.test_builds`` shows that the findings are the same without.
    """
    slots = {s for p in fitting.catalog.parts.values() for s in p.fills} | set(fitting.slots) | {"bicycle"}
    kept = {
        i: j
        for i, j in JOINTS.items()
        if any({p.roles[r] for r in j.roles_of(t)} <= slots for p in j.places for t in j.tests)
    }
    judged: dict[object, tuple[object, TestResult]] = {}
    plain = judge

    def once(
        joint: Joint, test: Test, roles: Mapping[str, str], filled: Mapping[str, Filled], library: Library
    ) -> TestResult:
        read = tuple((s, filled[s].variants) for s in sorted(set(roles.values())) if s in filled)
        key = (joint.id, test.id, tuple(sorted(roles.items())), tuple((s, id(v)) for s, v in read))
        if key not in judged:
            judged[key] = (read, plain(joint, test, roles, filled, library))
        return judged[key][1]

    with mock.patch.object(evaluating, "JOINTS", kept), mock.patch.object(evaluating, "judge", once):
        yield


class Referee:
    """Judges lists that belong to one question."""

    def __init__(self, fitting: FittingList) -> None:
        self.fitting = fitting
        self.trial = questions.trial(fitting, LIBRARY, BICYCLE)
        self.memo: Memo | None = None

    @contextmanager
    def remembering(self) -> Iterator[None]:
        """Judge a joint once for all lists that have the same parts there."""
        self.memo = Memo()
        try:
            yield
        finally:
            self.memo = None

    def findings(self, bought: tuple[Bought, ...]) -> list[Finding]:
        entries = [Entry(s, (p,)) for p, s in sorted(bought, key=lambda b: BICYCLE.order[b[1][0]])]
        trial = self.trial
        return evaluate(
            entries, LIBRARY, BICYCLE, none=trial.none, extras=trial.extras, fixed=dict(trial.fixed), memo=self.memo
        ).findings

    def judge(self, bought: tuple[Bought, ...]) -> Judged | None:
        """Return a list judged, None if some joint does not fit."""
        found = self.findings(bought)
        judged = [f for f in found if f.state == "judged"]
        if any(f.verdict in NO for f in judged) or any(f.state == "follows" for f in found):
            return None
        known = [f.verdict for f in judged if f.verdict is not Verdict.NOT_KNOWN]
        return Judged(bought, int(max(known, default=0)), len(judged) - len(known), tuple(judged))

    def all(self, *, in_stock: bool = False, within: int | None = None) -> list[Judged]:
        """Return every list in which no joint says no."""
        with narrowed(self.fitting), self.remembering():
            found = [self.judge(b) for b in fillings(self.fitting, in_stock=in_stock, within=within)]
        return [j for j in found if j is not None]

    def price(self, judged: Judged, *, in_stock: bool = False) -> tuple[int, int]:
        """Return how many prices are not stated and the sum of the rest, with what must be bought beside the parts.

        Adapters: for each adapter slot that a joint calls for, the cheapest part of the catalogue with which that joint
        fits and no other joint at the slot gets worse.
        """
        unpriced = total = 0
        for part, _ in judged.bought:
            if part.identity.price is None:
                unpriced += 1
            else:
                total += part.identity.price.minor
        for slot, needing in self._calls(judged).items():
            prices = self._adapters(judged, slot, needing, in_stock=in_stock)
            if prices and prices[0] is not None:
                total += prices[0]
            else:
                unpriced += 1
        return unpriced, total

    def _calls(self, judged: Judged) -> Mapping[str, list[Finding]]:
        calls: dict[str, list[Finding]] = {}
        for finding in judged.findings:
            wants = any(t.verdict is Verdict.NEEDS_ADAPTER and t.test != "setting" for t in finding.tests)
            if finding.verdict is Verdict.NEEDS_ADAPTER and wants:
                place = next(p for p in JOINTS[finding.joint].places if p.name == finding.place)
                roles = [s for s in place.roles.values() if s in BICYCLE.by_id and BICYCLE.by_id[s].adapter]
                slot = place.adapter or (roles[0] if roles else finding.id)
                if slot not in self.fitting.slots:
                    calls.setdefault(slot, []).append(finding)
        return calls

    def _adapters(self, judged: Judged, slot: str, needing: list[Finding], *, in_stock: bool) -> list[int | None]:
        before = {f.id: f.verdict for f in judged.findings}
        prices: list[int | None] = []
        for _, part in sorted(self.fitting.catalog.parts.items()):
            if slot in part.fills and (not part.together or len(part.fills) == 1):
                if in_stock and part.identity.stock == 0:
                    continue
                now = {f.id: f.verdict for f in self.findings((*judged.bought, (part, (slot,)))) if f.state == "judged"}
                if all(now.get(f.id) is Verdict.FITS for f in needing) and all(
                    now[i] <= before.get(i, Verdict.FITS) for i in now
                ):
                    prices.append(part.identity.price.minor if part.identity.price is not None else None)
        return sorted(prices, key=lambda p: (p is None, p))


def within(found: list[Judged], level: int, unknown: int = 0) -> list[Judged]:
    """Return the lists up to a level, with at most so many joints not known."""
    return [j for j in found if j.level <= level and j.unknown <= unknown]
