"""Spoke lengths and flange offsets as published: each example with its source, and what the formula must keep."""

from __future__ import annotations

from decimal import Decimal

import pytest

from solver.formulas import spoke

#: Diameter over the spoke ends, flange circle, offset, spoke hole, spokes, crosses; length; how exactly it is printed.
PUBLISHED = {
    "tristable.net/bike/spoke_length.txt, 36 spokes, 3 crosses": ("555 58 39 2.6 36 3", "265.8", "0.05"),
    "boneyardtools.com/cycling/spoke-length-calculator, 32 spokes, 3 crosses": (
        "600 44 35 2.6 32 3",
        "293.08",
        "0.005",
    ),
    "boneyardtools.com/cycling/spoke-length-calculator, radial": ("600 44 35 2.6 32 0", "278.89", "0.005"),
}


@pytest.mark.parametrize(("figures", "printed", "half"), PUBLISHED.values(), ids=PUBLISHED)
def test_lengths_as_published(figures: str, printed: str, half: str) -> None:
    found = spoke.length(*map(Decimal, figures.split()))
    assert abs(found - Decimal(printed)) <= Decimal(half)


def test_a_radial_spoke_is_the_straight_way() -> None:
    """Without crossings, and the flange in the plane of the rim, the triangle is a line."""
    assert spoke.length(*map(Decimal, ("600", "60", "0", "0", "32", "0"))) == 270


def test_each_crossing_makes_it_longer() -> None:
    lengths = [spoke.length(*map(Decimal, ("600", "44", "35", "2.6", "36", str(n)))) for n in range(5)]
    assert lengths == sorted(set(lengths))


@pytest.mark.parametrize(("flange", "offset"), [("3.35", "31.075"), ("-3.35", "34.425"), ("0", "32.75")])
def test_the_offset_says_which_face_was_measured(flange: str, offset: str) -> None:
    """philipmolloy.com prints 34.425 for these figures: right if measured to the inner face of the flange only."""
    assert spoke.flange_offset(Decimal("120.5"), Decimal("27.5"), Decimal(flange)) == Decimal(offset)
