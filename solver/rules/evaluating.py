"""Judging every joint of a set of filled slots: settings, shortlists, adapters between, and what follows from what.

In: for each filled slot the part (or shortlist) in it. Out: one finding for each joint at each place. Settings and
shortlists are chosen once for the whole bicycle: the mildest worst verdict, then the mildest next, then what is shipped
before what is in the box before what is sold, then the order of the file.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from catalog_schema.bicycle import Bicycle
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.library import Library
from catalog_schema.parts import Offer, Option, Part, Settings
from solver.report import NO, YES, Finding, JointState, TestResult, Verdict
from solver.rules.judging import Filled, beside_an_adapter, is_asked, judge
from solver.rules.registry import JOINTS, Joint, Place, Test
from solver.rules.ways import Way, ways

SETTING_SOLD: Final = "setting-sold"
SETTING_NOT_STATED: Final = "setting-not-stated"

_COMBINATIONS: Final = 20_000


@dataclass(frozen=True, slots=True)
class Entry:
    """What stands at one place of the list: one part or a shortlist, and the slots that it fills there."""

    slots: tuple[str, ...]
    parts: tuple[Part, ...]


@dataclass(slots=True)
class Evaluation:
    """The findings, in bicycle order, and which part of each shortlist they are about."""

    findings: list[Finding] = field(default_factory=list)
    chosen: dict[str, Part] = field(default_factory=dict)


@dataclass(slots=True)
class Memo:
    """What lists that differ in a few parts have in common: a joint whose parts stay is judged once for all of them.

    It goes with one library, one bicycle and one way of using it; parts are told apart by being the same object.
    """

    ways: dict[tuple[tuple[int, ...], frozenset[str]], tuple[tuple[Part, ...], list[Way]]] = field(default_factory=dict)
    filled: dict[tuple[int, str], Filled] = field(default_factory=dict)
    tests: dict[tuple[str, str, str, tuple[tuple[str, int], ...]], TestResult] = field(default_factory=dict)
    joints: dict[tuple[object, ...], Finding] = field(default_factory=dict)
    meetings: dict[tuple[tuple[str, ...], ...], list[_Meeting]] = field(default_factory=dict)

    def meetings_of(self, entries: tuple[tuple[str, ...], ...]) -> list[_Meeting]:
        """Return every joint at every place with the entries that it touches; an entry is given by its slots."""
        if entries not in self.meetings:
            slots = {s: i for i, filled in enumerate(entries) for s in filled}
            self.meetings[entries] = [
                _Meeting(j, p, tuple(sorted({slots[s] for s in (*p.roles.values(), p.adapter) if s in slots})))
                for j in JOINTS.values()
                for p in j.places
            ]
        return self.meetings[entries]

    def ways_of(self, parts: tuple[Part, ...], listed: frozenset[str]) -> list[Way]:
        """Return the ways to take one of some parts; the same objects each time."""
        key = (tuple(map(id, parts)), listed)
        if key not in self.ways:
            self.ways[key] = (parts, ways(parts, listed))
        return self.ways[key][1]


def evaluate(
    entries: Sequence[Entry],
    library: Library,
    bicycle: Bicycle,
    *,
    none: Iterable[str] = (),
    extras: Iterable[str] = (),
    fixed: Mapping[str, Filled] | None = None,
    memo: Memo | None = None,
    although_silent: bool = False,
) -> Evaluation:
    """Judge every joint.

    Args:
        entries: what fills slots.
        library: the interface library.
        bicycle: the slots.
        none: slots that this bicycle does not have.
        extras: numbers of small parts that are on the list as well (a set of end caps).
        fixed: slots that are no parts, such as the bicycle's use.
        memo: what was judged before of lists like this one.
        although_silent: ask tests of figures that are seldom printed even where they are not stated.
    """
    listed = frozenset(extras)
    memo = memo if memo is not None else Memo()
    meetings = memo.meetings_of(tuple(e.slots for e in entries))
    taken = [memo.ways_of(e.parts, listed) for e in entries]
    work = _Work(library, bicycle, frozenset(none), dict(fixed or {}), tuple(entries), taken, memo, although_silent)
    choice = [0] * len(entries)
    for group in _components([m.touched for m in meetings], [len(w) > 1 for w in work.ways]):
        _choose(group, [m for m in meetings if set(m.touched) & set(group)], choice, work)
    findings = {f.id: f for f in (work.finding(m, choice) for m in meetings)}
    chosen = {e.slots[0]: work.ways[i][choice[i]].part for i, e in enumerate(entries)}
    return Evaluation(_following(findings), chosen)


def alone(
    joint: Joint,
    place: Place,
    entries: Sequence[Entry],
    library: Library,
    bicycle: Bicycle,
    *,
    none: frozenset[str],
    extras: Iterable[str],
    fixed: Mapping[str, Filled],
    memo: Memo,
) -> Finding:
    """Judge one joint with the mildest ways of the parts that meet there, whatever other joints want of them."""
    taken = [memo.ways_of(e.parts, frozenset(extras)) for e in entries]
    work = _Work(library, bicycle, none, dict(fixed), tuple(entries), taken, memo)
    meeting = _Meeting(joint, place, tuple(range(len(entries))))
    every = (work.finding(meeting, choice) for choice in itertools.product(*(range(len(w)) for w in taken)))
    return min(every, key=lambda f: (f.state == "judged", f.rank))


@dataclass(frozen=True, slots=True)
class _Meeting:
    """A joint at a place, and the entries that it touches."""

    joint: Joint
    place: Place
    touched: tuple[int, ...]


@dataclass(slots=True)
class _Work:
    """What all judgements of one evaluation share; test results are kept by what fills their slots."""

    library: Library
    bicycle: Bicycle
    none: frozenset[str]
    fixed: dict[str, Filled]
    entries: tuple[Entry, ...]
    ways: list[list[Way]]
    memo: Memo
    although_silent: bool = False

    def fill(self, entry: int, way: int, slot: str) -> Filled:
        """Return what fills a slot when an entry is taken in one of its ways; the same object each time."""
        taken = self.ways[entry][way]
        key = (id(taken), slot)
        if key not in self.memo.filled:
            self.memo.filled[key] = Filled(self.bicycle.by_id[slot].kind, taken.variants(slot))
        return self.memo.filled[key]

    def filling(self, meeting: _Meeting, choice: Sequence[int]) -> dict[str, Filled]:
        """Return what fills the slots of a joint."""
        wanted = {*meeting.place.roles.values(), meeting.place.adapter}
        filled = {s: f for s, f in self.fixed.items() if s in wanted}
        for i in meeting.touched:
            for slot in self.entries[i].slots:
                if slot in wanted:
                    filled[slot] = self.fill(i, choice[i], slot)
        return filled

    def result(self, joint: Joint, test: Test, roles: Mapping[str, str], filled: Mapping[str, Filled]) -> TestResult:
        """Return the result of a test, judged once."""
        used = tuple(sorted((s, id(filled[s])) for s in set(roles.values()) if s in filled))
        key = (joint.id, test.id, repr(sorted(roles.items())), used)
        if key not in self.memo.tests:
            self.memo.tests[key] = judge(joint, test, roles, filled, self.library)
        return self.memo.tests[key]

    def finding(self, meeting: _Meeting, choice: Sequence[int]) -> Finding:
        """Return a joint judged with the chosen ways, once."""
        there = tuple((id(self.ways[i][choice[i]]), self.entries[i].slots) for i in meeting.touched)
        key = (meeting.joint.id, meeting.place.name, there, self.none)
        if key not in self.memo.joints:
            self.memo.joints[key] = _with_settings(meeting, choice, self)
        return self.memo.joints[key]


def _components(touching: Iterable[Sequence[int]], free: Sequence[bool]) -> list[list[int]]:
    """Return groups of entries that have a choice and share joints, so that each group can be chosen alone."""
    leader = list(range(len(free)))

    def find(i: int) -> int:
        while leader[i] != i:
            leader[i] = leader[leader[i]]
            i = leader[i]
        return i

    for group in touching:
        open_ones = [i for i in group if free[i]]
        for other in open_ones[1:]:
            leader[find(other)] = find(open_ones[0])
    groups: dict[int, list[int]] = {}
    for i, is_free in enumerate(free):
        if is_free:
            groups.setdefault(find(i), []).append(i)
    return list(groups.values())


def _choose(group: Sequence[int], meetings: Sequence[_Meeting], choice: list[int], work: _Work) -> None:
    """Set ``choice`` for a group of entries to the mildest ways, and of equals to the preferred.

    Beyond ``_COMBINATIONS`` combinations the ways are improved one entry at a time, which may miss the mildest.
    """

    def price(pick: Sequence[int]) -> tuple[object, ...]:
        trial = list(choice)
        for i, way in zip(group, pick, strict=True):
            trial[i] = way
        findings = {f.id: f for f in (work.finding(m, trial) for m in meetings)}
        ranks = sorted((f.rank for f in _following(findings) if f.state == "judged"), reverse=True)
        return (ranks, [work.ways[i][w].preference for i, w in zip(group, pick, strict=True)], list(pick))

    sizes = [range(len(work.ways[i])) for i in group]
    if math.prod(map(len, sizes)) <= _COMBINATIONS:
        best = min(itertools.product(*sizes), key=price)
    else:
        best, before = tuple(0 for _ in group), None
        while best != before:
            before = best
            for at, size in enumerate(sizes):
                best = min(((*best[:at], w, *best[at + 1 :]) for w in size), key=price)
    for i, way in zip(group, best, strict=True):
        choice[i] = way


def _with_settings(meeting: _Meeting, choice: Sequence[int], work: _Work) -> Finding:
    """Judge a joint with the chosen ways, and say what a setting that is not in the box means for it."""
    joint, place = meeting.joint, meeting.place
    finding = _judge_joint(joint, place, work.filling(meeting, choice), work)
    if finding.state != "judged":
        return finding
    named: list[tuple[str, str, str]] = []
    for i in meeting.touched:
        way = work.ways[i][choice[i]]
        for group, option in way.options:
            if not _concerns(joint, place, group):
                continue
            named.append((work.entries[i].slots[0], group.name, option.name if option is not None else ""))
            offer = way.offer(option)
            if offer in ("as-shipped", "in-the-box") or finding.verdict not in YES:
                continue
            shipped = _shipped(i, group, choice[i], work)
            if shipped is not None:
                plain = [shipped if k == i else c for k, c in enumerate(choice)]
                if _judge_joint(joint, place, work.filling(meeting, plain), work).rank <= finding.rank:
                    continue
            finding = _floored(finding, offer, option)
    return replace(finding, settings=tuple(named))


def _shipped(entry: int, group: Settings, now: int, work: _Work) -> int | None:
    """Return the way that differs only in that this group is as shipped."""
    mine = work.ways[entry][now]
    for index, way in enumerate(work.ways[entry]):
        if way.part is mine.part and all(
            (o is not None and o.offer == "as-shipped") if g is group else o is p
            for (g, o), (_, p) in zip(way.options, mine.options, strict=True)
        ):
            return index
    return None


def _floored(finding: Finding, offer: Offer, option: Option | None) -> Finding:
    """Return the finding with what it means that an option is sold apart, or that nobody stated it."""
    sold = offer == "sold"
    verdict = max(finding.verdict, Verdict.NEEDS_ADAPTER if sold else Verdict.NOT_KNOWN)
    number = (option.number,) if sold and option is not None and option.number else ()
    result = TestResult("setting", verdict, SETTING_SOLD if sold else SETTING_NOT_STATED, adapters=number)
    return replace(finding, verdict=verdict, reason=result.reason, tests=(*finding.tests, result))


def _concerns(joint: Joint, place: Place, group: Settings) -> bool:
    """Return whether the joint reads a port that the group replaces."""
    roles = {slot: role for role, slot in place.roles.items()}
    replaced = {(roles.get(slot), port) for slot, ports in group.ports.items() for port in ports}
    read = {tuple(r.ref.split(".")[:2]) for t in joint.tests for r in t.reads}
    return bool(replaced & read)


def _judge_joint(joint: Joint, place: Place, filled: Mapping[str, Filled], work: _Work) -> Finding:
    """Judge the tests of a joint that can be asked."""
    adapter = place.adapter if place.adapter in filled else ""
    if work.none and all(any(place.roles[r] in work.none for r in joint.roles_of(t)) for t in joint.tests):
        return _unjudged(joint, place, "does-not-arise")
    results: list[TestResult] = []
    slots: set[str] = set()
    for test in joint.tests:
        for roles in links(joint, test, place, adapter):
            there = all(roles[r] in filled for r in joint.roles_of(test))
            if there and is_asked(test, roles, filled, although_silent=work.although_silent):
                result = work.result(joint, test, roles, filled)
                results.append(result if roles is place.roles else beside_an_adapter(result))
                slots |= {roles[r] for r in joint.roles_of(test)}
    if not results:
        return _unjudged(joint, place, "not-asked")
    worst = max(results, key=lambda r: r.rank)
    order = work.bicycle.order
    return Finding(
        joint.id,
        place.name,
        "judged",
        worst.verdict,
        worst.perhaps,
        worst.reason,
        tuple(sorted(slots, key=lambda s: order.get(s, -1))),
        tuple(results),
        through=(adapter,) if adapter else (),
        safety=joint.safety,
    )


def _unjudged(joint: Joint, place: Place, state: JointState) -> Finding:
    return Finding(joint.id, place.name, state, safety=joint.safety, slots=tuple(place.roles.values()))


def links(joint: Joint, test: Test, place: Place, adapter: str) -> list[Mapping[str, str]]:
    """Return the role bindings under which a test is asked: one, or one for each link of an adapter chain."""
    roles = place.roles
    if not adapter or not test.links:
        return [roles]
    first, second = joint.between
    if not {first, second} & {r.ref.partition(".")[0] for r in test.reads}:
        return [roles]
    chain = [{**roles, second: adapter}, {**roles, first: adapter}]
    return [chain[i] for i in test.links]


def _following(findings: Mapping[str, Finding]) -> list[Finding]:
    """Let joints follow the joints that they presuppose, where those do not fit; unsafe ones never follow."""
    out: dict[str, Finding] = {}

    def settled(finding_id: str) -> Finding:
        if finding_id in out:
            return out[finding_id]
        finding = findings[finding_id]
        out[finding_id] = finding
        if finding.state == "judged" and finding.verdict is not Verdict.UNSAFE and finding.perhaps is None:
            for wanted in JOINTS[finding.joint].presupposes:
                for other in _presupposed(wanted, finding.place, findings):
                    before = settled(other)
                    root = other if before.state == "judged" else before.follows
                    if (before.state == "judged" and before.verdict in NO) or before.state == "follows":
                        out[finding_id] = replace(finding, state="follows", follows=root)
                        return out[finding_id]
        return out[finding_id]

    return [settled(i) for i in findings]


def _presupposed(wanted: str, place: str, findings: Mapping[str, Finding]) -> list[str]:
    """Return the findings that ``area.joint`` (at this place) or ``area.joint@place`` means."""
    if "@" in wanted:
        return [wanted] if wanted in findings else []
    exact = f"{wanted}@{place}" if place else wanted
    if exact in findings:
        return [exact]
    return [i for i in findings if i.partition("@")[0] == wanted]
