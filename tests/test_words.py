"""What a stranger types: slips of unit and side are asked back, lines without commas are read, nothing is guessed."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from typer.testing import CliRunner

from catalog_schema import bicycle, boxline, fitting_list, library, phrases
from catalog_schema.faults import Fault, InputFaults
from catalog_schema.interface import Interface
from catalog_schema.library import AREAS
from catalog_schema.ports.base import PORT_KINDS
from catalog_schema.quantity import Measure
from catalog_schema.records import RECORD_KINDS
from solver.cli import app
from solver.rules import every

LIBRARY = library.load()
BICYCLE = bicycle.load()


def faults_of(**slots: object) -> list[Fault]:
    with pytest.raises(InputFaults) as raised:
        fitting_list.read({"slots": slots}, "list", LIBRARY, BICYCLE)
    return list(raised.value.faults)


def figures_of(kind: str, line: str) -> dict[str, str]:
    """Return ``port.figure`` -> what the words on a box settle for it."""
    heard = fitting_list.read({"slots": {kind: line}}, "list", LIBRARY, BICYCLE).part(kind)
    assert heard is not None
    (variant,) = heard.fills[kind]
    return {k: str(getattr(v.value, "value", v.value)) for k, v in variant.items()}


def test_the_rows_of_the_library_hold_figures_that_can_be() -> None:
    strange = []
    for row in LIBRARY.rows.values():
        for kind, figures in row.sides.items() if isinstance(row, Interface) else ():
            port = PORT_KINDS[kind].read(figures)
            for name in port.figure_names():
                strange += [(row.id, q) for q in phrases.doubts_in(kind, name, getattr(port, name), LIBRARY)]
    assert strange == []


@pytest.mark.parametrize(
    ("slot", "line", "meant"),
    [
        ("frame", "tyre max 2.4", "2.4 in (60.96 mm)"),
        ("fork", "max tyre 2.6", "2.6 in (66.04 mm)"),
        ("frame", "max 300", "rotor"),
        ("seatpost", "35 long", "35 cm (350 mm)"),
        ("stem", "9 long, 11 stack", "11"),
    ],
)
def test_a_figure_that_cannot_be_is_asked_back_with_the_unit_that_may_be_meant(
    slot: str, line: str, meant: str
) -> None:
    found = faults_of(**{slot: line})
    assert {f.kind for f in found} == {"doubtful-word"}
    assert any(meant in f.message for f in found), [f.line() for f in found]


def test_a_figure_of_a_record_that_cannot_be_is_asked_back_as_well() -> None:
    (fault,) = faults_of(frame={"tyre_room": {"tyre_max_mm": Decimal("2.4")}})
    assert (fault.kind, fault.place) == ("implausible", "slots.frame.tyre_room.tyre_max_mm")
    assert "2.4 in (60.96 mm)" in fault.message


def test_a_bare_limit_goes_where_its_figure_can_be_and_is_a_question_where_two_can() -> None:
    assert figures_of("frame", "max 45")["tyre_room.tyre_max_mm"] == "45"
    assert figures_of("frame", "max 180")["brake_mount.rotor_max_mm"] == "180"
    (fault,) = faults_of(frame="max 132")
    assert fault.kind == "doubtful-word"
    assert "rotor" in fault.message
    assert "tyre" in fault.message


@pytest.mark.parametrize(
    ("slot", "line", "figure", "value"),
    [
        ("frame", "max tyre 2.4 in", "tyre_room.tyre_max_mm", "60.96"),
        ("frame", 'max tyre 2.4"', "tyre_room.tyre_max_mm", "60.96"),
        ("rear_rim", "25 mm deep", "valve_hole.rim_depth_mm", "25"),
        ("seatpost", "35 cm long", "shaft.length_mm", "350"),
        ("handlebar", "44 cm", "span.width_mm", "440"),
    ],
)
def test_a_figure_may_bring_its_unit(slot: str, line: str, figure: str, value: str) -> None:
    assert figures_of(slot, line)[figure] == value


def test_a_line_without_commas_says_the_same_as_one_with() -> None:
    without = figures_of("rear_hub", "12x142 6-bolt HG 11 road 28h")
    assert without == figures_of("rear_hub", "12x142, 6-bolt, HG 11 road, 28h")
    assert without


@pytest.mark.parametrize(
    ("slot", "line"), [("frame", "13 0 QR"), ("frame", "1 2x148"), ("rear_rim", "622x1 7"), ("seatpost", "2 7.2")]
)
def test_two_figures_with_a_space_between_are_never_read_as_one(slot: str, line: str) -> None:
    assert faults_of(**{slot: line})[0].kind == "unknown-word"


def test_a_fraction_and_a_name_with_two_figures_keep_their_space() -> None:
    assert figures_of("fork", "1 1/8, threadless")["steerer.top_dia_mm"] == "28.6"
    assert figures_of("frame", "BB30 68") == figures_of("frame", "BB30-68")


def test_a_line_without_commas_that_holds_a_strange_word_is_shown_with_them() -> None:
    (fault,) = faults_of(rear_hub="12x142 6-bolt sparkly 28h")
    assert "'12x142, 6-bolt, sparkly, 28h'" in fault.message
    assert "not known: sparkly" in fault.message


def texts_of(slots: dict[str, object], **more: object) -> set[str]:
    """Return the slots that a list fills, each with the figures that its words settle."""
    heard = fitting_list.read({"slots": slots, **more}, "list", LIBRARY, BICYCLE)
    return set(heard.slots)


def test_a_brake_is_the_one_that_its_words_say_more_of() -> None:
    said = {"front brake": "dual pivot, 55-73 reach, recessed bolt", "rear brake": "cable disc, post mount"}
    assert texts_of(dict(said)) == {"front_rim_brake", "rear_caliper"}


def test_brackets_make_no_difference() -> None:
    assert figures_of("fork", "20x110 (non-Boost)") == figures_of("fork", "20x110 non-boost")


def test_the_exact_word_for_a_figure_goes_before_the_loose_one_beside_it() -> None:
    for line in ("26 x 2.125, 57-559", "57-559, 26 x 2.125"):
        assert figures_of("rear_tyre", line)["bead.width_mm"] == "57"
    assert faults_of(rear_tyre="20 x 1.75, 23-406")[0].kind == "names-exclude"


def test_a_width_in_inches_stays_inches_and_is_millimetres_as_well() -> None:
    for line, inches, millimetres in (
        ("29x2.4", "2.4", "60.96"),
        ("16x2.0", "2.0", "50.8"),
        ('20"x1.75', "1.75", "44.45"),
    ):
        found = figures_of("rear_tyre", line)
        assert (found["bead.width_in"], found["bead.width_mm"]) == (inches, millimetres)
    assert figures_of("frame", "max tyre 2.4 in")["tyre_room.tyre_max_in"] == "2.4"
    assert "tyre_room.tyre_max_in" not in figures_of("frame", "max tyre 60")


def test_the_mark_of_a_tyre_counts_before_its_inches() -> None:
    for line in ("16x2.0, 50-305", "50-305, 16x2.0"):
        found = figures_of("rear_tyre", line)
        assert found["bead.width_mm"] == "50"
        assert "bead.width_in" not in found


def test_cogs_that_are_listed_are_counted() -> None:
    listed = {"bore": {"cogs_teeth": [32, 11, 13, 14, 15, 17, 19, 21, 23]}}
    heard = fitting_list.read({"slots": {"cassette": listed}}, "list", LIBRARY, BICYCLE).part("cassette")
    assert heard is not None
    (found,) = heard.fills["cassette"]
    figures = {k.removeprefix("bore."): v.value for k, v in found.items()}
    assert figures["speeds"] == Measure(Decimal(9))
    assert (figures["smallest_cog_teeth"], figures["largest_cog_teeth"]) == (Measure(Decimal(11)), Measure(Decimal(32)))


def test_the_words_of_the_workshop_are_slots_of_a_list() -> None:
    said = {
        "frame": "12x142, upper ZS44, lower ZS56",
        "fork": "12x100",
        "wheels": "12x142, 12x100, 6-bolt, HG 11 road",
        "headset": "ZS44/28.6 | ZS56/40",
        "tyres": "40-622",
        "bars": "31.8",
        "seat post": "27.2",
        "front brake cable or hose": "hose",
        "rear brake": "post mount, 160 rotor",
    }
    filled = texts_of(dict(said))
    assert filled == {
        *("frame", "fork", "front_hub", "rear_hub", "headset_upper", "headset_lower", "front_tyre", "rear_tyre"),
        *("handlebar", "seatpost", "front_brake_line", "rear_caliper", "rear_rotor"),
    }


def test_a_word_for_both_ends_gives_each_its_own_width() -> None:
    heard = fitting_list.read({"slots": {"wheels": "12x142, 15x110, 32h"}}, "list", LIBRARY, BICYCLE)
    widths = {s: heard.slots[s].parts[0].fills[s][0]["axle.width_mm"].value for s in ("front_hub", "rear_hub")}
    assert {s: str(getattr(v, "value", v)) for s, v in widths.items()} == {"front_hub": "110", "rear_hub": "142"}


def test_a_word_that_may_be_front_or_rear_is_a_question_unless_the_list_tells() -> None:
    (fault,) = faults_of(frame="12x142", fork="12x100", tyre="40-622")
    assert fault.kind == "place-needed"
    assert "tyres" in fault.message
    assert texts_of({"frame": "12x142", "tyre": "40-622"}) == {"frame", "rear_tyre"}
    assert texts_of({"frame": "12x142", "fork": "12x100", "wheel": "12x100"}) == {"frame", "fork", "front_hub"}


def test_a_slot_that_is_filled_by_two_words_is_a_fault() -> None:
    assert {f.kind for f in faults_of(rear_hub="12x142", wheels="12x148")} == {"slot-taken"}


def test_an_unknown_slot_word_names_the_nearest_word_of_the_workshop() -> None:
    (fault,) = faults_of(whel="12x142")
    assert fault.nearest == "wheel"


def screen(*arguments: str, code: int = 0) -> str:
    result = CliRunner().invoke(app, list(arguments))
    assert result.exit_code == code, result.output
    return result.output


@pytest.mark.parametrize("command", ["card", "rule", "interfaces"])
def test_a_command_without_its_word_lists_what_can_be_asked_on_one_screen(command: str) -> None:
    text = screen(command)
    assert len(text.splitlines()) <= (30 if command == "rule" else 24)
    document = json.loads(screen(command, "--json"))
    assert document["count"] > 50
    assert all(group["items"] for group in document["groups"])


def test_every_part_and_kind_of_bicycle_stands_on_the_list_of_cards_and_is_a_card() -> None:
    groups = {g["name"]: g["items"] for g in json.loads(screen("card", "--json"))["groups"]}
    parts = [i for area in AREAS for i in groups[area.replace("_", " ")]]
    for item in parts:
        for word in [f"front {item[:-2]}", f"rear {item[:-2]}"] if item.endswith(" *") else [item]:
            screen("card", word)
    listed = {f"{end} {i[:-2]}" for i in parts if i.endswith(" *") for end in ("front", "rear")} | set(parts)
    assert {s.words for s in BICYCLE.slots} <= listed
    assert set(groups["kinds of bicycle"]) == {k.id for k in BICYCLE.kinds}


def test_every_joint_on_the_list_of_rules_has_its_page() -> None:
    groups = json.loads(screen("rule", "--json"))["groups"]
    names = [f"{g['name']}.{j}" for g in groups for j in g["items"]]
    assert sorted(names) == sorted(every.load())
    assert screen("rule", "hub-in-dropout") == screen("rule", "wheels.hub-in-dropout")
    assert "brakes.lockring-on-hub" in screen("rule", "lockring-on-hub", code=2)


def test_a_long_page_is_cut_with_a_counted_line() -> None:
    assert len(screen("interfaces", "axle").splitlines()) <= 24
    assert "--full lists all" in screen("interfaces", "axle")
    short, whole = screen("rule", "wheels.hub-in-dropout"), screen("rule", "wheels.hub-in-dropout", "--full")
    assert len(short.splitlines()) <= 40
    assert "--full" in short.splitlines()[-1]
    assert "source: " in whole


@pytest.mark.parametrize(
    ("slot", "line", "figure", "value"),
    [
        ("rear_hub", "12x142 TA", "axle.width_mm", "142"),
        ("rear_axle", "M12x1.5x172", "rod.length_mm", "172"),
        ("rear_axle", "12x172x1.5", "rod.pitch_mm", "1.5"),
        ("rear_axle", "172 mm", "rod.length_mm", "172"),
        ("rear_rim", "622", "bead.bsd_mm", "622"),
        ("rear_rim", "21-622", "bead.inner_width_mm", "21"),
        ("rear_rim", "21c", "bead.inner_width_mm", "21"),
        ("rear_rim", "TLR", "bead.tubeless", "ready"),
        ("rear_tube", "presta 48", "valve.length_mm", "48"),
        ("rear_tube", "48 presta", "valve.form", "presta"),
        ("stem", "6 deg", "bar_clamp.angle_deg", "6"),
        ("rear_spokes", "262", "wire.right_length_mm", "262"),
        ("cassette", "HG 11 road", "bore.speeds", "11"),
        ("bottom_bracket", "ITA, road cups", "cups.width_mm", "70"),
        ("frame", "27.2 caliper", "seat_tube.bore_mm", "27.2"),
        ("frame", "ZS44, ZS56", "head_tube_lower.bore_mm", "55.95"),
        ("frame", "rotor max not printed", "brake_mount.rotor_max_mm", "None"),
        ("crank", "110 BCD, 4 arm", "spider.bolts", "4"),
        ("rear_mount_adapter", "PM160 to 203", "foot.step_mm", "43"),
    ],
)
def test_the_words_of_a_shop_are_known(slot: str, line: str, figure: str, value: str) -> None:
    assert figures_of(slot, line)[figure] == value


@pytest.mark.parametrize(("slot", "line"), [("rear_hub", "135"), ("rear_rim", "clincher"), ("rear_tyre", "clincher")])
def test_a_word_for_several_things_stays_open(slot: str, line: str) -> None:
    heard = fitting_list.read({"slots": {slot: line}}, "list", LIBRARY, BICYCLE).part(slot)
    assert heard is not None
    assert len(heard.fills[slot]) > 1


def test_a_bare_measured_figure_that_two_sides_can_have_is_a_question() -> None:
    (fault,) = faults_of(frame="34.0 caliper")
    assert fault.kind == "doubtful-word"


def test_what_no_joint_reads_is_known_and_said_so() -> None:
    heard = fitting_list.read(
        {"slots": {"fork": "15x110, 44 mm offset", "front_hub": "15x110"}}, "list", LIBRARY, BICYCLE
    )
    assert heard.notices == (("unread", "44 mm offset"),)
    assert "No joint reads: 44 mm offset." in screen("meet", "fork: 15x110, 44 mm offset", "front hub: 15x110")


def test_a_tyre_and_a_rim_of_one_side_keep_their_own_figures() -> None:
    heard = fitting_list.read({"slots": {"rear wheel": "622x21TC, 40-622, 12x142"}}, "list", LIBRARY, BICYCLE)
    tyre = heard.slots["rear_tyre"].parts[0].fills["rear_tyre"][0]
    assert str(getattr(tyre["bead.width_mm"].value, "value", "")) == "40"


def test_a_rotor_on_a_hub_is_no_question_of_spoke_holes() -> None:
    answer = CliRunner().invoke(app, ["meet", "rotor: 160, 6-bolt", "rear hub: 12x142, 6-bolt"])
    assert (answer.exit_code, answer.stdout.splitlines()[0]) == (0, "Fits: the one joint judged.")


def test_parts_that_meet_and_state_nothing_are_not_said_to_be_apart() -> None:
    answer = CliRunner().invoke(app, ["meet", "handlebar: 31.8", "front brake lever: flat bar lever"])
    assert answer.exit_code == 3
    assert "no two listed parts meet" not in answer.output
    assert "brakes.lever-on-bar" in answer.output


@pytest.mark.parametrize(
    ("slot", "line", "figures"),
    [
        ("chainring", "1/8, 44t", {"tooth.tooth_mm": "2.91"}),
        ("cog", "1/8, 16t", {"tooth.tooth_mm": "2.91"}),
        ("front_tyre", "tubular 28", {"bead.type": "tubular", "bead.width_mm": "28"}),
        ("front_tyre", "28 mm tubular", {"bead.type": "tubular", "bead.width_mm": "28"}),
        ("bar_shim", "25.4-31.8", {"bar_clamp.dia_mm": "25.4", "centre.dia_mm": "31.8"}),
        ("bar_shim", "25.4 to 31.8", {"bar_clamp.dia_mm": "25.4", "centre.dia_mm": "31.8"}),
        ("stem_shim", "25.4-28.6", {"steerer_clamp.bore_mm": "25.4", "steerer.top_dia_mm": "28.6"}),
        ("stem_shim", "25.4 to 28.6", {"steerer_clamp.bore_mm": "25.4", "steerer.top_dia_mm": "28.6"}),
        ("frame", "44/56 head tube", {"head_tube_upper.bore_mm": "44.0", "head_tube_lower.bore_mm": "55.95"}),
        ("frame", "44/56", {"head_tube_upper.bore_mm": "44.0", "head_tube_lower.bore_mm": "55.95"}),
        ("frame", "max tyre 700x40", {"tyre_room.bsd_mm": "622", "tyre_room.tyre_max_mm": "40"}),
        ("fork", "max tyre 29x2.4", {"tyre_room.bsd_mm": "622", "tyre_room.tyre_max_mm": "60.96"}),
        ("fork", "max tyre 27.5x2.6", {"tyre_room.bsd_mm": "584", "tyre_room.tyre_max_mm": "66.04"}),
        ("frame", "max 45 mm tyre", {"tyre_room.tyre_max_mm": "45"}),
        ("front_tyre", "max 8 bar", {"bead.pressure_max_bar": "8"}),
        ("front_rim", "8 bar max", {"bead.pressure_max_bar": "8"}),
        ("front_rim", "presta hole", {"valve_hole.dia_mm": "6.4"}),
        ("front_rim", "schrader hole", {"valve_hole.dia_mm": "8.3"}),
        ("front_tyre", "27 x 1 1/4", {"bead.bsd_mm": "630", "bead.width_mm": "32"}),
        ("front_tyre", "26 x 1 3/8 EA3", {"bead.bsd_mm": "590", "bead.width_mm": "37"}),
        ("front_rim", "27 x 1 1/4", {"bead.bsd_mm": "630"}),
        ("handlebar", "flat bar", {"controls.dia_mm": "22.2"}),
        ("handlebar", "drop bar", {"controls.dia_mm": "23.8"}),
        ("front_brake_lever", "flat bar", {"clamp.dia_mm": "22.2"}),
        ("front_brake_lever", "drop bar", {"clamp.dia_mm": "23.8"}),
        ("crank", "BB30", {"spindle.drive_mm": "30"}),
        ("crank", "PF30", {"spindle.drive_mm": "30"}),
        ("crank", "DUB", {"spindle.form": "through"}),
        ("crank", "GXP", {"spindle.form": "through"}),
        ("crank", "BMX", {"spindle.form": "bmx"}),
        ("stem", "BMX", {"bar_clamp.dia_mm": "22.2"}),
        ("rear_hub", "thru axle 12x148", {"axle.form": "thru", "axle.bore_mm": "12", "axle.width_mm": "148"}),
        ("front_hub", "thru axle 15x110 32h", {"axle.bore_mm": "15", "axle.width_mm": "110", "flanges.holes": "32"}),
        ("fork", "rigid fork", {"length.travel_mm": "0"}),
        ("fork", "suspension fork 120 mm", {"length.travel_mm": "120"}),
    ],
)
def test_words_that_every_mechanic_types_settle_figures(slot: str, line: str, figures: dict[str, str]) -> None:
    found = figures_of(slot, line)
    assert {k: found.get(k) for k in figures} == figures


@pytest.mark.parametrize(("slot", "line"), [("chainring", "3/32, 44t"), ("cog", "3/32, 16t")])
def test_teeth_sold_under_one_inch_in_two_widths_are_both_read(slot: str, line: str) -> None:
    heard = fitting_list.read({"slots": {slot: line}}, "list", LIBRARY, BICYCLE).part(slot)
    assert heard is not None
    read = sorted(str(getattr(v["tooth.tooth_mm"].value, "value", "")) for v in heard.fills[slot])
    assert read == ["2.07", "2.28"]


@pytest.mark.parametrize(
    ("slot", "line"),
    [("rear_hub", "sealed hub, 12x142"), ("front_hub", "sealed bearings, 9x100")],
)
def test_words_that_no_joint_reads_are_known_and_said_to_be_unread(slot: str, line: str) -> None:
    heard = fitting_list.read({"slots": {slot: line}}, "list", LIBRARY, BICYCLE)
    assert ("unread", line.partition(",")[0]) in {(n[0], n[1].rpartition(": ")[2]) for n in heard.notices}


@pytest.mark.parametrize("line", ["110", "104", "130", "144"])
def test_a_bare_figure_on_a_crank_is_a_bolt_circle_or_a_length_and_is_asked_back(line: str) -> None:
    (fault,) = faults_of(crank=line)
    assert fault.kind == "doubtful-word"
    assert f"'{line} arms'" in fault.message
    assert f"'{line} BCD'" in fault.message
    assert figures_of("crank", "170")["arm.length_mm"] == "170"


def test_pounds_are_turned_into_bar_and_never_upwards() -> None:
    found = figures_of("front_rim", "max 120 psi")
    assert found == {"bead.pressure_max_bar": "8.27"}
    assert figures_of("front_tyre", "120 psi max") == found


def test_a_printed_width_counts_before_that_of_a_size_in_inches() -> None:
    assert figures_of("front_tyre", "27 x 1 1/4, 28-630")["bead.width_mm"] == "28"


@pytest.mark.parametrize("line", ["26 x 1 3/8", "BMX"])
def test_a_size_that_two_bead_seats_bear_stays_two(line: str) -> None:
    heard = fitting_list.read({"slots": {"front_tyre": line}}, "list", LIBRARY, BICYCLE).part("front_tyre")
    assert heard is not None
    assert len(heard.fills["front_tyre"]) > 1


def test_mechanical_disc_leaves_the_cable_pull_open() -> None:
    answer = CliRunner().invoke(app, ["meet", "front brake lever: mechanical disc", "front caliper: mechanical disc"])
    assert answer.exit_code == 3
    assert "which of several sizes its name means" in " ".join(answer.output.split())


@pytest.mark.parametrize(
    ("slots", "word"),
    [({"frame": "10 mm washer"}, "91 mm front"), ({"rear_hub": "not-stated"}, "nutted")],
)
def test_no_hint_is_given_where_nothing_known_is_near(slots: dict[str, object], word: str) -> None:
    (fault,) = faults_of(**slots)
    assert word not in fault.line()


def test_a_slip_of_one_sign_still_has_its_hint() -> None:
    assert faults_of(rear_hub="12x143")[0].nearest


def test_the_box_of_many_things_has_no_article() -> None:
    assert "on the box of nipples:" in faults_of(rear_nipples="sparkly")[0].message
    assert "on the box of a rim:" in faults_of(rear_rim="sparkly")[0].message


def test_a_figure_beyond_all_bounds_is_told_from_one_that_is_none() -> None:
    (fault,) = faults_of(front_brake_line={"line": {"run_mm": "999999 tape"}})
    assert "100000 at most, found '999999'" in fault.message


def said(*sides: str) -> str:
    return " ".join(CliRunner().invoke(app, ["meet", *sides, "--full"]).output.split())


def test_sentences_count_one_and_name_a_thread_once() -> None:
    assert "made for 1 gear;" in said("chain: 1/8", "cassette: 8-speed")
    assert "Take sprockets for a freewheel thread," in said("rear hub: freewheel thread", "cassette: HG 8-speed")


def test_sizes_in_inches_are_printed_to_one_place() -> None:
    told = said("frame: max tyre 29x2.4", "rear tyre: 29x4.8")
    assert "is 121.9 mm wide" in told
    assert "prints 61.0 mm at most" in told


def test_a_no_is_never_taken_from_what_it_turns() -> None:
    """``no`` alone is a word for a clutch; before other words it is theirs."""
    assert boxline.taken_apart("no clutch", {"no", "clutch"}.__contains__) == []
    assert boxline.taken_apart("long cage no clutch", {"long cage", "no", "no clutch"}.__contains__) == [
        "long cage",
        "no clutch",
    ]


@pytest.mark.parametrize(
    ("slot", "line", "figures"),
    [
        ("crank", "110 pcd 5 arm", {"spider.bcd_mm": "110", "spider.bolts": "5"}),
        ("crank", "24 mm axle", {"spindle.drive_mm": "24"}),
        ("bottom_bracket", "Italian M36x24, outboard cups", {"cups.form": "threaded"}),
        ("frame", "T47 (M47x1)", {"bb_shell.thread": "bb-thread.t47"}),
        ("frame", "American shell", {"bb_shell.thread": "none"}),
        ("rear_hub", "8-speed gear hub", {"gear.speeds": "8"}),
    ],
)
def test_words_that_mean_the_same_are_read_alike(slot: str, line: str, figures: dict[str, str]) -> None:
    found = figures_of(slot, line)
    assert {k: found.get(k) for k in figures} == figures


@pytest.mark.parametrize(
    ("line", "upper", "lower"),
    [
        ("threaded, stack 42 mm", "42", "0"),
        ("threaded, stack 12 mm, stack 30 mm", "12", "30"),
    ],
)
def test_the_stack_of_a_whole_headset_is_that_of_both_halves_together(line: str, upper: str, lower: str) -> None:
    """A box prints the height of the headset put together; counted for each half it would be twice as much."""
    heard = fitting_list.read({"slots": {"headset": line}}, "list", LIBRARY, BICYCLE)
    said = {}
    for slot in ("headset_upper", "headset_lower"):
        part = heard.part(slot)
        assert part is not None
        figure = part.fills[slot][0]["stack.height_mm"]
        said[slot] = str(getattr(figure.value, "value", figure.value))
    assert said == {"headset_upper": upper, "headset_lower": lower}
    assert bool(heard.notices) == (lower == "0")


@pytest.mark.parametrize(
    ("slot", "line", "figures"),
    [
        ("frame", "max fork travel 100 mm", {"fork_room.travel_max_mm": "100"}),
        ("frame", "weld 80 mm down", {"seat_tube.joint_depth_mm": "80"}),
        ("fork", "max 5 mm spacers above stem", {"steerer.spacers_above_max_mm": "5"}),
        ("fork", "no spacers above the stem", {"steerer.spacers_above_max_mm": "0"}),
        ("fork", "steerer diameter 28.0", {"steerer.top_dia_mm": "28.0"}),
        ("fork", "137 mm between clamps", {"steerer.between_clamps_mm": "137"}),
        ("handlebar", "grip area 22.2, bore 19.8", {"controls.dia_mm": "22.2", "ends.bore_mm": "19.8"}),
        ("front_brake_lever", "interrupter, 24.0", {"clamp.dia_mm": "24.0"}),
        ("front_brake_lever", "reverse lever", {"clamp.form": "bar-end"}),
        ("headset_upper", "skirt 34.1, max interference 0.1", {"cup.cup_od_mm": "34.1", "cup.press_max_mm": "0.1"}),
        ("preload_anchor", "expander 44 mm long", {"anchor.form": "expander", "anchor.length_mm": "44"}),
        ("seatpost", "90 mm in", {"shaft.inserted_mm": "90"}),
        ("seatpost", "7 mm round rails", {"head.rail_width_mm": "7", "head.rail_height_mm": "7"}),
        ("seatpost", "31.6 dropper", {"shaft.dia_mm": "31.6", "shaft.style": "dropper", "shaft.travel_mm": None}),
        ("seatpost", "170 mm dropper", {"shaft.travel_mm": "170", "shaft.style": "dropper"}),
        ("seatpost", "plain post", {"head.form": "plain-pin"}),
    ],
)
def test_sizes_and_limits_are_read_as_they_are_typed(slot: str, line: str, figures: dict[str, str | None]) -> None:
    found = figures_of(slot, line)
    assert {k: found.get(k) for k in figures} == figures


def test_the_bore_of_a_head_tube_is_asked_back_for_its_end_and_is_never_its_length() -> None:
    (fault,) = faults_of(frame="head tube bore 33.85 mm")
    assert "upper bore 33.85" in fault.message
    assert "lower bore 33.85" in fault.message
    (fault,) = faults_of(frame="head tube 33.85")
    assert "cannot be right" in fault.message


@pytest.mark.parametrize(
    ("slot", "line", "figures"),
    [
        ("crank", "1/2 in pedal thread", {"eye.thread": "pedal-thread.1-2"}),
        ("crank", "9/16 in pedal thread", {"eye.thread": "pedal-thread.9-16"}),
        ("crank", "pedal thread M14x1.25", {"eye.thread": "pedal-thread.french"}),
        ("crank", "109.5 mm spindle", {"spindle.length_mm": "109.5"}),
        ("bottom_bracket", "109.5 mm spindle", {"seat.length_mm": "109.5"}),
        ("crank", "three-piece, cotter 9.2 mm", {"spindle.form": "spindle.cottered", "spindle.cotter_mm": "9.2"}),
        ("cog", "three-lug", {"bore.spline": "spline.hub-gear"}),
        ("cog", "track fixed", {"bore.spline": "spline.track-thread"}),
        ("rear_hub", "three-lug", {"driver.spline": "spline.hub-gear"}),
        ("rear_hub", "track fixed", {"driver.spline": "spline.track-thread"}),
        ("rear_hub", "3-speed hub", {"gear.speeds": "3", "gear.steps": "stepped"}),
        (
            "rear_hub",
            "cog thread 1.375 x 24 tpi",
            {"driver.spline": "spline.track-thread", "driver.thread": "screw-thread.iso"},
        ),
        ("chain_tensioner", "sprung, two pulleys", {"arm.form": "sprung"}),
        ("frame", "own hanger", {"hanger.seat": "own"}),
        ("frame", "no ISCG", {"guide_mount.form": "none"}),
    ],
)
def test_what_a_workshop_writes_of_the_drivetrain(slot: str, line: str, figures: dict[str, str]) -> None:
    assert figures.items() <= figures_of(slot, line).items()


def test_a_bare_length_on_cranks_may_be_of_the_spindle_too() -> None:
    question = boxline.read(RECORD_KINDS["crank"], "109.5 mm", LIBRARY).question
    assert "109.5 arms" in question
    assert "109.5 BCD" in question
    assert "spindle" in question


@pytest.mark.parametrize(
    ("line", "shapes"),
    [
        ("derailleur hanger", {"tab", "direct", "universal"}),
        ("derailleur hanger, M10 hanger", {"tab"}),
    ],
)
def test_a_frame_with_some_hanger_has_one_of_its_shapes(line: str, shapes: set[str]) -> None:
    heard = fitting_list.read({"slots": {"frame": line}}, "list", LIBRARY, BICYCLE).part("frame")
    assert heard is not None
    assert {str(v["hanger.form"].value) for v in heard.fills["frame"]} == shapes


@pytest.mark.parametrize("thread", ["nutted, 7/16 x 26 tpi", "nutted, 13/32 x 24 tpi", "nutted, M11x1"])
def test_a_thread_that_is_not_known_is_not_taken_for_a_near_one(thread: str) -> None:
    for fault in faults_of(rear_hub=thread):
        assert fault.nearest == "", fault.line()


@pytest.mark.parametrize(
    ("slot", "line", "figures"),
    [
        ("front_hub", "QR 9x74", {"axle.form": "quick-release", "axle.width_mm": "74", "axle.end_dia_mm": "9"}),
        ("fork", "cantilever posts", {"rim_brake_mount.form": "cantilever-boss"}),
        ("fork", "open slot, aluminium dropouts", {"dropout.form": "slot"}),
        ("headset_lower", "EC30.2/26.4", {"cup.size_mm": "30.1", "race.seat_mm": "26.4"}),
        ("cog_lockring", "1.29 x 24 tpi left-hand", {"ring.thread": "lockring-thread.1-29"}),
        ("seatpost", "two-bolt clamp for 7 mm rails, stack 225 mm, insert 255 mm", {"head.form": "two-rail"}),
        ("front_pads", "V-brake", {"pad.fixing": "threaded-post"}),
        ("front_pads", "L03A", {"pad.outline": "pad-outline.k-l"}),
        ("front_caliper", "K02S pads", {"slot.pad_outline": "pad-outline.k-l"}),
    ],
)
def test_words_of_a_workshop_settle_what_they_say(slot: str, line: str, figures: dict[str, str]) -> None:
    found = figures_of(slot, line)
    assert {k: found.get(k) for k in figures} == figures


@pytest.mark.parametrize(
    ("slot", "line"),
    [
        ("front_spokes", "crossed"),
        ("front_rim_brake", "85 mm arms"),
    ],
)
def test_words_that_leave_a_figure_open_settle_nothing(slot: str, line: str) -> None:
    assert figures_of(slot, line) == {}


def test_a_code_that_is_not_listed_stands_as_it_is_printed() -> None:
    assert LIBRARY.word("brake_pad", "outline", "k02s") == "pad-outline.k-l"
    assert LIBRARY.word("brake_pad", "outline", "outline-7") == "outline-7"
    assert LIBRARY.word("brake_pad", "fixing", "outline-7") is None
