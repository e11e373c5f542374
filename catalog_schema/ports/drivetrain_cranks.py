"""Ports of bottom bracket, cranks, chainrings and pedals."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Count, Figure, FigureOrChoice, Word


class BottomBracketShell(Port):
    """The tube of a frame in which the cranks turn, or the inside of an insert in it.

    ``thread`` is "none" where bearings are pressed in; ``drive_hand`` the hand of the thread on the chain's side;
    ``bore_mm`` the bore of a shell without thread; ``width_mm`` over the two faces; ``drive_mm`` from the middle of the
    frame to the face on the chain's side; ``inside`` is clear, or what stands into the room between the two faces.
    """

    thread: Word = None
    drive_hand: Word = None
    bore_mm: Figure = None
    width_mm: Figure = None
    drive_mm: Figure = None
    inside: Word = None


class ChainringRoom(Port):
    """The largest chainrings that the maker of a frame prints: the only or outer one, and the inner one."""

    largest_teeth: Bound = None
    largest_inner_teeth: Bound = None


class BearingCups(Port):
    """The side of a bottom bracket that sits in the frame.

    ``form`` says how it holds; ``width_mm`` are the shells that it is made for; ``out_mm`` how far its bearing covers
    stand outside the shell, on each side; ``packing_mm`` how much its maker lets lie behind the cups, both together.
    """

    form: Word = None
    thread: Word = None
    drive_hand: Word = None
    bore_mm: Figure = None
    width_mm: FigureOrChoice = None
    drive_mm: Figure = None
    out_mm: Figure = None
    packing_mm: Figure = None


class BearingSeat(Port):
    """The side of a bottom bracket that carries the cranks: bearings for a spindle, or a spindle of its own.

    ``drive_mm`` and ``non_drive_mm`` are the bores of the bearings; ``length_mm`` the length of its own spindle;
    ``for_width_mm`` the shell that a loose spindle is made for; ``bolt`` the thread of its ends, ``bolts`` whether they
    come with it.
    """

    form: Word = None
    drive_mm: Figure = None
    non_drive_mm: Figure = None
    length_mm: Figure = None
    for_width_mm: Figure = None
    bolt: Word = None
    bolts: Word = None


class CrankSpindle(Port):
    """The side of the cranks that turns in the bottom bracket: a spindle of their own, or the hole for one.

    ``drive_mm`` and ``non_drive_mm`` are the thickness of the spindle; ``over_mm`` the room between the arms, over the
    covers of the bearings; ``length_mm`` the length of the separate spindle that the cranks ask for; ``cotter_mm`` the
    hole for the cotter in the arm.
    """

    form: Word = None
    drive_mm: Figure = None
    non_drive_mm: Figure = None
    over_mm: Figure = None
    length_mm: Figure = None
    bolts: Word = None
    cotter_mm: Figure = None


class SpindleBolt(Port):
    """The bolts, nuts or cotters that hold the cranks on a spindle; ``cotter_mm`` is the thickness of a cotter."""

    thread: Word = None
    cotter_mm: Figure = None


class Spider(Port):
    """Where a crank carries its only or outer chainring.

    ``mount`` is "bolts" for arms with holes, else the word for the shape of a direct mount; ``pattern`` is "even", or
    the word for a pattern with uneven holes.
    """

    mount: Word = None
    bolts: Count = None
    bcd_mm: Figure = None
    pattern: Word = None


class InnerSpider(Port):
    """Where a crank carries its innermost chainring, if that has a circle of its own."""

    bolts: Count = None
    bcd_mm: Figure = None
    pattern: Word = None


class ChainringHoles(Port):
    """How a chainring is held. ``hole_mm`` is from one hole to its neighbour, centre to centre."""

    mount: Word = None
    bolts: Count = None
    bcd_mm: Figure = None
    pattern: Word = None
    hole_mm: Figure = None
    position: Word = None


class ChainringTeeth(Port):
    """The teeth of a chainring."""

    teeth: Count = None


class CrankArm(Port):
    """The arms of the cranks. ``length_mm`` is from the middle of the spindle to the middle of the pedal."""

    length_mm: Figure = None
    torque_nm: Bound = None


class PedalEye(Port):
    """The hole for a pedal in a crank arm; ``side`` where one arm alone is meant."""

    thread: Word = None
    side: Word = None


class PedalAxle(Port):
    """The end of a pedal that is screwed in the arm; ``side`` where one pedal alone is meant."""

    thread: Word = None
    side: Word = None
