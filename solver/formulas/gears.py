"""What a gear is worth: ratio, gear inches, development, steps. Pure arithmetic.

In: teeth, and the wheel in mm over or around the tyre. Out: decimals, not rounded. Gear inches are the height of the
wheel without gears that would roll as far; development is how far one turn of the cranks goes ("Gearing",
polkcounty.org/mitch; R. Swart, "Metric Gear Ratio Measurements", Bicycling, October 1973).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from solver.formulas.exact import PI
from solver.formulas.units import INCH


class Gear(NamedTuple):
    """One row of a gear table. ``step`` is how much higher it is than the gear before it, in percent."""

    ring: Decimal
    cog: Decimal
    ratio: Decimal
    inches: Decimal
    development: Decimal
    step: Decimal | None


def ratio(ring: Decimal, cog: Decimal) -> Decimal:
    """Return the turns of the wheel for one turn of the cranks.

    >>> ratio(Decimal(50), Decimal(16))
    Decimal('3.125')
    """
    return ring / cog


def gear_inches(ring: Decimal, cog: Decimal, wheel: Decimal) -> Decimal:
    """Return the gear inches of a wheel of a diameter in mm.

    >>> gear_inches(Decimal(39), Decimal(26), Decimal("685.8"))
    Decimal('40.5')
    """
    return ratio(ring, cog) * wheel / INCH


def development(ring: Decimal, cog: Decimal, around: Decimal) -> Decimal:
    """Return the metres for one turn of the cranks, of a wheel that is ``around`` mm in circumference.

    >>> development(Decimal(52), Decimal(13), Decimal(2100))
    Decimal('8.4')
    """
    return ratio(ring, cog) * around / 1000


def around(diameter: Decimal) -> Decimal:
    """Return the circumference of a wheel of a diameter, both in the same unit.

    Under a rider the wheel rolls 0.5 to 2 % less (common practice).

    >>> round(around(Decimal(678)))
    2130
    """
    return diameter * PI


def step(cog: Decimal, smaller: Decimal) -> Decimal:
    """Return how much higher the gear is on the smaller of two cogs, in percent.

    >>> round(step(Decimal(14), Decimal(12)), 1)
    Decimal('16.7')
    """
    return (cog / smaller - 1) * 100


def spread(rings: Sequence[Decimal], cogs: Sequence[Decimal]) -> Decimal:
    """Return the highest gear in percent of the lowest.

    >>> round(spread([Decimal(36), Decimal(24)], [Decimal(11), Decimal(36)]))
    491
    """
    return max(rings) / min(rings) * max(cogs) / min(cogs) * 100


def table(rings: Sequence[Decimal], cogs: Sequence[Decimal], diameter: Decimal) -> list[Gear]:
    """Return all gears, ring by ring from the lowest up; a step is counted within its ring.

    >>> [(g.cog, round(g.inches, 1)) for g in table([Decimal(40)], [Decimal(20), Decimal(10)], Decimal("685.8"))]
    [(Decimal('20'), Decimal('54.0')), (Decimal('10'), Decimal('108.0'))]
    """
    found = []
    for ring in sorted(rings):
        before: Decimal | None = None
        for cog in sorted(cogs, reverse=True):
            found.append(
                Gear(
                    *(ring, cog, ratio(ring, cog), gear_inches(ring, cog, diameter)),
                    development(ring, cog, around(diameter)),
                    None if before is None else step(before, cog),
                )
            )
            before = cog
    return found
