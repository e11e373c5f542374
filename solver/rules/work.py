"""The work at a joint: its steps, and what has to be done before what.

A joint says which steps are done at it and how they stand to other steps; it knows no order of the whole. The bench
sheet puts all steps of all joints in one order that breaks no precedence. So a new joint brings its own work, and
nothing else has to be touched.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from catalog_schema.lean import dataclass, field

#: Figures (``role.port.figure`` or ``slot.port.figure``) and the words or numbers of which each must be one.
Where = Mapping[str, tuple[str | Decimal, ...]]

#: What is done before the bicycle stands on its wheels and is tightened for good.
ON_THE_FLOOR: Final = ("wheel-in", "axle-in", "chain-on", "gears-set", "pedals-on", "lines-on")


@dataclass(frozen=True, slots=True)
class Torque:
    """How tight a bolt of a step is: the figure printed on a part wins, the lowest of several; else the usual range.

    ``row`` holds the usual range, under keys that begin with ``kind``; ``printed`` are figures (``role.port.figure``)
    that may be printed on parts. It is left out if a figure of ``where`` is known to be another word.
    """

    row: str
    printed: tuple[str, ...] = ()
    kind: str = ""
    where: Where = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Note:
    """A piece of practice, a row of the library; not shown if a figure of ``where`` is known to be another word."""

    row: str
    where: Where = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work at a joint.

    ``needs`` are the roles, or slots, that must be filled. It does not arise if a figure of ``where`` is known to be
    another word, if a figure of ``never`` may be one of its words, if one of ``stated`` is not stated, or if the parts
    of ``apart`` (roles or slots) are bought as one. ``tools`` are closed words of the wording, ``uses`` (grease, paste)
    and ``notes`` rows; ``figures`` those of the sheet that are needed here.
    """

    id: str
    needs: tuple[str, ...]
    where: Where = field(default_factory=dict)
    never: Where = field(default_factory=dict)
    apart: tuple[str, ...] = ()
    stated: tuple[str, ...] = ()
    torques: tuple[Torque, ...] = ()
    notes: tuple[Note, ...] = ()
    tools: tuple[str, ...] = ()
    uses: tuple[Note, ...] = ()
    figures: tuple[str, ...] = ()


def notes(*rows: str | Note) -> tuple[Note, ...]:
    """Return practice by row, shown always, or by note."""
    return tuple(Note(r) if isinstance(r, str) else r for r in rows)
