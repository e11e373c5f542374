"""How well the figures are grounded: little from memory, and nothing from memory decides where someone can be hurt."""

from __future__ import annotations

from dataclasses import replace

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.interface import Row
from catalog_schema.library import AREAS, Library
from solver import questions
from solver.report import YES, Finding, Verdict
from solver.rules import every
from solver.rules.registry import JOINTS
from tests import casefile, numbers

every.load()
LIBRARY = library.load()
CASES = [c for f in casefile.files() for c in casefile.load(f)]
#: A few cases of each joint where someone can be hurt that say yes.
SOME = [
    c
    for joint in JOINTS.values()
    if joint.safety
    for c in [c for c in CASES if c.joint.partition("@")[0] == joint.id and Verdict.of(c.verdict) in YES][:3]
]


def _findings(case: casefile.Case, known: Library) -> list[Finding]:
    kinds = bicycle.load()
    listed = fitting_list.read({"slots": case.slots, "kind": case.kind}, case.id, known, kinds)
    found = questions.evaluation(listed, known, kinds).findings
    return [f for f in found if case.joint in (f.id, f.joint) and f.state == "judged"]


def test_the_page_counts_everything() -> None:
    page = numbers.text(LIBRARY)
    print("\n" + page)
    assert all(area in page for area in AREAS)
    assert sum(c.total for c in numbers.counts(LIBRARY) if c.name == "rows") == len(LIBRARY.rows)
    assert all(
        n > 0 for c in numbers.counts(LIBRARY) if c.name in ("joints", "tests", "cases") for n in c.by_area.values()
    )


def test_less_than_a_fifth_is_from_memory() -> None:
    remembered = [r for r in LIBRARY.rows.values() if r.grounds.basis == "memory"]
    assert len(remembered) < len(LIBRARY.rows) / 5


def test_each_row_from_memory_says_what_was_searched() -> None:
    silent = [r.id for r in LIBRARY.rows.values() if r.grounds.basis == "memory" and len(r.grounds.searched) < 10]
    assert silent == []


def _worse(known: Library, row_id: str) -> Library:
    """Return the library with one row remembered and no longer read."""
    row: Row = known.rows[row_id]
    grounds = replace(row.grounds, basis="memory", confidence="medium", seen="none", sources=())
    return replace(known, rows={**known.rows, row_id: replace(row, grounds=grounds)})


def test_a_row_that_turns_out_to_be_remembered_takes_the_yes_away_where_someone_can_be_hurt() -> None:
    """The judge withdraws it, no list does: each row that a yes rests on is made weak, once for each test.

    That no yes of any case rests on a row that is weak already is asked of every case, in ``test_cases``.
    """
    tried: set[tuple[str, str, str]] = set()
    for case in SOME:
        for finding in _findings(case, LIBRARY):
            for result in (t for t in finding.tests if t.verdict in YES):
                for row in sorted(numbers.deciding(LIBRARY, finding.joint, result)):
                    if (finding.joint, result.test, row) in tried:
                        continue
                    tried.add((finding.joint, result.test, row))
                    again = [t for f in _findings(case, _worse(LIBRARY, row)) if f.id == finding.id for t in f.tests]
                    kept = [t for t in again if t.test == result.test and t.verdict in YES]
                    left = [t for t in kept if row in numbers.deciding(LIBRARY, finding.joint, t)]
                    assert left == [], f"{case.id}: {row} remembered, and still a yes"
    assert len(tried) > 150
