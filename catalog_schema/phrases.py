"""Forms in which a figure is printed on a box, such as ``{holes}h``: matched, converted, and asked back if doubtful.

In: a token, the phrases of the library and what its figures can be at all. Out: the meanings that the token can have.
The hole ``{standard}`` takes a trade name of the port (``{standard} disc mount``); another
hole takes a number (two ends, if its figure is a range), its unit in words (``44 cm``, ``2.4 in``) and the tool that it
was measured with; a hole ``{width_in}`` is inches of ``width_mm`` (where a side has both they stay inches, a name, and
``resolve`` converts them), one ``{pressure_max_psi}`` pounds of a side that has bar only. A figure that lies outside of
what it can be at all is no meaning: the unit or the side was another.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import ROUND_FLOOR, Decimal
from functools import cache, lru_cache
from typing import Any, Final

from catalog_schema.interface import Phrase
from catalog_schema.lean import dataclass
from catalog_schema.library import Library
from catalog_schema.names import tidied
from catalog_schema.quantity import INSTRUMENTS, NOT_PRINTED, Choice, Limit, Measure, Range, parse_limit, parse_range
from catalog_schema.records import RECORD_KINDS, Record

_HOLE = re.compile(r"\{(\w+)\}")
#: The hole that takes a trade name.
NAME: Final = "standard"
_NUMBER: Final = r"\d+(?:\.\d+)?"
#: Inches of a hole have one digit before the point, so that ``700x28`` is not read as inches.
_INCHES: Final = r"\d(?:\.\d+)?"
_TOOLS: Final = "|".join(INSTRUMENTS)
#: Units in which a length may be said, in millimetres.
UNITS: Final[Mapping[str, Decimal]] = {"mm": Decimal(1), "cm": Decimal(10), "in": Decimal("25.4"), '"': Decimal("25.4")}
#: Units that a slip may leave out.
_SLIPS: Final = ("in", "cm")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a token may mean: figures of one port. ``figures`` are those that its holes hold, the rest goes with them.

    ``doubts`` says why a figure cannot be meant; ``weak`` that the words of another part of the same side come first;
    ``unread`` that no joint reads it; ``means`` are the tokens that it stands for.
    """

    port: str
    values: dict[str, Any]
    figures: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    weak: bool = False
    unread: bool = False
    means: tuple[str, ...] = ()


def meanings(kind: type[Record], token: str, library: Library, among: Iterable[str]) -> list[Meaning]:
    """Return what a token can mean for some ports of a kind of part, each meaning once, the plain ones first."""
    text = tidied(token)
    ports = set(among)
    whole = len(ports) == len(kind.ports())
    found: list[Meaning] = []
    for phrase in library.phrases_of(kind.kind):
        if (whole or phrase.port in ports) and all(c in text for c in _plain(phrase.form)):
            match = _pattern(phrase.form, *_ranges_and_limits(kind.kind, phrase.port)).fullmatch(text)
            if match is not None:
                meaning = _meaning(kind, phrase, match.groupdict(), library)
                if meaning is not None and not any(
                    m.port == meaning.port and m.values == meaning.values for m in found
                ):
                    found.append(meaning)
    return sorted(found, key=lambda m: bool(m.doubts))


def _meaning(kind: type[Record], phrase: Phrase, groups: Mapping[str, str | None], library: Library) -> Meaning | None:
    if phrase.unread:
        return Meaning(phrase.port, {}, weak=True, unread=True)
    if phrase.means:
        said = tuple(_HOLE.sub(lambda hole: str(groups[hole.group(1)]), text) for text in phrase.means)
        return Meaning(phrase.port, {"means": said}, means=said)
    name = groups.get(NAME)
    if name is not None and not library.named(kind.ports()[phrase.port].kind, name):
        return None
    values: dict[str, Any] = {}
    figures: list[str] = []
    doubts: list[str] = []
    for hole, text in groups.items():
        if text is None or "__" in hole or hole == "tool":
            continue
        if hole == NAME:
            values[hole] = text
            continue
        if text.startswith("not"):
            values[hole] = NOT_PRINTED
            figures.append(hole)
            continue
        name, ends = _in_millimetres(hole, text, groups.get(f"{hole}__unit") or "")
        port = kind.ports().get(phrase.port)
        if port is not None and name.endswith("_psi") and name not in port.figure_names():
            name, ends = _in_bar(name, ends, library)
        tool = groups.get(f"{hole}__tool") or groups.get("tool")
        if port is not None:
            doubts += doubts_of(port.kind, name, [Decimal(e) for e in ends], library)
        by_inches = name.removesuffix("_mm") + "_in"
        if tool is None and port is not None and by_inches in port.figure_names() and _said_in_inches(hole, groups):
            name, ends = by_inches, text.replace("/", "-").split("-")
        values[name] = "-".join(ends) if tool is None else f"{'-'.join(ends)} {tool}"
        figures.append(name)
    said_of = {**groups, **values}
    sets = {k: _HOLE.sub(lambda hole: str(said_of[hole.group(1)]), v) for k, v in phrase.sets.items()}
    return Meaning(phrase.port, {**sets, **values}, tuple(figures), tuple(doubts), phrase.weak)


def doubts_of(port_kind: str, figure: str, numbers: Iterable[Decimal], library: Library) -> list[str]:
    """Return, for each number that a figure cannot be at all, a question about it; none if all is well."""
    bounds = library.bounds.get(port_kind, {}).get(figure)
    if bounds is None:
        return []
    low, high = bounds
    return [_question(port_kind, figure, n, low, high) for n in numbers if not low <= n <= high]


def doubts_in(port_kind: str, figure: str, value: object, library: Library) -> list[str]:
    """Return the questions about a figure of a record; see ``doubts_of``."""
    return doubts_of(port_kind, figure, numbers_of(value), library)


def numbers_of(value: object) -> list[Decimal]:
    """Return the numbers that a value holds."""
    if isinstance(value, Measure):
        return [value.value]
    if isinstance(value, Limit):
        return [value.value] if value.value is not None else []
    if isinstance(value, Range):
        return [e for e in (value.low, value.high) if e is not None]
    return [o for o in value.options if isinstance(o, Decimal)] if isinstance(value, Choice) else []


def _question(port_kind: str, figure: str, number: Decimal, low: Decimal, high: Decimal) -> str:
    from catalog_schema.hints import hint

    unit = figure.rpartition("_")[2]
    after = {"mm": " mm", "deg": "°", "bar": " bar", "psi": " psi"}.get(unit, "")
    span = f"{_short(low)} to {_short(high)}{after}"
    said = f"{_short(number)}{after} cannot be right ({hint(port_kind, figure).words}: {span})"
    meant = []
    for other in _SLIPS if unit == "mm" else ():
        length = number * UNITS[other]
        if low <= length <= high:
            meant.append(f"{_short(number)} {other} ({_short(length)} mm)")
    return f"{said}; did you mean {' or '.join(meant)}?" if meant else said


def _short(number: Decimal) -> str:
    return format(number.normalize(), "f")


def another_way(kind: type[Record], meaning: Meaning, token: str, library: Library) -> str:
    """Return a form that says this meaning and no other, with the token's figures; empty if there is none."""
    for phrase in library.phrases_of(kind.kind):
        if phrase.port == meaning.port and not phrase.unread and _says(phrase, meaning):
            said = _HOLE.sub(lambda hole: str(meaning.values[hole.group(1)]), phrase.form)
            if len([m for m in meanings(kind, said, library, kind.ports()) if not m.doubts]) == 1:
                return said
    return ""


def _says(phrase: Phrase, meaning: Meaning) -> bool:
    """Return whether a phrase with the figures of the meaning says the same; one written out is said with holes too."""
    if any(meaning.values.get(name) != value for name, value in phrase.sets.items()):
        return False
    said = holes(phrase.form)
    return said == meaning.figures or (not meaning.figures and {*said, *phrase.sets} == {*meaning.values})


def holes(form: str) -> tuple[str, ...]:
    """Return the names of the holes of a form.

    >>> holes("{width_mm}-{bsd_mm}")
    ('width_mm', 'bsd_mm')
    """
    return tuple(_HOLE.findall(form))


@cache
def _ranges_and_limits(kind: str, port_name: str) -> tuple[frozenset[str], frozenset[str]]:
    """Return the figures of a port that are ranges, and those that are limits.

    A hole for a range takes two ends, such as ``25-32``; one for a limit takes "not printed" as well.
    """
    port = RECORD_KINDS[kind].ports().get(port_name)
    readers = port.readers() if port is not None else {}
    ranges = frozenset(n for n, reads in readers.items() if reads is parse_range)
    return ranges, frozenset(n for n, reads in readers.items() if reads is parse_limit)


def _in_millimetres(name: str, text: str, unit: str) -> tuple[str, list[str]]:
    """Return a figure as its port has it: a hole ``width_in`` stands for ``width_mm``; units are converted exactly."""
    ends = text.replace("/", "-").split("-")
    inches = name.endswith("_in")
    factor = UNITS["in"] if inches else UNITS.get(unit, Decimal(1))
    if factor != 1:
        ends = [_short(Decimal(e) * factor) for e in ends]
    return (name.removesuffix("_in") + "_mm" if inches else name), ends


def _said_in_inches(hole: str, groups: Mapping[str, str | None]) -> bool:
    return hole.endswith("_in") or UNITS.get(groups.get(f"{hole}__unit") or "") == UNITS["in"]


def _in_bar(name: str, ends: list[str], library: Library) -> tuple[str, list[str]]:
    """Return pounds a square inch as bar, to the hundredth below: a limit is never made higher by being converted."""
    one = library.figure("tyres.unit-psi").values["one_bar"]
    bars = [(Decimal(e) * one).quantize(Decimal("0.01"), ROUND_FLOOR) for e in ends]
    return name.removesuffix("_psi") + "_bar", [_short(b) for b in bars]


@cache
def _plain(form: str) -> tuple[str, ...]:
    """Return what stands between the holes of a form: a text without it cannot have that form."""
    return tuple(tidied(plain) for plain in _HOLE.split(form)[::2])


@lru_cache(maxsize=512)
def _pattern(form: str, ranges: frozenset[str], limits: frozenset[str]) -> re.Pattern[str]:
    parts: list[str] = []
    at = 0
    for hole in _HOLE.finditer(form):
        parts.append(re.escape(tidied(form[at : hole.start()])))
        parts.append(_hole(hole.group(1), ranges, limits))
        at = hole.end()
    parts.append(re.escape(tidied(form[at:])))
    return re.compile("".join(parts) + r"(?:mm)?")


def _hole(name: str, ranges: frozenset[str], limits: frozenset[str]) -> str:
    if name == NAME:
        return rf"(?P<{NAME}>.+)"
    if name == "tool":
        return rf"(?P<tool>{_TOOLS})"
    two = name in ranges or name.removesuffix("_in") + "_mm" in ranges
    one = _INCHES if name.endswith("_in") else _NUMBER
    number = rf"(?P<{name}>{one}{f'[-/]{one}' if two else ''}{'|not-?printed' if name in limits else ''})"
    if name.endswith("_in"):
        return rf'{number}(?:in|")?'
    if name.endswith("_deg"):
        return rf"{number}(?:°|degrees|deg)?"
    if name.endswith("_mm"):
        return rf'{number}(?P<{name}__unit>mm|cm|in|")?(?P<{name}__tool>{_TOOLS})?'
    return number
