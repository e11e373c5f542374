"""Ports of the drivetrain that issue joints need first: cassette, spacer, lockring."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Figure, Word


class CassetteBore(Port):
    """The inside of a cassette. ``seat`` is the family that decides how much body length it asks for."""

    spline: Word = None
    seat: Word = None
    seat_length_mm: Figure = None
    speeds: Count = None
    smallest_cog_teeth: Count = None
    largest_cog_teeth: Count = None


class CassetteSpacer(Port):
    """Rings behind a cassette."""

    thickness_mm: Figure = None


class CassetteLockring(Port):
    """The ring that clamps a cassette on its body."""

    thread: Word = None
