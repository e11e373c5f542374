"""Figures as rules see them: numbers, words, limits and ranges that may be known, measured or missing.

A rule compares them as if they were plain values. Where a comparison cannot be decided because a figure is missing, or
because a measurement straddles the edge, the comparison *forks*: the rule is run once for each answer. So a rule is
written once, for known figures, and says nothing of missing ones. ``branching.explore`` runs all branches and returns
the tree of what may come out. A number is a linear form over missing and measured figures.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from catalog_schema.lean import dataclass
from solver.rules.branching import Branch, Interval, Question, Zero, running_branch


@dataclass(slots=True, eq=False)
class Num:
    """A number: a constant, plus a linear form over figures that are missing or measured.

    ``terms`` pairs figure names with factors, sorted by name. A figure in ``spread`` was measured: it lies within that
    distance of the value already contained in ``constant``. A number is never changed after it was made; it is not
    declared frozen because a search makes millions, and a frozen one takes three times as long to make.
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
        o = other if type(other) is Num else _num(other)
        if not o.terms:
            return Num(self.constant + o.constant, self.terms, self.spread)
        if not self.terms:
            return Num(self.constant + o.constant, o.terms, o.spread)
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
        o = other if type(other) is Num else _num(other)
        if not o.terms:
            return Num(self.constant - o.constant, self.terms, self.spread)
        return self + o * -1

    def __rsub__(self, other: Decimal | int) -> Num:
        return _num(other) - self

    def __mul__(self, factor: Decimal | int) -> Num:
        f = Decimal(factor)
        if not self.terms:
            return Num(self.constant * f)
        if f == 0:
            return Num(Zero)
        return Num(self.constant * f, tuple((n, c * f) for n, c in self.terms), self.spread)

    __rmul__ = __mul__

    def __truediv__(self, divisor: Decimal | int) -> Num:
        return self * (Decimal(1) / Decimal(divisor))

    def __le__(self, other: Num | Decimal | int) -> bool:
        o = other if type(other) is Num else _num(other)
        if not self.terms and not o.terms:
            return self.constant <= o.constant
        return _at_most(self - o, strict=False)

    def __lt__(self, other: Num | Decimal | int) -> bool:
        o = other if type(other) is Num else _num(other)
        if not self.terms and not o.terms:
            return self.constant < o.constant
        return _at_most(self - o, strict=True)

    def __ge__(self, other: Num | Decimal | int) -> bool:
        o = other if type(other) is Num else _num(other)
        if not self.terms and not o.terms:
            return self.constant >= o.constant
        return _at_most(o - self, strict=False)

    def __gt__(self, other: Num | Decimal | int) -> bool:
        o = other if type(other) is Num else _num(other)
        if not self.terms and not o.terms:
            return self.constant > o.constant
        return _at_most(o - self, strict=True)

    def __eq__(self, other: object) -> bool:
        if type(other) is not Num and not isinstance(other, _NUMBERS):
            return NotImplemented
        o = other if type(other) is Num else _num(other)
        if not self.terms and not o.terms:
            return self.constant == o.constant
        return _equal(self - o)

    def __hash__(self) -> int:
        return hash((self.constant, self.terms))

    def within(self, low: Num | Decimal | int, high: Num | Decimal | int) -> bool:
        """Return whether the number lies between two others; both ends are inside."""
        return self >= low and self <= high

    def near(self, other: Num | Decimal | int, slack: Num | Decimal | int) -> bool:
        """Return whether the number differs from another by no more than ``slack``."""
        off, reach = self - other, _num(slack)
        if not off.terms and not reach.terms:
            return -reach.constant <= off.constant <= reach.constant
        return off.within(-reach, reach)


_NUMBERS = (Decimal, int)


def _num(value: Num | Decimal | int) -> Num:
    if type(value) is Num:
        return value
    return Num(value if type(value) is Decimal else Decimal(value))  # type: ignore[arg-type]


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


def _interval(branch: Branch, form: Num, key: tuple[tuple[str, Decimal], ...]) -> Interval:
    """Return what is known of the terms of a form, the constant left out."""
    if key not in branch.intervals:
        spread = dict(form.spread)
        if all(n in spread for n, _ in key):
            reach = sum((abs(c) * spread[n] for n, c in key), Zero)
            branch.intervals[key] = Interval(-reach, reach)
        else:
            branch.intervals[key] = Interval()
    return branch.intervals[key]


def _at_most(form: Num, *, strict: bool) -> bool:
    """Return whether ``form`` <= 0 (< 0 if strict) on this branch."""
    if not form.terms:
        return form.constant < 0 if strict else form.constant <= 0
    branch = running_branch()
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
    branch = running_branch()
    key, scale, causes, measured = _form(form)
    interval = _interval(branch, form, key)
    point = -form.constant / scale
    sure = interval.equal(point)
    if sure is None:
        sure = branch.fork(_question(form, causes, measured))
        branch.intervals[key] = Interval(point, point) if sure else interval.without(point)
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
            return running_branch().fact((first, f"={second}"), (first, second))
        if not isinstance(other, str):
            return NotImplemented
        if self.word is not None:
            return self.word == other
        branch = running_branch()
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
            return running_branch().fact((self.name, "not-printed"), (self.name,))
        return self.state == "not-printed"


@dataclass(frozen=True, slots=True)
class SpanFigure:
    """A range; either end may be missing."""

    low: Num
    high: Num

    def holds(self, number: Num) -> bool:
        """Return whether the number lies in the range; both ends are inside."""
        return number >= self.low and number <= self.high


def number(cell: Decimal | str | None) -> Decimal:
    """Return the number in a cell of a table.

    Raises:
        TypeError: there is none.
    """
    if not isinstance(cell, Decimal):
        raise TypeError(f"the table has no number here: {cell!r}")
    return cell
