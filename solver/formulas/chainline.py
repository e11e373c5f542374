"""How far rings and cogs stand from the middle of the bicycle, and how crooked the chain runs. Pure arithmetic, in mm.

In and out: decimals. A cog's distance follows from the width of the hub, the gap outside the smallest cog, and the
pitch ("Chainline", ti10x.blogspot.com/2012/10/chainline.html, works it out for ten cogs). Cog 1 is the smallest.
"""

from __future__ import annotations

from decimal import Decimal


def cog(over_ends: Decimal, gap: Decimal, thickness: Decimal, pitch: Decimal, place: int) -> Decimal:
    """Return the distance of one cog's middle from the middle of the hub.

    Args:
        over_ends: width of the hub over its end faces.
        gap: from the end face to the outer face of the smallest cog.
        thickness: of a cog.
        pitch: from cog to cog, middle to middle.
        place: 1 for the smallest cog.

    >>> [cog(Decimal(130), Decimal(3), Decimal("1.6"), Decimal("3.95"), n) for n in (1, 10)]
    [Decimal('61.20'), Decimal('25.65')]
    """
    return over_ends / 2 - gap - thickness / 2 - pitch * (place - 1)


def middle(smallest: Decimal, pitch: Decimal, cogs: int) -> Decimal:
    """Return the distance of the middle of all cogs, from that of the smallest.

    >>> middle(Decimal("61.2"), Decimal("3.95"), 10)
    Decimal('43.425')
    """
    return smallest - pitch * (cogs - 1) / 2


def error(ring: Decimal, cog: Decimal) -> Decimal:
    """Return how far a ring stands outside of the cog's line; below 0, inside.

    >>> error(Decimal("47.5"), Decimal("43.425"))
    Decimal('4.075')
    """
    return ring - cog


def width(cogs: int, pitch: Decimal, thickness: Decimal) -> Decimal:
    """Return the width over all cogs.

    >>> width(10, Decimal("3.95"), Decimal("1.6"))
    Decimal('37.15')
    """
    return pitch * (cogs - 1) + thickness
