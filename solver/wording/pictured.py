"""What a drawing of one joint shows: the figures that do not go together, named as in the sentence about them.

In: a finding and the report it stands in. Out: a ``Picture``: sides with their extents, or words where no number
decides. Which figures belong together follows from the sentence of the joint, so a new joint needs nothing here.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from catalog_schema.quantity import Choice, Limit, Measure, Range, Value
from solver.remedies import WhyReport
from solver.report import CheckReport, Finding, ShownFigure, Verdict
from solver.wording import store, words
from solver.wording.finding import fact_of, title

#: Words in a figure's name, or in how it is measured, that tell that it is the size of an opening.
_OPENING: Final = ("bore", "inside", "opening", "between", "gap", "clamp", "room", "dropout")
_ROUND: Final = ("dia", "bore", "_od_", "_id_")
_MOST: Final = 6


@dataclass(frozen=True, slots=True)
class Side:
    """One figure: whose it is, what it is, how far it reaches (both ends alike: a point), how it is written."""

    slot: str
    what: str
    low: Decimal
    high: Decimal
    text: str
    opening: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing of one joint. ``sides`` have extents to draw to scale; without any, ``named`` are words side by side.

    ``meeting``: there are two sides, and the one is held against the other; ``across``: the figures are diameters.
    ``difference`` is which of two sides has how much more.
    """

    title: str
    caption: str
    sides: tuple[Side, ...] = ()
    named: tuple[tuple[str, str, str], ...] = ()
    across: bool = False
    meeting: bool = False
    difference: str = ""


def picture(report: WhyReport) -> Picture | None:
    """Return the drawing for why a list does not go together; None if no joint is anything but a plain fit."""
    finding = _foremost(report)
    return of_finding(finding, report.check) if finding is not None else None


def _foremost(report: WhyReport) -> Finding | None:
    told = [f for c in report.clashes for f in c.findings]
    told += [f for m in report.misses for n in m.nearest for f in n.findings[:1]] if not told else []
    told += [f for f in report.check.judged if f.verdict not in (Verdict.FITS, Verdict.NOT_KNOWN)] if not told else []
    return max(told, key=lambda f: f.rank, default=None)


def of_finding(finding: Finding, report: CheckReport) -> Picture | None:
    """Return the drawing of one judged joint; None if its figures are too few to draw anything."""
    result = finding.deciding
    if result is None:
        return None
    sentence = store.of_reason(finding.joint, result.test, result.reason)
    named = list(store.holes(sentence.get("fact", "")))
    figures = sorted(result.figures, key=lambda f: (f.name not in named, named.index(f.name) if f.name in named else 0))
    heading, caption = words.sentence(title(finding, report)).removesuffix("."), fact_of(finding, report)
    numbers = [f for f in figures if f.ref and _extent(f.value) is not None]
    pair = _pair([f for f in numbers if f.name in named])
    alike = pair or [f for f in numbers if words.unit(_key(f)) == words.unit(_key(numbers[0]))][:_MOST]
    if len(alike) >= 2:
        worked_out = any(not f.ref and isinstance(f.value, Decimal) for f in figures if f.name in named)
        meeting = bool(pair) or (len(alike) == 2 and not worked_out and _slot(alike[0]) != _slot(alike[1]))
        sides = tuple(_side(f) for f in alike)
        across = all(any(r in f"_{_key(f)}_" for r in _ROUND) for f in alike)
        difference = _difference(sides, _key(alike[0])) if meeting else ""
        return Picture(heading, caption, sides, across=across, meeting=meeting, difference=difference)
    plain = [f for f in figures if f.ref and isinstance(f.value, str)][:2]
    if len(plain) == 2:
        return Picture(heading, caption, named=tuple((*_whose(f), words.figure(f)) for f in plain))
    return None


def _pair(figures: list[ShownFigure]) -> list[ShownFigure]:
    """Return the first two figures of two parts in one unit, if there are such."""
    for at, first in enumerate(figures):
        for second in figures[at + 1 :]:
            if _slot(first) != _slot(second) and words.unit(_key(first)) == words.unit(_key(second)):
                return [first, second]
    return []


def _extent(value: Value | Decimal | None) -> tuple[Decimal, Decimal] | None:
    match value:
        case Measure(number, _):
            return number, number
        case Limit(number) if number is not None:
            return number, number
        case Range(low, high) if low is not None and high is not None:
            return low, high
        case Range(low, high) if low is not None or high is not None:
            number = low if low is not None else high
            return (number, number) if number is not None else None
        case Choice(options) if options and all(isinstance(o, Decimal) for o in options):
            numbers = [o for o in options if isinstance(o, Decimal)]
            return min(numbers), max(numbers)
    return None


def _side(figure: ShownFigure) -> Side:
    low, high = _extent(figure.value) or (Decimal(0), Decimal(0))
    hint = words.hint_of(figure.ref)
    told = f"{figure.ref} {hint.words} {hint.tool} {hint.start} {hint.end}".lower()
    slot, what = _whose(figure)
    return Side(slot, what, low, high, words.figure(figure), any(w in told for w in _OPENING))


def _whose(figure: ShownFigure) -> tuple[str, str]:
    return words.slot(_slot(figure)), words.hint_of(figure.ref).words


def _difference(sides: tuple[Side, ...], key: str) -> str:
    """Return which of two sides has how much more; nothing if they overlap."""
    first, second = sides
    apart = max(first.low - second.high, second.low - first.high)
    larger = first if first.low > second.high else second
    return f"{larger.slot}: {words.computed(apart)}{words.unit(key)} more" if apart > 0 else ""


def _slot(figure: ShownFigure) -> str:
    return figure.ref.partition(".")[0]


def _key(figure: ShownFigure) -> str:
    return figure.ref.rpartition(".")[2]
