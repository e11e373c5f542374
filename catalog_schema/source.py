"""Where a figure comes from. In: rows of the library. Out: frozen records; no figure is without one."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

Basis = Literal["standard", "published", "common practice", "memory", "arithmetic"]
Confidence = Literal["high", "medium", "low"]
#: ``opened``: read again by us. ``excerpt``: only part of it could be read. ``second-hand``: taken over from
#: somebody who read it. ``none``: there is no page (common practice, memory, arithmetic).
Seen = Literal["opened", "excerpt", "second-hand", "none"]


class Source(BaseModel):
    """A page, a book or a standard that states a figure."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    title: str = Field(min_length=3)
    publisher: str = Field(min_length=2)
    url: str = ""
    year: str = ""


class Grounds(BaseModel):
    """Why a figure of the library is believed. ``sources`` are ids of the same file's source table.

    ``searched`` tells, for a row from memory, what was looked for in vain.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    basis: Basis
    confidence: Confidence
    seen: Seen
    sources: tuple[str, ...] = ()
    note: str = ""
    searched: str = ""
