"""The library in the form in which it is read fastest: one JSON file, checked when it was written.

In: a ``Library`` that was built from the TOML files, and their bytes. Out: a text; and back. The text carries the hash
of the TOML files that it was made from: as soon as one byte of them differs, it is not used, and they are read instead.
``python -m catalog_schema.packed`` writes it anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from decimal import Decimal
from importlib import resources
from pathlib import Path
from typing import Any, Final

from catalog_schema.interface import AdapterKind, Family, Interface, Phrase, Reading, Row, Table, TradeFigure
from catalog_schema.library import Library
from catalog_schema.source import Grounds, Source

NAME: Final = "library.json"
_FORM: Final = "2"
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
    rows = [{"type": type(r).__name__, "file": library.file_of[r.id], **_fields(r)} for r in library.rows.values()]
    names = {k: {n: [r.id for r in found] for n, found in index.items()} for k, index in library.by_name.items()}
    groups = {
        "sources": [f"{json.dumps(k)}:{_text(dict(s))}" for k, s in library.sources.items()],
        "names": [f"{json.dumps(k)}:{_text(index)}" for k, index in names.items()],
        "words": [f"{json.dumps('.'.join(k))}:{_text(words)}" for k, words in library.words.items()],
    }
    lists = {"rows": [_text(r) for r in rows], "phrases": [_text(dict(p)) for p in library.phrases]}
    parts = [f'{{"made_from":"{made_from}"']
    parts += [f'"{name}":{{\n' + ",\n".join(lines) + "\n}" for name, lines in groups.items()]
    parts += [f'"{name}":[\n' + ",\n".join(lines) + "\n]" for name, lines in lists.items()]
    return ",\n".join(parts) + "}\n"


def _fields(row: Row) -> dict[str, Any]:
    fields = dict(row)
    fields["grounds"] = dict(row.grounds)
    if isinstance(row, Interface):
        fields["readings"] = [dict(r) for r in row.readings]
    return fields


def _text(value: Any) -> str:
    """Return JSON; a decimal is written with all its digits."""
    if isinstance(value, Mapping):
        return "{" + ",".join(f"{json.dumps(str(k))}:{_text(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(_text(v) for v in value) + "]"
    return format(value, "f") if isinstance(value, Decimal) else json.dumps(value, ensure_ascii=False)


def unpack(text: str, made_from: str) -> Library | None:
    """Return the library in a text, or None if it was made from other files."""
    if not text.startswith(f'{{"made_from":"{made_from}"'):
        return None
    raw = json.loads(text, parse_float=Decimal, parse_int=Decimal)
    library = Library()
    library.sources = {k: Source.model_construct(**s) for k, s in raw["sources"].items()}
    for fields in raw["rows"]:
        row = _row(_ROWS[fields.pop("type")], fields.pop("file"), fields, library)
        library.rows[row.id] = row
    rows: dict[str, Any] = library.rows
    library.by_name = {k: {n: [rows[i] for i in ids] for n, ids in names.items()} for k, names in raw["names"].items()}
    library.words = {(k.partition(".")[0], k.partition(".")[2]): words for k, words in raw["words"].items()}
    library.phrases = [Phrase.model_construct(**{**p, "kinds": tuple(p["kinds"])}) for p in raw["phrases"]]
    return library


def _row(kind: type[Row], file: str, fields: dict[str, Any], library: Library) -> Row:
    grounds = fields["grounds"]
    fields["grounds"] = Grounds.model_construct(**{**grounds, "sources": tuple(grounds["sources"])})
    fields["names"] = tuple(fields["names"])
    if kind is Interface:
        fields["readings"] = tuple(
            Reading.model_construct(**{**r, "sources": tuple(r["sources"])}) for r in fields["readings"]
        )
    elif kind is Family:
        fields["of"] = tuple(fields["of"])
    elif kind is Table:
        fields["columns"] = tuple(fields["columns"])
        fields["cells"] = tuple(tuple(c) for c in fields["cells"])
    elif kind is AdapterKind:
        fields["pairs"], fields["effects"] = tuple(fields["pairs"]), tuple(fields["effects"])
    library.file_of[fields["id"]] = file
    return kind.model_construct(**fields)


def read(texts: Mapping[str, bytes]) -> Library | None:
    """Return the library from the packed copy beside it, or None if there is none that was made from these files."""
    file = resources.files("catalog_schema") / NAME
    if not file.is_file():
        return None
    try:
        return unpack(file.read_text(encoding="utf-8"), fingerprint(texts))
    except (ValueError, KeyError, TypeError):
        return None


def main() -> None:
    """Write the packed copy anew."""
    from catalog_schema.library import from_toml, texts

    found = texts()
    Path(str(resources.files("catalog_schema") / NAME)).write_text(
        pack(from_toml(found), fingerprint(found)), encoding="utf-8"
    )


if __name__ == "__main__":
    main()
