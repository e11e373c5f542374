"""How long reasons take: ``python -m tests.benchmarks.reasons_bench [parts a slot ...]``; prints a table.

The instance is that of the engine's benchmark (32 slots). Picks that fit together are broken by one exchanged part; the
search is compiled once, each question is a mask. python-sat, where it is installed, keeps one solver for all.
"""

from __future__ import annotations

import itertools
import random
import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from catalog_schema import bicycle, fitting_list, library
from solver import reasons
from solver.engine.costs import Objective
from solver.engine.view import View, open_problem
from solver.explain import conflicts, propagation
from tests.benchmarks.engine_encode import encode
from tests.benchmarks.engine_instance import Instance, make

LISTS = Path(__file__).parent.parent.parent / "sample_catalogs" / "lists"
ROUNDS = 15


def median_ms(times: list[float]) -> str:
    return f"{1000 * statistics.median(times):.1f} (worst {1000 * max(times):.1f})"


def timed(run: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    found = run()
    return time.perf_counter() - start, found


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
    shrinks, plain, repairs, calls, sizes, sat = [], [], [], [], [], []
    checker = _sat(instance)
    for _ in range(ROUNDS):
        trial = Picked(view, broken(view, instance, rng))
        spent, clash = timed(trial.clash)
        shrinks.append(spent)
        calls.append(trial.calls)
        spent, _ = timed(partial(conflicts.shrink, range(len(trial.picks)), trial.holds))
        plain.append(spent)
        sizes.append(len(clash))
        spent, _ = timed(trial.repair)
        repairs.append(spent)
        if checker is not None:
            spent, size = timed(partial(checker, trial.picks))
            sat.append(spent)
            assert not trial.holds(frozenset(size))
    told = median_ms(sat) if sat else "not installed"
    return [
        f"| {parts} | {1000 * compiled:.0f} | {median_ms(shrinks)} | {statistics.median(calls):.0f} | "
        f"{statistics.median(sizes):.0f} | {median_ms(plain)} | {told} | {median_ms(repairs)} |"
    ]


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
        fitting = fitting_list.load(path, library.load(), bicycle.load())
        times: dict[str, float] = {}
        times["clashes"], _ = timed(partial(reasons.clashes, fitting))
        times["why"], report = timed(partial(reasons.why, fitting, keep=["frame"]))
        slot = report.clashes[0].picks[-1]
        times["swap"], _ = timed(partial(reasons.swap, fitting, slot, keep=["frame"]))
        cells = " | ".join(f"{1000 * t:.0f}" for t in times.values())
        rows.append(f"| {path.stem} | {cells} |")
    return rows


def main() -> None:
    sizes = [int(a) for a in sys.argv[1:]] or [100, 500, 2000]
    heads = ["parts a slot", "compile ms", "clash ms", "existence calls", "picks in it"]
    heads += ["without looking first ms", "python-sat ms", "change ms"]
    print(f"| {' | '.join(heads)} |")
    print("|---|---|---|---|---|---|---|---|")
    for parts in sizes:
        print("\n".join(instance_table(parts)), flush=True)
    print("\n| sample list | all clashes ms | why, frame kept ms | swap ms |")
    print("|---|---|---|---|")
    print("\n".join(sample_table()))


if __name__ == "__main__":
    main()
