"""The outside test: questions that others asked and experts answered, judged by our rules through one table.

``pytest tests/test_collected.py -s`` prints the counts, the cross table, every disagreement, what is not expressible.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.report import NO, YES, Verdict
from tests import collect, collected, collector, collector_table
from tests.collected import Entry, Result
from tests.collector import Question

ENTRIES = collected.load()
RESULTS = collected.judge(ENTRIES)
COUNT = collected.count(RESULTS)


def test_print_summary() -> None:
    print("\n" + collected.summary(RESULTS))
    print(collected.details(RESULTS))
    assert COUNT.asked >= 150


def test_never_a_yes_where_the_expert_says_no() -> None:
    wrong = [r.entry.id for r in RESULTS if r.ours in YES and r.expert in NO and not r.refuted]
    assert wrong == []


def test_yes_and_no_agree() -> None:
    assert COUNT.yes_no_agree_or_refuted >= 0.97 * COUNT.both_decided


def test_the_exact_word_agrees() -> None:
    assert COUNT.word_agree_or_refuted >= 0.90 * COUNT.words_compared


def test_not_known_against_a_decided_expert_is_rare() -> None:
    assert COUNT.not_known_against <= 0.10 * COUNT.judged


def test_little_is_not_expressible() -> None:
    assert COUNT.not_expressible <= 0.10 * COUNT.asked


def test_each_disagreement_is_argued() -> None:
    silent = [r.entry.id for r in RESULTS if r.ours is not None and not r.agreed and not r.argued]
    silent = [i for i in silent if i not in _unknowns()]
    assert silent == []


def _unknowns() -> set[str]:
    """Ids where we do not know and the expert decides; they are counted, not argued one by one."""
    return {r.entry.id for r in RESULTS if r.ours is Verdict.NOT_KNOWN and r.expert is not Verdict.NOT_KNOWN}


def test_arguments_are_of_use() -> None:
    """An argument that no longer meets a disagreement is stale; one that refutes names where it stands."""
    stale = [r.entry.id for r in RESULTS if r.entry.argued is not None and (r.agreed or not r.argued)]
    assert stale == []
    assert all(r.entry.argued is None or r.entry.argued.url or not r.entry.argued.refutes for r in RESULTS)


def test_each_question_cites_its_source() -> None:
    allowed = {"common practice", "arithmetic", "memory"}
    bare = [e.id for e in ENTRIES if not e.source.get("title") and e.basis not in allowed]
    assert bare == []


def test_questions_for_later_carry_no_slots() -> None:
    assert all(not e.slots for e in ENTRIES if e.scope != "A")
    assert {e.scope for e in ENTRIES} <= {"A", "B", "E"}


@pytest.mark.skipif(not os.environ.get("FITWRIGHT_COLLECTED"), reason="no folder of collected questions named")
def test_the_repository_has_what_the_table_reads() -> None:
    known = {e.id: e for e in ENTRIES}
    read = [collect.entry_of(q, known) for q in collect.questions_in([Path(os.environ["FITWRIGHT_COLLECTED"])])]
    assert [e.id for e in read if e.id in known and e != known[e.id]] == []


def test_files_of_questions_are_judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "asked.toml").write_text(
        """
        [[case]]
        id = "made-up-1"
        topic = "seatpost"
        verdict = "no-fit"
        [case.parts.frame]
        seat_tube_id_mm = 27.2
        [case.parts.seatpost]
        dia_mm = 31.6
        """,
        encoding="utf-8",
    )
    checks = [{"id": "made-up-2", "parts": {"bar": 31.8, "stem": 31.8, "moon": 1}, "verdict": "fits"}]
    (tmp_path / "checks.json").write_text(json.dumps({"checks": checks, "sources": {}}), encoding="utf-8")
    assert collect.main([str(tmp_path), "--all"]) == 0
    out = capsys.readouterr().out
    assert "made-up-1: expert no-fit, ours no-fit" in out
    assert "made-up-2: expert fits, ours -: moon: no figure of ours" in out
    assert "not in the repository: 2" in out


# ---------------------------------------------------------------------------------------------- the count itself


def _result(expert: str, ours: str | None, argued: str = "", refutes: bool = True) -> Result:
    against = (
        collected.Argued(verdict=argued, because="made up", title="t", url="u", refutes=refutes) if argued else None
    )
    entry = Entry(id=f"{expert}-{ours}", scope="A", verdict=expert, argued=against)
    return Result(entry, Verdict.of(ours) if ours else None)


def test_counting() -> None:
    made = [
        _result("fits", "fits"),
        _result("fits", "needs-work"),
        _result("no-fit", "unsafe"),
        _result("no-fit", "fits"),
        _result("no-fit", "fits", argued="fits"),
        _result("unsafe", "needs-adapter", argued="fits"),
        _result("fits", "not-known"),
        _result("not-known", "not-known"),
        _result("not-known", "fits"),
        _result("fits", None),
    ]
    c = collected.count(made)
    assert (c.asked, c.not_expressible, c.judged) == (10, 1, 9)
    assert c.not_known_against == 1
    assert (c.both_decided, c.yes_no_agree, c.yes_no_agree_or_refuted) == (6, 3, 4)
    assert (c.yes_against_no, c.yes_against_no_open) == (3, 2)
    assert (c.words_compared, c.word_agree, c.word_agree_or_refuted) == (8, 2, 3)


# ------------------------------------------------------------------------- the table, on questions of our own making


def _asked(topic: str, **parts: Any) -> collector.Converted:
    return collector.convert(Question("made-up", parts, "fits", topic))


@pytest.mark.parametrize("name", ["over_locknut_mm", "over-locknut-mm", "OverLocknutMm", "old_mm", "OLN mm"])
def test_spelling_of_a_field_does_not_matter(name: str) -> None:
    made = _asked("hub_spacing", hub={name: 142, "position": "rear"}, frame={"dropout_mm": Decimal(142)})
    assert made.slots["rear_hub"]["axle"]["width_mm"] == 142
    assert made.slots["frame"]["dropout"]["width_mm"] == 142


def test_the_end_follows_from_position_or_from_fork_and_frame() -> None:
    assert "front_hub" in _asked("hub_spacing", hub={"over_locknut_mm": 100}, fork={"dropout_mm": 100}).slots
    assert "rear_hub" in _asked("hub_spacing", hub={"over_locknut_mm": 130}, frame={"dropout_mm": 130}).slots
    assert "front_hub" in _asked("hub_spacing", hub={"over_locknut_mm": 100, "position": "front"}, fork={}).slots
    assert "rear_hub" in _asked("hub_spacing", rear_hub={"over_locknut_mm": 135}, frame={"opening_mm": 135}).slots


def test_units_are_converted() -> None:
    made = _asked("tyre_diameter", rim={"bsd_mm": 559}, tyre={"width_in": 2, "bsd_mm": 559})
    assert made.slots["front_tyre"]["bead"]["width_mm"] == Decimal("50.8")


def test_fields_beside_the_parts_are_read_as_part_and_field() -> None:
    made = _asked("seatpost", frame_bore=Decimal("27.2"), post=Decimal("27.2"))
    assert made.slots["frame"]["seat_tube"]["bore_mm"] == Decimal("27.2")
    assert made.slots["seatpost"]["shaft"]["dia_mm"] == Decimal("27.2")


def test_both_ends_of_a_head_tube_go_by_top_and_bottom() -> None:
    made = _asked("headset", frame={"head_tube_top_id_mm": 44, "bore_bottom_mm": Decimal("49.6")})
    assert made.slots["frame"]["head_tube_upper"]["bore_mm"] == 44
    assert made.slots["frame"]["head_tube_lower"]["bore_mm"] == Decimal("49.6")


@pytest.mark.parametrize("said", ["not measured", "unreadable", "worn off", "?", "N/A"])
def test_a_value_that_says_that_nobody_knows_is_not_stated(said: str) -> None:
    made = _asked("seatpost", frame={"seat_tube_id_mm": 30, "usable_seat_tube_depth_mm": said}, post={"dia_mm": 30})
    assert made.slots["frame"] == {"seat_tube": {"bore_mm": 30}}
    assert not made.missing


def test_how_deep_a_post_sits_goes_by_many_names() -> None:
    for name in ("insertion_length_mm", "inserted_depth_mm", "insert_length_needed_mm", "depth_in_frame_mm"):
        made = _asked("seatpost", frame={"seat_tube_id_mm": 30}, seatpost={"dia_mm": 30, name: 110})
        assert made.slots["seatpost"]["shaft"].get("inserted_mm") == 110, (name, made.missing)


def test_a_shim_is_that_of_the_parts_beside_it() -> None:
    made = _asked("seatpost", frame={"seat_tube_id_mm": 30}, seatpost={"dia_mm": 27}, sleeve={"id_mm": 27, "od_mm": 30})
    assert made.slots["seatpost_sleeve"] == {"seat_tube": {"bore_mm": 27}, "shaft": {"dia_mm": 30}}
    made = _asked("stem_bar", bar={"dia_mm": 26}, stem={"bar_clamp_mm": 31}, shim={"inner_mm": 26, "outer_mm": 31})
    assert made.slots["bar_shim"] == {"bar_clamp": {"dia_mm": 26}, "centre": {"dia_mm": 31}}


@pytest.mark.parametrize("said", ["25.0 x 1 mm French", "25x1", "French 25 mm", "M25x1"])
def test_a_thread_is_told_by_size_and_pitch(said: str) -> None:
    made = _asked("headset", fork={"steerer_thread": said}, headset={"thread": "25.4 mm x 24 tpi"})
    assert not made.missing
    assert collector.answer(made).verdict == "no-fit"


def test_an_unknown_field_makes_a_question_not_expressible() -> None:
    made = _asked("seatpost", frame={"seat_tube_id_mm": 30, "moon_phase": "full"}, seatpost={"dia_mm": 30})
    assert made.missing == ("frame.moon_phase: no figure of ours",)


def test_an_unknown_word_makes_a_question_not_expressible() -> None:
    made = _asked("rotor_mount", hub={"rotor_mount": "glue"}, rotor={"mount": "six_bolt"})
    assert any("glue" in m for m in made.missing)


def test_null_is_not_stated_and_never_a_mismatch() -> None:
    made = _asked("seatpost", frame={"seat_tube_id_mm": None}, seatpost={"dia_mm": Decimal("27.2")})
    assert "seat_tube" not in made.slots["frame"]
    assert not made.missing


def test_a_topic_we_do_not_judge_yet_waits() -> None:
    assert _asked("bar_torque", stem_required=12, bar_limit=10).scope == "B"
    assert _asked("", stem_required=12, bar_limit=10).scope == "B"
    assert _asked("lamps", lamp={"clamp_mm": 31}).scope == "B"


def test_a_topic_of_another_name_is_known_by_its_figures() -> None:
    made = _asked("steerer_spacers", fork={"max_spacers_mm": 40, "material": "carbon"}, spacers_below_stem_mm=45)
    assert made.scope == "A"
    assert made.slots["spacers"]["stack"]["below_mm"] == 45


# ---------------------------------------------------------- names and values that the table does not hold as they stand


def _slots(topic: str, **parts: Any) -> Mapping[str, Any]:
    made = _asked(topic, **parts)
    assert made.missing == ()
    return made.slots


@pytest.mark.parametrize(
    "name", ["hub_width_mm", "hub_spacing", "axle_spacing_mm", "actual_old_mm", "over_lock_nut_width"]
)
def test_words_that_say_nothing_new_may_stand_in_a_name(name: str) -> None:
    made = _slots("hub_spacing", rear_hub={name: 135}, frame={"rear_dropout_spacing": 135})
    assert made["rear_hub"]["axle"]["width_mm"] == 135
    assert made["frame"]["dropout"]["width_mm"] == 135


def test_a_field_may_name_a_piece_of_the_part() -> None:
    made = _slots("bottom_bracket", frame={"bb_thread": "italian", "bottom_bracket_width_mm": 70}, bb={"thread": "BSA"})
    assert made["frame"]["bb_shell"]["thread"] == "bb-thread.italian"
    assert made["frame"]["bb_shell"]["width_mm"] == 70


def test_parts_go_by_our_words_for_slots() -> None:
    assert "front_derailleur" in _slots("front_derailleur", front_mech={"clamp_size_mm": 31.8}, frame={})
    assert "rear_rotor" in _slots("rotor_mount", rear_brake_disc={"mounting": "six bolt"}, rear_hub={})


@pytest.mark.parametrize(("value", "mm"), [('1-1/8"', "28.6"), ("1 1/8", "28.6"), ("28.6 mm", "28.6")])
def test_numbers_may_stand_in_words(value: str, mm: str) -> None:
    made = _slots("stem_steerer", stem={"steerer_clamp": value}, fork={})
    assert made["stem"]["steerer_clamp"]["bore_mm"] == Decimal(mm)


def test_two_numbers_in_one_text_are_a_span_or_go_by_their_size() -> None:
    made = _slots("derailleur_capacity", crankset={"chainrings": "50/34"}, cassette={"cogs": "11-32"}, rear_mech={})
    assert made["crank"]["rings"] == {"largest_teeth": 50, "smallest_teeth": 34}
    made = _slots("rim_brake_reach", brake={"reach_min_mm": 47, "reach_max_mm": 57}, frame={"reach_needed_mm": 50})
    assert made["rear_rim_brake"]["foot"]["reach_mm"] == [47, 57]


def test_words_on_a_box_are_read_as_the_program_reads_them() -> None:
    made = _slots("tyre_diameter", rim={"size": "27 inch"}, tyre={"marking": "28-622"})
    assert made["front_rim"]["bead"]["standard"] == ["27 inch"]
    assert made["front_tyre"]["bead"] == {"width_mm": 28, "bsd_mm": 622}
    made = _slots("headset", headset={"upper": "ZS44", "lower": "ZS56"}, frame={})
    assert made["headset_upper"]["cup"]["standard"] == ["ZS44"]


def test_a_side_that_is_named_holds_the_words_to_it() -> None:
    made = _asked("seatpost", frame={"seat_tube": "12x142"}, seatpost={"dia_mm": 30})
    assert made.missing == ("frame.seat_tube: no figure of ours",)


def test_a_trade_name_is_known_under_any_field_name() -> None:
    made = _slots("rotor_mount", hub={"how_the_disc_goes_on": "six_bolt"}, rotor={"seat": "centerlock"})
    assert made["front_hub"]["rotor_mount"]["standard"] == ["six bolt"]
    assert made["front_rotor"]["face"]["standard"] == ["centerlock"]
    asked = _asked("rotor_mount", hub={"instead_of": "six_bolt"}, rotor={"mount": "centerlock"})
    assert asked.missing == ("hub.instead_of: no figure of ours",)


def test_one_or_the_other() -> None:
    made = _slots("fluid", brake={"specified_fluid": "DOT 4 or DOT 5.1"}, fluid="mineral oil")
    assert made["front_caliper"]["input"]["drive"] == ["dot-4", "dot-51"]


def test_a_rim_brake_may_be_called_a_caliper() -> None:
    made = _slots("lever_pull", lever={"pull_mm": 8}, brake_caliper={"type": "road dual pivot", "cable_pull_mm": 7})
    assert made["front_rim_brake"]["input"]["pull_mm"] == 7
    assert "front_caliper" not in made


def test_the_common_case_gives_way_to_what_is_said() -> None:
    assert _slots("cassette_freehub", cassette={"speeds": 11}, hub={})["cassette"]["bore"]["spline"] == "HG"
    made = _slots("cassette_freehub", cassette={"speeds": 11, "driver_standard": "XD"}, hub={})
    assert made["cassette"]["bore"] == {"speeds": 11, "standard": ["XD"]}


def test_the_end_may_stand_before_any_name_of_a_part() -> None:
    made = _slots("rim_brake_mount", rear_brake={"type": "dual pivot", "mount_bolt": "recessed"}, frame={})
    assert made["rear_rim_brake"]["foot"]["form"] == "centre-recessed"


def test_the_exact_size_of_a_tyre_goes_before_the_one_in_inches() -> None:
    for tyre in ({"size": "20 x 1.75", "etrto": "47-406"}, {"etrto": "47-406", "size": "20 x 1.75"}):
        made = _slots("tyre_diameter", rim={"bsd_mm": 406}, tyre=tyre)
        assert made["front_tyre"]["bead"]["width_mm"] == 47
    asked = _asked("tyre_diameter", rim={"bsd_mm": 406}, tyre={"size": "20 x 1.75", "etrto": "23-406"})
    assert any("two sizes" in m for m in asked.missing)


def test_a_topic_may_go_by_another_name() -> None:
    assert _asked("mudguards", mudguard={"width_mm": 45}, tyre={"width_mm": 32}).topics == ("mudguard",)


@pytest.mark.parametrize("name", ["brake_drop_mm_with_622_rim", "drop_at_622", "reach_mm_on_622_rim"])
def test_the_wheel_that_a_drop_was_measured_with_may_stand_in_its_name(name: str) -> None:
    made = _slots("rim_brake_reach", fork={name: 50}, brake={"reach_mm": "47-57"})
    assert made["fork"]["rim_brake_mount"] == {"reach_mm": 50, "reach_bsd_mm": 622}


@pytest.mark.parametrize("prefix", ["nominal_", "actual_", "brake_", "overall_"])
def test_conditions_hold_under_other_names(prefix: str) -> None:
    made = _slots("lever_pull", lever={"pull_mm": 8}, brake={f"{prefix}type": "cable_disc", f"{prefix}pull_mm": 8})
    assert made["front_caliper"]["input"]["pull_mm"] == 8
    assert "front_rim_brake" not in made


def test_makers_and_gears_make_a_name() -> None:
    made = _slots(
        "shifter_derailleur",
        shifters={"brand": "Shimano", "discipline": "road", "number_of_speeds": 10},
        rear_mech={"make": "Shimano", "speeds": 9, "series": "mtb"},
    )
    assert made["rear_shifter"]["lever"]["standard"] == ["Shimano 10-speed road"]
    assert made["rear_derailleur"]["drive"]["standard"] == ["Shimano 9-speed mtb"]


def test_a_count_is_no_measure() -> None:
    made = _slots(
        "chainring_bcd", chainring={"hole_count": 5, "hole_spacing_mm": 64.7}, crank={"bcd": 110, "arm_count": 5}
    )
    assert made["chainring"]["holes"]["bolts"] == 5
    assert made["chainring"]["holes"]["hole_mm"] == Decimal("64.7")


@pytest.mark.parametrize(
    ("part", "field", "value"),
    [
        ("seatpost", "offset_moon_mm", 3),  # no word of ours
        ("seatpost", "upper_dia_mm", 30),  # a word too many
        ("frame", "seat_tube", "of an unknown size"),
        ("frame", "seat_tube_wear_mm", 0.3),
    ],
)
def test_nothing_is_dropped_to_make_a_field_fit(part: str, field: str, value: Any) -> None:
    parts: dict[str, dict[str, Any]] = {"frame": {"seat_tube_id_mm": 30}, "seatpost": {"dia_mm": 30}}
    parts[part][field] = value
    assert any(m.startswith(f"{part}.{field}") for m in _asked("seatpost", **parts).missing)


def test_as_many_cogs_as_the_lever_has_clicks() -> None:
    made = _slots("shifter_derailleur", shifter={"speeds": 10}, rear_derailleur={"speeds": 10})
    assert made["cassette"]["bore"]["speeds"] == 10
    made = _slots("shifter_derailleur", shifter={"speeds": 10}, rear_derailleur={}, cassette={"speeds": 9})
    assert made["cassette"]["bore"]["speeds"] == 9


def test_a_text_is_read_piece_by_piece_and_a_not_is_never_passed_over() -> None:
    made = _slots("bottom_bracket", frame={"shell": "Italian M36x24, both sides alike"}, bb={"thread": "BSA"})
    assert made["frame"]["bb_shell"]["standard"] == ["Italian 36x24"]
    refused = _asked("bottom_bracket", frame={"shell": "Italian M36x24, not cut yet"}, bb={"thread": "BSA"})
    assert refused.missing
    made = _slots("hanger", frame={"hanger": "replaceable, outline not identified"}, rear_mech={"mount": "M10x1"})
    assert made["frame"]["hanger"]["form"] == "tab"


def test_a_part_says_in_a_field_which_end_it_is_of() -> None:
    made = _slots(
        "front_derailleur",
        gear_lever={"side": "front", "maker": "Shimano", "use": "road", "indexed": True},
        front_mech={"maker": "Shimano", "use": "mountain"},
    )
    assert set(made) == {"front_shifter", "front_derailleur"}


def test_yes_and_no_are_said_of_a_word_of_ours() -> None:
    made = _slots("hanger", frame={"hanger": "standard"}, rear_mech={"b_link_fitted": True})
    assert made["rear_derailleur"]["mount"]["form"] == "direct-with-link"
    made = _slots("hanger", frame={"udh": False}, rear_mech={"mount": "hangerless", "claw_included": False})
    assert made["frame"]["hanger"]["form"] == "tab"
    assert _asked("hanger", frame={"moon_fitted": False}, rear_mech={"mount": "M10"}).missing


def test_neighbouring_holes_are_a_circle_by_their_number() -> None:
    made = _slots(
        "chainring", chainset={"arms": 5, "adjacent_hole_spacing_mm": Decimal("64.7")}, chainring={"bolts": 5}
    )
    assert 110 <= made["crank"]["spider"]["bcd_mm"] <= Decimal("110.1")


# ------------------------------------------------------------------------------------------------- whatever is asked

_TABLE = collector_table.table()
_NAMES = sorted({n for p in _TABLE.part for n in p.names} | {n for f in _TABLE.field for n in f.names if n != "*"})
_VALUES: st.SearchStrategy[Any] = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 3000),
    st.decimals(0, 900, places=1),
    st.text(max_size=20),
    st.sampled_from(["12x142", "PM 160", "six_bolt_44", "?", "thru 15", "XD 10-50", "IS52, 40 mm bearing"]),
    st.lists(st.integers(0, 900), max_size=3),
)
_PARTS = st.dictionaries(
    st.sampled_from(_NAMES),
    st.one_of(_VALUES, st.dictionaries(st.sampled_from(_NAMES), _VALUES, max_size=4)),
    max_size=4,
)


@settings(max_examples=150, deadline=None)
@given(parts=_PARTS, topic=st.sampled_from(["", "something-else", *(t.id for t in _TABLE.topic)]))
def test_any_question_is_either_judged_or_named_as_not_expressible(parts: Mapping[str, Any], topic: str) -> None:
    made = collector.convert(Question("made-up", parts, "fits", topic))
    if made.scope == "A" and not made.missing:
        assert Verdict.of(collector.answer(made).verdict) in Verdict
