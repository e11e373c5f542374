"""A lean dataclass against the standard library's: the same records, the same errors."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from catalog_schema import lean


def records(make: Callable[..., Callable[[type], type]]) -> dict[str, type]:
    """The same classes, made by one decorator."""

    class Plain:
        one: int
        two: str = "b"
        many: list[int] = lean.field(default_factory=list)
        aside: int = lean.field(default=3, compare=False, repr=False)

    class Frozen:
        one: int
        two: tuple[int, ...] = ()

        @property
        def double(self) -> int:
            return 2 * self.one

    class Base:
        one: int
        two: str = "b"

    found: dict[str, type] = {"Plain": make()(Plain), "Frozen": make(frozen=True, slots=True)(Frozen)}
    base = make(frozen=True)(Base)

    class Derived(base):  # type: ignore[misc, valid-type]
        three: int = 0

    return {**found, "Base": base, "Derived": make(frozen=True)(Derived), "Ordered": make(order=True)(Base)}


LEAN, STANDARD = records(lean.dataclass), records(dataclasses.dataclass)
VALUES: list[tuple[str, tuple[Any, ...], dict[str, Any]]] = [
    ("Plain", (1,), {}),
    ("Plain", (1, "c"), {"many": [2]}),
    ("Plain", (1,), {"aside": 9}),
    ("Frozen", (1,), {"two": (3, 4)}),
    ("Frozen", (), {"one": 5}),
    ("Base", (1, "z"), {}),
    ("Derived", (1, "z", 4), {}),
    ("Derived", (1,), {"three": 4}),
]


@pytest.mark.parametrize(("name", "values", "named"), VALUES)
def test_records_are_the_same(name: str, values: tuple[Any, ...], named: dict[str, Any]) -> None:
    mine, theirs = LEAN[name](*values, **named), STANDARD[name](*values, **named)
    assert repr(mine).partition("(")[2] == repr(theirs).partition("(")[2]
    assert dataclasses.asdict(mine) == dataclasses.asdict(theirs)
    assert [f.name for f in dataclasses.fields(mine)] == [f.name for f in dataclasses.fields(theirs)]
    again, changed = LEAN[name](*values, **named), dataclasses.replace(mine, one=77)
    assert mine == again
    assert mine != changed
    assert changed.one == 77
    assert mine != theirs
    assert (LEAN[name].__hash__ is None) == (STANDARD[name].__hash__ is None)
    if LEAN[name].__hash__ is not None:
        assert hash(mine) == hash(again)
    assert copy.copy(mine) == mine
    assert copy.deepcopy(mine) == mine
    assert hasattr(mine, "__dict__") == hasattr(theirs, "__dict__")


def test_what_does_not_count_does_not_count() -> None:
    assert LEAN["Plain"](1, aside=4) == LEAN["Plain"](1, aside=5)
    assert LEAN["Plain"](1).many is not LEAN["Plain"](1).many


@pytest.mark.parametrize("name", ["Frozen", "Base", "Derived"])
def test_a_frozen_record_stays_as_it_is(name: str) -> None:
    record = LEAN[name](1)
    with pytest.raises(AttributeError):
        record.one = 2
    with pytest.raises(AttributeError):
        del record.one
    assert record.one == 1


@pytest.mark.parametrize(("name", "values"), [("Plain", ()), ("Frozen", (1, 2, 3)), ("Base", (1, 2, 3, 4))])
def test_wrong_fields_are_refused_as_ever(name: str, values: tuple[Any, ...]) -> None:
    for made in (LEAN[name], STANDARD[name]):
        with pytest.raises(TypeError, match="__init__"):
            made(*values)


def test_what_is_not_known_is_left_to_the_standard_library() -> None:
    assert LEAN["Ordered"](1) < LEAN["Ordered"](2)


@lean.dataclass(frozen=True, slots=True)
class Kept:
    one: int
    two: str = "b"


def test_a_record_can_be_pickled() -> None:
    assert pickle.loads(pickle.dumps(Kept(1))) == Kept(1)
