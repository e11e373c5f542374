"""Ports of what a rear hub drives by, beside a cassette: freewheels, single sprockets and their lockring."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Figure, Numbers, Word


class FreewheelBore(Port):
    """The inside of a screwed-on freewheel; ``thread`` is the nation of its thread.

    The figures of its cogs are those of a cassette; ``spline`` is none, a freewheel having no splines.
    """

    thread: Word = None
    speeds: Count = None
    smallest_cog_teeth: Count = None
    largest_cog_teeth: Count = None
    spline: Word = None
    pitch_mm: Figure = None
    spacing: Word = None
    cog_mm: Figure = None
    tooth_shape: Word = None
    cogs_teeth: Numbers = None


class CogBore(Port):
    """The inside of a single sprocket: the shape that it sits on, and the nation of its thread if it is screwed on."""

    spline: Word = None
    thread: Word = None
    teeth: Count = None


class CogLockring(Port):
    """The ring that is screwed against a fixed sprocket; ``thread`` with its hand."""

    thread: Word = None
    dia_mm: Figure = None
