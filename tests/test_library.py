"""The interface library hangs together: every figure has its grounds, every word is known, dimensions are plausible."""

from __future__ import annotations

from decimal import Decimal

import pytest

from catalog_schema import library
from catalog_schema.interface import AdapterKind, Interface, Row, Table, TradeFigure
from catalog_schema.library import AREAS
from catalog_schema.ports.base import PORT_KINDS
from catalog_schema.resolve import is_word
from solver.rules import every
from solver.rules.registry import JOINTS

LIBRARY = library.load()
ROWS = sorted(LIBRARY.rows.values(), key=lambda r: r.id)
every.load()

UNITS = {
    "mm": (Decimal(-50), Decimal(2500)),
    "deg": (Decimal(0), Decimal(90)),
    "nm": (Decimal(0), Decimal(100)),
    "bar": (Decimal(0), Decimal(15)),
    "teeth": (Decimal(0), Decimal(120)),
    "turns": (Decimal(0), Decimal(40)),
}


def numbers(row: Row) -> list[tuple[str, Decimal]]:
    if isinstance(row, Interface):
        return [(k, v) for side in row.sides.values() for k, v in side.items() if isinstance(v, Decimal)]
    if isinstance(row, TradeFigure):
        return list(row.values.items())
    if isinstance(row, Table):
        return [(c, v) for r in row.cells for c, v in zip(row.columns, r, strict=True) if isinstance(v, Decimal)]
    return []


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.id)
def test_grounds_are_honest(row: Row) -> None:
    grounds = row.grounds
    if grounds.basis in ("standard", "published"):
        assert grounds.sources, "a published figure names its source"
        assert grounds.seen != "none"
    else:
        assert grounds.seen == "none", "there is no page to have seen"
    for source in LIBRARY.sources_of(row):
        assert source.publisher


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.id)
def test_figures_are_plausible(row: Row) -> None:
    for name, value in numbers(row):
        low, high = UNITS.get(name.rpartition("_")[2], (Decimal(-10000), Decimal(10000)))
        assert low <= value <= high, f"{name} = {value}"


def test_every_source_is_used() -> None:
    used = {f"{LIBRARY.file_of[r.id]}:{s}" for r in ROWS for s in r.grounds.sources}
    used |= {
        f"{LIBRARY.file_of[r.id]}:{s}" for r in ROWS if isinstance(r, Interface) for x in r.readings for s in x.sources
    }
    assert set(LIBRARY.sources) == used


def test_every_adapter_kind_bridges_a_joint_and_every_joint_row_exists() -> None:
    for row in ROWS:
        if isinstance(row, AdapterKind):
            assert row.bridges in JOINTS, f"{row.id} bridges {row.bridges}"
    for joint in JOINTS.values():
        for test in joint.tests:
            assert set(test.rows) <= set(LIBRARY.rows), f"{joint.id} reads rows that are not there"


def test_every_area_has_rows_and_joints() -> None:
    assert {LIBRARY.area(r.id) for r in ROWS} == set(AREAS)
    assert {j.area for j in JOINTS.values()} == set(AREAS)


def test_places_name_slots_that_exist() -> None:
    from catalog_schema import bicycle

    slots = set(bicycle.load().by_id) | {"bicycle"}
    for joint in JOINTS.values():
        for place in joint.places:
            assert set(place.roles.values()) <= slots, joint.id
            assert not place.adapter or bicycle.load().by_id[place.adapter].adapter, joint.id


def test_presupposed_joints_exist_and_do_not_go_round() -> None:
    for joint in JOINTS.values():
        for wanted in joint.presupposes:
            assert wanted.partition("@")[0] in JOINTS, f"{joint.id} presupposes {wanted}"

    def above(joint_id: str, path: tuple[str, ...]) -> None:
        assert joint_id not in path, f"{' presupposes '.join((*path, joint_id))}"
        for wanted in JOINTS[joint_id].presupposes:
            above(wanted.partition("@")[0], (*path, joint_id))

    for joint_id in JOINTS:
        above(joint_id, ())


def test_every_number_says_what_it_can_be_at_all() -> None:
    """A slip of unit or side is asked back: see ``plausible`` in the area files."""
    numbers = [(k, n) for k, port in PORT_KINDS.items() for n in port.figure_names() if not is_word(k, n)]
    assert [(k, n) for k, n in numbers if n not in LIBRARY.bounds.get(k, {})] == []
