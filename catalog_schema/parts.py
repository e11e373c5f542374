"""Parts: things with a catalogue number, what slots they fill, and the settings they can be brought into.

In: tables of a catalogue or a list. Out: frozen ``Part`` records whose figures are resolved through the library.
One part is one purchase, one price, one stock count, however many slots it fills.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from catalog_schema.figures import Variant
from catalog_schema.quantity import decimal_of, shown

Offer = Literal["as-shipped", "in-the-box", "sold", "not-sold", "not-stated"]

_PRICE = re.compile(r"(\d+(?:[.,]\d{1,2})?)\s*([A-Z]{3})")


class Price(BaseModel):
    """An amount in minor units (cents) of a currency."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    minor: int = Field(ge=0)
    currency: str = Field(pattern=r"^[A-Z]{3}$")


def parse_price(raw: object) -> object:
    """Read a price such as ``"45.90 EUR"``."""
    if isinstance(raw, str):
        match = _PRICE.fullmatch(raw.strip())
        if match is None:
            raise ValueError(f"expected a price such as '45.90 EUR', found {shown(raw)}")
        minor = decimal_of(match.group(1), "an amount") * 100
        return {"minor": int(minor), "currency": match.group(2)}
    return raw


class Identity(BaseModel):
    """Who made a part, what it is called, and what the shop knows of it. A missing price is not a price of 0."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    number: str = ""
    maker: str = ""
    model: str = ""
    version: str = ""
    gtin: str = Field(default="", pattern=r"^(\d{8}|\d{12,14})?$")
    price: Annotated[Price | None, BeforeValidator(parse_price)] = None
    mass_g: Decimal | None = Field(default=None, ge=0)
    stock: int | None = Field(default=None, ge=0)
    lead_days: int | None = Field(default=None, ge=0)
    pack: int = Field(default=1, ge=1)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Option:
    """One alternative of a settings group: ports that it replaces, by slot, and how one gets it."""

    name: str
    offer: Offer
    number: str = ""
    #: slot -> the variants of the whole record with this option's ports in place
    replaces: Mapping[str, tuple[Variant, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Settings:
    """A group of alternatives of one part, such as its end caps. ``complete``: its maker offers no others."""

    name: str
    complete: bool
    options: tuple[Option, ...]
    #: slot -> ports that the group replaces together
    ports: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Part:
    """A part with its figures. ``together``: it fills all its slots at once; else one of them a piece."""

    identity: Identity
    fills: Mapping[str, tuple[Variant, ...]]
    together: bool = True
    settings: tuple[Settings, ...] = ()
    file: str = ""

    @property
    def number(self) -> str:
        """The catalogue number; empty for a part described on the list itself."""
        return self.identity.number

    @property
    def label(self) -> str:
        """Maker and model, else the number, else nothing."""
        named = " ".join(w for w in (self.identity.maker, self.identity.model, self.identity.version) if w)
        return named or self.identity.number
