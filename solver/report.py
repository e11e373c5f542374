"""The neutral records that questions answer with and renderers show: verdicts, findings, missing parts.

They hold words of closed lists, figures and ids, never prose; ``wording`` makes sentences of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import IntEnum
from typing import Literal

from catalog_schema.hints import Hint
from catalog_schema.interface import AdapterKind, Row
from catalog_schema.lean import dataclass, field
from catalog_schema.quantity import Value
from catalog_schema.source import Source


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
class Offer:
    """A part of the open catalogues that was put in and judged to fit; what the catalogue does not say is None."""

    number: str
    label: str = ""
    price_minor: int | None = None
    currency: str = ""
    stock: int | None = None
    lead_days: int | None = None


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the open catalogues have for one need. ``untold`` counts parts whose figures do not decide."""

    slot: str
    offers: tuple[Offer, ...] = ()
    untold: int = 0


@dataclass(frozen=True, slots=True)
class MissingPart:
    """A part that completes a fastening and is not on the list.

    ``fastening`` is the id of the row that calls for it (``kind`` for one that the kind of bicycle calls for),
    ``because`` the slot of the part that it completes, ``lacks`` the piece if it is less than a whole part,
    ``figures`` those of ``because`` that say which one is wanted; ``said_none``: the list says that there is none.
    """

    slot: str
    fastening: str
    because: str = ""
    lacks: str = ""
    figures: tuple[ShownFigure, ...] = ()
    said_none: bool = False
    shelf: Shelf | None = None


@dataclass(frozen=True, slots=True)
class AdapterNeed:
    """An adapter that a finding asks for: the kinds that close the gap, and what the shelf has of them."""

    finding: str
    kinds: tuple[str, ...]
    shelf: Shelf | None = None


@dataclass(frozen=True, slots=True)
class Cure:
    """Parts of the shelf for ``slot`` with which the finding fits, and nothing else gets worse; each was judged."""

    finding: str
    shelf: Shelf


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A figure that a test reads: its name in sentences, ``role.port.figure``, and its role."""

    parameter: str
    ref: str
    role: str
    limit_kind: str = ""
    optional: bool = False


@dataclass(frozen=True, slots=True)
class TestPage:
    """What one test asks. ``reasons`` pairs each reason with the verdicts that it may come with.

    It is asked only if the figures of ``asked_if`` are all stated, and not if those of ``asked_unless`` are, but for
    parts that state all of ``asked_anyway``; ``silent`` is the word for why it may stay silent.
    """

    __test__ = False

    id: str
    page: str
    reads: tuple[ReadLine, ...]
    rows: tuple[str, ...]
    reasons: tuple[tuple[str, tuple[Verdict, ...]], ...]
    asked_if: tuple[str, ...] = ()
    asked_unless: tuple[str, ...] = ()
    asked_anyway: tuple[str, ...] = ()
    silent: str = ""


@dataclass(frozen=True, slots=True)
class JointPlace:
    """Where a joint occurs: the slot of each role, and the slot of an adapter that may lie between."""

    name: str
    roles: tuple[tuple[str, str], ...]
    adapter: str = ""


@dataclass(frozen=True, slots=True)
class JointPage:
    """All that is written down of one joint."""

    id: str
    title: str
    page: str
    safety: bool
    places: tuple[JointPlace, ...]
    presupposes: tuple[str, ...]
    tests: tuple[TestPage, ...]

    @property
    def sections(self) -> tuple[tuple[str, str], ...]:
        """The paragraphs of the page as (heading, text); a paragraph without a heading has an empty one."""
        found = []
        for paragraph in self.page.split("\n\n"):
            text = " ".join(paragraph.split())
            heading, colon, rest = text.partition(": ")
            known = colon and heading in PAGE_HEADINGS
            found.append((heading, rest) if known else ("", text))
        return tuple(found)

    @property
    def caution(self) -> str:
        """What the page warns of; empty if it does not."""
        return " ".join(text for heading, text in self.sections if heading == "Caution")


PAGE_HEADINGS = ("What meets", "When it fits", "Why it matters", "What to do", "Measure", "Caution")


@dataclass(frozen=True, slots=True)
class CheckReport:
    """The answer to: do these parts go together, and what is missing?

    ``pages`` holds the page of each joint that a finding is about; ``chosen`` the part of each shortlist that the
    findings are about; ``notices`` are closed words on how the question was taken.
    """

    title: str
    findings: tuple[Finding, ...]
    missing: tuple[MissingPart, ...] = ()
    open_slots: tuple[str, ...] = ()
    needs: tuple[AdapterNeed, ...] = ()
    cures: tuple[Cure, ...] = ()
    pages: Mapping[str, JointPage] = field(default_factory=dict)
    chosen: Mapping[str, str] = field(default_factory=dict)
    notices: tuple[tuple[str, str], ...] = ()
    complete_asked: bool = False

    @property
    def judged(self) -> tuple[Finding, ...]:
        """The findings that count."""
        return self.in_state("judged")

    def in_state(self, state: JointState) -> tuple[Finding, ...]:
        """Return the findings in this state, in bicycle order."""
        return tuple(f for f in self.findings if f.state == state)

    @property
    def worst(self) -> Finding | None:
        """The worst judged finding, the first of equals."""
        return max(self.judged, key=lambda f: f.rank, default=None)

    @property
    def exit_code(self) -> int:
        """0 all fit as listed; 1 no; 3 not known; 4 something to add or to do."""
        lacking = self.complete_asked and bool(self.missing or self.open_slots)
        return exit_code((f.verdict for f in self.judged), missing=lacking)


@dataclass(frozen=True, slots=True)
class RowsReport:
    """The answer to: what is this standard? ``rows`` are rows of the library, by area and id; ``sources`` by row id."""

    word: str
    rows: tuple[Row, ...]
    areas: Mapping[str, str]
    sources: Mapping[str, tuple[Source, ...]]


@dataclass(frozen=True, slots=True)
class Overview:
    """What can be asked of a command: (heading, items) in order; ``of`` is the command."""

    of: str
    groups: tuple[tuple[str, tuple[str, ...]], ...]
    count: int


@dataclass(frozen=True, slots=True)
class RuleReport:
    """The answer to: what does this rule say, and from which source?"""

    page: JointPage
    adapters: tuple[AdapterKind, ...]
    rows: RowsReport


@dataclass(frozen=True, slots=True)
class CardLine:
    """A figure to measure: where, with what. ``accepts`` lists the words that a word may be."""

    port: str
    figure: str
    hint: Hint
    type: str
    accepts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CardReport:
    """The answer to: what must be measured on a part of this kind? ``question`` narrows it to one question."""

    kind: str
    slots: tuple[str, ...]
    lines: tuple[CardLine, ...]
    question: str = ""


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
