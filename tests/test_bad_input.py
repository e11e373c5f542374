"""Every class of fault in a catalogue or a list is named with file and place, and all of them at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from catalog_schema import bicycle, catalog, fitting_list, library
from catalog_schema.faults import Fault, InputFaults

LIBRARY = library.load()
BICYCLE = bicycle.load()

GOOD_CATALOG = """
[catalog]
name = "bench"
[parts.HB-1]
maker = "Pellmark"
price = "45.90 EUR"
[parts.HB-1.fills.rear_hub]
axle = { width_mm = 142, form = "thru" }
[[parts.ST-1.versions]]
number = "ST-1-90"
version = "90 mm"
[[parts.ST-1.versions]]
number = "ST-1-100"
[parts.ST-1.fills.stem]
[parts.WS-1.fills.front_hub]
[parts.WS-1.fills.rear_hub]
"""


def faults_of_catalog(tmp_path: Path, text: str) -> list[Fault]:
    file = tmp_path / "shop.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputFaults) as raised:
        catalog.load([file], LIBRARY, BICYCLE)
    return list(raised.value.faults)


def faults_of_list(tmp_path: Path, text: str, name: str = "list.toml") -> list[Fault]:
    (tmp_path / "shop.toml").write_text(GOOD_CATALOG, encoding="utf-8")
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputFaults) as raised:
        fitting_list.load(file, LIBRARY, BICYCLE)
    return list(raised.value.faults)


def test_a_good_catalogue_loads(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(GOOD_CATALOG, encoding="utf-8")
    found = catalog.load([tmp_path / "shop.toml"], LIBRARY, BICYCLE)
    assert sorted(found.parts) == ["HB-1", "ST-1-100", "ST-1-90", "WS-1"]
    assert found.parts["HB-1"].identity.price is not None
    assert found.parts["HB-1"].identity.price.minor == 4590
    assert found.models == {"ST-1": ("ST-1-90", "ST-1-100")}


CATALOG_FAULTS = [
    ("[parts.A]\nmaker = 'x'", "missing-fills", "parts.A", ""),
    ("[parts.A.fills.rear_hob]", "unknown-word", "parts.A.fills.rear_hob", "rear_hub"),
    ("[parts.A.fills.rear_hub]\naxel = {}", "unknown-word", "parts.A.fills.rear_hub", "axle"),
    ("[parts.A.fills.rear_hub.axle]\nwidth = 1", "unknown-word", "parts.A.fills.rear_hub.axle", "width_mm"),
    ("[parts.A.fills.rear_hub.axle]\nwidth_mm = 'wide'", "bad-figure", "parts.A.fills.rear_hub.axle.width_mm", ""),
    ("[parts.A.fills.rear_hub.axle]\nwidth_mm = '142 ruler'", "bad-figure", "parts.A.fills.rear_hub.axle.width_mm", ""),
    ("[parts.A.fills.rear_hub.axle]\nform = 'thruu'", "unknown-word", "parts.A.fills.rear_hub.axle.form", "thru"),
    ("[parts.A]\nprice = '12 euro'\n[parts.A.fills.stem]", "bad-figure", "parts.A.price", ""),
    ("[parts.A]\nprice = '-1 EUR'\n[parts.A.fills.stem]", "bad-figure", "parts.A.price", ""),
    ("[parts.A]\ngtin = '12'\n[parts.A.fills.stem]", "bad-figure", "parts.A.gtin", ""),
    ("[parts.A]\nstock = -1\n[parts.A.fills.stem]", "bad-figure", "parts.A.stock", ""),
    ("[parts.A]\ncolour = 'red'\n[parts.A.fills.stem]", "unknown-word", "parts.A", ""),
    ("[parts.A]\nversions = 3\n[parts.A.fills.stem]", "bad-value", "parts.A.versions", ""),
    ("[[parts.A.versions]]\n[parts.A.fills.stem]", "missing-number", "parts.A.versions[0]", ""),
    ("[parts.A.fills.stem]\n[[parts.A.settings]]\nname = 'x'", "bad-value", "parts.A.settings[0]", ""),
    (
        "[parts.A.fills.rear_hub]\n[[parts.A.settings]]\nname = 'caps'\noptions = [{name = 'a', offer = 'gift'}]",
        "unknown-word",
        "parts.A.settings[0].options[0].offer",
        "",
    ),
    ("[parts.A.fills.tyre]\n[parts.A.fills.stem]", "bad-value", "parts.A", ""),
    ("[stuff]", "unknown-word", "", ""),
    ("[catalog]\nnmae = 'x'", "unknown-word", "catalog", "name"),
    ("parts = 3", "bad-value", "parts", ""),
    ("[parts.A", "syntax", "", ""),
    ("a = " + "[" * 5000, "syntax", "", ""),
]


@pytest.mark.parametrize(("text", "kind", "place", "nearest"), CATALOG_FAULTS)
def test_faults_of_a_catalogue(tmp_path: Path, text: str, kind: str, place: str, nearest: str) -> None:
    found = faults_of_catalog(tmp_path, text)
    mine = [f for f in found if f.kind == kind and f.place == place]
    assert mine, [f.line() for f in found]
    assert mine[0].file.endswith("shop.toml")
    if nearest:
        assert mine[0].nearest == nearest


LIST_FAULTS = [
    ("", "empty-list", "slots"),
    ("slots = 3", "bad-value", "slots"),
    ("[slots]\nrear_hob = 'x'", "unknown-word", "slots.rear_hob"),
    ("[slots]\nstem = 3", "bad-value", "slots.stem"),
    ("[slots]\nstem = []", "bad-value", "slots.stem"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = 'HB-1'", "wrong-slot", "slots.stem"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = 'ST-1'", "version-needed", "slots.stem"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = 'ST-1-91'", "unknown-number", "slots.stem"),
    ("catalogs = ['shop.toml']\n[slots]\nrear_hub = 'WS-1'\nfront_hub = 'none'", "slot-taken", "slots.rear_hub"),
    ("catalogs = ['gone.toml']\n[slots]\nstem = 'any'", "no-file", ""),
    ("catalogs = 3\n[slots]\nstem = 'any'", "bad-value", "catalogs"),
    ("title = 3\n[slots]\nstem = 'any'", "bad-value", "title"),
    ("kind = 'hovercraft'\n[slots]\nstem = 'any'", "unknown-word", "kind"),
    ("slts = 1\n[slots]\nstem = 'any'", "unknown-word", ""),
    ("extras = ['X']\n[slots]\nstem = 'any'", "unknown-word", "extras"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = {number = 'ST-1-91'}", "unknown-word", "slots.stem.number"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = {number = 3}", "unknown-word", "slots.stem.number"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = {number = 'ST-1'}", "version-needed", "slots.stem.number"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = {number = 'HB-1'}", "wrong-slot", "slots.stem.number"),
    ("catalogs = ['shop.toml']\n[slots]\nstem = {number = 'ST-1-90', clmp = {}}", "unknown-word", "slots.stem"),
    ("[slots]\nrear_hub = '12 by 142 sort of'", "unknown-word", "slots.rear_hub"),
]


@pytest.mark.parametrize(("text", "kind", "place"), LIST_FAULTS)
def test_faults_of_a_list(tmp_path: Path, text: str, kind: str, place: str) -> None:
    found = faults_of_list(tmp_path, text)
    assert [f for f in found if f.kind == kind and f.place == place], [f.line() for f in found]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("stem,a,b\n", "syntax"),
        ('stem,"unclosed\n', "syntax"),
        ("rear_hob,any\n", "unknown-word"),
    ],
)
def test_faults_of_a_csv_list(tmp_path: Path, text: str, kind: str) -> None:
    assert [f for f in faults_of_list(tmp_path, text, "list.csv") if f.kind == kind]


def test_a_csv_list_says_the_same_as_a_toml_list(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(GOOD_CATALOG, encoding="utf-8")
    (tmp_path / "a.csv").write_text("slot,part\ncatalog,shop.toml\nstem,ST-1-90\nstem,ST-1-100\nsaddle,none\n")
    (tmp_path / "a.toml").write_text(
        'catalogs = ["shop.toml"]\n[slots]\nstem = ["ST-1-90", "ST-1-100"]\nsaddle = "none"\n'
    )
    a, b = (fitting_list.load(tmp_path / f"a.{end}", LIBRARY, BICYCLE) for end in ("csv", "toml"))
    assert a == b
    assert {s: x.state for s, x in a.slots.items()} == {"stem": "shortlist", "saddle": "none"}


def test_a_number_in_two_catalogues_is_a_fault(tmp_path: Path) -> None:
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text(GOOD_CATALOG, encoding="utf-8")
    with pytest.raises(InputFaults) as raised:
        catalog.load([tmp_path / "a.toml", tmp_path / "b.toml"], LIBRARY, BICYCLE)
    assert {f.kind for f in raised.value.faults} == {"duplicate-number"}


def test_all_faults_come_at_once_and_sorted(tmp_path: Path) -> None:
    found = faults_of_catalog(tmp_path, "[parts.B]\n[parts.A.fills.rear_hob]\n[stuff]\n")
    assert len(found) == 3
    assert found == sorted(found)


def test_a_file_that_is_not_utf8_names_the_line(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_bytes(b"[catalog]\nname = '\xff\xfe'\n")
    with pytest.raises(InputFaults) as raised:
        catalog.load([tmp_path / "x.toml"], LIBRARY, BICYCLE)
    assert raised.value.faults[0].kind == "encoding"
    assert "line 2" in raised.value.faults[0].message


def test_messages_quote_the_input_on_one_printable_line(tmp_path: Path) -> None:
    found = faults_of_catalog(tmp_path, '[parts.A.fills."rear\\u001b[31m\\nhub"]')
    for fault in found:
        assert re.fullmatch(r"[^\x00-\x1f\x7f]*", fault.line()), fault.line()


def test_a_list_in_rows_may_have_semicolons_or_tabs(tmp_path: Path) -> None:
    said = ("slot{}part", "frame{}12x142", "rear hub{}12x142")
    read = []
    for name, sign in (("a.csv", ","), ("b.csv", ";"), ("c.tsv", "\t")):
        (tmp_path / name).write_text("\n".join(line.format(sign) for line in said))
        read.append(fitting_list.load(tmp_path / name, LIBRARY, BICYCLE))
    assert {s: p.parts[0].fills for s, p in read[0].slots.items()} == {
        s: p.parts[0].fills for s, p in read[1].slots.items()
    }
    assert read[1].slots.keys() == read[2].slots.keys()
    assert set(read[0].slots) == {"frame", "rear_hub"}


def test_a_row_that_says_what_another_one_says_is_a_fault(tmp_path: Path) -> None:
    found = faults_of_list(tmp_path, "stem,any\nframe,12x142\nframe,12x142\n", "list.csv")
    assert [(f.kind, f.place) for f in found] == [("said-twice", "line 3")]


def test_words_with_commas_outside_quotes_are_shown_with_quotes(tmp_path: Path) -> None:
    (fault,) = faults_of_list(tmp_path, "rear_hub,12x142, 6-bolt\n", "list.csv")
    assert '"12x142, 6-bolt"' in fault.message


def test_a_number_that_is_a_word_on_a_box_as_well_is_taken_as_the_number_and_said(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text('[catalog]\nname = "bench"\n[parts."27.2"]\nfills.seatpost = "30.9"\n')
    (tmp_path / "a.toml").write_text('catalogs = ["shop.toml"]\n[slots]\nseatpost = "27.2"\n')
    heard = fitting_list.load(tmp_path / "a.toml", LIBRARY, BICYCLE)
    assert heard.notices == (("number-not-words", "27.2"),)
