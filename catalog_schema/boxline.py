"""Words on the box: a dozen words in any order, each placed in the port that it belongs to, or reported.

In: a record with ``box = "12x142, 6-bolt, 9-spline road, 28h"``. Out: the same record with the words placed. A token is
what stands between commas (a comma between two digits is a decimal comma). A token is a trade name of the library or a
phrase such as ``28h``; which ports the record has decides what it may mean. A hole ``{width_in}`` of a phrase is
inches of ``width_mm``; a phrase that sets ``standard`` adds a trade name to its port.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any, Final

from pydantic import ValidationError

from catalog_schema.faults import FaultList
from catalog_schema.interface import Phrase
from catalog_schema.library import Library
from catalog_schema.names import squeezed, tidied
from catalog_schema.quantity import parse_range
from catalog_schema.records import Record

_SEPARATOR = re.compile(r"(?<!\d),|,(?!\d)|;|\n")
_HOLE = re.compile(r"\{(\w+)\}")
_NUMBER: Final = r"\d+(?:\.\d+)?"
_MM_PER_INCH: Final = Decimal("25.4")


def tokens(line: str) -> list[str]:
    """Return the tokens of a box line.

    >>> tokens("27,2 mm, 350 long,carbon")
    ['27,2 mm', '350 long', 'carbon']
    """
    return [t for t in (part.strip() for part in _SEPARATOR.split(line)) if t]


def expand(record: Record, library: Library, faults: FaultList, place: str) -> Record:
    """Return ``record`` with its box words placed in its ports; tokens that mean nothing here are faults."""
    if not record.box:
        return record
    ports = record.ports()
    names: dict[str, list[str]] = {}
    figures: dict[str, dict[str, Any]] = {}
    for token in tokens(record.box):
        placed = [name for name, port in ports.items() if library.named(port.kind, token)]
        if placed:
            for name in placed:
                names.setdefault(name, []).append(token)
            continue
        phrase = _phrase(record, token, library)
        if phrase is not None:
            port_name, values = phrase
            if (name_set := values.pop("standard", None)) is not None:
                names.setdefault(port_name, []).append(name_set)
            _note(figures.setdefault(port_name, {}), values, token, faults, place)
            continue
        known = [n for port in ports.values() for n in library.names_for(port.kind)]
        faults.unknown(place, f"words on the box of a {record.kind.replace('_', ' ')}:", token, known)
    return _merged(record, names, figures, faults, place)


def _note(mine: dict[str, Any], values: dict[str, Any], token: str, faults: FaultList, place: str) -> None:
    for name, value in values.items():
        if name in mine and mine[name] != value:
            faults.add("names-exclude", place, f"{token!r} gives {name} a second value: {mine[name]} and {value}")
        mine[name] = value


def _phrase(record: Record, token: str, library: Library) -> tuple[str, dict[str, Any]] | None:
    text = tidied(token)
    for phrase in library.phrases:
        if record.kind in phrase.kinds:
            match = _pattern(phrase.form, _ranges(type(record), phrase.port)).fullmatch(text)
            if match is not None:
                found = dict(_in_millimetres(k, v) for k, v in match.groupdict().items())
                return phrase.port, {**phrase.sets, **found}
    words = _plain_words(record, library, squeezed(token))
    return (words[0][0], {words[0][1]: words[0][2]}) if words else None


def _plain_words(record: Record, library: Library, text: str) -> list[tuple[str, str, str]]:
    places = [("", "record", name) for name in record.scalars()]
    places += [(name, port.kind, figure) for name, port in record.ports().items() for figure in port.figure_names()]
    words = [(name, figure, library.words.get((kind, figure), {}).get(text)) for name, kind, figure in places]
    return [(name, figure, word) for name, figure, word in words if word is not None]


@cache
def _ranges(kind: type[Record], port_name: str) -> frozenset[str]:
    """Return the figures of a port that are ranges; a hole for one takes two ends, such as ``25-32``."""
    port = kind.ports().get(port_name)
    fields = port.model_fields if port is not None else {}
    return frozenset(n for n, f in fields.items() if any(getattr(m, "func", None) is parse_range for m in f.metadata))


def _in_millimetres(name: str, text: str) -> tuple[str, str]:
    """Return a figure as its port has it: a hole ``width_in`` stands for ``width_mm``, inches exactly converted."""
    ends = text.replace("/", "-").split("-")
    if name.endswith("_in"):
        return name.removesuffix("_in") + "_mm", "-".join(str(Decimal(e) * _MM_PER_INCH) for e in ends)
    return name, "-".join(ends)


@lru_cache(maxsize=512)
def _pattern(form: str, ranges: frozenset[str] = frozenset()) -> re.Pattern[str]:
    parts: list[str] = []
    at = 0
    for hole in _HOLE.finditer(form):
        parts.append(re.escape(tidied(form[at : hole.start()])))
        name = hole.group(1)
        two = name in ranges or name.removesuffix("_in") + "_mm" in ranges
        parts.append(rf"(?P<{name}>{_NUMBER}{f'[-/]{_NUMBER}' if two else ''})")
        at = hole.end()
    parts.append(re.escape(tidied(form[at:])))
    return re.compile("".join(parts) + r"(?:mm)?")


def _merged(
    record: Record,
    names: dict[str, list[str]],
    figures: dict[str, dict[str, Any]],
    faults: FaultList,
    place: str,
) -> Record:
    updates: dict[str, Any] = {"box": ""}
    updates.update(figures.pop("", {}))
    for port_name in {*names, *figures}:
        port = getattr(record, port_name)
        written = {n: getattr(port, n) for n in port.model_fields_set} if port is not None else {}
        standard = (*written.pop("standard", ()), *names.get(port_name, ()))
        raw = {**figures.get(port_name, {}), **written, "standard": standard}
        try:
            updates[port_name] = record.ports()[port_name].model_validate(raw)
        except ValidationError as error:
            for problem in error.errors():
                faults.add("bad-figure", f"{place}.{port_name}", problem["msg"].removeprefix("Value error, "))
    return record.model_copy(update=updates)


def phrases_for(record_kind: str, library: Library) -> list[Phrase]:
    """Return the phrases that a box line of this kind of part understands."""
    return [p for p in library.phrases if record_kind in p.kinds]


def understands(kind: type[Record], token: str, library: Library) -> bool:
    """Return whether a record of this kind has a place for a token."""
    if any(library.named(port.kind, token) for port in kind.ports().values()):
        return True
    return _phrase(kind.model_construct(), token, library) is not None
