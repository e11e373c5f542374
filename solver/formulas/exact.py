"""Angles in exact decimals: sine, cosine, and the angle of a sine. No binary fraction enters a figure.

In: decimals; angles in turns, so that a sixth of a circle is 1/6 and no rounded number has to stand for it. Out:
decimals to 24 places, far more than a workshop can measure, so that sums stay free of noise. The series are those of
any handbook of analysis.
"""

from __future__ import annotations

from decimal import Decimal, localcontext
from typing import Final

#: The circumference of a circle over its diameter.
PI: Final = Decimal("3.141592653589793238462643383")

_TURN: Final = 2 * Decimal("3.14159265358979323846264338327950288419716939937511")
_WORKING: Final = 45
_SMALLEST: Final = Decimal(10) ** -40
_PLACES: Final = Decimal(10) ** -24


def cosine(turns: Decimal) -> Decimal:
    """Return the cosine of an angle.

    >>> cosine(Decimal(1) / 6)
    Decimal('0.5')
    """
    return sine(turns + Decimal("0.25"))


def sine(turns: Decimal) -> Decimal:
    """Return the sine of an angle.

    >>> sine(Decimal(1) / 12), sine(Decimal("0.75"))
    (Decimal('0.5'), Decimal('-1'))
    """
    with localcontext() as context:
        context.prec = _WORKING
        angle = (turns - turns.to_integral_value()) * _TURN
        total = term = angle
        at = 1
        while abs(term) > _SMALLEST:
            term *= -angle * angle / ((at + 1) * (at + 2))
            total += term
            at += 2
        return _settled(total)


def angle_of_sine(ratio: Decimal) -> Decimal:
    """Return the angle between minus and plus a quarter turn whose sine is ``ratio``.

    >>> angle_of_sine(Decimal("0.5")) * 12, angle_of_sine(Decimal(-1))
    (Decimal('0.999999999999999999999996'), Decimal('-0.25'))

    Raises:
        ValueError: no angle has such a sine.
    """
    if abs(ratio) > 1:
        raise ValueError(f"no angle has the sine {ratio}")
    if abs(ratio) == 1:
        return ratio / 4
    with localcontext() as context:
        context.prec = _WORKING
        slope, halved = ratio / (1 - ratio * ratio).sqrt(), 0
        while abs(slope) > Decimal("0.1"):
            slope /= 1 + (1 + slope * slope).sqrt()
            halved += 1
        total, power, step = Decimal(0), slope, 1
        while abs(power) > _SMALLEST:
            total += power / step
            power *= -slope * slope
            step += 2
        return _settled(total * 2**halved / _TURN)


def _settled(value: Decimal) -> Decimal:
    """Cut off the last digits, in which the series are not sure, and the zeros that this leaves."""
    cut = value.quantize(_PLACES)
    return Decimal(f"{cut.normalize():f}") if cut else Decimal(0)
