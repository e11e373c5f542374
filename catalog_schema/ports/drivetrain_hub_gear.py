"""Ports of a hub with gears inside: what it is shifted by, and the piece that its cable pulls at."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Count, Word


class HubGear(Port):
    """The gears inside a rear hub.

    ``steps`` is stepped, or stepless where the ratio glides; ``speeds`` the number of gears, where there are steps.
    ``family`` is the word for what the lever has to pull, or say to a motor; ``action`` is cable, motor, or pedals for
    one that is shifted by pedalling backwards. ``piece`` is the kind of piece at the hub that the cable is held in,
    ``piece_brought`` whether it comes with the hub. ``least_ratio`` is the fewest turns of its sprocket for one of the
    cranks that its maker allows, a lone rider of ordinary weight taken.
    """

    steps: Word = None
    speeds: Count = None
    family: Word = None
    action: Word = None
    piece: Word = None
    piece_brought: Word = None
    least_ratio: Bound = None


class HubGearPiece(Port):
    """What the cable is held in at a hub gear: ``family`` is the kind of hub that it goes on."""

    family: Word = None
