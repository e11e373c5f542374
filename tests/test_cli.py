"""The command line, run in this process: exit codes, purity of answers, help, bad input, hostile names."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from catalog_schema import bicycle, library
from catalog_schema.catalog import Catalog
from catalog_schema.faults import FaultList
from catalog_schema.reading import Reader
from catalog_schema.records import RECORD_KINDS
from solver import cli, questions
from solver.render import layout
from solver.rules import every
from tests.test_bad_input import CATALOG_FAULTS, GOOD_CATALOG, LIST_FAULTS

RUNNER = CliRunner()
COMMANDS = tuple(cli.EXIT_CODES)

NO = ["frame: 12x148, aluminium", "rear hub: 12x142"]
YES = ["frame: 12x148, aluminium", "rear hub: 12x148"]


def run(*arguments: str | Path, code: int | None = None, stdin: bytes | None = None) -> Any:
    result = RUNNER.invoke(cli.app, [str(a) for a in arguments], input=stdin)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    if code is not None:
        assert result.exit_code == code, result.output
    return result


def a_list(tmp_path: Path, text: str, name: str = "list.toml") -> Path:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return file


# exit codes


def test_0_when_all_fits() -> None:
    assert run("meet", *YES, code=0).stdout.startswith("Fits: ")


def test_1_when_something_does_not() -> None:
    assert run("meet", *NO, code=1).stdout.startswith("Does not fit: ")


def test_3_when_a_figure_is_missing() -> None:
    result = run("meet", "frame: aluminium, 12x148", "rear hub: 32h", code=3)
    assert result.stdout.startswith("Not known: ")


def test_4_when_something_is_to_be_added() -> None:
    result = run("meet", "frame: 31.6, aluminium", "seatpost: 27.2", code=4)
    assert result.stdout.startswith("Fits with an adapter: ")


def test_2_when_no_two_parts_meet() -> None:
    result = run("meet", "frame: 12x148", code=2)
    assert result.stdout == ""
    assert "no two listed parts meet" in result.stderr


def test_70_when_it_is_our_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a secret of ours")

    monkeypatch.setattr(questions, "meet", broken)
    result = RUNNER.invoke(cli.app, ["meet", *NO])
    assert result.exit_code == 70
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    assert "report it" in result.stderr
    assert "secret" not in result.stderr


def test_an_unknown_option_is_bad_input() -> None:
    result = run("check", "--colour", code=2)
    assert result.stdout == ""


def test_json_and_text_end_with_the_same_code() -> None:
    for sides in (YES, NO):
        assert run("meet", *sides).exit_code == run("meet", *sides, "--json").exit_code
        assert run("meet", *sides).exit_code == run("meet", *sides, "--customer").exit_code


def test_every_command_shows_its_exit_codes() -> None:
    for command in COMMANDS:
        text = run(command, "--help", code=0).stdout
        for code, meaning in cli.EXIT_CODES[command].items():
            assert re.search(rf"^\s+{code}  {re.escape(meaning)}$", text, re.MULTILINE), (command, code)


def test_every_command_has_help() -> None:
    text = run("--help", code=0).stdout
    listed = set(re.findall(r"^  (\w+) ", text.partition("Commands:\n")[2].partition("\n\n")[0], re.MULTILINE))
    assert listed == set(COMMANDS)
    assert listed >= {"check", "meet", "why", "interfaces", "rule", "card"}
    for command in COMMANDS:
        for option in ("-h", "--help"):
            assert "Usage:" in run(command, option, code=0).stdout


def test_the_version_is_told() -> None:
    assert re.fullmatch(r"fitwright \d+\.\d+\.\d+\n", run("--version", code=0).stdout)


# whole answers

WHOLE = [
    (
        ["frame: 12x148, aluminium", "rear hub: 12x142"],
        """\
Does not fit: the one joint judged. 1 part is missing.
Does not fit. The rear hub is 142 mm wide over its ends; the frame takes 148 mm.
  (wheels.hub-in-dropout@rear)
    because  It is 6 mm short; clamped together, frame and axle would bend, and rotor and sprockets
             stand in the wrong place.
    do       Take a hub of 148 mm.
    note     For some hubs the maker sells ends that change this. Write those that he sells with the
             hub: end caps 12x142 available.
Missing: rear axle. The frame takes a thru axle of 12 mm, in dropouts 148 mm apart; none is listed.
1 joint judged: 1 does not fit.
""",
    ),
    (
        ["fork: 15x110, aluminium", "front hub: thru, 15x110"],
        """\
Fits: the one joint judged. 1 part is missing.
Missing: front axle. The fork takes a thru axle of 15 mm, in dropouts 110 mm apart; none is listed.
1 joint judged: 1 fits.
""",
    ),
    (
        ["stem: 31.8", "handlebar: 35, aluminium"],
        """\
Does not fit: the one joint judged.
Does not fit. The handlebar is 35.0 mm thick in its middle; the stem clamps 31.8 mm.
  (front_end.bar-in-stem)
    because  It does not go in.
    do       Take a stem for 35.0 mm, or a bar of 31.8 mm.
1 joint judged: 1 does not fit.
""",
    ),
    (
        ["frame: 31.6, aluminium", "seatpost: 27.2", "--customer"],
        """\
It goes together, with a small part in between.
This seatpost is too thin for this frame; a sleeve made for it, or a post of the right size, is
  needed.
Still to get: The clamp that holds the seatpost.
What it takes: 1 small part in between and 1 part still to get.
""",
    ),
]


@pytest.mark.parametrize(("arguments", "whole"), WHOLE, ids=lambda v: v[0] if isinstance(v, list) else "")
def test_whole_answers(arguments: list[str], whole: str) -> None:
    assert re.sub(r" Beside these: [^.]*\.", "", run("meet", *arguments).stdout) == whole


def test_unsafe_opens_with_the_caution_in_both_registers() -> None:
    for options in ([], ["--customer"]):
        text = run("meet", "frame: QR 130, aluminium", "rear hub: QR 135", *options, code=1).stdout
        assert text.splitlines()[1].startswith("Unsafe: a wheel that comes out on the road can kill.")


def test_the_same_parts_in_any_order_give_the_same_bytes() -> None:
    assert run("meet", *NO).stdout == run("meet", *reversed(NO)).stdout
    assert run("meet", *NO, "--json").stdout == run("meet", *reversed(NO), "--json").stdout


def test_a_list_and_its_sides_say_the_same(tmp_path: Path) -> None:
    file = a_list(tmp_path, '[slots]\nframe = "12x148, aluminium"\nrear_hub = "12x142"\n')
    table = a_list(tmp_path, 'slot,part\nframe,"12x148, aluminium"\nrear_hub,12x142\n', "list.csv")
    assert run("check", file).stdout == run("meet", *NO).stdout == run("check", table).stdout


def test_a_list_may_come_on_standard_input() -> None:
    text = b'[slots]\nframe = "12x148, aluminium"\nrear_hub = "12x142"\n'
    assert run("check", "-", stdin=text, code=1).stdout == run("meet", *NO).stdout


def test_what_is_missing_is_told(tmp_path: Path) -> None:
    text = run("meet", *YES).stdout
    assert "Missing: rear axle. The frame takes a thru axle" in text


def test_a_complete_bicycle_is_asked_for_more(tmp_path: Path) -> None:
    text = '[slots]\nframe = "12x148, aluminium"\nrear_hub = "12x148"\nsaddle = "none"\n'
    result = run("check", a_list(tmp_path, text), "--complete", code=2)
    assert "names no kind of bicycle" in result.stderr
    file = a_list(tmp_path, 'kind = "mountain"\n' + text)
    assert run("check", file, code=0)
    answer = json.loads(run("check", file, "--complete", "--json", code=4).stdout)
    named = {m["slot"] for m in answer["missing"]}
    assert {"fork", "stem", "cassette", "rear_axle"} <= named
    assert not named & {"frame", "rear_hub", "saddle"}


def test_an_open_slot_is_still_to_choose(tmp_path: Path) -> None:
    text = 'kind = "mountain"\n[slots]\nframe = "12x148, aluminium"\nrear_hub = "12x148"\nrear_axle = "any"\n'
    result = run("check", a_list(tmp_path, text), code=0)
    assert "Still to choose: rear axle." in result.stdout
    assert "Missing: rear axle" not in result.stdout


def test_why_tells_the_joints_of_some_slots(tmp_path: Path) -> None:
    text = '[slots]\nframe = "12x148, 31.6, aluminium"\nrear_hub = "12x142"\nseatpost = "31.6"\n'
    file = a_list(tmp_path, text)
    assert run("why", file).exit_code == 1
    about = run("why", file, "seatpost").stdout
    assert "seating.seatpost-in-seat-tube" in about
    assert "hub-in-dropout" not in about
    assert run("why", file, "rear hub", code=1).stdout
    assert "nearest known: saddle" in run("why", file, "sadle", code=2).stderr
    assert "no two listed parts meet" in run("why", file, "saddle", code=2).stderr


def test_place_is_taken_from_the_other_side() -> None:
    assert "@rear" in run("meet", "frame: 12x148, aluminium", "wheel: 12x142").stdout
    assert "@front" in run("meet", "fork: 15x110, aluminium", "wheel: 15x100").stdout
    assert "taken as rear" in run("meet", "rim: 622x19, hooked", "tyre: 28-622").stdout


def test_words_of_a_wheel_go_where_they_are_understood() -> None:
    answer = json.loads(run("meet", "frame: 12x148, aluminium", "wheel: 12x148, 6-bolt, 28-622", "--json").stdout)
    judged = {f["id"] for f in answer["findings"] if f["state"] == "judged"}
    assert "wheels.hub-in-dropout@rear" in judged
    result = run("meet", "frame: 12x148", "wheel: 12x148, purple", code=2)
    assert "wheel: unknown words on the box: 'purple'" in result.stderr


@pytest.mark.parametrize("side", ["frame", "frame:", ": 12x148", "frane: 12x148", "frame 12x148"])
def test_a_side_that_is_none_is_a_fault(side: str) -> None:
    result = run("meet", side, "rear hub: 12x148", code=2)
    assert result.stderr.startswith("meet: ")


def test_two_sides_for_one_slot_are_a_fault() -> None:
    assert "two sides describe the frame" in run("meet", "frame: 12x148", "frame: 12x142", code=2).stderr


# documents


@pytest.mark.parametrize(
    "arguments",
    [
        ["meet", *NO],
        ["meet", *NO, "--sources"],
        ["meet", *YES, "--customer"],
        ["meet", *YES, "--full"],
        ["interfaces"],
        ["interfaces", "12x148"],
        ["rule", "wheels.hub-in-dropout"],
        ["card", "rear hub"],
        ["card", "frame", "--for-question", "wheelset"],
    ],
    ids=" ".join,
)
def test_json_is_one_document_and_nothing_else(arguments: list[str]) -> None:
    result = run(*arguments, "--json")
    document = json.loads(result.stdout)
    assert document["format_version"] == 1
    assert document["command"] == arguments[0]
    assert result.stderr == ""
    assert result.stdout.isascii()


def test_dimensions_are_numbers_and_carry_their_unit() -> None:
    document = json.loads(run("meet", *NO, "--json").stdout, parse_float=Decimal)
    figures = [f for finding in document["findings"] for test in finding["tests"] for f in test["figures"] if f["ref"]]
    assert {f["width_mm"] for f in figures if "width_mm" in f} == {142, 148}
    for found in figures:
        key = found["ref"].rpartition(".")[2]
        assert key in found
        if key.endswith("_mm") and found[key] is not None:
            assert isinstance(found[key], int | Decimal | list | dict) or found[key] == "not-printed"


def test_findings_hold_no_sentences_and_parts_only_as_labels(tmp_path: Path) -> None:
    text = '[slots]\nframe = {box = "12x148, aluminium", maker = "Pellmark", model = "Osier"}\nrear_hub = "12x142"\n'
    document = json.loads(run("check", a_list(tmp_path, text), "--json").stdout)
    for finding in document["findings"]:
        labels = finding.pop("labels")
        assert "Pellmark" not in json.dumps(finding)
        if finding["id"] == "wheels.hub-in-dropout@rear":
            assert labels["frame"] == "Pellmark Osier"


# screens


@pytest.mark.parametrize("options", [[], ["--customer"]], ids=["mechanic", "customer"])
def test_an_answer_is_at_most_24_lines_of_100_columns(options: list[str], tmp_path: Path) -> None:
    text = (
        'kind = "mountain"\n[slots]\nframe = "12x142, 31.6, aluminium"\nfork = "15x110, aluminium"\n'
        'rear_hub = "12x148, 6-bolt"\nfront_hub = "15x100"\nseatpost = "27.2"\nseat_collar = "36.4"\n'
        'front_rim = "622x19, hooked"\nfront_tyre = "28-584"\nrear_rim = "622x30"\nrear_tyre = "62-584"\n'
    )
    result = run("check", a_list(tmp_path, text), "--complete", *options)
    lines = result.stdout.splitlines()
    assert len(lines) <= 24
    assert max(len(line) for line in lines) <= 100
    document = json.loads(run("check", a_list(tmp_path, text), "--complete", "--json").stdout)
    reds = [f["id"] for f in document["findings"] if f["verdict"] in ("no-fit", "unsafe")]
    assert len(reds) >= 3
    if not options:
        assert all(i in " ".join(result.stdout.split()) for i in reds)


def test_no_ticks_no_boxes_no_colour_in_a_pipe() -> None:
    for arguments in (["meet", *NO], ["meet", *YES, "--full", "--sources"], ["--help"], ["card", "frame"]):
        text = run(*arguments).stdout
        assert "\x1b" not in text
        assert not re.search("[\u2500-\u257f\u2713\u2714\u2717\u2718\u274c]", text)


def test_full_and_sources_say_more() -> None:
    short = run("meet", *YES).stdout
    full = run("meet", *YES, "--full").stdout
    assert len(full) > len(short)
    assert "wheels.hub-in-dropout@rear" in full
    assert "    source   " in run("meet", *NO, "--sources").stdout
    assert "    source   " in run("meet", *YES, "--sources", "--full").stdout


# the library and the rules


def test_interfaces_shows_names_figures_and_grounds() -> None:
    text = run("interfaces", "12x148", code=0).stdout
    assert "148 mm" in text
    assert "source: " in text
    assert "12x148" in run("interfaces", "--full", code=0).stdout
    assert "the library has nothing named" in run("interfaces", "warp drive", code=2).stderr


@pytest.mark.parametrize("joint", sorted(every.load()))
def test_every_joint_has_a_page(joint: str) -> None:
    text = run("rule", joint, code=0).stdout
    assert text.startswith(joint)
    assert "Test: " in text
    assert run("rule", joint, "--json", code=0)


def test_an_unknown_joint_is_not_guessed() -> None:
    result = run("rule", "wheels.hub-in-dropuot", code=2)
    assert "nearest known: wheels.hub-in-dropout" in result.stderr


@pytest.mark.parametrize("kind", sorted(RECORD_KINDS))
def test_a_card_is_a_part_record(kind: str, tmp_path: Path) -> None:
    text = run("card", kind, "--toml", code=0).stdout
    faults = FaultList("card")
    reader = Reader(library.load(), bicycle.load(), faults)
    import tomllib

    parts = [p for n, t in tomllib.loads(text, parse_float=Decimal)["parts"].items() for p in reader.parts(n, t, n)]
    assert not faults.faults, [f.line() for f in faults.faults]
    assert len(parts) == 1
    assert set(parts[0].fills) <= set(bicycle.load().slots_of_kind(kind))
    assert all(not v for variants in parts[0].fills.values() for v in variants)


def test_a_filled_card_is_judged(tmp_path: Path) -> None:
    text = run("card", "rear hub", "--toml").stdout.replace('width_mm = "not-stated"', "width_mm = 148")
    catalog = a_list(tmp_path, text.replace("YOUR-NUMBER", "HB-9"), "shop.toml")
    listed = a_list(tmp_path, f'catalogs = ["{catalog.name}"]\n[slots]\nframe = "12x142"\nrear_hub = "HB-9"\n')
    assert "hub-in-dropout@rear" in run("check", listed, code=1).stdout


def test_a_card_for_a_question_is_shorter() -> None:
    whole = json.loads(run("card", "frame", "--json").stdout)["figures"]
    asked = json.loads(run("card", "frame", "--for-question", "wheelset", "--json").stdout)["figures"]
    assert {(f["port"], f["figure"]) for f in asked} < {(f["port"], f["figure"]) for f in whole}
    assert ("dropout", "width_mm") in {(f["port"], f["figure"]) for f in asked}
    assert "head_tube" not in {f["port"] for f in asked}
    assert "nearest known: wheelset" in run("card", "frame", "--for-question", "wheelst", code=2).stderr
    assert "nearest known: rear hub" in run("card", "rear hubb", code=2).stderr


# bad input


def fault_kinds(result: Any, *, as_json: bool = False) -> None:
    if as_json:
        assert json.loads(result.stdout)["faults"]
    else:
        assert result.stdout == ""
    assert result.stderr.strip()
    assert all(len(line) <= 410 and line.isprintable() for line in result.stderr.splitlines())


@pytest.mark.parametrize(("text", "kind", "place"), LIST_FAULTS, ids=lambda v: str(v)[:40])
def test_every_fault_of_a_list_ends_with_2(text: str, kind: str, place: str, tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(GOOD_CATALOG, encoding="utf-8")
    for command in ("check", "why"):
        result = run(command, a_list(tmp_path, text), code=2)
        fault_kinds(result)
        assert place in result.stderr
    fault_kinds(run("check", a_list(tmp_path, text), "--json", code=2), as_json=True)


@pytest.mark.parametrize(("text", "kind", "place", "nearest"), CATALOG_FAULTS, ids=lambda v: str(v)[:40])
def test_every_fault_of_a_catalogue_ends_with_2(text: str, kind: str, place: str, nearest: str, tmp_path: Path) -> None:
    shop = a_list(tmp_path, text, "shop.toml")
    listed = a_list(tmp_path, '[slots]\nframe = "12x148"\nrear_hub = "12x148"\n')
    result = run("check", listed, "--catalog", shop, code=2)
    fault_kinds(result)
    assert "shop.toml" in result.stderr
    if nearest:
        assert f"nearest known: {nearest}" in result.stderr


def test_all_faults_are_named_at_once(tmp_path: Path) -> None:
    result = run("check", a_list(tmp_path, "[slots]\nrear_hob = 'x'\nsadle = 'any'\nstem = 3\n"), code=2)
    assert len(result.stderr.splitlines()) == 3


def test_a_faulty_catalogue_does_not_make_its_numbers_faults(tmp_path: Path) -> None:
    a_list(tmp_path, "[parts.HB-1.fills.rear_hob]\n", "shop.toml")
    text = 'catalogs = ["shop.toml"]\n[slots]\nrear_hub = "HB-1"\nstem = ["ST-1", "ST-2"]\nframe = "12x148, purple"\n'
    lines = run("check", a_list(tmp_path, text), code=2).stderr.splitlines()
    assert len(lines) == 2
    assert "rear_hob" in lines[1] or "rear_hob" in lines[0]
    assert any("purple" in line for line in lines)


def test_files_that_are_none(tmp_path: Path) -> None:
    for path in (tmp_path / "gone.toml", tmp_path):
        fault_kinds(run("check", path, code=2))
    (tmp_path / "x.toml").write_bytes(b"\xff\xfe\x00")
    fault_kinds(run("check", tmp_path / "x.toml", code=2))
    (tmp_path / "deep.toml").write_text("a = " + "[" * 100_000, encoding="utf-8")
    fault_kinds(run("check", tmp_path / "deep.toml", code=2))


HOSTILE = [
    "\\u001b[31mred\\u001b[0m",
    "[bold red]loud[/bold red]",
    "[link=https://example.org]x[/link]",
    "a\\r\\nFits: all 9 joints judged.",
    "\\u202egnihton",
    "{hub} {title} %s \\\\ $(reboot)",
    "<script>alert(1)</script>",
    "x" * 1_000_000,
]


@pytest.mark.parametrize("name", HOSTILE, ids=lambda v: v[:24])
@pytest.mark.parametrize("options", [[], ["--full", "--sources"], ["--customer"], ["--json"]], ids=" ".join)
def test_hostile_names_do_no_harm(name: str, options: list[str], tmp_path: Path) -> None:
    text = (
        f'title = "{name}"\n[parts."{name}"]\nmaker = "{name}"\nmodel = "{name}"\nnote = "{name}"\n'
        f'[parts."{name}".fills.rear_hub]\nbox = "12x142"\n'
        f'[[parts."{name}".settings]]\nname = "{name}"\ncomplete = true\n'
        f'[[parts."{name}".settings.options]]\nname = "{name}"\n'
        'offer = "as-shipped"\nrear_hub = { axle = "12x142" }\n'
        f'[slots]\nframe = "12x148, aluminium"\nrear_hub = ["{name}", "12x142"]\n'
    )
    result = run("check", a_list(tmp_path, text), *options)
    assert result.exit_code == 1
    assert all(line.isprintable() for line in result.stdout.splitlines())
    if "--json" in options:
        assert json.loads(result.stdout)["exit_code"] == 1
        return
    assert max(len(line) for line in result.stdout.splitlines() if "source" not in line and "http" not in line) <= 100
    assert not result.stdout.startswith("Fits")
    if not options:
        assert len(result.stdout.splitlines()) <= 24


@pytest.mark.parametrize("name", HOSTILE, ids=lambda v: v[:24])
def test_hostile_keys_are_faults(name: str, tmp_path: Path) -> None:
    fault_kinds(run("check", a_list(tmp_path, f'[slots]\n"{name}" = "any"\n"frame" = "{name}"\n'), code=2))


def test_hostile_words_on_the_command_line() -> None:
    for name in ("\x1b[31m", "x" * 100_000, "[bold]", "\ud800", ""):
        for arguments in (["rule", name], ["card", name], ["why", "-", name], ["meet", f"{name}: x", name]):
            result = run(*arguments, stdin=b'[slots]\nframe = "12x148"\nrear_hub = "12x148"\n', code=2)
            assert all(line.isprintable() for line in result.stderr.splitlines())


def test_the_app_is_quiet_about_tracebacks() -> None:
    assert isinstance(cli.app, typer.Typer)
    assert cli.app.pretty_exceptions_enable is False


def test_an_empty_catalogue_has_nothing_to_offer() -> None:
    assert Catalog().filling("stem") == []


def test_rows_on_standard_input_are_read() -> None:
    result = RUNNER.invoke(cli.app, ["check", "-"], input="slot;part\nframe;12x142, steel\nrear_hub;12x142, 6-bolt\n")
    assert result.exit_code == 0, result.output


def test_bad_input_is_one_document_as_well() -> None:
    result = RUNNER.invoke(cli.app, ["meet", "frame: 12x142", "wheel: sparkly", "--json"])
    assert result.exit_code == 2
    document = json.loads(result.stdout)
    assert (document["command"], document["faults"][0]["kind"]) == ("meet", "unknown-word")
    assert "sparkly" in result.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("arguments", [("meet", "frame: 12x142", "wheel: 12x142"), ("interfaces", "--full")])
def test_a_full_disk_is_told_in_plain_words(arguments: tuple[str, ...]) -> None:
    with Path("/dev/full").open("w") as full:
        result = subprocess.run(
            [sys.executable, "-m", "solver", *arguments], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert result.returncode == 2
    assert "cannot be written" in result.stderr
    assert "Traceback" not in result.stderr


def _outside(script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["/bin/sh", "-c", script, sys.executable], capture_output=True, text=True, check=False, timeout=60
    )


@pytest.mark.skipif(not Path("/bin/sh").exists(), reason="no shell")
@pytest.mark.parametrize(
    "streams",
    [">&-", ">&- 2>&-", "<&-", *(["2>/dev/full", ">/dev/full 2>/dev/full"] if Path("/dev/full").exists() else [])],
)
def test_closed_and_full_streams_never_look_like_a_verdict(streams: str) -> None:
    """What cannot be read or said ends with 2; 1 would be taken for "does not fit"."""
    asked = "check -" if streams == "<&-" else "check no-such-list.toml"
    result = _outside(f'"$0" -m solver {asked} {streams}')
    assert result.returncode == 2
    assert "Traceback" not in result.stderr
    assert "fault of its own" not in result.stderr


def test_a_word_is_not_found_across_two_words() -> None:
    assert "nope" in run("interfaces", "nope", code=2).stderr  # "an open slot" holds it only with the space left out
    assert "12x148" in run("interfaces", "boost 148", code=0).stdout
    assert "splined" in run("interfaces", "lock", code=0).stdout


def test_an_area_in_place_of_a_joint_names_its_joints() -> None:
    assert "hub-in-dropout" in run("rule", "wheels", code=2).stderr
    assert run("rule", "stem on steerer", code=0).stdout.startswith("front_end.stem-on-steerer")


def test_no_word_is_the_same_as_an_empty_word() -> None:
    assert run("interfaces", "", code=0).stdout == run("interfaces", code=0).stdout


def test_a_list_full_of_faults_is_answered_soon_and_told_in_part(tmp_path: Path) -> None:
    path = tmp_path / "many.toml"
    path.write_text("[slots]\n" + "".join(f'fraim{i} = "x"\n' for i in range(3000)), encoding="utf-8")
    said = run("check", path, code=2).stderr.splitlines()
    assert len(said) < 300
    assert said[-1] == "2,800 more faults; --json names all."
    assert [line.split(":")[1] for line in said[8:11]] == [" slots.fraim8", " slots.fraim9", " slots.fraim10"]


def test_a_copy_that_is_garbage_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(GOOD_CATALOG, encoding="utf-8")
    (tmp_path / "shop.packed").write_bytes(bytes(range(128, 256)))
    path = tmp_path / "list.toml"
    path.write_text('catalogs = ["shop.toml"]\n[slots]\nframe = "27.2"\nseatpost = "27.2"\n', encoding="utf-8")
    run("check", path, code=0)


def test_missing_parts_in_short_are_each_named_once_without_stops() -> None:
    said = layout._in_short(
        ["Still to get: A headset, for the fork.", "Still to get: A headset, for the fork.", "Still to get: stem."]
    )
    assert said == "Missing: A headset, for the fork; stem. (--full says why.)"
