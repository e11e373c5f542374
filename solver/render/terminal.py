"""Answers for people: plain lines, bold for what may hurt someone, nothing else.

In: rows of text. Out: text on a stream. To a file or a pipe go plain lines of a fixed width; ``NO_COLOR`` and
``FORCE_COLOR`` are honoured, the first wins. No markup of anybody's text is obeyed.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from typing import TextIO

from solver.render import layout
from solver.render.layout import WIDTH, Row
from solver.wording.answer import Answer

_NARROWEST = 40


def harmless(text: str) -> str:
    """Return a line without control and direction characters."""
    return "".join(c if c.isprintable() else "?" for c in text)


def width_of(stream: TextIO) -> int:
    """Return the columns to use: those of the terminal up to the usual width, the usual width for a file."""
    if not stream.isatty():
        return WIDTH
    try:
        columns = os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError):
        columns = WIDTH
    return max(_NARROWEST, min(columns, WIDTH))


def show_answer(answer: Answer, *, full: bool, sources: bool = False, stream: TextIO | None = None) -> None:
    """Print an answer; in full, or with the sources of what is no plain fit, or as much as fits on a screen."""
    out = stream or sys.stdout
    width = width_of(out)
    rows = layout.everything(answer, width, full=full) if full or sources else layout.fitted(answer, width)
    show(rows, out)


def show_lines(lines: Iterable[str], *, stream: TextIO | None = None) -> None:
    """Print lines, wrapped to the width; what a line is pushed in by is kept."""
    out = stream or sys.stdout
    width = width_of(out)
    rows = []
    for line in lines:
        indent = len(line) - len(line.lstrip(" "))
        rows += [Row(t) for t in layout.wrap(line, width, indent, 2)] or [Row("")]
    show(rows, out)


def show_verbatim(lines: Iterable[str], *, stream: TextIO | None = None) -> None:
    """Print lines as they are."""
    show([Row(line) for line in lines], stream or sys.stdout)


def show(rows: Sequence[Row], out: TextIO) -> None:
    """Print rows."""
    if not out.isatty() and not os.environ.get("FORCE_COLOR"):
        out.write("".join(f"{harmless(r.text)}\n" for r in rows))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(file=out, highlight=False, markup=False, emoji=False, soft_wrap=True)
    for row in rows:
        console.print(Text(harmless(row.text), style="bold" if row.bold else ""), soft_wrap=True)
