"""Reading the files of the library: every key, type and pattern checked, nothing left out in silence.

In: one table of ``interfaces/*.toml``. Out: its rows (see ``interface``), or pydantic's error with every fault.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal
from typing import Annotated, Any, Final

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict

from catalog_schema.interface import AdapterKind, Family, Interface, Phrase, Reading, Row, Table, TradeFigure
from catalog_schema.records import PORT_KINDS
from catalog_schema.source import Grounds, Source

_ROW_ID: Final = re.compile(r"[a-z0-9]+(?:[.\-][a-z0-9]+)*")
_GROUND_KEYS: Final = tuple(f.name for f in fields(Grounds))
#: What a table must give although the record has a default for it.
_NEEDED: Final[Mapping[type[Row], tuple[str, ...]]] = {
    Family: ("of",),
    TradeFigure: ("title",),
    Table: ("title", "columns", "cells"),
    AdapterKind: ("title", "bridges"),
}

#: No row takes keys that it does not know.
for _record in (Source, Grounds, Reading, Interface, Family, TradeFigure, Table, AdapterKind, Phrase):
    setattr(_record, "__pydantic_config__", ConfigDict(extra="forbid"))  # noqa: B010


def _gathered(raw: Any) -> Any:
    """Return a row's table with its grounds, and with its sides, in tables of their own."""
    if not isinstance(raw, dict):
        return raw
    own = {k: v for k, v in raw.items() if k not in _GROUND_KEYS}
    return {**own, "grounds": {k: raw[k] for k in _GROUND_KEYS if k in raw}}


def _with_sides(raw: Any) -> Any:
    if not isinstance(raw, dict):
        return raw
    own = {k: v for k, v in raw.items() if k not in PORT_KINDS}
    return {**own, "sides": {k: v for k, v in raw.items() if k in PORT_KINDS}}


def _checked(row: Row) -> Row:
    if len(row.id) > 60 or not _ROW_ID.fullmatch(row.id):
        raise ValueError(f"expected an id of small letters, digits, points and hyphens, found {row.id!r}")
    if lacking := [name for name in _NEEDED.get(type(row), ()) if not getattr(row, name)]:
        raise ValueError(f"a row of this kind needs {', '.join(lacking)}")
    if isinstance(row, Table) and any(len(cells) != len(row.columns) for cells in row.cells):
        raise ValueError(f"every row of the table must have {len(row.columns)} cells")
    return row


def _titled(source: Source) -> Source:
    if len(source.title) < 3 or len(source.publisher) < 2:
        raise ValueError("a source has a title and a publisher")
    return source


_ROW: Final = (BeforeValidator(_gathered), AfterValidator(_checked))


class Vocabulary(BaseModel):
    """Plain words for a figure, with other spellings; they state no figure and need no source.

    An ``open`` one takes any other word as it stands: codes of makers, of which the library lists some.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    of: tuple[str, ...]
    words: dict[str, tuple[str, ...]] = {}
    open: bool = False


class AreaFile(BaseModel):
    """One file of the library, as read."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: dict[str, Annotated[Source, AfterValidator(_titled)]] = {}
    interface: tuple[Annotated[Interface, BeforeValidator(_with_sides), *_ROW], ...] = ()
    family: tuple[Annotated[Family, *_ROW], ...] = ()
    figure: tuple[Annotated[TradeFigure, *_ROW], ...] = ()
    table: tuple[Annotated[Table, *_ROW], ...] = ()
    adapter: tuple[Annotated[AdapterKind, *_ROW], ...] = ()
    vocabulary: tuple[Vocabulary, ...] = ()
    phrase: tuple[Phrase, ...] = ()
    #: port kind -> figure -> the least and the greatest that it can be at all
    plausible: dict[str, dict[str, tuple[Decimal, Decimal]]] = {}
    #: port kind -> figure -> pairs: the round number that a code of the trade prints, and what it stands for
    rounded: dict[str, dict[str, tuple[tuple[Decimal, Decimal], ...]]] = {}
