"""Rows and rules drawn by lot and read again against their own sources: what was found, and how sure that makes us.

    python -m tests.reread --seed N      print the draw: sixty rows with a source and twenty tests of joints
    python -m tests.reread               print what the rereading found, the share of errors and its interval

The draw takes the smallest hashes of seed and id, so that a row added later moves at most one place of it. What was
found stands in ``tests/cases/reread.toml``, areas read in full in ``reread_<area>_<n>.toml``, rows added since then in
``reread_added.toml``: the figure here, the figure there, where, and the outcome: ``right``, ``wrong`` (and put right
since) or ``closed`` (the source could not be opened again, or not as far as the figure). A second draw, after
everything was read and put right, stands in ``reread_second_draw.toml``: it measures what is still wrong.
"""

from __future__ import annotations

import argparse
import hashlib
import math
import sys
import tomllib
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from catalog_schema import library
from catalog_schema.interface import AdapterKind, Family, Interface, Row, Table, TradeFigure
from catalog_schema.library import AREAS, Library
from solver.rules import every
from solver.rules.registry import JOINTS
from tests import casefile

FILES = "reread*.toml"
ROWS, RULES = 60, 20
#: The seed of the second draw, by which its records name it.
SECOND = 20261130
#: An area with more errors than this is read in full.
FULL_READING_ABOVE = 0.03


class Reread(BaseModel):
    """One row (by id) or one test (``area.joint: test``), read again.

    ``figures`` are those of the row that the source confirmed, as they stand in the library: a change makes the
    record stale. ``here`` and ``there`` say in our words what stands on both sides. ``draw`` is the seed of a later
    draw, in which a row may come up that was read before; 0 is the first reading.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    here: str = Field(min_length=2)
    there: str = Field(min_length=2)
    where: str = Field(min_length=4)
    outcome: Literal["right", "wrong", "closed"]
    date: str = "2026-11-29"
    put_right: str = ""
    figures: dict[str, Decimal] = {}
    lot: bool = True
    draw: int = 0

    @property
    def rule(self) -> bool:
        """Whether it is a test of a joint, not a row."""
        return ": " in self.id

    @property
    def area(self) -> str:
        """The area word."""
        return self.id.partition(".")[0] if self.rule else library.load().area(self.id)


def load() -> list[Reread]:
    """Return what was read again."""
    files = sorted(casefile.FOLDER.glob(FILES))
    raw = [tomllib.loads(f.read_text(encoding="utf-8"), parse_float=Decimal) for f in files]
    return [Reread.model_validate(r) for one in raw for r in one["reread"]]


def drawn(seed: int, ids: Iterable[str], number: int) -> list[str]:
    """Return so many of the ids, by lot."""
    return sorted(sorted(set(ids), key=lambda i: hashlib.sha256(f"{seed}:{i}".encode()).hexdigest())[:number])


def rows(known: Library) -> list[str]:
    """Return the rows that name a source."""
    return sorted(i for i, r in known.rows.items() if r.grounds.sources)


def tests() -> list[str]:
    """Return every test as ``area.joint: test``."""
    every.load()
    return sorted(f"{j.id}: {t.id}" for j in JOINTS.values() for t in j.tests)


def figures(row: Row) -> dict[str, Decimal]:
    """Return the numbers of a row by name, to compare with a later library."""
    if isinstance(row, Interface):
        sides = row.sides.items()
        return {f"{s}.{k}": Decimal(v) for s, side in sides for k, v in side.items() if isinstance(v, Decimal)}
    if isinstance(row, TradeFigure):
        return dict(row.values)
    if isinstance(row, Table):
        cells = [(n, c, v) for n, r in enumerate(row.cells) for c, v in zip(row.columns, r, strict=True)]
        return {f"{n}.{c}": v for n, c, v in cells if isinstance(v, Decimal)}
    return {}


def said(row: Row) -> str:
    """Return a row on a line, to read it beside its source."""
    if isinstance(row, Interface):
        return str(row.sides)
    if isinstance(row, TradeFigure):
        return f"{row.title}: {dict(row.values)}"
    if isinstance(row, Table):
        return f"{row.title}: {row.columns} {row.cells}"
    if isinstance(row, AdapterKind):
        return f"{row.title}: {row.bridges} {row.pairs} {row.limits} {row.caution} {row.effects}"
    return f"{row.names}" if isinstance(row, Family) else ""


def interval(wrong: int, read: int, z: float = 1.96) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson).

    Args:
        wrong: how many were wrong.
        read: of how many that could be read.
        z: the quantile of the normal distribution, two-sided.
    """
    if not read:
        return 0.0, 1.0
    p, extra = wrong / read, z * z / read
    middle = (p + extra / 2) / (1 + extra)
    half = z * math.sqrt(p * (1 - p) / read + extra / (4 * read)) / (1 + extra)
    return max(0.0, middle - half), min(1.0, middle + half)


def summary(read: Sequence[Reread]) -> str:
    """Return the share of errors: by lot and by area when all was read first, then what a later draw still found."""
    first = [r for r in read if not r.draw]
    again = [r for r in read if r.draw]
    lines = [f"{'':<34}{'read':>6}{'right':>7}{'wrong':>7}{'closed':>8}{'errors':>9}   95 % interval"]
    by_lot = [r for r in first if r.lot]
    groups = {
        "rows by lot": [r for r in by_lot if not r.rule],
        "rules by lot": [r for r in by_lot if r.rule],
        **{f"  {a}": [r for r in by_lot if r.area == a] for a in AREAS},
        "all by lot": by_lot,
        "read besides": [r for r in first if not r.lot],
        "drawn again after the corrections": again,
        "  rows": [r for r in again if not r.rule],
        "  rules": [r for r in again if r.rule],
    }
    for name, mine in groups.items():
        right, wrong, closed = (sum(r.outcome == o for r in mine) for o in ("right", "wrong", "closed"))
        low, high = interval(wrong, right + wrong)
        share = f"{100 * wrong / (right + wrong):.1f} %" if right + wrong else "."
        lines.append(
            f"{name:<34}{len(mine):>6}{right:>7}{wrong:>7}{closed:>8}{share:>9}   {100 * low:.1f} to {100 * high:.1f} %"
        )
    for area in AREAS:
        mine = [r for r in first if r.area == area and not r.rule]
        known = [i for i in rows(library.load()) if library.load().area(i) == area]
        wrong = sum(r.outcome == "wrong" for r in mine)
        could = sum(r.outcome != "closed" for r in mine)
        lines.append(f"  {area}: {len(mine)} of {len(known)} rows with a source read, {could} could be, {wrong} wrong")
    lines += [f"  wrong {r.id}: here {r.here}; there {r.there}; {r.put_right}" for r in read if r.outcome == "wrong"]
    return "\n".join(lines)


def draw(seed: int, known: Library) -> str:
    """Return the draw with figures and sources, to be read."""
    lines = []
    for i in drawn(seed, rows(known), ROWS):
        row = known.rows[i]
        lines.append(f"{i} [{row.grounds.basis}, {row.grounds.seen}, {row.grounds.confidence}] {said(row)}")
        lines += [f"    note: {row.grounds.note}"] if row.grounds.note else []
        lines += [f"    {s.title}, {s.publisher}, {s.url}" for s in known.sources_of(row)]
    for i in drawn(seed, tests(), RULES):
        joint, _, name = i.partition(": ")
        test = next(t for t in JOINTS[joint].tests if t.id == name)
        lines.append(f"{i} {test.page}")
        lines += [f"    reasons: {', '.join(test.reasons)}; rows: {', '.join(test.rows)}"]
    return "\n".join(lines)


def main(argv: list[str]) -> int:
    """Print the draw or the outcome."""
    parser = argparse.ArgumentParser(description="Rows and rules read again against their sources.")
    parser.add_argument("--seed", type=int, help="print the draw of this seed")
    asked = parser.parse_args(argv)
    print(summary(load()) if asked.seed is None else draw(asked.seed, library.load()))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
