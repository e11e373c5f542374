"""An adapter on the list closes the gap that it is made for, and no other; a second one is never put behind it."""

from __future__ import annotations

from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from solver import questions


def post(sleeve: str) -> tuple[str, str]:
    slots: dict[str, Any] = {"frame": "aluminium, 34.9 seatpost", "seatpost": "27.2", "seatpost_sleeve": sleeve}
    listed = fitting_list.read({"slots": slots}, "list", library.load(), bicycle.load())
    (found,) = [f for f in questions.findings(listed) if f.joint == "seating.seatpost-in-seat-tube"]
    return found.verdict.word, found.reason


@pytest.mark.parametrize(
    ("sleeve", "said"),
    [
        ("for 27.2 post, in 34.9 tube, aluminium", ("fits", "as-listed")),
        ("27.2 to 30.9, aluminium", ("no-fit", "second-adapter")),
        ("30.9 to 34.9, aluminium", ("no-fit", "second-adapter")),
    ],
)
def test_one_sleeve_and_no_second(sleeve: str, said: tuple[str, str]) -> None:
    assert post(sleeve) == said


def test_a_second_sleeve_is_a_no_even_where_it_is_known_from_memory_only() -> None:
    slots: dict[str, Any] = {"frame": "aluminium, 27.2 seatpost", "seatpost": "25.2"}
    slots["seatpost_sleeve"] = {"seat_tube": {"bore_mm": "25.2"}, "shaft": {"dia_mm": "25.7"}}
    listed = fitting_list.read({"slots": slots}, "list", library.load(), bicycle.load())
    (found,) = [f for f in questions.findings(listed) if f.joint == "seating.seatpost-in-seat-tube"]
    assert (found.verdict.word, found.reason) == ("no-fit", "second-adapter")
