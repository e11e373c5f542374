"""Ports of the seat: seat tube, seatpost, collar, saddle."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Figure, FigureOrChoice, Word


class SeatTube(Port):
    """The frame's seat tube at its top, or the inside of a sleeve. ``outside_mm`` is what the collar goes round.

    ``joint_depth_mm`` is how far below the collar the lowest edge of the top tube joint lies; ``insertion_min_mm`` and
    ``insertion_max_mm`` are the least and greatest depth of a post that the frame's maker prints. ``length_mm`` is from
    the middle of the bottom bracket to the top of the collar; ``cable_port`` is whether a cable can come in from below.
    ``sleeve`` is the word of the frame's maker on a sleeve there.
    """

    bore_mm: Figure = None
    outside_mm: Figure = None
    section: Word = None
    material: Word = None
    joint_depth_mm: Figure = None
    insertion_min_mm: Bound = None
    insertion_max_mm: Bound = None
    length_mm: Figure = None
    cable_port: Word = None
    sleeve: Word = None


class PostShaft(Port):
    """The part of a seatpost that goes into the frame, or the outside of a sleeve.

    ``mark_mm`` is from the lower end to the mark of the least depth; ``inserted_mm`` is how deep the post sits as set
    up: the mechanic's choice, so what is asked of it is asked only once he has made it. So is ``wanted_out_mm``, from
    the collar to the middle of the rails at the rider's height. Of a dropper, ``length_mm`` is fully out, ``travel_mm``
    how far it goes down, ``least_out_mm`` from the lower edge of its own collar to the rails, fully out, ``below_mm``
    what hangs under its lower end (actuator and bend of the cable), ``routing`` where cable or hose leaves, ``action``
    what works it, ``cable_head`` the end at which the head of the cable sits.
    """

    dia_mm: Figure = None
    section: Word = None
    material: Word = None
    style: Word = None
    length_mm: Figure = None
    mark_mm: Bound = None
    inserted_mm: Figure = None
    travel_mm: Figure = None
    least_out_mm: Figure = None
    wanted_out_mm: Figure = None
    below_mm: Figure = None
    routing: Word = None
    action: Word = None
    cable_head: Word = None
    torque_nm: Bound = None


class CollarBand(Port):
    """The inside of a seat collar, or of a liner for one."""

    bore_mm: Figure = None
    closing: Word = None
    torque_nm: Bound = None


class SaddleHead(Port):
    """The clamp of a seatpost for the saddle.

    The figures are of the rails that its jaws are cut for; ``jaws`` says whether these close from above and below or
    from the sides.
    """

    form: Word = None
    rail_width_mm: Figure = None
    rail_height_mm: FigureOrChoice = None
    jaws: Word = None
    torque_nm: Bound = None


class SaddleMount(Port):
    """The underside of a saddle. The figures are of one rail where the jaws sit; ``material`` is that of the rails.

    ``height_mm`` is from the middle of the rails to the top of the saddle. ``wanted_mm`` is the height that the rider
    wants, from the middle of the bottom bracket to the top of the saddle.
    """

    form: Word = None
    rail_width_mm: Figure = None
    rail_height_mm: Figure = None
    material: Word = None
    height_mm: Figure = None
    wanted_mm: Figure = None


class RemoteDrive(Port):
    """What the remote of a dropper post works by, where its cable's head sits, and which place on the bar it takes."""

    action: Word = None
    cable_head: Word = None
    sits: Word = None
