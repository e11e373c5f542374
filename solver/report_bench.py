"""The neutral records of the bench sheet: figures that follow from a list, and the steps of the work.

They hold closed words, exact figures and ids, never prose; ``wording`` makes sentences of them.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from catalog_schema.lean import dataclass
from catalog_schema.quantity import Value
from solver.report import CheckReport, Verdict

#: Where an input comes from: written on the list itself, a part of a catalogue, a row of the library, or nobody said so
#: and the usual value was taken.
Origin = Literal["list", "catalogue", "library", "assumed"]
#: ``held``: known, but nothing is done by it while a joint does not fit, or one of its parts is not settled.
State = Literal["known", "measure", "held"]


@dataclass(frozen=True, slots=True)
class Input:
    """A figure that went into a result. ``ref`` is slot.port.figure, or the id of a row with the key of its value.

    ``number`` is the catalogue number of the part that states it, ``row`` the row of the library that settled it.
    """

    name: str
    ref: str
    value: Value | Decimal | None
    origin: Origin
    number: str = ""
    row: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    """A result under a key that ends in its unit. ``exact`` is what came out before ``rounding``.

    ``rounding`` is a direction and a step, such as ``down 0.5``; empty: not rounded.
    """

    key: str
    value: Decimal | str
    exact: Decimal | str
    rounding: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """Results that make a table: the names of the columns (each ends in its unit), and the lines."""

    columns: tuple[str, ...]
    lines: tuple[tuple[Decimal | str | None, ...], ...]


@dataclass(frozen=True, slots=True)
class BenchFigure:
    """A figure of the sheet at one place.

    ``formula`` is the row of the library that says in words how it is worked out, and who says so. ``missing`` are the
    figures to measure first; ``disagree``: a name and a measurement of one of them contradict each other. ``warnings``
    are remarks that come first. ``lasting``: what is done by it cannot be undone.
    """

    id: str
    place: str
    state: State
    formula: str
    inputs: tuple[Input, ...] = ()
    results: tuple[Result, ...] = ()
    grid: Grid | None = None
    missing: tuple[str, ...] = ()
    disagree: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    lasting: bool = False
    caution: bool = False
    #: slots that must be filled for it
    about: tuple[str, ...] = ()
    #: parts are bought or cut to it
    ordered: bool = False
    #: slots that it hangs on and of which the list says nothing; those with a part still to choose; joints not known
    unsaid: tuple[str, ...] = ()
    to_choose: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()

    @property
    def area(self) -> str:
        """The area word."""
        return self.id.partition(".")[0]

    @property
    def at(self) -> str:
        """The figure and its place: ``wheels.spoke-length@rear``."""
        return f"{self.id}@{self.place}" if self.place else self.id

    @property
    def unsettled(self) -> bool:
        """Whether a part that it hangs on is still to be named or chosen."""
        return bool(self.unsaid or self.to_choose)

    @property
    def slots(self) -> frozenset[str]:
        """The slots that it is about, and those whose figures went into it or are missing."""
        refs = (*(i.ref for i in self.inputs if i.origin == "assumed" or ":" not in i.ref), *self.missing)
        return frozenset((*self.about, *(r.partition(".")[0] for r in refs)))

    def result(self, key: str) -> Result | None:
        """Return the result under a key."""
        return next((r for r in self.results if r.key == key), None)


@dataclass(frozen=True, slots=True)
class StepTorque:
    """How tight. ``ref`` is the figure printed on a part (and ``number`` the part's) that wins over the usual range.

    ``kind`` is the case that the row's figures are for (one bolt, two), if it has several. ``doubtful``: what is
    said to be printed is so far over the usual that it may be another unit.
    """

    row: str
    kind: str
    from_nm: Decimal | None
    to_nm: Decimal
    ref: str = ""
    number: str = ""
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of the work. ``notes`` are rows of practice, ``figures`` those of the sheet that it needs.

    ``after`` names the steps that must be done right before it; ``safety``: a mistake here can hurt someone.
    """

    id: str
    place: str
    joint: str
    slots: tuple[str, ...]
    torques: tuple[StepTorque, ...] = ()
    notes: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    safety: bool = False

    @property
    def at(self) -> str:
        """The step and its place: ``rotor-on@rear``."""
        return f"{self.id}@{self.place}" if self.place else self.id


@dataclass(frozen=True, slots=True)
class NotAsked:
    """A figure that is not worked out, and what it lacks: slots that nothing fills, or a choice not stated."""

    at: str
    lacks: tuple[str, ...]
    lasting: bool = False


@dataclass(frozen=True, slots=True)
class BenchReport:
    """The answer to: what are the figures, and in which order is the work done?

    ``check`` is the judgement of the same list, without a look at the shelf; ``not_asked`` names figures
    that lack parts, or a choice that the list does not state.
    """

    check: CheckReport
    figures: tuple[BenchFigure, ...]
    steps: tuple[WorkStep, ...] = ()
    not_asked: tuple[NotAsked, ...] = ()

    @property
    def title(self) -> str:
        """What the list is called."""
        return self.check.title

    @property
    def exit_code(self) -> int:
        """1 a joint says no; 3 a figure is to be measured, or a joint is not known; 4 something to add or to do; 0."""
        judged = self.check.exit_code
        if judged == 1 or any(f.warnings for f in self.figures):
            return 1
        open_ones = any(f.state == "measure" or (f.state == "held" and f.unsettled) for f in self.figures)
        if open_ones or any(f.verdict is Verdict.NOT_KNOWN for f in self.check.judged):
            return 3
        return judged
