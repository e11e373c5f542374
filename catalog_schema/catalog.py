"""Catalogues: what a shop has, keyed by number.

In: one or more TOML files. Out: a ``Catalog``. All faults of all files are collected and raised together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import Fault, FaultList, InputFaults
from catalog_schema.files import parse_toml, read_text
from catalog_schema.library import Library
from catalog_schema.parts import Part
from catalog_schema.quantity import shown
from catalog_schema.reading import Reader

CATALOG_KEYS = frozenset({"catalog", "parts"})
HEAD_KEYS = frozenset({"name", "note", "currency"})


@dataclass(frozen=True, slots=True)
class Catalog:
    """Parts by number. ``models`` are numbers that stand for several versions -> the versions' numbers."""

    parts: Mapping[str, Part] = field(default_factory=dict)
    models: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    files: tuple[str, ...] = ()

    def filling(self, slot: str) -> list[Part]:
        """Return the parts that can fill ``slot``, by number."""
        return [p for _, p in sorted(self.parts.items()) if slot in p.fills]


def load(paths: Iterable[Path | str], library: Library, bicycle: Bicycle) -> Catalog:
    """Return the catalogue made of the files.

    Raises:
        InputFaults: with every fault of every file; a number in two files is one.
    """
    parts: dict[str, Part] = {}
    models: dict[str, tuple[str, ...]] = {}
    files: list[str] = []
    faults: list[Fault] = []
    for path in paths:
        name = str(path)
        if name in files:
            continue
        files.append(name)
        try:
            raw = parse_toml(read_text(path), name)
        except InputFaults as error:
            faults.extend(error.faults)
            continue
        collected = FaultList(name)
        read_parts(raw.get("parts", {}), Reader(library, bicycle, collected), parts, models)
        for key in raw:
            if key not in CATALOG_KEYS:
                collected.unknown("", "key", key, CATALOG_KEYS)
        head = raw.get("catalog", {})
        if isinstance(head, dict):
            for key in head:
                if key not in HEAD_KEYS:
                    collected.unknown("catalog", "key", key, HEAD_KEYS)
        faults.extend(collected.faults)
    if faults:
        raise InputFaults(faults)
    return Catalog(parts, models, tuple(files))


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
