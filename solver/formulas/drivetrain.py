"""Slack that a derailleur takes up, sideways steps that do not match the cogs, rings under a cage. Pure arithmetic.

In: counts of teeth and lengths in millimetres, as exact decimals or as a rule's numbers. Out: the same kind. What is
too much is a figure of the library; each formula only says how the figures go together.

Sources: the sum of both differences is what derailleur makers print as total capacity; that pull times ratio must give
the pitch of the cogs is the shift equation ("Gear-changing dimensions", Wikibooks). The error at the ends and the
height of a ring are geometry.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final, Protocol, Self, TypeVar

#: Half an inch over twice pi, rounded: how much the radius of a ring grows for each tooth, in millimetres.
RADIUS_A_TOOTH: Final = Decimal("2.02")


class Length(Protocol):
    """What can be added, subtracted and multiplied by a constant: a decimal, or a number of a rule."""

    def __add__(self, other: Any, /) -> Self:
        """Add."""

    def __sub__(self, other: Any, /) -> Self:
        """Subtract."""

    def __mul__(self, factor: Any, /) -> Self:
        """Multiply."""


L = TypeVar("L", bound=Length)


def capacity_needed(largest_ring: L, smallest_ring: L, largest_cog: L, smallest_cog: L) -> L:
    """Return the teeth of slack that a rear derailleur has to take up: both differences together.

    >>> capacity_needed(Decimal(44), Decimal(24), Decimal(34), Decimal(12))
    Decimal('42')
    """
    return (largest_ring - smallest_ring) + (largest_cog - smallest_cog)


def sideways(pull: L, ratio: Decimal) -> L:
    """Return how far a derailleur goes sideways for one click.

    >>> sideways(Decimal("2.6"), Decimal("1.4"))
    Decimal('3.64')
    """
    return pull * ratio


def error_at_the_ends(step: L, pitch: L, cogs: int) -> L:
    """Return how far the derailleur is off at the outer cogs once it is set to the middle of a cassette.

    ``step`` is the sideways way of one click. Below 0: the steps are too short.

    >>> error_at_the_ends(Decimal("4.76"), Decimal("4.80"), 8)
    Decimal('-0.140')
    """
    return (step - pitch) * (Decimal(cogs - 1) / 2)


def errors(step: Decimal, pitch: Decimal, cogs: int) -> tuple[Decimal, ...]:
    """Return how far the derailleur is off at each cog, from the smallest, once it is set to the middle of a cassette.

    Above 0 it stands too far in, towards the wheel.

    >>> errors(Decimal("5.0"), Decimal("4.8"), 3)
    (Decimal('-0.2'), Decimal('0.0'), Decimal('0.2'))
    """
    return tuple((step - pitch) * (Decimal(2 * place - cogs + 1) / 2) for place in range(cogs))


def ring_lower_by(teeth: L, than: L) -> L:
    """Return how much lower the tip of a ring lies than that of a larger one, in millimetres.

    >>> ring_lower_by(Decimal(50), Decimal(53))
    Decimal('6.06')
    """
    return (than - teeth) * RADIUS_A_TOOTH
