"""The problem record of a half-filled list: slots as item relations, tests as tables between them.

In: a list, its candidates, the joints. Out: a ``Network``: a ``Problem`` for the engine, and how to read its solutions
back as purchases. All variables are hidden: only purchases are counted, never the settings that they are used in.
Figures that no test can tell apart are one value.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from catalog_schema.bicycle import Bicycle
from catalog_schema.fitting_list import FittingList
from catalog_schema.library import Library
from solver.engine.problem import NOTHING, Builder, Item, Problem
from solver.network.candidates import Candidate, Candidates, collect
from solver.network.projection import Side
from solver.network.tables import Scene, SumStep, Table, tabulate
from solver.rules.evaluating import links
from solver.rules.judging import Filled
from solver.rules.registry import JOINTS

UNKNOWN_LEVEL = 3
_OFFER_LEVEL = {"as-shipped": 0, "in-the-box": 0, "sold": 1, "not-stated": UNKNOWN_LEVEL, "not-sold": UNKNOWN_LEVEL}


@dataclass(slots=True)
class Network:
    """A problem, and what its parts mean. ``judged`` is how many combinations the rules were asked about."""

    problem: Problem
    candidates: Candidates
    by_ident: Mapping[int, Candidate]
    judged: int
    tables: Sequence[Table]

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
    *,
    unknown: bool = False,
    in_stock: bool = False,
    within_days: int | None = None,
) -> Network:
    """Return the network of a list.

    Args:
        fitting: the list; open slots are searched.
        library: the interface library.
        bicycle: the slots.
        fixed: slots that are no parts.
        unknown: keep combinations that are not known, at level 3.
        in_stock: only parts in stock, and no part twice of which there is one.
        within_days: only parts that are there within so many days.

    Raises:
        TooManyCombinations: a rule would have to be asked too often.
    """
    candidates = collect(fitting, bicycle, in_stock=in_stock, within_days=within_days)
    filling: dict[str, list[Candidate]] = {s: list(candidates.single.get(s, ())) for s in candidates.slots}
    for slots, shared in candidates.shared.items():
        for slot in slots:
            filling[slot].extend(shared)
    may_be_empty = frozenset(s for s in candidates.slots if s not in fitting.slots)
    scene = Scene(library, bicycle, filling, fixed, may_be_empty)
    tables = [t for t in _tables(scene) if t is not None]
    weaver = _Weaver(candidates, filling, may_be_empty, unknown=unknown)
    for table in tables:
        weaver.table(table)
    if in_stock:
        weaver.limited_stock()
    problem = weaver.problem()
    by_ident = {c.ident: c for c in candidates.all}
    return Network(problem, candidates, by_ident, sum(t.judged for t in tables), tables)


def _tables(scene: Scene) -> Iterable[Table | None]:
    for joint in JOINTS.values():
        for place in joint.places:
            adapter = place.adapter if scene.candidates.get(place.adapter) else ""
            for test in joint.tests:
                for roles in links(joint, test, place, adapter):
                    yield tabulate(joint, place, test, roles, scene)


class _Weaver:
    """Collects columns of slots and tables between them, then writes the problem."""

    def __init__(
        self,
        candidates: Candidates,
        filling: Mapping[str, Sequence[Candidate]],
        may_be_empty: frozenset[str],
        *,
        unknown: bool,
    ) -> None:
        self.candidates = candidates
        self.filling = filling
        self.may_be_empty = may_be_empty
        self.unknown = unknown
        self.builder = Builder()
        #: slot -> partition of its ways (a class for each) -> variable
        self.columns: dict[str, dict[tuple[int, ...], int]] = {s: {} for s in filling}

    def ways(self, slot: str) -> list[tuple[int, int]]:
        """Return the (candidate, way) pairs of a slot; (-1, 0) stands for the slot left empty."""
        found = [(c.ident, w) for c in self.filling[slot] for w in range(len(c.ways))]
        return [*found, (-1, 0)] if slot in self.may_be_empty else found

    def column(self, where: Side, classes: Mapping[int, int]) -> tuple[int, dict[int, int]]:
        """Return the variable of a slot for these classes of a side's numbers, and class -> value of the variable."""
        labels = []
        for ident, way in self.ways(where.slot):
            number = where.number[ident, way] if ident >= 0 else len(where.kinds) - 1
            labels.append(classes[number])
        relabel: dict[int, int] = {}
        partition = tuple(relabel.setdefault(c, len(relabel)) for c in labels)
        known = self.columns[where.slot]
        if partition not in known:
            known[partition] = self.builder.variable(f"{where.slot}#{len(known)}", max(len(relabel), 1), hidden=True)
        return known[partition], relabel

    def table(self, table: Table) -> None:
        """Add a table and the steps of its sums."""
        rows = {c: level for c, level in table.rows if level < UNKNOWN_LEVEL or self.unknown}
        width = len(table.sides) + len(table.sums)
        classes = [_classes(rows, p, _size(table, p)) for p in range(width)]
        merged: dict[tuple[int, ...], int] = {}
        for combination, level in rows.items():
            merged[tuple(classes[p][v] for p, v in enumerate(combination))] = level
        scope: list[int] = []
        values: list[dict[int, int]] = []
        for p, where in enumerate(table.sides):
            variable, relabel = self.column(where, classes[p])
            scope.append(variable)
            values.append(relabel)
        for s, steps in enumerate(table.sums):
            p = len(table.sides) + s
            scope.append(self._sum(table, steps, classes[p]))
            values.append({c: c for c in set(classes[p].values())})
        if any(level for level in merged.values()) or len(merged) < _product(len(v) for v in values):
            lines = [
                ([values[p][c] for p, c in enumerate(combination)], level)
                for combination, level in sorted(merged.items())
                if all(c in values[p] for p, c in enumerate(combination))
            ]
            self.builder.relation(table.name, scope, [r for r, _ in lines], levels=[level for _, level in lines])

    def _sum(self, table: Table, steps: Sequence[SumStep], classes: Mapping[int, int]) -> int:
        """Add the steps of a sum and return the variable of its (merged) end value."""
        before: int | None = None
        last = len(steps) - 1
        for i, step in enumerate(steps):
            kinds = {n: n for n in range(len(step.side.kinds))}
            variable, relabel = self.column(step.side, kinds)
            size = step.after if i < last else len(set(classes.values()))
            after = self.builder.variable(f"{table.name}+{i}", size, hidden=True)
            rows = []
            for b, n, a in step.rows:
                if n in relabel:
                    end = a if i < last else classes[a]
                    rows.append((relabel[n], end) if before is None else (b, relabel[n], end))
            scope = (variable, after) if before is None else (before, variable, after)
            self.builder.relation(f"{table.name}+{i}", scope, sorted(set(rows)))
            before = after
        if before is None:
            raise RuntimeError("a sum of nothing")
        return before

    def limited_stock(self) -> None:
        """Forbid that a part of which there is one fills two slots."""
        limited: dict[int, list[str]] = {}
        for slot, found in self.candidates.single.items():
            for candidate in found:
                if candidate.part.identity.stock == 1:
                    limited.setdefault(id(candidate.part), []).append(slot)
        pairs = sorted({pair for slots in limited.values() for pair in itertools.combinations(slots, 2)})
        for a, b in pairs:
            scarce = sorted(p for p, slots in limited.items() if a in slots and b in slots)
            number = {p: i + 1 for i, p in enumerate(scarce)}
            columns = []
            for slot in (a, b):
                where = Side(slot)
                for candidate in self.filling[slot]:
                    mine = number.get(id(candidate.part), 0) if len(candidate.slots) == 1 else 0
                    where.number.update({(candidate.ident, w): mine for w in range(len(candidate.ways))})
                where.kinds = [None] * (len(scarce) + 1)
                classes = {i: i for i in range(len(scarce) + 1)}
                if slot in self.may_be_empty:
                    where.kinds.append(None)
                    classes[len(scarce) + 1] = 0
                columns.append(self.column(where, classes))
            (va, ra), (vb, rb) = columns
            rows = [(x, y) for p, x in ra.items() for q, y in rb.items() if p != q or p == 0]
            self.builder.relation(f"stock {a} {b}", (va, vb), sorted(rows))

    def problem(self) -> Problem:
        """Return the problem: one item relation a slot, and one for each set of slots that purchases fill together."""
        modes = self._modes()
        for slot in self.candidates.slots:
            groups = [slots for slots in self.candidates.shared if slot in slots]
            scope = [*self.columns[slot].values(), *(modes[g][0] for g in groups)]
            place = {pair: i for i, pair in enumerate(self.ways(slot))}
            stacks: dict[tuple[tuple[int, ...], int], dict[int, Item]] = {}

            def put(pair: tuple[int, int], mode: tuple[int, ...], level: int, item: Item) -> None:
                at = place[pair]  # noqa: B023 (called within the loop only)
                values = (*(p[at] for p in self.columns[slot]), *mode)  # noqa: B023
                stacks.setdefault((values, level), {})[item.ident] = item  # noqa: B023

            none = tuple(0 for _ in groups)
            for candidate in self.candidates.single.get(slot, ()):
                for w, way in enumerate(candidate.ways):
                    level = _OFFER_LEVEL[way.least_handy]
                    if level < UNKNOWN_LEVEL or self.unknown:
                        put((candidate.ident, w), none, level, _item(candidate))
            if slot in self.may_be_empty:
                put((-1, 0), none, 0, Item(NOTHING))
            for g, slots in enumerate(groups):
                for (ident, w), mode in modes[slots][1].items():
                    put((ident, w), tuple(mode if k == g else 0 for k in range(len(groups))), 0, Item(NOTHING))
            if not scope:
                scope = [self.builder.variable(f"{slot}#", 1, hidden=True)]
                stacks = {((0,), level): items for (_, level), items in stacks.items()}
            self.builder.relation(
                slot,
                scope,
                [values for values, _ in stacks],
                stacks=[list(items.values()) for items in stacks.values()],
                levels=[level for _, level in stacks],
            )
        return self.builder.problem()

    def _modes(self) -> dict[tuple[str, ...], tuple[int, dict[tuple[int, int], int]]]:
        """Return, for each set of slots filled together, its mode variable and (candidate, way) -> mode."""
        out = {}
        for slots, found in self.candidates.shared.items():
            alike: dict[tuple[object, ...], int] = {}
            numbers: dict[tuple[int, int], int] = {}
            stacks: list[dict[int, Item]] = [{NOTHING: Item(NOTHING)}]
            levels = [0]
            for candidate in found:
                for w, way in enumerate(candidate.ways):
                    level = _OFFER_LEVEL[way.least_handy]
                    if level >= UNKNOWN_LEVEL and not self.unknown:
                        continue
                    look = tuple(
                        tuple(p[self.ways(s).index((candidate.ident, w))] for p in self.columns[s]) for s in slots
                    )
                    if (look, level) not in alike:
                        alike[look, level] = len(stacks)
                        stacks.append({})
                        levels.append(level)
                    numbers[candidate.ident, w] = alike[look, level]
                    stacks[alike[look, level]][candidate.ident] = _item(candidate)
            variable = self.builder.variable("+".join(slots), len(stacks), hidden=True)
            needs_own = [s for s in slots if not self.candidates.single.get(s) and s not in self.may_be_empty]
            rows = [[m] for m in range(len(stacks)) if m or not needs_own]
            self.builder.relation(
                "+".join(slots),
                (variable,),
                rows,
                stacks=[list(stacks[m].values()) for (m,) in rows],
                levels=[levels[m] for (m,) in rows],
            )
            out[slots] = (variable, numbers)
        return out


def _item(candidate: Candidate) -> Item:
    return Item(candidate.ident, candidate.price_minor, candidate.mass_mg, candidate.lead_days)


def _size(table: Table, position: int) -> int:
    if position < len(table.sides):
        return len(table.sides[position].kinds)
    return table.sums[position - len(table.sides)][-1].after


def _classes(rows: Mapping[tuple[int, ...], int], position: int, size: int) -> dict[int, int]:
    """Return number -> class: two numbers are one class if every combination treats them alike."""
    looks: dict[int, set[tuple[tuple[int, ...], int]]] = {n: set() for n in range(size)}
    for combination, level in rows.items():
        rest = (*combination[:position], *combination[position + 1 :])
        looks[combination[position]].add((rest, level))
    index: dict[frozenset[tuple[tuple[int, ...], int]], int] = {}
    return {n: index.setdefault(frozenset(look), len(index)) for n, look in looks.items()}


def _product(sizes: Iterable[int]) -> int:
    out = 1
    for size in sizes:
        out *= size
    return out
