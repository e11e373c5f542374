"""How long a spoke has to be, and where a flange stands. Pure arithmetic; lengths in millimetres.

In: exact decimals. Out: a decimal, rounded to a hundredth. The spoke is the third side of a triangle in space: from its
hole in the flange to its nipple in the rim, turned by as many holes as it crosses other spokes, less half the hole that
its bend sits in. Sources: "Spoke Length Calculation", pijin.co.uk/spokecalc.html, and the worked example of
tristable.net/bike/spoke_length.txt. The thickness of the wire is left out; the stretch of wire and holes makes up for
it.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Final

_HUNDREDTH: Final = Decimal("0.01")


def length(rim: Decimal, circle: Decimal, offset: Decimal, hole: Decimal, spokes: Decimal, crosses: Decimal) -> Decimal:
    """Return the length of a spoke on one side of a wheel.

    Args:
        rim: diameter over the spoke ends in the rim.
        circle: diameter of the circle of spoke holes in the flange.
        offset: from the middle of the wheel to the middle of the flange.
        hole: diameter of one spoke hole.
        spokes: spokes of the whole wheel, half of them on each side.
        crosses: how many spokes of its side each one crosses.

    >>> length(*map(Decimal, ("555", "58", "39", "2.6", "36", "3")))
    Decimal('265.76')
    """
    far, near = rim / 2, circle / 2
    turn = math.cos(float(4 * crosses / spokes) * math.pi) if spokes else 1.0
    squares = far * far + near * near + offset * offset - 2 * far * near * Decimal(turn)
    return (squares.sqrt() - hole / 2).quantize(_HUNDREDTH)


def flange_offset(over_ends: Decimal, to_face: Decimal, flange: Decimal = Decimal(0)) -> Decimal:
    """Return how far the middle of a flange is from the middle of the hub.

    ``to_face`` is from the end face of the hub to the outer face of the flange, ``flange`` how thick the flange is.
    Where somebody measured to its middle, leave ``flange`` out; to its inner face, give the thickness negative.

    >>> flange_offset(Decimal("120.5"), Decimal("27.5"), Decimal("3.35"))
    Decimal('31.075')
    """
    return over_ends / 2 - to_face - flange / 2
