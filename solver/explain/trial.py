"""What if: a list judged again with a part put in, or with one part in place of another.

In: what stands on a list. Out: findings of the changed list. Nothing is guessed: whatever is offered from a shelf was
put in here and judged by the same rules as the list itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from catalog_schema.bicycle import Bicycle
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.library import Library
from catalog_schema.parts import Part
from solver.report import Finding
from solver.rules.evaluating import Entry, Evaluation, Memo, alone, evaluate
from solver.rules.judging import Filled
from solver.rules.registry import Joint, Place


@dataclass(frozen=True)
class Trial:
    """A list as it stands, or as it would stand."""

    entries: tuple[Entry, ...]
    library: Library
    bicycle: Bicycle
    none: frozenset[str] = frozenset()
    fixed: Mapping[str, Filled] = field(default_factory=dict)
    extras: tuple[str, ...] = ()
    memo: Memo = field(default_factory=Memo, compare=False, repr=False)
    although_silent: bool = False

    @property
    def filled(self) -> frozenset[str]:
        """The slots that something fills."""
        return frozenset(s for e in self.entries for s in e.slots)

    def findings(self) -> dict[str, Finding]:
        """Return the findings by id."""
        return {f.id: f for f in self.evaluation().findings}

    def evaluation(self) -> Evaluation:
        """Return the list judged: findings, and what was taken of each shortlist."""
        return evaluate(
            self.entries,
            self.library,
            self.bicycle,
            none=self.none,
            extras=self.extras,
            fixed=self.fixed,
            memo=self.memo,
            although_silent=self.although_silent,
        )

    def asking_all(self) -> Trial:
        """Return the list in which tests of figures that are seldom printed are asked as well."""
        return replace(self, although_silent=True, memo=Memo())

    def at(self, joint: Joint, place: Place, entries: Sequence[Entry]) -> Finding:
        """Return one joint with these entries at it, judged with the mildest settings that any of them has."""
        return alone(
            joint,
            place,
            entries,
            self.library,
            self.bicycle,
            none=self.none,
            extras=self.extras,
            fixed=self.fixed,
            memo=self.memo,
        )

    def about(self, slots: frozenset[str]) -> Trial:
        """Return the list with only the entries that fill some of these slots."""
        return replace(self, entries=tuple(e for e in self.entries if slots & set(e.slots)))

    def putting(self, slot: str, part: Part) -> Trial | None:
        """Return the list with a part added in an empty slot, or None if it would fill one that is taken or none."""
        slots = tuple(part.fills) if part.together else (slot,)
        if slot not in slots or set(slots) & (self.filled | (self.none - {slot})):
            return None
        slots = (slot, *(s for s in slots if s != slot))
        return replace(self, entries=_ordered((*self.entries, Entry(slots, (part,))), self.bicycle))

    def replacing(self, slot: str, part: Part) -> Trial | None:
        """Return the list with a part in place of the one that fills ``slot``; it must fill all that one fills."""
        old = next((e for e in self.entries if slot in e.slots), None)
        if old is None or not set(old.slots) <= set(part.fills) or (len(old.slots) > 1 and not part.together):
            return None
        return replace(self, entries=tuple(e for e in self.entries if e is not old)).putting(slot, part)


def _ordered(entries: Sequence[Entry], bicycle: Bicycle) -> tuple[Entry, ...]:
    return tuple(sorted(entries, key=lambda e: bicycle.order[e.slots[0]]))


def signature(part: Part, slot: str, reads: Mapping[str, frozenset[str]] | None = None) -> str:
    """Return a text that is the same for parts that every rule must judge alike in ``slot``.

    With ``reads`` (slot -> figures), that rules which read only those figures must judge alike.
    """
    slots = sorted(part.fills) if part.together else [slot]
    figures = [
        (s, [[(k, repr(v)) for k, v in sorted(variant.items()) if reads is None or k in reads[s]] for variant in found])
        for s in slots
        if reads is None or s in reads
        for found in [part.fills[s]]
    ]
    return repr((figures, slots if reads is None else (), part.settings))
