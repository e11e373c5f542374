"""One joint at a time: whether it holds with these parts, and which parts it cannot tell apart.

In: a list as a ``Trial``. Out: yes or no for each joint with the parts at it, judged by itself with the mildest
settings of its parts, once for all parts that are alike to it. That is no verdict on a list: joints may want different
settings of one part.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping

from catalog_schema.lean import dataclass, field
from solver.explain.trial import Trial, signature
from solver.report import Finding
from solver.rules.evaluating import Entry
from solver.rules.registry import JOINTS, Joint, Place


class TooFarError(Exception):
    """Too much would have to be judged."""


@dataclass(frozen=True, slots=True)
class Meet:
    """A joint at a place, and the figures that it reads in each slot."""

    joint: Joint
    place: Place
    reads: Mapping[str, frozenset[str]]


@dataclass
class Meets:
    """All joints at all places but those that may follow a finding that stands as it is; ``most`` are judged."""

    work: Trial
    tolerates: Callable[[Finding], bool]
    stands: Collection[str]
    most: int
    _judged: dict[tuple[int, ...], bool] = field(default_factory=dict)
    _twins: dict[tuple[int, int, tuple[str, ...]], Entry] = field(default_factory=dict)
    _first: dict[tuple[object, ...], Entry] = field(default_factory=dict)

    def __post_init__(self) -> None:
        follow = _followers(self.stands)
        self.all = [_meet(j, p) for j in JOINTS.values() for p in j.places if _id(j, p) not in follow]
        self._at: dict[str, list[int]] = {}
        for number, meet in enumerate(self.all):
            for slot in meet.reads:
                self._at.setdefault(slot, []).append(number)

    def at(self, slots: Iterable[str]) -> list[int]:
        """Return the joints that look at some of these slots."""
        return sorted({n for s in slots for n in self._at.get(s, ())})

    def reads(self, number: int) -> Mapping[str, frozenset[str]]:
        """Return slot -> the figures that a joint reads there."""
        return self.all[number].reads

    def holds(self, number: int, there: Mapping[str, Entry]) -> bool:
        """Return whether a joint holds with what is in its slots.

        Raises:
            TooFarError: too many were judged.
        """
        meet = self.all[number]
        order = self.work.bicycle.order
        mine = {id(e): e for s in meet.reads if (e := there.get(s)) is not None}
        at = sorted((self._twin(number, e) for e in mine.values()), key=lambda e: order[e.slots[0]])
        key = (number, *map(id, at))
        if key not in self._judged:
            if len(self._judged) >= self.most:
                raise TooFarError
            self._judged[key] = self.tolerates(self.work.at(meet.joint, meet.place, at))
        return self._judged[key]

    def kind(self, entry: Entry) -> tuple[object, ...]:
        """Return what is the same for purchases that no joint tells apart."""
        return (entry.slots, *(id(self._twin(n, entry)) for n in self.at(entry.slots)))

    def _twin(self, number: int, entry: Entry) -> Entry:
        """Return the first part that a joint cannot tell from this one."""
        if len(entry.parts) > 1:
            return entry
        key = (number, id(entry.parts[0]), entry.slots)
        if key not in self._twins:
            text = signature(entry.parts[0], entry.slots[0], self.all[number].reads)
            self._twins[key] = self._first.setdefault((number, text, entry.slots), entry)
        return self._twins[key]


def _id(joint: Joint, place: Place) -> str:
    return f"{joint.id}@{place.name}" if place.name else joint.id


def _meet(joint: Joint, place: Place) -> Meet:
    by_role: dict[str, set[str]] = {}
    for test in joint.tests:
        for ref in (*(r.ref for r in test.reads), *test.asked_if, *test.asked_unless):
            role, _, path = ref.partition(".")
            by_role.setdefault(role, {"material"}).add(path)
    reads: dict[str, set[str]] = {}
    for role, slot in place.roles.items():
        reads.setdefault(slot, set()).update(by_role.get(role, ()))
    if place.adapter:
        reads.setdefault(place.adapter, set()).update(*by_role.values())
    return Meet(joint, place, {s: frozenset(r) for s, r in reads.items()})


def _followers(stands: Collection[str]) -> frozenset[str]:
    """Return findings that may follow one that stands as it is: whether they are red tells nothing."""
    out = {i.partition("@")[0] for i in stands}
    grown = True
    while grown:
        more = {j.id for j in JOINTS.values() if any(w.partition("@")[0] in out for w in j.presupposes)}
        grown = not more <= out
        out |= more
    roots = {i.partition("@")[0] for i in stands}
    return frozenset(_id(j, p) for j in JOINTS.values() if j.id in out - roots for p in j.places)
