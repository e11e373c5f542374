"""Branches: an open comparison is answered both ways, and what a rule says on each branch becomes a tree.

In: a rule as a function of nothing. Out: the tree of its outcomes. Along a branch each linear form remembers the
interval to which earlier answers confine it, so a branch never contradicts itself about one figure.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Final, Generic, TypeVar

from catalog_schema.lean import dataclass, field

Zero: Final = Decimal(0)
MAX_BRANCHES: Final = 4096
_ENDLESS: Final = "a rule forks without end"
T = TypeVar("T")


@dataclass(slots=True)
class Interval:
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

    def narrowed(self, edge: Decimal, *, below: bool, strict: bool) -> Interval:
        """Return the interval cut at the edge."""
        if below:
            return Interval(self.low, edge, self.low_open, strict, self.excluded)
        return Interval(edge, self.high, strict, self.high_open, self.excluded)

    def without(self, point: Decimal) -> Interval:
        """Return the interval less one point."""
        return Interval(self.low, self.high, self.low_open, self.high_open, self.excluded | {point})


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
    """One run of a rule: the answers to give, after them always yes; what was asked then, and what answers confine."""

    script: tuple[bool, ...]
    given: int = 0
    asked: list[Question] = field(default_factory=list)
    intervals: dict[tuple[tuple[str, Decimal], ...], Interval] = field(default_factory=dict)
    facts: dict[tuple[str, str], bool] = field(default_factory=dict)

    def fork(self, question: Question) -> bool:
        """Return the answer that the script gives here; yes where it has ended."""
        at = self.given
        self.given += 1
        if at < len(self.script):
            return self.script[at]
        if at >= MAX_BRANCHES:
            raise RuntimeError(_ENDLESS)
        self.asked.append(question)
        return True

    def fact(self, key: tuple[str, str], causes: tuple[str, ...]) -> bool:
        """Return whether a fact about missing words holds on this branch."""
        if key not in self.facts:
            self.facts[key] = self.fork(Question(causes, key[1]))
        return self.facts[key]


_running: list[Branch] = []


def running_branch() -> Branch:
    """Return the branch that a rule is being run on."""
    if not _running:
        raise RuntimeError("a missing figure was compared outside a judgement")
    return _running[-1]


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


def explore(rule: Callable[[], T]) -> Tree[T]:
    """Run a rule on every branch and return the tree of its outcomes; without open comparisons that is one leaf."""
    runs = 0

    def grow(script: tuple[bool, ...]) -> Tree[T]:
        nonlocal runs
        runs += 1
        if runs > MAX_BRANCHES:
            raise RuntimeError(_ENDLESS)
        branch = Branch(script)
        _running.append(branch)
        try:
            tree: Tree[T] = Leaf(rule())
        finally:
            _running.pop()
        for at in reversed(range(len(branch.asked))):
            tree = Fork(branch.asked[at], tree, grow((*script, *(True,) * at, False)))
        return tree

    return grow(())
