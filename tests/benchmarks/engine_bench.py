"""The engine against its targets and beside other solvers: runs and tables, put together by ``tests.benchmarks``.

Every foreign task and every size of ours runs in a fresh process. The libraries are optional (group ``bench``); one
that is not there is reported as such.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent.parent

#: key -> (title, target in milliseconds at 2,000 parts a slot, stretch)
TARGETS: dict[str, tuple[str, float, float | None]] = {
    "compile": ("compile, grouping of parts included", 150, 60),
    "count": ("exact count", 150, 40),
    "first": ("first build", 2, None),
    "ten": ("ten cheapest, proven", 20, 8),
    "thousand": ("1,000 cheapest", 100, None),
    "live": ("all live parts", 15, 3),
    "refresh": ("live parts again after a pick", 15, 3),
    "repairs": ("ten repairs: fewest changes, then cheapest", 20, None),
}
MEMORY_TARGET = 250

#: (engine, task, sizes): what each can be asked; size 0 is the tiny instance.
FOREIGN: tuple[tuple[str, str, tuple[int, ...]], ...] = (
    ("python-constraint2", "count", (0,)),
    ("CP-SAT", "count", (0,)),
    ("clingo", "count", (0,)),
    ("python-sat", "count", (0,)),
    ("python-constraint2", "first", (20, 100, 500)),
    ("CP-SAT", "first", (20, 100, 500, 2000)),
    ("clingo", "first", (20, 100, 500, 2000)),
    ("python-sat", "first", (20, 100, 500, 2000)),
    ("CP-SAT", "cheapest", (20, 100, 500, 2000)),
    ("clingo", "cheapest", (20, 100)),
    ("python-sat", "cheapest", (20, 100, 500)),
    ("CP-SAT", "ten", (20, 100, 500)),
    ("clingo", "live", (20, 100, 500, 2000)),
    ("python-sat", "live", (20, 100, 500, 2000)),
)
#: Ratios to hold: (task, size, engine, at least).
RATIOS = (
    ("ten", 500, "CP-SAT", 300),
    ("cheapest", 2000, "CP-SAT", 30),
    ("live", 2000, "clingo", 30),
    ("live", 2000, "python-sat", 30),
    ("count", 0, "python-constraint2", 20),
)


@dataclass
class Foreign:
    """One foreign run: ``seconds`` is a lower bound where it was stopped."""

    engine: str
    task: str
    size: int
    seconds: float
    text: tuple[str, str, str]
    answer: Any
    proven: bool
    stopped: bool


def run(command: Sequence[str], seconds: float) -> tuple[dict[str, Any] | None, str]:
    """The JSON that a worker prints, or why there is none."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    try:
        done = subprocess.run(
            command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired:
        return None, "stopped"
    if done.returncode:
        last = done.stderr.strip().splitlines()[-1:] or ["no message"]
        return None, "not installed" if "ModuleNotFoundError" in last[0] else last[0]
    answer: dict[str, Any] = json.loads(done.stdout.strip().splitlines()[-1])
    return answer, ""


def ours(size: int, seed: int, repeats: int, *more: int) -> dict[str, Any]:
    """Our figures for one size, in a fresh process."""
    numbers = [str(n) for n in (size, seed, repeats, *more)]
    found, why = run([sys.executable, "-m", "tests.benchmarks.engine_ours", *numbers], 600)
    if found is None:
        raise SystemExit(why)
    return found


def foreign(engine: str, task: str, size: int, what: str, seed: int, cap: float) -> Foreign:
    """One foreign run; ``what`` is a number of parts or a stored problem."""
    command = [sys.executable, "-m", "tests.benchmarks.engine_foreign", engine, task, what, str(seed), str(cap)]
    found, why = run(command, cap + 20)
    if found is None:
        stopped = why == "stopped"
        text = (f"over {cap:.0f}" if stopped else why, "", "")
        return Foreign(engine, task, size, cap if stopped else 0.0, text, None, False, stopped)
    total = found["model"] + found["solve"]
    if not found["proven"]:
        reached = found["answer"][-1] if isinstance(found["answer"], list) else found["answer"]
        text = (f"{found['model']:.2f}", f"over {cap:.0f} (reached {reached})", str(found["memory"]))
    else:
        text = (f"{found['model']:.2f}", f"{found['solve']:.2f}", str(found["memory"]))
    return Foreign(engine, task, size, total, text, found["answer"], found["proven"], not found["proven"])


def compared(figures: dict[str, Any]) -> dict[str, Any]:
    """What foreign totals are compared with: compilation and the task, in milliseconds."""
    tasks = {t: float(figures["compile"] + figures[t]) for t in ("count", "first", "cheapest", "ten", "live")}
    return {**tasks, **{k: figures[k] for k in ("builds", "answers", "memory")}}


def table(title: str, head: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """A Markdown table under a heading."""
    lines = ["", f"## {title}", "", "| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(str(c) for c in row) + " |" for row in rows]
    return "\n".join(lines)


def target_tables(by_size: dict[int, dict[str, Any]]) -> str:
    """Our figures, and at the largest size the targets."""
    sizes = [s for s in by_size if s]
    rows: list[list[object]] = [
        ["parts", *(by_size[s]["parts"] for s in sizes), "", "", ""],
        ["signatures", *(by_size[s]["classes"] for s in sizes), "", "", ""],
        ["builds (exact, digits)", *(len(by_size[s]["builds"]) for s in sizes), "", "", ""],
        ["width (variables)", *(by_size[s]["width"] for s in sizes), "", "", ""],
        ["rows of all joins", *(by_size[s]["pairs"] for s in sizes), "", "", ""],
        ["first compilation of a process, ms", *(by_size[s]["cold"] for s in sizes), "", "", ""],
    ]
    last = by_size[sizes[-1]]
    for key, (name, hard, stretch) in TARGETS.items():
        met = ("yes" if last[key] <= hard else "NO") if sizes[-1] == 2000 else "-"
        cells = [f"{by_size[s][key]:.1f} ({by_size[s]['least'][key]:.1f})" for s in sizes]
        rows.append([f"{name}, ms", *cells, hard, stretch or "", met])
    met = ("yes" if last["memory"] <= MEMORY_TARGET else "NO") if sizes[-1] == 2000 else "-"
    rows.append(["peak memory, MB", *(by_size[s]["memory"] for s in sizes), MEMORY_TARGET, "", met])
    rows.append(["solutions listed a second", *(by_size[s]["listed_per_second"] for s in sizes), "", "", ""])
    return table("Ours: median (quietest run)", ["", *(f"{s} a slot" for s in sizes), "target", "stretch", "met"], rows)


def grown(seed: int, repeats: int, parts: int = 500) -> list[dict[str, Any]]:
    """Our figures for more and more slots."""
    found = []
    for slots, copies in ((8, 1), (16, 1), (24, 1), (32, 1), (32, 2), (32, 4)):
        found.append({"slots": slots * copies, **ours(parts, seed, repeats, copies, slots)})
    return found


def foreign_rows(kind: str, runs: Sequence[Foreign], ours: dict[int, dict[str, Any]]) -> list[list[object]]:
    """Every foreign run beside ours, with the ratio of totals. ``ours``: size -> what ``compared`` returns."""
    rows: list[list[object]] = []
    for r in runs:
        mine = ours[r.size]
        ratio = f"{'>= ' if r.stopped else ''}{1000 * r.seconds / mine[r.task]:.0f}" if r.seconds else "-"
        same = agreement(r, mine)
        cells = [kind, r.task, r.size or "tiny", r.engine, *r.text, f"{mine[r.task]:.1f}", mine["memory"], ratio, same]
        rows.append(cells)
    return rows


def ratio_table(runs: Sequence[Foreign], ours: dict[int, dict[str, Any]]) -> str:
    """The ratios to hold."""
    wanted = []
    for task, size, engine, least in RATIOS:
        found = [r for r in runs if (r.task, r.size, r.engine) == (task, size, engine)]
        if found and found[0].seconds:
            times = 1000 * found[0].seconds / ours[size][task]
            held = "yes" if times >= least else ("not settled: stopped too early" if found[0].stopped else "NO")
            bound = f"{'at least ' if found[0].stopped else ''}{times:.0f}"
            wanted.append([task, size or "tiny", engine, least, bound, held])
    return table("Ratios to hold", ["task", "parts a slot", "engine", "at least", "measured", "held"], wanted)


def agreement(found: Foreign, mine: dict[str, Any]) -> str:
    """Whether a proven foreign answer is ours."""
    if not found.proven or found.task == "first":
        return "-"
    if found.task == "count":
        if found.engine in ("clingo", "python-sat"):
            return f"{found.answer} tuples of classes"
        return "yes" if str(found.answer) == mine["builds"] else f"NO: {found.answer}"
    return "yes" if found.answer == mine["answers"][found.task] else f"NO: {found.answer}"
