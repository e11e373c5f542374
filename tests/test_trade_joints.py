"""Every meeting of parts that the trade names is judged by a joint of ours, or it is written down why not."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from catalog_schema.library import AREAS
from solver.rules import every

JOINTS = every.load()
FILE = Path(__file__).parent / "cases" / "trade_joints.toml"
BY_AREA = tomllib.loads(FILE.read_text(encoding="utf-8"))
MEETINGS = [(f"{area}.{name}", row) for area, rows in BY_AREA.items() for name, row in rows.items()]


def test_the_list_is_whole() -> None:
    assert set(BY_AREA) <= set(AREAS)
    assert len(MEETINGS) == 150
    judged = [name for name, row in MEETINGS if "ours" in row]
    assert len(judged) >= 0.85 * len(MEETINGS)


@pytest.mark.parametrize(("name", "row"), MEETINGS, ids=[n for n, _ in MEETINGS])
def test_each_meeting_is_judged_or_it_says_why_not(name: str, row: dict[str, object]) -> None:
    assert set(row) in ({"ours"}, {"why"}), name
    if "why" in row:
        assert len(str(row["why"]).split()) >= 8
        return
    ours = row["ours"]
    assert isinstance(ours, list)
    assert ours
    for wanted in ours:
        joint, _, test = str(wanted).partition(":")
        assert joint in JOINTS, wanted
        assert not test or test in {t.id for t in JOINTS[joint].tests}, wanted
