"""A test made ready: what each side gives to the rule is worked out once a kind, and nothing is judged twice.

In: a test and its sides. Out: the verdict of a combination. Kinds that give the test the same figures are one; twin
places (front and rear) share their verdicts. What is not plain is left to the judge.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from catalog_schema.figures import Known
from catalog_schema.library import Library
from solver.network.projection import Side, Term, number, readings
from solver.report import Verdict
from solver.rules.branching import Leaf, Zero, explore
from solver.rules.figures import Num
from solver.rules.judging import Filled, argument, is_asked, settled
from solver.rules.registry import FromLibrary, Given, Joint, Read, Test, Total


@dataclass(slots=True)
class Memory:
    """What was judged before, for all tests of one network: verdicts and profiles by what the test could see."""

    numbers: dict[object, int] = field(default_factory=dict)
    verdicts: dict[object, Verdict | None] = field(default_factory=dict)
    profiles: dict[object, bytes] = field(default_factory=dict)

    def number(self, content: object) -> int:
        """Return a number for a content; the same for the same content."""
        return self.numbers.setdefault(content, len(self.numbers))


@dataclass(slots=True)
class _Part:
    """What one kind of one side gives: arguments, shares of totals, and whether a row behind it is weak."""

    arguments: dict[str, Any] = field(default_factory=dict)
    shares: dict[str, Num] = field(default_factory=dict)
    weak: bool = False


@dataclass(slots=True)
class Prepared:
    """A test with its sides.

    Attributes:
        base: what stands beside the sides; None if that is not plain.
        parts: for each side its kinds; None for kinds that are not plain: several readings, or in conflict.
        alike: for each side a number for each kind; kinds with one number give the test the same figures.
        bare: the test as far as it does not depend on the sides.
        judged: how often the rule was asked.
    """

    joint: Joint
    test: Test
    roles: Mapping[str, str]
    library: Library
    memory: Memory
    base: _Part | None
    parts: list[list[_Part | None]]
    alike: list[list[int]]
    bare: object
    weak_adapters: bool
    judged: int = 0

    def key(self, numbers: Sequence[int]) -> tuple[object, ...]:
        """Return what the test sees of a combination."""
        return (self.bare, *(side[n] for side, n in zip(self.alike, numbers, strict=True)))

    def verdict(
        self,
        numbers: Sequence[int],
        filled: Mapping[str, Filled],
        totals: Mapping[str, Term],
        judge: Callable[[], Verdict],
    ) -> Verdict | None:
        """Return the verdict of a combination with these totals beside it; None if the test is not asked of it.

        ``judge`` gives the verdict where the short way cannot tell.
        """
        key = (*self.key(numbers), *totals.items())
        if key not in self.memory.verdicts:
            self.memory.verdicts[key] = self._verdict(numbers, filled, totals, judge)
        return self.memory.verdicts[key]

    def _verdict(
        self,
        numbers: Sequence[int],
        filled: Mapping[str, Filled],
        totals: Mapping[str, Term],
        judge: Callable[[], Verdict],
    ) -> Verdict | None:
        needed = all(self.roles[r] in filled for r in self.joint.roles_of(self.test))
        if not needed or not is_asked(self.test, self.roles, filled):
            return None
        self.judged += 1
        short = self._short(numbers, {n: number(n, t) for n, t in totals.items()})
        return judge() if short is None else short

    def _short(self, numbers: Sequence[int], totals: Mapping[str, Num]) -> Verdict | None:
        if self.base is None:
            return None
        arguments, weak = dict(self.base.arguments), self.base.weak
        shares = dict(self.base.shares)
        for side, at in zip(self.parts, numbers, strict=True):
            part = side[at]
            if part is None:
                return None
            arguments.update(part.arguments)
            weak = weak or part.weak
            for name, share in part.shares.items():
                shares[name] = shares[name] + share
        arguments.update(shares)
        arguments.update(totals)
        tree = explore(lambda: self.test.rule(**arguments))
        plain = isinstance(tree, Leaf)
        verdict = tree.outcome.verdict if isinstance(tree, Leaf) else settled(self.joint, self.test, tree).verdict
        if self.joint.safety and verdict < Verdict.NOT_KNOWN:
            if self.weak_adapters and (verdict is Verdict.NEEDS_ADAPTER or not plain):
                return None
            if weak:
                return Verdict.NOT_KNOWN
        return verdict


def prepare(
    joint: Joint,
    test: Test,
    roles: Mapping[str, str],
    sides: Sequence[Side],
    fixed: Mapping[str, Filled],
    library: Library,
    memory: Memory,
) -> Prepared:
    """Return a test made ready."""
    mine = {s.slot for s in sides}
    beside = [r for r in test.reads if roles[r.ref.partition(".")[0]] not in mine]
    base = _part(test, roles, beside, fixed, library)
    adapters = {p.row for p in test.parameters.values() if isinstance(p, FromLibrary) and p.what == "adapter"}
    if base is not None:
        for name, parameter in test.parameters.items():
            if isinstance(parameter, Given | FromLibrary):
                base.arguments[name] = argument(parameter, roles, {}, {}, library)
            elif isinstance(parameter, Total):
                base.shares.setdefault(name, Num(Zero))
        base.weak = base.weak or any(_weak(library, r) for r in test.rows if r not in adapters)
    parts, alike = [], []
    for where in sides:
        playing = tuple(sorted(r for r, slot in roles.items() if slot == where.slot))
        refs = {*(r.ref for r in test.reads), *test.asked_if, *test.asked_unless}
        paths = {path for role, _, path in (ref.partition(".") for ref in refs) if role in playing}
        paths |= {"material"} if any(p.endswith(".material") for p in paths) else set()
        reads = [r for r in test.reads if r.ref.partition(".")[0] in playing]
        filled: list[dict[str, Filled]] = [{where.slot: k} if k is not None else {} for k in where.kinds]
        parts.append([_part(test, roles, reads, f, library) for f in filled])
        alike.append([memory.number((playing, _content(k, paths))) for k in where.kinds])
    staged = tuple(n for n, p in test.parameters.items() if isinstance(p, Given))
    given = tuple((role, slot) for role, slot in roles.items() if slot in fixed)
    bare = (joint.id, test.id, staged, given)
    weak_adapters = any(_weak(library, r) for r in adapters)
    return Prepared(joint, test, roles, library, memory, base, parts, alike, memory.number(bare), weak_adapters)


def _content(kind: Filled | None, paths: set[str]) -> object:
    """Return what a test can see of a kind, of each reading of its names."""
    if kind is None:
        return None
    variants = (tuple(sorted(((p, v[p]) for p in paths if p in v), key=lambda pv: pv[0])) for v in kind.variants)
    return kind.kind, tuple(dict.fromkeys(variants))


def _part(
    test: Test, roles: Mapping[str, str], reads: Sequence[Read], filled: Mapping[str, Filled], library: Library
) -> _Part | None:
    found = list(readings(test, roles, filled))
    if len(found) != 1:
        return None
    known = found[0]
    mine = {r.ref: known[r.ref] for r in reads}
    if any(k is not None and k.conflict for k in mine.values()):
        return None
    out = _Part(weak=any(k is not None and k.row is not None and _weak(library, k.row) for k in mine.values()))
    refs = set(mine)
    for name, parameter in test.parameters.items():
        if isinstance(parameter, Read) and parameter.ref in refs:
            out.arguments[name] = argument(parameter, roles, known, filled, library)
        elif isinstance(parameter, Total):
            shares = [_share(r, roles, known, filled, library) for r in parameter.reads if r.ref in refs]
            if shares:
                out.shares[name] = sum(shares, Num(Zero))
    return out


def _share(
    read: Read,
    roles: Mapping[str, str],
    known: Mapping[str, Known | None],
    filled: Mapping[str, Filled],
    library: Library,
) -> Num:
    return argument(Total((read,)), roles, known, filled, library)  # type: ignore[no-any-return]


def _weak(library: Library, row: str) -> bool:
    grounds = library.rows[row].grounds
    return grounds.basis == "memory" or grounds.confidence == "low"
