"""Ports of a built wheel: the wires of its spokes, how they are laced, and their nipples."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Figure, Word


class SpokeWire(Port):
    """The spokes of one wheel.

    ``head`` is the end at the hub; ``elbow_mm`` the wire there, ``blade_mm`` the width of a flat spoke. ``thread`` is
    the thread at the rim. Lengths are from the bend (a straight one: from under its head) to the tip, side by side.
    """

    head: Word = None
    elbow_mm: Figure = None
    blade_mm: Figure = None
    thread: Word = None
    count: Count = None
    left_length_mm: Figure = None
    right_length_mm: Figure = None


class Lacing(Port):
    """How the spokes of a wheel lie.

    ``crosses`` is how many spokes of its own side each spoke crosses, ``left_crosses`` and ``right_crosses`` where the
    sides differ; 0 is radial. ``rim_left_mm`` is how far the middle of the rim stands to the left of the middle between
    the end faces of the hub, below 0 to the right.
    """

    crosses: Count = None
    left_crosses: Count = None
    right_crosses: Count = None
    rim_left_mm: Figure = None


class NippleBody(Port):
    """A nipple: ``thread`` inside, ``body_dia_mm`` the round body that passes the rim, ``seat`` what is under it."""

    thread: Word = None
    body_dia_mm: Figure = None
