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
from solver.network.projection import Side
from solver.network.tables import Scene, Table, TooManyCombinations, filling, floor_of, sides_of
from solver.report import Verdict
from solver.rules.evaluating import links
from solver.rules.judging import Filled, beside_an_adapter, is_asked, judge
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
    tables: Sequence[Table], scene: Scene, mentioned: frozenset[str], stock: Callable[[str], Sequence[Part]]
) -> list[Shelf]:
    """Return the shelves that are needed. ``mentioned`` are slots that the list speaks of, ``stock`` what fills one.

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
        kinds = _kinds(stock(slot), slot) if known else []
        shelf = Shelf(slot, kinds)
        for joint in JOINTS.values():
            for place in joint.places:
                touches = (
                    slot in (place.adapter, *place.roles.values()) if known else f"{joint.id}@{place.name}" == slot
                )
                if touches and (serving := _serving(joint, place, shelf, scene, (joint.id, place.name) in needing)):
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


def _serving(joint: Joint, place: Place, shelf: Shelf, scene: Scene, needing: bool) -> Serving | None:
    """Return which adapters serve a joint, None if it never asks for one and none can harm it."""
    slot = shelf.slot
    asked: list[tuple[Test, Mapping[str, str]]] = [(t, place.roles) for t in joint.tests]
    sides = sides_of(joint, place, asked, scene)
    out = Serving(f"{joint.id}@{place.name} through {slot}", sides)
    sizes = [len(s.kinds) for s in sides]
    if not sides:
        return None
    if math.prod(sizes) > MOST_COMBINATIONS:
        raise TooManyCombinations(f"{out.name}: {math.prod(sizes)} combinations ({' x '.join(map(str, sizes))})")
    offered = [
        [Filled(scene.kind(slot), w.variants(slot)) for w in ways(kind[:1], frozenset())] for kind in shelf.kinds
    ]
    everything = tuple(range(2 + len(shelf.kinds)))
    for numbers in itertools.product(*(range(n) for n in sizes)):
        filled = filling(sides, numbers, scene)
        floor = floor_of(sides, numbers)
        plain = _verdict(joint, place, "", filled, scene)
        shelf.judged += 1
        plain = max(plain, Verdict(floor)) if plain is not None and plain <= Verdict.NOT_KNOWN else plain
        if plain is not None and plain > Verdict.NEEDS_WORK:
            out.rows[numbers] = everything
            continue
        through = []
        for i, ways_of in enumerate(offered):
            verdicts = [_verdict(joint, place, slot, {**filled, slot: w}, scene) for w in ways_of]
            shelf.judged += len(verdicts)
            best = min((v for v in verdicts if v is not None), default=None)
            limit = Verdict.FITS if plain is Verdict.NEEDS_ADAPTER else (plain or Verdict.FITS)
            if (best is None and plain is not Verdict.NEEDS_ADAPTER) or (best is not None and best <= limit):
                through.append(2 + i)
        first = (UNPRICED,) if plain is Verdict.NEEDS_ADAPTER else (NONE, UNPRICED)
        out.rows[numbers] = (*first, *through)
    if not needing and all(values == everything for values in out.rows.values()):
        return None
    return out


def _verdict(joint: Joint, place: Place, adapter: str, filled: Mapping[str, Filled], scene: Scene) -> Verdict | None:
    """Return the verdict on a joint, None if no test can be asked."""
    if adapter and adapter != place.adapter:
        adapter = ""
    worst: Verdict | None = None
    for test in joint.tests:
        for roles in links(joint, test, place, adapter):
            if all(roles[r] in filled for r in joint.roles_of(test)) and is_asked(test, roles, filled):
                result = judge(joint, test, roles, filled, scene.library)
                found = (result if roles is place.roles else beside_an_adapter(result)).verdict
                worst = found if worst is None else max(worst, found)
    return worst
