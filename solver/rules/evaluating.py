"""Judging every joint of a set of filled slots: settings, shortlists, adapters between, and what follows from what.

In: for each filled slot the part (or shortlist) in it. Out: one finding for each joint at each place. Settings and
shortlists are chosen once for the whole bicycle: the mildest worst verdict, then the mildest next, then what is shipped
before what is in the box before what is sold, then the order of the file.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from catalog_schema.bicycle import Bicycle
from catalog_schema.library import Library
from catalog_schema.parts import Offer, Option, Part, Settings
from catalog_schema.resolve import Variant
from solver.report import NO, YES, Finding, TestResult, Verdict
from solver.rules.judging import Filled, is_asked, judge
from solver.rules.registry import JOINTS, Joint, Place, Test

SETTING_SOLD: Final = "setting-sold"
SETTING_NOT_STATED: Final = "setting-not-stated"
THROUGH: Final = "through-adapter"

_PREFERENCE: Final[dict[Offer, int]] = {"as-shipped": 0, "in-the-box": 1, "sold": 2, "not-stated": 3, "not-sold": 4}
_COMBINATIONS: Final = 20_000


@dataclass(frozen=True, slots=True)
class Entry:
    """What stands at one place of the list: one part or a shortlist, and the slots that it fills there."""

    slots: tuple[str, ...]
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to take an entry: a part of the shortlist and an option of each of its settings."""

    part: Part
    options: tuple[tuple[Settings, Option | None], ...]
    listed: frozenset[str]

    @property
    def preference(self) -> tuple[int, ...]:
        return tuple(_PREFERENCE[self.offer(o)] for _, o in self.options)

    def offer(self, option: Option | None) -> Offer:
        if option is None:
            return "not-stated"
        return "in-the-box" if option.offer == "sold" and option.number in self.listed else option.offer

    def variants(self, slot: str) -> tuple[Variant, ...]:
        """Return the figures of the part in ``slot`` with the options in place."""
        found = self.part.fills[slot]
        for group, option in self.options:
            ports = group.ports.get(slot, ())
            if option is None:
                found = tuple(_without(v, ports) for v in found)
            elif slot in option.replaces:
                new = option.replaces[slot]
                gone = tuple({k.partition(".")[0] for v in new for k in v})
                found = tuple({**_without(a, gone), **b} for a, b in itertools.product(found, new))
        return found


@dataclass(slots=True)
class Evaluation:
    """The findings, in bicycle order, and which part of each shortlist they are about."""

    findings: list[Finding] = field(default_factory=list)
    chosen: dict[str, Part] = field(default_factory=dict)


def _without(variant: Variant, ports: Iterable[str]) -> Variant:
    gone = set(ports)
    return {k: v for k, v in variant.items() if k.partition(".")[0] not in gone}


def evaluate(
    entries: Sequence[Entry],
    library: Library,
    bicycle: Bicycle,
    *,
    none: Iterable[str] = (),
    extras: Iterable[str] = (),
    fixed: Mapping[str, Filled] | None = None,
) -> Evaluation:
    """Judge every joint.

    Args:
        entries: what fills slots.
        library: the interface library.
        bicycle: the slots.
        none: slots that this bicycle does not have.
        extras: numbers of small parts that are on the list as well (a set of end caps).
        fixed: slots that are no parts, such as the bicycle's use.
    """
    work = _Work(library, bicycle, frozenset(none), dict(fixed or {}))
    listed = frozenset(extras)
    ways = [_ways(e, listed) for e in entries]
    slots = {s: i for i, e in enumerate(entries) for s in e.slots}
    joints = [(j, p) for j in JOINTS.values() for p in j.places]
    touching = [sorted({slots[s] for s in (*p.roles.values(), p.adapter) if s in slots}) for _, p in joints]
    choice = [0] * len(entries)
    for group in _components(touching, [len(w) > 1 for w in ways]):
        about = [k for k, t in enumerate(touching) if set(t) & set(group)]
        _choose(group, about, choice, entries, ways, joints, work)
    out = Evaluation(chosen={e.slots[0]: ways[i][choice[i]].part for i, e in enumerate(entries)})
    findings = {
        f.id: f
        for k, (joint, place) in enumerate(joints)
        for f in [_with_settings(joint, place, touching[k], choice, entries, ways, work)]
    }
    out.findings = _following(findings)
    return out


@dataclass(slots=True)
class _Work:
    """What all judgements of one evaluation share; test results are kept by what fills their slots."""

    library: Library
    bicycle: Bicycle
    none: frozenset[str]
    fixed: dict[str, Filled]
    kept: dict[tuple[str, str, str, tuple[tuple[str, int], ...]], TestResult] = field(default_factory=dict)
    filled: dict[tuple[int, int, str], Filled] = field(default_factory=dict)

    def fill(self, entry: int, way: int, slot: str, ways: Sequence[Sequence[_Way]]) -> Filled:
        key = (entry, way, slot)
        if key not in self.filled:
            kind = self.bicycle.by_id[slot].kind
            self.filled[key] = Filled(kind, ways[entry][way].variants(slot))
        return self.filled[key]

    def result(self, joint: Joint, test: Test, roles: Mapping[str, str], filled: Mapping[str, Filled]) -> TestResult:
        used = tuple(sorted((s, id(filled[s])) for s in set(roles.values()) if s in filled))
        key = (joint.id, test.id, repr(sorted(roles.items())), used)
        if key not in self.kept:
            self.kept[key] = judge(joint, test, roles, filled, self.library)
        return self.kept[key]


def _ways(entry: Entry, listed: frozenset[str]) -> list[_Way]:
    """Return the ways to take an entry, the preferred first; what is not sold is none."""
    found: list[_Way] = []
    for part in entry.parts:
        groups: list[list[tuple[Settings, Option | None]]] = []
        for settings in part.settings:
            options: list[tuple[Settings, Option | None]] = [
                (settings, o) for o in settings.options if o.offer != "not-sold"
            ]
            if not settings.complete:
                options.append((settings, None))
            groups.append(options)
        found.extend(_Way(part, combination, listed) for combination in itertools.product(*groups))
    return found


def _components(touching: Sequence[Sequence[int]], free: Sequence[bool]) -> list[list[int]]:
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


def _choose(
    group: Sequence[int],
    about: Sequence[int],
    choice: list[int],
    entries: Sequence[Entry],
    ways: Sequence[Sequence[_Way]],
    joints: Sequence[tuple[Joint, Place]],
    work: _Work,
) -> None:
    """Set ``choice`` for a group of entries to the mildest way, and of equals to the preferred."""
    touching = [
        sorted(
            {
                i
                for i, e in enumerate(entries)
                for s in e.slots
                if s in (*joints[k][1].roles.values(), joints[k][1].adapter)
            }
        )
        for k in about
    ]

    def price(pick: Sequence[int]) -> tuple[object, ...]:
        trial = list(choice)
        for i, way in zip(group, pick, strict=True):
            trial[i] = way
        findings = {}
        for k, touched in zip(about, touching, strict=True):
            finding = _with_settings(*joints[k], touched, trial, entries, ways, work)
            findings[finding.id] = finding
        ranks = sorted((f.rank for f in _following(findings) if f.state == "judged"), reverse=True)
        return (ranks, [ways[i][w].preference for i, w in zip(group, pick, strict=True)], list(pick))

    sizes = [range(len(ways[i])) for i in group]
    total = 1
    for size in sizes:
        total *= len(size)
    if total <= _COMBINATIONS:
        best = min(itertools.product(*sizes), key=price)
    else:
        best = tuple(0 for _ in group)
        improved = True
        while improved:
            improved = False
            for at, size in enumerate(sizes):
                trial = min(((*best[:at], w, *best[at + 1 :]) for w in size), key=price)
                if price(trial) < price(best):
                    best, improved = trial, True
    for i, way in zip(group, best, strict=True):
        choice[i] = way


def _with_settings(
    joint: Joint,
    place: Place,
    touched: Sequence[int],
    choice: Sequence[int],
    entries: Sequence[Entry],
    ways: Sequence[Sequence[_Way]],
    work: _Work,
) -> Finding:
    """Judge a joint with the chosen ways, and say what a setting that is not in the box means for it."""
    finding = _judge_joint(joint, place, _filling(joint, place, touched, choice, entries, ways, work), work)
    if finding.state != "judged":
        return finding
    named: list[tuple[str, str, str]] = []
    for i in touched:
        way = ways[i][choice[i]]
        for group, option in way.options:
            if not _concerns(joint, place, group):
                continue
            slot = entries[i].slots[0]
            named.append((slot, group.name, option.name if option is not None else ""))
            offer = way.offer(option)
            if offer in ("as-shipped", "in-the-box") or finding.verdict not in YES:
                continue
            shipped = _shipped(i, group, choice[i], ways)
            if shipped is not None:
                plain = list(choice)
                plain[i] = shipped
                before = _judge_joint(joint, place, _filling(joint, place, touched, plain, entries, ways, work), work)
                if before.rank <= finding.rank:
                    continue
            finding = _floored(finding, offer, option)
    return replace(finding, settings=tuple(named))


def _shipped(entry: int, group: Settings, now: int, ways: Sequence[Sequence[_Way]]) -> int | None:
    """Return the way that differs only in that this group is as shipped."""
    mine = ways[entry][now]
    for index, way in enumerate(ways[entry]):
        if way.part is mine.part and all(
            (o is not None and o.offer == "as-shipped") if g is group else o is p
            for (g, o), (_, p) in zip(way.options, mine.options, strict=True)
        ):
            return index
    return None


def _floored(finding: Finding, offer: Offer, option: Option | None) -> Finding:
    sold = offer == "sold"
    verdict = max(finding.verdict, Verdict.NEEDS_ADAPTER if sold else Verdict.NOT_KNOWN)
    number = (option.number,) if option is not None and option.number else ()
    result = TestResult(
        "setting", verdict, SETTING_SOLD if sold else SETTING_NOT_STATED, adapters=number if sold else ()
    )
    return replace(finding, verdict=verdict, reason=result.reason, tests=(*finding.tests, result))


def _concerns(joint: Joint, place: Place, group: Settings) -> bool:
    """Return whether the joint reads a port that the group replaces."""
    roles = {slot: role for role, slot in place.roles.items()}
    for slot, ports in group.ports.items():
        role = roles.get(slot)
        for test in joint.tests:
            for read in test.reads:
                mine, _, path = read.ref.partition(".")
                if mine == role and path.partition(".")[0] in ports:
                    return True
    return False


def _filling(
    joint: Joint,
    place: Place,
    touched: Sequence[int],
    choice: Sequence[int],
    entries: Sequence[Entry],
    ways: Sequence[Sequence[_Way]],
    work: _Work,
) -> dict[str, Filled]:
    wanted = {*place.roles.values(), place.adapter}
    filled = {s: f for s, f in work.fixed.items() if s in wanted}
    for i in touched:
        for slot in entries[i].slots:
            if slot in wanted:
                filled[slot] = work.fill(i, choice[i], slot, ways)
    return filled


def _judge_joint(joint: Joint, place: Place, filled: Mapping[str, Filled], work: _Work) -> Finding:
    """Judge the tests of a joint that can be asked."""
    empty = Finding(joint.id, place.name, "not-asked", safety=joint.safety, slots=tuple(place.roles.values()))
    adapter = place.adapter if place.adapter in filled else ""
    needed = {joint_role for t in joint.tests for joint_role in joint.roles_of(t)}
    if any(place.roles[r] in work.none for r in needed):
        return replace(empty, state="does-not-arise")
    results: list[TestResult] = []
    slots: set[str] = set()
    for test in joint.tests:
        for roles in _links(joint, test, place, adapter):
            if all(roles[r] in filled for r in joint.roles_of(test)) and is_asked(test, roles, filled):
                result = work.result(joint, test, roles, filled)
                results.append(result)
                slots |= {roles[r] for r in joint.roles_of(test)}
    if not results:
        return empty
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


def _links(joint: Joint, test: Test, place: Place, adapter: str) -> list[Mapping[str, str]]:
    """Return the role bindings under which a test is asked: one, or one for each link of an adapter chain."""
    roles = place.roles
    first, second = joint.between
    touches = {r.ref.partition(".")[0] for r in test.reads}
    if not adapter or not test.links or not {first, second} & touches:
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
