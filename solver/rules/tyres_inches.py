"""How exact a tyre's width is that is named in inches.

In: the width in inches, and the row of the library that says how far marks in millimetres are from such names. Out: a
length either way. A name beside a name needs none; the rules take it where inches meet millimetres.
"""

from __future__ import annotations

from decimal import Decimal

from solver.rules.branching import Zero
from solver.rules.figures import Num
from solver.rules.registry import Band


def slack(named_in: Num | None, inches: Band) -> Decimal:
    """Return how much wider or narrower than its name a tyre may be marked; nothing if it has no name in inches."""
    if named_in is None:
        return Zero
    return inches["wide_mm"] if named_in >= inches["wide_from_in"] else inches["either_way_mm"]
