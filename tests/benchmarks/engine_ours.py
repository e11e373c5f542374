"""Time our engine on one instance in a fresh process: ``python -m tests.benchmarks.engine_ours PARTS SEED REPEATS``.

Out: one JSON object with times in milliseconds (medians), answers and peak memory. Every time but ``cold`` is warm: the
same call repeated in one process; ``cold`` is the first compilation of the process.
"""

from __future__ import annotations

import itertools
import json
import resource
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from solver.engine.costs import Objective
from solver.engine.state import State
from solver.engine.view import View, open_problem
from tests.benchmarks.engine_encode import encode
from tests.benchmarks.engine_instance import SLOTS, make, make_tiny


def megabytes() -> int:
    """Peak resident memory of this process so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def median(task: Callable[[], Any], repeats: int, quietest: dict[str, float] | None = None, name: str = "") -> float:
    """Milliseconds, the median of some repeats; the least goes to ``quietest``, for a machine that others use too."""
    times = []
    for _ in range(repeats):
        started = time.perf_counter()
        task()
        times.append(1000 * (time.perf_counter() - started))
    if quietest is not None:
        quietest[name] = round(min(times), 2)
    return round(statistics.median(times), 2)


def timed(parts: int, seed: int, repeats: int, *, copies: int = 1, slots: list[str] | None = None) -> dict[str, Any]:
    """Every figure for one instance."""
    base = megabytes()
    instance = make(parts, seed, copies=copies, slots=slots) if parts else make_tiny()
    started = time.perf_counter()
    view = open_problem(encode(instance))
    cold = 1000 * (time.perf_counter() - started)
    circuit = view.circuit

    def anew() -> View:
        return View(State(circuit))

    out: dict[str, Any] = {"parts": instance.parts, "cold": round(cold, 1), "pairs": circuit.join_rows}
    out["classes"] = sum(len(r.rows) for r in circuit.problem.relations if r.stacks is not None)
    out["width"] = circuit.width
    least: dict[str, float] = {}
    out["least"] = least

    def measure(name: str, task: Callable[[], Any]) -> None:
        out[name] = median(task, repeats, least, name)

    measure("compile", lambda: open_problem(encode(instance)))
    measure("count", lambda: anew().count())
    out["builds"] = str(anew().count())
    out["memory_count"] = megabytes()
    measure("first", lambda: anew().first())
    measure("cheapest", lambda: next(anew().best()))
    measure("ten", lambda: list(itertools.islice(anew().best(), 10)))
    measure("thousand", lambda: list(itertools.islice(anew().best(), 1000)))
    ten = list(itertools.islice(view.best(), 10))
    out["answers"] = {"cheapest": ten[0].totals.price, "ten": [s.totals.price for s in ten]}
    measure("live", lambda: anew().live())
    out["answers"]["live"] = sum(int(m.sum()) for m in view.live().items.values())
    refresh, objective = _after_picks(view)
    out["refresh"], out["refresh_worst"] = round(statistics.median(refresh), 2), round(max(refresh), 2)
    least["refresh"] = round(min(refresh), 2)
    measure("repairs", lambda: list(itertools.islice(anew().best(objective), 10)))
    out["sample_100"] = median(lambda: view.sample(100, 1), 1)
    started = time.perf_counter()
    listed = sum(1 for _ in itertools.islice(view.listing(), 100_000))
    out["listed_per_second"] = round(listed / (time.perf_counter() - started))
    out["memory"], out["memory_before"] = megabytes(), base
    return out


def _after_picks(view: View) -> tuple[list[float], Objective]:
    """Milliseconds to refresh all live choices after each of twelve picks in a row; and the cost of changing picks."""
    source = np.random.default_rng(5)
    numbers = view.circuit.problem.item_relations
    times = []
    now = view
    for number in source.choice(numbers, min(12, len(numbers)), replace=False).tolist():
        mask = np.zeros_like(now.live().items[number])
        mask[source.choice(np.flatnonzero(now.live().items[number]))] = True
        started = time.perf_counter()
        now = now.restricted(items={number: mask})
        now.live()
        times.append(1000 * (time.perf_counter() - started))
    extra = {}
    for number in numbers:
        stacks = view.circuit.problem.relations[number].stacks
        if stacks is not None:
            extra[number] = np.ones(len(stacks.row), dtype=np.int64)
            extra[number][source.integers(len(stacks.row))] = 0
    return times, Objective(price=1, extra=extra)


def main(arguments: list[str]) -> None:
    """``PARTS SEED REPEATS [COPIES [SLOTS]]``; prints JSON."""
    parts, seed, repeats, copies, number = (*map(int, arguments), *[1, len(SLOTS)][len(arguments) - 3 :])
    print(json.dumps(timed(parts, seed, repeats, copies=copies, slots=list(SLOTS)[:number])))


if __name__ == "__main__":
    main(sys.argv[1:])
