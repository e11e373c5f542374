"""The command ``bench``: the figures of the work; ``cli`` registers it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Final

import typer

from solver.cli_options import AsJson, Catalogs, ListFile, Slots

EXIT_CODES: Final[Mapping[str, Mapping[int, str]]] = {
    "bench": {
        0: "every figure is known, and all joints that could be judged fit as listed",
        1: "cut nothing: a joint does not fit, or a figure cannot be met",
        2: "could not answer: bad input (all faults are named), or no two listed parts meet",
        3: "measure first: a figure rests on what is not stated, or of a joint it is not known",
        4: "every figure is known; something to add or to do before the joints fit",
        70: "a fault of ours",
    },
}

Full = Annotated[bool, typer.Option("--full", help="How each figure came about: formula, inputs, rounding.")]
Sources = Annotated[bool, typer.Option("--sources", help="The same, with the sources.")]


def register(app: typer.Typer, codes: Callable[[Mapping[int, str]], str]) -> None:
    """Add the command; ``codes`` writes exit codes for a help page."""
    app.command(epilog=codes(EXIT_CODES["bench"]))(bench)


def bench(
    path: ListFile,
    slots: Slots = None,
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    sources: Sources = False,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE.html", help="A page to print, beside what is shown.")
    ] = None,
) -> None:
    """What to cut, how long, how tight? The figures of the work, those first that cannot be undone."""
    from solver import questions, questions_bench

    report = questions_bench.bench(questions.open_list(path, catalog or ()), slots or ())
    from solver.render import bench as shown

    if out is not None:
        from solver.render import files, page

        files.write(out, page.page(report), ".html", page.MARK)

    if as_json:
        from solver.render import machine

        sys.stdout.write(machine.text("bench", shown.sheet(report, sources=sources)))
    else:
        from solver.wording import bench as told

        shown.show(told.lines(report, full=full, sources=sources))
    raise typer.Exit(report.exit_code)
