"""Sides as a mechanic says them: ``frame: 12x148, PM160`` and ``wheel: 12x142, 6-bolt``.

In: texts of the form ``word: words on the box``. Out: the raw table of a list, and notices on how a side was taken. A
word is a slot, a kind of part or a word of the workshop; where it fits in front and at the rear, the other sides decide
(a frame means rear, a fork front). It knows slots and tokens, no joints.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from catalog_schema import boxline
from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import FaultList
from catalog_schema.fitting_list import ANY
from catalog_schema.library import Library
from catalog_schema.names import squeezed
from catalog_schema.parts import Part
from catalog_schema.quantity import NONE, shown

PLACES: Final = ("front", "rear")
#: A place that a side implies for those that have none of their own.
IMPLIED: Final = {"frame": "rear", "fork": "front"}

JUDGED_REAR: Final = "place-taken-as-rear"
JUDGED_FRONT: Final = "place-taken-as-front"
JUDGED_BOTH: Final = "place-judged-both"


@dataclass(frozen=True, slots=True)
class _Word:
    """What a side word means: slots whatever the place, or slots by place."""

    slots: tuple[str, ...] = ()
    front: tuple[str, ...] = ()
    rear: tuple[str, ...] = ()

    def at(self, place: str) -> tuple[str, ...]:
        return self.slots or (self.front if place == "front" else self.rear)


@dataclass(slots=True)
class Sides:
    """The raw table of a list, and (notice, side word) pairs."""

    raw: dict[str, Any] = field(default_factory=dict)
    notices: list[tuple[str, str]] = field(default_factory=list)


def read(texts: Sequence[str], library: Library, bicycle: Bicycle, numbers: Mapping[str, Part]) -> Sides:
    """Return the list that some sides describe; ``numbers`` are the parts of the open catalogues.

    Raises:
        InputFaults: with every fault of every side.
    """
    faults = FaultList("meet")
    known = vocabulary(bicycle)
    sides: list[tuple[str, _Word, str]] = []
    for text in texts:
        word, colon, rest = text.partition(":")
        name, rest = word.strip(), rest.strip()
        if not colon or not rest:
            faults.add("bad-side", "", f"expected 'part: words on the box', found {shown(text)}")
        elif squeezed(name) not in known:
            faults.unknown("", "part", name, (*bicycle.by_id, *known.values_shown))
        else:
            sides.append((name, known[squeezed(name)], rest))
    out = Sides({"slots": {}})
    implied = _implied(meaning for _, meaning, _ in sides)
    for name, meaning, rest in sides:
        _place(name, meaning, rest, implied, out, library, bicycle, numbers, faults)
    faults.raise_if_any()
    return out


class Vocabulary(dict[str, _Word]):
    """Squeezed side word -> meaning; ``values_shown`` holds the words as written."""

    def __init__(self) -> None:
        super().__init__()
        self.values_shown: list[str] = []

    def learn(self, written: str, word: _Word) -> None:
        """Add a word, unless it already means something."""
        if squeezed(written) not in self:
            self[squeezed(written)] = word
            self.values_shown.append(written)


def vocabulary(bicycle: Bicycle) -> Vocabulary:
    """Return every word that may stand before the colon of a side."""
    known = Vocabulary()
    for slot in bicycle.slots:
        for written in (slot.words, slot.id):
            known.learn(written, _Word(slots=(slot.id,)))
    for side in bicycle.sides:
        for written in side.words:
            known.learn(written, _Word(side.slots, side.front, side.rear))
            for place in PLACES:
                if not side.slots:
                    known.learn(f"{place} {written}", _Word(slots=side.front if place == "front" else side.rear))
    for slot in bicycle.slots:
        twin = bicycle.by_id.get(slot.id.replace("front_", "rear_", 1))
        if slot.id.startswith("front_") and twin is not None:
            word = _Word(front=(slot.id,), rear=(twin.id,))
            known.learn(slot.words.removeprefix("front "), word)
            known.learn(slot.kind, word)
    return known


def _implied(words: Iterable[_Word]) -> set[str]:
    """Return the places that sides with a place of their own stand for."""
    found = set()
    for word in words:
        for slot in word.slots:
            start = slot.partition("_")[0]
            if slot in IMPLIED:
                found.add(IMPLIED[slot])
            elif start in PLACES:
                found.add(start)
            elif start == "cassette":
                found.add("rear")
    return found


def _place(
    name: str,
    word: _Word,
    rest: str,
    implied: set[str],
    out: Sides,
    library: Library,
    bicycle: Bicycle,
    numbers: Mapping[str, Part],
    faults: FaultList,
) -> None:
    """Give the words of one side to its slots, at one place or at both."""
    places = [""] if word.slots else list(implied) if len(implied) == 1 else list(PLACES)
    given = {p: _given(word.at(p), rest, library, bicycle, numbers) for p in places}
    whole = [p for p in places if not given[p][1]]
    if len(places) == 2:
        taken = whole if implied else whole[-1:]
        if len(taken) == 1:
            out.notices.append((JUDGED_REAR if taken[0] == "rear" else JUDGED_FRONT, name))
        elif taken:
            out.notices.append((JUDGED_BOTH, name))
        places = taken or places[-1:]
    for place in places:
        texts, unplaced = given[place]
        for token in unplaced:
            records = [bicycle.record_class(s) for s in word.at(place)]
            words = {n for r in records for port in r.ports().values() for n in library.names_for(port.kind)}
            faults.unknown(name, "words on the box:", token, words)
        for slot, text in texts.items():
            if slot in out.raw["slots"]:
                faults.add("slot-taken", name, f"two sides describe the {bicycle.by_id[slot].words}")
            out.raw["slots"][slot] = text


def _given(
    slots: Sequence[str], rest: str, library: Library, bicycle: Bicycle, numbers: Mapping[str, Part]
) -> tuple[dict[str, str], list[str]]:
    """Return slot -> its words, and the tokens that no slot understands."""
    if len(slots) == 1 or rest in (ANY, NONE):
        return dict.fromkeys(slots, rest), []
    if rest in numbers:
        filled = [s for s in slots if s in numbers[rest].fills]
        return ({filled[0]: rest}, []) if filled else ({}, [rest])
    texts: dict[str, list[str]] = {}
    unplaced = []
    for token in boxline.tokens(rest):
        for slot in slots:
            if boxline.understands(bicycle.record_class(slot), token, library):
                texts.setdefault(slot, []).append(token)
                break
        else:
            unplaced.append(token)
    return {slot: ", ".join(found) for slot, found in texts.items()}, unplaced
