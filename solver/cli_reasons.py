"""The commands about reasons: ``why``, ``swap``, ``join``, ``measure``, ``compare``; ``cli`` registers them."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Final

import typer

from solver.cli_options import AsJson, Catalogs, Customer, Full, ListFile, Slots, Sources

_BAD: Final = {2: "could not answer: bad input (all faults are named)", 70: "a fault of ours"}
EXIT_CODES: Final[Mapping[str, Mapping[int, str]]] = {
    "why": {
        0: "all joints that could be judged fit as listed",
        1: "no: at least one joint does not fit, or nothing on the shelf completes the list",
        2: "could not answer: bad input (all faults are named), or no two listed parts meet",
        3: "not known: a figure is missing, measure first",
        4: "can be made to fit: something to add or to do",
        70: "a fault of ours",
    },
    "swap": {
        0: "another part serves as it is",
        1: "nothing on the shelf serves",
        4: "another part serves with something to add, to do or to change as well",
        **_BAD,
    },
    "join": {
        0: "they meet as they are",
        1: "no adapter bridges them",
        3: "not known: a figure is missing",
        4: "an adapter, or work, makes them meet",
        **_BAD,
    },
    "measure": {
        0: "nothing to measure: all joints fit as listed",
        1: "nothing to measure: a joint says no already",
        3: "not known: measure (or ask the maker)",
        4: "nothing to measure: it can be made to fit",
        **_BAD,
    },
    "compare": {
        0: "the second list fits as listed",
        1: "the second list does not fit",
        3: "of the second list something is not known",
        4: "the second list can be made to fit",
        **_BAD,
    },
}

Keep = Annotated[
    list[str] | None,
    typer.Option("--keep", metavar="SLOT", help="Never propose another part here. Repeatable."),
]


def register(app: typer.Typer, codes: Callable[[Mapping[int, str]], str]) -> None:
    """Add the commands; ``codes`` writes exit codes for a help page."""
    for command in (why, swap, join, measure, compare):
        app.command(epilog=codes(EXIT_CODES[command.__name__]))(command)


def why(
    path: ListFile,
    slots: Slots = None,
    keep: Keep = None,
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    sources: Sources = False,
    customer: Customer = False,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE.svg", help="Draw the joint that does not fit, to scale.")
    ] = None,
) -> None:
    """Why, or why not? What cannot stay together, and the smallest changes that end it."""
    from solver import questions, reasons

    if picture is not None:
        from solver.render import files

        files.may_be_written(picture, ".svg", files.SVG_MARK, option="--picture")
    report = reasons.why(questions.open_list(path, catalog or ()), slots or (), keep=keep or ())
    if picture is not None:
        from solver.render import picture as drawing
        from solver.wording import pictured

        shown = pictured.picture(report)
        _draw(drawing.svg(shown) if shown is not None else "", picture)
    if as_json:
        from solver.render import machine
        from solver.render import remedies as documents

        grounds = machine.row_sources(report.check) if sources else None
        sys.stdout.write(machine.text("why", documents.why(report, sources=grounds)))
        raise typer.Exit(report.exit_code)
    from solver.render import remedies as screen
    from solver.wording import remedies as told

    said = (
        told.to_customer(report) if customer else told.why(report, full=full, sources=sources, everything=bool(slots))
    )
    screen.show_why(said, full=full or sources)
    raise typer.Exit(report.exit_code)


def swap(
    path: ListFile,
    slot: Annotated[str, typer.Argument(metavar="SLOT", help="The part to replace, such as 'rear hub'.")],
    by: Annotated[str, typer.Option("--by", metavar="ORDER", help="price, mass, stock or closest.")] = "price",
    in_stock: Annotated[bool, typer.Option("--in-stock", help="Only parts in stock.")] = False,
    keep: Keep = None,
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    customer: Customer = False,
) -> None:
    """What instead of this part? Everything offered was put into the list and judged."""
    from solver import questions, reasons

    report = reasons.swap(questions.open_list(path, catalog or ()), slot, by=by, keep=keep or (), in_stock=in_stock)
    if as_json:
        from solver.render import remedies as documents

        _write("swap", documents.swap(report))
    else:
        from solver.wording import exchanging as told

        _lines(told.swap(report, full=full, customer=customer), full=full)
    raise typer.Exit(report.exit_code)


def join(
    sides: Annotated[
        list[str], typer.Argument(metavar="A B", help="Two parts in words: 'frame: 30.9' 'seatpost: 27.2'.")
    ],
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    customer: Customer = False,
) -> None:
    """Which adapters bridge these two, with their limits and effects?"""
    from solver import reasons

    report = reasons.join(sides, catalog or ())
    if as_json:
        from solver.render import remedies as documents

        _write("join", documents.join(report))
    else:
        from solver.wording import bridging as told

        _lines(told.join(report, full=full, customer=customer), full=full)
    raise typer.Exit(report.exit_code)


def measure(
    path: ListFile,
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    customer: Customer = False,
) -> None:
    """Which measurements settle it, fewest first? With the tool, the two points, and what each outcome means."""
    from solver import questions, reasons

    report = reasons.measure(questions.open_list(path, catalog or ()))
    if as_json:
        from solver.render import remedies as documents

        _write("measure", documents.measure(report))
    else:
        from solver.wording import measurements as told

        _lines(told.measure(report, full=full, customer=customer), full=full)
    raise typer.Exit(report.exit_code)


def compare(
    first: Annotated[str, typer.Argument(metavar="A", help="A list.")],
    second: Annotated[str, typer.Argument(metavar="B", help="Another list.")],
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    customer: Customer = False,
) -> None:
    """What changes from one list to another, joint by joint?"""
    from solver import questions, reasons

    lists = [questions.open_list(p, catalog or ()) for p in (first, second)]
    report = reasons.compare(lists[0], lists[1])
    if as_json:
        from solver.render import remedies as documents

        _write("compare", documents.compare(report))
    else:
        from solver.wording import measurements as told

        _lines(told.compare(report, full=full, customer=customer), full=full)
    raise typer.Exit(report.exit_code)


def _draw(text: str, path: Path) -> None:
    """Write a drawing; say on stderr if there is nothing to draw."""
    from solver.render import files

    if not text:
        typer.echo("Nothing to draw: no joint here turns on two figures that do not go together.", err=True)
        return
    files.write(path, text, ".svg", files.SVG_MARK, option="--picture")


def _write(command: str, document: dict[str, Any]) -> None:
    from solver.render import machine

    sys.stdout.write(machine.text(command, document))


def _lines(lines: Sequence[str], *, full: bool) -> None:
    from solver.render import remedies as screen

    screen.show(lines, full=full)
