"""Faults of the input: one record each, collected and shown together, never a traceback.

In: whatever a loader finds wrong. Out: ``InputFaults``, an error that carries all of them in a fixed order.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Final

from catalog_schema.lean import dataclass, field
from catalog_schema.quantity import printable, shown

#: Hints: how many near words are tried, and how much alike letters and figures of a word must be.
_MOST_TRIED: Final = 5
_LETTERS_ALIKE: Final = 0.7
_FIGURES_ALIKE: Final = 0.5
_NO_LETTER, _NO_FIGURE = re.compile(r"[\W\d_]"), re.compile(r"\D")
#: A thread as it is written: turns to the inch, a fraction by its turns, or metric with its pitch.
_THREAD: Final = re.compile(r"\btpi\b|\d/\d+[^,]*x\s*\d|\bm\d+(?:\.\d+)?\s*x", re.IGNORECASE)
_FIGURES: Final = re.compile(r"\d+(?:\.\d+)?")
_NUMBERS: Final = re.compile(r"([0-9]+)")
_LONGEST_NUMBER: Final = 20
#: Of so many faults the nearest word is looked for; a file with more is of another kind.
_MOST_NEAREST: Final = 200


@dataclass(frozen=True, order=True, slots=True)
class Fault:
    """One thing wrong with the input.

    ``place`` is the path inside the file (``parts.HB-12.fills.rear_hub.axle``); ``kind`` a closed word that
    tests and scripts may rely on; ``nearest`` a known word that may have been meant.
    """

    file: str
    place: str
    kind: str
    message: str
    nearest: str = ""

    def line(self) -> str:
        """Return the fault as one line."""
        hint = f" (nearest known: {self.nearest})" if self.nearest else ""
        where = f"{self.file}: {self.place}" if self.place else self.file
        return f"{where}: {self.message}{hint}"


def _as_read(fault: Fault) -> tuple[tuple[tuple[int, str], ...], ...]:
    """Return what faults are put in order by: as words, but line 9 before line 10."""
    return tuple(
        tuple((int(t), "") if t.isdecimal() and len(t) < _LONGEST_NUMBER else (0, t) for t in _NUMBERS.split(text))
        for text in (fault.file, fault.place, fault.kind, fault.message, fault.nearest)
    )


class InputFaults(ValueError):
    """Raised once a file is read through, with every fault in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(set(faults), key=_as_read))
        super().__init__("\n".join(f.line() for f in self.faults))


@dataclass(slots=True)
class FaultList:
    """Collects the faults of one file, and notices on how entries in it were taken: (closed word, about what)."""

    file: str
    faults: list[Fault] = field(default_factory=list)
    notices: list[tuple[str, str]] = field(default_factory=list)

    def add(self, kind: str, place: str, message: str, nearest: str = "") -> None:
        """Note one fault."""
        self.faults.append(Fault(self.file, printable(place, 120), kind, printable(message, 400), printable(nearest)))

    def unknown(self, place: str, what: str, word: object, known: Iterable[str]) -> None:
        """Note a word that is not known, with the nearest one that is."""
        self.add("unknown-word", place, f"unknown {what} {shown(word)}", self.nearest(str(word), known))

    def nearest(self, word: str, known: Iterable[str]) -> str:
        """Return the known word most like ``word``; in a file full of faults nobody looks for it."""
        return nearest(word, known) if len(self.faults) < _MOST_NEAREST else ""

    def raise_if_any(self) -> None:
        """Raise ``InputFaults`` if anything was noted."""
        if self.faults:
            raise InputFaults(self.faults)


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word most like ``word``, or the empty string if none is close."""
    candidates = sorted(set(known))
    folded: dict[str, str] = {}
    for candidate in candidates:
        folded.setdefault(candidate.casefold(), candidate)
    meant = word[:80].casefold()
    close = difflib.get_close_matches(meant, list(folded), n=_MOST_TRIED, cutoff=0.6)
    return next((folded[c] for c in close if _alike(meant, c)), "")


def _alike(word: str, candidate: str) -> bool:
    """Return whether the letters of two words are much alike, and their figures where both have some.

    A thread has all figures of the other or is not offered for it: a near one goes on by hand, and lets go.

    >>> _alike("10 mm dropout", "91 mm front"), _alike("not-stated", "nutted"), _alike("12x143", "12x142")
    (False, False, True)
    >>> _alike("7/16 x 26 tpi", "3/8 x 26 tpi"), _alike("M11x1", "M10x1"), _alike("3/8x26tpi", "3/8 x 26 tpi")
    (False, False, True)
    """
    if _THREAD.search(word) or _THREAD.search(candidate):
        figures = _FIGURES.findall(word)
        if figures and figures != _FIGURES.findall(candidate):
            return False
    for part, least in ((_NO_LETTER, _LETTERS_ALIKE), (_NO_FIGURE, _FIGURES_ALIKE)):
        mine, other = part.sub("", word), part.sub("", candidate)
        if mine and other and difflib.SequenceMatcher(None, mine, other).ratio() < least:
            return False
    return True
