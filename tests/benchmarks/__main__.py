"""All of the search measured in one run: ours, the targets, and others beside it, on two kinds of instance.

    python -m tests.benchmarks [--sizes 20 100 500 2000] [--cap 25] [--repeats 7] [--date DATE] [--out FILE]

``made`` is the instance of ``engine_instance``: tables and sums drawn at random, 32 slots. ``shop`` is a catalogue of
``tests.generator`` through the real rules, 22 slots: joints with missing and measured figures, settings, sets of parts.
Others get the tables that our rules gave; what it took to ask the rules is a row of its own. The measured growth is
stored beside this file for ``tests.benchmarks.growth``. Not part of the test run.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from solver.report import Verdict
from solver.search import Search
from tests import generator
from tests.benchmarks import builds_bench, engine_bench, growth
from tests.benchmarks.engine_bench import Foreign, compared, foreign, foreign_rows, ratio_table, run, table
from tests.benchmarks.engine_instance import SLOTS
from tests.small_questions import sample
from tests.test_builds_constraint import Rules

#: (engine, task, sizes) of the shop's kind; counting over 10^20 builds is beyond all of them.
SHOP: tuple[tuple[str, str, tuple[int, ...]], ...] = (
    ("python-constraint2", "first", (20, 100)),
    ("CP-SAT", "first", (20, 100, 500, 2000)),
    ("clingo", "first", (20, 100, 500, 2000)),
    ("python-sat", "first", (20, 100, 500)),
    ("CP-SAT", "cheapest", (20, 100, 500, 2000)),
    ("clingo", "cheapest", (20, 100, 500)),
    ("python-sat", "cheapest", (20, 100, 500)),
    ("clingo", "live", (20, 100, 500, 2000)),
    ("python-sat", "live", (20, 100, 500)),
)
SHOP_SLOTS = (6, 12, 17, len(generator.SLOTS))


def shop(size: int, *, slots: int = 0, stock: bool = False, store: str = "") -> dict[str, Any]:
    """Measure one catalogue like a shop's in a fresh process."""
    command = [sys.executable, "-m", "tests.benchmarks.builds_bench", "--once", str(size), "--slots", str(slots)]
    command += [*(["--store", store] if store else []), *(["--in-stock"] if stock else [])]
    found, why = run(command, 900)
    print("shop", size, slots or "", "in stock" if stock else "", why, file=sys.stderr)
    return found if found is not None else {"refused": why}


def as_compared(found: dict[str, Any]) -> dict[str, Any]:
    """What others are compared with: ours finds a hundred builds for their first, and ten for their cheapest."""
    first, ten, live = (found["compile"] + found[k] for k in ("first hundred", "ten cheapest", "what is alive"))
    times = {"first": 1000 * first, "cheapest": 1000 * ten, "live": 1000 * live}
    return {**times, "memory": found["peak memory, MB"], "answers": found["answers"], "builds": ""}


def from_the_rules() -> list[object]:
    """Every build of a list of the sample workshop: python-constraint and ours, both from the rules."""
    fitting = sample(fork="any", stem="any", handlebar="any", spacers="any")
    started = time.perf_counter()
    search = Search(fitting)
    count = search.views[2].count()
    ours = time.perf_counter() - started
    started = time.perf_counter()
    found = len(Rules(fitting).solutions(Verdict.NEEDS_WORK))
    theirs = time.perf_counter() - started
    same = "yes" if found == count else f"NO: {found}"
    name = f"sample list, {count} builds"
    return [name, "count", "-", "python-constraint2", "", f"{theirs:.2f}", "", f"{1000 * ours:.0f}", "", f"{theirs / ours:.0f}", same]  # fmt: skip  # noqa: E501


def others(runs: list[Foreign], engine: str, task: str, size: int, what: str, cap: float) -> None:
    """Add one foreign run."""
    runs.append(foreign(engine, task, size, what, 1, cap))
    print(engine, task, size, *runs[-1].text, file=sys.stderr)


def main() -> None:
    """Run everything and print or write the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--sizes", type=int, nargs="+", default=[20, 100, 500, 2000])
    parser.add_argument("--cap", type=float, default=25)
    parser.add_argument("--repeats", type=int, default=7)
    parser.add_argument("--date", default="undated")
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    before = os.getloadavg()
    made = {size: engine_bench.ours(size, 1, asked.repeats) for size in [*asked.sizes, 0]}
    slots = engine_bench.grown(1, asked.repeats)
    with tempfile.TemporaryDirectory() as folder:
        stored = {size: str(Path(folder) / f"{size}.pickle") for size in asked.sizes}
        shops = {size: shop(size, store=stored[size]) for size in asked.sizes}
        in_stock = {size: shop(size, stock=True) for size in asked.sizes}
        narrow = [{"slots": n, **shop(100, slots=n)} for n in SHOP_SLOTS]
        on_made: list[Foreign] = []
        for engine, task, sizes in engine_bench.FOREIGN:
            for size in (s for s in sizes if s in made):
                others(on_made, engine, task, size, str(size), asked.cap)
        on_shop: list[Foreign] = []
        for engine, task, sizes in SHOP:
            for size in (s for s in sizes if s in shops):
                others(on_shop, engine, task, size, stored[size], asked.cap)
    growth.store(made, slots, shops, narrow)
    mine = {size: compared(found) for size, found in made.items()}
    rows = [
        *foreign_rows("made", on_made, mine),
        *foreign_rows("shop", on_shop, {s: as_compared(f) for s, f in shops.items()}),
        from_the_rules(),
    ]
    head = ["instance", "task", "parts a slot", "engine", "model, s", "solve, s", "MB", "ours, ms", "ours, MB", "ratio"]
    sized = [s for s in asked.sizes if "refused" not in in_stock[s]]
    report = [
        "# The search measured",
        "",
        f"{asked.date}; {platform.machine()}, {os.cpu_count()} cores shared with other work, load "
        f"{' '.join(f'{x:.1f}' for x in before)} before and {os.getloadavg()[0]:.1f} after, Python "
        f"{platform.python_version()}, numpy {np.__version__}. Made in one run by `python -m tests.benchmarks`. made: "
        f"{len(SLOTS)} slots, 49 joints, seed 1 (`engine_instance.py`). shop: {len(generator.SLOTS)} slots, the real "
        f"joints, seed 1 (`tests/generator.py`). Ours on made: medians of {asked.repeats}; all else single runs in "
        f"fresh processes, others stopped after {asked.cap:.0f} s.",
        table("Beside others (ours: compilation and task)", [*head, "same answer"], rows),
        ratio_table(on_made, mine),
        engine_bench.target_tables({s: f for s, f in made.items() if s}),
        "\n## On catalogues like a shop's, from loading on\n\n" + builds_bench.table(asked.sizes, list(shops.values())),
        "\n## The same, only what is in stock: one piece fills one of two twin places\n\n"
        + builds_bench.table(sized, [in_stock[s] for s in sized]),
        *(f"\n{s} a slot: {f['refused']}" for s, f in in_stock.items() if "refused" in f),
        "",
    ]
    if asked.out:
        asked.out.write_text("\n".join(report), encoding="utf-8")
    else:
        print("\n".join(report))
    print(json.dumps({"load after": os.getloadavg()}), file=sys.stderr)


if __name__ == "__main__":
    main()
