"""The packed copy of the library: the same rows, made from the same files, and never used when it was not."""

from __future__ import annotations

import json
from dataclasses import fields

import pytest

from catalog_schema import library, packed
from catalog_schema.library import Library

FILES = library.texts()
BUILT = library.from_toml(FILES)
MARK = packed.fingerprint(FILES)


def same(one: Library, other: Library) -> None:
    for part in (f for f in fields(Library) if f.compare):
        assert getattr(one, part.name) == getattr(other, part.name), part.name
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


@pytest.mark.parametrize("damage", ["", "{", "[]", "null"])
def test_a_damaged_copy_is_not_used(damage: str, monkeypatch: pytest.MonkeyPatch) -> None:
    text = f'{{"made_from":"{MARK}"' + damage

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


def test_the_copy_is_json() -> None:
    assert json.loads(packed.pack(BUILT, MARK))["made_from"] == MARK
