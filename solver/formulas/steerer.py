"""How long a steerer has to be: the stack on it, the cut, and what is too much or too little.

In: lengths in mm, as exact decimals or as a rule's numbers (anything that adds and subtracts). Out: the same kind. All
lengths of steerers are measured from the crown seat to the end of the tube.

Sources: the sum of head tube, headset, spacers and stem less a gap under the stem's top is what workshops use (for one,
"Fork Steering Column Length and Sizing", Park Tool, parktool.com). The gap itself is a figure of the library, as is the
greatest one that the standard allows.
"""

from __future__ import annotations

from typing import Any, Protocol, Self, TypeVar


class Length(Protocol):
    """What can be added and subtracted: a decimal, or a number of a rule."""

    def __add__(self, other: Any, /) -> Self:
        """Add a length."""

    def __sub__(self, other: Any, /) -> Self:
        """Take a length away."""


L = TypeVar("L", bound=Length)


def stack(head_tube: L, lower_headset: L, upper_headset: L, spacers: L, stem: L) -> L:
    """Return the height from the crown seat to the top of the stem, or of the spacers on it.

    >>> from decimal import Decimal as D
    >>> stack(D("110.2"), D("10.9"), D("16.5"), D("25.3"), D("40.0"))
    Decimal('202.9')
    """
    return head_tube + lower_headset + upper_headset + spacers + stem


def cut_length(height: L, gap: L) -> L:
    """Return the length to which a steerer is cut so that it ends ``gap`` below the top of the stack.

    >>> from decimal import Decimal as D
    >>> cut_length(D("202.9"), D(3))
    Decimal('199.9')
    """
    return height - gap


def cut_off(steerer: L, height: L, gap: L) -> L:
    """Return how much of a steerer is cut off; below 0, how much it is short of that length.

    >>> from decimal import Decimal as D
    >>> cut_off(D(300), D("202.9"), D(3)), cut_off(D(190), D("202.9"), D(3))
    (Decimal('100.1'), Decimal('-9.9'))
    """
    return steerer - cut_length(height, gap)


def below_top(steerer: L, height: L) -> L:
    """Return how far below the top of the stack a steerer ends; below 0, how far it stands proud.

    >>> from decimal import Decimal as D
    >>> below_top(D(190), D("202.9"))
    Decimal('12.9')
    """
    return height - steerer
