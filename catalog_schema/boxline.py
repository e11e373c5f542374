"""Words on the box: a dozen words in any order, each placed in the port that it belongs to, or reported.

In: a record with ``box = "12x142, 6-bolt, 9-spline road, 28h"``. Out: the same record with the words placed. A token is
what stands between commas (a comma between two digits is a decimal comma). A token is a trade name of the library or a
phrase such as ``28h``; which ports the record has decides what it may mean. A hole ``{width_in}`` of a phrase is
inches of ``width_mm``; a phrase that sets ``standard`` adds a trade name to its port. A token that opens with the
words of a port is for that port alone (``lower ZS56``); one in pieces (``ZS44/28.6``, ``ZS44 | ZS56``) that means
nothing as a whole gives each piece to a port, in the order of the ports.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any, Final

from catalog_schema.faults import FaultList
from catalog_schema.frozen import Unreadable
from catalog_schema.library import Library
from catalog_schema.names import squeezed, tidied
from catalog_schema.quantity import parse_range
from catalog_schema.records import RECORD_KINDS, Record

_SEPARATOR = re.compile(r"(?<!\d),|,(?!\d)|;|\n")
_HOLE = re.compile(r"\{(\w+)\}")
_NUMBER: Final = r"\d+(?:\.\d+)?"
#: Inches of a hole have one digit before the point, so that ``700x28`` is not read as inches.
_INCHES: Final = r"\d(?:\.\d+)?"
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
    names: dict[str, list[str]] = {}
    figures: dict[str, dict[str, Any]] = {}
    for token in tokens(record.box):
        placed = _read(type(record), token, library)
        if not placed:
            known = [n for port in record.ports().values() for n in library.names_for(port.kind)]
            faults.unknown(place, f"words on the box of a {record.kind.replace('_', ' ')}:", token, known)
        for port_name, values in placed:
            if (name_set := values.pop("standard", None)) is not None:
                names.setdefault(port_name, []).append(name_set)
            if values or not name_set:
                _note(figures.setdefault(port_name, {}), values, token, faults, place)
    return _merged(record, names, figures, faults, place)


#: What a token says: figures by port; the figure ``standard`` is a trade name.
_Placed = list[tuple[str, dict[str, Any]]]


def _read(kind: type[Record], token: str, library: Library) -> _Placed:
    """Return what a token says: as a whole, else to the port that it opens with, else piece by piece."""
    ports = tuple(kind.ports())
    if whole := _as_whole(kind, token, library, ports):
        return whole
    for port_name, rest in _addressed(ports, token):
        if placed := _as_whole(kind, rest, library, (port_name,)):
            return placed
    for stroke in ("|", "/"):
        if placed := _in_pieces(kind, [piece.strip() for piece in token.split(stroke)], library):
            return placed
    return []


def _as_whole(kind: type[Record], token: str, library: Library, among: tuple[str, ...]) -> _Placed:
    named = [n for n in among if library.named(kind.ports()[n].kind, token)]
    if named:
        return [(n, {"standard": token}) for n in named]
    phrase = _phrase(kind, token, library, among)
    return [phrase] if phrase is not None else []


def _addressed(ports: tuple[str, ...], token: str) -> list[tuple[str, str]]:
    """Return (port, rest of the token) for each port whose words the token opens with, the most words first.

    The words of a port are its name, and each tail of its name that no other port of the record ends in.
    """
    words = token.replace(":", " ").split()
    found = []
    for name in ports:
        parts = name.split("_")
        for at in range(len(parts)):
            tail = parts[at:]
            alone = not any(o != name and o.split("_")[-len(tail) :] == tail for o in ports)
            if alone and len(words) > len(tail) and [w.casefold() for w in words[: len(tail)]] == tail:
                found.append((len(tail), name, " ".join(words[len(tail) :])))
    return [(name, rest) for _, name, rest in sorted(found, key=lambda f: -f[0])]


def _in_pieces(kind: type[Record], pieces: list[str], library: Library) -> _Placed:
    """Return each piece as a trade name of a port, in the order of the ports; nothing unless every piece has one."""
    ports = list(kind.ports().items())
    placed: _Placed = []
    for piece in pieces if len(pieces) > 1 else []:
        while ports and not library.named(ports[0][1].kind, piece):
            del ports[0]
        if not ports:
            return []
        placed.append((ports.pop(0)[0], {"standard": piece}))
    return placed


def _note(mine: dict[str, Any], values: dict[str, Any], token: str, faults: FaultList, place: str) -> None:
    for name, value in values.items():
        if name in mine and mine[name] != value:
            faults.add("names-exclude", place, f"{token!r} gives {name} a second value: {mine[name]} and {value}")
        mine[name] = value


def _phrase(
    kind: type[Record], token: str, library: Library, among: tuple[str, ...]
) -> tuple[str, dict[str, Any]] | None:
    text = tidied(token)
    whole = len(among) == len(kind.ports())
    for phrase in library.phrases_of(kind.kind):
        if (whole or phrase.port in among) and all(c in text for c in _plain(phrase.form)):
            match = _pattern(phrase.form, _ranges(kind.kind, phrase.port)).fullmatch(text)
            if match is not None:
                found = dict(_in_millimetres(k, v) for k, v in match.groupdict().items())
                return phrase.port, {**phrase.sets, **found}
    words = _plain_words(kind, library, squeezed(token), among)
    return (words[0][0], {words[0][1]: words[0][2]}) if words else None


def _plain_words(kind: type[Record], library: Library, text: str, among: tuple[str, ...]) -> list[tuple[str, str, str]]:
    ports = kind.ports()
    places = [("", "record", name) for name in kind.scalars()] if len(among) == len(ports) else []
    places += [(name, ports[name].kind, figure) for name in among for figure in ports[name].figure_names()]
    words = [(name, figure, library.words.get((port, figure), {}).get(text)) for name, port, figure in places]
    return [(name, figure, word) for name, figure, word in words if word is not None]


@cache
def _ranges(kind: str, port_name: str) -> frozenset[str]:
    """Return the figures of a port that are ranges; a hole for one takes two ends, such as ``25-32``."""
    port = RECORD_KINDS[kind].ports().get(port_name)
    return (
        frozenset(n for n, reads in port.readers().items() if reads is parse_range) if port is not None else frozenset()
    )


def _in_millimetres(name: str, text: str) -> tuple[str, str]:
    """Return a figure as its port has it: a hole ``width_in`` stands for ``width_mm``, inches exactly converted."""
    ends = text.replace("/", "-").split("-")
    if name.endswith("_in"):
        lengths = (format((Decimal(e) * _MM_PER_INCH).normalize(), "f") for e in ends)
        return name.removesuffix("_in") + "_mm", "-".join(lengths)
    return name, "-".join(ends)


@cache
def _plain(form: str) -> tuple[str, ...]:
    """Return what stands between the holes of a form: a text without it cannot have that form."""
    return tuple(tidied(plain) for plain in _HOLE.split(form)[::2])


@lru_cache(maxsize=512)
def _pattern(form: str, ranges: frozenset[str] = frozenset()) -> re.Pattern[str]:
    parts: list[str] = []
    at = 0
    for hole in _HOLE.finditer(form):
        parts.append(re.escape(tidied(form[at : hole.start()])))
        name = hole.group(1)
        two = name in ranges or name.removesuffix("_in") + "_mm" in ranges
        one = _INCHES if name.endswith("_in") else _NUMBER
        parts.append(rf"(?P<{name}>{one}{f'[-/]{one}' if two else ''})")
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
        written = dict(port.given) if port is not None else {}
        standard = (*written.pop("standard", ()), *names.get(port_name, ()))
        raw = {**figures.get(port_name, {}), **written, "standard": standard}
        try:
            updates[port_name] = record.ports()[port_name].read(raw)
        except Unreadable as error:
            for problem in error.problems:
                faults.add("bad-figure", f"{place}.{port_name}", problem.message)
    return record.with_fields(**updates)


def understands(kind: type[Record], token: str, library: Library) -> bool:
    """Return whether a record of this kind has a place for a token."""
    return bool(_read(kind, token, library))
