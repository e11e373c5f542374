"""The sheet's figures of steerer, stem, bar and seat, and how the cut steerer comes back to the list."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.fitting_list import FittingList
from solver import questions, questions_bench
from solver.report import CheckReport, Verdict
from solver.report_bench import BenchFigure, BenchReport, NotAsked
from solver.wording import bench as told
from solver.wording import finding as wording
from solver.wording import words

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
LIBRARY = library.load()
BICYCLE = bicycle.load()
CLAMPED = ["fits-towpath", "fits-gantry", "fits-rapids", "fits-skiff", "fits-dredger", "fits-dinghy"]


def fitting(name: str, **slots: Any) -> FittingList:
    raw = tomllib.loads((LISTS / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)
    raw["slots"] |= slots
    raw["catalogs"] = [str((LISTS / c).resolve()) for c in raw["catalogs"]]
    return fitting_list.read(raw, "list", LIBRARY, BICYCLE)


def fork_of(name: str, length: Decimal) -> dict[str, Any]:
    """The list's own fork, with another length of steerer."""
    number = fitting(name).slots["fork"].parts[0].number
    return {"number": number, "steerer": {"length_mm": length}}


def sheet(name: str, **slots: Any) -> BenchReport:
    return questions_bench.bench(fitting(name, **slots))


def figure(report: BenchReport, name: str) -> BenchFigure:
    return next(f for f in report.figures if f.at == name)


def value(one: BenchFigure, key: str) -> Decimal:
    found = one.result(key)
    assert found is not None
    assert isinstance(found.value, Decimal)
    return found.value


def remarks(report: CheckReport) -> set[str]:
    return {r for f in report.judged if f.joint == "front_end.steerer-length" for r in f.remarks}


def verdict(report: CheckReport) -> Verdict:
    return next(f.verdict for f in report.judged if f.joint == "front_end.steerer-length")


# the steerer


@pytest.mark.parametrize("name", CLAMPED)
def test_an_uncut_steerer_is_told_by_check_and_the_sheet_by_the_same_figure(name: str) -> None:
    report = questions.check(fitting(name))
    assert remarks(report) == {"to-be-cut"}
    finding = next(f for f in report.judged if f.joint == "front_end.steerer-length")
    said = " ".join(text for _, text in wording.said(finding, report).lines)
    told_by_check = [
        f.value
        for finding in report.judged
        if finding.joint == "front_end.steerer-length"
        for t in finding.tests
        for f in t.figures
        if f.name == "cut_by_mm"
    ]
    cut = figure(sheet(name), "front_end.steerer-cut")
    assert told_by_check == [value(cut, "cut_off_mm")]
    assert f"to be cut by {words.computed(value(cut, 'cut_off_mm'))} mm" in said


@pytest.mark.parametrize("name", CLAMPED)
def test_cut_as_the_sheet_says_nothing_is_left_to_say(name: str) -> None:
    length = value(figure(sheet(name), "front_end.steerer-cut"), "cut_length_mm")
    fork = fork_of(name, length)
    report = questions.check(fitting(name, fork=fork))
    assert remarks(report) == set()
    assert verdict(report) is Verdict.FITS
    cut = figure(sheet(name, fork=fork), "front_end.steerer-cut")
    assert cut.remarks == ("cut-already",)
    assert value(cut, "below_top_mm") == 3
    assert cut.result("cut_length_mm") is None


@pytest.mark.parametrize("name", CLAMPED)
def test_a_millimetre_under_the_least_fails(name: str) -> None:
    least = value(figure(sheet(name), "front_end.steerer-cut"), "least_mm")
    assert verdict(questions.check(fitting(name, fork=fork_of(name, least)))) is Verdict.FITS
    short = fork_of(name, least - 1)
    assert verdict(questions.check(fitting(name, fork=short))) in (Verdict.NO_FIT, Verdict.UNSAFE)
    report = sheet(name, fork=short)
    cut = figure(report, "front_end.steerer-cut")
    assert cut.warnings == ("too-short",)
    assert value(cut, "short_by_mm") == 1
    assert report.exit_code == 1
    lines = told.lines(report)
    assert "Cut nothing yet" in lines[0].text
    assert any(line.loud and "too short by 1 mm" in line.text for line in lines)


def test_a_steerer_short_for_its_spacers_says_how_many_to_take_away() -> None:
    # 1 + 140 + 8 + 20 + 40 less 3 is 206; 196 is 10 short of that and still over the least of 184
    cut = figure(sheet("fits-towpath", fork=fork_of("fits-towpath", Decimal(196))), "front_end.steerer-cut")
    assert cut.warnings == ("fewer-spacers",)
    assert value(cut, "short_by_mm") == 10


def test_the_stack_is_summed_part_by_part() -> None:
    # the sum of "All Forked Up, part 1" (myrambouilletbuild.blogspot.com, 2008): 110.2 + 10.9 + 16.5 + 25.3 + 40.0
    # is 202.9, less 3 mm; the writer rounds to 203 first and cuts at 200, one step of our rounding above 199.5
    slots = {
        "frame": {"head_tube": {"length_mm": "110.2"}},
        "headset_lower": {"stack": {"height_mm": "10.9"}},
        "headset_upper": {"stack": {"height_mm": "16.5"}},
        "spacers": {"stack": {"below_mm": "25.3"}},
        "stem": {"steerer_clamp": {"form": "clamp", "bore_mm": "28.6", "height_mm": "40.0"}},
        "fork": {"steerer": {"form": "threadless", "top_dia_mm": "28.6", "length_mm": 300, "material": "steel"}},
    }
    report = questions_bench.bench(fitting_list.read({"slots": slots}, "list", LIBRARY, BICYCLE))
    cut = figure(report, "front_end.steerer-cut")
    assert cut.grid is not None
    assert [(line[0], line[2]) for line in cut.grid.lines] == [
        ("headset_lower", Decimal("10.9")),
        ("frame", Decimal("121.1")),
        ("headset_upper", Decimal("137.6")),
        ("spacers below", Decimal("162.9")),
        ("stem", Decimal("202.9")),
    ]
    exact = cut.result("cut_length_mm")
    assert exact is not None
    assert (exact.exact, exact.value) == (Decimal("199.9"), Decimal("199.5"))


def test_spacers_over_the_stem_let_it_hold_the_whole_tube() -> None:
    found = figure(sheet("fits-skiff"), "front_end.steerer-cut")
    over = figure(sheet("fits-skiff", spacers="OG-SP-20-5"), "front_end.steerer-cut")
    stem = next(i.value for i in over.inputs if i.name == "stem")
    assert value(over, "held_mm") == getattr(stem, "value", None)
    assert value(found, "held_mm") <= value(over, "held_mm")


def test_the_fork_makers_limit_caps_the_stem() -> None:
    towpath = figure(sheet("fits-towpath"), "front_end.stem-height")
    assert value(towpath, "most_below_mm") == 30  # stated on the fork
    assert towpath.remarks == ("fork-maker-decides",)
    gantry = figure(sheet("fits-gantry"), "front_end.stem-height")
    # 265 + 3 less 1 + 110 + 8 + 41
    assert value(gantry, "most_below_mm") == 108


def test_carbon_takes_no_star_nut() -> None:
    report = sheet("fits-towpath", preload_anchor={"anchor": {"form": "star-nut"}})
    nut = figure(report, "front_end.star-nut-depth")
    assert nut.warnings == ("never-in-carbon",)
    assert not nut.results
    assert report.exit_code == 1


def test_a_plug_shorter_than_the_clamp_is_told() -> None:
    report = sheet("fits-towpath", preload_anchor={"anchor": {"form": "expander", "length_mm": 30}})
    plug = figure(report, "front_end.expander-length")
    assert plug.warnings == ("plug-short",)
    assert value(plug, "short_by_mm") == 10


@pytest.mark.parametrize(("above", "least"), [(0, 40), (2, 40), (4, 42), (5, 43), (10, 48), (40, 78)])
def test_spacers_on_the_stem_carry_the_plug_away_from_the_clamp(above: int, least: int) -> None:
    # the end of the tube stands 2 mm below the top of all: with 10 mm of spacers 8 mm over a stem of 40 mm
    report = sheet("bench-towpath", spacers={"stack": {"below_mm": 10, "above_mm": above}})
    plug = figure(report, "front_end.expander-length")
    assert value(plug, "least_mm") == least
    assert plug.warnings == (("plug-short",) if least > 42 else ())
    assert report.exit_code == (1 if least > 42 else 0)


@pytest.mark.parametrize(("above", "told"), [(0, True), (2, True), (3, True), (4, False), (5, False)])
def test_a_carbon_tube_that_does_not_end_above_the_clamp_is_told(above: int, told: bool) -> None:
    # sawn 3 mm below the top of all: 3 mm of spacers leave it level with the clamp; the page wants 1 mm more
    report = sheet("bench-towpath", spacers={"stack": {"below_mm": 20, "above_mm": above}})
    assert ("clamp-over-the-end" in figure(report, "front_end.steerer-cut").remarks) is told


def test_of_a_clamp_past_the_end_only_a_carbon_tube_is_warned() -> None:
    assert "clamp-over-the-end" in figure(sheet("bench-towpath"), "front_end.steerer-cut").remarks
    assert "clamp-over-the-end" not in figure(sheet("bench-gantry"), "front_end.steerer-cut").remarks


def test_who_has_few_spacers_is_told_of_a_longer_first_cut() -> None:
    gantry = figure(sheet("bench-gantry"), "front_end.steerer-cut")  # 10 mm listed, 20 mm to begin with
    assert value(gantry, "cut_length_mm") == 167
    assert value(gantry, "first_cut_mm") == 177
    assert "longer-first" in gantry.remarks
    towpath = figure(sheet("bench-towpath"), "front_end.steerer-cut")
    assert "longer-first" not in towpath.remarks


@pytest.mark.parametrize(("below", "told"), [(40, False), (45, True), (100, True)])
def test_a_high_stack_without_a_limit_of_the_maker_is_told(below: int, told: bool) -> None:
    found = figure(sheet("bench-gantry", spacers={"stack": {"below_mm": below}}), "front_end.steerer-cut")
    assert ("high-stack" in found.remarks) is told


# the bar


def test_a_bar_is_trimmed_by_half_on_each_side() -> None:
    bar = {"number": "OG-HB-35C", "span": {"wanted_mm": 745}}
    trim = figure(sheet("fits-rapids", handlebar=bar), "front_end.bar-trim")
    assert trim.lasting
    assert value(trim, "each_side_mm") == Decimal("17.5")  # (780 - 745) / 2
    narrow = figure(
        sheet("fits-rapids", handlebar={"number": "OG-HB-35C", "span": {"wanted_mm": 700}}), "front_end.bar-trim"
    )
    assert narrow.warnings == ("below-makers-least",)
    wide = figure(
        sheet("fits-rapids", handlebar={"number": "OG-HB-35C", "span": {"wanted_mm": 800}}), "front_end.bar-trim"
    )
    assert wide.warnings == ("too-narrow",)


def test_a_width_that_nobody_wants_is_not_asked_for() -> None:
    report = sheet("fits-rapids")
    assert not [f for f in report.figures if f.id == "front_end.bar-trim"]
    assert NotAsked("front_end.bar-trim", ("handlebar.span.wanted_mm",)) in report.not_asked


# the seat


def test_the_greatest_of_all_least_depths_counts() -> None:
    # mark 100; 42 + 25 below the joint of the top tube; 90 by the frame's maker: 100, so 350 - 100 may come out
    seat = figure(sheet("fits-towpath"), "seating.saddle-height")
    assert value(seat, "least_depth_mm") == 100
    assert value(seat, "most_out_mm") == 250
    assert value(seat, "greatest_height_mm") == 540 + 250 + 45
    assert value(seat, "least_height_mm") == 540 + 90 + 45
    deep = {"number": "WQ-TOW-54", "seat_tube": {"joint_depth_mm": 110}}
    seat = figure(sheet("fits-towpath", frame=deep), "seating.saddle-height")
    assert value(seat, "least_depth_mm") == 135


def test_a_dropper_is_set_for_the_height_that_is_wanted() -> None:
    saddle = {"number": "OG-SA-7", "mount": {"wanted_mm": 740}}
    seat = figure(sheet("fits-rapids", saddle=saddle), "seating.post-depth")
    assert value(seat, "depth_mm") == 440 + 430 + 47 - 740
    assert value(seat, "low_mm") == 590  # 150 mm of travel
    low = {"number": "OG-SA-7", "mount": {"wanted_mm": 680}}
    report = sheet("fits-rapids", saddle=low)
    seat = figure(report, "seating.post-depth")
    assert seat.warnings == ("dropper-too-long",)
    assert value(seat, "over_by_mm") == 12  # 205 always out, 193 there is
    high = {"number": "OG-SA-7", "mount": {"wanted_mm": 800}}
    assert figure(sheet("fits-rapids", saddle=high), "seating.post-depth").warnings == ("too-high",)


def test_a_figure_over_that_of_a_catalogue_comes_from_the_list() -> None:
    saddle = {"number": "OG-SA-7", "mount": {"wanted_mm": 740}}
    seat = figure(sheet("fits-rapids", saddle=saddle), "seating.post-depth")
    origins = {i.name: (i.origin, i.number) for i in seat.inputs if i.number or i.origin == "list"}
    assert origins["wanted"] == ("list", "")
    assert origins["saddle"] == ("catalogue", "OG-SA-7")


def test_a_post_goes_no_deeper_than_it_is_long() -> None:
    found = figure(
        sheet("bench-towpath", seatpost={"number": "OG-PO-272", "shaft": {"length_mm": 120}}), "seating.saddle-height"
    )
    assert value(found, "most_depth_mm") == 120
    assert value(found, "least_out_mm") == 0
