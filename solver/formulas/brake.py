"""Where pads come to lie when the rim or the rotor is another one. Pure arithmetic on diameters.

In: lengths in millimetres, as exact decimals or as a rule's numbers. Out: the same kind. The brake track of a rim lies
at its edge, so it moves by half of what the bead seat diameter changes (ISO 5775 defines that diameter).
"""

from __future__ import annotations

from typing import Any, Protocol, Self, TypeVar


class Length(Protocol):
    """What can be added, subtracted and halved."""

    def __add__(self, other: Any, /) -> Self:
        """Add a length."""

    def __sub__(self, other: Any, /) -> Self:
        """Take a length away."""

    def __truediv__(self, divisor: int, /) -> Self:
        """Return a part."""


L = TypeVar("L", bound=Length)


def track_shift(made_for: L, rim: L) -> L:
    """Return how much nearer to the axle the track of ``rim`` lies than that of the rim a frame is made for.

    >>> from decimal import Decimal as D
    >>> track_shift(D(630), D(622))
    Decimal('4')
    >>> track_shift(D(559), D(622))
    Decimal('-31.5')
    """
    return (made_for - rim) / 2


def reach_for(reach: L, measured_with: L, rim: L) -> L:
    """Return the reach that a caliper needs for ``rim``, from the reach measured with another rim in its place.

    >>> from decimal import Decimal as D
    >>> reach_for(D(50), D(630), D(622))
    Decimal('54')
    """
    return reach + track_shift(measured_with, rim)


def lift(rotor: L, native: L) -> L:
    """Return how far a caliper has to be moved away from the axle for a rotor larger than the mount's own.

    >>> from decimal import Decimal as D
    >>> lift(D(203), D(160))
    Decimal('21.5')
    """
    return (rotor - native) / 2
