"""Our own kind of instance: a shop's catalogue through the whole search, in fresh processes, one table.

    python -m tests.benchmarks.builds_bench [--sizes 20 100 500 2000] [--in-stock]

Every size is a catalogue of so many parts a slot (22 slots, all open; hubs with settings, wheelsets and framesets, one
figure in a hundred not stated, a few measured), seeded. Times are seconds of one run in a fresh
process; memory is the greatest resident size, Python and numpy included.
"""

from __future__ import annotations

import argparse
import json
import pickle
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from solver.engine.problem import NOTHING
from solver.engine.view import View
from solver.network.build import Network

T = TypeVar("T")

ROWS = (
    "parts", "load", "judge and weave", "combinations judged", "width", "join rows", "compile", "count",
    "builds (digits)",
    "with an adapter (digits)", "first hundred", "ten cheapest", "thousand cheapest", "what is alive",
    "alive parts", "peak memory, MB",
)  # fmt: skip


def once(size: int, seed: int = 1, *, stock: bool = False, slots: int = 0, store: str = "") -> dict[str, Any]:
    """Measure one size in this process."""
    from catalog_schema import bicycle, fitting_list, library
    from solver.search import Search, Wanted
    from tests import generator

    found: dict[str, Any] = {}

    def timed(name: str, work: Callable[[], T]) -> T:
        before = time.perf_counter()
        out = work()
        found[name] = round(time.perf_counter() - before, 4)
        return out

    parts = generator.catalog(seed, size, measured=min(0.02, 3 / size))
    raw = {"kind": "gravel", "parts": parts, "slots": dict.fromkeys(generator.SLOTS[: slots or None], "any")}
    known, bike = library.load(), bicycle.load()
    fitting = timed("load", lambda: fitting_list.read(raw, "benchmark", known, bike))
    search = Search(fitting, Wanted(in_stock=stock), known, bike)
    _ = search.trial
    network = timed("judge and weave", lambda: search.network)
    whole = timed("compile", lambda: search.whole)
    view = search.views[0]
    fits = timed("count", view.count)
    found["parts"] = len(parts)
    found["width"] = whole.circuit.width
    found["combinations judged"] = network.judged
    found["join rows"] = sum(len(n.lefts) for n in whole.circuit.nodes)
    found["builds (digits)"] = f"{fits:.3e} ({len(str(fits))})" if fits < 10**300 else str(len(str(fits)))
    adapter = search.views[1].count()
    found["with an adapter (digits)"] = f"{adapter:.3e} ({len(str(adapter))})"
    timed("first hundred", lambda: list(islice(view.listing(), 100)))
    ten = timed("ten cheapest", lambda: list(islice(view.best(), 10)))
    timed("thousand cheapest", lambda: list(islice(view.best(), 1000)))
    alive = timed("what is alive", lambda: search._alive_in(network, view))
    found["alive parts"] = len(alive)
    found["answers"] = {
        "cheapest": ten[0].totals.unpriced * 10**8 + ten[0].totals.price if ten else None,
        "live": _on_places(network, view),
    }
    if store:
        Path(store).write_bytes(pickle.dumps(network.problem))
    found["peak memory, MB"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return found


def _on_places(network: Network, view: View) -> int:
    """How many purchases are in some build, each counted once for each slot or set of slots."""
    live, total = view.live(), 0
    for number in network.places:
        stacks = network.problem.relations[number].stacks
        if stacks is not None:
            total += len(set(stacks.ident[live.items[number]].tolist()) - {NOTHING})
    return total


def table(sizes: Sequence[int], found: Sequence[dict[str, Any]]) -> str:
    """Return the table in Markdown."""
    lines = ["| parts a slot | " + " | ".join(map(str, sizes)) + " |", "|---|" + "---|" * len(sizes)]
    for row in ROWS:
        cells = [f"{one[row] * 1000:.0f} ms" if isinstance(one[row], float) else str(one[row]) for one in found]
        lines.append(f"| {row} | {' | '.join(cells)} |")
    return "\n".join(lines)


def main() -> int:
    """Measure each size in a process of its own and print one table."""
    parser = argparse.ArgumentParser(description="Measure the whole search on catalogues like a shop's.")
    parser.add_argument("--sizes", type=int, nargs="+", default=[20, 100, 500, 2000])
    parser.add_argument("--in-stock", action="store_true", help="only parts in stock, twins counted by the piece")
    parser.add_argument("--once", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--slots", type=int, default=0, help="only the first so many slots")
    parser.add_argument("--store", default="", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.once:
        print(json.dumps(once(asked.once, stock=asked.in_stock, slots=asked.slots, store=asked.store)))
        return 0
    found = []
    for size in asked.sizes:
        command = [sys.executable, "-m", "tests.benchmarks.builds_bench", "--once", str(size)]
        command += ["--in-stock"] if asked.in_stock else []
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        found.append(json.loads(done.stdout))
        print(f"{size} done", file=sys.stderr)
    print(table(asked.sizes, found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
