"""Drawings of joints: to scale, generic over two figures of one dimension, harmless, without signal colours."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner

from solver import reasons
from solver.cli import app
from solver.render import picture
from solver.wording import pictured
from tests.reason_worlds import a_list

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
SVG = "{http://www.w3.org/2000/svg}"

MEETING: dict[str, tuple[dict[str, Any], set[str], str]] = {
    "hub ends against dropouts": (
        {"frame": "12x142, steel", "rear_hub": "12x148"},
        {"rear hub: 148 mm", "frame: 142 mm"},
        "rear hub: 6 mm more",
    ),
    "clamp against bar": (
        {"stem": "31.8", "handlebar": "35"},
        {"handlebar: 35.0 mm across", "stem: 31.8 mm across"},
        "handlebar: 3.2 mm more",
    ),
    "post against bore": (
        {"frame": "27.2, steel", "seatpost": "30.9"},
        {"seatpost: 30.9 mm across", "frame: 27.2 mm across"},
        "seatpost: 3.7 mm more",
    ),
    "tyre between stays": (
        {"frame": {"tyre_room": {"tyre_max_mm": 45, "gap_mm": 52, "bsd_mm": 622}}, "rear_tyre": "50-622"},
        {"rear tyre: 50 mm", "frame: 45 mm"},
        "rear tyre: 5 mm more",
    ),
}


def drawn(slots: dict[str, Any]) -> tuple[pictured.Picture, ElementTree.Element]:
    found = pictured.picture(reasons.why(a_list(slots)))
    assert found is not None
    return found, ElementTree.fromstring(picture.svg(found))


def texts(root: ElementTree.Element) -> list[str]:
    return [e.text or "" for e in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("name", list(MEETING))
def test_both_figures_and_their_difference_are_on_it(name: str) -> None:
    slots, sides, difference = MEETING[name]
    found, root = drawn(slots)
    assert found.meeting
    assert sides <= set(texts(root))
    assert difference in texts(root)
    assert "Drawn to scale." in texts(root)


def test_bars_are_to_scale() -> None:
    found, root = drawn({"frame": "12x142, steel", "rear_hub": "12x148"})
    bars = [float(e.get("width", 0)) for e in root.iter(f"{SVG}rect") if e.get("fill") == "#d5dbe1"]
    jaws = sorted(float(e.get("x", 0)) for e in root.iter(f"{SVG}rect") if e.get("fill") == "#2f5d8a")
    opening = jaws[1] - (jaws[0] + 46)
    assert found.sides
    assert bars[0] / opening == pytest.approx(148 / 142, abs=0.002)


def test_circles_are_to_scale() -> None:
    _, root = drawn({"frame": "27.2, steel", "seatpost": "30.9"})
    radii = {e.get("fill"): float(e.get("r", 0)) for e in root.iter(f"{SVG}circle")}
    assert radii["#d5dbe1"] / radii["#ffffff"] == pytest.approx(30.9 / 27.2, abs=0.002)


def test_a_difference_too_small_to_see_is_enlarged() -> None:
    _, root = drawn({"frame": {"seat_tube": {"bore_mm": "27.0", "material": "steel"}}, "seatpost": "27.2"})
    assert any("enlarged" in t for t in texts(root))


def test_where_words_decide_they_stand_side_by_side() -> None:
    found, root = drawn({"rear_hub": "12x142, 6-bolt", "cassette": "11-speed", "rear_rotor": "160"} | WORDY)
    assert not found.sides
    assert len(found.named) == 2
    assert {n[2] for n in found.named} <= set(texts(root))


WORDY: dict[str, Any] = {"cassette": "XDR, 12-speed, 10-28", "rear_hub": "12x142, HG 11 road"}


def test_a_sum_is_not_drawn_as_a_pair() -> None:
    stack: dict[str, Any] = {
        "frame": {"head_tube": {"length_mm": "110.2"}},
        "fork": {"steerer": {"length_mm": 150}},
        "headset_upper": {"stack": {"height_mm": "16.5"}},
        "headset_lower": {"stack": {"height_mm": "10.9"}},
        "stem": {"steerer_clamp": {"height_mm": "40.0"}},
    }
    found, root = drawn(stack)
    assert not found.meeting
    assert not found.difference
    assert len(found.sides) >= 2
    assert "Drawn to scale." in texts(root)


def test_no_signal_colours_no_scripts_nothing_from_elsewhere() -> None:
    for slots, _, _ in MEETING.values():
        found = pictured.picture(reasons.why(a_list(slots)))
        assert found is not None
        text = picture.svg(found)
        assert set(re.findall(r"#[0-9a-f]{6}", text)) <= {"#1f2933", "#d5dbe1", "#5b6773", "#2f5d8a", "#ffffff"}
        assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
        assert "<script" not in text


def test_nobodys_text_becomes_markup() -> None:
    shown = pictured.Picture("<b>&", 'a "caption" </svg><script>', named=(("<x>", "&", "'"), ("y", "\x1b[31m", "z")))
    root = ElementTree.fromstring(picture.svg(shown))
    assert {"<b>&", "<x>", "&", "'"} <= set(texts(root))


def test_the_command_writes_it_and_says_if_there_is_nothing_to_draw(tmp_path: Path) -> None:
    def run(*arguments: str) -> Any:
        return CliRunner().invoke(app, list(arguments), catch_exceptions=False)

    file = tmp_path / "why.svg"
    found = run("why", str(LISTS / "fails-148-wheel-in-142-frame.toml"), "--picture", str(file))
    assert found.exit_code == 1
    assert "148 mm" in file.read_text(encoding="utf-8")
    nothing = tmp_path / "nothing.svg"
    found = run("why", str(LISTS / "unknown-rotor-limit.toml"), "--picture", str(nothing))
    assert found.exit_code == 3
    assert "Nothing to draw" in found.stderr
    assert not nothing.exists()
    for name in ("why.png", "no/such/folder/why.svg"):
        found = run("why", str(LISTS / "fails-148-wheel-in-142-frame.toml"), "--picture", str(tmp_path / name))
        assert found.exit_code == 2
        assert "--picture" in found.stderr


def test_nothing_that_is_not_ours_is_written_over(tmp_path: Path) -> None:
    """A list may bear any name; a drawing, a plot or a packed copy never takes its place, but its own like."""
    listed = (LISTS / "fails-148-wheel-in-142-frame.toml").read_text(encoding="utf-8")
    text = listed.replace("../basin.toml", str(LISTS.parent / "basin.toml"))
    shop = str(LISTS.parent / "basin.toml")
    for ending, command in (
        ("svg", ["why", "FILE", "--picture", "FILE"]),
        ("svg", ["tradeoff", str(LISTS / "builds-towpath.toml"), "--out", "FILE"]),
        ("packed", ["pack", shop, "--out", "FILE"]),
    ):
        file = tmp_path / f"list.{ending}"
        file.write_text(text, encoding="utf-8")
        found = CliRunner().invoke(app, [str(file) if a == "FILE" else a for a in command])
        assert found.exit_code == 2
        assert "none of ours" in found.stderr
        assert file.read_text(encoding="utf-8") == text
    own = tmp_path / "why.svg"
    for _ in range(2):
        assert CliRunner().invoke(app, ["why", str(tmp_path / "list.packed"), "--picture", str(own)]).exit_code == 1
