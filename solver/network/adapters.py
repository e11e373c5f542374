"""Adapters of the shelf for slots that the list does not mention: hidden purchases, the cheapest that serves.

In: tables in which some combination needs an adapter. Out: for each adapter slot a ``Shelf``: its parts, and for each
joint that meets there which of them serve at which combination. Value 0 of a shelf is "none taken", 1 "one is needed
and no part of the catalogue serves" (its price is not known), from 2 on kinds of parts.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from catalog_schema.parts import Part
from solver.network.bounds import Bounds
from solver.network.prepared import Prepared, prepare
from solver.network.projection import Side
from solver.network.tables import Scene, Table, TooManyCombinations, filling, floor_of, side_of, sides_of
from solver.report import Verdict
from solver.rules.evaluating import links
from solver.rules.judging import Filled, is_asked, judge
from solver.rules.registry import JOINTS, Joint, Place, Test
from solver.rules.ways import ways

MOST_COMBINATIONS = 60_000
NONE, UNPRICED = 0, 1


@dataclass(slots=True)
class Serving:
    """One joint at an adapter slot: for each combination of its sides the values of the shelf that go with it."""

    name: str
    sides: list[Side]
    rows: dict[tuple[int, ...], tuple[int, ...]] = field(default_factory=dict)


@dataclass(slots=True)
class Shelf:
    """One adapter slot. ``kinds`` are parts that the rules cannot tell apart: value 2 + i stands for ``kinds[i]``."""

    slot: str
    kinds: list[list[Part]]
    serving: list[Serving] = field(default_factory=list)
    judged: int = 0


def shelves(
    tables: Sequence[Table],
    scene: Scene,
    mentioned: frozenset[str],
    stock: Callable[[str], Sequence[Part]],
    bounds: Bounds | None = None,
) -> list[Shelf]:
    """Return the shelves that are needed. ``mentioned`` are slots that the list speaks of, ``stock`` what fills one.

    What is out by ``bounds`` is in no build, and is not asked about.

    Raises:
        TooManyCombinations: a joint would have to be judged too often.
    """
    needing = {(t.joint.id, t.place.name) for t in tables if t.reaches(1)}
    by_slot: dict[str, list[tuple[Joint, Place]]] = {}
    for joint in JOINTS.values():
        for place in joint.places:
            if (joint.id, place.name) in needing:
                slot = _slot(joint, place, scene) or f"{joint.id}@{place.name}"
                if slot not in mentioned:
                    by_slot.setdefault(slot, [])
    found = []
    for slot in by_slot:
        known = slot in scene.bicycle.by_id
        shelf = Shelf(slot, _kinds(stock(slot), slot) if known else [])
        touching = [
            (joint, place)
            for joint in JOINTS.values()
            for place in joint.places
            if (slot in (place.adapter, *place.roles.values()) if known else f"{joint.id}@{place.name}" == slot)
        ]
        asking = [(j.id, p.name) for j, p in touching if (j.id, p.name) in needing]
        for joint, place in touching:
            mine = (joint.id, place.name) in needing
            serving = _serving(joint, place, shelf, scene, bounds, needing=mine, alone=mine and len(asking) == 1)
            if serving is not None:
                shelf.serving.append(serving)
        found.append(shelf)
    return found


def _slot(joint: Joint, place: Place, scene: Scene) -> str:
    """Return the slot in which an adapter of this joint goes."""
    if place.adapter:
        return place.adapter
    return next((s for s in place.roles.values() if s in scene.bicycle.by_id and scene.bicycle.by_id[s].adapter), "")


def _kinds(parts: Sequence[Part], slot: str) -> list[list[Part]]:
    """Return the parts in groups that no rule can tell apart."""
    groups: dict[str, list[Part]] = {}
    for part in parts:
        if not part.together or len(part.fills) == 1:
            figures = [sorted((k, repr(v)) for k, v in variant.items()) for variant in part.fills[slot]]
            groups.setdefault(repr((figures, part.settings)), []).append(part)
    return list(groups.values())


@dataclass(frozen=True, slots=True)
class _Asked:
    """One test as it is asked with an adapter in between, or without one."""

    test: Test
    roles: Mapping[str, str]
    plain: bool
    ready: Prepared | None


def _asked(joint: Joint, place: Place, adapter: str, sides: Sequence[Side], scene: Scene) -> list[_Asked]:
    found = []
    for test in joint.tests:
        for roles in links(joint, test, place, adapter):
            ready = None
            if scene.quick:
                ready = prepare(joint, test, roles, sides, scene.fixed, scene.library, scene.memory)
            found.append(_Asked(test, roles, roles is place.roles, ready))
    return found


def _serving(
    joint: Joint, place: Place, shelf: Shelf, scene: Scene, bounds: Bounds | None, *, needing: bool, alone: bool
) -> Serving | None:
    """Return which adapters serve a joint, None if it never asks for one and none can harm it.

    ``alone``: no other joint at this slot asks for one, so where this one fits none is taken.
    """
    slot = shelf.slot
    sides = sides_of(joint, place, [(t, place.roles) for t in joint.tests], scene)
    sides = [s for s in sides if s.slot != slot]
    if scene.candidates.get(slot):  # something that is bought anyway may fill it
        sides.append(side_of(slot, (), scene))
    out = Serving(f"{joint.id}@{place.name} through {slot}", sides)
    sizes = [len(s.kinds) for s in sides]
    if not sides:
        return None
    if math.prod(sizes) > MOST_COMBINATIONS:
        raise TooManyCombinations(f"{out.name}: {math.prod(sizes)} combinations ({' x '.join(map(str, sizes))})")
    offered = [
        (2 + i, Filled(scene.kind(slot), way.variants(slot)))
        for i, kind in enumerate(shelf.kinds)
        for way in ways(kind[:1], frozenset())
    ]
    between = Side(slot, kinds=[f for _, f in offered])
    without = _asked(joint, place, "", sides, scene)
    through = _asked(joint, place, slot if slot == place.adapter else "", [*sides, between], scene)
    everything = tuple(range(2 + len(shelf.kinds)))
    never = list(bounds.out(sides)) if bounds is not None else []
    for numbers in itertools.product(*(range(n) for n in sizes)):
        if any(gone[numbers[p], numbers[q]] for p, q, gone in never):
            out.rows[numbers] = everything
            continue
        filled = filling(sides, numbers, scene)
        if slot in filled:
            out.rows[numbers] = (NONE,)
            continue
        plain = _verdict(joint, without, filled, numbers, scene)
        if plain is not None and plain <= Verdict.NOT_KNOWN:
            plain = max(plain, Verdict(floor_of(sides, numbers)))
        if plain is not None and plain > Verdict.NEEDS_WORK:
            out.rows[numbers] = everything
            continue
        if alone and plain is not Verdict.NEEDS_ADAPTER:
            out.rows[numbers] = (NONE,)
            continue
        good: dict[int, None] = {}
        for at, (value, there) in enumerate(offered):
            verdict = _verdict(joint, through, {**filled, slot: there}, (*numbers, at), scene)
            limit = Verdict.FITS if plain is Verdict.NEEDS_ADAPTER else (plain or Verdict.FITS)
            if (verdict is None and plain is not Verdict.NEEDS_ADAPTER) or (verdict is not None and verdict <= limit):
                good[value] = None
        first = (UNPRICED,) if plain is Verdict.NEEDS_ADAPTER else (NONE, UNPRICED)
        out.rows[numbers] = (*first, *good)
    shelf.judged += sum(one.ready.judged for one in (*without, *through) if one.ready is not None)
    if not needing and all(values == everything for values in out.rows.values()):
        return None
    return out


def _verdict(
    joint: Joint, asked: Sequence[_Asked], filled: Mapping[str, Filled], numbers: Sequence[int], scene: Scene
) -> Verdict | None:
    """Return the verdict on a joint, None if no test can be asked."""
    worst: Verdict | None = None
    for one in asked:
        found = _one(joint, one, filled, numbers, scene)
        if found is not None:
            if found is Verdict.NEEDS_ADAPTER and not one.plain:
                found = Verdict.NO_FIT
            worst = found if worst is None else max(worst, found)
    return worst


def _one(
    joint: Joint, one: _Asked, filled: Mapping[str, Filled], numbers: Sequence[int], scene: Scene
) -> Verdict | None:
    def judged() -> Verdict:
        return judge(joint, one.test, one.roles, filled, scene.library).verdict

    if one.ready is not None:
        return one.ready.verdict(numbers, filled, {}, judged)
    if all(one.roles[r] in filled for r in joint.roles_of(one.test)) and is_asked(one.test, one.roles, filled):
        return judged()
    return None
