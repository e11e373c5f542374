"""Sizes of a mounted tyre and the room around it. Pure arithmetic; lengths are decimals or figures of a rule.

In: lengths in millimetres. Out: lengths in millimetres. The factors (growth a millimetre of rim, added section height)
are rows of the library and come in as arguments, so each formula only says how they are used.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Protocol, TypeVar

L = TypeVar("L", bound="Length")


class Length(Protocol):
    """What a formula needs of a length: sums, differences, multiples."""

    def __add__(self: L, other: L, /) -> L:
        """Return the sum."""

    def __sub__(self: L, other: L, /) -> L:
        """Return the difference."""

    def __mul__(self: L, factor: Decimal, /) -> L:
        """Return a multiple."""

    def __truediv__(self: L, divisor: int, /) -> L:
        """Return a part."""


def mounted_width(width: L, rim: L, design_rim: L, growth: Decimal) -> L:
    """Return how wide a tyre stands on a rim: it grows by ``growth`` for each millimetre over the rim it was drawn for.

    >>> mounted_width(Decimal(28), Decimal(23), Decimal(19), Decimal("0.5"))
    Decimal('30.0')
    """
    return width + (rim - design_rim) * growth


def side_room(gap: L, width: L) -> L:
    """Return the room on each side of a tyre that runs in the middle of a gap.

    >>> side_room(Decimal(40), Decimal(32))
    Decimal('4')
    """
    return (gap - width) / 2


def radius(bead_seat: L, section_height: L) -> L:
    """Return the radius of a mounted tyre from its bead seat diameter and the height of its section.

    >>> radius(Decimal(622), Decimal(28))
    Decimal('339')
    """
    return bead_seat / 2 + section_height


def outside_diameter(bead_seat: L, section_height: L) -> L:
    """Return the outside diameter of a mounted tyre.

    >>> outside_diameter(Decimal(622), Decimal(28))
    Decimal('678')
    """
    return bead_seat + section_height * Decimal(2)


def widest(width: L, least_room: L, wanted_room: L) -> L:
    """Return the widest tyre that leaves ``wanted_room`` where another one of ``width`` leaves ``least_room``.

    As "How Wide a Tire Can I Run?", Jan Heine, works it out.

    >>> widest(Decimal(29), Decimal(5), Decimal(3))
    Decimal('33')
    """
    return width + (least_room - wanted_room) * Decimal(2)


def valve_wanted(rim_depth: L, beyond: L) -> L:
    """Return the length of valve that stands ``beyond`` out of a rim.

    >>> valve_wanted(Decimal(25), Decimal(15))
    Decimal('40')
    """
    return rim_depth + beyond


def tape_wanted(inner_width: L, over: L) -> L:
    """Return the width of airtight tape that lies from shelf to shelf and ``over`` mm up the walls in all.

    >>> tape_wanted(Decimal(21), Decimal(2))
    Decimal('23')
    """
    return inner_width + over


def tape_over_holes(hole: L, margin: L) -> L:
    """Return the least width of tape that covers the holes and ``margin`` on each side of them.

    >>> tape_over_holes(Decimal("8.5"), Decimal(2))
    Decimal('12.5')
    """
    return hole + margin * Decimal(2)


def pressure_ceiling(limits: Sequence[Decimal]) -> Decimal:
    """Return the highest pressure that all limits allow: the lowest of them.

    >>> pressure_ceiling([Decimal(7), Decimal(6), Decimal(5)])
    Decimal('5')

    Raises:
        ValueError: nobody stated a limit, so there is no ceiling to name.
    """
    if not limits:
        raise ValueError("no limit is stated")
    return min(limits)


def valve_showing(length: L, rim_depth: L) -> L:
    """Return how much of a valve stands out of the rim.

    >>> valve_showing(Decimal(40), Decimal(25))
    Decimal('15')
    """
    return length - rim_depth
