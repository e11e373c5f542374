"""Catalogues: what a shop has, keyed by number.

In: one or more TOML files. Out: a ``Catalog``. All faults of all files are collected and raised together.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path

from catalog_schema import boxline, packed_catalog
from catalog_schema.bicycle import Bicycle
from catalog_schema.deferred import Deferred
from catalog_schema.faults import Fault, FaultList, InputFaults
from catalog_schema.files import parse_toml, read_text
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.library import Library
from catalog_schema.packed_catalog import PackedParts
from catalog_schema.parts import Part
from catalog_schema.quantity import shown
from catalog_schema.reading import Reader

CATALOG_KEYS = frozenset({"catalog", "parts"})
HEAD_KEYS = frozenset({"name", "note", "currency"})


@dataclass(frozen=True, slots=True)
class Catalog:
    """Parts by number. ``models`` are numbers that stand for several versions -> the versions' numbers.

    ``slots`` says what each part fills; left out, the parts are asked themselves. ``like_words`` holds (number, slot)
    where a number could be read as words on the box; None: nobody looked yet.
    """

    parts: Mapping[str, Part] = field(default_factory=dict)
    models: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    files: tuple[str, ...] = ()
    slots: Mapping[str, Collection[str]] | None = None
    like_words: frozenset[tuple[str, str]] | None = None

    def fills(self) -> Mapping[str, Collection[str]]:
        """Return number -> the slots that the part can fill."""
        return self.slots if self.slots is not None else {n: p.fills for n, p in self.parts.items()}

    def numbers(self, slot: str) -> list[str]:
        """Return the numbers of the parts that can fill ``slot``, in order."""
        return sorted(n for n, slots in self.fills().items() if slot in slots)

    def filling(self, slot: str) -> list[Part]:
        """Return the parts that can fill ``slot``, by number."""
        return [self.parts[n] for n in self.numbers(slot)]

    def with_parts(self, parts: Mapping[str, Part], models: Mapping[str, tuple[str, ...]]) -> Catalog:
        """Return the catalogue with further parts."""
        further = (parts, {n: tuple(p.fills) for n, p in parts.items()})
        return _joined([(self.parts, self.fills()), further], {**self.models, **models}, self.files)


def load(paths: Iterable[Path | str], library: Library, bicycle: Bicycle) -> Catalog:
    """Return the catalogue made of the files, each from its packed copy if that is beside it and fresh.

    Raises:
        InputFaults: with every fault of every file; a number in two files is one.
    """
    shelves: dict[str, PackedParts] = {}
    faults: list[Fault] = []
    for path in paths:
        name = str(path)
        if name in shelves:
            continue
        try:
            text = read_text(path)
            shelves[name] = _packed(path, text, library) or _read(text, name, library, bicycle)
        except InputFaults as error:
            shelves[name] = PackedParts({}, {}, {})
            faults.extend(error.faults)
    where: dict[str, str] = {}
    for name, shelf in shelves.items():
        for number in shelf.parts:
            if number in where:
                message = f"the number {number} stands in {where[number]} too"
                faults.append(Fault(name, f"parts.{number}", "duplicate-number", message))
            where[number] = name
    if faults:
        raise InputFaults(faults)
    models = {model: numbers for shelf in shelves.values() for model, numbers in shelf.models.items()}
    whole = _joined([(s.parts, s.slots) for s in shelves.values()], models, tuple(shelves))
    looked = [s.like_words for s in shelves.values() if s.like_words is not None]
    return replace(whole, like_words=frozenset().union(*looked)) if len(looked) == len(shelves) else whole


def _packed(path: Path | str, text: str, library: Library) -> PackedParts | None:
    copy = packed_catalog.beside(path)
    if str(path) == "-" or not library.mark or not copy.is_file():
        return None
    try:
        packed = read_text(copy)
    except InputFaults:
        return None
    return packed_catalog.unpack(packed, packed_catalog.made_from(text, library.mark), str(path))


def _read(text: str, name: str, library: Library, bicycle: Bicycle) -> PackedParts:
    """Return what a catalogue file holds, read and checked."""
    raw = parse_toml(text, name)
    collected = FaultList(name)
    parts: dict[str, Part] = {}
    models: dict[str, tuple[str, ...]] = {}
    read_parts(raw.get("parts", {}), Reader(library, bicycle, collected), parts, models)
    for key in raw:
        if key not in CATALOG_KEYS:
            collected.unknown("", "key", key, CATALOG_KEYS)
    head = raw.get("catalog", {})
    if isinstance(head, dict):
        for key in head:
            if key not in HEAD_KEYS:
                collected.unknown("catalog", "key", key, HEAD_KEYS)
    collected.raise_if_any()
    return PackedParts(parts, {n: tuple(p.fills) for n, p in parts.items()}, models)


def _joined(
    shelves: Sequence[tuple[Mapping[str, Part], Mapping[str, Collection[str]]]],
    models: Mapping[str, tuple[str, ...]],
    files: tuple[str, ...],
) -> Catalog:
    """Return one catalogue of several groups of parts, each with the slots that they fill."""
    held = {number: parts for parts, _ in shelves for number in parts}
    slots = {number: found for _, filled in shelves for number, found in filled.items()}
    return Catalog(Deferred(held, lambda number, parts: parts[number]), models, files, slots)


def packed_text(path: Path | str, library: Library, bicycle: Bicycle) -> str:
    """Return the packed copy of a catalogue file.

    Raises:
        InputFaults: with every fault of the file.
    """
    text = read_text(path)
    shelf = _read(text, str(path), library, bicycle)
    like_words = frozenset(
        (number, slot)
        for number, slots in shelf.slots.items()
        for slot in slots
        if boxline.read(bicycle.record_class(slot), number, library).placed
    )
    return packed_catalog.pack(replace(shelf, like_words=like_words), packed_catalog.made_from(text, library.mark))


def read_parts(raw: object, reader: Reader, parts: dict[str, Part], models: dict[str, tuple[str, ...]]) -> None:
    """Read a table of parts into ``parts`` and ``models``; a number that is already there is a fault."""
    if not isinstance(raw, dict):
        reader.faults.add("bad-value", "parts", f"expected a table of parts, found {shown(raw)}")
        return
    for number, table in raw.items():
        place = f"parts.{number}"
        found = reader.parts(number, table, place)
        for part in found:
            if part.number in parts:
                other = parts[part.number].file
                reader.faults.add("duplicate-number", place, f"the number {part.number} stands in {other} too")
            else:
                parts[part.number] = part
        if isinstance(table, dict) and "versions" in table:
            models[number] = tuple(p.number for p in found)
