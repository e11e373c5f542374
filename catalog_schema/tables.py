"""TOML files that come with the program, read from a quick copy while the copy is fresh.

In: a package and the path of a TOML file in it. Out: its table. ``tables.jsonl`` of the package holds the same tables
as JSON, each with the hash of the file that it was made from; a file that differs is read itself. Reading TOML takes
forty times as long, and a start needs a dozen of them. ``python -m catalog_schema.packed`` writes the copies anew.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable
from decimal import Decimal
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any, Final

from catalog_schema.deferred import Lines, LineWriter

NAME: Final = "tables.jsonl"
_FORM: Final = "toml 1"


def read(package: str, path: str) -> dict[str, Any]:
    """Return the table of a TOML file of a package."""
    raw = (resources.files(package) / path).read_bytes()
    copies = _copies(package)
    if copies is not None:
        line, mark = copies.index.get(path, (0, ""))
        if mark == _mark(raw):
            table: dict[str, Any] = copies.value(line)
            return table
    return tomllib.loads(raw.decode(), parse_float=Decimal)


def _mark(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


@cache
def _copies(package: str) -> Lines | None:
    file = resources.files(package) / NAME
    return Lines.made_from(file.read_text(encoding="utf-8"), _FORM) if file.is_file() else None


@cache
def names(package: str, folder: str = "") -> tuple[str, ...]:
    """Return the paths of the TOML files in a folder of a package, in order."""
    there = resources.files(package) / folder if folder else resources.files(package)
    found = sorted(f.name for f in there.iterdir() if f.name.endswith(".toml"))
    return tuple(f"{folder}/{name}" if folder else name for name in found)


def of_area(package: str, folder: str, area: str) -> list[dict[str, Any]]:
    """Return the tables of an area's own file and of each ``<area>_<part>.toml`` in a folder, in order."""
    stems = {path: path.rpartition("/")[2].removesuffix(".toml") for path in names(package, folder)}
    return [read(package, path) for path, stem in stems.items() if stem == area or stem.startswith(f"{area}_")]


def packed(package: str, paths: Iterable[str]) -> str:
    """Return the copies of some TOML files of a package as text."""
    out = LineWriter()
    index = {}
    for path in paths:
        raw = (resources.files(package) / path).read_bytes()
        index[path] = (out.add(tomllib.loads(raw.decode(), parse_float=Decimal)), _mark(raw))
    return out.text(_FORM, index)


def copied(package: str) -> list[str]:
    """Return the paths of the TOML files of a package that have a copy here; the library has its own."""
    folders = sorted(f.name for f in resources.files(package).iterdir() if _holds_tables(f))
    return [path for folder in ("", *folders) for path in names(package, folder)]


def _holds_tables(folder: Traversable) -> bool:
    return folder.is_dir() and folder.name != "interfaces" and any(f.name.endswith(".toml") for f in folder.iterdir())
