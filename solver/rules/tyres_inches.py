"""How exact a tyre's width is that is named in inches.

In: the width in inches, and the row of the library that says how far marks in millimetres are from such names. Out: a
length either way. A name beside a name needs none; the rules take it where inches meet millimetres.
"""

from __future__ import annotations

from decimal import Decimal

from solver.rules.branching import Zero
from solver.rules.figures import LimitFigure, Num
from solver.rules.registry import Band, Outcome, fits, not_known, unsafe


def slack(named_in: Num | None, inches: Band) -> Decimal:
    """Return how much wider or narrower than its name a tyre may be marked; nothing if it has no name in inches."""
    if named_in is None:
        return Zero
    return inches["wide_mm"] if named_in >= inches["wide_from_in"] else inches["either_way_mm"]


def within_limit(
    tyre_width: Num,
    named_in: Num | None,
    measured: Num | None,
    most: LimitFigure,
    most_in: LimitFigure | None,
    inches: Band,
) -> Outcome:
    """Judge a tyre by the largest that a maker prints; measured if somebody did, else as printed.

    Inches beside inches are two names that are compared as they stand. Inches beside millimetres are not so exact:
    where what a tyre of that name may be wider or narrower would decide, its mark is read.
    """
    actual = measured if measured is not None else tyre_width
    if measured is None and (named_in is None) is not (most_in is None):
        either_way = slack(named_in if most_in is None else most_in.number, inches)
        if actual + either_way <= most.number:
            return fits()
        return unsafe("over-makers-limit") if actual - either_way > most.number else not_known("inches-are-a-name")
    return fits() if actual <= most.number else unsafe("over-makers-limit")
