"""The bench sheet: every figure is declared whole, a missing input blocks it alone, each says where it comes from."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, hints, library
from catalog_schema.faults import InputFaults
from catalog_schema.records import RECORD_KINDS
from solver import questions_bench
from solver.bench import every
from solver.bench.registry import FIGURES, Figure, Worked, figure
from solver.bench.working import Parts, work_out
from solver.render import bench as shown
from solver.render import machine
from solver.report_bench import BenchFigure, BenchReport
from solver.rules.registry import deciding, place
from solver.wording import bench as told
from solver.wording import store

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
LIBRARY = library.load()
BICYCLE = bicycle.load()
every.load()
DECLARED = list(FIGURES.values())


def raw(name: str) -> dict[str, Any]:
    return tomllib.loads((LISTS / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)


def sheet_of(found: dict[str, Any]) -> BenchReport:
    found = {**found, "catalogs": [str((LISTS / c).resolve()) for c in found.get("catalogs", ())]}
    return questions_bench.bench(fitting_list.read(found, "list", LIBRARY, BICYCLE))


def at(report: BenchReport, name: str) -> BenchFigure:
    return next(f for f in report.figures if f.at == name)


# every figure is declared whole


@pytest.mark.parametrize("one", DECLARED, ids=lambda f: f.id)
def test_a_figure_has_grounds_sentences_and_hints(one: Figure) -> None:
    assert one.work.__doc__, "it says what it is for"
    assert set(one.rows) <= set(LIBRARY.rows), "its rows exist"
    table = told.sentences(one.id)
    assert table.get("title"), "it has a title"
    assert set(table.get("remark", {})) == set(one.remarks), "every remark has a sentence, and no other"
    used = {h for line in table.get("lines", ()) for h in store.holes(line)}
    used |= {h for text in table.get("remark", {}).values() for h in store.holes(text)}
    used |= set(store.holes(big := table.get("big", "")) or (big,))
    assert used - {""} <= set(one.gives), "sentences speak of results only"
    assert bool(table.get("caution")) == one.caution
    for place_ in one.places:
        assert set(place_.roles.values()) <= {*BICYCLE.by_id, "bicycle"}
    for read in one.reads:
        role, _, path = read.ref.partition(".")
        for place_ in one.places:
            slot = place_.roles[role]
            if slot == "bicycle":
                continue
            port, _, name = path.rpartition(".")
            record = RECORD_KINDS[BICYCLE.by_id[slot].kind]
            if port:
                assert name in record.ports()[port].figure_names(), f"{read.ref} at {slot}"
                assert hints.find(record.ports()[port].kind, name) is not None, f"how is {read.ref} measured?"
            else:
                assert name in record.scalars(), f"{read.ref} at {slot}"


# a figure is worked out from what is known, and says where that comes from


@pytest.fixture
def alone() -> Iterator[None]:
    """No figures but those that the test declares."""
    kept = dict(FIGURES)
    FIGURES.clear()
    yield
    FIGURES.clear()
    FIGURES.update(kept)


@pytest.mark.usefixtures("alone")
def test_what_a_figure_does_not_declare_is_refused() -> None:
    @figure(
        "front_end.invented",
        place(fork="fork"),
        formula="formula.steerer-cut",
        gives={"length_mm": None},
        length=deciding("fork.steerer.length_mm"),
    )
    def work(length: Decimal) -> Worked:
        return Worked({"other_mm": length})

    fork = fitting_list.read({"slots": {"fork": {"steerer": {"length_mm": 300}}}}, "list", LIBRARY, BICYCLE)
    figures = {"fork": fork.slots["fork"].parts[0].fills["fork"]}
    with pytest.raises(ValueError, match="does not declare"):
        work_out(Parts(figures, {}, LIBRARY))


def test_a_function_takes_exactly_what_is_declared() -> None:
    with pytest.raises(TypeError, match="declares"):
        figure("front_end.wrong", formula="formula.steerer-cut", gives={}, length=deciding("fork.steerer.length_mm"))(
            lambda other: None
        )


def test_inputs_name_their_origin() -> None:
    found = raw("fits-towpath")
    found["slots"]["stem"] = {"steerer_clamp": {"form": "clamp", "bore_mm": 28.6, "height_mm": "40.5 caliper"}}
    cut = at(sheet_of(found), "front_end.steerer-cut")
    origins = {i.name: (i.origin, i.number) for i in cut.inputs}
    assert origins["stem"] == ("list", "")
    assert origins["head_tube"] == ("catalogue", "WQ-TOW-54")
    assert ("library", "") in origins.values()


def test_no_spacers_on_the_list_are_no_spacers() -> None:
    found = raw("fits-towpath")
    before = at(sheet_of(found), "front_end.steerer-cut").result("cut_length_mm")
    del found["slots"]["spacers"]
    cut = at(sheet_of(found), "front_end.steerer-cut")
    after = cut.result("cut_length_mm")
    assert before is not None
    assert after is not None
    assert (str(before.value), str(after.value)) == ("206.0", "186.0")  # OG-SP-20
    assert [i.origin for i in cut.inputs if i.name == "below"] == ["assumed"]


def test_a_missing_input_blocks_that_figure_alone() -> None:
    found = raw("fits-gantry")
    whole = sheet_of(found)
    found["slots"]["stem"] = {"steerer_clamp": {"form": "clamp", "bore_mm": 28.6}}
    report = sheet_of(found)
    cut = at(report, "front_end.steerer-cut")
    assert (cut.state, cut.missing) == ("measure", ("stem.steerer_clamp.height_mm",))
    assert report.exit_code == 3
    # the other figures that read the stem's height wait too, and no others
    waiting = {f.at for f in whole.figures if any(i.ref == cut.missing[0] for i in f.inputs)}
    measured = {f.at for f in whole.figures if f.state == "measure"}
    assert {f.at for f in report.figures if f.state == "measure"} == waiting | measured
    assert [f for f in report.figures if f.at not in waiting] == [f for f in whole.figures if f.at not in waiting]
    text = "\n".join(line.text for line in told.lines(report))
    assert "measure stem, height of the stem on the steerer: " in text


def test_only_what_is_about_some_slots_if_they_are_named() -> None:
    raw_list = raw("fits-towpath")
    raw_list["catalogs"] = [str((LISTS / c).resolve()) for c in raw_list["catalogs"]]
    fitting = fitting_list.read(raw_list, "list", LIBRARY, BICYCLE)
    report = questions_bench.bench(fitting, ["Stem"])
    assert {f.id for f in report.figures} == {
        "front_end.steerer-cut",
        "front_end.stem-height",
        "front_end.expander-length",
    }
    assert {s.id for s in report.steps} >= {"stem-on", "stem-torque", "cut-steerer"}
    assert all("stem" in s.slots for s in report.steps)
    with pytest.raises(InputFaults, match="stam"):
        questions_bench.bench(fitting, ["stam"])
    with pytest.raises(InputFaults, match="nothing is worked out"):
        questions_bench.bench(fitting, ["front mudguard"])


def test_the_document_holds_exact_numbers() -> None:
    text = machine.text("bench", shown.sheet(sheet_of(raw("fits-towpath")), sources=True))
    document = json.loads(text, parse_float=Decimal)
    cut = next(f for f in document["figures"] if f["id"] == "front_end.steerer-cut")
    # lower 1 + head tube 140 + upper 8 + spacers 20 + stem 40, less 3: the sum of the formula's source
    assert cut["results"]["cut_length_mm"] == 206
    assert cut["formula"]["row"] in document["rows"]
    assert "parktool.com" in str(document["rows"][cut["formula"]["row"]])
