"""The packed copy of the library: the same rows, made from the same files, and never used when it was not."""

from __future__ import annotations

import json
from importlib import resources

import pytest

from catalog_schema import library, packed, tables
from catalog_schema.library import Library

FILES = library.texts()
BUILT = library.from_toml(FILES)
MARK = packed.fingerprint(FILES)


def same(one: Library, other: Library) -> None:
    for part in ("rows", "file_of", "sources", "by_name", "words", "phrases"):
        assert getattr(one, part) == getattr(other, part), part
    assert list(one.rows) == list(other.rows)
    assert [list(n) for n in one.by_name.values()] == [list(n) for n in other.by_name.values()]


def test_unpacking_gives_the_library_back() -> None:
    found = packed.unpack(packed.pack(BUILT, MARK), MARK)
    assert found is not None
    same(found, BUILT)
    for row_id, row in BUILT.rows.items():
        assert type(found.rows[row_id]) is type(row)
        assert hash(found.rows[row_id].grounds) == hash(row.grounds)


def test_the_copy_beside_the_files_is_fresh() -> None:
    found = packed.read(FILES)
    assert found is not None, "run: python -m catalog_schema.packed"
    same(found, BUILT)


def test_one_byte_more_and_the_copy_is_not_used() -> None:
    area = next(iter(FILES))
    changed = {**FILES, area: FILES[area] + b"\n"}
    assert packed.fingerprint(changed) != MARK
    assert packed.unpack(packed.pack(BUILT, MARK), packed.fingerprint(changed)) is None
    assert packed.read(changed) is None


WHOLE = packed.pack(BUILT, MARK)


@pytest.mark.parametrize("text", ["", WHOLE[:80], WHOLE[:-2], WHOLE.replace("28.6", "28.7", 1), "null\n" + WHOLE])
def test_a_damaged_copy_is_not_used(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    class File:
        def __truediv__(self, _: str) -> File:
            return self

        def is_file(self) -> bool:
            return True

        def read_text(self, encoding: str) -> str:
            assert encoding == "utf-8"
            return text

    monkeypatch.setattr("catalog_schema.packed.resources.files", lambda _: File())
    assert packed.read(FILES) is None


def test_every_line_of_the_copy_is_json() -> None:
    values = [json.loads(line) for line in WHOLE.splitlines()]
    assert values[0]["made_from"] == MARK
    assert len(values) > len(BUILT.rows)


@pytest.mark.parametrize("package", ["catalog_schema", "solver"])
def test_the_copies_of_the_other_tables_are_fresh(package: str) -> None:
    made = tables.packed(package, tables.copied(package))
    there = (resources.files(package) / tables.NAME).read_text(encoding="utf-8")
    assert there == made, "run: python -m catalog_schema.packed"


def test_a_table_is_the_same_from_its_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [(package, path) for package in ("catalog_schema", "solver") for path in tables.copied(package)]
    assert {"bicycle.toml", "measuring/wheels.toml", "wording/common.toml"} <= {path for _, path in paths}
    copies = [tables.read(*path) for path in paths]
    monkeypatch.setattr(tables, "_copies", lambda _: None)
    assert [tables.read(*path) for path in paths] == copies
