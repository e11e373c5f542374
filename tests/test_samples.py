"""The sample lists show what their names say."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.catalog import Catalog
from solver import questions
from solver.report import NO, CheckReport, Verdict
from solver.rules import registry

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
LIBRARY = library.load()
BICYCLE = bicycle.load()


def named(start: str) -> list[Path]:
    return sorted(LISTS.glob(f"{start}-*.toml"))


def raw(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


def checked(path: Path) -> CheckReport:
    return questions.check(fitting_list.load(path, LIBRARY, BICYCLE))


def shop() -> Catalog:
    return fitting_list.load(named("fits")[0], LIBRARY, BICYCLE).catalog


def exchanged(path: Path) -> int:
    """How many slots differ from the fitting list that is nearest."""
    mine = raw(path)["slots"]
    others = [raw(p)["slots"] for p in named("fits")]
    return min(len([s for s in {*mine, *other} if mine.get(s) != other.get(s)]) for other in others)


def test_there_are_as_many_lists_as_promised() -> None:
    assert [len(named(w)) for w in ("fits", "fails", "adapter", "unknown")] == [13, 4, 2, 1]
    assert len(named("")) + len(list(LISTS.glob("*.toml"))) >= 10


@pytest.mark.parametrize("path", named("fits"), ids=lambda p: p.stem)
def test_a_fitting_list_fits_and_lacks_nothing(path: Path) -> None:
    report = checked(path)
    assert {f.verdict for f in report.judged} == {Verdict.FITS}
    assert report.missing == ()
    assert report.exit_code == 0


@pytest.mark.parametrize("path", named("fails"), ids=lambda p: p.stem)
def test_a_failing_list_is_a_fitting_list_with_one_part_exchanged_and_one_red(path: Path) -> None:
    report = checked(path)
    assert exchanged(path) == 1
    assert [f.verdict in NO for f in report.judged].count(True) == 1
    assert {f.verdict for f in report.judged if f.verdict not in NO} == {Verdict.FITS}
    assert report.exit_code == 1


def test_every_failing_list_but_one_has_a_cure_on_the_shelf() -> None:
    cured = {p.stem: bool(checked(p).cures) for p in named("fails")}
    assert [stem for stem, cure in cured.items() if not cure] == ["fails-tapered-fork-in-34-head-tube"]


@pytest.mark.parametrize("path", named("adapter"), ids=lambda p: p.stem)
def test_an_adapter_list_needs_one_and_fits_with_the_one_on_the_shelf(path: Path) -> None:
    report = checked(path)
    needing = [f for f in report.judged if f.verdict is Verdict.NEEDS_ADAPTER]
    assert len(needing) == 1
    assert report.exit_code == 4
    (need,) = report.needs
    assert need.shelf is not None
    number = need.shelf.offers[0].number
    with_it = raw(path)
    with_it["slots"][need.shelf.slot] = number
    again = questions.check(fitting_list.read(with_it, path.name, LIBRARY, BICYCLE, folder=LISTS))
    assert again.exit_code == 0, [f.id for f in again.judged if f.verdict is not Verdict.FITS]


@pytest.mark.parametrize("path", named("unknown"), ids=lambda p: p.stem)
def test_an_unknown_list_asks_for_one_figure(path: Path) -> None:
    report = checked(path)
    (finding,) = [f for f in report.judged if f.verdict is Verdict.NOT_KNOWN]
    assert finding.id == "brakes.caliper-on-mount@front"
    assert report.exit_code == 3


def test_not_printed_is_an_answer_and_not_stated_is_a_question() -> None:
    """How deep a post may go: what nobody looked up is asked; what the maker does not print is answered."""
    list_with = raw(named("fits")[0])
    said = {}
    for word in ("not-stated", "not-printed"):
        list_with["slots"]["frame"] = {
            "box": "steel, 27.2, 31.8 collar",
            "seat_tube": {"insertion_max_mm": word, "joint_depth_mm": 60},
        }
        list_with["slots"]["seatpost"] = {"box": "27.2", "shaft": {"inserted_mm": 140, "mark_mm": 100}}
        seat = {s: list_with["slots"][s] for s in ("frame", "seatpost")}
        seat["frame"]["seat_tube"]["insertion_min_mm"] = 80
        report = questions.check(fitting_list.read({"slots": seat}, "seat", LIBRARY, BICYCLE))
        (finding,) = [f for f in report.judged if f.joint == "seating.seatpost-in-seat-tube"]
        said[word] = finding.verdict.word
    assert said == {"not-stated": "not-known", "not-printed": "fits"}


def test_the_fitting_lists_ask_nearly_every_joint() -> None:
    """Each joint is judged on one of the fitting lists, but for those whose parts no sample bicycle has.

    A belt and a chain together are a tandem's, and there is none.
    """
    judged = {f.joint for path in named("fits") for f in checked(path).judged}
    every = {j.id for j in registry.JOINTS.values()}
    assert every - judged == {"front_end.reducing-race-in-bearing", "drivetrain.belt-in-place-of-chain"}


def test_the_workshop_is_of_the_promised_size_and_kind() -> None:
    catalog = shop()
    slots = {s for p in catalog.parts.values() for s in p.fills}
    assert len(catalog.parts) >= 600
    assert {s.id for s in BICYCLE.slots if not s.adapter} <= slots, "a part for every slot"
    assert max(len(v) for v in catalog.models.values()) >= 5
    together = [set(p.fills) for p in catalog.parts.values() if p.together and len(p.fills) > 1]
    assert any({"front_hub", "rear_hub", "front_rim", "rear_rim"} <= t for t in together), "a wheelset"
    assert any({"frame", "fork", "headset_upper"} <= t for t in together), "a frameset"
    assert any({"front_brake_lever", "rear_brake_lever", "rear_shifter"} <= t for t in together), "a lever pair"
    groups = [{g.name for g in p.settings} for p in catalog.parts.values()]
    assert any({"end caps", "freehub body"} <= g for g in groups), "a hub with settings"
