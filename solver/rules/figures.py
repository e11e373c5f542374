"""Figures as rules see them: numbers, words, limits and ranges that may be known, measured or missing.

A rule compares them as if they were plain values. Where a comparison cannot be decided because a figure is missing, or
because a measurement straddles the edge, the comparison *forks*: the rule is run once for each answer. So a rule is
written once, for known figures, and says nothing of missing ones. ``explore`` runs all branches and returns the tree of
what may come out.

A number is a linear form over missing and measured figures. Along a branch each form remembers the interval to which
earlier answers confine it, so a branch never contradicts itself about one figure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Generic, TypeVar

Zero: Final = Decimal(0)
T = TypeVar("T")


@dataclass(slots=True)
class _Interval:
    """What is known of a form on this branch: from ``low`` to ``high``, ends open or closed, some points excluded."""

    low: Decimal | None = None
    high: Decimal | None = None
    low_open: bool = False
    high_open: bool = False
    excluded: frozenset[Decimal] = frozenset()

    def at_most(self, edge: Decimal, *, strict: bool) -> bool | None:
        """Return whether every value is <= edge (< if strict), or None if some are and some are not."""
        if self.high is not None and (
            self.high < edge or (self.high == edge and (not strict or self.high_open or edge in self.excluded))
        ):
            return True
        if self.low is not None and (
            self.low > edge or (self.low == edge and (strict or self.low_open or edge in self.excluded))
        ):
            return False
        return None

    def equal(self, point: Decimal) -> bool | None:
        """Return whether every value is the point (True), none is (False), or it is open (None)."""
        if point in self.excluded:
            return False
        if self.low is not None and (self.low > point or (self.low == point and self.low_open)):
            return False
        if self.high is not None and (self.high < point or (self.high == point and self.high_open)):
            return False
        return True if self.low == self.high == point else None

    def narrowed(self, edge: Decimal, *, below: bool, strict: bool) -> _Interval:
        """Return the interval cut at the edge."""
        if below:
            return _Interval(self.low, edge, self.low_open, strict, self.excluded)
        return _Interval(edge, self.high, strict, self.high_open, self.excluded)

    def without(self, point: Decimal) -> _Interval:
        """Return the interval less one point."""
        return _Interval(self.low, self.high, self.low_open, self.high_open, self.excluded | {point})


@dataclass(frozen=True, slots=True)
class Question:
    """An open comparison: the figures that leave it open, and the edge (of a single figure) or word at stake.

    ``measured``: only resolution leaves it open. ``form`` was compared with ``at``, give or take ``reach`` if measured.
    """

    causes: tuple[str, ...]
    edge: Decimal | str | None = None
    measured: bool = False
    form: tuple[tuple[str, Decimal], ...] = ()
    at: Decimal = Zero
    reach: Decimal = Zero


@dataclass(slots=True)
class Branch:
    """One run of a rule: the answers to give, the answers given, and what they confine."""

    script: tuple[bool, ...]
    given: list[bool] = field(default_factory=list)
    intervals: dict[tuple[tuple[str, Decimal], ...], _Interval] = field(default_factory=dict)
    facts: dict[tuple[str, str], bool] = field(default_factory=dict)
    pending: Question | None = None

    def fork(self, question: Question) -> bool:
        """Return the answer that the script gives here, or stop the run: the script ends."""
        at = len(self.given)
        if at >= len(self.script):
            self.pending = question
            raise _Undecided
        answer = self.script[at]
        self.given.append(answer)
        return answer

    def fact(self, key: tuple[str, str], causes: tuple[str, ...]) -> bool:
        """Return whether a fact about missing words holds on this branch."""
        if key not in self.facts:
            self.facts[key] = self.fork(Question(causes, key[1]))
        return self.facts[key]


class _Undecided(Exception):
    """The run met a comparison that its script does not answer."""


_running: list[Branch] = []


def _branch() -> Branch:
    if not _running:
        raise RuntimeError("a missing figure was compared outside a judgement")
    return _running[-1]


@dataclass(frozen=True, slots=True, eq=False)
class Num:
    """A number: a constant, plus a linear form over figures that are missing or measured.

    ``terms`` pairs figure names with factors, sorted by name. A figure in ``spread`` was measured: it lies within that
    distance of the value already contained in ``constant``.
    """

    constant: Decimal
    terms: tuple[tuple[str, Decimal], ...] = ()
    spread: tuple[tuple[str, Decimal], ...] = ()

    @staticmethod
    def missing(name: str) -> Num:
        """Return the number of a figure that nobody stated."""
        return Num(Zero, ((name, Decimal(1)),))

    @staticmethod
    def measured(name: str, value: Decimal, resolution: Decimal) -> Num:
        """Return the number of a measured figure."""
        return Num(value, ((name, Decimal(1)),), ((name, resolution),))

    @property
    def known(self) -> bool:
        """Whether the number is a plain one."""
        return not self.terms

    @property
    def value(self) -> Decimal | None:
        """The number, as measured if it was measured; None if it rests on a missing figure."""
        measured = dict(self.spread)
        return self.constant if all(n in measured for n, _ in self.terms) else None

    def __add__(self, other: Num | Decimal | int) -> Num:
        o = _num(other)
        if not self.terms and not o.terms:
            return Num(self.constant + o.constant)
        terms: dict[str, Decimal] = dict(self.terms)
        for name, factor in o.terms:
            terms[name] = terms.get(name, Zero) + factor
        kept = tuple(sorted((n, f) for n, f in terms.items() if f))
        spread = {**dict(self.spread), **dict(o.spread)}
        return Num(
            self.constant + o.constant, kept, tuple(sorted((n, s) for n, s in spread.items() if n in dict(kept)))
        )

    __radd__ = __add__

    def __neg__(self) -> Num:
        return self * -1

    def __sub__(self, other: Num | Decimal | int) -> Num:
        o = _num(other)
        if not self.terms and not o.terms:
            return Num(self.constant - o.constant)
        return self + o * -1

    def __rsub__(self, other: Decimal | int) -> Num:
        return _num(other) - self

    def __mul__(self, factor: Decimal | int) -> Num:
        f = Decimal(factor)
        if f == 0:
            return Num(Zero)
        return Num(self.constant * f, tuple((n, c * f) for n, c in self.terms), self.spread)

    __rmul__ = __mul__

    def __truediv__(self, divisor: Decimal | int) -> Num:
        return self * (Decimal(1) / Decimal(divisor))

    def __le__(self, other: Num | Decimal | int) -> bool:
        return _at_most(self - _num(other), strict=False)

    def __lt__(self, other: Num | Decimal | int) -> bool:
        return _at_most(self - _num(other), strict=True)

    def __ge__(self, other: Num | Decimal | int) -> bool:
        return _at_most(_num(other) - self, strict=False)

    def __gt__(self, other: Num | Decimal | int) -> bool:
        return _at_most(_num(other) - self, strict=True)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Num | Decimal | int):
            return NotImplemented
        return _equal(self - _num(other))

    def __hash__(self) -> int:
        return hash((self.constant, self.terms))

    def within(self, low: Num | Decimal | int, high: Num | Decimal | int) -> bool:
        """Return whether the number lies between two others; both ends are inside."""
        return self >= low and self <= high

    def near(self, other: Num | Decimal | int, slack: Num | Decimal | int) -> bool:
        """Return whether the number differs from another by no more than ``slack``."""
        return (self - _num(other)).within(-_num(slack), slack)


def _num(value: Num | Decimal | int) -> Num:
    return value if isinstance(value, Num) else Num(Decimal(value))


def _form(form: Num) -> tuple[tuple[tuple[str, Decimal], ...], Decimal, tuple[str, ...], bool]:
    """Return a form scaled to a common key, the scale, the figures that leave it open, and whether all are measured."""
    scale = form.terms[0][1]
    key = tuple((n, c / scale) for n, c in form.terms)
    measured = dict(form.spread)
    causes = tuple(n for n, _ in form.terms if n not in measured)
    return key, scale, causes or tuple(n for n, _ in form.terms), not causes


def _question(form: Num, causes: tuple[str, ...], measured: bool) -> Question:
    alone, scale = len(form.terms) == 1, form.terms[0][1]
    key, spread, at = tuple((n, c / scale) for n, c in form.terms), dict(form.spread), -form.constant / scale
    reach = sum((abs(c) * spread.get(n, Zero) for n, c in key), Zero)
    return Question(causes, at if alone else None, measured, key, at, reach)


def _interval(branch: Branch, form: Num, key: tuple[tuple[str, Decimal], ...]) -> _Interval:
    """Return what is known of the terms of a form, the constant left out."""
    if key not in branch.intervals:
        spread = dict(form.spread)
        if all(n in spread for n, _ in key):
            reach = sum((abs(c) * spread[n] for n, c in key), Zero)
            branch.intervals[key] = _Interval(-reach, reach)
        else:
            branch.intervals[key] = _Interval()
    return branch.intervals[key]


def _at_most(form: Num, *, strict: bool) -> bool:
    """Return whether ``form`` <= 0 (< 0 if strict) on this branch."""
    if not form.terms:
        return form.constant < 0 if strict else form.constant <= 0
    branch = _branch()
    key, scale, causes, measured = _form(form)
    interval = _interval(branch, form, key)
    edge = -form.constant / scale
    # scale * terms <= -constant: an upper edge for the terms if scale > 0, else a lower one
    if scale > 0:
        sure = interval.at_most(edge, strict=strict)
        if sure is None:
            sure = branch.fork(_question(form, causes, measured))
            branch.intervals[key] = interval.narrowed(edge, below=sure, strict=strict if sure else not strict)
        return sure
    below = interval.at_most(edge, strict=not strict)
    if below is None:
        holds = branch.fork(_question(form, causes, measured))
        branch.intervals[key] = interval.narrowed(edge, below=not holds, strict=strict if holds else not strict)
        return holds
    return not below


def _equal(form: Num) -> bool:
    if not form.terms:
        return form.constant == 0
    branch = _branch()
    key, scale, causes, measured = _form(form)
    interval = _interval(branch, form, key)
    point = -form.constant / scale
    sure = interval.equal(point)
    if sure is None:
        sure = branch.fork(_question(form, causes, measured))
        branch.intervals[key] = _Interval(point, point) if sure else interval.without(point)
    return sure


@dataclass(frozen=True, slots=True, eq=False)
class WordFigure:
    """A word of the library, known or missing."""

    name: str
    word: str | None

    @property
    def known(self) -> bool:
        """Whether the word is known."""
        return self.word is not None

    def __eq__(self, other: object) -> bool:
        if isinstance(other, WordFigure):
            if self.word is not None and other.word is not None:
                return self.word == other.word
            if self.word is not None:
                return other == self.word
            if other.word is not None:
                return self == other.word
            if self.name == other.name:
                return True
            first, second = sorted((self.name, other.name))
            return _branch().fact((first, f"={second}"), (first, second))
        if not isinstance(other, str):
            return NotImplemented
        if self.word is not None:
            return self.word == other
        branch = _branch()
        if any(k[0] == self.name and held and k[1] != other for k, held in branch.facts.items() if k[1][:1] != "="):
            return False
        return branch.fact((self.name, other), (self.name,))

    def __hash__(self) -> int:
        return hash((self.name, self.word))

    def within(self, words: Iterable[str]) -> bool:
        """Return whether the word is one of these."""
        return any(self == w for w in words)


@dataclass(frozen=True, slots=True)
class LimitFigure:
    """A limit that a maker may print: a figure, ``not_printed``, or not stated (then both are possible)."""

    name: str
    state: str
    number: Num

    @property
    def not_printed(self) -> bool:
        """Whether somebody looked and the maker prints none."""
        if self.state == "not-stated":
            return _branch().fact((self.name, "not-printed"), (self.name,))
        return self.state == "not-printed"


@dataclass(frozen=True, slots=True)
class SpanFigure:
    """A range; either end may be missing."""

    low: Num
    high: Num

    def holds(self, number: Num) -> bool:
        """Return whether the number lies in the range; both ends are inside."""
        return number >= self.low and number <= self.high


@dataclass(frozen=True, slots=True)
class Leaf(Generic[T]):
    """What a rule returns on one branch."""

    outcome: T


@dataclass(frozen=True, slots=True)
class Fork(Generic[T]):
    """A comparison that may come out either way."""

    question: Question
    yes: Tree[T]
    no: Tree[T]


Tree = Leaf[T] | Fork[T]

MAX_BRANCHES: Final = 4096


def explore(rule: Callable[[], T]) -> Tree[T]:
    """Run a rule on every branch and return the tree of its outcomes; without open comparisons that is one leaf."""
    budget = [MAX_BRANCHES]

    def grow(script: tuple[bool, ...]) -> Tree[T]:
        budget[0] -= 1
        if budget[0] < 0:
            raise RuntimeError("a rule forks without end")
        branch = Branch(script)
        _running.append(branch)
        try:
            return Leaf(rule())
        except _Undecided:
            if branch.pending is None:
                raise RuntimeError("a rule swallowed an open comparison") from None
            question = branch.pending
        finally:
            _running.pop()
        return Fork(question, grow((*script, True)), grow((*script, False)))

    return grow(())
