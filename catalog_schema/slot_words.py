"""Words of the workshop for slots: ``wheel``, ``upper headset``, ``brakes``; and the words on a box dealt out to them.

In: the bicycle, a word, words on a box. Out: the slots that the word means, at which place, and which words are whose.
A word is a slot, its words on screens, a kind of part, or a word of the workshop (``bicycle.toml``). It knows slots and
tokens, no joints.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import Final

from catalog_schema import boxline
from catalog_schema.bicycle import Bicycle, Side
from catalog_schema.faults import FaultList
from catalog_schema.lean import dataclass, field
from catalog_schema.library import Library
from catalog_schema.names import squeezed
from catalog_schema.parts import Part
from catalog_schema.quantity import NONE
from catalog_schema.records import Record

ANY: Final = "any"
PLACES: Final[tuple[str, ...]] = ("front", "rear")
#: A place that a side implies for those that have none of their own.
IMPLIED: Final = {"frame": "rear", "fork": "front", "rear_derailleur": "rear"}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a word means: slots whatever the place, or slots by place.

    ``both`` means front and rear together; ``share``: halves of one part, so that a word said once is for each of them;
    ``mounted``: parts that are mounted on each other, so that a word is for each of them that has words of its own too;
    ``says``: what the word says of the part, as words on its box; ``either``: slots of which only one is filled;
    ``summed``: port and figure which, said once of halves, is that of both together, and the words for none of it.
    """

    slots: tuple[str, ...] = ()
    front: tuple[str, ...] = ()
    rear: tuple[str, ...] = ()
    both: bool = False
    share: bool = False
    mounted: bool = False
    says: str = ""
    either: tuple[str, ...] = ()
    summed: tuple[str, ...] = ()

    def at(self, place: str) -> tuple[str, ...]:
        """Return the slots at a place."""
        return self.slots or (self.front if place == "front" else self.rear)

    @property
    def every(self) -> tuple[str, ...]:
        """Every slot that may be meant."""
        return self.slots or (*self.front, *self.rear)


class Vocabulary(dict[str, Meaning]):
    """Squeezed word -> meaning; ``written`` holds the words as they are written."""

    def __init__(self) -> None:
        super().__init__()
        self.written: list[str] = []

    def learn(self, written: str, word: Meaning) -> None:
        """Add a word, unless it already means something."""
        if squeezed(written) not in self:
            self[squeezed(written)] = word
            self.written.append(written)


def vocabulary(bicycle: Bicycle, kind: str = "") -> Vocabulary:
    """Return every word that stands for slots, on a kind of bicycle if it is known."""
    known = Vocabulary()
    for side in bicycle.sides:
        for written in side.words if kind and kind in side.kinds else ():
            known.learn(written, _meaning(side))
    for slot in bicycle.slots:
        for written in (slot.words, slot.id):
            known.learn(written, Meaning(slots=(slot.id,)))
    for side in (s for s in bicycle.sides if not s.kinds):
        for written in side.words:
            known.learn(written, _meaning(side))
            for place in PLACES:
                if not side.slots:
                    there = side.front if place == "front" else side.rear
                    here = Meaning(slots=there, mounted=side.mounted, says=side.says, either=side.either)
                    known.learn(f"{place} {written}", here)
                    known.learn(f"{written} {place}", here)
    for slot in bicycle.slots:
        twin = bicycle.by_id.get(slot.id.replace("front_", "rear_", 1))
        if slot.id.startswith("front_") and twin is not None:
            for written in (slot.words.removeprefix("front "), slot.kind):
                plural = written.endswith("s")  # spokes, nipples, pads: the word itself is for both wheels
                known.learn(written, Meaning(front=(slot.id,), rear=(twin.id,), both=plural))
                known.learn(f"{written}s", Meaning(front=(slot.id,), rear=(twin.id,), both=True))
    return known


def _meaning(side: Side) -> Meaning:
    return Meaning(
        side.slots,
        side.front,
        side.rear,
        side.both,
        side.share,
        side.mounted,
        says=side.says,
        either=side.either,
        summed=side.summed,
    )


def slots_meant(name: str, bicycle: Bicycle, faults: FaultList) -> tuple[str, ...]:
    """Return the slots that a word means, front and rear if it does not say; an unknown word is a fault."""
    if name in bicycle.by_id:
        return (name,)
    known = vocabulary(bicycle)
    if squeezed(name) not in known:
        faults.unknown("", "slot", name, (*bicycle.by_id, *known.written))
        return ()
    return known[squeezed(name)].every


def implied(slots: Iterable[str]) -> set[str]:
    """Return the places that slots with a place of their own stand for."""
    found = set()
    for slot in slots:
        start = slot.partition("_")[0]
        if slot in IMPLIED:
            found.add(IMPLIED[slot])
        elif start in PLACES:
            found.add(start)
        elif start in ("cassette", "freewheel", "cog"):
            found.add("rear")
    return found


@dataclass(slots=True)
class Dealt:
    """Words on a box, dealt out: slot -> its words; what no slot understands; the places that the words name."""

    texts: dict[str, str] = field(default_factory=dict)
    unplaced: list[str] = field(default_factory=list)
    places: set[str] = field(default_factory=set)
    #: (closed word, what it is about): how words were taken
    notices: list[tuple[str, str]] = field(default_factory=list)


def deal(
    meaning: Meaning, place: str, rest: str, library: Library, bicycle: Bicycle, numbers: Mapping[str, Part]
) -> Dealt:
    """Deal out the words of one side to its slots: each goes to the first of them that understands it best."""
    slots = meaning.at(place)
    if rest in (ANY, NONE):
        return Dealt(dict.fromkeys(slots, rest))
    if rest in numbers:
        filled = [s for s in slots if s in numbers[rest].fills]
        return Dealt({filled[0]: rest}) if filled else Dealt({}, [rest])
    kinds = {s: bicycle.record_class(s) for s in slots}
    known = understood_by(list(kinds.values()), library)
    says = partial(boxline.said_by, list(kinds.values()), library=library)
    out = Dealt()
    heard: list[tuple[str, dict[str, boxline.Reading]]] = []
    for token in boxline.tokens(rest):
        for piece in _pieces(token, known, says):
            readings = {s: r for s, k in kinds.items() if (r := boxline.read(k, piece, library)).placed or r.question}
            if not readings and (only := _named_half(piece, slots)):
                slot, piece = only
                reading = boxline.read(kinds[slot], piece, library)
                readings = {slot: reading} if reading.placed or reading.question else {}
            places = {r.place for r in readings.values()} - {""}
            if meaning.both and len(places) == 1 and place not in places:
                continue
            if readings:
                heard.append((piece, readings))
                out.places |= places
            else:
                out.unplaced.append(piece)
    if len(slots) == 1:
        return Dealt({slots[0]: rest}, [], out.places)
    for piece in _of_one_only(heard, [s for s in slots if s.partition("_")[2] in meaning.either]):
        out.unplaced.append(piece)
    texts: dict[str, list[str]] = {}
    for (piece, readings), whose in zip(heard, _whose([r for _, r in heard], meaning, kinds), strict=True):
        summed = len(whose) > 1 and _is_sum(readings[whose[0]], meaning)
        if summed:
            out.notices.append(("sum-of-both-halves", piece))
        for i, slot in enumerate(whose):
            texts.setdefault(slot, []).append(meaning.summed[-1] if summed and i else piece)
    out.texts = {slot: ", ".join(found) for slot, found in texts.items()}
    return out


def _of_one_only(heard: list[tuple[str, dict[str, boxline.Reading]]], either: Sequence[str]) -> list[str]:
    """Leave the words to one of the slots of which only one is filled; return those that then mean nothing.

    A rim brake and a disc brake caliper have words in common: the one that understands more of the words is meant, and
    of two alike the one of which they say more (``cantilever`` is a foot and a pull of the one, a pull of the other).
    """

    def said(slot: str) -> tuple[int, int]:
        mine = [r[slot] for _, r in heard if slot in r and r[slot].placed]
        return len(mine), sum(len(r.placed) for r in mine)

    best = max(either, key=said, default="")
    lost = []
    for piece, readings in list(heard):
        for slot in either:
            if slot != best:
                readings.pop(slot, None)
        if not readings:
            heard.remove((piece, readings))
            lost.append(piece)
    return lost


def _named_half(piece: str, slots: Sequence[str]) -> tuple[str, str] | None:
    """Return the slot that a token of a side opens or ends with, and the rest (``upper ZS44``, ``ZS56/40 lower``)."""
    words = piece.split()
    for slot in slots:
        tail = slot.rpartition("_")[2]
        for at, rest in ((0, words[1:]), (-1, words[:-1])):
            if rest and words[at].casefold().rstrip(":") == tail:
                return slot, " ".join(rest)
    return None


def _pieces(token: str, known: Callable[[str], bool], says: Callable[[list[str]], object]) -> list[str]:
    if known(token):
        return [token]
    if "|" in token:
        return [piece for part in token.split("|") if part.strip() for piece in _pieces(part.strip(), known, says)]
    return boxline.taken_apart(token, known, says) or [token]


def _whose(
    heard: Sequence[Mapping[str, boxline.Reading]], meaning: Meaning, kinds: Mapping[str, type[Record]]
) -> list[list[str]]:
    """Return the slots that each token goes to.

    Halves share what is said once; two words for one thing (``ZS44, ZS56``) are for one half each, in their order.
    The holes of a wheel are those of its hub and of its rim, if both have words. Of parts that stand for each other (a
    brake is a caliper or a rim brake) the one is meant that a word says more of.
    """
    share = meaning.share
    alike: dict[tuple[str, ...], int] = {}
    out = []
    for readings in heard:
        best = _best(readings, {} if meaning.mounted else kinds)
        if not share or len(readings) == 1:
            out.append([best])
            continue
        about = tuple(name for name, _ in readings[best].placed)
        at = alike[about] = alike.get(about, -1) + 1
        same = sum(len(r) > 1 and tuple(n for n, _ in next(iter(r.values())).placed) == about for r in heard)
        out.append([list(readings)[at]] if same == len(readings) else list(readings) if same == 1 else [best])
    if meaning.mounted:
        spoken_of = {slot for slots in out for slot in slots}
        for slots, readings in zip(out, heard, strict=True):
            slots += [s for s, r in readings.items() if s in spoken_of - set(slots) and _of_a_port(r)]
    return out


def _is_sum(reading: boxline.Reading, meaning: Meaning) -> bool:
    """Return whether a word that halves share says a figure which boxes print of both together."""
    return any(meaning.summed[:1] == (port,) and meaning.summed[1] in values for port, values in reading.placed)


def _best(readings: Mapping[str, boxline.Reading], kinds: Mapping[str, type[Record]]) -> str:
    """Return the first slot that understands a token best: not one of which it says less than of another."""
    least = min(_waits(r) for r in readings.values())
    found = [s for s, r in readings.items() if _waits(r) == least]
    says = {s: {kinds[s].ports()[p].kind for p, _ in readings[s].placed if p} for s in found if s in kinds}
    return next(s for s in found if not says or not any(says[s] < more for more in says.values()))


def _of_a_port(reading: boxline.Reading) -> bool:
    """Return whether a reading surely is about a side of the part, and not about its material."""
    return bool(reading.placed) and not reading.weak and all(name for name, _ in reading.placed)


def _waits(reading: boxline.Reading) -> int:
    """Return how long a reading of a token waits for a better one of another part: a question longest."""
    return 2 if reading.question else int(reading.weak)


def understood_by(kinds: Sequence[type[Record]], library: Library) -> Callable[[str], bool]:
    """Return whether any of some kinds of part understands a token, as a function of the token."""
    return lambda token: any((r := boxline.read(k, token, library)).placed or r.question for k in kinds)


def report_unplaced(
    tokens: Iterable[str], slots: Sequence[str], library: Library, bicycle: Bicycle, faults: FaultList, place: str
) -> None:
    """Note words that no slot of a side understands."""
    kinds = [bicycle.record_class(s) for s in slots]
    for token in tokens:
        words = sorted({n for r in kinds for port in r.ports().values() for n in library.names_for(port.kind)})
        boxline.report_unknown("words on the box:", token, words, understood_by(kinds, library), faults, place)
