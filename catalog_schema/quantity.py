"""The value types of the records, and the plain forms in which a person may write them.

In: what a TOML or CSV reader yields (numbers as exact decimals, strings, lists, tables). Out: frozen values.
This module knows figures and units; it must not know a single bicycle part.

A figure that is left out (or written ``"not-stated"``) is *not stated*: nobody looked. That is never the same
as ``"none"`` (the thing does not exist) or ``"not-printed"`` (somebody looked, and the maker prints no limit).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final

NOT_STATED: Final = "not-stated"
NOT_PRINTED: Final = "not-printed"
NONE: Final = "none"

#: Resolution in millimetres of the tools that a workshop measures with.
INSTRUMENTS: Final[dict[str, Decimal]] = {
    "caliper": Decimal("0.1"),
    "micrometer": Decimal("0.01"),
    "rule": Decimal("0.5"),
    "tape": Decimal(1),
}

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_GREATEST: Final = Decimal(100000)


@dataclass(frozen=True, slots=True)
class Measure:
    """One number. ``resolution`` is None for a printed or nominal figure, else that of the instrument."""

    value: Decimal
    resolution: Decimal | None = None

    @property
    def measured(self) -> bool:
        """Whether somebody measured it."""
        return self.resolution is not None


@dataclass(frozen=True, slots=True)
class Range:
    """What a part takes, from ``low`` to ``high``; either end may be missing (not stated)."""

    low: Decimal | None
    high: Decimal | None


@dataclass(frozen=True, slots=True)
class Choice:
    """Alternatives of which the part takes any one, as built."""

    options: tuple[Decimal | str, ...]


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit that a maker may print. ``value`` is None when somebody looked and none is printed."""

    value: Decimal | None

    @property
    def printed(self) -> bool:
        """Whether a figure is printed."""
        return self.value is not None


@dataclass(frozen=True, slots=True)
class Series:
    """Several whole numbers that a part has all of, such as the cogs of a cassette, from the smallest."""

    values: tuple[Decimal, ...]


Value = Measure | Range | Choice | Limit | Series | str


def decimal_of(raw: object, expected: str) -> Decimal:
    """Return ``raw`` as an exact decimal; a decimal comma is a decimal point.

    Raises:
        ValueError: it is no finite number of a size that a workshop meets.
    """
    if isinstance(raw, bool) or not isinstance(raw, int | Decimal | str | float):
        raise ValueError(f"expected {expected}, found {shown(raw)}")
    text = str(raw).strip().replace(",", ".")
    if isinstance(raw, str) and not _NUMBER.fullmatch(raw.strip()):
        raise ValueError(f"expected {expected}, found {shown(raw)}")
    try:
        number = Decimal(text)
    except InvalidOperation:
        raise ValueError(f"expected {expected}, found {shown(raw)}") from None
    if not number.is_finite():
        raise ValueError(f"expected {expected}, found {shown(raw)}")
    if abs(number) > _GREATEST:
        raise ValueError(f"expected a figure of {_GREATEST} at most, found {shown(raw)}")
    return number


def shown(raw: object) -> str:
    """Return ``raw`` as it may be quoted in a message: short, one line, printable."""
    text = repr(str(raw)) if isinstance(raw, str | int | Decimal | float | bool) else f"a {type(raw).__name__}"
    return printable(text)


def printable(text: str, most: int = 60) -> str:
    """Return text on one line, without control characters, cut to ``most`` characters."""
    clean = "".join(c if c.isprintable() else "?" for c in text[: most + 1])
    return clean if len(clean) <= most else clean[: most - 3] + "..."


def parse_measure(raw: object) -> Measure | None:
    """Read one figure: ``27.2``, ``"27,2"``, ``"27.1 caliper"`` or ``{measured = 27.1, with = "caliper"}``."""
    if raw is None or isinstance(raw, Measure):
        return raw
    expected = "a number, or a measured one such as '27.1 caliper'"
    if isinstance(raw, dict):
        if set(raw) != {"measured", "with"}:
            raise ValueError(f"expected {{measured = 27.1, with = 'caliper'}}, found keys {sorted(map(str, raw))}")
        return Measure(decimal_of(raw["measured"], expected), _resolution(raw["with"]))
    if isinstance(raw, str):
        text = raw.strip()
        if text == NOT_STATED:
            return None
        number, _, tool = text.partition(" ")
        if tool.strip() and tool.strip() != "mm":
            return Measure(decimal_of(number, expected), _resolution(tool.strip()))
        return Measure(decimal_of(number, expected))
    return Measure(decimal_of(raw, expected))


def _resolution(tool: object) -> Decimal:
    if isinstance(tool, str) and tool in INSTRUMENTS:
        return INSTRUMENTS[tool]
    raise ValueError(f"expected a measuring tool ({', '.join(INSTRUMENTS)}), found {shown(tool)}")


def parse_range(raw: object) -> Range | None:
    """Read a range: ``[47, 57]``, ``["?", 57]`` or ``"47-57"``; ``"?"`` is an end that is not stated."""
    if raw is None or isinstance(raw, Range):
        return raw
    if raw == NOT_STATED:
        return None
    if isinstance(raw, str):
        parts: list[object] = [p.strip() for p in re.split(r"-|–| to ", raw)]
    elif isinstance(raw, list | tuple):
        parts = list(raw)
    else:
        parts = []
    if len(parts) != 2:
        raise ValueError(f"expected two ends such as [47, 57], found {shown(raw)}")
    low, high = (None if p == "?" else decimal_of(p, "a number or '?'") for p in parts)
    if low is None and high is None:
        return None
    if low is not None and high is not None and low > high:
        raise ValueError(f"expected the lower end first, found {low} to {high}")
    return Range(low, high)


def parse_measure_or_choice(raw: object) -> Measure | Choice | None:
    """Read one figure, or a list of figures of which the part takes any one."""
    if isinstance(raw, Choice):
        return raw
    if isinstance(raw, list | tuple):
        if not raw:
            raise ValueError("expected at least one figure, found an empty list")
        options = [parse_measure(r) for r in raw]
        if any(o is None or o.measured for o in options):
            raise ValueError("expected plain figures in a list of alternatives")
        return Choice(tuple(sorted({o.value for o in options if o is not None})))
    return parse_measure(raw)


def parse_limit(raw: object) -> Limit | None:
    """Read a limit: a number, or ``"not-printed"`` when somebody looked and found none."""
    if raw is None or isinstance(raw, Limit):
        return raw
    if raw == NOT_STATED:
        return None
    if raw == NOT_PRINTED:
        return Limit(None)
    return Limit(decimal_of(raw, "a number or 'not-printed'"))


def parse_word(raw: object) -> str | Choice | None:
    """Read a word of the library, or a list of words of which the part takes any one."""
    if raw is None or isinstance(raw, Choice):
        return raw
    if isinstance(raw, list | tuple):
        words = [parse_word(r) for r in raw]
        if not words or not all(isinstance(w, str) for w in words):
            raise ValueError(f"expected words, found {shown(raw)}")
        return Choice(tuple(sorted({w for w in words if isinstance(w, str)})))
    if not isinstance(raw, str) or not raw.strip():
        raise ValueError(f"expected a word, found {shown(raw)}")
    return None if raw.strip() == NOT_STATED else raw.strip()


def parse_count(raw: object) -> Measure | None:
    """Read a whole number that cannot be negative, such as teeth or holes."""
    measure = parse_measure(raw)
    if measure is not None and (measure.value != measure.value.to_integral_value() or measure.value < 0):
        raise ValueError(f"expected a whole number, found {shown(raw)}")
    return measure


def parse_series(raw: object) -> Series | None:
    """Read whole numbers that a part has all of: ``"11-13-15"`` or ``[11, 13, 15]``, in any order."""
    if raw is None or isinstance(raw, Series):
        return raw
    if raw == NOT_STATED:
        return None
    expected = "whole numbers such as '11-13-15'"
    if isinstance(raw, str):
        parts: list[object] = [p for p in re.split(r"[-–,/\s]+", raw.strip()) if p]
    elif isinstance(raw, list | tuple):
        parts = list(raw)
    else:
        parts = []
    numbers = [decimal_of(p, expected) for p in parts]
    if not numbers or any(n != n.to_integral_value() or n <= 0 for n in numbers) or len({*numbers}) < len(numbers):
        raise ValueError(f"expected {expected}, each once, found {shown(raw)}")
    return Series(tuple(sorted(numbers)))


#: One figure in the unit that the field name ends in.
Figure = Measure | None
#: One figure, or several of which the part takes any one.
FigureOrChoice = Measure | Choice | None
#: A whole number: teeth, holes, speeds.
Count = Measure | None
#: From and to.
Span = Range | None
#: A limit that a maker may print.
Bound = Limit | None
#: Whole numbers that the part has all of.
Numbers = Series | None
#: A word of the library (family token), or several of which the part takes any one.
Word = str | Choice | None

#: What reads a field, by the name of its type.
READERS: Final[Mapping[str, Callable[[object], Value | None]]] = {
    "Figure": parse_measure,
    "FigureOrChoice": parse_measure_or_choice,
    "Count": parse_count,
    "Span": parse_range,
    "Bound": parse_limit,
    "Numbers": parse_series,
    "Word": parse_word,
}
