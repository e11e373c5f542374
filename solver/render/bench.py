"""The bench sheet for programs, and on a screen.

In: records of ``report_bench``. Out: a JSON document, in which figures are exact numbers under keys that end in the
unit; rows of text.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any, TextIO

from solver.render import layout, machine, terminal
from solver.render.layout import Row
from solver.report_bench import BenchFigure, BenchReport, Input, WorkStep
from solver.wording import words
from solver.wording.bench import Line

Json = dict[str, Any]


def sheet(report: BenchReport, *, sources: bool = False) -> Json:
    """Return the answer of ``bench``."""
    worst = report.check.worst
    found: Json = {
        "title": report.title,
        "verdict": worst.verdict.word if worst is not None else None,
        "exit_code": report.exit_code,
        "figures": [figure(f) for f in report.figures],
        "order_of_work": [step(s) for s in report.steps],
        "not_asked": [{"figure": n.at, "lacks": list(n.lacks)} for n in report.not_asked],
    }
    if sources:
        ids = sorted({r for f in report.figures for r in f.rows} | {r for s in report.steps for r in rows_of(s)})
        found["rows"] = {i: words.grounds_of(i) for i in ids}
    return found


def figure(one: BenchFigure) -> Json:
    """Return one figure with everything in it."""
    return {
        "id": one.at,
        "figure": one.id,
        "place": one.place,
        "state": one.state,
        "lasting": one.lasting,
        "formula": {"row": one.formula, "words": words.row_name(one.formula)},
        "inputs": [_input(i) for i in one.inputs],
        "results": {r.key: r.value for r in one.results},
        "exact": {r.key: r.exact for r in one.results if r.rounding},
        "rounding": {r.key: r.rounding for r in one.results if r.rounding},
        "table": _table(one),
        "missing": [_missing(ref, one) for ref in one.missing],
        "remarks": list(one.remarks),
        "warnings": list(one.warnings),
        "unsaid": list(one.unsaid),
        "to_choose": list(one.to_choose),
        "doubts": list(one.doubts),
        "rows": list(one.rows),
    }


def step(one: WorkStep) -> Json:
    """Return one step of the work."""
    return {
        "id": one.at,
        "step": one.id,
        "place": one.place,
        "joint": one.joint,
        "safety": one.safety,
        "slots": list(one.slots),
        "after": list(one.after),
        "torques": [
            {
                "row": t.row,
                "words": words.row_name(t.row),
                "case": t.kind or None,
                "from_nm": t.from_nm,
                "to_nm": t.to_nm,
                "printed": t.ref or None,
                "number": t.number or None,
                "doubtful": t.doubtful,
            }
            for t in one.torques
        ],
        "practice": [{"row": r, "words": words.row_name(r)} for r in one.notes],
        "uses": [{"row": r, "words": words.row_name(r)} for r in one.uses],
        "tools": list(one.tools),
        "figures": list(one.figures),
    }


def rows_of(one: WorkStep) -> list[str]:
    """Return the rows of the library that a step rests on."""
    return [*(t.row for t in one.torques), *one.notes, *one.uses]


def _input(given: Input) -> Json:
    key = given.ref.rpartition(":")[2].rpartition(".")[2]
    found: Json = {"name": given.name, "ref": given.ref, key: machine.value(given.value), "origin": given.origin}
    if given.number:
        found["number"] = given.number
    if given.row:
        found["row"] = given.row
    return found


def _table(one: BenchFigure) -> list[Json] | None:
    if one.grid is None:
        return None
    return [dict(zip(one.grid.columns, line, strict=True)) for line in one.grid.lines]


def _missing(ref: str, one: BenchFigure) -> Json:
    return {"ref": ref, **machine.hint(words.hint_of(ref)), "disagrees": ref in one.disagree}


def show(lines: Sequence[Line], *, stream: TextIO | None = None) -> None:
    """Print the lines of a sheet, wrapped to the width; tables as they are."""
    out = stream or sys.stdout
    width = terminal.width_of(out)
    rows: list[Row] = []
    for line in lines:
        indent = len(line.text) - len(line.text.lstrip(" "))
        texts = [line.text] if line.fixed or not line.text else layout.wrap(line.text, width, indent, 2)
        rows += [Row(t, line.loud) for t in texts]
    terminal.show(rows, out)
