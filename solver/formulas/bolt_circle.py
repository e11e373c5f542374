"""The circle through the bolts of a chainring, or of anything with evenly spaced holes, from the gap between two holes.

In and out: decimals, in millimetres. Two neighbours and the middle of the circle make a triangle; its point is a turn
divided by the number of holes. So printed on "How to measure Bolt Circle Diameter", cykelcenter.eu.
"""

from __future__ import annotations

from decimal import Decimal

from solver.formulas.exact import sine

_FEWEST = 2


def diameter(between: Decimal, holes: int) -> Decimal:
    """Return the diameter of the circle from the distance of two neighbouring holes, middle to middle.

    >>> [round(diameter(Decimal(d), n), 1) for d, n in (("64.7", 5), ("73.5", 4), ("76", 3), ("50", 6))]
    [Decimal('110.1'), Decimal('103.9'), Decimal('87.8'), Decimal('100.0')]

    Raises:
        ValueError: fewer than two holes make no circle.
    """
    return between / sine(_half_a_step(holes))


def between(diameter: Decimal, holes: int) -> Decimal:
    """Return the distance of two neighbouring holes, middle to middle, on a circle.

    >>> round(between(Decimal(130), 5), 1)
    Decimal('76.4')
    """
    return diameter * sine(_half_a_step(holes))


def _half_a_step(holes: int) -> Decimal:
    if holes < _FEWEST:
        raise ValueError(f"{holes} holes make no circle")
    return Decimal(1) / (2 * holes)
