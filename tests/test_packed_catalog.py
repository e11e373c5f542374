"""The packed copy of a catalogue: the same parts, made from the same file, and never used when it was not."""

from __future__ import annotations

import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from catalog_schema import bicycle, catalog, fitting_list, library, packed_catalog
from catalog_schema.catalog import Catalog
from catalog_schema.faults import InputFaults
from catalog_schema.quantity import Measure
from solver.cli import app

LIBRARY, BICYCLE = library.load(), bicycle.load()
SAMPLES = Path(__file__).parent.parent / "sample_catalogs"


def loaded(path: Path) -> Catalog:
    return catalog.load([path], LIBRARY, BICYCLE)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample workshop's catalogue without its copy."""
    path = tmp_path_factory.mktemp("shop") / "basin.toml"
    shutil.copy(SAMPLES / "basin.toml", path)
    return path


@pytest.fixture(scope="module")
def read(shop: Path) -> Catalog:
    return loaded(shop)


def test_the_copy_of_the_sample_workshop_is_fresh() -> None:
    made = catalog.packed_text(SAMPLES / "basin.toml", LIBRARY, BICYCLE)
    there = (SAMPLES / "basin.packed").read_text(encoding="utf-8")
    assert there == made, "run: fitwright pack sample_catalogs/basin.toml --out sample_catalogs/basin.packed"


def test_a_packed_catalogue_is_the_catalogue(shop: Path, read: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "basin.toml"
    shutil.copy(shop, path)
    packed_catalog.beside(path).write_text(catalog.packed_text(path, LIBRARY, BICYCLE), encoding="utf-8")
    found = loaded(path)
    assert list(found.parts) == list(read.parts)
    assert found.models == read.models
    for number, part in read.parts.items():
        other = found.parts[number]
        assert (other.identity, other.together, other.settings) == (part.identity, part.together, part.settings)
        assert other.fills == part.fills
        assert [[list(v) for v in vs] for vs in other.fills.values()] == [
            [list(v) for v in vs] for vs in part.fills.values()
        ]
    for slot in BICYCLE.by_id:
        assert found.numbers(slot) == read.numbers(slot)


@pytest.mark.parametrize("spoil", ["catalogue", "copy", "cut short", "empty"])
def test_a_copy_that_is_not_fresh_is_not_used(spoil: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text('[parts.A]\nfills.stem = "31.8 clamp"\n', encoding="utf-8")
    copy = packed_catalog.beside(path)
    text = catalog.packed_text(path, LIBRARY, BICYCLE).replace("31.8", "35", 1) if spoil == "copy" else ""
    text = text or catalog.packed_text(path, LIBRARY, BICYCLE)
    copy.write_text({"cut short": text[:-3], "empty": ""}.get(spoil, text), encoding="utf-8")
    if spoil == "catalogue":
        path.write_text('[parts.B]\nfills.stem = "35 clamp"\n', encoding="utf-8")
    found = loaded(path)
    assert list(found.parts) == (["B"] if spoil == "catalogue" else ["A"])
    ((variant,),) = (p.fills["stem"] for p in found.parts.values())
    assert variant["bar_clamp.dia_mm"].value == Measure(Decimal("35" if spoil == "catalogue" else "31.8"))


def test_a_number_in_two_catalogues_is_a_fault_packed_or_not(tmp_path: Path) -> None:
    for name in ("one", "two"):
        path = tmp_path / f"{name}.toml"
        path.write_text('[parts.A]\nfills.stem = "31.8 clamp"\n', encoding="utf-8")
        packed_catalog.beside(path).write_text(catalog.packed_text(path, LIBRARY, BICYCLE), encoding="utf-8")
    with pytest.raises(InputFaults, match="the number A stands in"):
        catalog.load([tmp_path / "one.toml", tmp_path / "two.toml"], LIBRARY, BICYCLE)


def test_the_command_writes_the_copy_or_says_why_not(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "basin.packed"
    app(["pack", str(shop), "--out", str(out)], standalone_mode=False)
    assert out.read_text(encoding="utf-8") == catalog.packed_text(shop, LIBRARY, BICYCLE)
    assert [p.name for p in tmp_path.iterdir()] == ["basin.packed"]
    with pytest.raises(SystemExit) as stopped:
        app(["pack", str(shop), "--out", str(tmp_path / "nowhere" / "basin.packed")])
    assert stopped.value.code == 2
    assert "No such file" in capsys.readouterr().err


def test_numbers_that_read_as_words_are_the_same_packed_or_not(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text('[parts."12x142"]\nfills.rear_hub = "12x148, 28h"\n', encoding="utf-8")
    (tmp_path / "list.toml").write_text('catalogs = ["shop.toml"]\n[slots]\nrear_hub = "12x142"\n', encoding="utf-8")
    plain = fitting_list.load(tmp_path / "list.toml", LIBRARY, BICYCLE)
    packed_catalog.beside(path).write_text(catalog.packed_text(path, LIBRARY, BICYCLE), encoding="utf-8")
    packed = fitting_list.load(tmp_path / "list.toml", LIBRARY, BICYCLE)
    assert packed.catalog.like_words == frozenset({("12x142", "rear_hub")})
    assert plain.notices == packed.notices
    assert ("number-not-words", "12x142") in packed.notices


def test_a_file_of_another_kind_is_never_written_over(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = shop.read_text(encoding="utf-8")
    with pytest.raises(SystemExit) as stopped:
        app(["pack", str(shop), "--out", str(shop)])
    assert stopped.value.code == 2
    assert "ends in .packed" in capsys.readouterr().err
    assert shop.read_text(encoding="utf-8") == before
