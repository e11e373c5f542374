"""What is missing, what the shelf has, what cures: everything that is offered was put in and judged."""

from __future__ import annotations

from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.faults import InputFaults
from catalog_schema.fitting_list import FittingList
from solver import questions
from solver.report import CheckReport, MissingPart, Shelf, Verdict

FRAME = "12x148, 31.6, aluminium"

SHOP: dict[str, Any] = {
    "HB-142": {"price": "40.00 EUR", "fills": {"rear_hub": "12x142, 6-bolt"}},
    "HB-148": {"price": "60.00 EUR", "fills": {"rear_hub": "12x148, 6-bolt"}},
    "HB-148-B": {"price": "50.00 EUR", "fills": {"rear_hub": "12x148"}},
    "HB-148-C": {"fills": {"rear_hub": "12x148"}},
    "HB-X": {"fills": {"rear_hub": "6-bolt"}},
    "SP-272": {"fills": {"seatpost": "27.2"}},
    "SP-316": {"fills": {"seatpost": "31.6"}},
    "WS-148": {"fills": {"front_hub": "15x110", "rear_hub": "12x148"}},
}


def a_list(slots: dict[str, Any], shop: dict[str, Any] | None = None, **more: Any) -> FittingList:
    raw = {"slots": slots, "parts": SHOP if shop is None else shop, **more}
    return fitting_list.read(raw, "test", library.load(), bicycle.load())


def check(
    slots: dict[str, Any], shop: dict[str, Any] | None = None, *, complete: bool = False, **more: Any
) -> CheckReport:
    return questions.check(a_list(slots, shop, **more), complete=complete)


def missing(report: CheckReport) -> dict[str, MissingPart]:
    return {m.slot: m for m in report.missing}


def numbers(shelf: Shelf | None) -> list[str]:
    assert shelf is not None
    return [o.number for o in shelf.offers]


# cures


def test_a_cure_is_judged_and_the_cheapest_comes_first() -> None:
    report = check({"frame": FRAME, "rear_hub": "HB-142"})
    assert report.exit_code == 1
    cures = {c.shelf.slot: numbers(c.shelf) for c in report.cures}
    assert cures == {"rear_hub": ["HB-148-B", "HB-148", "HB-148-C", "WS-148"]}
    for number in cures["rear_hub"]:
        again = check({"frame": FRAME, "rear_hub": number})
        finding = next(f for f in again.findings if f.id == "wheels.hub-in-dropout@rear")
        assert finding.verdict is Verdict.FITS


def test_a_part_whose_figures_do_not_decide_is_counted_and_not_offered() -> None:
    report = check({"frame": FRAME, "rear_hub": "HB-142"})
    assert report.cures[0].shelf.untold == 1


def test_a_cure_that_makes_something_else_worse_is_none() -> None:
    shop = {**SHOP, "RT-6": {"fills": {"rotor": "6-bolt, 160"}}}
    report = check({"frame": FRAME, "rear_hub": "HB-142", "rear_rotor": "RT-6"}, shop)
    offered = {n for c in report.cures if c.finding == "wheels.hub-in-dropout@rear" for n in numbers(c.shelf)}
    assert "HB-148" in offered
    assert all(
        f.verdict not in (Verdict.NO_FIT, Verdict.UNSAFE)
        for n in offered
        for f in check({"frame": FRAME, "rear_hub": n, "rear_rotor": "RT-6"}, shop).judged
    )


def test_another_frame_is_no_cure() -> None:
    shop = {**SHOP, "FR-142": {"fills": {"frame": "12x142, aluminium"}}}
    report = check({"frame": FRAME, "rear_hub": "HB-142"}, shop)
    assert {c.shelf.slot for c in report.cures} == {"rear_hub"}


def test_without_a_catalogue_nothing_is_offered() -> None:
    report = check({"frame": FRAME, "rear_hub": "12x142"}, {})
    assert report.cures == ()
    assert all(m.shelf is None for m in report.missing)


def test_a_part_that_would_take_another_slot_is_no_cure() -> None:
    report = check({"frame": FRAME, "rear_hub": "HB-142", "front_hub": "15x110"})
    assert "WS-148" not in numbers(report.cures[0].shelf)


# adapters


def test_the_verdict_does_not_depend_on_the_shelf() -> None:
    slots = {"frame": FRAME, "seatpost": "27.2"}
    bare = check(slots, {})
    sleeve = {"SS-1": {"fills": {"seatpost_sleeve": {"shaft": {"dia_mm": "31.6"}, "seat_tube": {"bore_mm": "27.2"}}}}}
    stocked = check(slots, sleeve)
    assert [f.verdict for f in bare.judged] == [f.verdict for f in stocked.judged] == [Verdict.NEEDS_ADAPTER]
    assert bare.needs[0].shelf is None
    assert stocked.needs[0].kinds == bare.needs[0].kinds


# missing parts


def test_an_axle_is_missing_only_when_something_asks_for_it() -> None:
    assert "rear_axle" in missing(check({"frame": FRAME, "rear_hub": "12x148"}, {}))
    assert "rear_axle" not in missing(check({"frame": FRAME, "seatpost": "31.6"}, {}))


def test_what_the_axle_has_to_be_is_shown() -> None:
    part = missing(check({"frame": FRAME, "rear_hub": "12x148"}, {}))["rear_axle"]
    assert {f.name: str(getattr(f.value, "value", "")) for f in part.figures}["axle_dia_mm"] == "12"


def test_a_part_on_the_list_is_not_missing() -> None:
    report = check({"frame": FRAME, "seatpost": "31.6", "seat_collar": "any"}, {})
    assert "seat_collar" not in missing(report)
    assert report.open_slots == ("seat_collar",)
    assert "seat_collar" in missing(check({"frame": FRAME, "seatpost": "31.6"}, {}))


def test_none_where_one_is_needed_is_told() -> None:
    part = missing(check({"frame": FRAME, "rear_hub": "12x148", "rear_axle": "none"}, {}))["rear_axle"]
    assert part.said_none


def test_a_tube_or_a_valve_will_do() -> None:
    slots = {"rear_rim": "622x19, hooked", "rear_tyre": "28-622"}
    assert "rear_tube" in missing(check(slots, {}))
    assert "rear_tube" not in missing(check({**slots, "rear_valve": "any"}, {}))


def test_an_axle_that_is_not_known_to_be_needed_is_not_asked_for() -> None:
    slots = {"frame": "31.6, aluminium", "seatpost": "31.6", "rear_hub": "12x148"}
    assert "rear_axle" not in missing(check(slots, {}))


# whole bicycles


@pytest.mark.parametrize("kind", [k.id for k in bicycle.load().kinds])
def test_a_complete_bicycle_has_all_its_slots(kind: str) -> None:
    report = check({"frame": FRAME, "seatpost": "31.6"}, {}, complete=True, kind=kind)
    assert report.exit_code == 4
    wanted = {s.split("|")[0] for s in next(k for k in bicycle.load().kinds if k.id == kind).slots}
    assert wanted - {"frame", "seatpost"} <= set(missing(report))
    assert check({"frame": FRAME, "seatpost": "31.6"}, {}, kind=kind).exit_code == 0


def test_the_kind_goes_by_its_names() -> None:
    assert check({"frame": FRAME, "seatpost": "31.6"}, {}, complete=True, kind="Mountain Bike").missing


def test_complete_needs_a_kind() -> None:
    with pytest.raises(InputFaults) as raised:
        check({"frame": FRAME, "seatpost": "31.6"}, {}, complete=True)
    assert [f.kind for f in raised.value.faults] == ["kind-needed"]


# settings


def test_figures_of_missing_parts_are_those_of_the_setting_in_use() -> None:
    frame = {
        "box": "aluminium",
        "settings": [
            {
                "name": "dropouts",
                "complete": True,
                "options": [
                    {"name": "wide", "offer": "as-shipped", "frame": {"dropout": "12x148"}},
                    {"name": "narrow", "offer": "in-the-box", "frame": {"dropout": "12x142"}},
                ],
            }
        ],
    }
    for hub in ("12x142", "12x148"):
        report = check({"frame": frame, "rear_hub": hub}, {})
        assert [f.verdict for f in report.judged if f.joint == "wheels.hub-in-dropout"] == [Verdict.FITS]
        shown = {f.name: getattr(f.value, "value", None) for f in missing(report)["rear_axle"].figures}
        assert str(shown["width_mm"]) == hub.partition("x")[2]


# why and nothing


def test_nothing_meets() -> None:
    with pytest.raises(InputFaults) as raised:
        check({"frame": FRAME, "saddle": "any"}, {})
    assert [f.kind for f in raised.value.faults] == ["nothing-meets"]


def test_pairs_of_which_nothing_is_stated_say_what_to_measure() -> None:
    slots = {"chain": "3/32", "chainring": {"ring": {"teeth": 46}}, "sprocket": {"bore": {"teeth": 16}}}
    report = check(slots, {})
    judged = {f.id: f for f in report.judged}
    assert {i: f.verdict for i, f in judged.items()} == {
        "drivetrain.chain-on-teeth@ring": Verdict.NOT_KNOWN,
        "drivetrain.chain-on-teeth@sprocket": Verdict.NOT_KNOWN,
    }
    wanted = {m for f in report.judged for t in f.tests for m in t.missing}
    assert wanted == {"chainring.tooth.tooth_mm", "cog.tooth.tooth_mm"}
    both = check({**slots, "sprocket": "3/32, 16t"}, {})
    assert [f.id for f in both.judged] == ["drivetrain.chain-on-teeth@sprocket"], "asked of all only where nothing is"


def test_why_keeps_what_is_about_the_slots() -> None:
    fitting = a_list({"frame": FRAME, "rear_hub": "HB-142", "seatpost": "SP-272"})
    report = questions.why(fitting, ["seatpost"])
    assert {f.joint.partition(".")[0] for f in report.judged} == {"seating"}
    assert {c.finding for c in report.cures} <= {f.id for f in report.findings}
    assert len(questions.why(fitting).findings) > len(report.findings)


def test_findings_come_in_the_order_of_their_state() -> None:
    states = [f.state for f in check({"frame": FRAME, "rear_hub": "12x142", "saddle": "none"}, {}).findings]
    order = ["judged", "follows", "not-asked", "does-not-arise"]
    assert [order.index(s) for s in states] == sorted(order.index(s) for s in states)


def test_labels_name_the_parts_of_a_finding() -> None:
    shop = {"HB-1": {"maker": "Pellmark", "model": "Osier", "fills": {"rear_hub": "12x142"}}}
    report = check({"frame": FRAME, "rear_hub": "HB-1"}, shop)
    finding = next(f for f in report.findings if f.id == "wheels.hub-in-dropout@rear")
    assert dict(finding.labels)["rear_hub"] == "Pellmark Osier"


def test_a_shortlist_says_which_one_it_is_about() -> None:
    shop = {n: {**p, "maker": "Pellmark", "model": n} for n, p in SHOP.items()}
    report = check({"frame": FRAME, "rear_hub": ["HB-142", "HB-148"]}, shop)
    assert report.chosen == {"rear_hub": "Pellmark HB-148"}
    assert report.exit_code == 0


def test_clicks_and_cogs_are_not_judged_before_there_is_a_derailleur() -> None:
    """That a lever has a click for every cog says nothing of how far a click moves the chain."""
    found = questions.findings(a_list({"rear_shifter": "11-speed", "cassette": "HG, 10-speed"}))
    assert {f.state for f in found if f.joint == "drivetrain.shift-system"} == {"not-asked"}
    found = questions.findings(a_list({"rear_shifter": "11-speed", "cassette": "HG, 10-speed", "rear_derailleur": {}}))
    assert [f.verdict for f in found if f.id == "drivetrain.shift-system"] == [Verdict.NOT_KNOWN]
