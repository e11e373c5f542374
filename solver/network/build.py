"""The problem record of a half-filled list: slots as item relations, tests as tables between them.

In: a list, its candidates, the joints. Out: a ``Network``: a ``Problem`` for the engine, and how to read its solutions
back as purchases. All variables are hidden: only purchases are counted, never the settings that they are used in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from catalog_schema.bicycle import Bicycle
from catalog_schema.fitting_list import FittingList
from catalog_schema.library import Library
from catalog_schema.parts import Part
from solver.engine.problem import NOTHING, Problem
from solver.network import adapters
from solver.network.bounds import Bounds
from solver.network.candidates import Candidate, Candidates, collect, there
from solver.network.filters import Filter
from solver.network.tables import Plan, Scene, Table, TooManyCombinations, plan, tabulate
from solver.network.weaving import Bought, Weaver
from solver.rules.evaluating import links
from solver.rules.judging import Filled
from solver.rules.registry import JOINTS

__all__ = ["Asked", "Network", "TooManyCombinations", "build"]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the builds.

    Attributes:
        allow_unknown: keep builds with at most so many joints that are not known.
        leftovers: keep combinations that are not known at level 3, to see what only they would allow; not together
            with ``allow_unknown``.
        in_stock: only parts in stock, and no part twice of which there is one.
        within_days: only parts that are there within so many days, a second piece as well.
        where: conditions on the parts still to choose.
        shelf: price adapters of the catalogue in where a joint needs one.
        quick: judge sums only where a rule may change its mind.
    """

    allow_unknown: int = 0
    leftovers: bool = False
    in_stock: bool = False
    within_days: int | None = None
    where: tuple[Filter, ...] = ()
    shelf: bool = True
    quick: bool = True


@dataclass(slots=True)
class Network:
    """A problem, and what its parts mean.

    Attributes:
        judged: how many combinations the rules were asked about.
        bought_beside: candidates that are hidden purchases, by ident: adapters of the shelf, and settings sold apart.
        places: number of the item relation -> the slots that its items fill.
        unknown_total: number of the relation that holds how many joints are not known, one row a number.
    """

    problem: Problem
    candidates: Candidates
    by_ident: Mapping[int, Candidate]
    judged: int
    tables: Sequence[Table]
    bought_beside: Mapping[int, Bought] = field(default_factory=dict)
    places: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    unknown_total: int | None = None

    def purchases(self, items: Iterable[int]) -> tuple[Candidate, ...]:
        """Return the purchases of a solution, in bicycle order."""
        order = {s: i for i, s in enumerate(self.candidates.slots)}
        found = [self.by_ident[i] for i in items if i != NOTHING]
        return tuple(sorted(found, key=lambda c: order[c.slots[0]]))


def build(
    fitting: FittingList,
    library: Library,
    bicycle: Bicycle,
    fixed: Mapping[str, Filled],
    asked: Asked | None = None,
) -> Network:
    """Return the network of a list; open slots are searched. ``fixed`` are slots that are no parts.

    Raises:
        TooManyCombinations: a rule would have to be asked too often.
    """
    asked = asked or Asked()
    candidates = collect(
        fitting,
        bicycle,
        in_stock=asked.in_stock,
        within_days=asked.within_days,
        keep=lambda c: all(f.passes(c) for f in asked.where),
    )
    filling: dict[str, list[Candidate]] = {s: list(candidates.single.get(s, ())) for s in candidates.slots}
    for slots, shared in candidates.shared.items():
        for slot in slots:
            filling[slot].extend(shared)
    may_be_empty = frozenset(s for s in candidates.slots if s not in fitting.slots)
    scene = Scene(library, bicycle, filling, fixed, may_be_empty, asked.quick)
    weaver = Weaver(candidates, filling, may_be_empty, asked.allow_unknown, leftovers=asked.leftovers)
    bounds = Bounds({s: weaver.ways(s) for s in candidates.slots}) if asked.quick else None
    tables = tabulated(scene, bounds)
    for table in tables:
        weaver.table(table)
    judged = sum(t.judged for t in tables)
    if asked.in_stock or asked.within_days is not None:
        weaver.limited_stock(None if asked.in_stock else asked.within_days)
    if asked.shelf:

        def stock(slot: str) -> list[Part]:
            found = fitting.catalog.filling(slot)
            return [p for p in found if there(p, in_stock=asked.in_stock, within_days=asked.within_days)]

        for shelf in adapters.shelves(tables, scene, frozenset(fitting.slots), stock, bounds):
            weaver.shelf(shelf)
            judged += shelf.judged
    weaver.sold_settings(fitting.catalog.parts)
    unknown_total = weaver.unknown_total()
    problem = weaver.problem()
    by_ident = {c.ident: c for c in candidates.all}
    return Network(problem, candidates, by_ident, judged, tables, weaver.bought, weaver.places, unknown_total)


def tabulated(scene: Scene, bounds: Bounds | None = None) -> list[Table]:
    """Judge every test of every joint at every place, in their order; those that rule out most cheaply come first."""
    plans: list[Plan] = []
    for joint in JOINTS.values():
        for place in joint.places:
            adapter = place.adapter if scene.candidates.get(place.adapter) else ""
            for test in joint.tests:
                asked = [(roles, "") for roles in links(joint, test, place, adapter)]
                if adapter in scene.may_be_empty and asked[0][0] is not place.roles:
                    asked.append((place.roles, adapter))
                found = (plan(joint, place, test, roles, scene, unless) for roles, unless in asked)
                plans += [p for p in found if p is not None]
    for one in sorted(plans, key=lambda p: (not p.teaches, math.prod(p.sizes))):
        tabulate(one, scene, bounds)
        if bounds is not None and one.teaches:
            bounds.learn(one.table.sides, [numbers for numbers, _ in one.table.rows])
    return [p.table for p in plans]
