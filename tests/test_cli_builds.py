"""The commands about builds: exit codes, a screen, JSON, whole lines, bad input."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from solver import cli, questions, search, searching
from tests import generator

ROOT = Path(__file__).parent.parent
HALF = ROOT / "sample_catalogs" / "lists" / "builds-towpath.toml"
BASIN = ROOT / "sample_catalogs" / "basin.toml"
RUNNER = CliRunner()


def run(*arguments: Any, code: int | None = None, stdin: str | None = None) -> Any:
    result = RUNNER.invoke(cli.app, [str(a) for a in arguments], input=stdin)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    if code is not None:
        assert result.exit_code == code, result.output
    return result


SMALL = {"frame": "WQ-TOW-54", "fork": "any", "headset_upper": "any", "headset_lower": "any", "stem": "OG-ST-31-80"}


def question(tmp_path: Path, **slots: str) -> Path:
    file = tmp_path / "list.toml"
    lines = [f'{slot} = "{what}"' for slot, what in slots.items()]
    file.write_text(f'catalogs = ["{BASIN}"]\nkind = "gravel"\n[slots]\n' + "\n".join(lines), encoding="utf-8")
    return file


def test_the_default_answer_fits_a_screen() -> None:
    lines = run("builds", HALF, code=0).stdout.splitlines()
    assert len(lines) <= 24
    assert max(len(line) for line in lines) <= 100
    assert "builds fit as listed" in lines[0]
    assert any(line.startswith("  price") for line in lines)


def test_every_part_of_the_builds_is_told() -> None:
    """What differs stands in the table, what all of them have in one line; of a single build nothing is left out."""
    for best in ("1", "2", "5"):
        told = " ".join(run("builds", HALF, "--best", best, code=0).stdout.split())
        document = json.loads(run("builds", HALF, "--best", best, "--json", code=0).stdout)
        for build in document["builds"]:
            for part in build["parts"]:
                assert part["given"] or part["number"] in told, (best, part["number"])


def test_too_much_is_told_without_words_of_the_engine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(search, "MOST_ROWS", 10)
    told = run("builds", question(tmp_path, **SMALL), code=2).output
    assert "too much to work out at once" in told
    assert not any(word in told for word in ("join", "rows", "expansion"))


def test_many_slots_still_fit_a_screen(tmp_path: Path) -> None:
    slots = dict.fromkeys(generator.SLOTS, "any")
    lines = run("builds", question(tmp_path, **slots)).stdout.splitlines()
    assert len(lines) <= 24
    assert len(run("tradeoff", question(tmp_path, **slots)).stdout.splitlines()) <= 30


@pytest.mark.parametrize(
    ("slots", "code"),
    [
        ({"frame": "WQ-TOW-54", "seatpost": "any"}, 0),
        ({"frame": "WQ-TOW-54", "seatpost": "OG-PO-309"}, 1),
        ({"frame": "WQ-GAN-18", "seatpost": "OG-PO-272"}, 4),
        ({"fork": "WQ-F-GANX", "front_rotor": "LM-RO-203", "front_caliper": "any"}, 3),
        ({"frame": "nonsense", "seatpost": "any"}, 2),
    ],
)
def test_exit_codes(tmp_path: Path, slots: dict[str, str], code: int) -> None:
    for command in ("builds", "choices", "tradeoff"):
        run(command, question(tmp_path, **slots), code=code)


def test_json_is_one_document(tmp_path: Path) -> None:
    file = question(tmp_path, **SMALL)
    for command in ("builds", "choices", "tradeoff"):
        document = json.loads(run(command, file, "--json", code=0).stdout)
        assert document["format_version"] == 1
        assert document["command"] == command
        assert document["counts"]["fits"] > 0
    shown = json.loads(run("builds", file, "--json", "--best", "3").stdout)
    assert len(shown["builds"]) == 3
    for build in shown["builds"]:
        priced = [p["price_minor"] for p in build["parts"] if p["price_minor"] is not None]
        assert build["price_minor"] == sum(priced)
        assert build["unpriced"] == len(build["parts"]) - len(priced)


def test_every_listed_build_passes_check(tmp_path: Path) -> None:
    slots = {"frame": "WQ-TOW-54", "rear_hub": "any", "cassette": "TB-CS-11R", "rear_rotor": "any"}
    lines = run("builds", question(tmp_path, **slots), "--all", code=0).stdout.splitlines()
    assert len(lines) > 5
    for line in lines[:: 1 + len(lines) // 15]:
        found = json.loads(line)
        filled = {p["slots"][0]: p["number"] for p in found["parts"]}
        run("check", question(tmp_path, **filled), code=0)


def test_all_lists_as_many_as_are_counted(tmp_path: Path) -> None:
    file = question(tmp_path, frame="any", seatpost="any", seat_collar="any")
    for accept, name in (("fits", "fits"), ("needs-adapter", "needs_adapter"), ("needs-work", "needs_work")):
        lines = run("builds", file, "--all", "--accept", accept).stdout.splitlines()
        counts = json.loads(run("builds", file, "--json").stdout)["counts"]
        assert len(lines) == counts[name]
        assert len(set(lines)) == len(lines)


def test_a_set_is_bought_once(tmp_path: Path) -> None:
    file = question(tmp_path, frame="WQ-TOW-54", front_hub="any", rear_hub="any", cassette="TB-CS-11R")
    found = [json.loads(line) for line in run("builds", file, "--all", code=0).stdout.splitlines()]
    sets = [p for b in found for p in b["parts"] if len(p["slots"]) > 1]
    assert sets
    for build in found:
        slots = [s for p in build["parts"] for s in p["slots"]]
        assert len(slots) == len(set(slots))


def test_an_adapter_of_the_shelf_is_in_the_price(tmp_path: Path) -> None:
    file = question(tmp_path, frame="WQ-GAN-18", seatpost="OG-PO-272")
    build = json.loads(run("builds", file, "--json", code=4).stdout)["builds"][0]
    (added,) = build["to_add"]
    assert added["slot"] == "seatpost_sleeve"
    price = added["parts"][0]["price_minor"]
    assert build["price_minor"] == sum(p["price_minor"] for p in build["parts"]) + price
    assert "to add" in run("builds", file).stdout
    found = {p["slots"][0]: p["number"] for p in [*build["parts"], *added["parts"]]}
    run("check", question(tmp_path, **found), code=0)


def test_whole_lines_on_ctrl_c(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "solver", "builds", str(HALF), "--all"], stdout=subprocess.PIPE, cwd=ROOT
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    time.sleep(0.2)
    process.send_signal(signal.SIGINT)
    rest = process.stdout.read()  # communicate() passes over what readline() has in its buffer
    assert process.wait(timeout=60) == 130
    process.stdout.close()
    for line in (first + rest).decode().splitlines(keepends=True):
        assert line.endswith("\n")
        json.loads(line)


def test_a_closed_pipe_is_no_fault() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "solver", "builds", str(HALF), "--all"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": ""},
    )
    assert process.stdout is not None
    assert process.stderr is not None
    json.loads(process.stdout.readline())
    process.stdout.close()
    assert process.wait(timeout=60) == 0
    assert process.stderr.read() == b""
    process.stderr.close()


def test_the_picture_is_a_picture(tmp_path: Path) -> None:
    file = question(tmp_path, **SMALL, seatpost="any")
    out = tmp_path / "points.svg"
    run("tradeoff", file, "--out", out, code=0)
    tree = ElementTree.fromstring(out.read_text(encoding="utf-8"))
    report = searching.tradeoff(questions.open_list(file))
    assert len(tree.findall("{http://www.w3.org/2000/svg}circle")) == len(report.points) > 3
    run("tradeoff", file, "--out", tmp_path / "no" / "where.svg", code=2)


@pytest.mark.parametrize(
    "arguments",
    [
        ("--by", "prise"),
        ("--accept", "perhaps"),
        ("--allow-unknown", "3"),
        ("--budget", "lots"),
        ("--where", "fork.colour = red"),
    ],
)
def test_bad_input_is_named(arguments: tuple[str, str], tmp_path: Path) -> None:
    result = run("builds", question(tmp_path, **SMALL), *arguments, code=2)
    assert arguments[0] in result.stderr
    assert result.stdout == ""


def test_choices_of_one_slot_tell_why_not() -> None:
    text = run("choices", HALF, "rear hub", code=0).stdout
    assert "148 mm" in text
    assert "142 mm" in text
    assert "wheels.hub-in-dropout@rear" in text
    run("choices", HALF, "frame", code=2)
    run("choices", HALF, "rear hubb", code=2)


def test_conditions_and_time_and_stock_narrow(tmp_path: Path) -> None:
    file = question(tmp_path, **SMALL)
    whole = json.loads(run("builds", file, "--json").stdout)
    all_of = whole["counts"]["fits"]
    middle = whole["builds"][0]["price_minor"] // 100 + 1
    for narrowing in (
        ("--in-stock",),
        ("--within", "0"),
        ("--where", "fork.mass_g <= 500"),
        ("--budget", f"{middle} EUR"),
    ):
        some = json.loads(run("builds", file, "--json", *narrowing).stdout)
        assert some["counts"]["fits"] < all_of, narrowing
    soon = json.loads(run("builds", file, "--json", "--within", "0").stdout)["builds"]
    assert all(p["lead_days"] == 0 for b in soon for p in b["parts"] if not p["given"])
