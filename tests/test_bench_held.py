"""What cannot be undone is held back where a list does not fit, and what is not on the sheet is said."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from solver import questions_bench
from solver.render import page
from solver.report_bench import BenchFigure, BenchReport
from solver.wording import bench as told
from solver.wording import bench_work

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"


def sheet(name: str, without: str = "", slots: tuple[str, ...] = (), **changed: Any) -> BenchReport:
    raw = tomllib.loads((LISTS / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)
    raw["catalogs"] = [str((LISTS / c).resolve()) for c in raw["catalogs"]]
    raw["slots"] = {s: v for s, v in (raw["slots"] | changed).items() if s != without}
    return questions_bench.bench(fitting_list.read(raw, "list", library.load(), bicycle.load()), slots)


def screen(report: BenchReport) -> str:
    return "\n".join(line.text for line in told.lines(report))


@pytest.mark.parametrize("path", sorted(LISTS.glob("fails-*.toml")), ids=lambda p: p.stem)
def test_a_list_that_does_not_fit_shows_no_length_to_cut(path: Path) -> None:
    report = sheet(path.stem)
    lasting = [f for f in report.figures if f.lasting]
    assert lasting
    assert "known" not in {f.state for f in lasting}
    shown = [size for _, size in told.big(told.all_told(report))]
    assert not any(size.endswith((" mm", " links")) for size in shown), shown
    for text in (screen(report), page.page(report)):
        assert "Cut the steerer to" not in text
        assert "not yet" in text


def test_a_warning_about_one_cut_holds_the_others_back() -> None:
    star_nut = sheet("fits-towpath", preload_anchor="OG-AN-STAR")
    steps = {s.id for s in star_nut.steps}
    assert "star-nut-in" not in steps, "a star nut never goes in carbon"
    assert {f.state for f in star_nut.figures if f.id == "front_end.steerer-cut"} == {"held"}
    assert "star-nut-in" in {s.id for s in sheet("fits-lighter").steps}, "in steel it does"


def test_a_part_that_is_not_listed_is_named_where_a_cut_lacks_it() -> None:
    assert "Not on this sheet: steerer. No fork on the list." in screen(sheet("fits-towpath", without="fork"))
    assert "Not on this sheet" not in screen(sheet("fits-towpath"))


def test_what_is_taken_for_granted_stands_beside_a_cut() -> None:
    assert "taken as: spacers, spacers on the stem" in screen(
        sheet("fits-towpath", spacers={"stack": {"below_mm": 20}})
    )


def test_a_figure_of_a_step_stays_with_the_slot_that_the_step_is_about() -> None:
    assert any(f.id.startswith("drivetrain.chain") for f in sheet("fits-sculler", slots=("chain",)).figures)


def test_the_figures_of_the_steerer_add_up() -> None:
    found = next(f for f in sheet("fits-sculler").figures if f.id == "front_end.steerer-cut")
    values = {r.key: r.value for r in found.results}
    given = {i.name: i.value for i in found.inputs}
    assert values["cut_length_mm"] + values["cut_off_mm"] == given["steerer"].value  # type: ignore[operator, union-attr]


def the(report: BenchReport, figure_id: str) -> BenchFigure:
    return next(f for f in report.figures if f.at == figure_id)


@pytest.mark.parametrize(
    ("changed", "without"),
    [({"spacers": "any"}, ""), ({}, "spacers"), ({"spacers": ["OG-SP-20", "OG-SP-5"]}, "")],
    ids=["to choose", "not on the list", "one of two"],
)
def test_nothing_is_cut_for_spacers_that_nobody_has_settled(changed: dict[str, Any], without: str) -> None:
    report = sheet("bench-towpath", without=without, **changed)
    assert the(report, "front_end.steerer-cut").state == "held"
    assert report.exit_code == 3
    text = screen(report)
    assert "Cut the steerer to" not in text
    assert "hangs on that" in text


def test_no_spacers_are_no_question_once_the_list_says_so() -> None:
    report = sheet("bench-towpath", spacers="none")
    cut = the(report, "front_end.steerer-cut")
    assert (cut.state, report.exit_code) == ("known", 0)
    assert cut.result("cut_length_mm").value == 186  # type: ignore[union-attr]
    assert "taken as: spacers" not in screen(report)


def test_no_spokes_are_ordered_for_one_of_two_rims() -> None:
    report = sheet("bench-gantry", front_rim=["PM-RI-30", {"number": "PM-RI-30", "bed": {"erd_mm": 580}}])
    assert {f.place: f.state for f in report.figures if f.id == "wheels.spoke-length"} == {
        "front": "held",
        "rear": "known",
    }
    assert ("Front: spokes", "not yet") in told.big(told.all_told(report))


def test_no_spokes_are_ordered_that_do_not_fit_the_hub() -> None:
    report = sheet("bench-gantry", front_spokes="32 spokes, J bend, radial, 2.0 mm elbow, FG 2.3")
    assert report.exit_code == 1
    assert not [s for w, s in told.big(told.all_told(report)) if "spokes" in w and s != "not yet"]


def test_nothing_is_cut_while_a_headset_half_may_still_be_another() -> None:
    report = sheet("bench-towpath", headset_lower={"stack": {"height_mm": 1}})
    cut = the(report, "front_end.steerer-cut")
    assert cut.state == "held"
    assert "front_end.lower-headset-in-head-tube" in cut.doubts
    known = sheet("unknown-rotor-limit")
    assert the(known, "front_end.steerer-cut").state == "known", "a rotor changes no length of a steerer"


def steps_told(report: BenchReport) -> dict[str, str]:
    known = told.short(report)
    return {s.do: "; ".join(told.figures_of(s, known)) for s in bench_work.told(report.steps)}


def test_a_step_whose_figure_waits_says_so() -> None:
    cut = "Take the fork out, cut the steerer at the mark, file the end."
    assert steps_told(sheet("fails-148-wheel-in-142-frame"))[cut] == "not yet"
    assert steps_told(sheet("bench-towpath", headset_lower="ZS56/40"))[cut] == "measure first"
    assert steps_told(sheet("bench-towpath"))[cut] == "206 mm"


def test_the_greatest_pressure_is_no_target() -> None:
    pump = "Front and rear: put the tyre on, with its tube if it has one, and pump it up."
    assert steps_told(sheet("bench-towpath"))[pump] == "never over 5 bar (72 psi)"


@pytest.mark.parametrize(("printed", "doubted"), [(6, False), (14, False), (44, True), (60, True)])
def test_a_torque_in_the_wrong_unit_is_asked_back(printed: int, doubted: bool) -> None:
    stem = {"number": "OG-ST-31-80", "steerer_clamp": {"torque_nm": printed}}
    text = steps_told(sheet("bench-towpath", stem=stem))["Line the stem up with the front wheel and tighten it."]
    assert text.startswith("not yet: read the torque") is doubted, text
    assert ("inch pounds" in text) is doubted
