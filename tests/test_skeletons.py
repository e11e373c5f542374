"""Bicycles without some of the slots: a fixed wheel, a coaster hub gear, a balance bicycle, a motor at the cranks.

The parts rule slots out: what a hub or a motor leaves no place for is not missing, and listed all the same it is red.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from solver import questions
from solver.report import NO, CheckReport

ROOT = Path(__file__).parent
LISTS = ROOT.parent / "sample_catalogs" / "lists"
LIBRARY = library.load()
BICYCLE = bicycle.load()


def fixed() -> dict[str, Any]:
    return raw("fits-sculler")


def coaster() -> dict[str, Any]:
    return raw("fits-barge")


def motor() -> dict[str, Any]:
    return raw("fits-lighter-with-motor")


def balance() -> dict[str, Any]:
    text = (ROOT / "cases" / "quiet.toml").read_text(encoding="utf-8")
    every = tomllib.loads(text, parse_float=Decimal)["bicycle"]
    bike = next(b for b in every if b["kind"] == "balance")
    slots = {s: v for s, v in bike["slots"].items() if v != "none"}
    return {"kind": "balance", "slots": {**slots, **dict.fromkeys(("grips", "saddle", "spacers"), "any")}}


def raw(name: str) -> dict[str, Any]:
    return tomllib.loads((LISTS / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)


def checked(found: dict[str, Any], *, complete: bool = True) -> CheckReport:
    return questions.check(fitting_list.read(found, "list", LIBRARY, BICYCLE, folder=LISTS), complete=complete)


def missing(found: dict[str, Any]) -> set[str]:
    return {m.slot for m in checked(found).missing}


def without(found: dict[str, Any], *slots: str) -> dict[str, Any]:
    """The list without some slots; that it has none of them is not said either."""
    return {**found, "slots": {s: v for s, v in found["slots"].items() if s not in slots}}


def red(found: dict[str, Any], **more: Any) -> set[str]:
    report = checked({**found, "slots": {**found["slots"], **more}}, complete=False)
    return {f.joint for f in report.judged if f.verdict in NO}


@pytest.mark.parametrize("bike", [fixed, coaster, balance, motor], ids=lambda b: b.__name__)
def test_the_bicycle_is_complete_without_the_slots_that_its_parts_rule_out(bike: Any) -> None:
    found = bike()
    slots = {s for s, v in found["slots"].items() if v == "none"}
    report = checked(without(found, *slots))
    assert not {m.slot for m in report.missing} - {"front_rim_tape", "rear_rim_tape", "front_spokes", "rear_spokes"}
    assert not [f.id for f in report.judged if f.verdict in NO]


def test_a_fixed_hub_wants_a_sprocket_and_its_lockring_and_nothing_else() -> None:
    assert missing(without(fixed(), "cog")) == {"cog"}
    assert missing(without(fixed(), "cog_lockring")) == {"cog_lockring"}
    assert "drivetrain.cassette-on-freehub" in red(fixed(), cassette="HG, 9-speed, 11-32")
    assert red(fixed(), chain_tensioner="single-wheel tensioner") == {"drivetrain.chain-tension"}


def test_a_coaster_hub_gear_wants_its_own_sprocket_a_clip_and_no_rear_lever() -> None:
    assert missing(without(coaster(), "cog")) == {"cog"}
    assert "rear_arm_clip" in missing(without(coaster(), "rear_arm_clip"))
    whole = {**coaster(), "kind": "touring"}
    assert "rear_brake_lever" not in missing(without(whole, "rear_brake_lever"))
    assert "front_brake_lever" in missing(without(whole, "front_brake_lever"))
    assert red(coaster(), chain_tensioner="single-wheel tensioner") == {"drivetrain.chain-tension"}


def test_a_balance_bicycle_has_no_drivetrain_whatever_it_is_called() -> None:
    drivetrain = {"chain", "crank", "bottom_bracket", "pedals", "cassette", "freewheel", "cog"}
    assert not drivetrain & missing({**balance(), "kind": "single-speed"})
    report = checked(balance(), complete=False)
    assert not [f.id for f in report.judged if f.joint.startswith("drivetrain.")]
    assert red(balance(), cassette="HG, 9-speed, 11-32") == {"drivetrain.cassette-on-freehub"}


def test_a_motor_takes_the_place_of_the_bottom_bracket() -> None:
    assert missing(motor()) == set()
    assert missing(without(motor(), "motor")) & {"bottom_bracket", "motor"} == {"bottom_bracket"}
    assert "drivetrain.motor-in-frame" in red(motor(), bottom_bracket="BSA, road cups, 24 mm")
