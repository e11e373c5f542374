"""Where a figure comes from. In: rows of the library. Out: frozen records; no figure is without one."""

from __future__ import annotations

from typing import Literal

from catalog_schema.lean import dataclass

Basis = Literal["standard", "published", "common practice", "memory", "arithmetic"]
Confidence = Literal["high", "medium", "low"]
#: ``opened``: read again by us. ``excerpt``: only part of it could be read. ``second-hand``: taken over from
#: somebody who read it. ``none``: there is no page (common practice, memory, arithmetic).
Seen = Literal["opened", "excerpt", "second-hand", "none"]


@dataclass(frozen=True)
class Source:
    """A page, a book or a standard that states a figure."""

    title: str
    publisher: str
    url: str = ""
    year: str = ""


@dataclass(frozen=True)
class Grounds:
    """Why a figure of the library is believed. ``sources`` are ids of the same file's source table.

    ``searched`` tells, for a row from memory, what was looked for in vain.
    """

    basis: Basis
    confidence: Confidence
    seen: Seen
    sources: tuple[str, ...] = ()
    note: str = ""
    searched: str = ""
