"""How long an axle has to be and how much of its thread holds. Pure arithmetic, in millimetres.

In and out: decimals. A thru axle reaches from under its head through plate and hub into the thread on the far side. The
length of a hollow axle for a skewer over its hub is 11 mm more ("Frame and sprocket spacing crib sheet",
sheldonbrown.com): 5.5 mm stand in each dropout.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

#: What a hollow axle stands out of both locknuts together.
BOTH_STUBS: Final = Decimal(11)


def hollow_axle(over_ends: Decimal) -> Decimal:
    """Return the length of a hollow axle for a hub of a width over its locknuts.

    >>> hollow_axle(Decimal(126))
    Decimal('137')
    """
    return over_ends + BOTH_STUBS


def stub(axle: Decimal, over_ends: Decimal) -> Decimal:
    """Return how far an axle stands out on each side of its hub.

    >>> stub(Decimal(137), Decimal(126))
    Decimal('5.5')
    """
    return (axle - over_ends) / 2


def engaged(axle: Decimal, wanted: Decimal, hole_thread: Decimal, axle_thread: Decimal) -> Decimal:
    """Return the length of thread that holds a thru axle: where both threads overlap.

    Args:
        axle: from under the head to the tip.
        wanted: the length that the frame asks for; an axle so long ends level with the thread of the frame.
        hole_thread: length of the thread in the frame.
        axle_thread: length of the thread on the axle.

    >>> [engaged(Decimal(n), Decimal(172), Decimal(12), Decimal(20)) for n in (172, 168, 174, 184, 150)]
    [Decimal('12'), Decimal('8'), Decimal('12'), Decimal('8'), Decimal('0')]
    """
    ends = min(axle, wanted)
    begins = max(axle - axle_thread, wanted - hole_thread)
    return max(ends - begins, Decimal(0))


def turns(engaged: Decimal, pitch: Decimal) -> Decimal:
    """Return the turns of thread in a length.

    >>> turns(Decimal(12), Decimal("1.5"))
    Decimal('8')
    """
    return engaged / pitch
