"""How much of a handlebar is cut off. Pure arithmetic; lengths in millimetres.

In: exact decimals. Out: a decimal. A bar is cut equally on both sides, so that its middle stays in the stem.
"""

from __future__ import annotations

from decimal import Decimal


def trim(width: Decimal, wanted: Decimal) -> Decimal:
    """Return what is cut off each end.

    >>> trim(Decimal(780), Decimal(745))
    Decimal('17.5')
    """
    return (width - wanted) / 2
