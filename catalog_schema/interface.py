"""The rows of the interface library: what the trade calls a standard, a family, a usual figure, an adapter.

In: what ``interface_reading`` has read from ``interfaces/*.toml``. Out: frozen rows, each with its grounds. A row
is the only place where a figure of the trade is written down; rules name rows, they hold no figures of their own.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from catalog_schema.lean import dataclass, field
from catalog_schema.records import PORT_KINDS
from catalog_schema.source import Grounds


@dataclass(frozen=True)
class Row:
    """What every row has: an id, names, and why it is believed."""

    id: str
    grounds: Grounds
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Reading:
    """A second figure that another source gives for the same thing; kept, never used to decide."""

    figure: str
    value: str
    sources: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Interface(Row):
    """A named fit of the trade. ``sides`` holds, for each port kind that it describes, the figures it settles.

    ``tolerance`` gives, for a figure, how far a measurement may be from the row and still mean this row. ``place`` is
    ``front`` or ``rear`` where the trade uses the name at that end of the bicycle only.
    """

    place: str = ""
    sides: dict[str, dict[str, Any]] = field(default_factory=dict)
    tolerance: dict[str, Decimal] = field(default_factory=dict)
    readings: tuple[Reading, ...] = ()


@dataclass(frozen=True)
class Family(Row):
    """A word that stands for a shape without published dimensions (a spline, a thread, a bolt pattern).

    ``of`` lists the figures (``port_kind.field``) that may hold the word; the word itself is the row's id.
    """

    of: tuple[str, ...] = ()


@dataclass(frozen=True)
class TradeFigure(Row):
    """A figure of the trade that belongs to no single part: a band, a usual depth, a torque, a practice.

    Values carry their unit in the key (``from_mm``, ``to_mm``, ``max_nm``, ``teeth``). ``beside`` is the joint on whose
    page it is told, where no rule reads it.
    """

    title: str = ""
    values: dict[str, Decimal] = field(default_factory=dict)
    beside: str = ""


@dataclass(frozen=True)
class Table(Row):
    """A table of the trade with named columns, such as tyre widths on rim widths; an empty cell is None."""

    title: str = ""
    columns: tuple[str, ...] = ()
    cells: tuple[tuple[Decimal | str | None, ...], ...] = ()
    beside: str = ""


@dataclass(frozen=True)
class AdapterKind(Row):
    """A kind of adapter that the trade knows. ``bridges`` is the joint whose gap it closes, ``slot`` where it goes.

    ``pairs`` are the gaps that it is made for, each with the figures of both sides (an empty tuple: any gap that
    the rule calls bridgeable). ``effects`` are closed words that other joints and the bench sheet read.
    """

    title: str = ""
    bridges: str = ""
    slot: str = ""
    pairs: tuple[dict[str, Decimal | str], ...] = ()
    limits: str = ""
    caution: str = ""
    effects: tuple[str, ...] = ()


@dataclass(frozen=True)
class Phrase:
    """A form in which a figure is printed on a box, such as ``{holes}h``; braces hold names of figures of ``port``.

    What ``sets`` gives may repeat a hole. On a side for several parts a ``weak`` one waits until no other part
    understands the words. An ``unread`` one is known, and no joint reads it (the width of a handlebar). One that
    ``means`` other tokens says what they say together (``68x113``: a shell of 68, a spindle of 113); its port is empty.
    """

    kinds: tuple[str, ...]
    port: str
    form: str
    sets: dict[str, str] = field(default_factory=dict)
    weak: bool = False
    unread: bool = False
    means: tuple[str, ...] = ()


def fields_of(key: str) -> list[tuple[str, str]]:
    """Return the (port kind, figure) pairs that ``port_kind.figure`` means; ``*`` stands for every port kind."""
    kind, _, name = key.partition(".")
    kinds = list(PORT_KINDS) if kind == "*" else [kind]
    return [(k, name) for k in kinds if k in PORT_KINDS and name in PORT_KINDS[k].field_names()] or [(kind, name)]
