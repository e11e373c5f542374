"""How long reasons take: ``python -m tests.benchmarks.reasons_bench [parts a slot ...]``; prints tables.

The instance is that of the engine's benchmark (32 slots). Picks that fit together are broken by one exchanged part; the
search is compiled once, each question is a mask. python-sat, where it is installed, keeps one solver for all; CP-SAT is
asked twice a size, with one worker. Times are processor time of this process, so that other work does not count.
"""

from __future__ import annotations

import datetime
import importlib
import itertools
import os
import platform
import random
import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.fitting_list import FittingList
from solver import reasons
from solver.engine.costs import Objective
from solver.engine.view import View, open_problem
from solver.explain import conflicts, propagation
from tests.benchmarks.engine_encode import encode
from tests.benchmarks.engine_foreign import Model
from tests.benchmarks.engine_instance import Instance, make

LISTS = Path(__file__).parent.parent.parent / "sample_catalogs" / "lists"
ROUNDS = 15
FOREIGN_ROUNDS = 2
MOST_FOREIGN = 2000


def median_ms(times: list[float]) -> str:
    return f"{1000 * statistics.median(times):.1f} (worst {1000 * max(times):.1f})"


def timed(run: Callable[[], Any]) -> tuple[float, Any]:
    start = time.process_time()
    found = run()
    return time.process_time() - start, found


class Picked:
    """An instance with picks, and the oracle over them."""

    def __init__(self, view: View, picks: list[int]) -> None:
        self.view, self.picks = view, picks
        self.relations = view.circuit.problem.item_relations
        self.masks: dict[int, Any] = {}
        for thing, relation in enumerate(self.relations):
            stacks = view.circuit.problem.relations[relation].stacks
            assert stacks is not None
            self.masks[thing] = stacks.ident == picks[thing]
        self.calls = 0

    def holds(self, things: frozenset[int]) -> bool:
        """Whether a build has these picks."""
        self.calls += 1
        return self.view.restricted(items={self.relations[t]: self.masks[t] for t in things}).exists

    def clash(self) -> frozenset[int]:
        """A minimal conflict, what contradicts at once looked at first."""
        picks = {t: (self.relations[t], frozenset({p})) for t, p in enumerate(self.picks)}
        return propagation.first(len(self.picks), self.holds, self.view.circuit.problem, picks)

    def repair(self) -> int:
        """How many picks the smallest change gives up; the cheapest such build is found with it."""
        extra = {self.relations[t]: (~m).astype("int64") for t, m in self.masks.items()}
        best = next(self.view.best(Objective(price=1, extra=extra)))
        return sum(item != pick for item, pick in zip(best.items, self.picks, strict=True))


def broken(view: View, instance: Instance, rng: random.Random) -> list[int]:
    """Picks of a build with one part exchanged so that they do not hold together."""
    starts = list(itertools.accumulate((len(s.price) for s in instance.slots), initial=0))
    while True:
        picks = list(view.sample(1, rng.randrange(2**30))[0].items)
        slot = rng.randrange(len(picks))
        picks[slot] = starts[slot] + rng.randrange(len(instance.slots[slot].price))
        trial = Picked(view, picks)
        if not trial.holds(frozenset(range(len(picks)))):
            return picks


def instance_table(parts: int) -> list[str]:
    instance = make(parts, 7)
    compiled, view = timed(lambda: open_problem(encode(instance)))
    rng = random.Random(parts)
    times: dict[str, list[float]] = {k: [] for k in ("clash", "plain", "change", "sat", "cp clash", "cp change")}
    calls, sizes = [], []
    checker = _sat(instance)
    foreign = _cp_sat(instance) if parts <= MOST_FOREIGN else None
    for at in range(ROUNDS):
        trial = Picked(view, broken(view, instance, rng))
        spent, clash = timed(trial.clash)
        times["clash"].append(spent)
        calls.append(trial.calls)
        spent, _ = timed(partial(conflicts.shrink, range(len(trial.picks)), trial.holds))
        times["plain"].append(spent)
        sizes.append(len(clash))
        spent, given_up = timed(trial.repair)
        times["change"].append(spent)
        if checker is not None:
            spent, size = timed(partial(checker, trial.picks))
            times["sat"].append(spent)
            assert not trial.holds(frozenset(size))
        if foreign is not None and at < FOREIGN_ROUNDS:
            spent, size = timed(partial(foreign, trial.picks, "clash"))
            times["cp clash"].append(spent)
            assert not trial.holds(frozenset(size))
            spent, size = timed(partial(foreign, trial.picks, "change"))
            times["cp change"].append(spent)
            assert len(size) == given_up
    told = {k: median_ms(t) if t else "not asked" for k, t in times.items()}
    cells = [parts, f"{1000 * compiled:.0f}", told["clash"], f"{statistics.median(calls):.0f}"]
    cells += [f"{statistics.median(sizes):.0f}", told["plain"], told["sat"], told["cp clash"], told["change"]]
    return [f"| {' | '.join(map(str, [*cells, told['cp change']]))} |"]


def _cp_sat(instance: Instance) -> Callable[[list[int], str], set[int]] | None:
    """CP-SAT: a core by assumptions, then deletion; or as many picks kept as can be. Returns picks."""
    try:
        cp_model: Any = importlib.import_module("ortools.sat.python.cp_model")
    except ImportError:
        return None
    problem = encode(instance)
    model = Model.of(problem, instance)
    stacks = [r.stacks for r in problem.relations if r.stacks is not None]

    def ask(picks: list[int], task: str) -> set[int]:
        m = cp_model.CpModel()
        var = {v: m.new_int_var(0, model.sizes[v] - 1, f"v{v}") for v in model.used()}
        for columns, rows in model.plain:
            m.add_allowed_assignments([var[c] for c in columns], rows.tolist())
        kept = []
        for (columns, rows), stack, pick in zip(model.classes, stacks, picks, strict=True):
            row = m.new_int_var(0, len(rows) - 1, "")
            m.add_allowed_assignments([*(var[c] for c in columns), row], [[*r, i] for i, r in enumerate(rows.tolist())])
            kept.append(m.new_bool_var(""))
            m.add(row == int(stack.row[stack.ident == pick][0])).only_enforce_if(kept[-1])
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        if task == "change":
            m.maximize(sum(kept))
            solver.solve(m)
            return {t for t, k in enumerate(kept) if not solver.value(k)}

        def fails(things: set[int]) -> bool:
            m.clear_assumptions()
            m.add_assumptions([kept[t] for t in sorted(things)])
            return bool(solver.solve(m) == cp_model.INFEASIBLE)

        left = set(range(len(picks)))
        if not fails(left):
            raise RuntimeError("the two encodings disagree")
        indices = {k.index: t for t, k in enumerate(kept)}
        left = {indices[i] for i in solver.sufficient_assumptions_for_infeasibility()} or left
        for thing in sorted(left):
            if fails(left - {thing}):
                left -= {thing}
        return left

    return ask


def _sat(instance: Instance) -> Callable[[list[int]], set[int]] | None:
    """A persistent solver over classes of parts: core, then deletion."""
    try:
        from pysat.solvers import Solver
    except ImportError:
        return None
    number = itertools.count(1)
    solver = Solver(name="cadical153")
    values: dict[tuple[int, int, int], int] = {}
    for s, slot in enumerate(instance.slots):
        for p in range(len(slot.attributes)):
            mine = [values.setdefault((s, p, v), next(number)) for v in instance.span(s, p)]
            solver.add_clause(mine)
            for a, b in itertools.combinations(mine, 2):
                solver.add_clause([-a, -b])
    part_vars: list[int] = []
    for s, slot in enumerate(instance.slots):
        rows: dict[tuple[int, ...], int] = {}
        for row in slot.columns.tolist():
            key = tuple(row)
            if key not in rows:
                rows[key] = next(number)
                for p, v in enumerate(key):
                    solver.add_clause([-rows[key], values[s, p, v]])
            part_vars.append(rows[key])
        solver.add_clause(list(rows.values()))
    for (a, x), (b, y) in instance.equalities:
        for v in instance.span(a, x):
            if (b, y, v) in values:
                solver.add_clause([-values[a, x, v], values[b, y, v]])
                solver.add_clause([values[a, x, v], -values[b, y, v]])
            else:
                solver.add_clause([-values[a, x, v]])
    for columns, allowed in instance.tables:
        good = set(allowed)
        for row in itertools.product(*(instance.span(s, p) for s, p in columns)):
            if row not in good:
                solver.add_clause([-values[s, p, v] for (s, p), v in zip(columns, row, strict=True)])
    for terms, low, high in instance.sums:
        _sum_clauses(solver, instance, values, terms, low, high, number)

    def minimal(picks: list[int]) -> set[int]:
        assumed = {part_vars[ident]: t for t, ident in enumerate(picks)}
        if solver.solve(list(assumed)):
            raise RuntimeError("the two encodings disagree")
        core = list(solver.get_core())
        for literal in list(core):
            rest = [x for x in core if x != literal]
            if not solver.solve(rest):
                core = rest
        return {assumed[x] for x in core}

    return minimal


def _sum_clauses(
    solver: Any,
    instance: Instance,
    values: dict[tuple[int, int, int], int],
    terms: tuple[tuple[int, int, int], ...],
    low: int,
    high: int,
    number: Any,
) -> None:
    """Partial sums, term by term; the last one is bounded."""
    before: dict[int, int] = {}
    for at, (s, p, sign) in enumerate(terms):
        after: dict[int, int] = {}
        for v in instance.span(s, p):
            for total, literal in before.items() if at else [(0, 0)]:
                new = total + sign * v
                after.setdefault(new, next(number))
                clause = [-values[s, p, v], after[new]]
                solver.add_clause(clause if not at else [-literal, *clause])
        before = after
    for total, literal in before.items():
        if not low <= total <= high:
            solver.add_clause([-literal])


def sample_table() -> list[str]:
    rows = []
    for path in sorted(LISTS.glob("fails-*.toml")):
        times: dict[str, float] = {}
        times["clashes"], _ = timed(partial(reasons.clashes, _fresh(path)))
        times["why"], report = timed(partial(reasons.why, _fresh(path), keep=["frame"]))
        slot = report.clashes[0].picks[-1]
        times["swap"], _ = timed(partial(reasons.swap, _fresh(path), slot, keep=["frame"]))
        cells = " | ".join(f"{1000 * t:.0f}" for t in times.values())
        rows.append(f"| {path.stem} | {cells} | {report.remedies.size} |")
    return rows


def _fresh(path: Path) -> FittingList:
    return fitting_list.load(path, library.load(), bicycle.load())


def main() -> None:
    sizes = [int(a) for a in sys.argv[1:]] or [100, 500, 2000]
    cores = f"{os.cpu_count()} cores shared with other work (load {os.getloadavg()[0]:.1f})"
    print(f"{datetime.date.today()}; {platform.machine()}, {cores}, Python {platform.python_version()};", end=" ")
    print(f"processor time, median of {ROUNDS} (CP-SAT: of {FOREIGN_ROUNDS}).")
    heads = ["parts a slot", "compile ms", "clash ms", "existence calls", "picks in it", "without looking first ms"]
    heads += ["python-sat clash ms", "CP-SAT clash ms", "change ms", "CP-SAT change ms"]
    print(f"\n| {' | '.join(heads)} |")
    print(f"|{'---|' * len(heads)}")
    for parts in sizes:
        print("\n".join(instance_table(parts)), flush=True)
    print("\n| sample list | all clashes ms | why, frame kept ms | swap ms | parts to change |")
    print("|---|---|---|---|---|")
    print("\n".join(sample_table()))


if __name__ == "__main__":
    main()
