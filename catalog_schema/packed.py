"""The library in the form in which it is read fastest: one value a line, checked when it was written.

In: a ``Library`` that was built from the TOML files, and their bytes. Out: a text; and back, a row at a time. The text
carries the hash of the TOML files that it was made from: as soon as one byte of them differs, it is not used, and they
are read instead. ``python -m catalog_schema.packed`` writes it anew.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Final

from catalog_schema import tables
from catalog_schema.deferred import Deferred, Lines, LineWriter
from catalog_schema.interface import AdapterKind, Family, Interface, Phrase, Reading, Row, Table, TradeFigure
from catalog_schema.library import Library
from catalog_schema.source import Grounds, Source

NAME: Final = "library.jsonl"
_FORM: Final = "5"
_ROWS: Final[dict[str, type[Row]]] = {c.__name__: c for c in (Interface, Family, TradeFigure, Table, AdapterKind)}


def fingerprint(texts: Mapping[str, bytes]) -> str:
    """Return the hash of the files (name -> bytes) that a copy is made from."""
    whole = hashlib.sha256(_FORM.encode())
    for file, text in sorted(texts.items()):
        whole.update(f"\0{file}\0{len(text)}\0".encode())
        whole.update(text)
    return whole.hexdigest()


def pack(library: Library, made_from: str) -> str:
    """Return a library as text, a row a line. Numbers stand in it as they stand in the library, exactly."""
    out = LineWriter()
    index = {
        "rows": {r.id: (out.add(_fields(r)), type(r).__name__, library.file_of[r.id]) for r in library.rows.values()},
        "sources": {key: out.add(vars(source)) for key, source in library.sources.items()},
        "names": {
            kind: out.add({n: [r.id for r in rows] for n, rows in names.items()})
            for kind, names in library.by_name.items()
        },
        "words": {".".join(key): out.add(words) for key, words in library.words.items()},
        "bounds": {kind: out.add(figures) for kind, figures in library.bounds.items()},
        "rounded": {
            kind: out.add({name: list(codes.items()) for name, codes in figures.items()})
            for kind, figures in library.rounded.items()
        },
        "phrases": out.add([vars(p) for p in library.phrases]),
    }
    return out.text(made_from, index)


def _fields(row: Row) -> dict[str, Any]:
    fields = dict(vars(row))
    fields["grounds"] = vars(row.grounds)
    if isinstance(row, Interface):
        fields["readings"] = [vars(r) for r in row.readings]
    return fields


def unpack(text: str, made_from: str) -> Library | None:
    """Return the library in a text, or None if it was made from other files."""
    lines = Lines.made_from(text, made_from)
    if lines is None:
        return None
    index = lines.index
    rows: Mapping[str, Row] = Deferred(index["rows"], lambda _, seed: _row(_ROWS[seed[1]], lines.value(seed[0])))

    def names_of(_: str, line: int) -> Mapping[str, list[Any]]:
        return Deferred(lines.value(line), lambda _, ids: [rows[i] for i in ids])

    def phrases() -> list[Phrase]:
        return [
            Phrase(**{**p, "kinds": tuple(p["kinds"]), "means": tuple(p["means"])})
            for p in lines.value(index["phrases"])
        ]

    words = {(kind, figure): line for key, line in index["words"].items() for kind, _, figure in [key.partition(".")]}
    return Library(
        rows,
        {row_id: file for row_id, (_, _, file) in index["rows"].items()},
        Deferred(index["sources"], lambda _, line: Source(**lines.value(line))),
        Deferred(index["names"], names_of),
        Deferred(words, lambda _, line: lines.value(line)),
        Deferred(
            index["bounds"], lambda _, line: {name: (low, high) for name, (low, high) in lines.value(line).items()}
        ),
        Deferred(index["rounded"], lambda _, line: {n: dict(map(tuple, p)) for n, p in lines.value(line).items()}),
        cache(phrases),
    )


def _row(kind: type[Row], fields: dict[str, Any]) -> Row:
    grounds = fields["grounds"]
    fields["grounds"] = Grounds(**{**grounds, "sources": tuple(grounds["sources"])})
    fields["names"] = tuple(fields["names"])
    if kind is Interface:
        fields["readings"] = tuple(Reading(**{**r, "sources": tuple(r["sources"])}) for r in fields["readings"])
    elif kind is Family:
        fields["of"] = tuple(fields["of"])
    elif kind is Table:
        fields["columns"] = tuple(fields["columns"])
        fields["cells"] = tuple(tuple(c) for c in fields["cells"])
    elif kind is AdapterKind:
        fields["pairs"], fields["effects"] = tuple(fields["pairs"]), tuple(fields["effects"])
    return kind(**fields)


def read(texts: Mapping[str, bytes]) -> Library | None:
    """Return the library from the packed copy beside it, or None if there is none that was made from these files."""
    file = resources.files("catalog_schema") / NAME
    if not file.is_file():
        return None
    return unpack(file.read_text(encoding="utf-8"), fingerprint(texts))


def main() -> None:
    """Write the packed copies anew: of the library, and of the other tables of both packages."""
    from catalog_schema.library import from_toml, texts

    found = texts()
    _write("catalog_schema", NAME, pack(from_toml(found), fingerprint(found)))
    for package in ("catalog_schema", "solver"):
        _write(package, tables.NAME, tables.packed(package, tables.copied(package)))


def _write(package: str, name: str, text: str) -> None:
    Path(str(resources.files(package) / name)).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
