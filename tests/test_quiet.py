"""Twenty healthy bicycles, measured as a workshop measures: nothing is red, and hardly anything is left open.

``tests/cases/quiet.toml`` holds the true sizes of each bicycle, with the tool that reads them. Here every reading is
off by as much as its tool may be, drawn anew for each seed. The bicycles go together, so a red is a false alarm.
"""

from __future__ import annotations

import random
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.quantity import INSTRUMENTS
from solver import questions
from solver.report import NO, Finding, Verdict

FILE = Path(__file__).parent / "cases" / "quiet.toml"
BICYCLES: list[dict[str, Any]] = tomllib.loads(FILE.read_text(encoding="utf-8"), parse_float=Decimal)["bicycle"]
SEEDS = range(3)
MOST_OPEN = 5


def as_read(raw: Any, dice: random.Random) -> Any:
    """A record as somebody measured it: each reading is off by up to the resolution of its tool."""
    if isinstance(raw, dict):
        return {k: as_read(v, dice) for k, v in raw.items()}
    if isinstance(raw, str):
        size, _, tool = raw.partition(" ")
        if tool in INSTRUMENTS:
            return f"{Decimal(size) + dice.choice((-1, 0, 1)) * INSTRUMENTS[tool]} {tool}"
    return raw


def readings(raw: Any) -> int:
    """How many figures of a record are measured."""
    if isinstance(raw, dict):
        return sum(readings(v) for v in raw.values())
    return int(isinstance(raw, str) and raw.partition(" ")[2] in INSTRUMENTS)


def judged(bike: dict[str, Any], seed: int) -> list[Finding]:
    slots = as_read(bike["slots"], random.Random(f"{bike['id']} {seed}"))
    raw = {"title": bike["title"], "kind": bike["kind"], "slots": slots}
    listed = fitting_list.read(raw, bike["id"], library.load(), bicycle.load())
    return [f for f in questions.findings(listed) if f.state == "judged"]


def test_there_are_twenty_bicycles_of_many_kinds_and_they_are_measured() -> None:
    assert len({b["id"] for b in BICYCLES}) == len(BICYCLES) >= 20
    assert {b["kind"] for b in BICYCLES} == {k.id for k in bicycle.load().kinds}
    assert min(readings(b["slots"]) for b in BICYCLES) >= 30


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("bike", BICYCLES, ids=lambda b: b["id"])
def test_a_healthy_bicycle_is_quiet(bike: dict[str, Any], seed: int) -> None:
    found = judged(bike, seed)
    assert len(found) >= 28
    assert [(f.id, f.reason) for f in found if f.verdict in NO] == []
    still_open = [(f.id, f.reason) for f in found if f.verdict is Verdict.NOT_KNOWN]
    assert len(still_open) <= MOST_OPEN, still_open
    assert [(f.id, f.reason) for f in found if f.verdict in (Verdict.NEEDS_ADAPTER, Verdict.NEEDS_WORK)] == []
