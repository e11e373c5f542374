"""Ports of a chain without a derailleur: how it is tightened; and of guides that keep a chain on one ring."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Bound, Span, Word


class ChainAdjuster(Port):
    """How a frame lets a chain be tightened without a derailleur: ``form`` is none where the wheel has one place."""

    form: Word = None


class TensionerArm(Port):
    """A sprung arm that takes up the slack of a chain."""

    form: Word = None


class GuideMount(Port):
    """The place for a chain guide on a frame."""

    form: Word = None


class GuideFoot(Port):
    """How a chain guide is held, and the rings that it reaches round."""

    form: Word = None
    least_ring_teeth: Bound = None
    largest_ring_teeth: Bound = None


class MotorMount(Port):
    """The place of a motor on a frame: ``form`` is a cradle with bolts for a motor, or the plain shell."""

    form: Word = None


class MotorFoot(Port):
    """How a motor at the cranks is held: by the bolts of its own frame, or in a plain bottom bracket shell.

    ``shell_mm`` are the widths of shell that it goes through, with its spacers; ``thread`` is the shell that its tube
    fills, by the name of its thread.
    """

    form: Word = None
    shell_mm: Span = None
    thread: Word = None


class MotorSpindle(Port):
    """The spindle of a motor, on which the crank arms sit."""

    form: Word = None
