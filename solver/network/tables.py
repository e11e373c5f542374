"""Tables of verdict levels: each test of each joint judged once for every combination of what it can see.

In: candidates of the slots that a test reads. Out: a ``Table``: sides, and for each combination of their numbers the
level 0 (fits), 1 (needs an adapter), 2 (needs work), 3 (not known); combinations that do not fit are left out. A test
that reads a sum over many slots is staged: the sum is built up slot by slot in small tables of its own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from catalog_schema.bicycle import Bicycle
from catalog_schema.library import Library
from solver.network.candidates import Candidate
from solver.network.projection import Side, Term, side, term
from solver.report import Verdict
from solver.rules.figures import Num
from solver.rules.judging import Filled, beside_an_adapter, is_asked, judge
from solver.rules.registry import Given, Joint, Place, Read, Test, Total

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
    sides = _sides(staged, roles, scene)
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
    for combination in itertools.product(*(range(n) for n in sizes)):
        filled = dict(scene.fixed)
        for where, number in zip(sides, combination, strict=False):
            there = where.kinds[number]
            if there is not None:
                filled[where.slot] = there
        terms = [v[i] for v, i in zip(values, combination[len(sides) :], strict=True)]
        level = _level(joint, place, staged, dict(zip(totals, terms, strict=True)), roles, filled, scene)
        table.judged += 1
        if level is not None:
            table.rows.append((combination, level))
    return table


def _staged(test: Test, roles: Mapping[str, str], scene: Scene) -> tuple[Test, dict[str, Total]]:
    """Return the test without its wide totals, and those totals."""
    slots = {roles[r.ref.partition(".")[0]] for r in test.reads} & set(scene.candidates)
    totals = {n: p for n, p in test.parameters.items() if isinstance(p, Total)}
    if len(slots) <= 2 or not totals:
        return test, {}
    kept = {n: Given(Num.missing(n)) if n in totals else p for n, p in test.parameters.items()}
    return replace(test, parameters=kept), totals


def _sides(test: Test, roles: Mapping[str, str], scene: Scene) -> list[Side]:
    paths: dict[str, set[str]] = {}
    for ref in (*(r.ref for r in test.reads), *test.asked_if, *test.asked_unless):
        role, _, path = ref.partition(".")
        if roles[role] in scene.candidates:
            paths.setdefault(roles[role], set()).add(path)
    return [_side(s, p, scene) for s, p in paths.items() if scene.candidates[s]]


def _side(slot: str, paths: Iterable[str], scene: Scene) -> Side:
    empty = slot in scene.may_be_empty
    return side(slot, scene.kind(slot), paths, scene.candidates[slot], may_be_empty=empty)


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
) -> int | None:
    """Return the level of one combination, None if it does not fit."""
    if not all(roles[r] in filled for r in joint.roles_of(test)) or not is_asked(test, roles, filled):
        return 0
    if any(t.conflict for t in totals.values()):
        return LEVEL[Verdict.NOT_KNOWN]
    given = {n: Given(_number(n, t)) for n, t in totals.items()}
    result = judge(joint, replace(test, parameters={**test.parameters, **given}), roles, filled, scene.library)
    if roles != place.roles:
        result = beside_an_adapter(result)
    if result.verdict in LEVEL and joint.safety and any(t.weak for t in totals.values()):
        return LEVEL[Verdict.NOT_KNOWN]
    return LEVEL.get(result.verdict)


def _number(name: str, value: Term) -> Num:
    if value.missing:
        return Num.missing(name)
    return Num.measured(name, value.constant, value.spread) if value.spread else Num(value.constant)
