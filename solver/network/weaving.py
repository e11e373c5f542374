"""Weaving: tables between slots and item relations of slots, written as one problem.

In: tables, candidates, shelves. Out: a ``Problem``. Figures that no test can tell apart become one value of a hidden
variable. Joints that may be not known are counted along a chain of hidden variables.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from catalog_schema.parts import Part
from solver.engine.problem import NOTHING, Builder, Item, Problem
from solver.network.adapters import Shelf
from solver.network.asking import NO
from solver.network.candidates import Candidate, Candidates, only_one
from solver.network.merging import apart, classes_of, product, size, sold, way_level
from solver.network.projection import Side
from solver.network.tables import SumStep, Table

UNKNOWN_LEVEL = 3

#: Hidden purchases are numbered from here on, so that they never meet the number of a candidate.
FIRST_HIDDEN = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Bought:
    """A hidden purchase: for which slot, and the parts; without parts the catalogue has none that serves.

    ``numbers`` are those of settings that are sold apart.
    """

    slot: str
    parts: tuple[Part, ...] = ()
    numbers: tuple[str, ...] = ()
    setting: bool = False


class Weaver:
    """Collects columns of slots and tables between them, then writes the problem."""

    def __init__(
        self,
        candidates: Candidates,
        filling: Mapping[str, Sequence[Candidate]],
        may_be_empty: frozenset[str],
        allow_unknown: int = 0,
        *,
        leftovers: bool = False,
    ) -> None:
        self.candidates = candidates
        self.filling = filling
        self.may_be_empty = may_be_empty
        self.allow_unknown = allow_unknown
        self.leftovers = leftovers
        self.builder = Builder()
        self.relations = 0
        self.bought: dict[int, Bought] = {}
        self.places: dict[int, tuple[str, ...]] = {}
        #: slot -> partition of its ways (a class for each) -> variable
        self.columns: dict[str, dict[tuple[int, ...], int]] = {s: {} for s in filling}
        #: joint and place -> the variable that says whether it is not known
        self.open_joints: dict[tuple[str, str], int] = {}
        #: slot -> (candidate, way) -> value of the variable of what is bought for it
        self.extra: dict[tuple[str, ...], tuple[int, dict[tuple[int, int], int]]] = {}

    def relation(
        self,
        name: str,
        scope: Sequence[int],
        rows: Iterable[Sequence[int]],
        *,
        stacks: Sequence[Iterable[Item]] | None = None,
        levels: Sequence[int] | None = None,
        hidden: bool = False,
    ) -> int:
        """Add a relation and return its number."""
        self.builder.relation(name, scope, rows, stacks=stacks, levels=levels, hidden=hidden)
        self.relations += 1
        return self.relations - 1

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
        if table.always_fits:
            return
        if table.profiles:
            self._profiled(table)
            return
        rows = {c: level for c, level in table.rows if level < UNKNOWN_LEVEL or self._keeps_unknown}
        width = len(table.sides) + len(table.sums)
        classes = [classes_of(rows, p, size(table, p)) for p in range(width)]
        scope: list[int] = []
        values: list[dict[int, int]] = []
        for p, where in enumerate(table.sides):
            variable, relabel = self.column(where, classes[p])
            scope.append(variable)
            values.append({n: relabel[c] for n, c in classes[p].items() if c in relabel})
        for s, steps in enumerate(table.sums):
            p = len(table.sides) + s
            scope.append(self._sum(table, steps, classes[p]))
            values.append(dict(classes[p]))
        merged = {
            tuple(values[p][v] for p, v in enumerate(combination)): level
            for combination, level in rows.items()
            if all(v in values[p] for p, v in enumerate(combination))
        }
        self._leveled(table, scope, merged, product(len(set(v.values())) for v in values))

    @property
    def _keeps_unknown(self) -> bool:
        return self.leftovers or self.allow_unknown > 0

    def _profiled(self, table: Table) -> None:
        """Add a table by way of its profiles: which sides make which profile, and at what level each total is then."""
        masked = [p if self._keeps_unknown else p.replace(b"\x03", b"\x09") for p in table.profiles]
        kept: dict[bytes, int] = {}
        for found in masked:
            if any(level != NO for level in found):
                kept.setdefault(found, len(kept))
        rows = {(*c[:-1], kept[masked[c[-1]]]): 0 for c, _ in table.rows if masked[c[-1]] in kept}
        looks: dict[bytes, int] = {}
        columns = [bytes(column) for column in zip(*kept, strict=True)]
        ends = {n: looks.setdefault(look, len(looks)) for n, look in enumerate(columns)}
        if not kept:
            ends = dict.fromkeys(range(table.sums[0][-1].after), 0)
        told = len(looks) > 1
        total = [self._sum(table, table.sums[0], ends)] if told else []
        profile = self.builder.variable(f"{table.name}*", max(len(kept), 1), hidden=True)
        scope: list[int] = []
        values: list[dict[int, int]] = []
        for p, where in enumerate(table.sides):
            classes = classes_of(rows, p, len(where.kinds))
            variable, relabel = self.column(where, classes)
            scope.append(variable)
            values.append({n: relabel[c] for n, c in classes.items() if c in relabel})
        lines = {
            (*(values[p][v] for p, v in enumerate(c[:-1])), c[-1])
            for c in rows
            if all(v in values[p] for p, v in enumerate(c[:-1]))
        }
        self.relation(f"{table.name}*", (*scope, profile), sorted(lines))
        merged: dict[tuple[int, ...], int] = {
            ((number, end) if told else (number,)): level
            for found, number in kept.items()
            for look, end in looks.items()
            if (level := look[number]) != NO
        }
        self._leveled(table, [profile, *total], merged, max(len(kept), 1) * max(len(looks), 1))

    def _leveled(self, table: Table, scope: list[int], merged: Mapping[tuple[int, ...], int], whole: int) -> None:
        """Add the relation of a table, with what it says of joints that are not known; none if it says nothing."""
        if not any(merged.values()) and len(merged) == whole:
            return
        counted = self.allow_unknown > 0 and UNKNOWN_LEVEL in merged.values()
        if counted:
            scope = [*scope, self._open_joint(table)]
        lines: list[tuple[int, ...]] = []
        levels: list[int] = []
        for combination, level in sorted(merged.items()):
            ends: list[tuple[int, ...]] = [()]
            if counted:
                ends = [(1,)] if level == UNKNOWN_LEVEL else [(0,), (1,)]
                level = 0 if level == UNKNOWN_LEVEL else level
            lines += [(*combination, *end) for end in ends]
            levels += [level] * len(ends)
        self.relation(table.name, scope, lines, levels=levels)

    def _open_joint(self, table: Table) -> int:
        key = (table.joint.id, table.place.name)
        if key not in self.open_joints:
            self.open_joints[key] = self.builder.variable(f"{table.joint.id}@{table.place.name}?", 2, hidden=True)
        return self.open_joints[key]

    def unknown_total(self) -> int | None:
        """Add the chain that counts joints that are not known; return the relation that holds how many there are."""
        if not self.allow_unknown:
            return None
        most = self.allow_unknown
        before = self.builder.variable("not known, so far", 1, hidden=True)
        size = 1
        for (joint, place), variable in self.open_joints.items():
            after_size = min(size + 1, most + 1)
            after = self.builder.variable(f"not known, up to {joint}@{place}", after_size, hidden=True)
            rows = [(b, u, b + u) for b in range(size) for u in (0, 1) if b + u <= most]
            self.relation(f"not known: {joint}@{place}", (before, variable, after), rows)
            before, size = after, after_size
        return self.relation("not known, in all", (before,), [(n,) for n in range(size)])

    def shelf(self, shelf: Shelf) -> None:
        """Add the adapters of one slot, and the joints that say which of them serve."""
        taken = self.builder.variable(f"{shelf.slot}, bought", 2 + len(shelf.kinds), hidden=True)
        for serving in shelf.serving:
            merged: dict[tuple[int, ...], set[int]] = {}
            width = len(serving.sides)
            rows = {(*c, v): 0 for c, values in serving.rows.items() for v in values}
            classes = [classes_of(rows, p, len(serving.sides[p].kinds)) for p in range(width)]
            for combination, values in serving.rows.items():
                merged.setdefault(tuple(classes[p][n] for p, n in enumerate(combination)), set()).update(values)
            columns = [self.column(where, classes[p]) for p, where in enumerate(serving.sides)]
            lines = [
                (*(relabel[c] for (_, relabel), c in zip(columns, combination, strict=True)), v)
                for combination, values in sorted(merged.items())
                for v in sorted(values)
                if all(c in relabel for (_, relabel), c in zip(columns, combination, strict=True))
            ]
            self.relation(serving.name, (*(v for v, _ in columns), taken), lines)
        stacks: list[list[Item]] = [[Item(NOTHING)], [self._buy(Bought(shelf.slot))]]
        stacks += [[self._buy(Bought(shelf.slot, (part,))) for part in kind] for kind in shelf.kinds]
        rows_of = [(v,) for v in range(2 + len(shelf.kinds))]
        self.relation(f"{shelf.slot}, shelf", (taken,), rows_of, stacks=stacks, hidden=True)

    def _buy(self, bought: Bought) -> Item:
        ident = FIRST_HIDDEN + len(self.bought)
        self.bought[ident] = bought
        if not bought.parts:
            return Item(ident, None, None, None)
        found = [Candidate(ident, p, (bought.slot,), ()) for p in bought.parts]
        prices, masses = [c.price_minor for c in found], [c.mass_mg for c in found]
        leads = [c.lead_days for c in found]
        return Item(ident, _total(prices), _total(masses), None if None in leads else max(d or 0 for d in leads))

    def sold_settings(self, parts: Mapping[str, Part]) -> None:
        """Add what must be bought for settings that are sold apart; a number that the catalogue lacks has no price."""
        homes: dict[tuple[str, ...], list[Candidate]] = {(s,): list(f) for s, f in self.candidates.single.items()}
        homes.update({slots: list(found) for slots, found in self.candidates.shared.items()})
        for slots, found in homes.items():
            values: dict[tuple[str, ...], int] = {(): 0}
            at: dict[tuple[int, int], int] = {}
            for candidate in found:
                for w, way in enumerate(candidate.ways):
                    needed = sold(way)
                    at[candidate.ident, w] = values.setdefault(needed, len(values))
            if len(values) == 1:
                continue
            variable = self.builder.variable(f"{'+'.join(slots)}, settings bought", len(values), hidden=True)
            self.extra[slots] = (variable, at)
            stacks = [[Item(NOTHING)]]
            for numbers in list(values)[1:]:
                there = tuple(parts[n] for n in numbers if n in parts)
                all_there = there if len(there) == len(numbers) else ()
                stacks.append([self._buy(Bought(slots[0], all_there, numbers, setting=True))])
            rows = [(v,) for v in range(len(values))]
            self.relation(f"{'+'.join(slots)}, settings", (variable,), rows, stacks=stacks, hidden=True)

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
            self.relation(f"{table.name}+{i}", scope, sorted(set(rows)))
            before = after
        if before is None:
            raise RuntimeError("a sum of nothing")
        return before

    def limited_stock(self, within_days: int | None = None) -> None:
        """Forbid that a part of which there is one fills two slots; with days, only if no second one comes in time."""
        limited: dict[str, list[str]] = {}
        for slot, found in self.candidates.single.items():
            for candidate in found:
                if candidate.part.number and only_one(candidate.part, within_days):
                    limited.setdefault(candidate.part.number, []).append(slot)
        for a, b in sorted({pair for slots in limited.values() for pair in itertools.combinations(slots, 2)}):
            scarce = sorted(p for p, slots in limited.items() if a in slots and b in slots)
            number = {p: i + 1 for i, p in enumerate(scarce)}
            columns = []
            for slot in (a, b):
                where = Side(slot)
                for candidate in self.filling[slot]:
                    mine = number.get(candidate.part.number, 0) if len(candidate.slots) == 1 else 0
                    where.number.update({(candidate.ident, w): mine for w in range(len(candidate.ways))})
                classes = {i: i for i in range(len(scarce) + 1)}
                if slot in self.may_be_empty:
                    classes[len(scarce) + 1] = 0
                where.kinds = [None] * len(classes)
                columns.append(self.column(where, classes))
            tables, size = apart(len(scarce))
            between = self.builder.variable(f"stock {a} {b}", size, hidden=True)
            for (variable, values), table in zip(columns, tables, strict=True):
                rows = sorted((values[piece], way) for piece, way in table if piece in values)
                self.relation(f"stock {a} {b}", (variable, between), rows)

    def problem(self) -> Problem:
        """Return the problem: one item relation a slot, and one for each set of slots that purchases fill together."""
        modes = self._modes()
        for slot in self.candidates.slots:
            self._slot(slot, modes)
        return self.builder.problem()

    def _slot(self, slot: str, modes: Mapping[tuple[str, ...], tuple[int, dict[tuple[int, int], int]]]) -> None:
        groups = [slots for slots in self.candidates.shared if slot in slots]
        bought = self.extra.get((slot,))
        scope = [*self.columns[slot].values(), *(modes[g][0] for g in groups), *([bought[0]] if bought else [])]
        place = {pair: i for i, pair in enumerate(self.ways(slot))}
        stacks: dict[tuple[tuple[int, ...], int], dict[int, Item]] = {}

        def put(pair: tuple[int, int], mode: tuple[int, ...], level: int, item: Item) -> None:
            at = place[pair]
            extra = (bought[1].get(pair, 0),) if bought else ()
            values = (*(p[at] for p in self.columns[slot]), *mode, *extra)
            stacks.setdefault((values, level), {})[item.ident] = item

        none = tuple(0 for _ in groups)
        for candidate in self.candidates.single.get(slot, ()):
            for w, way in enumerate(candidate.ways):
                put((candidate.ident, w), none, way_level(way), _item(candidate))
        if slot in self.may_be_empty:
            put((-1, 0), none, 0, Item(NOTHING))
        for g, slots in enumerate(groups):
            for pair, mode in modes[slots][1].items():
                put(pair, tuple(mode if k == g else 0 for k in range(len(groups))), 0, Item(NOTHING))
        if not scope:
            scope = [self.builder.variable(f"{slot}#", 1, hidden=True)]
            stacks = {((0,), level): items for (_, level), items in stacks.items()}
        number = self.relation(
            slot,
            scope,
            [values for values, _ in stacks],
            stacks=[list(items.values()) for items in stacks.values()],
            levels=[level for _, level in stacks],
        )
        self.places[number] = (slot,)

    def _modes(self) -> dict[tuple[str, ...], tuple[int, dict[tuple[int, int], int]]]:
        """Return, for each set of slots filled together, its mode variable and (candidate, way) -> mode."""
        out = {}
        for slots, found in self.candidates.shared.items():
            at = {s: {pair: i for i, pair in enumerate(self.ways(s))} for s in slots}
            bought = self.extra.get(slots)
            alike: dict[tuple[object, ...], int] = {}
            numbers: dict[tuple[int, int], int] = {}
            stacks: list[dict[int, Item]] = [{NOTHING: Item(NOTHING)}]
            levels, extras = [0], [0]
            for candidate in found:
                for w, way in enumerate(candidate.ways):
                    pair = (candidate.ident, w)
                    look = tuple(tuple(p[at[s][pair]] for p in self.columns[s]) for s in slots)
                    level, extra = way_level(way), bought[1][pair] if bought else 0
                    key = (look, level, extra)
                    if key not in alike:
                        alike[key] = len(stacks)
                        stacks.append({})
                        levels.append(level)
                        extras.append(extra)
                    numbers[pair] = alike[key]
                    stacks[alike[key]][candidate.ident] = _item(candidate)
            variable = self.builder.variable("+".join(slots), len(stacks), hidden=True)
            needs_own = [s for s in slots if not self.candidates.single.get(s) and s not in self.may_be_empty]
            kept = [m for m in range(len(stacks)) if m or not needs_own or len(self._sharing(needs_own[0])) > 1]
            number = self.relation(
                "+".join(slots),
                (variable, bought[0]) if bought else (variable,),
                [(m, extras[m]) if bought else (m,) for m in kept],
                stacks=[list(stacks[m].values()) for m in kept],
                levels=[levels[m] for m in kept],
            )
            self.places[number] = slots
            out[slots] = (variable, numbers)
        return out

    def _sharing(self, slot: str) -> list[tuple[str, ...]]:
        return [slots for slots in self.candidates.shared if slot in slots]


def _total(figures: Sequence[int | None]) -> int | None:
    return None if None in figures else sum(f for f in figures if f is not None)


def _item(candidate: Candidate) -> Item:
    return Item(candidate.ident, candidate.price_minor, candidate.mass_mg, candidate.lead_days)
