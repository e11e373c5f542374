"""The interface library, loaded once: rows by id, names by port kind, words by figure.

In: ``interfaces/<area>.toml`` and ``interfaces/<area>_<part>.toml`` of this package (or other tables, in tests). Out: a
``Library``. A library that contradicts itself is refused with every fault at once; it never reaches a rule.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Final, TypeVar

from catalog_schema.faults import FaultList, InputFaults
from catalog_schema.frozen import Unreadable
from catalog_schema.interface import (
    AdapterKind,
    Family,
    Interface,
    Phrase,
    Row,
    Table,
    TradeFigure,
    fields_of,
)
from catalog_schema.lean import dataclass, field
from catalog_schema.names import squeezed
from catalog_schema.ports.base import Port
from catalog_schema.quantity import NONE
from catalog_schema.records import PORT_KINDS
from catalog_schema.source import Source

AREAS: Final = ("front_end", "seating", "wheels", "tyres", "brakes", "drivetrain")


def area_of_file(stem: str) -> str:
    """Return the area that a file is part of: ``drivetrain`` for ``drivetrain`` and ``drivetrain_cranks``; else ""."""
    return next((a for a in AREAS if stem == a or stem.startswith(f"{a}_")), "")


def in_order(stems: Iterable[str]) -> list[str]:
    """Return the files of the areas among these, in bicycle order, the area's own file first."""
    return sorted((s for s in stems if area_of_file(s)), key=lambda s: (AREAS.index(area_of_file(s)), s))


@dataclass(slots=True)
class Library:
    """Every row of every area."""

    rows: Mapping[str, Row]
    file_of: Mapping[str, str]
    #: file:key -> source
    sources: Mapping[str, Source]
    #: port kind -> squeezed name -> rows that bear it
    by_name: Mapping[str, Mapping[str, list[Interface | Family]]]
    #: (port kind, figure) -> squeezed word -> canonical word
    words: Mapping[tuple[str, str], Mapping[str, str]]
    #: port kind -> figure -> the least and the greatest that it can be at all
    bounds: Mapping[str, Mapping[str, tuple[Decimal, Decimal]]]
    #: port kind -> figure -> the round number that a code of the trade prints -> the figure that it stands for
    rounded: Mapping[str, Mapping[str, Mapping[Decimal, Decimal]]]
    #: the phrases of all kinds of part, read when first asked for
    read_phrases: Callable[[], list[Phrase]]
    #: the hash of the files that it was made from, if they are the program's own
    mark: str = ""
    _phrases_of: dict[str, list[Phrase]] = field(default_factory=dict)

    @property
    def phrases(self) -> list[Phrase]:
        """The forms in which figures are printed on boxes."""
        return self.read_phrases()

    def area(self, row_id: str) -> str:
        """Return the area word of a row."""
        return area_of_file(self.file_of[row_id])

    def interface(self, row_id: str) -> Interface:
        """Return the interface row with this id."""
        return _of_type(self.rows[row_id], Interface)

    def figure(self, row_id: str) -> TradeFigure:
        """Return the trade figure with this id."""
        return _of_type(self.rows[row_id], TradeFigure)

    def table(self, row_id: str) -> Table:
        """Return the table with this id."""
        return _of_type(self.rows[row_id], Table)

    def adapter(self, row_id: str) -> AdapterKind:
        """Return the adapter kind with this id."""
        return _of_type(self.rows[row_id], AdapterKind)

    def named(self, port_kind: str, name: str) -> list[Interface | Family]:
        """Return the rows that bear ``name`` for a port of this kind, by id; empty if none does."""
        return self.by_name.get(port_kind, {}).get(squeezed(name), [])

    def word(self, port_kind: str, figure: str, word: str) -> str | None:
        """Return the canonical form of a word for this figure, or None if the library does not know it.

        Where other words are taken too (``OPEN``), one that is not known is its own canonical form.
        """
        known = self.words.get((port_kind, figure), {})
        return known.get(squeezed(word), word if OPEN in known else None)

    def phrases_of(self, record_kind: str) -> list[Phrase]:
        """Return the phrases that a box line of this kind of part understands."""
        if record_kind not in self._phrases_of:
            self._phrases_of[record_kind] = [p for p in self.phrases if record_kind in p.kinds or p.kinds == EVERY]
        return self._phrases_of[record_kind]

    def names_for(self, port_kind: str) -> list[str]:
        """Return every spelled-out name for a port of this kind."""
        rows = {r.id: r for found in self.by_name.get(port_kind, {}).values() for r in found}
        return sorted({n for r in rows.values() for n in (*r.names, r.id)})

    def sources_of(self, row: Row) -> list[Source]:
        """Return the sources of a row, in the row's order."""
        file = self.file_of[row.id]
        return [self.sources[f"{file}:{s}"] for s in row.grounds.sources]


#: Among the words of a figure: others are taken as they stand. No squeezed word has a space.
OPEN: Final = " "

#: The kinds of a phrase that every part may have on it: a colour says nothing about any joint.
EVERY: Final = ("*",)

R = TypeVar("R", bound=Row)


def _of_type(row: Row, wanted: type[R]) -> R:
    if not isinstance(row, wanted):
        raise KeyError(f"{row.id} is a {type(row).__name__}, not a {wanted.__name__}")
    return row


class _Builder:
    """Collects rows of all areas, and the faults in them."""

    def __init__(self) -> None:
        self.rows: dict[str, Row] = {}
        self.file_of: dict[str, str] = {}
        self.sources: dict[str, Source] = {}
        self.by_name: dict[str, dict[str, list[Interface | Family]]] = {}
        self.words: dict[tuple[str, str], dict[str, str]] = {}
        self.bounds: dict[str, dict[str, tuple[Decimal, Decimal]]] = {}
        self.rounded: dict[str, dict[str, dict[Decimal, Decimal]]] = {}
        self.phrases: list[Phrase] = []
        self.faults: dict[str, FaultList] = {}

    def add_file(self, file: str, raw: Mapping[str, object]) -> None:
        from pydantic import ValidationError

        from catalog_schema.interface_reading import AreaFile

        faults = self.faults[file] = FaultList(f"{file}.toml")
        try:
            parsed = AreaFile.model_validate(raw)
        except ValidationError as error:
            for problem in error.errors():
                faults.add("bad-row", ".".join(map(str, problem["loc"])), problem["msg"])
            return
        for key, source in parsed.source.items():
            self.sources[f"{file}:{key}"] = source
        groups: Iterable[Row] = (
            *parsed.interface,
            *parsed.family,
            *parsed.figure,
            *parsed.table,
            *parsed.adapter,
        )
        for row in groups:
            self._add_row(file, row, faults)
        for vocabulary in parsed.vocabulary:
            for key in vocabulary.of:
                for word, spellings in vocabulary.words.items():
                    for spelling in (word, *spellings):
                        self._add_word(key, spelling, word)
                for field_of in fields_of(key) if vocabulary.open else ():
                    self.words.setdefault(field_of, {})[OPEN] = OPEN
        self.phrases.extend(parsed.phrase)
        for kind, figures in parsed.plausible.items():
            self._add_bounds(kind, figures, faults)
        for kind, codes in parsed.rounded.items():
            for name, pairs in codes.items():
                if kind not in PORT_KINDS or name not in PORT_KINDS[kind].figure_names():
                    faults.add("bad-row", f"rounded.{kind}.{name}", "expected a figure of a kind of side")
                self.rounded.setdefault(kind, {})[name] = dict(pairs)

    def _add_bounds(self, kind: str, figures: Mapping[str, tuple[Decimal, Decimal]], faults: FaultList) -> None:
        """Note what figures of a kind of port can be at all; they hold for kinds made of it too, ``*`` for all."""
        base = Port if kind == "*" else PORT_KINDS.get(kind)
        if base is None:
            faults.unknown("plausible", "kind of side", kind, PORT_KINDS)
            return
        for name, (low, high) in figures.items():
            alike = [k for k, port in PORT_KINDS.items() if issubclass(port, base) and name in port.figure_names()]
            if not alike or low >= high:
                faults.add("bad-row", f"plausible.{kind}.{name}", "expected a figure of this side, the lower end first")
            for each in alike:
                self.bounds.setdefault(each, {})[name] = (low, high)

    def _add_row(self, file: str, row: Row, faults: FaultList) -> None:
        if row.id in self.rows:
            faults.add("duplicate-id", row.id, f"this id stands in {self.file_of[row.id]} too")
            return
        for source in row.grounds.sources:
            if f"{file}:{source}" not in self.sources:
                faults.add("unknown-source", row.id, f"no source {source!r} in this file")
        self.rows[row.id] = row
        self.file_of[row.id] = file
        if isinstance(row, Interface):
            for kind in row.sides:
                self._add_names(kind, row)
        elif isinstance(row, Family):
            for key in row.of:
                for kind, _ in fields_of(key):
                    self._add_names(kind, row)
                for spelling in (row.id, *row.names):
                    self._add_word(key, spelling, row.id)

    def _add_names(self, kind: str, row: Interface | Family) -> None:
        index = self.by_name.setdefault(kind, {})
        for name in (row.id, *row.names):
            found = index.setdefault(squeezed(name), [])
            if row not in found:
                found.append(row)

    def _add_word(self, key: str, spelling: str, word: str) -> None:
        for field_key in fields_of(key):
            self.words.setdefault(field_key, {})[squeezed(spelling)] = word

    def finish(self) -> Library:
        """Check what needs all areas, then return the library."""
        library = Library(
            self.rows,
            self.file_of,
            self.sources,
            self.by_name,
            self.words,
            self.bounds,
            self.rounded,
            lambda: self.phrases,
        )
        for row in self.rows.values():
            if isinstance(row, Interface):
                self._check_sides(row, library, self.faults[self.file_of[row.id]])
        found = [f for faults in self.faults.values() for f in faults.faults]
        if found:
            raise InputFaults(found)
        return library

    def _check_sides(self, row: Interface, library: Library, faults: FaultList) -> None:
        for kind, figures in row.sides.items():
            names = PORT_KINDS[kind].figure_names()
            for name, value in figures.items():
                if name not in names:
                    faults.unknown(f"{row.id}.{kind}", "figure", name, names)
                elif (
                    isinstance(value, str)
                    and value != NONE
                    and (known := self.words.get((kind, name))) is not None
                    and library.word(kind, name, value) is None
                ):
                    faults.unknown(f"{row.id}.{kind}.{name}", "word", value, known.values())
            try:
                PORT_KINDS[kind].read(figures)
            except Unreadable as error:
                for problem in error.problems:
                    if not problem.unknown_key:
                        faults.add("bad-row", f"{row.id}.{kind}", problem.message)


def build(files: Mapping[str, Mapping[str, object]]) -> Library:
    """Return the library made of parsed files (name of the file without its ending -> table).

    Raises:
        InputFaults: with every fault of every file.
    """
    builder = _Builder()
    for file in in_order(files):
        builder.add_file(file, files[file])
    return builder.finish()


def texts() -> dict[str, bytes]:
    """Return the area files that come with the program (name without its ending -> bytes)."""
    folder = resources.files("catalog_schema") / "interfaces"
    stems = (f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml"))
    return {stem: (folder / f"{stem}.toml").read_bytes() for stem in in_order(stems)}


def from_toml(files: Mapping[str, bytes]) -> Library:
    """Return the library made of area files.

    Raises:
        InputFaults: with every fault of every file.
    """
    return build({name: tomllib.loads(raw.decode(), parse_float=Decimal) for name, raw in files.items()})


@cache
def load() -> Library:
    """Return the library that comes with the program; its packed copy, if that was made from the same files."""
    from catalog_schema import packed

    files = texts()
    found = packed.read(files) or from_toml(files)
    found.mark = packed.fingerprint(files)
    return found
