"""Figures of wheels, tyres, drivetrain and brakes on the bench sheet, and the values that only they read."""

from __future__ import annotations

from decimal import Decimal

import pytest

from catalog_schema.quantity import Series, parse_series
from solver.render import machine
from solver.wording import words

# ------------------------------------------------------------------------------------------ numbers that a part has all


@pytest.mark.parametrize("raw", ["11-13-15", "15, 13, 11", [15, 11, 13], "11/13/15"])
def test_whole_numbers_that_a_part_has_all_of(raw: object) -> None:
    assert parse_series(raw) == Series((Decimal(11), Decimal(13), Decimal(15)))


@pytest.mark.parametrize("raw", ["", "11-x", [], "11-11-13", [11, 12.5], [-3, 4], 11, {"a": 1}, [True]])
def test_other_things_are_no_such_numbers(raw: object) -> None:
    with pytest.raises(ValueError, match="whole numbers such as"):
        parse_series(raw)


def test_numbers_that_nobody_stated() -> None:
    assert parse_series("not-stated") is parse_series(None) is None


def test_they_are_printed_as_they_are_written() -> None:
    cogs = Series((Decimal(11), Decimal(13)))
    assert words.value_text(cogs, "cogs_teeth") == "11-13 teeth"
    assert machine.value(cogs) == [11, 13]
