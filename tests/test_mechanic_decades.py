"""Bicycles of five decades as a mechanic types them: each word is understood, no false alarm, mistakes are told."""

from __future__ import annotations

import csv
import io
import tomllib
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, boxline, fitting_list, library, rows
from catalog_schema.names import squeezed
from catalog_schema.records import RECORD_KINDS
from solver import questions
from solver.render import layout
from solver.report import CheckReport, Verdict
from solver.wording import answer
from solver.wording import customer as plain

LIBRARY = library.load()
BICYCLE = bicycle.load()
BICYCLES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "cases" / "mechanic_decades.toml").read_text(encoding="utf-8")
)["bicycle"]
MISTAKES = [(which, mistake) for which in BICYCLES for mistake in which["mistake"]]


def report(which: dict[str, Any], put: dict[str, str] | None = None) -> CheckReport:
    raw: dict[str, Any] = {"slots": {**which["slots"], **(put or {})}, "kind": which["kind"]}
    if which.get("rows"):
        text = io.StringIO()
        csv.writer(text).writerows([("kind", which["kind"]), *raw["slots"].items()])
        raw = rows.read(text.getvalue(), "list.csv")
    return questions.check(fitting_list.read(raw, "list", LIBRARY, BICYCLE))


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_a_bicycle_of_its_decade_is_read_and_raises_no_false_alarm(which: dict[str, Any]) -> None:
    found = report(which)
    assert len(found.judged) >= len(which["slots"])
    assert [
        (f.id, f.reason) for f in found.judged if f.verdict is not Verdict.FITS and f.verdict > Verdict.NOT_KNOWN
    ] == []
    assert [f.id for f in found.judged if f.verdict is Verdict.FITS] != []


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_its_answer_keeps_to_a_screen(which: dict[str, Any]) -> None:
    found = report(which)
    assert len(layout.fitted(answer.answer(found, full=False))) <= layout.LINES
    told = plain.answer(found)
    assert len({f.head for f in told.findings}) == len(told.findings), "a sentence is said twice"


@pytest.mark.parametrize(("which", "mistake"), MISTAKES, ids=lambda v: v.get("title") or next(iter(v["put"].values())))
def test_a_mistake_on_it_is_told(which: dict[str, Any], mistake: dict[str, Any]) -> None:
    assert next(iter(mistake["put"])) in which["slots"]
    before = {f.id: f.verdict for f in report(which).judged}
    said = {f.id: f for f in report(which, mistake["put"]).judged}[mistake["joint"]]
    assert before.get(mistake["joint"], Verdict.FITS) in (Verdict.FITS, Verdict.NOT_KNOWN)
    assert (said.verdict.word, said.reason) == (mistake["verdict"], mistake["reason"])


@pytest.mark.parametrize("which", BICYCLES, ids=lambda b: b["title"])
def test_no_rotor_is_missed_under_a_rim_brake_and_no_tube_under_a_tubular(which: dict[str, Any]) -> None:
    words = " ".join(which["slots"].values())
    missing = {m.slot for m in report(which).missing}
    if "rotor" not in " ".join(which["slots"]):
        assert not {s for s in missing if "rotor" in s}
    if "tubular" in words:
        assert not {s for s in missing if "tube" in s or "valve" in s or "tape" in s}


def test_words_that_are_not_read_hide_no_word_that_is() -> None:
    """What no joint reads stands in the library beside the plain words of figures; where both know it, it is read."""
    for name, record in RECORD_KINDS.items():
        ports = tuple(record.ports())
        for phrase in LIBRARY.phrases_of(name):
            if phrase.unread and "{" not in phrase.form:
                read = boxline._plain_words(record, LIBRARY, squeezed(phrase.form), ports)
                assert not read or not boxline.read(record, phrase.form, LIBRARY).unread, (name, phrase.form)


def heard(slots: dict[str, str], kind: str = "") -> fitting_list.FittingList:
    return fitting_list.read({"slots": slots, "kind": kind}, "list", LIBRARY, BICYCLE)


@pytest.mark.parametrize(
    ("slots", "filled"),
    [
        ({"front brake": "cantilever, straddle cable"}, {"front_rim_brake"}),
        ({"rear brake": "V-brake"}, {"rear_rim_brake"}),
        ({"brakes": "single pivot, recessed, 39-49 reach"}, {"front_rim_brake", "rear_rim_brake"}),
        ({"front brake": "post mount, mineral oil, 180 rotor"}, {"front_caliper", "front_rotor"}),
        ({"rear brake": "mechanical disc, IS"}, {"rear_caliper"}),
        ({"spokes": "14 gauge, 32"}, {"front_spokes", "rear_spokes"}),
        ({"rim tape": "20 mm"}, {"front_rim_tape", "rear_rim_tape"}),
        ({"shifter": "12-speed MTB"}, {"rear_shifter"}),
        (
            {"STI levers": "Shimano road 10, short pull"},
            {f"{p}_{k}" for p in ("front", "rear") for k in ("brake_lever", "shifter")},
        ),
        ({"front quick release": "100 mm"}, {"front_axle"}),
        ({"dropper": "31.6, 200 mm drop"}, {"seatpost"}),
    ],
)
def test_a_word_of_the_workshop_is_the_part_that_its_words_are_of(slots: dict[str, str], filled: set[str]) -> None:
    assert set(heard(slots).slots) == filled


def test_a_sprocket_is_in_front_on_a_bmx_and_at_the_rear_elsewhere() -> None:
    assert set(heard({"sprocket": "25t"}, "bmx").slots) == {"chainring"}
    assert set(heard({"sprocket": "18t"}, "city").slots) == {"cog"}


def figures(slot: str, key: str, line: str) -> dict[str, str]:
    (found,) = heard({key: line}).slots[slot].parts[0].fills[slot]
    return {k: str(getattr(v.value, "value", v.value)) for k, v in found.items() if v.value is not None}


@pytest.mark.parametrize(
    ("slot", "key", "line", "wanted"),
    [
        ("front_axle", "front skewer", "100 mm", {"rod.form": "skewer", "rod.for_width_mm": "100"}),
        ("seatpost", "dropper", "31.6", {"shaft.style": "dropper"}),
        ("preload_anchor", "expander plug", "1 1/8", {"anchor.form": "expander"}),
        ("bottom_bracket", "bb", "73 x 122.5", {"cups.width_mm": "73", "seat.length_mm": "122.5"}),
        ("bottom_bracket", "bb", "English 68", {"cups.width_mm": "68", "cups.thread": "bb-thread.bsa"}),
        ("frame", "frame", "28.6 front mech", {"seat_tube.outside_mm": "28.6"}),
        ("frame", "frame", "IS disc mount", {"brake_mount.pattern": "is-tab"}),
        ("frame", "frame", "recessed brake", {"rim_brake_mount.form": "centre-recessed"}),
        ("fork", "fork", "15x110, 120 mm", {"length.travel_mm": "120", "dropout.width_mm": "110"}),
        ("front_spokes", "front spokes", "2.0/1.8, 32", {"wire.thread": "spoke-thread.fg-2.3", "wire.count": "32"}),
        ("front_hub", "front hub", "9 mm axle, 100 mm", {"axle.end_dia_mm": "9", "axle.width_mm": "100"}),
    ],
)
def test_what_boxes_say_settles_figures(slot: str, key: str, line: str, wanted: dict[str, str]) -> None:
    found = figures(slot, key, line)
    assert {k: found.get(k) for k in wanted} == wanted


@pytest.mark.parametrize(("slot", "line"), [("frame", "28.6 seat tube"), ("fork", "100 mm")])
def test_what_means_two_things_in_the_workshop_is_asked_back(slot: str, line: str) -> None:
    from catalog_schema.faults import InputFaults

    with pytest.raises(InputFaults) as raised:
        heard({slot: line})
    assert [f.kind for f in raised.value.faults] == ["doubtful-word"]


def test_parts_that_nothing_is_asked_about_do_not_end_the_reading() -> None:
    found = heard({"frame": "12x148", "rear shock": "205x65", "bell": "brass", "rear light": "dynamo"})
    assert set(found.slots) == {"frame"}
    assert ("not-judged", "rear shock") in found.notices
