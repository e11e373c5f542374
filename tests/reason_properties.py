"""What must hold of reasons in any world, against judging every subset of the picks and every build of the shop.

``python -m tests.reason_properties FIRST NUMBER`` tries so many worlds from a seed on and prints what was tried. A fast
set of the same runs with the tests. What is tried here asks the rules about whole lists, with nothing remembered from
the search.
"""

from __future__ import annotations

import itertools
import sys
import time
from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from catalog_schema.faults import InputFaults
from catalog_schema.fitting_list import FittingList
from catalog_schema.parts import Part
from solver import questions, reasons
from solver.explain import changes
from solver.explain.picks import Picks
from solver.explain.trial import Trial
from solver.remedies import Change
from solver.report import NO, YES, Finding, Verdict
from solver.rules.evaluating import Entry, Memo
from tests import reason_oracle
from tests.reason_worlds import BICYCLE, a_list, rich_world, work_of

Things = frozenset[int]


@dataclass
class World:
    """A list and its shop, and the truth about them."""

    slots: dict[str, Any]
    shop: dict[str, Any]
    tried: Counter[str] = field(default_factory=Counter)

    @cached_property
    def fitting(self) -> FittingList:
        """The list."""
        return a_list(self.slots, self.shop)

    @cached_property
    def plain(self) -> Trial:
        """The list as the rules see it; nothing that the search judged is remembered here."""
        return replace(work_of(self.fitting), memo=Memo())

    @property
    def number(self) -> int:
        """How many purchases there are."""
        return len(self.plain.entries)

    @cached_property
    def unknown(self) -> set[str]:
        """What is not known as the list stands; it may stay so."""
        return {f.id for f in self.judged(self.plain.entries) if f.verdict is Verdict.NOT_KNOWN}

    def judged(self, entries: tuple[Entry, ...]) -> list[Finding]:
        """Return what is judged of these purchases."""
        ordered = tuple(sorted(entries, key=lambda e: BICYCLE.order[e.slots[0]]))
        return [f for f in replace(self.plain, entries=ordered).findings().values() if f.state == "judged"]

    def serves(self, entries: tuple[Entry, ...]) -> bool:
        """Return whether a whole list goes together."""
        self.tried["builds"] += 1
        return all(
            f.verdict in YES or (f.verdict is Verdict.NOT_KNOWN and f.id in self.unknown) for f in self.judged(entries)
        )

    def builds(self, gone: Things) -> Iterator[tuple[Entry, ...]]:
        """Yield every way to fill the slots of some picks from the shop; a pick in its own slots is none."""
        kept = tuple(e for i, e in enumerate(self.plain.entries) if i not in gone)
        holes = {s for i in gone for s in self.plain.entries[i].slots}
        own = {(e.slots, id(p)) for i in gone for e in [self.plain.entries[i]] for p in e.parts}
        taken = {s for e in kept for s in e.slots}
        for filling in _covers(sorted(holes, key=BICYCLE.order.__getitem__), taken, self.fitting):
            if not any((e.slots, id(e.parts[0])) in own for e in filling):
                yield (*kept, *filling)

    def completes(self, gone: Things) -> bool:
        """Return whether some build of the shop has all picks but these."""
        if gone not in self._completes:
            self._completes[gone] = any(self.serves(b) for b in self.builds(gone))
        return self._completes[gone]

    @cached_property
    def _completes(self) -> dict[Things, bool]:
        return {}

    def subsets(self) -> Iterator[Things]:
        """Yield every set of picks, the small ones first."""
        for size in range(self.number + 1):
            yield from (frozenset(c) for c in itertools.combinations(range(self.number), size))


def _covers(holes: list[str], taken: set[str], fitting: FittingList) -> Iterator[tuple[Entry, ...]]:
    if not holes:
        yield ()
        return
    first = holes[0]
    for part in fitting.catalog.filling(first):
        slots = _slots(part, first)
        if not set(slots) & taken:
            rest = [h for h in holes if h not in slots]
            for more in _covers(rest, taken | set(slots), fitting):
                yield (Entry(slots, (part,)), *more)


def _slots(part: Part, slot: str) -> tuple[str, ...]:
    whole = part.together and len(part.fills) > 1
    return tuple(s for s in BICYCLE.order if s in part.fills) if whole else (slot,)


def clashes_hold(world: World) -> None:
    """Every clash is unsolvable and is not if any member goes; none is missing."""
    red = {}
    for things in world.subsets():
        entries = tuple(world.plain.entries[i] for i in sorted(things))
        red[things] = any(f.verdict in NO for f in world.judged(entries))
    bad = {s for s in red if all(red[t] for t in red if s <= t)}
    found, complete = Picks(work_of(world.fitting)).clashes()
    assert complete
    for clash in found:
        assert clash in bad
        assert not any(clash - {i} in bad for i in clash)
    assert set(found) == {s for s in bad if not any(s - {i} in bad for i in s)}
    world.tried["clashes"] += len(found)
    world.tried[f"clashes of {max(map(len, found), default=0)}"] += bool(found)


def changes_hold(world: World) -> None:
    """Every change makes the list go together, and does not if any member is given back; none is smaller."""
    try:
        report = reasons.why(world.fitting)
    except InputFaults:
        return
    if not report.clashes:
        return
    ways = report.remedies.changes
    size = next((len(s) for s in world.subsets() if world.completes(s)), None)
    if not ways:
        assert size is None, "a change there is was not found"
        assert report.remedies.why_none == "none-on-the-shelf"
        world.tried["no change"] += 1
        return
    assert report.remedies.size == size
    assert report.remedies.proven
    through_search = changes.smallest(world.fitting, changes.before(world.fitting, work_of(world.fitting)))
    assert through_search.size == size
    homes = [e.slots[0] for e in world.plain.entries]
    for change in (*ways, *through_search.changes):
        gone = frozenset(homes.index(s) for s in change.given_up)
        assert world.completes(gone)
        assert not any(world.completes(gone - {g}) for g in gone)
        passes_check(world, change)
    world.tried["changes"] += len(ways)
    world.tried[f"changes of {size} picks"] += 1


def passes_check(world: World, change: Change, standing: Collection[str] = ()) -> None:
    """Put a change into the raw list, read it anew, and judge it as ``check`` does; only ``standing`` may be no yes."""
    raw = reasons.apply({"slots": world.slots}, change)
    changed = a_list(raw["slots"], world.shop, **({"extras": raw["extras"]} if raw.get("extras") else {}))
    found = [f for f in questions.findings(changed) if f.state == "judged" and f.id not in standing]
    assert not [f.id for f in found if f.verdict in NO]
    assert not [f.id for f in found if f.verdict is Verdict.NOT_KNOWN and f.id not in world.unknown]


def substitutes_hold(world: World) -> None:
    """Every substitute, with an adapter or without, passes ``check`` in the list; none that passes is missing."""
    for entry in world.plain.entries:
        report = reasons.swap(world.fitting, entry.slots[0])
        if len(entry.parts) > 1:
            continue
        offered = [*report.substitutes, *report.with_adapter]
        for change in offered:
            passes_check(world, change, {f.id for f in report.standing})
        at = world.plain.entries.index(entry)
        rest = tuple(e for i, e in enumerate(world.plain.entries) if i != at)
        standing = {f.id: f.rank for f in report.standing}
        serving = set()
        for part in world.fitting.catalog.filling(entry.slots[0]):
            slots = _slots(part, entry.slots[0])
            taken = {s for e in rest for s in e.slots}
            if any(p is part for p in entry.parts) or not set(entry.slots) <= set(slots) or set(slots) & taken:
                continue
            world.tried["builds"] += 1
            bad = [f for f in world.judged((*rest, Entry(slots, (part,)))) if f.verdict not in YES]
            if all(f.id in standing and f.rank <= standing[f.id] for f in bad):
                serving.add(part.number)
        assert {c.offers[0][1].number for c in offered} == serving
        for change in report.with_adapter:
            assert len(change.offers) > 1
        assert entry.parts[0].number not in serving
        world.tried["substitutes"] += len(report.substitutes)
        world.tried["substitutes with an adapter"] += len(report.with_adapter)


def solver_agrees(world: World) -> None:
    """A SAT solver with clauses of its own finds the same minimal clashes, and smallest changes of the same size."""
    try:
        from pysat.solvers import Solver
    except ImportError:
        return
    listed = reason_oracle.of_the_list(world.plain)
    holds = reason_oracle.fine(listed, world.subsets(), Solver)
    found, complete = Picks(work_of(world.fitting)).clashes()
    assert complete
    assert set(found) == {s for s, ok in holds.items() if not ok and all(holds[s - {i}] for i in s)}
    try:
        remedies = reasons.why(world.fitting).remedies
    except InputFaults:
        return
    world.tried["asked of a SAT solver"] += 1
    if not found or any(len(e.parts) > 1 for e in world.plain.entries):
        return
    others = reason_oracle.shop_of(world.fitting.catalog.parts, world.plain)

    def tolerates(finding: Finding) -> bool:
        return finding.verdict in YES or (finding.verdict is Verdict.NOT_KNOWN and finding.id in world.unknown)

    shop = reason_oracle.of_the_shop(world.plain, others, tolerates)
    keeping = reason_oracle.fine(shop, world.subsets(), Solver)
    most = max((len(s) for s, ok in keeping.items() if ok), default=-1)
    assert (remedies.size if remedies.changes else world.number + 1) == world.number - most
    world.tried["smallest changes asked of a SAT solver"] += 1


PROPERTIES = (clashes_hold, changes_hold, substitutes_hold, solver_agrees)


def main() -> None:
    first, number = (int(a) for a in sys.argv[1:3])
    tried: Counter[str] = Counter()
    start, wall = time.process_time(), time.perf_counter()
    for seed in range(first, first + number):
        world = World(*rich_world(seed))
        for holds in PROPERTIES:
            try:
                holds(world)
            except AssertionError as error:
                tried["broken"] += 1
                print(f"seed {seed}, {holds.__name__}: {error!r}", flush=True)
        tried += world.tried
        tried["worlds"] += 1
        if tried["worlds"] % 100 == 0:
            print(f"{tried['worlds']} worlds, {time.process_time() - start:.0f} s of processor time", flush=True)
    for name, count in sorted(tried.items()):
        print(f"{count:>9,} {name}")
    print(f"{time.process_time() - start:.0f} s of processor time, {time.perf_counter() - wall:.0f} s in all")
    sys.exit(bool(tried["broken"]))


if __name__ == "__main__":
    main()
