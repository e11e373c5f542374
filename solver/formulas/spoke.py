"""How long a spoke has to be, and where a flange stands. Pure arithmetic; lengths in millimetres.

In: exact decimals. Out: a decimal. The spoke is the third side of a
triangle in space: from its hole in the flange to its nipple in the rim, turned by as many holes as it crosses other
spokes, less half the hole that its bend sits in. Sources: "Spoke Length Calculation", pijin.co.uk/spokecalc.html, and
the worked example of tristable.net/bike/spoke_length.txt. The thickness of the wire is left out; the stretch of wire
and holes makes up for it.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal
from functools import lru_cache
from typing import Final

from solver.formulas.exact import cosine

_HUNDREDTH: Final = Decimal("0.01")


def length(rim: Decimal, circle: Decimal, offset: Decimal, hole: Decimal, spokes: Decimal, crosses: Decimal) -> Decimal:
    """Return the length of a spoke on one side of a wheel, to a hundredth; the arguments are those of ``unrounded``.

    >>> length(*map(Decimal, ("555", "58", "39", "2.6", "36", "3")))
    Decimal('265.76')
    """
    return unrounded(rim, circle, offset, hole, spokes, crosses).quantize(_HUNDREDTH)


def unrounded(
    rim: Decimal, circle: Decimal, offset: Decimal, hole: Decimal, spokes: Decimal, crosses: Decimal
) -> Decimal:
    """Return the length of a spoke on one side of a wheel, for those who round it themselves.

    Args:
        rim: diameter over the spoke ends in the rim.
        circle: diameter of the circle of spoke holes in the flange.
        offset: from the middle of the wheel to the middle of the flange.
        hole: diameter of one spoke hole.
        spokes: spokes of the whole wheel, half of them on each side.
        crosses: how many spokes of its side each one crosses.

    >>> unrounded(*map(Decimal, ("600", "60", "0", "0", "32", "0")))
    Decimal('270')
    """
    far, near = rim / 2, circle / 2
    squares = far * far + near * near + offset * offset - 2 * far * near * _turned(spokes, crosses)
    return squares.sqrt() - hole / 2


@lru_cache(maxsize=256)
def _turned(spokes: Decimal, crosses: Decimal) -> Decimal:
    """Return the cosine of the angle between the two ends of a spoke, as seen along the axle."""
    return cosine(2 * crosses / spokes) if spokes else Decimal(1)


def flange_offset(over_ends: Decimal, to_face: Decimal, flange: Decimal = Decimal(0)) -> Decimal:
    """Return how far the middle of a flange is from the middle of the hub.

    ``to_face`` is from the end face of the hub to the outer face of the flange, ``flange`` how thick the flange is.
    Where somebody measured to its middle, leave ``flange`` out; to its inner face, give the thickness negative.

    >>> flange_offset(Decimal("120.5"), Decimal("27.5"), Decimal("3.35"))
    Decimal('31.075')
    """
    return over_ends / 2 - to_face - flange / 2


def over_the_ends(first: Decimal, second: Decimal, between: Decimal) -> Decimal:
    """Return the diameter over the spoke ends of a rim, measured with two cut spokes in opposite holes.

    ``first`` and ``second`` are the lengths of the two spokes, screwed in until their ends are level with the slots of
    the nipples; ``between`` is what is left between their cut ends. So measured on "Spoke length: hub and rim
    measuring", Ken's Bikes, ozbizz.com/melton/kensbikes/slc.htm.

    >>> over_the_ends(Decimal(250), Decimal(250), Decimal("99.4"))
    Decimal('599.4')
    """
    return first + second + between


def on_the_shelf(length: Decimal, step: Decimal) -> Decimal:
    """Return the longest spoke that is sold in steps of ``step`` and is no longer than ``length``.

    A spoke is rounded down: one that is too long bottoms in its nipple (common practice).

    >>> on_the_shelf(Decimal("293.08"), Decimal(2)), on_the_shelf(Decimal("293.08"), Decimal(1))
    (Decimal('292'), Decimal('293'))
    """
    return (length / step).to_integral_value(ROUND_FLOOR) * step
