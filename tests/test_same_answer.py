"""The same parts get the same answer, whatever they are called, in whatever order, by number or described in place."""

from __future__ import annotations

import random
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, boxline, fitting_list, library
from catalog_schema.faults import FaultList
from catalog_schema.fitting_list import FittingList
from catalog_schema.library import Library
from catalog_schema.names import squeezed
from solver import questions
from solver.report import Finding
from solver.rules import every

SAMPLES = Path(__file__).parent.parent / "sample_catalogs"
LISTS = sorted((SAMPLES / "lists").glob("*.toml"))
BICYCLE = bicycle.load()
LIBRARY = library.load()
every.load()


def raw_list(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


def raw_catalog() -> dict[str, Any]:
    return tomllib.loads((SAMPLES / "basin.toml").read_text(encoding="utf-8"), parse_float=Decimal)


def read(raw: dict[str, Any], lib: Library = LIBRARY) -> FittingList:
    return fitting_list.read(raw, "list", lib, BICYCLE, folder=SAMPLES / "lists")


def masked(found: list[Finding]) -> list[str]:
    """Findings without what parts are called."""
    return [
        repr((f.id, f.state, f.verdict, f.perhaps, f.reason, f.tests, f.follows, f.through, f.settings)) for f in found
    ]


def findings(fitting: FittingList, lib: Library = LIBRARY) -> list[str]:
    return masked(questions.evaluation(fitting, lib, BICYCLE).findings)


def nonsense_library() -> tuple[Library, dict[str, str]]:
    """The library with every trade name replaced by one that means nothing, and old -> new."""
    new: dict[str, str] = {}

    def renamed(name: str) -> str:
        return new.setdefault(squeezed(name), f"quux {len(new)} zzyx")

    files = {}
    for file, text in library.texts().items():
        raw: dict[str, Any] = tomllib.loads(text.decode(), parse_float=Decimal)
        for group in ("interface", "family"):
            for row in raw.get(group, []):
                row["names"] = list(dict.fromkeys(renamed(n) for n in row.get("names", [])))
        raw.pop("phrase", None)
        files[file] = raw
    return library.build(files), new


NONSENSE, NEW = nonsense_library()


def renamed_port(raw: Any) -> Any:
    """A port as written in a setting: its trade names renamed."""
    if isinstance(raw, str):
        return NEW.get(squeezed(raw), raw)
    return raw


def renamed_record(slot: str, raw: Any) -> Any:
    """A record with the words on its box placed in its ports, each trade name renamed; figures stay."""
    faults = FaultList("test")
    record = boxline.expand(BICYCLE.record_class(slot).read(raw), LIBRARY, faults, slot)
    faults.raise_if_any()
    out: dict[str, Any] = {"material": record.material} if record.material is not None else {}
    for name in record.ports():
        port = getattr(record, name)
        if port is not None:
            figures = {f: getattr(port, f) for f in port.given}
            figures["standard"] = [NEW.get(squeezed(n), n) for n in port.standard]
            out[name] = figures
    return out


def renamed_entry(slot: str, raw: Any) -> Any:
    """What stands in a slot of a list: a number stays; figures stated over those of a number are kept beside it."""
    if isinstance(raw, dict) and "number" in raw:
        return {"number": raw["number"], **renamed_record(slot, {k: v for k, v in raw.items() if k != "number"})}
    return renamed_record(slot, raw) if isinstance(raw, dict) or "," in raw else raw


def renamed_part(part: dict[str, Any]) -> dict[str, Any]:
    out = {**part, "maker": "Xyzzy", "model": "Plugh"}
    out["fills"] = {
        key: renamed_record(key if key in BICYCLE.by_id else BICYCLE.slots_of_kind(key)[0], record)
        for key, record in part["fills"].items()
    }
    for group in out.get("settings", []):
        for option in group["options"]:
            for slot in part["fills"]:
                if slot in option:
                    option[slot] = {port: renamed_port(raw) for port, raw in option[slot].items()}
    return out


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_names_mean_nothing_but_their_rows(path: Path) -> None:
    raw = raw_list(path)
    parts = {n: renamed_part(p) for n, p in raw_catalog()["parts"].items()}
    slots = {s: renamed_entry(s, v) for s, v in raw["slots"].items()}
    inside = {**raw, "catalogs": [], "parts": parts, "slots": slots}
    assert findings(read(inside, NONSENSE), NONSENSE) == findings(read(raw_list(path)))


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_the_order_of_the_list_means_nothing(path: Path) -> None:
    expected = findings(read(raw_list(path)))
    for seed in range(3):
        raw = raw_list(path)
        slots = list(raw["slots"].items())
        random.Random(seed).shuffle(slots)
        raw["slots"] = dict(slots)
        assert findings(read(raw)) == expected


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_described_in_place_is_the_same_as_by_number(path: Path) -> None:
    raw, shop = raw_list(path), raw_catalog()
    inline = dict(raw["slots"])
    described = 0
    for slot, value in raw["slots"].items():
        part = shop["parts"].get(value) if isinstance(value, str) else None
        if part is None or "versions" in part:
            continue
        fills = part["fills"]
        if len(fills) == 1:
            (record,) = fills.values()
            inline[slot] = {"box": record} if isinstance(record, str) else record
            described += 1
        elif all(s in BICYCLE.by_id for s in fills):
            for other, record in fills.items():
                inline[other] = {"box": record} if isinstance(record, str) else record
            described += 1
    assert described > 5 or "any" in raw["slots"].values()
    assert findings(read({**raw, "slots": inline})) == findings(read(raw_list(path)))


CONVERTIBLE: dict[str, Any] = {
    "wheel": {
        "fills": {"rear_hub": "12x142, splined, HG 11 road, 28h"},
        "settings": [
            {
                "name": "end caps",
                "complete": True,
                "options": [
                    {"name": "12x142", "offer": "as-shipped"},
                    {"name": "135", "offer": "in-the-box", "rear_hub": {"axle": "QR 135"}},
                    {"name": "12x148", "offer": "sold", "number": "CAP", "rear_hub": {"axle": "12x148"}},
                    {"name": "12x157", "offer": "not-sold", "rear_hub": {"axle": "12x157"}},
                ],
            }
        ],
    }
}


@pytest.mark.parametrize(
    ("frame", "plain", "verdict"),
    [
        ("12x142, M12x1.0", "12x142, splined, HG 11 road, 28h", "fits"),
        ("QR 135, 10 mm slot, steel", "QR 135, splined, HG 11 road, 28h", "fits"),
        ("12x148 UDH", "12x148, splined, HG 11 road, 28h", "needs-adapter"),
        ("12x157", None, "no-fit"),
    ],
)
def test_a_setting_is_the_same_as_the_part_it_makes(frame: str, plain: str | None, verdict: str) -> None:
    def hub(slots: dict[str, Any], parts: dict[str, Any]) -> list[Finding]:
        found = questions.findings(read({"slots": {"frame": frame, **slots}, "parts": parts}))
        return [f for f in found if f.state == "judged"]

    (with_settings,) = [f for f in hub({"rear_hub": "wheel"}, CONVERTIBLE) if f.id == "wheels.hub-in-dropout@rear"]
    assert with_settings.verdict.word == verdict
    if plain is not None:
        (alone,) = [f for f in hub({"rear_hub": plain}, {}) if f.id == "wheels.hub-in-dropout@rear"]
        assert alone.verdict.word == "fits"
        assert [t for t in with_settings.tests if t.test != "setting"] == list(alone.tests)


def test_a_sold_setting_that_is_on_the_list_fits() -> None:
    raw = {"slots": {"frame": "12x148 UDH", "rear_hub": "wheel"}, "parts": CONVERTIBLE, "extras": ["CAP"]}
    (found,) = [f for f in questions.findings(read(raw)) if f.id == "wheels.hub-in-dropout@rear"]
    assert found.verdict.word == "fits"


def test_a_set_that_is_not_closed_leaves_a_no_not_known() -> None:
    open_set = {
        "wheel": {**CONVERTIBLE["wheel"], "settings": [{**CONVERTIBLE["wheel"]["settings"][0], "complete": False}]}
    }
    raw = {"slots": {"frame": "12x157", "rear_hub": "wheel"}, "parts": open_set}
    (found,) = [f for f in questions.findings(read(raw)) if f.id == "wheels.hub-in-dropout@rear"]
    assert found.verdict.word == "not-known"
