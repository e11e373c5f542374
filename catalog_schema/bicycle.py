"""The bicycle as the library of slots sees it: which slots there are, in which order, and what completes what.

In: ``bicycle.toml`` of this package. Out: a ``Bicycle``. It knows slots and kinds, no rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, cached_property
from typing import Any

from catalog_schema import tables
from catalog_schema.lean import dataclass, field
from catalog_schema.records import RECORD_KINDS, Record


@dataclass(frozen=True, slots=True)
class Slot:
    """A place on the bicycle that one part fills. ``adapter`` slots are filled only where a gap needs it."""

    id: str
    kind: str
    words: str
    adapter: bool = False


@dataclass(frozen=True, slots=True)
class Fastening:
    """What completes a fastening: ``slot`` is called for when ``because`` and every slot of ``present`` is filled.

    ``where`` narrows it: each figure (``slot.port.figure``) is known to be one of these words; ``where_not``: none of
    these is known to be one of its words. ``unless`` lists slots of which any one, when filled, already completes it;
    ``lacks`` names the piece if it is less than a whole part; ``show`` lists figures of ``because`` that say which part
    is wanted; ``id`` is the sentence's.
    """

    id: str
    slot: str
    because: str
    where: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    where_not: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    present: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    show: tuple[str, ...] = ()
    lacks: str = ""


@dataclass(frozen=True, slots=True)
class RuledOut:
    """What a part leaves no place for: ``because`` is filled, each figure of ``where`` known to be one of its words.

    A hub with a thread has no cassette, a coaster brake no lever, a motor takes the place of the bottom bracket.
    """

    because: str
    slots: tuple[str, ...]
    where: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BicycleKind:
    """A kind of bicycle: the slots that a complete one has, and the use that clearance rules read.

    ``a|b`` in ``slots`` stands for either of two slots.
    """

    id: str
    words: str
    use: str
    slots: tuple[str, ...]
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Side:
    """A word of the workshop for one or several slots, such as ``wheel``: its slots in front, and at the rear.

    ``both`` means front and rear together; ``share``: halves of one part, so that a word said once is for each of them;
    ``mounted``: parts that are mounted on each other, so that a word is for each of them that has words of its own too.
    ``kinds``: the kinds of bicycle on which the word has this meaning (a BMX's sprocket is in front), all if none is
    named; ``says``: what the word itself says of the part, as words on its box; ``either``: slots of which a bicycle
    has one only; ``summed``: a figure (port, figure) which, said once of halves that share, is that of both together,
    and the words that say nothing of it: the first half gets the figure, each other half those words.
    """

    words: tuple[str, ...]
    slots: tuple[str, ...] = ()
    front: tuple[str, ...] = ()
    rear: tuple[str, ...] = ()
    both: bool = False
    share: bool = False
    mounted: bool = False
    kinds: tuple[str, ...] = ()
    says: str = ""
    either: tuple[str, ...] = ()
    summed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """A question that somebody measures for: the joints of the slots in ``about``, among themselves and with others."""

    id: str
    words: str
    about: tuple[str, ...]
    others: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bicycle:
    """Slots in bicycle order, fastenings, kinds of bicycle, words for sides, questions."""

    slots: tuple[Slot, ...]
    fastenings: tuple[Fastening, ...]
    kinds: tuple[BicycleKind, ...]
    sides: tuple[Side, ...] = ()
    questions: tuple[Question, ...] = ()
    ruled_out: tuple[RuledOut, ...] = ()
    #: words for parts that a bicycle has and no joint is asked about, such as a bell
    beside: tuple[str, ...] = ()

    @cached_property
    def by_id(self) -> dict[str, Slot]:
        """Return slot id -> slot."""
        return {s.id: s for s in self.slots}

    @cached_property
    def order(self) -> dict[str, int]:
        """Return slot id -> place in bicycle order."""
        return {s.id: i for i, s in enumerate(self.slots)}

    def record_class(self, slot: str) -> type[Record]:
        """Return the record class that fills ``slot``."""
        return RECORD_KINDS[self.by_id[slot].kind]

    def slots_of_kind(self, kind: str) -> tuple[str, ...]:
        """Return the slots that a record of this kind may fill."""
        return tuple(s.id for s in self.slots if s.kind == kind)

    def question(self, name: str) -> Question | None:
        """Return the question with this id."""
        return next((q for q in self.questions if q.id == name), None)

    def kind(self, name: str) -> BicycleKind | None:
        """Return the kind of bicycle with this id or name."""
        wanted = name.casefold()
        return next((k for k in self.kinds if wanted in (k.id, *(n.casefold() for n in k.names))), None)


@cache
def load() -> Bicycle:
    """Return the bicycle that comes with the program."""
    found: dict[str, list[dict[str, Any]]] = _fixed(tables.read("catalog_schema", "bicycle.toml"))
    unknown = set(found) - {"slot", "fastening", "ruled_out", "bicycle_kind", "side", "question", "beside"}
    if unknown:
        raise ValueError(f"bicycle.toml: unknown tables {sorted(unknown)}")
    return Bicycle(
        tuple(Slot(**row) for row in found["slot"]),
        tuple(Fastening(**row) for row in found.get("fastening", ())),
        tuple(BicycleKind(**row) for row in found.get("bicycle_kind", ())),
        tuple(Side(**row) for row in found.get("side", ())),
        tuple(Question(**row) for row in found.get("question", ())),
        tuple(RuledOut(**row) for row in found.get("ruled_out", ())),
        tuple(word for row in found.get("beside", ()) for word in row["words"]),
    )


def _fixed(raw: Any) -> Any:
    """Return a table with tuples for its lists."""
    if isinstance(raw, dict):
        return {k: _fixed(v) for k, v in raw.items()}
    return tuple(_fixed(v) for v in raw) if isinstance(raw, list) else raw
