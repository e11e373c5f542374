"""Figures of wheels, tyres, drivetrain and brakes on the bench sheet, and the values that only they read."""

from __future__ import annotations

import copy
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.figures import Known
from catalog_schema.quantity import Series, parse_series
from solver import questions_bench
from solver.bench import every
from solver.bench.registry import FIGURES
from solver.bench.working import Parts, work_out
from solver.render import machine
from solver.report import Verdict
from solver.report_bench import BenchFigure, BenchReport
from solver.rules.registry import Read
from solver.wording import bench as bench_words
from solver.wording import words

# ------------------------------------------------------------------------------------------ numbers that a part has all


@pytest.mark.parametrize("raw", ["11-13-15", "15, 13, 11", [15, 11, 13], "11/13/15"])
def test_whole_numbers_that_a_part_has_all_of(raw: object) -> None:
    assert parse_series(raw) == Series((Decimal(11), Decimal(13), Decimal(15)))


@pytest.mark.parametrize("raw", ["", "11-x", [], "11-11-13", [11, 12.5], [-3, 4], 11, {"a": 1}, [True]])
def test_other_things_are_no_such_numbers(raw: object) -> None:
    with pytest.raises(ValueError, match="whole numbers such as"):
        parse_series(raw)


def test_numbers_that_nobody_stated() -> None:
    assert parse_series("not-stated") is parse_series(None) is None


def test_they_are_printed_as_they_are_written() -> None:
    cogs = Series((Decimal(11), Decimal(13)))
    assert words.value_text(cogs, "cogs_teeth") == "11-13 teeth"
    assert machine.value(cogs) == [11, 13]


# --------------------------------------------------------------------------------------------------- figures one by one


def cases() -> list[dict[str, Any]]:
    file = Path(__file__).parent / "cases" / "bench_figures.toml"
    found: list[dict[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"), parse_float=Decimal)["case"]
    return found


CASES = cases()
LIBRARY, BICYCLE = library.load(), bicycle.load()
every.load()
#: The areas whose figures are told here; the others have tests of their own.
AREAS = ("wheels", "tyres", "drivetrain", "brakes")


def worked(slots: dict[str, Any], use: str = "") -> dict[str, BenchFigure]:
    """The figures of some parts, by figure and place; ``use`` is what the bicycle is for."""
    read = fitting_list.read({"slots": slots}, "list", LIBRARY, BICYCLE)
    figures = {slot: state.parts[0].fills[slot] for slot, state in read.slots.items() if state.parts}
    whole = {"bicycle": ({"use": Known(use)},)} if use else {}
    return {f.at: f for f in work_out(Parts({**figures, **whole}, {}, LIBRARY))[0]}


@pytest.mark.parametrize("case", CASES, ids=[c["id"] for c in CASES])
def test_a_figure_comes_out_as_worked_by_hand(case: dict[str, Any]) -> None:
    found = worked(case["slots"], case.get("use", "")).get(case["figure"])
    if not case.get("arises", True):
        assert found is None
        return
    assert found is not None
    if "measure" in case:
        assert (found.state, list(found.missing)) == ("measure", case["measure"])
        return
    assert found.state == "known"
    assert {r.key: str(r.value) for r in found.results} == case["gives"]
    assert list(found.remarks) + list(found.warnings) == case.get("remarks", []) + case.get("warnings", [])
    if "grid" in case:
        assert found.grid is not None
        assert [["" if c is None else str(c) for c in line] for line in found.grid.lines] == case["grid"]


def without(slots: dict[str, Any], ref: str) -> dict[str, Any] | None:
    """The slots without one stated figure; None if it is not stated there."""
    slot, port, name = ref.split(".")
    left = copy.deepcopy(slots)
    if name not in left.get(slot, {}).get(port, {}):
        return None
    del left[slot][port][name]
    return left


@pytest.mark.parametrize("case", [c for c in CASES if "gives" in c], ids=lambda c: c["id"])
def test_each_deciding_figure_is_asked_for_when_it_is_gone(case: dict[str, Any]) -> None:
    """One figure less: it is to be measured, or the figure no longer arises where nobody stated any of its inputs."""
    name, _, at = case["figure"].partition("@")
    one = FIGURES[name]
    roles = next(p.roles for p in one.places if p.name == at)
    for read in one.parameters.values():
        if not isinstance(read, Read) or read.role == "confirming":
            continue
        role, _, path = read.ref.partition(".")
        ref = f"{roles[role]}.{path}"
        left = without(case["slots"], ref)
        if left is None:
            continue
        found = worked(left, case.get("use", "")).get(case["figure"])
        assert found is None or (found.state, found.missing) == ("measure", (ref,)), ref
        assert found is not None or len(one.stated) == 1, f"{ref} is gone, and nobody asks for it"


def test_every_remark_and_every_result_has_a_case() -> None:
    told = {(c["figure"].partition("@")[0], r) for c in CASES for r in (*c.get("remarks", ()), *c.get("warnings", ()))}
    given = {(c["figure"].partition("@")[0], k) for c in CASES for k in c.get("gives", ())}
    for one in FIGURES.values():
        if one.area in AREAS:
            assert {(one.id, r) for r in one.remarks} <= told, one.id
            assert {(one.id, k) for k in one.gives} <= given, one.id


def test_cases_are_told_apart_and_say_why() -> None:
    assert len({c["id"] for c in CASES}) == len(CASES)
    assert all(c["basis"] for c in CASES)
    assert {c["figure"].partition("@")[0] for c in CASES} <= set(FIGURES)


# --------------------------------------------------------------------------------------------------- whole bench sheets

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"


@pytest.fixture(scope="module", params=["bench-towpath", "bench-gantry"])
def sheet(request: pytest.FixtureRequest) -> BenchReport:
    return questions_bench.bench(fitting_list.load(LISTS / f"{request.param}.toml", LIBRARY, BICYCLE))


def test_the_bench_lists_fit_and_need_no_measuring(sheet: BenchReport) -> None:
    assert sheet.exit_code == 0
    assert [f.at for f in sheet.figures if f.state == "measure"] == []
    assert [f.at for f in sheet.figures if f.warnings] == []


def test_the_bench_lists_show_every_kind_of_figure(sheet: BenchReport) -> None:
    shown = {f.id for f in sheet.figures}
    wanted = {
        *("wheels.spoke-length", "wheels.dish", "wheels.rotor-line", "wheels.thru-axle"),
        *("tyres.mounted-size", "tyres.room-beside", "tyres.pressure-ceiling", "tyres.tape", "tyres.valve"),
        *("drivetrain.chain-length", "drivetrain.capacity", "drivetrain.gear-table", "drivetrain.chainline"),
        *("drivetrain.shift-error", "drivetrain.cassette-rings"),
        *("brakes.caliper-height", "brakes.rotor-wear", "brakes.bedding-in", "brakes.line-length"),
    }
    assert wanted <= shown


def test_every_figure_names_formula_inputs_and_origin(sheet: BenchReport) -> None:
    for one in sheet.figures:
        assert one.formula in LIBRARY.rows
        assert one.inputs, one.at
        assert all(i.origin in ("list", "catalogue", "library", "assumed") for i in one.inputs)


def test_the_sheet_spokes_fit_when_they_are_fed_back() -> None:
    """Spokes of the lengths that the sheet names pass the joint that judges spoke lengths."""
    path = LISTS / "bench-towpath.toml"
    found = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    found["catalogs"] = [str(path.parent / "../basin.toml")]
    report = questions_bench.bench(fitting_list.read(found, "list", LIBRARY, BICYCLE))
    for at, slot in (("front", "front_spokes"), ("rear", "rear_spokes")):
        figure = next(f for f in report.figures if f.at == f"wheels.spoke-length@{at}")
        lengths = {r.key: r.value for r in figure.results}
        wire = {"left_length_mm": lengths["left_mm"], "right_length_mm": lengths["right_mm"]}
        found["slots"][slot] = {"box": found["slots"][slot], "wire": wire}
    fed = questions_bench.bench(fitting_list.read(found, "list", LIBRARY, BICYCLE))
    judged = {f.joint: f.verdict for f in fed.check.judged if f.joint == "wheels.spoke-length"}
    assert judged == {"wheels.spoke-length": Verdict.FITS}


def test_what_the_bicycle_is_for_reaches_the_sheet() -> None:
    found = tomllib.loads((LISTS / "bench-towpath.toml").read_text(encoding="utf-8"), parse_float=Decimal)
    found["catalogs"] = [str(LISTS / "../basin.toml")]
    least = []
    for kind in ("gravel", "road"):
        report = questions_bench.bench(fitting_list.read({**found, "kind": kind}, "list", LIBRARY, BICYCLE))
        room = next(f for f in report.figures if f.at == "tyres.room-beside@rear")
        least += [r.value for r in room.results if r.key == "least_mm"]
    assert least == [6, 4]


def spokes(name: str, **changed: Any) -> BenchFigure:
    """Return the front spokes of a sample list with some slots changed."""
    found = tomllib.loads((LISTS / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)
    found["catalogs"] = [str(LISTS.parent / "basin.toml")]
    found["slots"] |= changed
    report = questions_bench.bench(fitting_list.read(found, "list", LIBRARY, BICYCLE))
    return next(f for f in report.figures if f.at == "wheels.spoke-length@front")


def test_spokes_are_rounded_to_the_nearest_millimetre() -> None:
    """A spoke that ends a millimetre under the slot breaks the nipple: 289.88 mm is 290, and 269.999 is 270."""
    front = spokes("bench-gantry", front_spokes="32 spokes, J bend, 3-cross, 2.0 mm elbow, FG 2.3")
    assert {r.key: r.value for r in front.results if r.rounding.endswith(" 1")} == {"left_mm": 287, "right_mm": 290}
    once = spokes("bench-gantry", front_spokes="32 spokes, J bend, 1-cross, 2.0 mm elbow, FG 2.3")
    assert {r.key: r.value for r in once.results if r.rounding.endswith(" 1")} == {"left_mm": 270, "right_mm": 277}


@pytest.mark.parametrize(("erd_mm", "warned"), [(612, False), (621, False), (622, True), (700, True)])
def test_spokes_do_not_end_outside_the_bead_seat(erd_mm: int, warned: bool) -> None:
    front = spokes("bench-gantry", front_rim={"number": "PM-RI-30", "bed": {"erd_mm": erd_mm}})
    assert front.warnings == (("over-the-bead-seat",) if warned else ())
    assert (front.result("left_mm") is None) is warned


@pytest.mark.parametrize(("left_mm", "warned"), [(1, False), (0, True)])
def test_no_spokes_are_ordered_for_a_flange_under_the_rim(left_mm: int, warned: bool) -> None:
    front = spokes("bench-gantry", front_hub={"number": "PM-F-15", "flanges": {"left_offset_mm": left_mm}})
    assert front.warnings == (("flange-under-the-rim",) if warned else ())


def figure_of(slots: dict[str, Any], at: str) -> BenchFigure:
    """Return one figure of the sheet for some parts."""
    report = questions_bench.bench(fitting_list.read({"slots": slots}, "list", LIBRARY, BICYCLE))
    return next(f for f in report.figures if f.at == at)


def test_how_much_of_an_axle_holds_is_told_to_the_tenth_and_never_too_much() -> None:
    rod = {"form": "thru", "length_mm": 172, "pitch_mm": Decimal("1.5"), "thread_length_mm": Decimal("12.78")}
    dropout = {"form": "thru", "axle_length_mm": 172, "pitch_mm": Decimal("1.5"), "thread_length_mm": 14}
    slots = {"frame": {"dropout": dropout}, "rear_axle": {"rod": rod}, "rear_hub": "12x148"}
    results = {r.key: r.value for r in figure_of(slots, "wheels.thru-axle@rear").results}
    assert results["engaged_mm"] == Decimal("12.7")


def test_an_amount_that_is_no_span_is_told_once() -> None:
    slots = {"front_tyre": "28-622, tubeless", "front_valve": "presta 44"}
    told = bench_words.told(figure_of(slots, "tyres.sealant@front"))
    text = " ".join(told.lines)
    assert text.startswith("50 ml;")
    assert " to " not in text
