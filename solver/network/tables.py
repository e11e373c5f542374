"""Tables of verdict levels: each test of each joint judged once for every combination of what it can see.

In: candidates of the slots that a test reads. Out: a ``Table``: sides, and for each combination of their numbers the
level 0 (fits), 1 (needs an adapter), 2 (needs work), 3 (not known); combinations that do not fit are left out. A test
that reads a sum over many slots is staged: the sum is built up slot by slot in small tables of its own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from catalog_schema.bicycle import Bicycle
from catalog_schema.library import Library
from catalog_schema.quantity import Measure
from solver.network.asking import NO, Asker, Like
from solver.network.bounds import Bounds
from solver.network.candidates import Candidate
from solver.network.prepared import Memory, Prepared, prepare
from solver.network.projection import Side, Term, side, term
from solver.network.sums import Sums
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
    such a row is its mildest. Combinations of the sides in ``skipped`` are out by another test: nobody asked, and they
    have no row; ``tell`` asks.
    """

    joint: Joint
    place: Place
    test: Test
    sides: list[Side]
    sums: list[list[SumStep]] = field(default_factory=list)
    rows: list[tuple[tuple[int, ...], int]] = field(default_factory=list)
    profiles: list[bytes] = field(default_factory=list)
    judged: int = 0
    skipped: set[tuple[int, ...]] = field(default_factory=set)
    tell: Callable[[tuple[int, ...]], list[tuple[tuple[int, ...], int]]] | None = None

    def reaches(self, level: int) -> bool:
        """Return whether some combination is at a level."""
        return any(found == level for _, found in self.rows) or any(level in p for p in self.profiles)

    @property
    def always_fits(self) -> bool:
        """Whether the test has nothing to say: all fits that was asked about."""
        if any(level for _, level in self.rows) or any(any(p) for p in self.profiles):
            return False
        ends = [] if self.profiles else [steps[-1].after for steps in self.sums]
        asked = math.prod(len(s.kinds) for s in self.sides) - len(self.skipped)
        return len(self.rows) == asked * math.prod(ends)

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
    memory: Memory = field(default_factory=Memory)

    def kind(self, slot: str) -> str:
        """Return the record kind of a slot."""
        return self.bicycle.by_id[slot].kind


@dataclass(slots=True)
class Plan:
    """A test about to be judged: the test without its wide totals, its sides, and the values of those totals.

    ``unless``: a slot beside the test; filled, the test is asked in another way and says nothing here.
    """

    table: Table
    staged: Test
    roles: Mapping[str, str]
    values: dict[str, list[Term]]
    unless: str = ""

    @property
    def profiled(self) -> bool:
        """Whether the one total is judged for all its values at once."""
        return len(self.values) == 1

    @property
    def sizes(self) -> list[int]:
        """How many kinds each side has, and how many values each total that is judged value by value."""
        ends = [] if self.profiled else [len(v) for v in self.values.values()]
        return [*(len(s.kinds) for s in self.table.sides), *ends]

    @property
    def teaches(self) -> bool:
        """Whether others can learn from it which pairs are out."""
        return not self.values and len(self.table.sides) <= 2


def plan(
    joint: Joint, place: Place, test: Test, roles: Mapping[str, str], scene: Scene, unless: str = ""
) -> Plan | None:
    """Return a test with all that it will be judged on, or None if a slot that it needs is not in question."""
    here = {**dict.fromkeys(scene.fixed, ()), **{s: c for s, c in scene.candidates.items() if c}}
    if not all(roles[r] in here for r in joint.roles_of(test)):
        return None
    staged, totals = _staged(test, roles, scene)
    sides = sides_of(joint, place, [(staged, roles)], scene)
    if unless:
        sides.append(side_of(unless, (), scene))
    table = Table(joint, place, test, sides)
    values: dict[str, list[Term]] = {}
    for name, total in totals.items():
        steps, values[name] = _sum_steps(total, roles, scene)
        table.sums.append(steps)
        if not steps:
            raise TooManyCombinations(f"{table.name}: {name} sums nothing")
    return Plan(table, staged, roles, values, unless)


def tabulate(found: Plan, scene: Scene, bounds: Bounds | None = None) -> Table:
    """Judge a test on every combination; those that are out by ``bounds`` are not asked about.

    Raises:
        TooManyCombinations: more than ``MOST_COMBINATIONS`` would have to be judged.
    """
    table, sizes = found.table, found.sizes
    if math.prod(sizes) > MOST_COMBINATIONS:
        raise TooManyCombinations(f"{table.name}: {math.prod(sizes)} combinations ({' x '.join(map(str, sizes))})")
    judging = _Judging(found, scene)
    out = list(bounds.out(table.sides)) if bounds is not None else []
    for numbers in itertools.product(*(range(len(s.kinds)) for s in table.sides)):
        if any(never[numbers[p], numbers[q]] for p, q, never in out):
            table.skipped.add(numbers)
        else:
            table.rows += judging.rows(numbers)
    table.profiles = list(judging.known)
    table.tell = judging.rows
    return table


class _Judging:
    """One test on one combination after the other; what is learnt from one serves the next."""

    def __init__(self, found: Plan, scene: Scene) -> None:
        self.plan, self.scene, self.table = found, scene, found.table
        joint, sides = found.table.joint, found.table.sides
        self.known: dict[bytes, int] = {}
        self.name = next(iter(found.values), "")
        self.sums = Sums(found.values[self.name] if found.profiled else ())
        self.reached = scene.memory.number(tuple(self.sums.values))
        self.twins = _differing(found.staged, found.roles, sides) if found.profiled and scene.quick else None
        self.likes: dict[object, Like] = {}
        self.ready: Prepared | None = None
        if scene.quick:
            self.ready = prepare(joint, found.staged, found.roles, sides, scene.fixed, scene.library, scene.memory)

    def rows(self, numbers: tuple[int, ...]) -> list[tuple[tuple[int, ...], int]]:
        """Return the rows of one combination of the sides; none if it does not fit."""
        table, sides = self.table, self.table.sides
        before = self.ready.judged if self.ready is not None else 0
        filled = filling(sides, numbers, self.scene)
        if self.plan.unless and self.plan.unless in filled:
            return self._whatever(numbers)
        asker = Asker(
            table.joint, table.place, self.plan.staged, self.plan.roles, filled, self.scene.library, self.scene.quick
        )
        asker.floor, asker.prepared, asker.numbers = floor_of(sides, numbers), self.ready, numbers
        asker.plains = [{**filled, s.slot: p} for s, n in zip(sides, numbers, strict=True) for p in s.plains[n]]
        found = self._profile(asker, numbers) if self.plan.profiled else self._levels(asker, numbers)
        table.judged += asker.judged if self.ready is None else self.ready.judged - before
        return found

    def _whatever(self, numbers: tuple[int, ...]) -> list[tuple[tuple[int, ...], int]]:
        """Return the rows of a combination of which the test says nothing."""
        values = self.plan.values.values()
        if self.plan.profiled:
            levels = bytes(len(self.sums.values))
            return [((*numbers, self.known.setdefault(levels, len(self.known))), 0)]
        return [((*numbers, *ends), 0) for ends in itertools.product(*(range(len(v)) for v in values))]

    def _levels(self, asker: Asker, numbers: tuple[int, ...]) -> list[tuple[tuple[int, ...], int]]:
        found = []
        values = self.plan.values
        for ends in itertools.product(*(range(len(v)) for v in values.values())):
            level = asker.level({n: v[i] for (n, v), i in zip(values.items(), ends, strict=True)})
            if level is not None:
                found.append(((*numbers, *ends), level))
        return found

    def _profile(self, asker: Asker, numbers: tuple[int, ...]) -> list[tuple[tuple[int, ...], int]]:
        kept = self.scene.memory.profiles
        seen = (*self.ready.key(numbers), asker.floor, self.reached) if self.ready is not None else ()
        levels = kept.get(seen) if seen and not asker.plains else None
        if levels is None:
            levels = asker.profile(self.name, self.sums, self._like(numbers))
            if seen and not asker.plains:
                kept[seen] = levels
        if all(level == NO for level in levels):
            return []
        return [((*numbers, self.known.setdefault(levels, len(self.known))), min(levels))]

    def _like(self, numbers: tuple[int, ...]) -> Like | None:
        twins = self.twins
        if twins is None or (twin := twins.alike[numbers[twins.at]]) is None:
            return None
        rest = (*numbers[: twins.at], *numbers[twins.at + 1 :], twin[0])
        like = self.likes.setdefault(rest, Like(self.table.sides[twins.at].slot, twins.path))
        like.value = twin[1]
        return like


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
    wide = {n: p for n, p in totals.items() if _spreads(p, roles, scene)}
    kept = {n: Given(Num.missing(n)) if n in wide else p for n, p in test.parameters.items()}
    return replace(test, parameters=kept), wide


def _spreads(total: Total, roles: Mapping[str, str], scene: Scene) -> bool:
    """Return whether a total is summed over several slots; over one it is as good as a figure."""
    slots = {roles[r.ref.partition(".")[0]] for r in total.reads}
    return sum(bool(scene.candidates.get(s)) for s in slots) > 1


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
    return [side_of(s, p, scene, _ports(joint, place, s)) for s, p in paths.items()]


def _ports(joint: Joint, place: Place, slot: str) -> frozenset[str]:
    """Return the ports that a joint reads in a slot."""
    refs = (r.ref.split(".") for t in joint.tests for r in t.reads)
    return frozenset(ref[1] for ref in refs if place.roles.get(ref[0]) == slot)


def side_of(slot: str, paths: Iterable[str], scene: Scene, ports: frozenset[str] = frozenset()) -> Side:
    """Return a side that sees these figures of a slot."""
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
        there = side_of(slot, (r.ref.partition(".")[2] for r in reads), scene)
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
