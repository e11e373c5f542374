"""Switches and bounds of the engine, and the refusal when a problem is too wide.

In: nothing. Out: ``Options``, ``Estimate`` and ``TooWide``. Each switch turns one trick for speed off so that a test
can show that the trick changes no answer.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Options:
    """How to compile and pass.

    Attributes:
        consistency: drop values that some relation cannot support before anything is joined.
        promote: treat a hidden variable that the counted ones determine as counted, which frees the order.
        greedy: choose the order of joins by estimated size; off, join in the order given.
        machine: use machine integers while a bound proves that they suffice; off, Python integers throughout.
        residues: count beyond machine integers by residues; off, by Python integers.
        reuse: after a restriction recompute only what it can have changed.
        join_rows: refuse to hold more rows of joins than this (about 16 bytes a row).
        expansion: refuse to count under a limit when the bits to carry are more than this.
    """

    consistency: bool = True
    promote: bool = True
    greedy: bool = True
    machine: bool = True
    residues: bool = True
    reuse: bool = True
    join_rows: int = 8_000_000
    expansion: int = 300_000_000


@dataclass(frozen=True, slots=True)
class Estimate:
    """What the plan expects before any join: numbers are estimates, not bounds.

    Attributes:
        width: most variables in one intermediate table.
        join_rows: rows of all joins together.
        largest: rows of the largest join.
        steps: number of joins and projections.
    """

    width: int
    join_rows: float
    largest: float
    steps: int


class TooWide(Exception):
    """The problem does not fit this method within the bound; nothing was lost but the time of the estimate.

    Attributes:
        needed: rows (or bits) that would have been reached with the next step, exactly; the whole may take far more.
        bound: what was allowed.
        what: which bound it is: ``join_rows`` or ``expansion``.
        estimate: the estimate of the whole, for rows.
    """

    def __init__(self, what: str, needed: float, bound: int, estimate: Estimate | None = None) -> None:
        super().__init__(f"{what}: about {needed:.3g} needed, {bound:.3g} allowed")
        self.what = what
        self.needed = needed
        self.bound = bound
        self.estimate = estimate
