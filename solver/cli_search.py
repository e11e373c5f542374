"""The commands about builds, registered with the command line: ``builds``, ``choices``, ``tradeoff``.

Answers go to standard output. A stream of builds is cut between lines, never within one.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

from solver.cli_options import AsJson, Catalogs, ListFile

if TYPE_CHECKING:
    from catalog_schema.fitting_list import FittingList
    from solver.searching import Wanted

_BUILT: Final[Mapping[int, str]] = {
    0: "there is a build that fits as listed",
    1: "there is no build",
    2: "could not answer: bad input (all faults are named), or too much to work out at once",
    3: "there is none for sure, but there would be if figures were known",
    4: "there is a build, but only with something to add or to do",
    70: "a fault of ours",
    130: "stopped by Ctrl-C (with --all; every line written is whole)",
}
EXIT_CODES: Final[Mapping[str, Mapping[int, str]]] = dict.fromkeys(("builds", "choices", "tradeoff"), _BUILT)
INTERRUPTED: Final = 130

Accept = Annotated[
    str,
    typer.Option("--accept", metavar="VERDICT", help="The worst allowed: fits, needs-adapter or needs-work."),
]
Unknown = Annotated[
    int, typer.Option("--allow-unknown", metavar="N", help="Allow so many joints that are not known: 0, 1 or 2.")
]
InStock = Annotated[bool, typer.Option("--in-stock", help="Only what is in stock.")]
Within = Annotated[
    int | None, typer.Option("--within", metavar="DAYS", min=0, help="Only what is there within so many days.")
]
Budget = Annotated[str, typer.Option("--budget", metavar="AMOUNT", help="The most a build may cost: '900 EUR'.")]
Where = Annotated[
    list[str] | None,
    typer.Option("--where", metavar="CONDITION", help="On parts still to choose: 'fork.mass_g <= 500'. Repeatable."),
]


def register(app: typer.Typer, codes: Callable[[Mapping[int, str]], str]) -> None:
    """Add the commands; ``codes`` writes exit codes for a help page."""
    epilog = codes(_BUILT)
    app.command(epilog=epilog)(builds)
    app.command(epilog=epilog)(choices)
    app.command(epilog=epilog)(tradeoff)


def builds(
    path: ListFile,
    best: Annotated[int, typer.Option("--best", metavar="N", min=0, help="Show so many.")] = 5,
    by: Annotated[
        str, typer.Option("--by", metavar="WHAT", help="price, mass, soonest, or 'price:mass 1:2' (cents and grams).")
    ] = "price",
    everything: Annotated[bool, typer.Option("--all", help="Every build, one JSON line each.")] = False,
    accept: Accept = "",
    allow_unknown: Unknown = 0,
    in_stock: InStock = False,
    within: Within = None,
    budget: Budget = "",
    where: Where = None,
    catalog: Catalogs = None,
    as_json: AsJson = False,
) -> None:
    """What can be built? How many builds go together, exactly, and the best of them."""
    from solver import questions, searching

    fitting = questions.open_list(path, catalog or ())
    wanted = _wanted(accept, allow_unknown, in_stock, within, budget, where)
    if everything:
        _stream(fitting, wanted)
    report = searching.builds(fitting, wanted, best=best, by=by)
    if as_json:
        from solver.render import builds as documents
        from solver.render import machine

        sys.stdout.write(machine.text("builds", documents.builds(report)))
    else:
        from solver.render import terminal
        from solver.wording import builds as told

        terminal.show_verbatim(told.builds(report, terminal.width_of(sys.stdout)))
    raise typer.Exit(report.exit_code)


def choices(
    path: ListFile,
    slots: Annotated[list[str] | None, typer.Argument(metavar="[SLOT...]", help="Only these open slots.")] = None,
    accept: Accept = "",
    allow_unknown: Unknown = 0,
    in_stock: InStock = False,
    within: Within = None,
    budget: Budget = "",
    where: Where = None,
    catalog: Catalogs = None,
    as_json: AsJson = False,
) -> None:
    """What is still possible in each open slot, and why is the rest not?"""
    from solver import questions, searching

    fitting = questions.open_list(path, catalog or ())
    report = searching.choices(fitting, slots or (), _wanted(accept, allow_unknown, in_stock, within, budget, where))
    if as_json:
        from solver.render import builds as documents
        from solver.render import machine

        sys.stdout.write(machine.text("choices", documents.choices(report)))
    else:
        from solver.render import terminal
        from solver.wording import builds as told

        terminal.show_verbatim(told.choices(report, terminal.width_of(sys.stdout), full=bool(slots)))
    raise typer.Exit(report.exit_code)


def tradeoff(
    path: ListFile,
    by: Annotated[str, typer.Option("--by", metavar="TWO", help="What to weigh: price,mass.")] = "price,mass",
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE.svg", help="Write a picture as well.")] = None,
    accept: Accept = "",
    allow_unknown: Unknown = 0,
    in_stock: InStock = False,
    within: Within = None,
    budget: Budget = "",
    where: Where = None,
    catalog: Catalogs = None,
    as_json: AsJson = False,
) -> None:
    """Which builds are beaten by no other in both price and mass?"""
    from catalog_schema.faults import Fault, InputFaults
    from solver import questions, searching
    from solver.render import builds as documents
    from solver.render import files

    if sorted(w.strip() for w in by.split(",")) != ["mass", "price"]:
        raise InputFaults([Fault("--by", "", "bad-value", f"expected price,mass, found {by!r}")])
    fitting = questions.open_list(path, catalog or ())
    report = searching.tradeoff(fitting, _wanted(accept, allow_unknown, in_stock, within, budget, where))
    if out is not None:
        files.write(out, documents.picture(report), ".svg", files.SVG_MARK)
    if as_json:
        from solver.render import machine

        sys.stdout.write(machine.text("tradeoff", documents.tradeoff(report)))
    else:
        from solver.render import terminal
        from solver.wording import builds as told

        terminal.show_verbatim(told.tradeoff(report, terminal.width_of(sys.stdout)))
    raise typer.Exit(report.exit_code)


def _wanted(
    accept: str, unknown: int, in_stock: bool, within: int | None, budget: str, where: list[str] | None
) -> Wanted:
    from catalog_schema.faults import FaultList
    from solver.report import YES, Verdict
    from solver.searching import Wanted

    verdict = None
    if accept:
        words = sorted(v.word for v in YES)
        if accept not in words:
            faults = FaultList("--accept")
            faults.unknown("", "verdict", accept, words)
            faults.raise_if_any()
        verdict = Verdict.of(accept)
    return Wanted(verdict, unknown, in_stock, within, budget, tuple(where or ()))


def _stream(fitting: FittingList, wanted: Wanted) -> None:
    """Write every build as a line; end with the exit code of what was found, or of the interruption."""
    from solver import searching
    from solver.render import builds as documents

    stopped = []

    def stop(*_: Any) -> None:
        stopped.append(True)

    before = signal.signal(signal.SIGINT, stop)
    least = 5
    try:
        for number, found in enumerate(searching.every_build(fitting, wanted), start=1):
            least = min(least, int(found.level))
            sys.stdout.write(documents.line(number, found))
            if stopped:
                break
        sys.stdout.flush()
    except BrokenPipeError:
        # the reader has had enough: what is left in the buffer must not be written again at the end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    finally:
        signal.signal(signal.SIGINT, before)
    if stopped:
        raise typer.Exit(INTERRUPTED)
    if least == 5:
        report = searching.builds(fitting, wanted, best=0)
        raise typer.Exit(report.exit_code)
    raise typer.Exit(0 if least == 0 else 4)
