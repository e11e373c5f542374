"""Ports of a toothed belt in place of a chain: the belt, the sprockets it runs on, and the way through the frame."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Figure, Word


class BeltStrap(Port):
    """A toothed belt.

    ``profile`` is the maker's word for its teeth; ``guide`` is centre for a belt with a channel along its middle,
    flange for one without, which rims of the sprockets keep on; ``pitch_mm`` is from tooth to tooth. ``loop`` is
    endless, or joined for a belt that can be opened. ``drives`` is wheel, or timing for one between two pairs of
    cranks. ``teeth`` counts those of the belt, once round.
    """

    profile: Word = None
    guide: Word = None
    pitch_mm: Figure = None
    loop: Word = None
    drives: Word = None
    teeth: Count = None


class BeltTrack(Port):
    """The teeth of a sprocket as a belt meets them.

    ``profile`` is the maker's word for them; ``guide`` is centre for a ridge round the middle, flange for rims at the
    side, none for the pointed teeth of a chain; ``pitch_mm`` is from tooth to tooth.
    """

    profile: Word = None
    guide: Word = None
    pitch_mm: Figure = None


class BeltWay(Port):
    """How an endless belt gets into the rear triangle of a frame.

    ``form`` is split where a stay or the dropout on that side opens, raised where the chain stay passes above the belt,
    open where the maker sells the frame for belts and does not say how, none where the triangle is closed.
    """

    form: Word = None
