"""The bicycle as the library of slots sees it: which slots there are, in which order, and what completes what.

In: ``bicycle.toml`` of this package. Out: a ``Bicycle``. It knows slots and kinds, no rules.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import resources

from pydantic import BaseModel, ConfigDict

from catalog_schema.records import RECORD_KINDS, Record


class Slot(BaseModel):
    """A place on the bicycle that one part fills. ``adapter`` slots are filled only where a gap needs it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    kind: str
    words: str
    adapter: bool = False


class Fastening(BaseModel):
    """What completes a fastening: ``slot`` is called for when ``because`` and every slot of ``present`` is filled.

    ``where`` narrows it: each figure (``slot.port.figure``) is known to be one of these words. ``unless`` lists slots
    of which any one, when filled, already completes it; ``lacks`` names the piece if it is less than a whole part;
    ``show`` lists figures of ``because`` that say which part is wanted; ``id`` is the sentence's.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    slot: str
    because: str
    where: dict[str, tuple[str, ...]] = {}
    present: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    show: tuple[str, ...] = ()
    lacks: str = ""


class BicycleKind(BaseModel):
    """A kind of bicycle: the slots that a complete one has, and the use that clearance rules read.

    ``a|b`` in ``slots`` stands for either of two slots.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    words: str
    use: str
    slots: tuple[str, ...]
    names: tuple[str, ...] = ()


class Side(BaseModel):
    """A word of the workshop for one or several slots, such as ``wheel``: its slots in front, and at the rear."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: tuple[str, ...]
    slots: tuple[str, ...] = ()
    front: tuple[str, ...] = ()
    rear: tuple[str, ...] = ()


class Question(BaseModel):
    """A question that somebody measures for: the slots whose joints it is about."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    words: str
    slots: tuple[str, ...]


class _File(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    slot: tuple[Slot, ...]
    fastening: tuple[Fastening, ...] = ()
    bicycle_kind: tuple[BicycleKind, ...] = ()
    side: tuple[Side, ...] = ()
    question: tuple[Question, ...] = ()


@dataclass(frozen=True)
class Bicycle:
    """Slots in bicycle order, fastenings, kinds of bicycle, words for sides, questions."""

    slots: tuple[Slot, ...]
    fastenings: tuple[Fastening, ...]
    kinds: tuple[BicycleKind, ...]
    sides: tuple[Side, ...] = ()
    questions: tuple[Question, ...] = ()

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
    text = (resources.files("catalog_schema") / "bicycle.toml").read_text(encoding="utf-8")
    parsed = _File.model_validate(tomllib.loads(text))
    return Bicycle(parsed.slot, parsed.fastening, parsed.bicycle_kind, parsed.side, parsed.question)
