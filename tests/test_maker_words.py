"""A maker's name before a word: left away before a word that is his alone, kept wherever it parts two systems."""

from __future__ import annotations

import pytest

from catalog_schema import boxline, library, resolve
from catalog_schema.faults import FaultList
from catalog_schema.records import RECORD_KINDS

LIBRARY = library.load()


@pytest.mark.parametrize(
    ("kind", "named", "alone"),
    [
        ("rear_hub", "Shimano Alfine 11", "Alfine 11"),
        ("rear_hub", "Shimano HG", "HG"),
        ("shifter", "Shimano Tiagra 4700", "Tiagra 4700"),
        ("chain", "SRAM Eagle", "Eagle"),
        ("rear_derailleur", "SRAM Transmission", "Transmission"),
        ("chainring", "SRAM AXS Flattop", "Flattop"),
        ("crank", "Bosch ISIS", "ISIS"),
        ("rear_hub", "Campagnolo N3W", "N3W"),
    ],
)
def test_a_makers_name_before_his_own_word_says_no_more(kind: str, named: str, alone: str) -> None:
    record = RECORD_KINDS[kind]
    both = [resolve.variants(record.read({"box": line}), LIBRARY, FaultList("list"), "x") for line in (named, alone)]
    assert both[0] == both[1] != ({},)


@pytest.mark.parametrize(
    ("kind", "line"),
    [
        ("cassette", "Campagnolo 9/10-speed"),
        ("cassette", "Campagnolo HG"),
        ("rear_hub", "SRAM Alfine 11"),
        ("chain", "Shimano Eagle"),
        ("crank", "Campagnolo ISIS"),
        ("rear_derailleur", "Shimano 11-speed"),
    ],
)
def test_a_makers_name_before_anything_else_is_kept(kind: str, line: str) -> None:
    assert not boxline.read(RECORD_KINDS[kind], line, LIBRARY).placed


@pytest.mark.parametrize(("kind", "line"), [("cassette", "SRAM"), ("motor", "Bosch"), ("crank", "three-piece")])
def test_words_that_settle_no_figure_are_read_and_say_nothing(kind: str, line: str) -> None:
    assert [values for _, values in boxline.read(RECORD_KINDS[kind], line, LIBRARY).placed] == [{}]
