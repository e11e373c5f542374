"""The arguments of a test made ready: what each side gives to the rule is worked out once a kind.

In: a test and its sides. Out: the verdict of a combination in which every figure is known; anything else is left to the
judge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from catalog_schema.figures import Known
from catalog_schema.library import Library
from solver.network.projection import Side, readings
from solver.report import Verdict
from solver.rules.figures import Leaf, Num, Zero, explore
from solver.rules.judging import Filled, argument
from solver.rules.registry import FromLibrary, Given, Joint, Read, Test, Total


@dataclass(slots=True)
class _Part:
    """What one kind of one side gives: arguments, shares of totals, and whether a row behind it is weak."""

    arguments: dict[str, Any] = field(default_factory=dict)
    shares: dict[str, Num] = field(default_factory=dict)
    weak: bool = False


@dataclass(slots=True)
class Prepared:
    """A test with its sides. ``parts`` are None for kinds that are not plain: several readings, or in conflict."""

    joint: Joint
    test: Test
    base: _Part
    parts: list[list[_Part | None]]
    weak_adapters: bool

    def verdict(self, numbers: Sequence[int], totals: Mapping[str, Num]) -> Verdict | None:
        """Return the verdict of a combination with these totals beside it; None: ask the judge."""
        arguments, weak = dict(self.base.arguments), self.base.weak
        shares = dict(self.base.shares)
        for side, number in zip(self.parts, numbers, strict=True):
            part = side[number]
            if part is None:
                return None
            arguments.update(part.arguments)
            weak = weak or part.weak
            for name, share in part.shares.items():
                shares[name] = shares[name] + share
        arguments.update(shares)
        arguments.update(totals)
        tree = explore(lambda: self.test.rule(**arguments))
        if not isinstance(tree, Leaf):
            return None
        verdict = tree.outcome.verdict
        if self.joint.safety and verdict < Verdict.NOT_KNOWN:
            if verdict is Verdict.NEEDS_ADAPTER and self.weak_adapters:
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
) -> Prepared | None:
    """Return a test made ready, None if what stands beside the sides is not plain."""
    mine = {s.slot for s in sides}
    beside = [r for r in test.reads if roles[r.ref.partition(".")[0]] not in mine]
    base = _part(test, roles, beside, fixed, library)
    if base is None:
        return None
    for name, parameter in test.parameters.items():
        if isinstance(parameter, Given | FromLibrary):
            base.arguments[name] = argument(parameter, roles, {}, {}, library)
        elif isinstance(parameter, Total):
            base.shares.setdefault(name, Num(Zero))
    adapters = {p.row for p in test.parameters.values() if isinstance(p, FromLibrary) and p.what == "adapter"}
    base.weak = base.weak or any(_weak(library, r) for r in test.rows if r not in adapters)
    parts = []
    for where in sides:
        reads = [r for r in test.reads if roles[r.ref.partition(".")[0]] == where.slot]
        kinds = [{where.slot: k} if k is not None else {} for k in where.kinds]
        parts.append([_part(test, roles, reads, k, library) for k in kinds])
    return Prepared(joint, test, base, parts, any(_weak(library, r) for r in adapters))


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
