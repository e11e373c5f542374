"""The neutral records that questions answer with and renderers show: verdicts, findings, missing parts.

They hold words of closed lists, figures and ids, never prose; ``wording`` makes sentences of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import IntEnum
from typing import Literal

from catalog_schema.quantity import Value


class Verdict(IntEnum):
    """How two or more parts go together; a greater value is worse."""

    FITS = 0
    NEEDS_ADAPTER = 1
    NEEDS_WORK = 2
    NOT_KNOWN = 3
    NO_FIT = 4
    UNSAFE = 5

    @property
    def word(self) -> str:
        """The verdict as it stands in data and JSON."""
        return self.name.lower().replace("_", "-")

    @classmethod
    def of(cls, word: str) -> Verdict:
        """Return the verdict with this word."""
        return cls[word.upper().replace("-", "_")]


YES = frozenset({Verdict.FITS, Verdict.NEEDS_ADAPTER, Verdict.NEEDS_WORK})
NO = frozenset({Verdict.NO_FIT, Verdict.UNSAFE})

JointState = Literal["judged", "not-asked", "does-not-arise", "follows"]


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """A figure of a finding. ``ref`` is slot.port.figure (or empty if computed), ``row`` the row that settled it."""

    name: str
    ref: str
    value: Value | Decimal | None
    row: str = ""
    named: Value | None = None


@dataclass(frozen=True, slots=True)
class TestResult:
    """One test of a joint, judged. ``perhaps`` is set where only kinds of no are left and which is not known."""

    __test__ = False

    test: str
    verdict: Verdict
    reason: str
    perhaps: Verdict | None = None
    figures: tuple[ShownFigure, ...] = ()
    missing: tuple[str, ...] = ()
    possible: tuple[Verdict, ...] = ()
    remarks: tuple[str, ...] = ()
    adapters: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()

    @property
    def rank(self) -> tuple[int, int]:
        """Sort key: worse is greater; ``no-fit, perhaps unsafe`` lies between its two halves."""
        return (int(self.verdict), 1 if self.perhaps is not None else 0)


@dataclass(frozen=True, slots=True)
class Finding:
    """One joint judged once, at one place.

    ``through`` names adapter slots that are filled and lie between; ``settings`` the option chosen of each part that
    has settings; ``labels`` the part in each slot, as printed where two of a kind must be told apart.
    """

    joint: str
    place: str
    state: JointState
    verdict: Verdict = Verdict.FITS
    perhaps: Verdict | None = None
    reason: str = ""
    slots: tuple[str, ...] = ()
    tests: tuple[TestResult, ...] = ()
    follows: str = ""
    through: tuple[str, ...] = ()
    settings: tuple[tuple[str, str, str], ...] = ()
    labels: tuple[tuple[str, str], ...] = ()
    safety: bool = False

    @property
    def id(self) -> str:
        """The joint and its place: ``wheels.hub-in-dropout@rear``."""
        return f"{self.joint}@{self.place}" if self.place else self.joint

    @property
    def rank(self) -> tuple[int, int]:
        """Sort key: worse is greater."""
        return (int(self.verdict), 1 if self.perhaps is not None else 0)

    @property
    def deciding(self) -> TestResult | None:
        """The test that decides: the worst, the first of equals."""
        return max(self.tests, key=lambda t: t.rank) if self.tests else None

    @property
    def remarks(self) -> tuple[str, ...]:
        """The remarks of all tests, in order, each once."""
        return tuple(dict.fromkeys(r for t in self.tests for r in t.remarks))


@dataclass(frozen=True, slots=True)
class MissingPart:
    """A part that completes a fastening and is not on the list."""

    slot: str
    because: str
    figures: tuple[ShownFigure, ...] = ()
    shelf: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckReport:
    """The answer to: do these parts go together, and what is missing?"""

    title: str
    findings: tuple[Finding, ...]
    missing: tuple[MissingPart, ...]
    open_slots: tuple[str, ...] = ()
    shelf: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    complete_asked: bool = False

    @property
    def judged(self) -> tuple[Finding, ...]:
        """The findings that count."""
        return tuple(f for f in self.findings if f.state == "judged")

    @property
    def worst(self) -> Finding | None:
        """The worst judged finding, the first of equals."""
        return max(self.judged, key=lambda f: f.rank, default=None)

    @property
    def exit_code(self) -> int:
        """0 all fit as listed; 1 no; 3 not known; 4 something to add or to do."""
        return exit_code((f.verdict for f in self.judged), missing=self.complete_asked and bool(self.missing))


def exit_code(verdicts: Iterable[Verdict], *, missing: bool = False) -> int:
    """Return the exit code for these verdicts; precedence is 1, 3, 4, 0."""
    found = set(verdicts)
    if found & NO:
        return 1
    if Verdict.NOT_KNOWN in found:
        return 3
    if missing or found & {Verdict.NEEDS_ADAPTER, Verdict.NEEDS_WORK}:
        return 4
    return 0


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the worst of some verdicts; of none, fits."""
    return max(verdicts, default=Verdict.FITS)
