"""Complete bicycles as sold: not one red joint. ``-s`` prints how many joints of each could be judged, and how."""

from __future__ import annotations

from pathlib import Path

import pytest

from solver.report import NO, YES, Verdict
from solver.rules.registry import JOINTS
from tests import factory

BIKES = factory.load()
JUDGED = [factory.judge(b) for b in BIKES]


PRINTED = factory.printed(JUDGED)


def test_print_summary() -> None:
    print("\n" + factory.summary(JUDGED))
    print("\n" + factory.printed_summary(PRINTED))
    assert len(BIKES) >= 45


@pytest.mark.parametrize("judged", JUDGED, ids=lambda j: j.bike.id)
def test_a_bicycle_as_sold_shows_no_red(judged: factory.Judged) -> None:
    assert [f"{f.id}: {f.verdict.word}, {f.reason}" for f in judged.red] == []


def test_every_bicycle_is_judged_somewhere() -> None:
    assert [j.bike.id for j in JUDGED if not j.findings] == []


def test_a_fair_part_is_decided() -> None:
    """Specifications print little; what they do print must lead to answers, or the test above could not fail."""
    decided = [f for j in JUDGED for f in j.findings if f.verdict in YES | NO]
    assert len(decided) >= 100


def test_what_a_mechanic_reads_off_the_list_is_decided() -> None:
    """The lists were read by hand before our answers were; what they suffice to decide we decide, all but a few."""
    for questions in (False, True):
        mine = [i for i in PRINTED if bool(i.question) is questions]
        assert len(mine) >= 95
        assert sum(i.judged for i in mine) >= 0.95 * len(mine)


def test_the_reading_by_hand_names_joints_and_bicycles_that_exist() -> None:
    known = {(p.name and f"{j.id}@{p.name}") or j.id for j in JOINTS.values() for p in j.places}
    assert {i.joint for i in PRINTED if not i.joint.startswith("none: ")} <= known
    assert {i.bike for i in PRINTED} <= {b.id for b in BIKES}


@pytest.mark.parametrize(("bike", "joint"), factory.not_decided_by_its_words())
def test_words_that_two_sets_are_sold_under_decide_nothing(bike: str, joint: str) -> None:
    """Where the same printed words name a set that fits and one that does not, the answer is to measure."""
    judged = next(j for j in JUDGED if j.bike.id == bike)
    assert [f.verdict for f in judged.findings if f.id == joint] == [Verdict.NOT_KNOWN]


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
