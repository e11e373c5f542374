"""Sums that somebody published, worked again: to the digit that is printed, or with the misprint argued."""

from __future__ import annotations

import inspect
import tomllib
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from importlib import import_module
from pathlib import Path
from typing import Any, NamedTuple, get_args

import pytest

from catalog_schema.source import Seen
from solver.formulas.units import millimetres

FILE = Path(__file__).parent / "cases" / "worked_examples.toml"
KEYS = {
    *("id", "formula", "inputs", "columns", "rows", "printed", "times", "misprint", "right", "note"),
    *("title", "publisher", "url", "seen"),
}
#: The kinds of sum that the bench has to show from published sources.
ASKED_FOR = ("steerer.", "spoke.", "chain.", "gears.gear_inches", "gears.development", "capacity", "bolt_circle.")


class Sum(NamedTuple):
    """One published figure: what goes in, what is printed."""

    name: str
    example: dict[str, Any]
    inputs: dict[str, Any]
    printed: str


def examples() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(FILE.read_text(encoding="utf-8"), parse_float=Decimal)["example"]
    return found


def sums(example: dict[str, Any]) -> list[Sum]:
    inputs = example.get("inputs", {})
    if "rows" not in example:
        return [Sum(example["id"], example, inputs, example["printed"])]
    found = []
    for row in example["rows"]:
        *cells, printed = row
        named = dict(zip(example["columns"], cells, strict=True))
        found.append(Sum(f"{example['id']}-{'-'.join(map(str, cells))}", example, inputs | named, printed))
    return found


EXAMPLES = examples()
SUMS = [s for e in EXAMPLES for s in sums(e)]


def function(formula: str) -> Callable[..., Decimal]:
    module, _, name = formula.rpartition(".")
    found: Callable[..., Decimal] = getattr(import_module(f"solver.formulas.{module}"), name)
    return found


def value(raw: Any, annotation: str) -> Any:
    """A cell of the file as the formula wants it: a count stays a whole number, a length in inches becomes mm."""
    if isinstance(raw, list):
        return [value(r, "Decimal") for r in raw]
    if isinstance(raw, str):
        number, unit = raw.split()
        assert unit == "in", raw
        return millimetres(Decimal(number))
    return raw if annotation == "int" else Decimal(raw)


def worked(found: Sum) -> Decimal:
    formula = function(found.example["formula"])
    wanted = inspect.signature(formula).parameters
    result = formula(**{k: value(v, str(wanted[k].annotation)) for k, v in found.inputs.items()})
    return result * Decimal(found.example.get("times", 1))


def as_printed(number: Decimal, printed: str) -> Decimal:
    return number.quantize(Decimal(printed), ROUND_HALF_UP)


@pytest.mark.parametrize("found", SUMS, ids=[s.name for s in SUMS])
def test_the_printed_figure_comes_out(found: Sum) -> None:
    result, printed = worked(found), found.printed
    if "misprint" in found.example:
        assert as_printed(result, printed) != Decimal(printed), "the page is right: take the misprint out"
        printed = found.example["right"]
    assert as_printed(result, printed) == Decimal(printed)


@pytest.mark.parametrize("example", EXAMPLES, ids=[e["id"] for e in EXAMPLES])
def test_an_example_is_complete(example: dict[str, Any]) -> None:
    assert set(example) <= KEYS
    assert all(example[k] for k in ("title", "publisher", "url", "seen"))
    assert example["url"].startswith("http")
    assert example["seen"] in get_args(Seen)
    assert ("misprint" in example) == ("right" in example)
    assert ("rows" in example) == ("columns" in example) != ("printed" in example)


def test_there_are_enough_from_enough_pages() -> None:
    """The bench sheet has to reproduce at least fifteen; a table counts once here."""
    assert len({e["id"] for e in EXAMPLES}) == len(EXAMPLES)
    agreed = [e for e in EXAMPLES if "misprint" not in e and e["seen"] in ("opened", "excerpt")]
    assert len(agreed) >= 25
    assert len({e["url"] for e in agreed}) >= 15
    for kind in ASKED_FOR:
        assert any(kind in e["formula"] for e in agreed), f"no published sum of {kind}"
