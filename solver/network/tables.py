"""Tables of verdict levels: each test of each joint judged once for every combination of what it can see.

In: candidates of the slots that a test reads. Out: a ``Table``: sides, and for each combination of their numbers the
level 0 (fits), 1 (needs an adapter), 2 (needs work), 3 (not known); combinations that do not fit are left out. A test
that reads a sum over many slots is staged: the sum is built up slot by slot in small tables of its own.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from catalog_schema.bicycle import Bicycle
from catalog_schema.library import Library
from solver.network.candidates import Candidate
from solver.network.projection import Side, Term, readings, side, term
from solver.report import Verdict
from solver.rules.figures import Fork, Num, Question, Tree
from solver.rules.judging import Filled, beside_an_adapter, is_asked, judge, outcomes
from solver.rules.registry import Given, Joint, Outcome, Place, Read, Test, Total

LEVEL = {Verdict.FITS: 0, Verdict.NEEDS_ADAPTER: 1, Verdict.NEEDS_WORK: 2, Verdict.NOT_KNOWN: 3}
MOST_COMBINATIONS = 400_000


class TooManyCombinations(Exception):
    """A test would have to be judged too often; the message says which, and how often."""


@dataclass(slots=True)
class SumStep:
    """``totals[after] = totals[before] + terms of the slot``: rows (before, side number, after)."""

    side: Side
    rows: list[tuple[int, int, int]] = field(default_factory=list)
    before: int = 0
    after: int = 0


@dataclass(slots=True)
class Table:
    """One test at one place. ``sums`` are the steps of its totals, ``rows`` pair combinations with levels.

    A combination holds a number of each side, then a value of each total.
    """

    joint: Joint
    place: Place
    test: Test
    sides: list[Side]
    sums: list[list[SumStep]] = field(default_factory=list)
    rows: list[tuple[tuple[int, ...], int]] = field(default_factory=list)
    judged: int = 0

    @property
    def name(self) -> str:
        """The test as messages name it."""
        return (
            f"{self.joint.id}@{self.place.name}:{self.test.id}"
            if self.place.name
            else f"{self.joint.id}:{self.test.id}"
        )


@dataclass(frozen=True, slots=True)
class Scene:
    """What all tables share: candidates of each slot, and slots that are no parts."""

    library: Library
    bicycle: Bicycle
    candidates: Mapping[str, Sequence[Candidate]]
    fixed: Mapping[str, Filled]
    may_be_empty: frozenset[str] = frozenset()
    #: sums are judged once between two figures at which a rule may change its mind; off, at every value
    quick: bool = True

    def kind(self, slot: str) -> str:
        """Return the record kind of a slot."""
        return self.bicycle.by_id[slot].kind


def tabulate(joint: Joint, place: Place, test: Test, roles: Mapping[str, str], scene: Scene) -> Table | None:
    """Return the table of a test under a binding of roles, or None if a slot that it needs is not in question.

    Raises:
        TooManyCombinations: more than ``MOST_COMBINATIONS`` would have to be judged.
    """
    here = {**dict.fromkeys(scene.fixed, ()), **{s: c for s, c in scene.candidates.items() if c}}
    if not all(roles[r] in here for r in joint.roles_of(test)):
        return None
    staged, totals = _staged(test, roles, scene)
    sides = sides_of(joint, place, [(staged, roles)], scene)
    table = Table(joint, place, test, sides)
    values: list[list[Term]] = []
    for name, total in totals.items():
        steps, reached = _sum_steps(total, roles, scene)
        table.sums.append(steps)
        values.append(reached)
        if not steps:
            raise TooManyCombinations(f"{table.name}: {name} sums nothing")
    sizes = [*(len(s.kinds) for s in sides), *(len(v) for v in values)]
    if math.prod(sizes) > MOST_COMBINATIONS:
        raise TooManyCombinations(f"{table.name}: {math.prod(sizes)} combinations ({' x '.join(map(str, sizes))})")
    names = list(totals)
    for numbers in itertools.product(*(range(len(s.kinds)) for s in sides)):
        filled = filling(sides, numbers, scene)
        floor = floor_of(sides, numbers)
        plains = [{**filled, s.slot: p} for s, n in zip(sides, numbers, strict=True) for p in s.plains[n]]
        alike = _cells(joint, staged, names, values, roles, filled, scene) if scene.quick and not plains else None
        kept: dict[object, int | None] = {}
        for ends in itertools.product(*(range(len(v)) for v in values)):
            cell = alike[ends[0]] if alike is not None else ends
            if cell not in kept:
                terms = {n: v[i] for n, v, i in zip(names, values, ends, strict=True)}
                kept[cell] = _level(joint, place, staged, terms, roles, filled, scene, floor)
                table.judged += 1
                for plain in plains:
                    found = kept[cell]
                    if found is not None and found < LEVEL[Verdict.NOT_KNOWN]:
                        shipped = _level(joint, place, staged, terms, roles, plain, scene, floor)
                        table.judged += 1
                        if shipped is None or shipped > found:
                            kept[cell] = LEVEL[Verdict.NOT_KNOWN]
            level = kept[cell]
            if level is not None:
                table.rows.append(((*numbers, *ends), level))
    return table


def floor_of(sides: Sequence[Side], numbers: Sequence[int]) -> int:
    """Return the least level of a joint that is judged with these kinds."""
    return max((s.floors[n] for s, n in zip(sides, numbers, strict=True)), default=0)


def filling(sides: Sequence[Side], numbers: Sequence[int], scene: Scene) -> dict[str, Filled]:
    """Return what fills each slot when each side has the kind with this number."""
    filled = dict(scene.fixed)
    for where, number in zip(sides, numbers, strict=True):
        there = where.kinds[number]
        if there is not None:
            filled[where.slot] = there
    return filled


def _cells(
    joint: Joint,
    test: Test,
    names: Sequence[str],
    values: Sequence[Sequence[Term]],
    roles: Mapping[str, str],
    filled: Mapping[str, Filled],
    scene: Scene,
) -> list[object] | None:
    """Return for each value of the one total a key that is the same where no comparison can tell values apart.

    The rule is run with the total left open: the figures at which it asks for the total are all the edges there are.
    None if there is no single total, or an edge depends on another open figure.
    """
    if len(names) != 1 or len(values[0]) < 8:
        return None
    if not all(roles[r] in filled for r in joint.roles_of(test)) or not is_asked(test, roles, filled):
        return [0] * len(values[0])
    name = names[0]
    open_test = replace(test, parameters={**test.parameters, name: Given(Num.missing(name))})
    edges: set[Decimal] = set()
    for known in readings(open_test, roles, filled):
        for question in _questions(outcomes(open_test, roles, known, filled, scene.library)):
            if name in question.causes:
                if question.causes != (name,) or not isinstance(question.edge, Decimal) or question.measured:
                    return None
                edges.add(question.edge)
    ordered = sorted(edges)
    keys: list[object] = []
    for value in values[0]:
        if value.missing or value.spread or value.conflict:
            keys.append(value)
        else:
            at = bisect.bisect_left(ordered, value.constant)
            keys.append((at, at < len(ordered) and ordered[at] == value.constant, value.weak))
    return keys


def _questions(tree: Tree[Outcome]) -> Iterable[Question]:
    if isinstance(tree, Fork):
        yield tree.question
        yield from _questions(tree.yes)
        yield from _questions(tree.no)


def _staged(test: Test, roles: Mapping[str, str], scene: Scene) -> tuple[Test, dict[str, Total]]:
    """Return the test without its wide totals, and those totals."""
    slots = {roles[r.ref.partition(".")[0]] for r in test.reads} & set(scene.candidates)
    totals = {n: p for n, p in test.parameters.items() if isinstance(p, Total)}
    if len(slots) <= 2 or not totals:
        return test, {}
    kept = {n: Given(Num.missing(n)) if n in totals else p for n, p in test.parameters.items()}
    return replace(test, parameters=kept), totals


def sides_of(joint: Joint, place: Place, asked: Iterable[tuple[Test, Mapping[str, str]]], scene: Scene) -> list[Side]:
    """Return a side for each slot with candidates that some of these tests (with their roles) read."""
    paths: dict[str, set[str]] = {}
    for test, roles in asked:
        for ref in (*(r.ref for r in test.reads), *test.asked_if, *test.asked_unless):
            role, _, path = ref.partition(".")
            if scene.candidates.get(roles[role]):
                paths.setdefault(roles[role], set()).add(path)
        for role in test.beside:
            if scene.candidates.get(roles[role]):
                paths.setdefault(roles[role], set())
    return [_side(s, p, scene, _ports(joint, place, s)) for s, p in paths.items()]


def _ports(joint: Joint, place: Place, slot: str) -> frozenset[str]:
    """Return the ports that a joint reads in a slot."""
    refs = (r.ref.split(".") for t in joint.tests for r in t.reads)
    return frozenset(ref[1] for ref in refs if place.roles.get(ref[0]) == slot)


def _side(slot: str, paths: Iterable[str], scene: Scene, ports: frozenset[str] = frozenset()) -> Side:
    empty = slot in scene.may_be_empty
    return side(slot, scene.kind(slot), paths, scene.candidates[slot], may_be_empty=empty, ports=ports)


def _sum_steps(total: Total, roles: Mapping[str, str], scene: Scene) -> tuple[list[SumStep], list[Term]]:
    """Return the steps that build a sum slot by slot, and the values that it reaches in the end."""
    by_slot: dict[str, list[Read]] = {}
    for read in total.reads:
        slot = roles[read.ref.partition(".")[0]]
        if scene.candidates.get(slot):
            by_slot.setdefault(slot, []).append(read)
    steps: list[SumStep] = []
    values = [Term()]
    for slot, reads in by_slot.items():
        there = _side(slot, (r.ref.partition(".")[2] for r in reads), scene)
        step = SumStep(there, before=len(values))
        index: dict[Term, int] = {}
        for before, value in enumerate(values):
            for number, kind in enumerate(there.kinds):
                terms = term(reads, kind, scene.library)
                new = value + (terms[0] if len(terms) == 1 else Term(missing=True))
                step.rows.append((before, number, index.setdefault(new, len(index))))
        values = list(index)
        step.after = len(values)
        steps.append(step)
    return steps, values


def _level(
    joint: Joint,
    place: Place,
    test: Test,
    totals: Mapping[str, Term],
    roles: Mapping[str, str],
    filled: Mapping[str, Filled],
    scene: Scene,
    floor: int,
) -> int | None:
    """Return the level of one combination, at least ``floor`` if it is judged at all; None if it does not fit."""
    if not all(roles[r] in filled for r in joint.roles_of(test)) or not is_asked(test, roles, filled):
        return 0
    if any(t.conflict for t in totals.values()):
        return LEVEL[Verdict.NOT_KNOWN]
    if totals:
        given = {n: Given(_number(n, t)) for n, t in totals.items()}
        test = replace(test, parameters={**test.parameters, **given})
    result = judge(joint, test, roles, filled, scene.library)
    if roles != place.roles:
        result = beside_an_adapter(result)
    if result.verdict in LEVEL and joint.safety and any(t.weak for t in totals.values()):
        return LEVEL[Verdict.NOT_KNOWN]
    level = LEVEL.get(result.verdict)
    return None if level is None else max(level, floor)


def _number(name: str, value: Term) -> Num:
    if value.missing:
        return Num.missing(name)
    return Num.measured(name, value.constant, value.spread) if value.spread else Num(value.constant)
