"""One wrong figure on a fitting list is found at exactly the joints that read it, and nowhere else.

The table below is written by hand from what meets what: slot, figure, wrong by how much (or the wrong word), and the
joints that read the figure. Joints that presuppose one of them may follow; no other joint may say anything.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.figures import Known
from catalog_schema.quantity import Limit, Measure, Value
from solver import questions
from solver.report import Verdict
from solver.rules.evaluating import Entry, evaluate

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
NAMES = {"t": "fits-towpath", "g": "fits-gantry", "l": "fits-lighter"}
LIBRARY = library.load()
BICYCLE = bicycle.load()

HUB = "wheels.hub-in-dropout@{end}"
AXLE = "wheels.axle-in-dropout@{end}"
AXLE_IN_HUB = "wheels.axle-in-hub@{end}"
ROTOR = "brakes.rotor-on-hub@{end}"
CALIPER = "brakes.caliper-on-mount@{end}"
SLOT = "brakes.rotor-in-caliper@{end}"
TYRE = "tyres.tyre-on-rim@{end}"
TUBE = "tyres.tube-in-tyre@{end}"
ROOM = "tyres.tyre-in-frame@{end}"
VALVE = "tyres.valve-in-rim@{end}"
VALVE_LENGTH = "tyres.valve-through-rim@{end}"
UPPER = "front_end.upper-headset-in-head-tube"
LOWER = "front_end.lower-headset-in-head-tube"
UPPER_END = "front_end.steerer-in-upper-end"
LOWER_END = "front_end.steerer-in-lower-end"
STEERER = "front_end.steerer-in-upper-headset"
RACE = "front_end.crown-race-on-fork"
STEM = "front_end.stem-on-steerer"
RINGS = "front_end.spacers-on-steerer"
BAR = "front_end.bar-in-stem"
LENGTH = "front_end.steerer-length"
ANCHOR = "front_end.preload-anchor-in-steerer"
POST = "seating.seatpost-in-seat-tube"
COLLAR = "seating.collar-on-seat-tube"
CASSETTE = "drivetrain.cassette-on-freehub"
RING = "drivetrain.lockring-on-cassette"

#: slot ({end} is front and rear), figure, wrong by, joints that read it, lists
FAULTS: list[tuple[str, str, str, set[str], str]] = [
    # steering
    ("frame", "head_tube_upper.bore_mm", "-7", {UPPER}, "tg"),
    ("frame", "head_tube_upper.bore_mm", "+7", {UPPER, UPPER_END}, "tg"),
    ("frame", "head_tube_lower.bore_mm", "-7", {LOWER, LOWER_END}, "tg"),
    ("frame", "head_tube_lower.bore_mm", "+7", {LOWER, LOWER_END}, "tg"),
    ("headset_upper", "cup.size_mm", "-7", {UPPER}, "tgl"),
    ("headset_upper", "cup.size_mm", "+7", {UPPER}, "tgl"),
    ("headset_lower", "cup.size_mm", "-7", {LOWER}, "tgl"),
    ("headset_lower", "cup.size_mm", "+7", {LOWER}, "tgl"),
    ("headset_upper", "bore.dia_mm", "-3.2", {STEERER}, "tgl"),
    ("headset_upper", "bore.dia_mm", "+7", {STEERER}, "tgl"),
    ("headset_lower", "race.seat_mm", "-7", {RACE}, "tgl"),
    ("headset_lower", "race.seat_mm", "+7", {RACE}, "tg"),
    ("fork", "steerer.top_dia_mm", "-7", {STEERER, STEM, RINGS}, "tgl"),
    ("fork", "steerer.top_dia_mm", "+7", {STEERER, STEM, RINGS}, "tg"),
    ("fork", "crown_seat.dia_mm", "-7", {RACE}, "tg"),
    ("fork", "crown_seat.dia_mm", "+7", {RACE}, "tg"),
    ("fork", "steerer.bore_mm", "-7", {ANCHOR}, "tgl"),
    ("fork", "steerer.bore_mm", "+7", {ANCHOR}, "tgl"),
    ("fork", "steerer.length_mm", "-120", {LENGTH}, "tgl"),
    ("fork", "steerer.length_mm", "-200", {LENGTH}, "tgl"),
    ("spacers", "stack.bore_mm", "-7", {RINGS}, "tgl"),
    ("spacers", "stack.bore_mm", "+7", {RINGS}, "tgl"),
    ("stem", "steerer_clamp.bore_mm", "-7", {STEM}, "tgl"),
    ("stem", "steerer_clamp.bore_mm", "+7", {STEM}, "tgl"),
    ("stem", "bar_clamp.dia_mm", "-7", {BAR}, "tgl"),
    ("stem", "bar_clamp.dia_mm", "+7", {BAR}, "tgl"),
    ("handlebar", "centre.dia_mm", "-5", {BAR}, "tgl"),
    ("handlebar", "centre.dia_mm", "+5", {BAR}, "tgl"),
    # seat
    ("frame", "seat_tube.bore_mm", "-0.4", {POST}, "tgl"),
    ("frame", "seat_tube.bore_mm", "+0.4", {POST}, "tgl"),
    ("frame", "seat_tube.bore_mm", "+7", {POST}, "tgl"),
    ("seatpost", "shaft.dia_mm", "-0.4", {POST}, "tgl"),
    ("seatpost", "shaft.dia_mm", "+0.4", {POST}, "tgl"),
    ("frame", "seat_tube.outside_mm", "-3", {COLLAR}, "tgl"),
    ("frame", "seat_tube.outside_mm", "+3", {COLLAR}, "tgl"),
    ("seat_collar", "band.bore_mm", "-3", {COLLAR}, "tgl"),
    ("seat_collar", "band.bore_mm", "+3", {COLLAR}, "tgl"),
    # wheels in frame and fork
    ("{end}_hub", "axle.width_mm", "-10", {HUB}, "tg"),
    ("{end}_hub", "axle.width_mm", "+10", {HUB}, "tg"),
    ("{end}_hub", "axle.width_mm", "+12", {HUB}, "l"),
    ("{end}_hub", "axle.bore_mm", "-3", {HUB}, "tg"),
    ("{holder}", "dropout.width_mm", "-10", {HUB}, "tg"),
    ("{holder}", "dropout.width_mm", "+10", {HUB}, "tg"),
    ("{holder}", "dropout.axle_dia_mm", "-7", {HUB, AXLE}, "tg"),
    ("{holder}", "dropout.axle_dia_mm", "+7", {HUB, AXLE}, "tg"),
    ("{holder}", "dropout.pitch_mm", "+0.25", {AXLE}, "tg"),
    ("{holder}", "dropout.axle_length_mm", "+8", {AXLE}, "tg"),
    ("{holder}", "dropout.axle_length_mm", "-8", {AXLE}, "tg"),
    ("{holder}", "dropout.head_seat", "conical", {AXLE}, "tg"),
    ("{end}_axle", "rod.dia_mm", "-3", {AXLE}, "tg"),
    ("{end}_axle", "rod.pitch_mm", "+0.25", {AXLE}, "tg"),
    ("{end}_axle", "rod.length_mm", "-8", {AXLE}, "tg"),
    ("{end}_axle", "rod.length_mm", "+8", {AXLE}, "tg"),
    ("{end}_axle", "rod.head", "conical", {AXLE}, "tg"),
    # disc brakes
    ("{end}_hub", "rotor_mount.pattern", "five-bolt", {ROTOR}, "tgl"),
    ("{end}_rotor", "face.pattern", "five-bolt", {ROTOR}, "tgl"),
    ("{end}_rotor", "disc.thickness_mm", "+0.6", {SLOT}, "tgl"),
    ("{end}_rotor", "disc.thickness_mm", "-0.5", {SLOT}, "tgl"),
    ("{end}_rotor", "disc.dia_mm", "-13", {CALIPER}, "tgl"),
    ("{end}_caliper", "foot.pattern", "mount-22", {CALIPER}, "tgl"),
    ("{holder}", "brake_mount.rotor_max_mm", "130", {CALIPER}, "tgl"),
    # gears
    ("cassette", "bore.spline", "spline.xd", {CASSETTE}, "tgl"),
    ("cassette", "bore.smallest_cog_teeth", "-2", {CASSETTE}, "tg"),
    ("cassette", "bore.smallest_cog_teeth", "-2", {CASSETTE, RING}, "l"),
    ("rear_hub", "driver.length_mm", "-5", {CASSETTE}, "tgl"),
    ("rear_hub", "driver.length_mm", "+7", {CASSETTE}, "tgl"),
    # tyres
    ("{end}_rim", "bead.bsd_mm", "-7", {TYRE}, "tgl"),
    ("{end}_rim", "bead.bsd_mm", "+7", {TYRE, ROOM}, "tgl"),
    ("{end}_rim", "valve_hole.dia_mm", "-1", {VALVE}, "tgl"),
    ("{end}_rim", "valve_hole.dia_mm", "+4", {VALVE}, "tgl"),
    ("{end}_rim", "valve_hole.rim_depth_mm", "+20", {VALVE_LENGTH}, "tgl"),
    ("{end}_tyre", "bead.bsd_mm", "-38", {TYRE, TUBE}, "tgl"),
    ("{end}_tube", "body.bsd_mm", "-38", {TUBE}, "tgl"),
    ("{end}_tube", "valve.dia_mm", "+3", {VALVE}, "tgl"),
    ("{end}_tube", "valve.length_mm", "-20", {VALVE_LENGTH}, "tgl"),
    ("{holder}", "tyre_room.tyre_max_mm", "25", {ROOM}, "tgl"),
]


def spread() -> list[tuple[str, str, str, str, frozenset[str]]]:
    found = []
    for slot, path, wrong, joints, lists in FAULTS:
        for short in lists:
            two_ends = "{" in slot or any("{" in j for j in joints)
            for end, holder in (("front", "fork"), ("rear", "frame")) if two_ends else (("", ""),):
                where = slot.format(end=end, holder=holder)
                found.append((NAMES[short], where, path, wrong, frozenset(j.format(end=end) for j in joints)))
    return found


ALL = spread()


def wronged(value: Value, wrong: str) -> Value:
    if isinstance(value, Measure):
        assert wrong[0] in "+-", wrong
        return Measure(value.value + Decimal(wrong))
    if isinstance(value, Limit):
        return Limit(Decimal(wrong))
    assert isinstance(value, str)
    assert value != wrong
    return wrong


def test_there_are_two_hundred_faults() -> None:
    assert len(ALL) >= 200
    assert len(set(ALL)) == len(ALL)


@pytest.mark.parametrize(
    ("name", "slot", "path", "wrong", "joints"), ALL, ids=[f"{n}-{s}.{p}{w}" for n, s, p, w, _ in ALL]
)
def test_one_wrong_figure(name: str, slot: str, path: str, wrong: str, joints: frozenset[str]) -> None:
    work = questions.trial(fitting_list.load(LISTS / f"{name}.toml", LIBRARY, BICYCLE), LIBRARY, BICYCLE)
    (entry,) = [e for e in work.entries if slot in e.slots]
    part = entry.parts[0]
    assert path in part.fills[slot][0], "the fitting list states this figure"
    bad = tuple({**v, path: Known(wronged(v[path].value, wrong))} for v in part.fills[slot])
    changed = Entry(entry.slots, (replace(part, fills={**part.fills, slot: bad}),))
    entries = [changed if e is entry else e for e in work.entries]
    found = evaluate(entries, LIBRARY, BICYCLE, none=work.none, fixed=work.fixed, extras=work.extras).findings
    said = {f.id: f.reason for f in found if f.state == "judged" and f.verdict is not Verdict.FITS}
    assert set(said) == joints, said
    for finding in found:
        if finding.state == "follows":
            assert finding.follows in joints
