"""How much is known, and how well: counted from the data, never written down.

    python -m tests.numbers            joints, tests, kinds of part, rows, cases; shares by basis and by what was seen

A row from memory, or of low confidence, is *weak*: it decides no joint where a mistake can hurt someone.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog_schema import library
from catalog_schema.interface import AdapterKind, Row
from catalog_schema.library import AREAS, Library
from catalog_schema.records import PORT_KINDS, RECORD_KINDS
from solver.report import TestResult
from solver.rules import every
from solver.rules.registry import JOINTS
from tests import casefile, collected, factory


@dataclass(frozen=True)
class Counted:
    """One thing counted, in each area."""

    name: str
    by_area: Mapping[str, int]

    @property
    def total(self) -> int:
        """The sum over all areas."""
        return sum(self.by_area.values())


def _areas(name: str, of: Iterable[str]) -> Counted:
    found = Counter(of)
    return Counted(name, {a: found[a] for a in AREAS})


def counts(known: Library) -> list[Counted]:
    """Return joints, safety joints, tests, rows and cases by area."""
    every.load()
    joints = list(JOINTS.values())
    cases = [c for f in casefile.files() for c in casefile.load(f)]
    return [
        _areas("joints", (j.area for j in joints)),
        _areas("  where a mistake can hurt someone", (j.area for j in joints if j.safety)),
        _areas("tests", (j.area for j in joints for _ in j.tests)),
        _areas("rows", (known.area(r) for r in known.rows)),
        _areas("  from memory", (known.area(i) for i, r in known.rows.items() if r.grounds.basis == "memory")),
        _areas("cases", (c.joint.partition(".")[0] for c in cases)),
    ]


def weak(row: Row) -> bool:
    """Return whether a row is from memory or of low confidence."""
    return row.grounds.basis == "memory" or row.grounds.confidence == "low"


def deciding(known: Library, joint: str, result: TestResult) -> set[str]:
    """Return the rows that a test's answer rests on: those it read, and of adapter kinds those that it names."""
    read = {r for t in JOINTS[joint].tests if t.id == result.test for r in t.rows}
    kinds = {r for r in read if isinstance(known.rows[r], AdapterKind)}
    return (set(result.rows) - kinds) | (set(result.adapters) & set(known.rows))


def text(known: Library) -> str:
    """Return all counts as a page."""
    rows = list(known.rows.values())
    head = ["", *AREAS, "all"]
    lines = [f"{head[0]:<34}" + "".join(f"{h:>12}" for h in head[1:])]
    for counted in counts(known):
        cells = [*(counted.by_area[a] for a in AREAS), counted.total]
        lines.append(f"{counted.name:<34}" + "".join(f"{c:>12,}" for c in cells))
    lines += [
        "",
        f"kinds of part {len(RECORD_KINDS)}, kinds of side {len(PORT_KINDS)}, sources {len(known.sources)}",
        f"collected questions {len(collected.load())}, complete bicycles {len(factory.load())}",
    ]
    shares: dict[str, Counter[str]] = {
        "kinds of row": Counter(type(r).__name__ for r in rows),
        "basis": Counter(r.grounds.basis for r in rows),
        "seen": Counter(r.grounds.seen for r in rows),
        "confidence": Counter(r.grounds.confidence for r in rows),
    }
    for name, found in shares.items():
        said = ", ".join(f"{k} {n:,} ({100 * n / len(rows):.1f} %)" for k, n in found.most_common())
        lines.append(f"{name}: {said}")
    searched = sum(bool(r.grounds.searched) for r in rows if r.grounds.basis == "memory")
    lines.append(f"weak rows {sum(map(weak, rows))}; rows from memory that say what was searched {searched}")
    return "\n".join(lines)


if __name__ == "__main__":
    print(text(library.load()))
    sys.exit(0)
