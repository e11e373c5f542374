"""A dozen words for a wheelset, sixty for a bicycle: what a mechanic types decides what he asks."""

from __future__ import annotations

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.boxline import tokens
from solver import questions
from solver.report import Finding, Verdict

WHEELSET = {
    "frame": "12x142, steel",
    "rear_hub": "12x142, splined, HG 11 road",
    "rear_rotor": "splined",
    "cassette": "HG, 11-speed, 11-28",
    "rear_rim": "622x21TC",
    "rear_tyre": "700x38C",
}

BICYCLE = {
    "frame": "steel, upper EC34, lower EC34, QR 135, PM160, max 180, 27.2, 28.6 collar",
    "fork": "steel, straight 1-1/8, QR 100, PM160, max 180",
    "headset_upper": "EC34/28.6",
    "headset_lower": "EC34/30",
    "stem": "28.6, 31.8",
    "preload_anchor": "star nut",
    "handlebar": "31.8, aluminium",
    "seatpost": "27.2, aluminium",
    "seat_collar": "28.6",
    "front_hub": "QR 100, 6-bolt, 32h",
    "front_axle": "QR 100",
    "rear_hub": "QR 135, 6-bolt, HG-M, 32h",
    "rear_axle": "QR 135",
    "front_rotor": "160 rotor, 6-bolt, 1.8 thick",
    "rear_rotor": "160 rotor, 6-bolt, 1.8 thick",
    "front_caliper": "post mount",
    "rear_caliper": "post mount",
    "cassette": "HG, 9-speed, 11-32",
    "front_rim": "622x19C, 32h",
    "rear_rim": "622x19C, 32h",
    "front_tyre": "42-622",
    "rear_tyre": "42-622",
    "front_tube": "700x38-47, Presta",
    "rear_tube": "700x38-47, Presta",
}

#: What takes a tape or a caliper at the bench: lengths, depths, room, wear, and what only a close look tells.
LENGTHS_AND_CLEARANCES = {
    "front_end.steerer-length",
    "front_end.preload-anchor-in-steerer",
    "tyres.tyre-in-frame@front",
    "tyres.tyre-in-frame@rear",
    "tyres.valve-in-rim@front",
    "tyres.valve-in-rim@rear",
    "tyres.valve-through-rim@front",
    "tyres.valve-through-rim@rear",
    "brakes.rotor-in-caliper@front",
    "brakes.rotor-in-caliper@rear",
    "wheels.front-disc-retention@front",
}


def findings(slots: dict[str, str]) -> dict[str, Finding]:
    listed = fitting_list.read({"slots": slots, "kind": "city"}, "list", library.load(), bicycle.load())
    return {f.id: f for f in questions.findings(listed) if f.state == "judged"}


def count(slots: dict[str, str]) -> int:
    return sum(len(tokens(line)) for line in slots.values())


def test_a_wheelset_takes_a_dozen_words() -> None:
    assert count(WHEELSET) <= 12
    found = findings(WHEELSET)
    asked = ("wheels.hub-in-dropout@rear", "brakes.rotor-on-hub@rear", "drivetrain.cassette-on-freehub")
    assert {found[i].verdict for i in (*asked, "tyres.tyre-on-rim@rear")} == {Verdict.FITS}


def test_a_wheelset_that_does_not_fit_is_told_from_fewer() -> None:
    said = findings({"frame": "12x148", "rear_hub": "12x142"})["wheels.hub-in-dropout@rear"]
    assert said.verdict is Verdict.NO_FIT


def test_a_whole_bicycle_takes_sixty_words() -> None:
    assert count(BICYCLE) <= 60
    found = findings(BICYCLE)
    assert len(found) >= 30
    open_ones = {i: f.reason for i, f in found.items() if f.verdict is Verdict.NOT_KNOWN}
    assert set(open_ones) <= LENGTHS_AND_CLEARANCES, open_ones
    assert not {i for i, f in found.items() if f.verdict > Verdict.NOT_KNOWN}
