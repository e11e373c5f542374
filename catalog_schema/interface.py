"""The rows of the interface library: what the trade calls a standard, a family, a usual figure, an adapter.

In: tables of ``interfaces/*.toml``. Out: frozen rows, each with its grounds. A row of the library is the only place
where a figure of the trade is written down; rules name rows, they hold no figures of their own.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from catalog_schema.records import PORT_KINDS
from catalog_schema.source import Grounds

RowId = Annotated[str, Field(pattern=r"^[a-z0-9]+(?:[.\-][a-z0-9]+)*$", max_length=60)]

_GROUND_KEYS = tuple(Grounds.model_fields)


class Row(BaseModel):
    """What every row has: an id, names, and why it is believed."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    id: RowId
    names: tuple[str, ...] = ()
    grounds: Grounds

    @model_validator(mode="before")
    @classmethod
    def _gather_grounds(cls, raw: Any) -> Any:
        if isinstance(raw, dict) and "grounds" not in raw:
            rest = {k: v for k, v in raw.items() if k not in _GROUND_KEYS}
            return {**rest, "grounds": {k: raw[k] for k in _GROUND_KEYS if k in raw}}
        return raw


class Reading(BaseModel):
    """A second figure that another source gives for the same thing; kept, never used to decide."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    figure: str
    value: str
    sources: tuple[str, ...] = ()
    note: str = ""


class Interface(Row):
    """A named fit of the trade. ``sides`` holds, for each port kind that it describes, the figures it settles.

    ``tolerance`` gives, for a figure, how far a measurement may be from the row and still mean this row. ``place`` is
    ``front`` or ``rear`` where the trade uses the name at that end of the bicycle only.
    """

    place: str = ""
    sides: dict[str, dict[str, Any]]
    tolerance: dict[str, Decimal] = {}
    readings: tuple[Reading, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _gather_sides(cls, raw: Any) -> Any:
        if isinstance(raw, dict) and "sides" not in raw:
            rest = {k: v for k, v in raw.items() if k not in PORT_KINDS}
            return {**rest, "sides": {k: v for k, v in raw.items() if k in PORT_KINDS}}
        return raw


class Family(Row):
    """A word that stands for a shape without published dimensions (a spline, a thread, a bolt pattern).

    ``of`` lists the figures (``port_kind.field``) that may hold the word; the word itself is the row's id.
    """

    of: tuple[str, ...]


class TradeFigure(Row):
    """A figure of the trade that belongs to no single part: a band, a usual depth, a torque, a practice.

    Values carry their unit in the key (``from_mm``, ``to_mm``, ``max_nm``, ``teeth``).
    """

    title: str
    values: dict[str, Decimal] = {}


class Table(Row):
    """A table of the trade with named columns, such as tyre widths on rim widths; an empty cell is None."""

    title: str
    columns: tuple[str, ...]
    cells: tuple[tuple[Decimal | str | None, ...], ...]

    @model_validator(mode="after")
    def _rectangular(self) -> Table:
        if any(len(r) != len(self.columns) for r in self.cells):
            raise ValueError(f"every row of the table must have {len(self.columns)} cells")
        return self


class AdapterKind(Row):
    """A kind of adapter that the trade knows. ``bridges`` is the joint whose gap it closes, ``slot`` where it goes.

    ``pairs`` are the gaps that it is made for, each with the figures of both sides (an empty tuple: any gap that
    the rule calls bridgeable). ``effects`` are closed words that other joints and the bench sheet read.
    """

    title: str
    bridges: str
    slot: str = ""
    pairs: tuple[dict[str, Decimal | str], ...] = ()
    limits: str = ""
    caution: str = ""
    effects: tuple[str, ...] = ()


class Vocabulary(BaseModel):
    """Plain words for a figure, with other spellings; they state no figure and need no source."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    of: tuple[str, ...]
    words: dict[str, tuple[str, ...]]


class Phrase(BaseModel):
    """A form in which a figure is printed on a box, such as ``{holes}h``; braces hold names of figures of ``port``.

    On a side that stands for several parts a ``weak`` one waits until no other part understands the words.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    kinds: tuple[str, ...]
    port: str
    form: str
    sets: dict[str, str] = {}
    weak: bool = False


class AreaFile(BaseModel):
    """One file of the library, as read."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    source: dict[str, Any] = {}
    interface: tuple[Interface, ...] = ()
    family: tuple[Family, ...] = ()
    figure: tuple[TradeFigure, ...] = ()
    table: tuple[Table, ...] = ()
    adapter: tuple[AdapterKind, ...] = ()
    vocabulary: tuple[Vocabulary, ...] = ()
    phrase: tuple[Phrase, ...] = ()
    #: port kind -> figure -> the least and the greatest that it can be at all
    plausible: dict[str, dict[str, tuple[Decimal, Decimal]]] = {}


def fields_of(key: str) -> list[tuple[str, str]]:
    """Return the (port kind, figure) pairs that ``port_kind.figure`` means; ``*`` stands for every port kind."""
    kind, _, name = key.partition(".")
    kinds = list(PORT_KINDS) if kind == "*" else [kind]
    return [(k, name) for k in kinds if k in PORT_KINDS and name in PORT_KINDS[k].field_names()] or [(kind, name)]
