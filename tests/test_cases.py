"""Every case of ``tests/cases``: the parts meet, and the joint is judged as its source says."""

from __future__ import annotations

import pytest

from catalog_schema import bicycle, fitting_list, library
from solver import questions
from solver.report import YES, Finding
from solver.rules.registry import JOINTS
from tests import casefile, numbers

CASES = [c for f in casefile.files() for c in casefile.load(f)]


def finding_of(case: casefile.Case) -> Finding:
    listed = fitting_list.read({"slots": case.slots, "kind": case.kind}, case.id, library.load(), bicycle.load())
    found = [f for f in questions.findings(listed) if case.joint in (f.id, f.joint) and f.state == "judged"]
    assert found, f"{case.joint} is not judged"
    return max(found, key=lambda f: f.rank)


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.id)
def test_case(case: casefile.Case) -> None:
    finding = finding_of(case)
    said = (finding.verdict.word, finding.perhaps.word if finding.perhaps is not None else "")
    assert said == (case.verdict, case.perhaps), f"{case.because} (reason given: {finding.reason})"
    if case.reason:
        assert finding.reason == case.reason
    assert set(case.remarks) <= set(finding.remarks)
    assert set(case.missing) <= {m for t in finding.tests for m in t.missing}
    if JOINTS[finding.joint].safety:
        assert weak_rows(finding) == [], "a row from memory decides where someone can be hurt"


def weak_rows(finding: Finding) -> list[str]:
    """Return the rows from memory, or of low confidence, that a yes rests on."""
    known = library.load()
    rows = {r for t in finding.tests if t.verdict in YES for r in numbers.deciding(known, finding.joint, t)}
    return sorted(r for r in rows if numbers.weak(known.rows[r]))


def test_ids_are_unique() -> None:
    ids = [c.id for c in CASES]
    assert len(ids) == len(set(ids))
