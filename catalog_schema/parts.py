"""Parts: things with a catalogue number, what slots they fill, and the settings they can be brought into.

In: tables of a catalogue or a list. Out: frozen ``Part`` records whose figures are resolved through the library.
One part is one purchase, one price, one stock count, however many slots it fills.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Final, Literal

from catalog_schema.figures import Variant
from catalog_schema.frozen import Frozen, Reads
from catalog_schema.lean import dataclass, field
from catalog_schema.quantity import decimal_of, shown

Offer = Literal["as-shipped", "in-the-box", "sold", "not-sold", "not-stated"]

_PRICE = re.compile(r"(\d+(?:[.,]\d{1,2})?)\s*([A-Z]{3})")
_GTIN = re.compile(r"\d{8}|\d{12,14}")


@dataclass(frozen=True, slots=True)
class Price:
    """An amount in minor units (cents) of a currency."""

    minor: int
    currency: str


def parse_price(raw: object) -> Price:
    """Read a price such as ``"45.90 EUR"``."""
    match = _PRICE.fullmatch(raw.strip()) if isinstance(raw, str) else None
    if match is None:
        raise ValueError(f"expected a price such as '45.90 EUR', found {shown(raw)}")
    return Price(int(decimal_of(match.group(1), "an amount") * 100), match.group(2))


def _text(raw: object) -> str:
    if isinstance(raw, str):
        return raw
    raise ValueError(f"expected text, found {shown(raw)}")


def _gtin(raw: object) -> str:
    if isinstance(raw, str) and (not raw or _GTIN.fullmatch(raw)):
        return raw
    raise ValueError(f"expected a GTIN of 8 or 12 to 14 digits, as text, found {shown(raw)}")


def _mass(raw: object) -> Decimal:
    number = decimal_of(raw, "a mass in grams")
    if number < 0:
        raise ValueError(f"expected a mass that is not negative, found {shown(raw)}")
    return number


def _whole(least: int) -> Callable[[object], int]:
    def read(raw: object) -> int:
        if isinstance(raw, int) and not isinstance(raw, bool) and raw >= least:
            return raw
        raise ValueError(f"expected a whole number of at least {least}, found {shown(raw)}")

    return read


Gtin = str
Pieces = int
_READERS: Final[Mapping[str, Reads]] = {
    "str": _text,
    "Gtin": _gtin,
    "Price | None": parse_price,
    "Decimal | None": _mass,
    "int | None": _whole(0),
    "Pieces": _whole(1),
}


class Identity(Frozen):
    """Who made a part, what it is called, and what the shop knows of it. A missing price is not a price of 0."""

    number: str = ""
    maker: str = ""
    model: str = ""
    version: str = ""
    gtin: Gtin = ""
    price: Price | None = None
    mass_g: Decimal | None = None
    stock: int | None = None
    lead_days: int | None = None
    pack: Pieces = 1
    note: str = ""

    @classmethod
    def reader_of(cls, annotation: str) -> Reads:
        """Return what reads a field."""
        return _READERS[annotation]

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Identity) and self._told() == other._told()

    def __hash__(self) -> int:
        return hash(self._told())

    def _told(self) -> tuple[object, ...]:
        return tuple(getattr(self, name) for name in self.field_names())


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
