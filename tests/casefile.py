"""The typed form of a case file: what is promised, and the source that decides it."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from catalog_schema.library import area_of_file

FOLDER = Path(__file__).parent / "cases"


class CaseSource(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    basis: Literal["standard", "published", "common practice", "memory", "arithmetic"]
    title: str = ""
    publisher: str = ""
    url: str = ""


class Case(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Field(pattern=r"^[a-z_]+\.[a-z0-9.\-_+]+$")
    joint: str
    slots: dict[str, Any]
    kind: str = ""
    verdict: Literal["fits", "needs-adapter", "needs-work", "not-known", "no-fit", "unsafe"]
    reason: str = ""
    perhaps: Literal["", "unsafe"] = ""
    remarks: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    because: str = Field(min_length=10, max_length=240)
    source: CaseSource
    status: Literal["agreed", "disputed"] = "agreed"
    comment: str = ""


class CaseFile(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    case: tuple[Case, ...]


def load(path: Path) -> tuple[Case, ...]:
    return CaseFile.model_validate(tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)).case


def files() -> list[Path]:
    return sorted(p for p in FOLDER.glob("*.toml") if area_of_file(p.stem))
