"""How deep a seatpost sits, and how high that brings the saddle. Pure arithmetic; lengths in millimetres.

In: lengths along the seat tube, as exact decimals or as a rule's numbers. Out: the same kind. A post is measured from
its lower end to the middle of the saddle's rails, the seat tube from the middle of the bottom bracket to the top of the
collar. It is geometry: the parts lie in one line, so their lengths add up.
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


def saddle_height(tube: L, post: L, depth: L, saddle: L) -> L:
    """Return the height of the saddle's top over the bottom bracket, with the post ``depth`` deep in the tube.

    >>> from decimal import Decimal as D
    >>> saddle_height(D(480), D(350), D(110), D(45))
    Decimal('765')
    """
    return tube + (post - depth) + saddle


def depth_for(height: L, tube: L, post: L, saddle: L) -> L:
    """Return how deep a post sits when the saddle's top is ``height`` over the bottom bracket.

    >>> from decimal import Decimal as D
    >>> depth_for(D(765), D(480), D(350), D(45))
    Decimal('110')
    """
    return tube + post + saddle - height
