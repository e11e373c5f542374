"""Fitting an answer on a screen: wrapping, and what is left out when there are more lines than rows.

In: an ``Answer`` in words, a width, a number of lines. Out: rows of text. A joint that says no is never left out;
what is left out is counted in one line.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from typing import Final

from catalog_schema.lean import dataclass
from solver.wording.answer import Answer
from solver.wording.finding import Said

WIDTH: Final = 100
LINES: Final = 24
_INDENT: Final = 4
_TAG_WIDTH: Final = 9

#: What a finding shows beside its head at each level of detail.
_LEVELS: Final = (
    frozenset[str](),
    frozenset({"do", "measure"}),
    frozenset({"because", "do", "measure"}),
    frozenset({"because", "do", "measure", "note"}),
    frozenset({"because", "do", "measure", "note", "source"}),
    frozenset({"because", "do", "measure", "note", "also", "source"}),
)


#: The levels that a screen may show; the others are for longer answers.
_ON_SCREEN: Final = (1, 2, 3)
_SOURCED: Final = 4
#: So many sources of a finding are shown, unless everything is.
_SOURCES: Final = 5
_FULL: Final = 5


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a screen."""

    text: str
    bold: bool = False


def cells(text: str) -> int:
    """Return how many columns a text takes."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def wrap(text: str, width: int = WIDTH, indent: int = 0, hanging: int = 0) -> list[str]:
    """Return a text in lines of at most ``width`` columns, all but the first pushed in by ``hanging`` more."""
    lines: list[str] = []
    current, room = " " * indent, width
    empty = True
    for word in _chopped(text.split(), max(8, width - indent - hanging)):
        if not empty and cells(current) + 1 + cells(word) > room:
            lines.append(current)
            current, empty = " " * (indent + hanging), True
        current += word if empty else " " + word
        empty = False
    return [*lines, current] if not empty else lines


def _chopped(words: Sequence[str], width: int) -> list[str]:
    """Return words cut so that none is wider than a line; addresses stay whole, so that they can be copied."""
    found = []
    for word in words:
        while cells(word) > width and "://" not in word[:9]:
            cut = width
            while cells(word[:cut]) > width:
                cut -= 1
            found.append(word[:cut])
            word = word[cut:]
        found.append(word)
    return found


def head(said: Said, width: int) -> list[Row]:
    """Return the opening lines of a finding."""
    return [Row(t, said.bold) for t in wrap(said.head, width, 0, 2)]


def body(said: Said, width: int, level: int) -> list[Row]:
    """Return what stands under the head of a finding at a level of detail; short of all, a few of its sources."""
    rows = []
    shown = [(tag, text) for tag, text in said.lines if tag in _LEVELS[level]]
    sources = [line for line in shown if line[0] == "source"]
    if level < _FULL and len(sources) > _SOURCES:
        kept = sources[:_SOURCES]
        shown = [line for line in shown if line[0] != "source" or line in kept]
        shown.append(("source", f"{len(sources) - _SOURCES} more with --full."))
    for tag, text in shown:
        first = f"{tag:<{_TAG_WIDTH}}"
        lines = wrap(text, width - _TAG_WIDTH, _INDENT)
        rows.append(Row(" " * _INDENT + first + lines[0].strip()))
        rows += [Row(" " * _TAG_WIDTH + line) for line in lines[1:]]
    return rows


def under(said: Said, width: int, *, full: bool) -> list[Row]:
    """Return what stands under a head by itself: in full, or as much as a screen may show."""
    return body(said, width, _FULL if full else _ON_SCREEN[-1])


def everything(answer: Answer, width: int = WIDTH, *, full: bool = True) -> list[Row]:
    """Return the answer however long: in full, or only what is not a plain fit, with its sources."""
    rows = [Row(t, answer.bold) for t in wrap(answer.headline, width)]
    for said in (*answer.findings, *(answer.rest if full else ())):
        rows += head(said, width) + body(said, width, _FULL if full else _SOURCED)
    for text in (*answer.missing, *answer.notes, answer.closing):
        rows += [Row(t) for t in wrap(text, width, 0, 2)]
    return rows


def fitted(answer: Answer, width: int = WIDTH, lines: int = LINES) -> list[Row]:
    """Return the answer in at most so many lines."""
    top = [Row(t, answer.bold) for t in wrap(answer.headline, width)]
    bottom = [Row(t) for t in wrap(answer.closing, width, 0, 2)]
    notes = [Row(t) for text in answer.notes for t in wrap(text, width, 0, 2)]
    missing = [[Row(t) for t in wrap(text, width, 0, 2)] for text in answer.missing]
    in_short = [Row(t) for t in wrap(_in_short(answer.missing), width, 0, 2)]
    heads = [head(s, width) for s in answer.findings]
    room = lines - len(top) - len(bottom)

    shown, room = _heads_that_fit(answer.findings, heads, room, width)
    if _size(heads[:shown]) and shown < _reds(answer.findings):
        middle = [r for h in heads[:shown] for r in h] + _named(answer.findings[shown:], width)
        return [*top, *middle, *bottom]
    if len(notes) > room:
        notes = []
    room -= len(notes)
    if len(in_short) > room:
        in_short = []
    left_out = len(answer.findings) - shown
    overflow = [Row(t) for t in wrap(_left_out(left_out), width)] if left_out else []
    levels = [0] * shown
    room -= len(in_short)
    short = True
    for level in _ON_SCREEN:
        for i in range(shown):
            more = len(body(answer.findings[i], width, level)) - len(body(answer.findings[i], width, levels[i]))
            if more <= room:
                levels[i], room = level, room - more
        if short and _size(missing) - len(in_short) <= room:
            short, room = False, room - (_size(missing) - len(in_short))
    rows = list(top)
    for i in range(shown):
        rows += heads[i] + body(answer.findings[i], width, levels[i])
    rows += overflow
    rows += in_short if short else [r for m in missing for r in m]
    return [*rows, *notes, *bottom]


def _size(blocks: Sequence[Sequence[Row]]) -> int:
    return sum(len(b) for b in blocks)


def _reds(findings: Sequence[Said]) -> int:
    """Return how many findings say no; they stand first."""
    return sum(s.red for s in findings)


def _heads_that_fit(findings: Sequence[Said], heads: Sequence[Sequence[Row]], room: int, width: int) -> tuple[int, int]:
    """Return how many heads are shown, and the lines then left; one line is kept for those that are not."""
    if _size(heads) <= room:
        return len(heads), room - _size(heads)
    shown = 0
    while shown < len(heads):
        keep = len(_named(findings[shown + 1 :], width)) or (shown + 1 < len(heads))
        if len(heads[shown]) + keep > room:
            break
        room -= len(heads[shown])
        shown += 1
    return shown, room - (shown < len(heads))


def _named(findings: Sequence[Said], width: int) -> list[Row]:
    """Return findings that say no by their names only, and the count of the others."""
    reds = [s.id for s in findings if s.red]
    if not reds:
        return []
    others = len(findings) - len(reds)
    text = f"No as well: {', '.join(reds)}." + (f" {_left_out(others)}" if others else "")
    return [Row(t) for t in wrap(text, width, 0, 2)]


def _left_out(count: int) -> str:
    return f"{count} more {'joint is' if count == 1 else 'joints are'} not a plain fit; --full shows all."


def _in_short(missing: Sequence[str]) -> str:
    if not missing:
        return ""
    names = [text.partition(". ")[0].removeprefix("Missing: ").removeprefix("Still to get: ") for text in missing]
    once = list(dict.fromkeys(name.rstrip(".") for name in names))
    between = "; " if any(", " in name for name in once) else ", "
    return f"Missing: {between.join(once)}. (--full says why.)"
