"""Words on the box: a dozen words in any order, each placed in the port that it belongs to, or reported.

In: a record with ``box = "12x142, 6-bolt, 9-spline road, 28h"``. Out: the same record with the words placed. A token is
what stands between commas (a comma between two digits is a decimal comma). A token is a trade name of the library or a
phrase such as ``28h`` (see ``phrases``); which ports the record has decides what it may mean. A token that opens or
ends with the words of a port is for that port alone (``lower ZS56``); one in pieces (``ZS44/28.6``, ``ZS44 | ZS56``)
that means nothing as a whole gives each piece to a port, in the order of the ports (the words after the last are for
each of them: ``44/56 head tube``; bare figures are read so too where that is one way); one that means nothing in its
own words is read in those that the trade has for the same (``110 PCD`` for ``110 BCD``), or without the maker's name
before a word of his own (``Shimano Alfine 11``); one without its commas (``12x142 6-bolt 28h``) is taken apart where
that can be done in one way only; two figures with a space between are never read as one.
What can mean two things is asked back.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import partial
from itertools import pairwise
from typing import Any

from catalog_schema import phrases, same_words
from catalog_schema.faults import FaultList
from catalog_schema.frozen import Unreadable
from catalog_schema.interface import Interface
from catalog_schema.lean import dataclass, field
from catalog_schema.library import Library
from catalog_schema.names import squeezed
from catalog_schema.quantity import shown
from catalog_schema.records import Record

_SEPARATOR = re.compile(r"(?<!\d),|,(?!\d)|;|\n")
#: A space between two figures parts them: it is left out of "1 1/8" only, and of names that are written so.
_APART = re.compile(r"\d\s+\d+(?!\d)(?!\s*/\s*\d)")
_BEFORE, _AFTER = re.compile(r"\d\s$"), re.compile(r"\s\d")
_FIGURE = re.compile(r"\d+(?:\.\d+)?")
_BRACKETS = re.compile(r"[()\[\]]")
_LENGTH = re.compile(r"\d+(?:\.\d+)?\s*(?:mm)?")
_SIDE_BY_SIDE = re.compile(r"\d[\s\-_]+\d")
#: Words that turn what follows: taken from it, they would say the opposite (``no B-link fitted``).
_NEVER_ALONE = frozenset({"no", "not", "non", "without", "yes"})
#: Words of one token that are taken apart at most; nobody writes a longer line without a comma.
_MOST_WORDS = 40
#: Ways of taking a token apart that are compared; a token with more of them is asked back.
_MOST_WAYS = 8


def tokens(line: str) -> list[str]:
    """Return the tokens of a box line.

    >>> tokens("27,2 mm, 350 long,carbon")
    ['27,2 mm', '350 long', 'carbon']
    """
    return [t for t in (part.strip() for part in _SEPARATOR.split(line)) if t]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a token says: figures by port (the figure ``standard`` is a trade name), or a question about it.

    ``weak``: where another part of the same side understands the token, that part is meant. ``place`` is the end of the
    bicycle that its name is used at, if it is one. ``unread``: it is known, and no joint reads it.
    ``asked``: it can mean several things, so that nothing else is tried.
    """

    placed: list[tuple[str, dict[str, Any]]] = field(default_factory=list)
    question: str = ""
    weak: bool = False
    place: str = ""
    unread: bool = False
    asked: bool = False


def expand(record: Record, library: Library, faults: FaultList, place: str) -> Record:
    """Return ``record`` with its box words placed in its ports; tokens that mean nothing here are faults."""
    if not record.box:
        return record
    names: dict[str, list[str]] = {}
    figures: dict[str, dict[str, Any]] = {}
    for token, reading in _one_each(type(record), _readings(type(record), record.box, library), library):
        if not reading.placed:
            _report(type(record), token, reading, library, faults, place)
        if reading.unread:
            faults.notices.append(("unread", token))
            continue
        for port_name, values in reading.placed:
            if (name_set := values.pop("standard", None)) is not None:
                names.setdefault(port_name, []).append(name_set)
            if values or not name_set:
                _note(figures.setdefault(port_name, {}), values, token, faults, place)
    return _merged(record, names, figures, faults, place)


def _readings(kind: type[Record], line: str, library: Library) -> list[tuple[str, Reading]]:
    found = []
    for token in tokens(line):
        reading = read(kind, token, library)
        pieces = []
        if not reading.placed and not reading.question:
            says = partial(said_by, [kind], library=library)
            pieces = taken_apart(token, lambda t: _known(kind, t, library), says)
        found += [(p, read(kind, p, library)) for p in pieces] if pieces else [(token, reading)]
    return found


def said_by(kinds: Sequence[type[Record]], pieces: Sequence[str], library: Library) -> object:
    """Return what some pieces settle in parts of these kinds; the pieces themselves where one settles nothing."""
    readings = [[read(kind, piece, library).placed for kind in kinds] for piece in pieces]
    return readings if all(any(placed) for placed in readings) else list(pieces)


def _one_each(kind: type[Record], heard: list[tuple[str, Reading]], library: Library) -> list[tuple[str, Reading]]:
    """Give names that are for the same ports and exclude each other (``ZS44, ZS56``) to one port each, in order."""
    out = list(heard)
    for ports in {tuple(n for n, _ in r.placed) for _, r in heard if len(r.placed) > 1}:
        at = [i for i, (_, r) in enumerate(heard) if tuple(n for n, _ in r.placed) == ports]
        rows = [[library.named(kind.ports()[p].kind, heard[i][0]) for p in ports] for i in at]
        if len(at) == len(ports) and all(_exclude(a, b, kind.ports()[ports[0]].kind) for a, b in pairwise(rows)):
            for port, i in zip(ports, at, strict=True):
                out[i] = (heard[i][0], Reading([(port, {"standard": heard[i][0]})]))
    return out


def _exclude(first: list[list[Any]], second: list[list[Any]], port_kind: str) -> bool:
    """Return whether no row of one name and no row of the other can hold together."""
    sides = [
        [r.sides.get(port_kind, {}) if isinstance(r, Interface) else {} for r in name[0]] for name in (first, second)
    ]
    return all(any(a[k] != b[k] for k in a if k in b) for a in sides[0] for b in sides[1])


def _known(kind: type[Record], token: str, library: Library) -> bool:
    reading = read(kind, token, library)
    return bool(reading.placed or reading.question)


def taken_apart(
    token: str, known: Callable[[str], bool], says: Callable[[list[str]], object] | None = None
) -> list[str]:
    """Return the fewest known pieces that a token without commas is made of; nothing if there are none, or two ways.

    Two ways are one where both say the same: ``says`` is what some pieces say together. What stands in brackets is
    a piece of its own, or several.

    >>> taken_apart("12x142 6-bolt HG 11 road", {"12x142", "6-bolt", "HG", "HG 11 road"}.__contains__)
    ['12x142', '6-bolt', 'HG 11 road']
    """
    if "(" in token:
        bracketed = [p.strip() for p in _BRACKETS.split(token) if p.strip()]
        parted = [[p] if known(p) else taken_apart(p, known, says) for p in bracketed]
        return [piece for pieces in parted for piece in pieces] if all(parted) else []
    words = token.split()
    if not 1 < len(words) <= _MOST_WORDS:
        return []
    #: for each end: the ways with the fewest pieces up to there; more than two of them are never needed
    best: list[list[list[str]]] = [[[]]]
    for end in range(1, len(words) + 1):
        ways: list[list[str]] = []
        for start in range(end):
            piece = " ".join(words[start:end])
            if best[start] and piece.casefold() not in _NEVER_ALONE and known(piece):
                ways += [[*way, piece] for way in best[start]]
        fewest = min((len(w) for w in ways), default=0)
        best.append([w for w in ways if len(w) == fewest][:_MOST_WAYS])
    found = best[-1]
    differ = len(found) > 1 and (says is None or any(says(way) != says(found[0]) for way in found[1:]))
    if differ or len(found) == _MOST_WAYS:
        return []
    return found[0] if found else []


def with_commas(token: str, known: Callable[[str], bool]) -> tuple[str, list[str]]:
    """Return a token with commas round what is known, the longest first, and the words that nobody knows."""
    words, out, strange = token.split(), [], []
    at = 0
    while at < len(words):
        ends = [e for e in range(min(len(words), at + _MOST_WORDS), at, -1) if known(" ".join(words[at:e]))]
        end = ends[0] if ends else at + 1
        if not ends:
            strange.append(words[at])
        out.append(" ".join(words[at:end]))
        at = end
    return ", ".join(out), strange


def report_unknown(
    what: str, token: str, known_words: Sequence[str], known: Callable[[str], bool], faults: FaultList, place: str
) -> None:
    """Note a token that means nothing here; one of several words is shown with commas where they would help."""
    line, strange = with_commas(token, known) if " " in token else ("", [])
    if line.count(",") < max(1, len(strange)):
        faults.unknown(place, what, token, known_words)
    else:
        doubt = f"; not known: {', '.join(strange)}" if strange else "; it can be read in two ways"
        message = f"unknown {what} {shown(token)}; commas separate the words: {shown(line)}{doubt}"
        faults.add("unknown-word", place, message)


def _report(kind: type[Record], token: str, reading: Reading, library: Library, faults: FaultList, place: str) -> None:
    if reading.question:
        faults.add("doubtful-word", place, f"{shown(token)}: {reading.question}")
        return
    words = [n for port in kind.ports().values() for n in library.names_for(port.kind)]
    what = f"words on the box of {called(kind)}:"
    report_unknown(what, token, words, lambda t: _known(kind, t, library), faults, place)


def called(kind: type[Record]) -> str:
    """Return a kind of part with its article; kinds that are many things have none (``nipples``)."""
    words = kind.kind.replace("_", " ")
    if words.endswith("s") or words == "brake fluid":
        return words
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def read(kind: type[Record], token: str, library: Library) -> Reading:
    """Return what a token says: as a whole, to the port that it names, piece by piece, or else in other words."""
    own = _in_these_words(kind, token, library)
    if own.placed or own.question:
        return own
    others = (_in_these_words(kind, text, library) for text in same_words.other_words(kind, token, library))
    found = next((reading for reading in others if reading.placed), own)
    if not found.placed and (rest := same_words.without_maker(token, library)):
        return read(kind, rest, library)
    return found


def _in_these_words(kind: type[Record], token: str, library: Library) -> Reading:
    ports = tuple(kind.ports())
    if _APART.search(token) and not _written_apart(kind, token, library):
        return Reading()
    whole = _as_whole(kind, token, library, ports)
    if whole.placed or whole.asked:
        return whole
    for port_name, rest in _addressed(ports, token):
        for text in (rest, f"{rest} bore") if _FIGURE.fullmatch(rest) else (rest,):
            addressed = _as_whole(kind, text, library, (port_name,))
            if addressed.placed:
                return addressed
    for stroke in ("|", "/"):
        if placed := _in_pieces(kind, [piece.strip() for piece in token.split(stroke)], library):
            return Reading(placed)
    return whole


def _written_apart(kind: type[Record], token: str, library: Library) -> bool:
    """Return whether the library writes two figures side by side as the token does (``BB30 68``, ``T47 85.5``)."""
    same, text = squeezed(token), f" {token.casefold()} "
    for form in (p.form.casefold() for p in library.phrases_of(kind.kind)):
        if "{" not in form and squeezed(form) == same:
            return True
        head, tail = form.partition("{")[0], form.rpartition("}")[2]
        if (_BEFORE.search(head) and f" {head}" in text) or (_AFTER.match(tail) and f"{tail} " in text):
            return True
    rows = [r for p in kind.ports().values() for r in library.named(p.kind, token)]
    return any(squeezed(n) == same and _SIDE_BY_SIDE.search(n) for r in rows for n in getattr(r, "names", ()))


def _as_whole(kind: type[Record], token: str, library: Library, among: tuple[str, ...]) -> Reading:
    named = [n for n in among if library.named(kind.ports()[n].kind, token)]
    if named and _of_the_other_end(kind, [r for n in named for r in library.named(kind.ports()[n].kind, token)], token):
        named = []
    if named:
        places = {getattr(r, "place", "") for n in named for r in library.named(kind.ports()[n].kind, token)}
        inches = _inches_in(kind, token, library, tuple(named))
        placed = [(n, {"standard": token, **inches.get(n, {})}) for n in named]
        return Reading(placed, place=places.pop() if len(places) == 1 else "")
    found = phrases.meanings(kind, token, library, among)
    clear = [m for m in found if not m.doubts]
    clear = [m for m in clear if not m.unread] or clear
    if len({m.port for m in clear}) == 1:
        clear = [m for m in clear if not m.figures] or clear  # a form that is written out comes before one with holes
    if len({(m.port, m.figures) for m in clear if not m.unread}) > 1:
        ways = [w for m in clear if (w := phrases.another_way(kind, m, token, library))]
        count = {2: "two", 3: "three"}.get(len(ways), "several")
        return Reading(question=f"this can mean {count} things; write {' or '.join(map(shown, ways))}", asked=True)
    words = _plain_words(kind, library, squeezed(token), among) if all(m.unread for m in clear) else []
    if clear and not words:
        one = clear[0]
        if one.means:
            parts = [read(kind, text, library) for text in one.means]
            return Reading([p for part in parts for p in part.placed] if all(p.placed for p in parts) else [])
        return Reading([(one.port, dict(one.values))], weak=one.weak, unread=one.unread)
    if words:
        return Reading([(words[0][0], {words[0][1]: words[0][2]})])
    return Reading(question="; ".join(dict.fromkeys(d for m in found for d in m.doubts)))


def _inches_in(kind: type[Record], token: str, library: Library, among: tuple[str, ...]) -> dict[str, dict[str, Any]]:
    """Return the inches that a name holds as a form would: ``16 x 2.0`` is the name of a bead seat, and a width."""
    found = [m for m in phrases.meanings(kind, token, library, among) if not m.doubts and not m.unread]
    return {m.port: {f: m.values[f] for f in m.figures if f.endswith("_in")} for m in reversed(found)}


def _of_the_other_end(kind: type[Record], rows: Sequence[Any], token: str) -> bool:
    """Return whether a bare figure on a part of the front is used at the rear only: ``120 mm`` on a fork is travel."""
    bare = _LENGTH.fullmatch(token) is not None
    return bare and kind.kind == "fork" and all(getattr(r, "place", "") == "rear" for r in rows)


def _addressed(ports: tuple[str, ...], token: str) -> list[tuple[str, str]]:
    """Return (port, rest of the token) for each port whose words the token opens or ends with, the most words first.

    The words of a port are its name, and each tail of its name that no other port of the record ends in.
    """
    words = token.replace(":", " ").split()
    plain = [w.casefold() for w in words]
    found = []
    for name in ports:
        parts = name.split("_")
        for at in range(len(parts)):
            tail = parts[at:]
            alone = not any(o != name and o.split("_")[-len(tail) :] == tail for o in ports)
            if not alone or len(words) <= len(tail):
                continue
            if plain[: len(tail)] == tail:
                found.append((len(tail), name, " ".join(words[len(tail) :])))
            if plain[-len(tail) :] == tail:
                found.append((len(tail), name, " ".join(words[: -len(tail)])))
    return [(name, rest) for _, name, rest in sorted(found, key=lambda f: -f[0])]


def _in_pieces(kind: type[Record], pieces: list[str], library: Library) -> list[tuple[str, dict[str, Any]]]:
    """Return each piece as a trade name of a port, in the order of the ports; nothing unless every piece has one."""
    if placed := _one_by_one(kind, pieces, library):
        return placed
    if len(pieces) == 1:
        return []
    rest = pieces[-1].partition(" ")[2]
    if rest:
        return _one_by_one(kind, [f"{p.removesuffix(rest).strip()} {rest}" for p in pieces], library)
    return _twins(kind, pieces, library) if all(_FIGURE.fullmatch(p) for p in pieces) else []


def _twins(kind: type[Record], pieces: list[str], library: Library) -> list[tuple[str, dict[str, Any]]]:
    """Return bare figures as names of twin ports (``44/56`` for ``44 bore`` and ``56 bore``), if that is one way."""
    names = {n for port in kind.ports().values() for n in library.names_for(port.kind)}
    rests = [{n.partition(" ")[2] for n in names if n.partition(" ")[0] == piece} - {""} for piece in pieces]
    ways = []
    for rest in sorted(set.intersection(*rests)):
        placed = _one_by_one(kind, [f"{piece} {rest}" for piece in pieces], library)
        if placed and len({kind.ports()[port].kind for port, _ in placed}) == 1:
            ways.append(placed)
    rows = [[(port, library.named(kind.ports()[port].kind, v["standard"])) for port, v in way] for way in ways]
    return ways[0] if ways and all(r == rows[0] for r in rows) else []


def _one_by_one(kind: type[Record], pieces: list[str], library: Library) -> list[tuple[str, dict[str, Any]]]:
    ports = list(kind.ports().items())
    placed: list[tuple[str, dict[str, Any]]] = []
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


def _plain_words(kind: type[Record], library: Library, text: str, among: tuple[str, ...]) -> list[tuple[str, str, str]]:
    ports = kind.ports()
    places = [("", "record", name) for name in kind.scalars()] if len(among) == len(ports) else []
    places += [(name, ports[name].kind, figure) for name in among for figure in ports[name].figure_names()]
    words = [(name, figure, library.words.get((port, figure), {}).get(text)) for name, port, figure in places]
    return [(name, figure, word) for name, figure, word in words if word is not None]


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
