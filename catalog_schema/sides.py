"""Sides as a mechanic says them: ``frame: 12x148, PM160`` and ``wheel: 12x142, 6-bolt``.

In: texts of the form ``word: words on the box``. Out: the raw table of a list, and notices on how a side was taken. A
word that fits in front and at the rear goes where its own words say (``12x148`` is a rear width), else where the other
sides are (a frame means rear, a fork front), else where no side of its name is yet.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from catalog_schema import slot_words
from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import FaultList
from catalog_schema.lean import dataclass, field
from catalog_schema.library import Library
from catalog_schema.names import squeezed
from catalog_schema.parts import Part
from catalog_schema.quantity import shown
from catalog_schema.slot_words import PLACES, Dealt, Meaning

JUDGED_REAR: Final = "place-taken-as-rear"
JUDGED_FRONT: Final = "place-taken-as-front"
JUDGED_BOTH: Final = "place-judged-both"


@dataclass(slots=True)
class Sides:
    """The raw table of a list, and (notice, side word) pairs."""

    raw: dict[str, Any] = field(default_factory=dict)
    notices: list[tuple[str, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Side:
    """One side: its word, what that means, and its words on the box, dealt out for each place that it may have."""

    name: str
    meaning: Meaning
    dealt: Mapping[str, Dealt]

    @property
    def own(self) -> set[str]:
        """The places that the words on the box name, among those where all of them are understood."""
        named = {p for d in self.dealt.values() for p in d.places}
        return named & self.possible if len(named) == 1 else set()

    @property
    def possible(self) -> set[str]:
        """The places where every word is understood."""
        return {p for p, d in self.dealt.items() if not d.unplaced}


def read(texts: Sequence[str], library: Library, bicycle: Bicycle, numbers: Mapping[str, Part]) -> Sides:
    """Return the list that some sides describe; ``numbers`` are the parts of the open catalogues.

    Raises:
        InputFaults: with every fault of every side.
    """
    faults = FaultList("meet")
    known = slot_words.vocabulary(bicycle)
    sides: list[_Side] = []
    for text in texts:
        word, colon, rest = text.partition(":")
        name, rest = word.strip(), rest.strip()
        if not colon or not rest:
            faults.add("bad-side", "", f"expected 'part: words on the box', found {shown(text)}")
        elif squeezed(name) not in known:
            faults.unknown("", "part", name, (*bicycle.by_id, *known.written))
        else:
            meaning = known[squeezed(name)]
            ends: tuple[str, ...] = ("",) if meaning.slots else PLACES
            sides.append(
                _Side(name, meaning, {p: slot_words.deal(meaning, p, rest, library, bicycle, numbers) for p in ends})
            )
    out = Sides({"slots": {}})
    for side, places in zip(sides, _places(sides, out), strict=True):
        unplaced = [t for t in side.dealt[places[0]].unplaced if all(t in side.dealt[p].unplaced for p in places)]
        slots = [s for p in places for s in side.meaning.at(p)]
        slot_words.report_unplaced(unplaced, slots, library, bicycle, faults, side.name)
        for place in places:
            out.notices += side.dealt[place].notices
            for slot, words in side.dealt[place].texts.items():
                if slot in out.raw["slots"]:
                    faults.add("slot-taken", side.name, f"two sides describe the {bicycle.by_id[slot].words}")
                out.raw["slots"][slot] = words
    faults.raise_if_any()
    return out


def _places(sides: Sequence[_Side], out: Sides) -> list[list[str]]:
    """Return the place of each side; where it was not said, a notice goes to ``out``."""
    stated = slot_words.implied(s for side in sides for s in side.meaning.slots)
    implied = stated | {p for side in sides for p in side.own}
    taken: dict[Meaning, set[str]] = {}
    for side in sides:
        if not side.meaning.slots and not side.meaning.both:
            taken.setdefault(side.meaning, set()).update(side.own)
    found = []
    for side in sides:
        if side.meaning.slots or side.meaning.both:
            found.append([""] if side.meaning.slots else list(PLACES))
            continue
        mine = taken[side.meaning]
        twins = sum(s.meaning == side.meaning for s in sides) > 1
        if side.own:
            places: list[str] = sorted(side.own)
        elif twins:
            places = [p for p in PLACES if p in (side.possible or set(PLACES)) and p not in mine][:1] or ["rear"]
            mine.update(places)
        elif len(implied) == 1:
            places = list(implied)
            found.append(places)
            continue
        else:
            whole = [p for p in PLACES if p in side.possible]
            places = (whole if implied else whole[-1:]) or ["rear"]
        if set(places) != stated or len(places) > 1:
            out.notices.append((_NOTICES[tuple(places)], side.name))
        found.append(places)
    return found


_NOTICES: Final[dict[tuple[str, ...], str]] = {
    ("rear",): JUDGED_REAR,
    ("front",): JUDGED_FRONT,
    ("front", "rear"): JUDGED_BOTH,
}
