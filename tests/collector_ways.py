"""Other ways to read a field of a collector that the table does not name as it stands.

In: a field, the table. Out: the same field under other names and with its value in other forms, for the rows of the
table; and what our own vocabulary makes of it: the figures of the records by their names, the trade names and phrases
that may stand on a box. A field is never read by a part of its words: every word is the part's own (``hub.hub_width``),
says nothing (``size``), says front or rear, stands for another word, or belongs to the figure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

from catalog_schema import bicycle, boxline, library, slot_words
from catalog_schema.interface import AdapterKind, Interface
from catalog_schema.names import squeezed
from catalog_schema.records import RECORD_KINDS, Record
from tests.collector_table import (
    ENDED,
    End,
    Found,
    PartName,
    Placed,
    Work,
    in_our_unit,
    name_of,
    number_in,
    part_of,
    words_of,
)

_ENDS: dict[str, End] = {"front": "front", "rear": "rear", "back": "rear"}
#: A name is rewritten at most so often.
_MOST_STEPS = 5
_UNITS = frozenset({"mm", "teeth", "deg", "bar", "nm", "psi"})
_COUNTS = frozenset({"count", "number", "num"})
#: Makers whose name may stand before a standard of the trade that says no more by it.
_MAKERS = frozenset({"shimano", "sram"})
_PARTED = re.compile(r"(?<!\d),|,(?!\d)|[;()\[\]]")
#: Words that turn what stands beside them.
NEGATIONS = frozenset({"no", "non", "not", "without", "un"})
_PAIR = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(?:-|/|–|to|and)\s*(\d+(?:\.\d+)?)\s*(?:mm|t|teeth)?\s*")
_TRIPLE = re.compile(r"\s*(\d\d)\s*[-/]\s*(\d\d)\s*[-/]\s*(\d\d)\s*(?:t|teeth)?\s*")
_COUNTED = re.compile(r"\s*(\d+(?:\.\d+)?)\s*-?\s*(?:mm|t|teeth|tooth|h|holes?|s|sp|spd|speeds?)\.?\s*")
_INCHES = re.compile(r"\s*(?:(\d+)(?:\s+|-))?(\d+)/(\d+)\s*(?:\"|in|inch|inches)?\s*")
_DECIMAL_INCHES = re.compile(r"\s*(\d+(?:\.\d+)?)\s*-?\s*(?:\"|in|inch|inches)\s*")


# ------------------------------------------------------------------------------------------------------------ rewriting


def other_ways(found: Found, work: Work) -> Iterator[Found]:
    """Yield a field under other names, of other parts and with other forms of its value, the closest first."""
    joined = ends_joined(found, work)
    if joined is not None:
        yield joined
        yield from _other_names(joined, work)
    values = [found.value, *_other_values(found)]
    for value in values[1:]:
        yield replace(found, value=value)
    for named in _other_names(found, work):
        for value in values:
            if name_of(named.name, work.which).words or number_in(value) is None:
                yield replace(named, value=value)


def ends_joined(found: Found, work: Work) -> Found | None:
    """Read ``reach_min`` with ``reach_max`` beside it as the span ``reach``; the other of the two then says nothing."""
    name = name_of(found.name, work.which)
    ends = name.words & {"min", "max"}
    if len(ends) != 1 or number_in(found.value) is None:
        return None
    rest = name.words - ends
    twin = rest | {"min", "max"} - ends
    other = [v for k, v in found.beside.items() if name_of(k, work.which).words == twin and number_in(v) is not None]
    if len(other) != 1 or not rest:
        return None
    values = tuple(sorted((number_in(found.value), number_in(other[0]))))  # type: ignore[type-var]
    return replace(found, name=" ".join([*sorted(rest), name.unit]).strip(), value=values)


def _other_names(found: Found, work: Work) -> Iterator[Found]:
    unit = name_of(found.name, work.which).unit
    seen: set[tuple[str, End | None, frozenset[str]]] = set()
    level = [(found.part, found.end, name_of(found.name, work.which).words)]
    seen.update(level)
    for _ in range(_MOST_STEPS):
        following: list[tuple[str, End | None, frozenset[str]]] = []
        for state in level:
            for step in _steps(*state, work):
                if step not in seen:
                    seen.add(step)
                    following.append(step)
                    part, end, words = step
                    yield replace(found, part=part, end=end, name=" ".join([*sorted(words), unit]).strip())
        level = following


def _steps(
    part: str, end: End | None, words: frozenset[str], work: Work
) -> Iterator[tuple[str, End | None, frozenset[str]]]:
    for alias in work.t.alias:
        if not alias.of or part in alias.of:
            away = name_of(alias.words, work.which).words
            if away <= words:
                for means in alias.means:
                    yield part, end, words - away | name_of(means, work.which).words
    own = words & own_words(part, work)
    if own:
        yield part, end, words - own
    for word in words & set(work.t.spare):
        yield part, end, words - {word}
    for word in words:
        for other in _other_number(word):
            yield part, end, words - {word} | {other}
    for word in words & set(_ENDS):
        if end in (None, _ENDS[word]):
            yield part, _ENDS[word], words - {word}
    for inner in work.t.within:
        if part in inner.of:
            for name in inner.names:
                away = name_of(name, work.which).words
                if away <= words:
                    yield inner.part, end, words - away
    for other in work.t.also.get(part, ()):
        yield other, end, words


def _other_number(word: str) -> tuple[str, ...]:
    """Return the plural of a word, or what it is the plural of."""
    if not word.isalpha() or len(word) < 3:
        return ()
    return (word[:-1],) if word.endswith("s") and not word.endswith("ss") else (f"{word}s",)


def own_words(part: str, work: Work) -> frozenset[str]:
    """Return the words that a part is called by, without those that say at which end it is."""
    names = [n for p in work.t.part if p.id == part for n in p.names]
    return frozenset(w for n in names for w in name_of(n, work.which).words if w not in _ENDS)


def _other_values(found: Found) -> list[Any]:
    """Return other forms of a value: ``"50/34"`` is two numbers, ``"1 1/8"`` is inches, ``"160mm"`` is a number."""
    text = found.value
    if not isinstance(text, str):
        return []
    maker, _, rest = text.partition(" ")
    if rest and maker.casefold() in _MAKERS:
        return [rest]
    text = text.replace(",", ".")
    if pair := _TRIPLE.fullmatch(text) or _PAIR.fullmatch(text):
        return [tuple(Decimal(n) for n in pair.groups())]
    if inches := _INCHES.fullmatch(text):
        whole, over, under = inches.groups()
        return [in_our_unit(Decimal(whole or 0) + Decimal(over) / Decimal(under), "in")]
    if decimal := _DECIMAL_INCHES.fullmatch(text):
        return [in_our_unit(Decimal(decimal[1]), "in")]
    if counted := _COUNTED.fullmatch(text):
        return [Decimal(counted[1])]
    return []


def pieces_of(found: Found) -> list[Found]:
    """Return a text in the pieces that commas, brackets and colons part, each as a field of the same name."""
    if not isinstance(found.value, str):
        return []
    pieces = [p.strip() for p in _PARTED.split(found.value)]
    return [replace(found, value=p) for p in pieces if p]


def is_remark(found: Found, work: Work) -> bool:
    """Return whether a piece of a text holds no number and no "not" that could turn what the rest says.

    What is said not to be told (``shape not identified``) is not, and a part said not to be there is not on the list.
    """
    words = words_of(str(found.value))
    if len(words) > 1 and words[0] in ("no", "without") and part_by_other_name(" ".join(words[1:]), work) is not None:
        return True
    told = any(words[-len(u) :] == u for u in map(words_of, work.t.untold) if u and len(words) >= len(u))
    return told or not any(w[0].isdigit() or w in NEGATIONS for w in words)


def says_nothing(found: Found, work: Work) -> bool:
    """Return whether a field says of a word of ours that it is not so, or that an adapter is not there.

    ``eccentric_bb = false``: of a frame that has none nobody would say a word; the figure stays as it was told.
    """
    if found.value is not False:
        return False
    plain = " ".join(w for w in words_of(found.name) if w not in work.t.spare)
    names = {plain, " ".join(w for w in words_of(plain) if w not in ("fitted", "included", "available"))} - {""}
    kinds = [kind for way in (found, *_other_names(found, work)) for _, kind in _slots(way, work)]
    known = any(boxline.read(k, n, library.load()).placed for k in kinds for n in names)
    return known or any(_names_adapter(n.split()[-1]) for n in names)


def _names_adapter(text: str) -> bool:
    rows = [r for r in library.load().rows.values() if isinstance(r, AdapterKind)]
    return any(text in r.title.split(" ") for r in rows)


def part_by_other_name(key: str, work: Work) -> PartName | None:
    """Return the part that a name means which the table does not hold: by our words for slots, or in the plural."""
    words = words_of(key)
    plain = [w for w in words if w not in work.t.spare]
    for names in (words, plain):
        for text in (" ".join(names), *(" ".join([*names[:-1], w]) for w in _other_number(names[-1] if names else ""))):
            part = (part_of(text, work) or part_by_slot(text, work)) if text else None
            if part is not None:
                return part
    if len(words) > 1 and words[0] in _ENDS:
        part = part_by_other_name(" ".join(words[1:]), work) or part_of(" ".join(words[1:]), work)
        if part is not None and part.end is None:
            return part.model_copy(update={"end": _ENDS[words[0]]})
    return None


def at_its_end(key: str, fields: Mapping[str, Any], work: Work) -> PartName | None:
    """Return the part that ``front <key>`` names, where a field of ``key`` says that it is the front one."""
    said = {str(v).casefold() for k, v in fields.items() if name_of(k, work.which).words & {"side", "end", "position"}}
    ends = {"front" if s == "left" else "rear" if s == "right" else s for s in said} & set(_ENDS)
    return part_of(f"{ends.pop()} {key}", work) if len(ends) == 1 else None


def part_by_slot(key: str, work: Work) -> PartName | None:
    """Return the part that a word of our own for slots means, such as ``brake disc`` or ``mech``."""
    meaning = _vocabulary().get(squeezed(key.replace("_", " ")))
    bases = {_base(s) for s in meaning.every} if meaning is not None else set()
    if meaning is None or len(bases) != 1:
        return None
    base = bases.pop()
    ends: set[End] = {e for s in meaning.every for e in ("front", "rear") if s == f"{e}_{base}"}
    part = next((p for p in work.t.part if (p.slot or p.id) in (base, *meaning.every) and p.end is None), None)
    part = part or PartName(id=base, names=(base.replace("_", " "),))
    return part.model_copy(update={"end": ends.pop()}) if part is not None and len(ends) == 1 else part


@cache
def _vocabulary() -> slot_words.Vocabulary:
    return slot_words.vocabulary(bicycle.load())


def _base(slot: str) -> str:
    for end in ("front_", "rear_"):
        if slot.startswith(end) and slot.removeprefix(end) in ENDED:
            return slot.removeprefix(end)
    return slot


# ------------------------------------------------------------------------------------------------- our own vocabulary


def in_our_words(found: Found, work: Work) -> list[Placed] | None:
    """Return what our names of figures, trade names and phrases make of a field; None if they do not settle it.

    An empty answer: every word is known, and no joint reads any of them.
    """
    texts = [v for v in _other_values(found) if isinstance(v, str)]
    for way in (found, *_other_names(found, work)):
        for slot, kind in _slots(way, work):
            for value in (found.value, *texts):
                for read in (_by_figure, _by_box):
                    placed = read(replace(way, value=value), slot, kind, work)
                    if placed is not None:
                        return placed
    return _by_trade_name(found, work)


def _by_trade_name(found: Found, work: Work) -> list[Placed] | None:
    """Return a side by its trade name, whatever the field is called: ``T47`` is a shell, ``6-bolt`` a seat of rotors.

    Not where the name says that something else is meant than the part as it is (``old``, ``instead_of``, ``adapter``).
    """
    if not isinstance(found.value, str) or not found.name or set(words_of(found.name)) & set(work.t.elsewhere):
        return None
    for slot, kind in _slots(found, work):
        said = _token(" ".join(found.value.replace("_", " ").split()), kind, [])
        named = {p for p in kind.ports() if _words(found.name, work) & _called(p, work)}
        if said and all(set(values) == {"standard"} and (not named or port in named) for port, values in said):
            return [Placed(_to(slot, port) + "standard", values["standard"], found.end) for port, values in said]
    return None


def is_name(to: str, text: str) -> bool:
    """Return whether a text is a trade name of the port of ``slot.port.standard``."""
    port_kind = _port_kind(to)
    return bool(port_kind) and bool(library.load().named(port_kind, text))


def may_be(to: str, value: str, name: str) -> bool:
    """Return whether what a trade name stands for may have this word as its figure ``slot.port.figure``."""
    port_kind, figure = _port_kind(to), to.rpartition(".")[2]
    wanted = library.load().words.get((port_kind, figure), {}).get(squeezed(value), value)
    sides = [
        row.sides.get(port_kind, {}) for row in library.load().named(port_kind, name) if isinstance(row, Interface)
    ]
    return not sides or any(side.get(figure, wanted) == wanted for side in sides)


def _port_kind(to: str) -> str:
    slot, port, _ = _anywhere(to).split(".")
    kinds = [s.kind for s in bicycle.load().slots if s.id in (slot, f"rear_{slot}")]
    side = RECORD_KINDS[kinds[0]].ports().get(port) if kinds else None
    return side.kind if side is not None else ""


def _anywhere(to: str) -> str:
    return re.sub(r"(?<=\w)@\w+", "", to)


def _slots(found: Found, work: Work) -> list[tuple[str, type[Record]]]:
    """Return the slots of ours that a part of the table is, each with the kind of its record."""
    name = next((p.slot or p.id for p in work.t.part if p.id == found.part), found.part)
    wanted = (name, f"{found.end or 'rear'}_{name}")
    kinds = [s.kind for s in bicycle.load().slots if s.id in wanted]
    return [(name, RECORD_KINDS[kinds[0]])] if name and kinds else []


def _to(slot: str, port: str) -> str:
    """A port that only the hub at the rear has makes the hub the rear one."""
    rear_only = slot == "hub" and port == "driver"
    return f"{'rear_hub' if rear_only else slot}.{port}." if port else f"{slot}."


def _words(text: str, work: Work) -> frozenset[str]:
    return name_of(text, work.which).words - _UNITS


def _by_figure(found: Found, slot: str, kind: type[Record], work: Work) -> list[Placed] | None:
    """Return the one figure of a record that is called so: all its own words are in the name, and no other."""
    wanted = _words(found.name, work) - {"size"}
    if not wanted or isinstance(found.value, list | tuple | bool):
        return None
    unit = name_of(found.name, work.which).unit
    counted = bool(_COUNTS & set(words_of(found.label)))
    number = number_in(found.value)
    fits: list[tuple[str, str, Any]] = []
    for port_name, port in kind.ports().items():
        for figure in port.figure_names():
            own = _words(figure.replace("_", " "), work)
            if not own <= wanted or not wanted <= own | _words(port_name.replace("_", " "), work):
                continue
            measured = figure.rpartition("_")[2]
            if measured in _UNITS or figure in ("holes", "speeds", "bolts", "count"):
                if (counted and measured in _UNITS) or (unit in ("mm", "in", "cm") and measured != "mm"):
                    continue
                if number is not None:
                    fits.append((port_name, figure, in_our_unit(number, unit)))
            elif isinstance(found.value, str):
                known = library.load().words.get((port.kind, figure), {}).get(squeezed(found.value))
                if known is not None:
                    fits.append((port_name, figure, known))
    return [Placed(_to(slot, fits[0][0]) + fits[0][1], fits[0][2], found.end)] if len(fits) == 1 else None


def _by_box(found: Found, slot: str, kind: type[Record], work: Work) -> list[Placed] | None:
    """Return what the value says as words on the box; a name that says which side it is of holds them to that side."""
    wanted = _words(found.name, work)
    texts = _as_printed(found, wanted)
    ports = [p for p in kind.ports() if wanted & _called(p, work)]
    if found.value is True:
        texts, wanted, ports = [" ".join(words_of(found.name))], frozenset(), list(kind.ports())
    elif found.value is False:
        name = " ".join(words_of(found.name))
        texts, wanted, ports = [f"not {name}", f"no {name}"], frozenset(), list(kind.ports())
    if isinstance(found.value, list | tuple) or wanted - {w for p in ports for w in _called(p, work)} - {"material"}:
        return None
    for text in texts:
        said = [_token(t, kind, ports if wanted - {"material"} else []) for t in boxline.tokens(text)]
        if said and all(s is not None for s in said):
            return [
                Placed(_to(slot, p) + figure, value, found.end)
                for token in said
                for p, values in token or ()
                for figure, value in values.items()
            ]
    return None


def _as_printed(found: Found, wanted: frozenset[str]) -> list[str]:
    text = " ".join(str(found.value).replace("_", " ").split())
    if number_in(found.value) is None:
        name = " ".join(words_of(found.name))
        return [text, f"{name} {text}", f"{text} {name}"] if wanted else [text]
    name = " ".join(w for w in words_of(found.name) if w not in _UNITS)
    unit = [f"{text} mm {name}"] if "mm" in words_of(found.name) else []
    return [f"{text} {name}", f"{name} {text}", *unit, text] if wanted else [text]


def _token(token: str, kind: type[Record], ports: list[str]) -> list[tuple[str, dict[str, Any]]] | None:
    """Return the figures of a token by port (``standard`` is a trade name), held to some ports if there are any."""
    shelf = library.load()
    readings = []
    for port in ports:
        reading = boxline.read(kind, f"{port.replace('_', ' ')} {token}", shelf)
        if reading.placed and {p for p, _ in reading.placed} <= {port}:
            readings.append(reading)
    if not readings:
        reading = boxline.read(kind, token, shelf)
        pieces = (
            [] if reading.placed else boxline.taken_apart(token, lambda t: bool(boxline.read(kind, t, shelf).placed))
        )
        readings = [boxline.read(kind, p, shelf) for p in pieces] or [reading]
    if any(r.question or not (r.placed or r.unread) for r in readings):
        return None
    said = [(p, _numbers(v)) for r in readings for p, v in r.placed if not ports or p in ports]
    return said if said or all(r.unread for r in readings) else None


def _numbers(values: dict[str, Any]) -> dict[str, Any]:
    return {k: v if k == "standard" or number_in(v) is None else number_in(v) for k, v in values.items()}


def _called(port: str, work: Work) -> frozenset[str]:
    """Return the words that a port goes by: its name, and what the table adds."""
    return _words(port.replace("_", " "), work) | {
        w for name in work.t.port_words.get(port, ()) for w in name_of(name, work.which).words
    }


def split(found: Found, work: Work) -> Found | None:
    """Read ``frame_bore`` beside the parts as the field ``bore`` of the part ``frame``."""
    if found.part != "question":
        return None
    words = words_of(found.name)
    for find in (part_of, part_by_slot):
        for cut in range(len(words) - 1, 0, -1):
            part = find(" ".join(words[:cut]), work)
            if part is not None:
                return Found(part.id, part.end, " ".join(words[cut:]), found.value, found.label, found.beside)
    return None
