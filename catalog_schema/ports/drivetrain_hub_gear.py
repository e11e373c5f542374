"""Ports of a hub with gears inside: what it is shifted by, and the piece that its cable pulls at."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Word


class HubGear(Port):
    """The gears inside a rear hub.

    ``steps`` is stepped, or stepless where the ratio glides; ``speeds`` the number of gears, where there are steps.
    ``family`` is the word for what the lever has to pull, or say to a motor; ``action`` is cable or motor. ``piece`` is
    the kind of piece at the hub that the cable is held in, ``piece_brought`` whether it comes with the hub.
    """

    steps: Word = None
    speeds: Count = None
    family: Word = None
    action: Word = None
    piece: Word = None
    piece_brought: Word = None


class HubGearPiece(Port):
    """What the cable is held in at a hub gear: ``family`` is the kind of hub that it goes on."""

    family: Word = None
