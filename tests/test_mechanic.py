"""Bicycles typed from memory, as box lines in the words of the workshop: no false alarm, and little left open."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.boxline import tokens
from solver import questions
from solver.render import layout
from solver.report import CheckReport, Finding, Verdict
from solver.wording import answer

LIBRARY = library.load()
BICYCLE = bicycle.load()
BICYCLES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "cases" / "mechanic.toml").read_text(encoding="utf-8")
)["bicycle"]

#: What takes a tape or a caliper at the bench: lengths, room, holes, and which of two rings the crown has.
AT_THE_BENCH = {
    "front_end.steerer-length",
    "front_end.crown-race-on-fork",
    "front_end.preload-anchor-in-steerer",
    "front_end.fork-length-in-frame",
    "wheels.axle-in-dropout",
    "tyres.tyre-in-frame",
    "tyres.valve-in-rim",
    "tyres.tubeless-valve-in-rim",
    "tyres.valve-through-rim",
}
#: Of a joint that the words settle else: how deep the frame is for a dropper, with a rod.
TESTS_AT_THE_BENCH = {"dropper-depth"}
#: Other joints that the words of one bicycle leave open; whether lever and caliper are one system is on no box.
MOST_OPEN = 6
#: Words for a whole bicycle with its shifting.
MOST_TOKENS = 80


def report(which: dict[str, Any]) -> CheckReport:
    listed = fitting_list.read({"slots": which["slots"], "kind": which["kind"]}, "list", LIBRARY, BICYCLE)
    return questions.check(listed)


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_a_bicycle_typed_from_memory_raises_no_false_alarm(which: dict[str, Any]) -> None:
    found = report(which)
    assert len(found.judged) >= 20
    assert [(f.id, f.reason) for f in found.judged if f.verdict > Verdict.NOT_KNOWN] == []


def _only_at_the_bench(finding: Finding) -> bool:
    return {t.test for t in finding.tests if t.verdict is Verdict.NOT_KNOWN} <= TESTS_AT_THE_BENCH


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_its_words_leave_little_open(which: dict[str, Any]) -> None:
    unknown = [f.id for f in report(which).judged if f.verdict is Verdict.NOT_KNOWN and not _only_at_the_bench(f)]
    beside = [i for i in unknown if i.partition("@")[0] not in AT_THE_BENCH]
    assert len(beside) <= MOST_OPEN, beside


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_it_takes_few_words_and_one_screen(which: dict[str, Any]) -> None:
    assert sum(len(tokens(line)) for line in which["slots"].values()) <= MOST_TOKENS
    rows = layout.fitted(answer.answer(report(which), full=False))
    assert len(rows) <= layout.LINES


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_a_wrong_rear_width_is_told_in_every_one(which: dict[str, Any]) -> None:
    """The quiet of the list is not deafness: a rear hub that is 25 mm too wide is a no, or unsafe."""
    slots = {k: v for k, v in which["slots"].items() if k not in ("rear wheel", "rear axle")}
    heard = fitting_list.read({"slots": which["slots"]}, "list", LIBRARY, BICYCLE)
    width = heard.slots["rear_hub"].parts[0].fills["rear_hub"][0]["axle.width_mm"].value
    wide = {"axle": {"width_mm": getattr(width, "value", 0) + 25, "form": "quick-release"}}
    listed = fitting_list.read({"slots": {**slots, "rear_hub": wide}, "kind": which["kind"]}, "list", LIBRARY, BICYCLE)
    said = {f.id: f for f in questions.check(listed).judged}["wheels.hub-in-dropout@rear"]
    assert said.verdict > Verdict.NOT_KNOWN
