"""One combination of parts asked about one test, and about all values of a sum at once.

In: a test, what fills its slots, a sum that was worked out beforehand. Out: a level. A sum is asked about only where
the rule may change its mind: run once with the sum left open, the rule names every figure that it compares it with.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final

import numpy as np

from catalog_schema.library import Library
from solver.network.prepared import Prepared
from solver.network.projection import Term, readings
from solver.network.projection import number as as_number
from solver.network.sums import Codes, Sums
from solver.report import Verdict
from solver.rules.branching import Fork, Question, Tree
from solver.rules.figures import Num
from solver.rules.judging import Filled, is_asked, judge, outcomes
from solver.rules.registry import Given, Joint, Outcome, Place, Test

LEVEL: Final = {Verdict.FITS: 0, Verdict.NEEDS_ADAPTER: 1, Verdict.NEEDS_WORK: 2, Verdict.NOT_KNOWN: 3}
UNKNOWN: Final = 3
NO: Final = 9


@dataclass(slots=True)
class Asker:
    """One combination. ``floor`` is the least level of the joint if it is judged at all.

    ``plains`` are the same parts with an option as shipped in place of one that nobody states how to get: where that
    would be worse, the joint is not known. ``quick`` allows short cuts; ``prepared`` is the test made ready, to be
    asked with ``numbers``.
    """

    joint: Joint
    place: Place
    test: Test
    roles: Mapping[str, str]
    filled: Mapping[str, Filled]
    library: Library
    quick: bool = True
    floor: int = 0
    plains: list[dict[str, Filled]] = field(default_factory=list)
    prepared: Prepared | None = None
    numbers: Sequence[int] = ()
    judged: int = 0

    def level(self, totals: Mapping[str, Term]) -> int | None:
        """Return the level with these totals; None if it does not fit."""
        found = self._alone(self.filled, totals)
        for plain in self.plains:
            if found is not None and found < UNKNOWN:
                shipped = self._alone(plain, totals)
                if shipped is None or shipped > found:
                    found = UNKNOWN
        return found

    def profile(self, name: str, sums: Sums, like: Like | None = None) -> bytes:
        """Return the level at each value of the one total.

        ``like`` is what is known of combinations that differ in one figure only; it learns from this one.
        """
        if not self.quick or self.plains or len(sums.values) <= 8:
            return self._told(name, sums, sums.apart(), {})
        if not self._asked(self.filled):
            return self._told(name, sums, np.zeros(len(sums.values), dtype=np.int64), {})
        if like is not None and like.ratio is None:
            like.ratio = self._ratio(name, like)
            like.first, like.edges = like.value, self.edges(name)
        if like is not None and like.ratio and like.edges is not None:
            codes = sums.codes(like.edges, like.ratio * (like.value - like.first))
            return self._told(name, sums, codes, like.kept, like.value)
        edges = self.edges(name)
        return self._told(name, sums, sums.apart() if edges is None else sums.codes(edges), {})

    def _told(self, name: str, sums: Sums, codes: Codes, kept: dict[object, int], mine: Decimal | None = None) -> bytes:
        """Return the level at each value, asked once for each code; ``mine``: the figure on which more may depend."""
        different, first, place = np.unique(codes, return_index=True, return_inverse=True)
        levels = bytearray()
        for code, at in zip(different.tolist(), first.tolist(), strict=True):
            value = sums.values[at]
            key = code if code >= 0 else (value, mine)
            if key not in kept:
                level = self.level({name: value})
                kept[key] = NO if level is None else level
            levels.append(kept[key])
        return np.frombuffer(bytes(levels), dtype=np.uint8)[place].tobytes()

    def _ratio(self, name: str, like: Like) -> Decimal:
        """Return the factor of a figure beside a total, if both are only ever compared in one sum; else 0."""
        ref = f"{like.slot}.{like.path}"
        found: set[Decimal] = set()
        for question in self._open(name, without=like):
            form = dict(question.form)
            if (name in form) != (ref in form) or (ref in question.causes and ref not in form):
                return Decimal(0)
            if name in form:
                if ref not in question.causes:
                    return Decimal(0)
                found.add(form[ref] / form[name])
        return found.pop() if len(found) == 1 else Decimal(0)

    def _open(self, name: str, without: Like | None = None) -> list[Question]:
        """Return all that the rule asks with the total left open, and with another figure missing too."""
        test = replace(self.test, parameters={**self.test.parameters, name: Given(Num.missing(name))})
        asked: list[Question] = []
        for known in readings(test, self.roles, self.filled):
            if without is not None:
                for ref in known:
                    role, _, path = ref.partition(".")
                    if self.roles[role] == without.slot and path == without.path:
                        known[ref] = None
            asked += questions(outcomes(test, self.roles, known, self.filled, self.library))
        return asked

    def _alone(self, filled: Mapping[str, Filled], totals: Mapping[str, Term]) -> int | None:
        self.judged += 1
        if any(t.conflict for t in totals.values()):
            return UNKNOWN if self._asked(filled) else 0
        found: Verdict | None
        if self.prepared is not None and filled is self.filled:
            found = self.prepared.verdict(self.numbers, filled, totals, lambda: self._judged(filled, totals))
        else:
            found = self._judged(filled, totals) if self._asked(filled) else None
        if found is None:
            return 0
        between = self.roles != self.place.roles
        verdict = Verdict.NO_FIT if between and found is Verdict.NEEDS_ADAPTER else found
        if verdict in LEVEL and self.joint.safety and any(t.weak for t in totals.values()):
            return UNKNOWN
        level = LEVEL.get(verdict)
        return None if level is None else max(level, self.floor)

    def _judged(self, filled: Mapping[str, Filled], totals: Mapping[str, Term]) -> Verdict:
        test = self.test
        if totals:
            given = {n: Given(as_number(n, t)) for n, t in totals.items()}
            test = replace(test, parameters={**test.parameters, **given})
        return judge(self.joint, test, self.roles, filled, self.library).verdict

    def _asked(self, filled: Mapping[str, Filled]) -> bool:
        needed = all(self.roles[r] in filled for r in self.joint.roles_of(self.test))
        return needed and is_asked(self.test, self.roles, filled)

    def edges(self, name: str) -> list[Decimal] | None:
        """Return the figures that a total is compared with; between two of them no value is told from another.

        The total is compared alone, or with measured figures (then an edge is blurred by what they may be off), or
        together with a missing figure that takes up whatever the total is. None: something else.
        """
        asked = self._open(name)
        found: set[Decimal] = set()
        takers = _takers(name, asked)
        for question in asked:
            form = dict(question.form)
            factor = form.get(name)
            if factor is None or takers & form.keys():
                continue
            if question.causes != (name,):
                return None
            at, reach = question.at / factor, question.reach / abs(factor)
            found |= {at - reach, at + reach}
        return sorted(found)


@dataclass(slots=True)
class Like:
    """Combinations that differ in one exact figure only, and what is known of them.

    The figure is ``path`` in ``slot``, ``value`` what it is in the combination at hand. ``ratio`` is its factor beside
    the total (0: they are not always compared together), ``edges`` hold for the value ``first``.
    """

    slot: str = ""
    path: str = ""
    value: Decimal = Decimal(0)
    ratio: Decimal | None = None
    first: Decimal = Decimal(0)
    edges: list[Decimal] | None = None
    kept: dict[object, int] = field(default_factory=dict)


def _takers(name: str, asked: Sequence[Question]) -> set[str]:
    """Return missing figures that take up whatever a total is: they only ever stand in a sum with it, in one ratio.

    Of several in one sum only one counts, the one that stands in most sums.
    """
    mine = [dict(q.form) for q in asked if any(n == name for n, _ in q.form)]
    found: dict[str, int] = {}
    for other in sorted({c for q in asked for c in q.causes} - {name}):
        with_it = [f for f in mine if other in f]
        ratios = {f[other] / f[name] for f in with_it}
        missing = all(other in q.causes for q in asked if any(n == other for n, _ in q.form))
        apart = any(other in q.causes and not any(n == name for n, _ in q.form) for q in asked)
        if with_it and len(ratios) == 1 and missing and not apart:
            found[other] = len(with_it)
    chosen: set[str] = set()
    for other in sorted(found, key=lambda o: -found[o]):
        if not any(other in f and chosen & f.keys() for f in mine):
            chosen.add(other)
    return chosen


def questions(tree: Tree[Outcome]) -> Iterator[Question]:
    """Yield every open comparison of a tree."""
    if isinstance(tree, Fork):
        yield tree.question
        yield from questions(tree.yes)
        yield from questions(tree.no)
