"""Ports of a sprocket that sits on the spindle of the cranks itself, and of the ring that fills its bore."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Figure, Word


class SprocketSeat(Port):
    """How cranks turn a sprocket that sits on their spindle.

    ``drive`` is bolt for an arm with a hole for the sprocket's bolt, pin for the pin of a one-piece crank, spline for
    splines on the spindle, bolt-or-spline for both. ``splines`` is the number of ridges all round.
    """

    drive: Word = None
    splines: Count = None


class SprocketBore(Port):
    """The middle of a sprocket that sits on the spindle itself.

    ``drive`` is what turns it: bolt, pin or spline. ``reducers`` says whether rings for thinner spindles come with it;
    ``splines`` is the number of grooves all round.
    """

    drive: Word = None
    bore_mm: Figure = None
    reducers: Word = None
    splines: Count = None


class SprocketReducer(Port):
    """A ring between a thin spindle and the wide bore of a sprocket."""

    outer_mm: Figure = None
    bore_mm: Figure = None
