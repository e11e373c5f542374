"""Complete bicycles as sold: not one red joint. ``-s`` prints how many joints of each could be judged, and how."""

from __future__ import annotations

from pathlib import Path

import pytest

from solver.report import NO, YES
from tests import factory

BIKES = factory.load()
JUDGED = [factory.judge(b) for b in BIKES]


def test_print_summary() -> None:
    print("\n" + factory.summary(JUDGED))
    assert len(BIKES) >= 20


@pytest.mark.parametrize("judged", JUDGED, ids=lambda j: j.bike.id)
def test_a_bicycle_as_sold_shows_no_red(judged: factory.Judged) -> None:
    assert [f"{f.id}: {f.verdict.word}, {f.reason}" for f in judged.red] == []


def test_every_bicycle_is_judged_somewhere() -> None:
    assert [j.bike.id for j in JUDGED if not j.findings] == []


def test_a_fair_part_is_decided() -> None:
    """Specifications print little; what they do print must lead to answers, or the test above could not fail."""
    decided = [f for j in JUDGED for f in j.findings if f.verdict in YES | NO]
    assert len(decided) >= 40


def test_what_is_printed_is_decided() -> None:
    """Of the joints of which every figure is printed at least 95 in a hundred get an answer."""
    decided, printed = sum(len(j.decided) for j in JUDGED), sum(len(j.printed) for j in JUDGED)
    assert decided >= 0.95 * printed


def test_accepted_joints_are_red_indeed() -> None:
    for judged in JUDGED:
        red = {f.id for f in judged.findings if f.verdict in NO}
        assert set(judged.bike.accepted) <= red


def test_a_file_of_bicycles_is_judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "sold.toml"
    file.write_text(
        """
        [[bike]]
        id = "made-up"
        kind = "road"
        [bike.parts.stem.bar_clamp_mm]
        value = 31.8
        mark = "stated"
        [bike.parts.bar.clamp_mm]
        value = 35
        mark = "stated"
        [bike.parts.lamp]
        value = "bright"
        mark = "stated"
        """,
        encoding="utf-8",
    )
    assert factory.main([str(file)]) == 1
    out = capsys.readouterr().out
    assert "RED made-up: front_end.bar-in-stem no-fit" in out
    assert "unread made-up: lamp" in out
