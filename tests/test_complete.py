"""Nothing is half there: every joint has its page, its cases on both sides and a source; every reason occurs in a case;
every row of the library can be reached from a joint.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.interface import AdapterKind, Family, Interface, Row, Table, TradeFigure, fields_of
from catalog_schema.records import RECORD_KINDS
from solver import questions
from solver.report import YES, Verdict
from solver.rules import every
from solver.rules.registry import Joint, Place
from tests import casefile

LIBRARY = library.load()
BICYCLE = bicycle.load()
JOINTS = every.load()
CASES = [c for f in casefile.files() for c in casefile.load(f)]
SOLVER = Path(__file__).parent.parent / "solver"
NAMED = ("standard", "published")

#: What a test says only while a figure is missing: with it stated, another test of the joint is asked in its place.
WHILE_MISSING = {
    ("brakes.caliper-on-mount", "largest", "rotor-over-maximum"),
    ("brakes.caliper-on-mount", "largest", "limit-not-printed"),
    ("tyres.pressure", "edge-not-told", "over-the-hookless-limit"),
    ("tyres.pressure", "edge-not-told-psi", "over-the-hookless-limit"),
}

#: Joints whose milder side is no plain yes, or whose other side is no plain no, and why.
ONE_SIDED = {
    "tyres.wheel-of-another-size": "a wheel of another size is never refused, only asked about",
    "drivetrain.chain-in-front-cage": "no page refuses a chain in a cage of another class; it is asked about",
}


@cache
def said_in_cases() -> Counter[tuple[str, str, str]]:
    """How often each reason of each test is given in a case."""
    said: Counter[tuple[str, str, str]] = Counter()
    for case in CASES:
        listed = fitting_list.read({"slots": case.slots, "kind": case.kind}, case.id, LIBRARY, BICYCLE)
        for found in questions.findings(listed):
            if found.state == "judged":
                said.update((found.joint, t.test, t.reason) for t in found.tests)
    return said


def cases_of(joint: Joint) -> list[casefile.Case]:
    return [c for c in CASES if c.joint.partition("@")[0] == joint.id]


@pytest.mark.parametrize("joint", JOINTS.values(), ids=lambda j: j.id)
def test_every_joint_has_a_page_cases_on_both_sides_and_a_source(joint: Joint) -> None:
    for heading in ("What meets:", "Why it matters:", "Measure:"):
        assert heading in joint.page, f"the page does not say: {heading}"
    mine = cases_of(joint)
    verdicts = {next(v for v in Verdict if v.word == c.verdict) for c in mine}
    assert Verdict.FITS in verdicts
    assert joint.id in ONE_SIDED or verdicts - {Verdict.FITS, Verdict.NOT_KNOWN}, "nothing ever stands in its way"
    assert Verdict.NOT_KNOWN in verdicts or not [r for t in joint.tests for r in t.reads if not t.asked_if]
    rows = [LIBRARY.rows[r] for t in joint.tests for r in t.rows]
    assert any(c.source.basis in NAMED for c in mine) or any(r.grounds.basis in NAMED for r in rows), "no source"


def test_every_reason_occurs_in_a_case() -> None:
    said = said_in_cases()
    every_reason = {(j.id, t.id, r) for j in JOINTS.values() for t in j.tests for r in t.reasons}
    assert every_reason - set(said) == WHILE_MISSING


def test_every_test_says_yes_in_a_case() -> None:
    said = said_in_cases()
    for joint in JOINTS.values():
        for test in joint.tests:
            mine = [r for r, verdicts in test.reasons.items() if verdicts & set(YES)]
            assert any(said[joint.id, test.id, r] for r in mine), f"{joint.id}: {test.id} never says yes"


# rows


def figure_of(slot: str, path: str) -> tuple[str, str] | None:
    """(port kind, figure) of a path in a slot; None if the slot's records have no such side."""
    port_name, _, name = path.rpartition(".")
    if not port_name:
        return ("record", name)
    port = RECORD_KINDS[BICYCLE.by_id[slot].kind].ports().get(port_name)
    return (port.kind, name) if port is not None else None


def slots_of(joint: Joint, place: Place, role: str) -> Iterator[str]:
    """The slots in which a role may stand: its own, and that of an adapter in its stead."""
    if (slot := place.roles[role]) in BICYCLE.by_id:
        yield slot
    if place.adapter and role in joint.between:
        yield place.adapter


@cache
def figures_read() -> frozenset[tuple[str, str]]:
    """Every figure (port kind, figure) that a test or a row of the bicycle reads."""
    found: set[tuple[str, str] | None] = set()
    for joint in JOINTS.values():
        for test in joint.tests:
            for ref in (*(r.ref for r in test.reads), *test.asked_if, *test.asked_unless):
                role, _, path = ref.partition(".")
                found |= {figure_of(s, path) for p in joint.places for s in slots_of(joint, p, role)}
    for row in BICYCLE.fastenings:
        for ref in (*row.where, *row.where_not, *(f"{row.because}.{s}" for s in row.show)):
            slot, _, path = ref.partition(".")
            found.add(figure_of(slot, path))
    for out in BICYCLE.ruled_out:
        found |= {figure_of(*ref.split(".", 1)) for ref in out.where}
    return frozenset(f for f in found if f is not None)


@cache
def rows_named() -> frozenset[str]:
    """The rows that a rule reads or that the code of the solver names: steps of the work, figures of the sheet."""
    read = {r for j in JOINTS.values() for t in j.tests for r in t.rows}
    trees = [ast.parse(p.read_text(encoding="utf-8")) for p in SOLVER.rglob("*.py")]
    texts = {n.value for t in trees for n in ast.walk(t) if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    return frozenset(read | (texts & set(LIBRARY.rows)))


def is_reached(row: Row) -> bool:
    if isinstance(row, Interface):
        return any((kind, name) in figures_read() for kind, side in row.sides.items() for name in side)
    if isinstance(row, Family):
        return any(f in figures_read() for key in row.of for f in fields_of(key))
    if isinstance(row, AdapterKind):
        places = JOINTS[row.bridges].places
        laid_between = {BICYCLE.by_id[p.adapter].kind for p in places if p.adapter}
        return row.id in rows_named() or row.slot in laid_between | {p.adapter for p in places}
    told = isinstance(row, TradeFigure | Table) and row.beside in JOINTS
    return row.id in rows_named() or told


def test_every_row_is_reached_from_a_joint() -> None:
    assert [r.id for r in LIBRARY.rows.values() if not is_reached(r)] == []


def test_what_is_told_beside_a_joint_is_read_by_no_rule() -> None:
    for row in LIBRARY.rows.values():
        if isinstance(row, TradeFigure | Table) and row.beside:
            assert row.beside in JOINTS, row.id
            assert row.id not in rows_named(), f"{row.id} is read; it need not be told beside {row.beside}"
