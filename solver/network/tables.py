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
from decimal import Decimal

from catalog_schema.bicycle import Bicycle
from catalog_schema.library import Library
from catalog_schema.quantity import Measure
from solver.network.asking import NO, Asker, Like, Sums
from solver.network.candidates import Candidate
from solver.network.prepared import prepare
from solver.network.projection import Side, Term, side, term
from solver.rules.figures import Num
from solver.rules.judging import Filled
from solver.rules.registry import Given, Joint, Place, Read, Test, Total

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

    A combination holds a number of each side, then a value of each total. Where there is one total it holds a profile
    in its place: ``profiles`` say at what level each value of the total is, ``NO`` where it does not fit; the level of
    such a row is its mildest.
    """

    joint: Joint
    place: Place
    test: Test
    sides: list[Side]
    sums: list[list[SumStep]] = field(default_factory=list)
    rows: list[tuple[tuple[int, ...], int]] = field(default_factory=list)
    profiles: list[bytes] = field(default_factory=list)
    judged: int = 0

    def reaches(self, level: int) -> bool:
        """Return whether some combination is at a level."""
        return any(found == level for _, found in self.rows) or any(level in p for p in self.profiles)

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
    profiled = len(values) == 1
    sizes = [*(len(s.kinds) for s in sides), *(() if profiled else (len(v) for v in values))]
    if math.prod(sizes) > MOST_COMBINATIONS:
        raise TooManyCombinations(f"{table.name}: {math.prod(sizes)} combinations ({' x '.join(map(str, sizes))})")
    names = list(totals)
    known: dict[bytes, int] = {}
    twins = _differing(staged, roles, sides) if profiled and scene.quick else None
    likes: dict[object, Like] = {}
    sums = Sums.of(values[0] if profiled else ())
    ready = None
    if scene.quick and roles == place.roles:
        ready = prepare(joint, staged, roles, sides, scene.fixed, scene.library)
    for numbers in itertools.product(*(range(len(s.kinds)) for s in sides)):
        asker = Asker(joint, place, staged, roles, filling(sides, numbers, scene), scene.library, quick=scene.quick)
        asker.floor, asker.prepared, asker.numbers = floor_of(sides, numbers), ready, numbers
        asker.plains = [{**asker.filled, s.slot: p} for s, n in zip(sides, numbers, strict=True) for p in s.plains[n]]
        if profiled:
            like = None
            if twins is not None and (twin := twins.alike[numbers[twins.at]]) is not None:
                rest = (*numbers[: twins.at], *numbers[twins.at + 1 :], twin[0])
                like = likes.setdefault(rest, Like(sides[twins.at].slot, twins.path))
                like.value = twin[1]
            levels = asker.profile(names[0], sums, like)
            if any(level != NO for level in levels):
                number = known.setdefault(levels, len(known))
                table.rows.append(((*numbers, number), min(levels)))
        else:
            for ends in itertools.product(*(range(len(v)) for v in values)):
                found = asker.level({n: v[i] for n, v, i in zip(names, values, ends, strict=True)})
                if found is not None:
                    table.rows.append(((*numbers, *ends), found))
        table.judged += asker.judged
    table.profiles = list(known)
    return table


@dataclass(frozen=True, slots=True)
class _Twins:
    """A side whose kinds differ in one exact figure: for each kind a group and the figure, None if it has no twin."""

    at: int
    path: str
    alike: list[tuple[int, Decimal] | None]


def _differing(test: Test, roles: Mapping[str, str], sides: Sequence[Side]) -> _Twins | None:
    """Return the side that falls into the fewest groups beside its kinds, with the figure that they differ in."""
    best: _Twins | None = None
    gain = 0
    for at, where in enumerate(sides):
        for read in test.reads:
            role, _, path = read.ref.partition(".")
            if roles[role] != where.slot or read.role != "deciding":
                continue
            groups: dict[object, int] = {}
            alike: list[tuple[int, Decimal] | None] = []
            for kind, floor in zip(where.kinds, where.floors, strict=True):
                known = kind.variants[0].get(path) if kind is not None and len(kind.variants) == 1 else None
                if (
                    kind is None
                    or known is None
                    or known.conflict
                    or not isinstance(known.value, Measure)
                    or known.value.resolution is not None
                ):
                    alike.append(None)
                else:
                    rest = tuple(sorted((k, repr(v)) for k, v in kind.variants[0].items() if k != path))
                    group = groups.setdefault((rest, known.row, floor), len(groups))
                    alike.append((group, known.value.value))
            saved = sum(a is not None for a in alike) - len(groups)
            if saved > gain:
                best, gain = _Twins(at, path, alike), saved
    return best


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
