"""Complete bicycles as sold: not one red joint. ``-s`` prints how many joints of each could be judged, and how."""

from __future__ import annotations

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


def test_accepted_joints_are_red_indeed() -> None:
    for judged in JUDGED:
        red = {f.id for f in judged.findings if f.verdict in NO}
        assert set(judged.bike.accepted) <= red
