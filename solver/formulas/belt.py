"""How long a toothed belt has to be, and where a belt of a given length is tight. Pure arithmetic, lengths in mm.

A belt lies round two sprockets as a chain does, only that its pitch is not half an inch: the same geometry serves both.
"""

from __future__ import annotations

from decimal import Decimal

from solver.formulas import chain

_EXACT = Decimal("0.000001")
#: Lengths in teeth are exact to six places, so a distance found from one is exact to this, in mm.
_TO_A_HAIR = Decimal("0.001")


def teeth(stay: Decimal, front: Decimal, rear: Decimal, pitch: Decimal) -> Decimal:
    """Return the teeth of a belt that lies tight round two sprockets.

    Args:
        stay: from the middle of the one sprocket to the middle of the other, in mm.
        front: teeth of the front sprocket.
        rear: teeth of the rear one.
        pitch: from tooth to tooth, in mm.

    >>> teeth(Decimal(724), Decimal(69), Decimal(69), Decimal(8))
    Decimal('250.000000')

    Raises:
        ValueError: one sprocket lies inside the other.
    """
    return chain.around(stay / pitch, front, rear)


def distance(length: Decimal, front: Decimal, rear: Decimal, pitch: Decimal) -> Decimal | None:
    """Return how far apart, in mm, two sprockets make a belt of ``length`` teeth tight; None if it is too short.

    The length grows with the distance, so the distance is found by halving.

    >>> distance(Decimal(125), Decimal(46), Decimal(46), Decimal(11))
    Decimal('434.500')
    """
    nested = abs(front - rear) / 6  # more than a turn's share (2 pi), so the sprockets stand clear of each other
    low, high = max(nested, _EXACT), length / 2
    if low >= high or chain.around(low, front, rear) > length:
        return None
    while high - low > _EXACT / 1000:
        middle = (low + high) / 2
        if chain.around(middle, front, rear) < length:
            low = middle
        else:
            high = middle
    return (high * pitch).quantize(_TO_A_HAIR)
