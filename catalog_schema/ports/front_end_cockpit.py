"""Ports of what hands and hoses meet: grips, bar ends and their plugs; the way of the hoses; how long a fork may be."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Span, Word


class Grip(Port):
    """Grips or bar tape. ``bar_mm`` is the bar that grips are made for; ``ends`` what closes the ends of the bar."""

    form: Word = None
    bar_mm: FigureOrChoice = None
    ends: Word = None


class BarEnd(Port):
    """The open ends of a handlebar; ``bore_mm`` is their inside, ``bar_ends`` the word of its maker on bar ends."""

    bore_mm: Figure = None
    material: Word = None
    bar_ends: Word = None


class BarPlug(Port):
    """What closes the end of a handlebar, and the bores that it holds in."""

    bore_mm: Span = None


class ForkLength(Port):
    """How long a fork is: ``axle_to_crown_mm`` in a straight line, unloaded; ``travel_mm`` is 0 for a rigid one."""

    axle_to_crown_mm: Figure = None
    travel_mm: Figure = None


class ForkRoom(Port):
    """The forks that the maker of a frame prints.

    ``original_mm`` is the length of the fork that it came with or was drawn for, ``original_travel_mm`` its travel.
    """

    travel_max_mm: Bound = None
    axle_to_crown_min_mm: Bound = None
    axle_to_crown_max_mm: Bound = None
    original_mm: Figure = None
    original_travel_mm: Figure = None


class HoseWay(Port):
    """Whether hoses pass through here, and the maker's word for parts that belong together for it."""

    path: Word = None
    system: Word = None
