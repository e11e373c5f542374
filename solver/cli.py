"""The command line: arguments in, one question asked, one renderer, an exit code.

Answers go to standard output, everything else to standard error. Nothing is imported before it is needed, so that help
comes at once.
"""

from __future__ import annotations

import contextlib
import errno
import gc
import io
import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer
from typer.core import TyperGroup

from solver import cli_bench, cli_reasons, cli_search
from solver.cli_options import AsJson, Catalogs, Customer, Full, ListFile, Sources

if TYPE_CHECKING:
    from catalog_schema.faults import InputFaults
    from solver.report import CheckReport

#: What an exit code means, for each command that can end with it.
CHECKED: Final[Mapping[int, str]] = {
    0: "all joints that could be judged fit as listed",
    1: "no: at least one joint does not fit, or is unsafe",
    2: "could not answer: bad input (all faults are named), or no two listed parts meet",
    3: "not known: a figure is missing, measure first",
    4: "can be made to fit: something to add or to do (with --complete: or parts are missing)",
    70: "a fault of ours",
}
SHOWN: Final[Mapping[int, str]] = {0: "shown", 2: "not known, the nearest word is named", 70: "a fault of ours"}
EXIT_CODES: Final[Mapping[str, Mapping[int, str]]] = {
    "check": CHECKED,
    "meet": CHECKED,
    "interfaces": SHOWN,
    "rule": SHOWN,
    "card": SHOWN,
    "pack": {
        0: "written",
        2: "the catalogue has faults (all are named), or the copy could not be written",
        70: "a fault of ours",
    },
    **cli_search.EXIT_CODES,
    **cli_reasons.EXIT_CODES,
    **cli_bench.EXIT_CODES,
}
OUR_BUG: Final = 70
_LONGEST_FAULT: Final = 400
#: On a screen; the JSON has all of them.
_MOST_FAULTS: Final = 200
#: The disk is full, or over its quota; a device that takes nothing.
_NO_ROOM: Final = (errno.ENOSPC, errno.EDQUOT, errno.EIO)


def _codes(command: str) -> str:
    """Return the exit codes of a command for its help page."""
    return _told(EXIT_CODES[command])


def _told(codes: Mapping[int, str]) -> str:
    lines = [f"  {code:>2}  {meaning}" for code, meaning in codes.items()]
    return "\b\nExit codes:\n" + "\n".join(lines)


class Answering(TyperGroup):
    """Runs a command; bad input ends with 2 and all faults named, a bug of ours with 70, neither with a traceback."""

    def invoke(self, ctx: Any) -> Any:
        """Run the command."""
        from catalog_schema.faults import InputFaults

        words = [*ctx._protected_args, *ctx.args]
        try:
            return super().invoke(ctx)
        except InputFaults as faults:
            _tell(faults)
            if "--json" in words:
                from solver.render import machine

                _write(machine.text(words[0], machine.faults(faults.faults)))
            raise typer.Exit(2) from None
        except (typer.Exit, typer.Abort, BrokenPipeError):
            raise
        except OSError as error:
            if error.errno not in _NO_ROOM:
                raise
            _cannot_write(error)
            raise typer.Exit(2) from None
        except Exception as error:
            if hasattr(error, "exit_code"):
                raise
            name = type(error).__name__
            _say(f"fitwright has a fault of its own ({name}). Please report it, with the list that you asked about.\n")
            raise typer.Exit(OUR_BUG) from None


def _cannot_write(error: OSError) -> None:
    _say(f"The answer cannot be written: {error.strerror}.\n")


def _say(text: str) -> None:
    """Write to standard error; where that is full or closed, the exit code alone tells."""
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write(text)


def _tell(faults: InputFaults) -> None:
    from solver.render.terminal import harmless

    for fault in faults.faults[:_MOST_FAULTS]:
        line = harmless(fault.line())
        _say(f"{line if len(line) <= _LONGEST_FAULT else line[:_LONGEST_FAULT] + '...'}\n")
    if len(faults.faults) > _MOST_FAULTS:
        _say(f"{len(faults.faults) - _MOST_FAULTS:,} more faults; --json names all.\n")


app = typer.Typer(
    cls=Answering,
    help="Will these bicycle parts go together? Every joint is judged from its figures, with reasons and sources.",
    epilog="\b\n  fitwright check LIST                              a list in a file\n"
    '  fitwright meet "frame: 12x148" "wheel: 12x142"   the same without a file',
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


@app.callback(invoke_without_command=True)
def _main(version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    if version:
        from importlib.metadata import version as version_of

        sys.stdout.write(f"fitwright {version_of('fitwright')}\n")
        raise typer.Exit(0)


@app.command(epilog=_codes("check"))
def check(
    path: ListFile,
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    sources: Sources = False,
    customer: Customer = False,
    complete: Annotated[
        bool, typer.Option("--complete", help="Name every part that a complete bicycle of this kind has.")
    ] = False,
) -> None:
    """Do these parts go together, and what is missing from the list?"""
    from solver import questions

    report = questions.check(questions.open_list(path, catalog or ()), complete=complete)
    _show("check", report, as_json=as_json, full=full, sources=sources, customer=customer)


@app.command(epilog=_codes("meet"))
def meet(
    sides: Annotated[
        list[str], typer.Argument(metavar="SIDE...", help="Parts in words: 'frame: 12x148, PM160' 'wheel: 12x142'.")
    ],
    catalog: Catalogs = None,
    as_json: AsJson = False,
    full: Full = False,
    sources: Sources = False,
    customer: Customer = False,
) -> None:
    """Do these parts go together? Without a file: each side is a part and the words on its box."""
    from solver import questions

    report = questions.meet(sides, catalog or ())
    _show("meet", report, as_json=as_json, full=full, sources=sources, customer=customer)


@app.command(epilog=_codes("interfaces"))
def interfaces(
    word: Annotated[
        str | None, typer.Argument(metavar="[WORD]", help="A name as printed on a box, or part of one.")
    ] = None,
    as_json: AsJson = False,
    full: Full = False,
) -> None:
    """What is this standard? Its names, its figures, and where they come from. Without a word: what there is."""
    from solver import questions

    if not (word or "").strip() and not full:
        _overview("interfaces", as_json=as_json)
        return
    report = questions.interfaces(word or "")
    if as_json:
        from solver.render import machine

        _write(machine.text("interfaces", machine.rows(report)))
    else:
        from solver.wording import pages

        _lines(pages.rows(report, full=full))


@app.command(epilog=_codes("rule"))
def rule(
    joint: Annotated[
        str | None, typer.Argument(metavar="[JOINT]", help="A joint, such as wheels.hub-in-dropout.")
    ] = None,
    as_json: AsJson = False,
    full: Full = False,
) -> None:
    """What does this rule say, and from which source? Without a joint: which joints there are."""
    from solver import questions

    if joint is None:
        _overview("rule", as_json=as_json)
        return
    report = questions.rule(joint)
    if as_json:
        from solver.render import machine

        _write(machine.text("rule", machine.rule(report)))
    else:
        from solver.wording import pages

        _lines(pages.rule(report, full=full))


@app.command(epilog=_codes("card"))
def card(
    kind: Annotated[
        str | None, typer.Argument(metavar="[KIND]", help="A kind of part or a slot, such as 'rear hub'.")
    ] = None,
    for_question: Annotated[
        str,
        typer.Option("--for-question", metavar="QUESTION", help="Only what this question needs: wheelset, fork ..."),
    ] = "",
    toml: Annotated[bool, typer.Option("--toml", help="A form to fill in: filled, it is a part record.")] = False,
    as_json: AsJson = False,
) -> None:
    """What to measure on a part, where, with what. Without a kind: which parts and kinds of bicycle there are."""
    from solver import questions

    if kind is None:
        _overview("card", as_json=as_json)
        return
    report = questions.card(kind, for_question)
    if as_json:
        from solver.render import machine

        _write(machine.text("card", machine.card(report)))
        return
    from solver.render import terminal
    from solver.wording import pages

    if toml:
        terminal.show_verbatim(pages.card_toml(report))
    else:
        terminal.show_lines(pages.card(report))


@app.command(epilog=_codes("pack"))
def pack(
    catalog: Annotated[Path, typer.Argument(metavar="CATALOG", help="A catalogue in TOML.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where to, if not to standard output.")
    ] = None,
) -> None:
    """Make the copy of a catalogue that reads fast: shop.packed beside shop.toml is used while it is fresh."""
    from solver import questions
    from solver.render import files

    text = questions.packed_catalog(catalog)
    if out is None:
        _write(text)
    else:
        files.write(out, text, ".packed", '"made_from":')


cli_search.register(app, _told)
cli_reasons.register(app, _told)
cli_bench.register(app, _told)


def _show(
    command: str,
    report: CheckReport,
    *,
    as_json: bool,
    full: bool,
    sources: bool,
    customer: bool,
    everything: bool = False,
) -> None:
    """Print the answer and end with its exit code."""
    if as_json:
        from solver.render import machine

        grounds = machine.row_sources(report) if sources else None
        _write(machine.text(command, machine.check(report, sources=grounds)))
    else:
        from solver.render import terminal
        from solver.wording import answer
        from solver.wording import customer as plain

        said = (
            plain.answer(report)
            if customer
            else answer.answer(report, sources=sources, everything=everything, full=full)
        )
        terminal.show_answer(said, full=full, sources=sources and not customer)
    raise typer.Exit(report.exit_code)


def _overview(of: str, *, as_json: bool) -> None:
    """Print what can be asked of a command."""
    from solver import questions

    report = questions.overview(of)
    if as_json:
        from solver.render import machine

        _write(machine.text(of, machine.overview(report)))
    else:
        from solver.wording import pages

        _lines(pages.overview(report))


def _lines(lines: Sequence[str]) -> None:
    from solver.render import terminal

    terminal.show_lines(lines)


def _write(text: str) -> None:
    sys.stdout.write(text)


def main() -> None:
    """Run the program.

    A run is short and keeps all that it builds: looking for garbage, and taking everything apart at the end, would cost
    a fifth of it.
    """
    gc.set_threshold(100_000, 50, 50)
    if sys.stderr is None:
        sys.stderr = io.StringIO()
    if sys.stdout is None:
        _say("The answer cannot be written: standard output is closed.\n")
        raise SystemExit(2)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    finally:
        gc.freeze()
        _flush()


def _flush() -> None:
    """Write what is still held back; a full disk is told in plain words."""
    try:
        sys.stdout.flush()
    except OSError as error:
        if error.errno not in _NO_ROOM:
            raise
        _cannot_write(error)
        os._exit(2)
