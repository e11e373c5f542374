"""Units of the trade in those of the library and back. Exact by definition, or rounded no further than said.

In and out: decimals. An inch is 25.4 mm, a pound 0.45359237 kg and a standard fall 9.80665 m/s2 by agreement, so each
factor here is exact or a quotient of exact ones (NIST Special Publication 811, appendix B, lists the same).
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

#: Millimetres of an inch.
INCH: Final = Decimal("25.4")
#: Newtons that hold up a kilogram.
KILOGRAM_FORCE: Final = Decimal("9.80665")
#: Newtons that hold up a pound.
POUND_FORCE: Final = Decimal("0.45359237") * KILOGRAM_FORCE


def inches(mm: Decimal) -> Decimal:
    """Return a length in inches.

    >>> inches(Decimal("431.8"))
    Decimal('17')
    """
    return mm / INCH


def millimetres(inch: Decimal) -> Decimal:
    """Return a length in millimetres.

    >>> millimetres(Decimal("0.5"))
    Decimal('12.70')
    """
    return inch * INCH


def psi(bar: Decimal) -> Decimal:
    """Return a pressure in pounds a square inch.

    >>> round(psi(Decimal(5)), 1)
    Decimal('72.5')
    """
    return bar * Decimal(100_000) * (INCH / 1000) ** 2 / POUND_FORCE


def bar(psi: Decimal) -> Decimal:
    """Return a pressure in bar.

    >>> round(bar(Decimal(100)), 2)
    Decimal('6.89')
    """
    return psi * POUND_FORCE / (INCH / 1000) ** 2 / Decimal(100_000)


def newton_metres(inch_pounds: Decimal) -> Decimal:
    """Return a torque in newton metres.

    >>> round(newton_metres(Decimal(44)), 1)
    Decimal('5.0')
    """
    return inch_pounds * POUND_FORCE * INCH / 1000


def newtons(kilograms: Decimal) -> Decimal:
    """Return a pull in newtons from one in kilograms, as spoke tension is read off a gauge.

    >>> newtons(Decimal(100))
    Decimal('980.66500')
    """
    return kilograms * KILOGRAM_FORCE
