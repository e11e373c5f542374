"""The table of the collectors' words as it is read, and the names and values that it is compared with.

In: ``tests/cases/collector_fields.toml``. Out: frozen rows; names of fields as words without order, in one spelling;
numbers in our unit; runs of words that a text holds. It knows no question.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

FOLDER = Path(__file__).parent / "cases"

End = Literal["front", "rear", "both"]
#: Slots that exist at both ends of the bicycle; ``holder`` is the fork or the frame.
ENDED = (
    "hub", "hub_adapter", "axle", "spokes", "rim", "rim_tape", "tyre", "tube", "valve", "valve_sleeve", "rotor",
    "rotor_adapter", "rotor_lockring", "caliper", "mount_adapter", "rim_brake", "brake_lever", "shifter", "nipples",
    "pads", "brake_line", "pull_converter", "rim_brake_adapter", "cable_hanger", "arm_clip", "mudguard",
)  # fmt: skip
_PER_INCH = Decimal("25.4")
_PSI_PER_BAR = Decimal("14.5038")
_WORD = re.compile(r"[a-z]+|\d+(?:\.\d+)?|\?")


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class PartName(_Strict):
    """How the collector calls a part. ``end`` is set where the name says front, rear or both."""

    id: str
    names: tuple[str, ...]
    end: End | None = None
    #: the slot of a part that is named without any figure, where that is not the id
    slot: str = ""


class FieldRow(_Strict):
    """What a field of a part means. Rows are tried in the order of the file; the first that accepts the value counts.

    Of the part names in ``of``, ``question`` means fields that stand beside the parts. A bare value ("rotor = 180")
    is the field with the empty name. A number goes to ``to``, words go through the table ``words``. ``list`` says what
    a list of numbers is: alternatives, a span, one figure nobody knows exactly, or alternatives of the whole part.
    """

    of: tuple[str, ...]
    names: tuple[str, ...]
    to: tuple[str, ...] = ()
    words: str = ""
    list: Literal["choice", "span", "not-exact", "shortlist"] = "choice"
    above: Decimal | None = None
    below: Decimal | None = None
    when: dict[str, tuple[str, ...]] = {}
    unless: dict[str, tuple[str, ...]] = {}
    #: the value is one of these, word by word
    says: tuple[str, ...] = ()
    sets: dict[str, Any] = {}
    #: what is set is the common case, and gives way to what the question says of that side
    assumed: bool = False
    #: only where the name ends in one of these units; the number then stays in it
    units: tuple[str, ...] = ()
    ignore: str = ""
    #: what is ignored still says that the part is there
    there: bool = False
    #: only where nothing else reads the field
    last: bool = False
    refuse: str = ""
    option: str = ""
    offer: str = "sold"
    by: str = ""
    pairs: dict[str, dict[str, Any]] = {}
    end: End | None = None
    #: names made of this field (``value``) and of those beside it, as ``"{speeds}-speed {value}"``; only names of ours
    phrase: dict[str, str] = {}
    #: a number is multiplied by that of the field ``by`` in this table: the circle of holes so far from each other
    times: dict[str, Decimal] = {}
    #: where the numbers of a list go by their count, the largest first
    ranked: dict[str, tuple[str, ...]] = {}


class WordRow(_Strict):
    """Words that a value may hold, as runs of words.

    In ``match`` ``{w}`` and ``{v}`` stand for any word, other letters in braces for a number. ``sets`` may use them,
    and ``{word}`` (the first word that matched) and ``{text}`` (all of it).
    """

    match: tuple[str, ...]
    sets: dict[str, Any] = {}
    refuse: str = ""


class Alias(_Strict):
    """Words of a field's name that mean others: of these parts, or of any."""

    words: str
    means: tuple[str, ...]
    of: tuple[str, ...] = ()


class Within(_Strict):
    """A part that the fields of another name as its piece: ``frame.bb_width`` is the width of the shell."""

    of: tuple[str, ...]
    names: tuple[str, ...]
    part: str


class Topic(_Strict):
    """What a question is about. ``joints`` count for its verdict; ``there`` are slots it takes for granted.

    ``signs`` are names of parts or fields by which a question without a topic is known to be about this (``grip*``:
    any name with that word in it); ``figures``
    are beginnings of our figures by which we know, once it is read, what else such a question takes for granted.
    """

    id: str
    scope: Literal["A", "B", "E"]
    #: what else collectors call it
    names: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    there: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    #: figures of a part that is taken for granted, from those of a part that is named
    taken: dict[str, str] = {}


class Table(_Strict):
    """The whole table."""

    verdict: dict[str, str]
    same: dict[str, tuple[str, ...]]
    noise: tuple[str, ...] = ()
    default_end: End = "front"
    part: tuple[PartName, ...]
    topic: tuple[Topic, ...] = ()
    field: tuple[FieldRow, ...]
    word: dict[str, tuple[WordRow, ...]] = {}
    #: words of a field's name that do not say which figure it is
    spare: tuple[str, ...] = ()
    #: values by which a figure is not told
    untold: tuple[str, ...] = ()
    #: words of a field's name by which its value may be that of another part, or of none that is there
    elsewhere: tuple[str, ...] = ()
    alias: tuple[Alias, ...] = ()
    within: tuple[Within, ...] = ()
    #: other parts whose fields a part may carry, as a wheel those of its hub and rim
    also: dict[str, tuple[str, ...]] = {}
    #: what collectors call our ports, beside their names
    port_words: dict[str, tuple[str, ...]] = {}

    def topic_of(self, name: str) -> Topic | None:
        """Return the topic with this id, else the one that goes by this name as well."""
        found = next((t for t in self.topic if t.id == name), None)
        return found or next((t for t in self.topic if words_of(name) in map(words_of, t.names)), None)


@cache
def table(name: str = "collector_fields") -> Table:
    """Return the table that comes with the tests."""
    return Table.model_validate(_raw_table(name))


def _raw_table(name: str) -> dict[str, Any]:
    """Return a table file; one that ``extends`` another puts its own rows before those of the other."""
    raw = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)
    base = raw.pop("extends", None)
    if base is None:
        return raw
    below = _raw_table(base)
    for key in ("part", "topic", "field"):
        below[key] = [*raw.pop(key, []), *below.get(key, [])]
    for word, rows in raw.pop("word", {}).items():
        below.setdefault("word", {})[word] = [*rows, *below.get("word", {}).get(word, [])]
    return {**below, **raw}


# ------------------------------------------------------------------------------------------------------ names, values


def words_of(text: str) -> tuple[str, ...]:
    """Return the words and numbers of a name or value: ``"thru 12x142"`` is thru, 12, x, 142."""
    return tuple(_WORD.findall(text.replace("×", "x").casefold().replace(",", ".")))


@dataclass(frozen=True)
class Name:
    """A field name: its words in one spelling, without order, and the unit it ended in."""

    words: frozenset[str]
    unit: str


@lru_cache(maxsize=4096)
def name_of(text: str, which: str) -> Name:
    t = table(which)
    words = list(words_of(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)))
    unit = ""
    if len(words) > 1 and words[-1] in ("mm", "in", "inch", "inches", "psi", "bar", "deg", "cm"):
        unit = words.pop()
    canonical = {s: word for word, spellings in t.same.items() for s in spellings}
    return Name(frozenset(canonical.get(w, w) for w in words if w not in t.noise), unit)


def number_in(value: object) -> Decimal | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float | Decimal):
        return Decimal(str(value))
    if isinstance(value, str) and re.fullmatch(r"\s*\d+(?:[.,]\d+)?\s*(?:mm)?\s*", value):
        return Decimal(value.replace("mm", "").replace(",", ".").strip())
    return None


def in_our_unit(number: Decimal, unit: str) -> Decimal:
    if unit in ("in", "inch", "inches"):
        return (number * _PER_INCH).quantize(Decimal("0.1"))
    if unit == "cm":
        return number * 10
    if unit == "psi":
        return (number / _PSI_PER_BAR).quantize(Decimal("0.01"))
    return number


@dataclass(frozen=True)
class Match:
    """Where a pattern stands in a text, and what its holes caught."""

    start: int
    end: int
    caught: Mapping[str, str]


def matches(pattern: Sequence[str], text: Sequence[str]) -> Match | None:
    """Return the first run of words that a pattern matches, else None."""
    for start in range(len(text) - len(pattern) + 1):
        caught: dict[str, str] = {}
        for want, have in zip(pattern, text[start:], strict=False):
            if want.startswith("{"):
                if (want in ("{w}", "{v}")) is have[0].isdigit():
                    break
                caught[want[1:-1]] = have
            elif want != have:
                break
        else:
            return Match(start, start + len(pattern), caught)
    return None


def pattern_of(text: str) -> tuple[str, ...]:
    return tuple(w for piece in re.split(r"(\{\w\})", text) for w in ([piece] if piece[:1] == "{" else words_of(piece)))


# --------------------------------------------------------------------------------------------------------- converting


@dataclass(frozen=True)
class Found:
    """A field of a question: whose it is, its name, its value, and what stands beside it."""

    part: str
    end: End | None
    name: str
    value: Any
    label: str
    beside: Mapping[str, Any]


@dataclass(frozen=True)
class Placed:
    """A figure for one of our slots (``slot.port.figure``), or a word about the question (``@end``)."""

    to: str
    value: Any
    end: End | None = None
    option: str = ""
    offer: str = ""
    choice: int = 0
    assumed: bool = False


@dataclass
class Work:
    t: Table
    which: str
    placed: list[Placed] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    parts: set[str] = field(default_factory=set)

    def note(self, text: str) -> None:
        if text not in self.missing:
            self.missing.append(text)


def real_slots(slot: str, end: End | None) -> tuple[str, ...]:
    """Return the slots that a name of the table means: ``hub`` is ``rear_hub`` at the rear, ``hub@front`` nothing."""
    slot, _, only = slot.partition("@")
    ends: tuple[str, ...] = ("front", "rear") if end == "both" else (end or "front",)
    if only:
        ends = tuple(e for e in ends if e == only)
    if slot == "holder":
        return tuple("fork" if e == "front" else "frame" for e in ends)
    return tuple(f"{e}_{slot}" for e in ends) if slot in ENDED else (slot,)


def part_of(key: str, work: Work) -> PartName | None:
    wanted = name_of(key, work.which).words
    for part in work.t.part:
        if any(name_of(n, work.which).words == wanted for n in part.names):
            return part
    return None
