"""Thousands of damaged files: each ends in an answer or in a clear fault, never in a traceback."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from typer.testing import CliRunner

from solver.cli import app

SEEDS = 12
EACH = 170

LIST = """\
title = "Saturday"
kind = "gravel"
extras = ["CAP-1"]

[slots]
frame = "steel, upper ZS44, lower ZS56, 12x142, flat mount 140, max 160, 27.2, 31.8 collar"
rear_hub = "HB-1"
front_hub = { axle = { standard = "12x100", end_cap_od_mm = "19.0 caliper" }, rotor_mount = "splined" }
fork = { box = "carbon, 12x100", steerer = { top_dia_mm = 28.6, length_mm = "231 tape" } }
cassette = ["HG, 11-speed, 11-28", "HG, 9-speed, 11-32"]
rear_tyre = "700x38C, TLR"
front_tyre = "TY-1"
rear_rim = "622x21TC, 28h"
seatpost = { shaft = { dia_mm = 27.2, inserted_mm = 120, mark_mm = 100 } }
saddle = "any"
front_derailleur = "none"

[parts.HB-1]
maker = "Pellmark"
price = "129.00 EUR"
stock = 2
gtin = "4006381333931"
fills.rear_hub = "12x142, splined, HG 11 road, 28h"
settings = [
    { name = "end caps", complete = true, options = [
        { name = "12x142", offer = "as-shipped" },
        { name = "135", offer = "sold", number = "CAP-1", rear_hub = { axle = "QR 135" } },
    ] },
]

[parts.TY-1]
versions = [{ number = "TY-1-38" }, { number = "TY-1-45", fills = { tyre = { bead = { width_mm = 45 } } } }]
fills.tyre = { bead = { bsd_mm = 622, width_mm = 38, rim_min_mm = 17 } }
"""

CSV = """\
slot,part
title,Saturday
kind,gravel
frame,"12x142, steel, 27.2"
rear_hub,"12x142, splined, HG 11 road"
seatpost,27.2
seatpost,30.9
saddle,any
"""

VALUES = (
    *("0", "-1", "1e400", "1e-400", "nan", "inf", "-0.0", "99999999999999999999", "true", '""', '"none"', '"any"'),
    *(
        '"not-stated"',
        '"not-printed"',
        "[]",
        "{}",
        "[[]]",
        "[1, 2]",
        '["a", 1]',
        "1979-05-27",
        '"\\u0000"',
        '"\\u202e"',
    ),
    *('"[bold]x[/bold]"', '"' + "9" * 300 + '"', '"27.2 caliper"', '"47-57"', "{ measured = 1, with = 3 }"),
)
CHARACTERS = "\"'[]{}=.,#\n\\-_ 0123456789azé\u202e\x00\x1b×"


def damaged(text: str, rng: random.Random) -> str:
    """The text with one to four mutations."""
    for _ in range(rng.randint(1, 4)):
        lines = text.split("\n")
        at = rng.randrange(len(lines))
        what = rng.randrange(7)
        if what == 0:
            i = rng.randrange(len(text) + 1)
            text = text[:i] + rng.choice(CHARACTERS) + text[i:]
        elif what == 1 and text:
            i = rng.randrange(len(text))
            text = text[:i] + text[i + rng.randint(1, 6) :]
        elif what == 2:
            key, equals, _ = lines[at].partition("=")
            lines[at] = f"{key}= {rng.choice(VALUES)}" if equals else lines[at]
            text = "\n".join(lines)
        elif what == 3:
            lines.insert(at, rng.choice(lines))
            text = "\n".join(lines)
        elif what == 4:
            del lines[at]
            text = "\n".join(lines)
        elif what == 5:
            words = lines[at].split(" ")
            rng.shuffle(words)
            lines[at] = " ".join(words)
            text = "\n".join(lines)
        else:
            lines[at] = lines[at].replace(
                rng.choice(["mm", "hub", "1", "2", "x", '"']), rng.choice(["", "q", "0", '"', "]"])
            )
            text = "\n".join(lines)
    return text


def test_the_files_are_sound_before_they_are_damaged(tmp_path: Path) -> None:
    for name, text in (("a.toml", LIST.replace('"TY-1"\n', '"TY-1-38"\n')), ("a.csv", CSV)):
        (tmp_path / name).write_text(text, encoding="utf-8")
        assert CliRunner().invoke(app, ["check", str(tmp_path / name)]).exit_code in (0, 1, 3, 4)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_no_damage_ends_in_a_traceback(seed: int, tmp_path: Path) -> None:
    rng = random.Random(seed)
    runner = CliRunner()
    codes = set()
    for number in range(EACH):
        ending, text = rng.choice((("toml", LIST.replace('"TY-1"\n', '"TY-1-38"\n')), ("csv", CSV)))
        file = tmp_path / f"list.{ending}"
        file.write_bytes(damaged(text, rng).encode("utf-8", "surrogatepass"))
        options = rng.choice(([], ["--json"], ["--full"], ["--customer"]))
        result = runner.invoke(app, ["check", str(file), *options])
        assert result.exit_code in (0, 1, 2, 3, 4), (seed, number, file.read_text(encoding="utf-8", errors="replace"))
        assert "Traceback" not in result.output
        codes.add(result.exit_code)
    assert {2} < codes
