"""Where the rim of a wheel stands between the ends of its hub, and how hard each side pulls. Pure arithmetic, in mm.

In: decimals. Out: decimals. A dishing gauge shows twice the error, because it is turned over with the wheel
(ysroad.net, shop note on an offset frame: 6 mm of offset, 12 mm at the gauge). What spacers at the ends of a hub do,
and the share of the pulls, are statics and plain geometry.
"""

from __future__ import annotations

from decimal import Decimal


def at_the_gauge(rim_aside: Decimal) -> Decimal:
    """Return the gap that a dishing gauge shows on the second side, for a rim that stands aside of the middle.

    >>> at_the_gauge(Decimal(6))
    Decimal('12')
    """
    return rim_aside * 2


def rim_aside(gap: Decimal) -> Decimal:
    """Return how far a rim stands aside of the middle, from the gap that the gauge shows on the second side.

    >>> rim_aside(Decimal(3))
    Decimal('1.5')
    """
    return gap / 2


def rim_to_the_left(spacer_left: Decimal, spacer_right: Decimal) -> Decimal:
    """Return how far to the left a rim has to be moved once spacers were put on the ends of its hub.

    Below 0: to the right. The rim was in the middle before.

    >>> rim_to_the_left(Decimal(6), Decimal(0)), rim_to_the_left(Decimal(3), Decimal(3))
    (Decimal('3'), Decimal('0'))
    """
    return (spacer_left - spacer_right) / 2


def share_of_the_pull(offset: Decimal, other: Decimal, length: Decimal, other_length: Decimal) -> Decimal:
    """Return the pull of a spoke on one side, as a part of that on the other, once the rim stands still.

    Sideways the pulls of both sides cancel: pull x offset / length is equal. Equal numbers of spokes on both sides.

    >>> round(share_of_the_pull(Decimal(34), Decimal(19), Decimal(293), Decimal(291)), 2)
    Decimal('0.56')
    """
    return (other / other_length) / (offset / length)
