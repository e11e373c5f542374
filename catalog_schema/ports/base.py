"""What every port has in common, and the register of port kinds.

A port is the side of a part that meets another part. It carries figures (see ``quantity``) and may name an
interface of the library by any of its trade names under ``standard``; ``catalog_schema.resolve`` then adds the
figures that the name settles. A port written as one string is its ``standard``; ``"none"`` says that the part
has no such side (a hub without a rotor mount). ``torque_nm``, wherever it stands, is what is printed for its bolts.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from catalog_schema.frozen import Frozen, Reads
from catalog_schema.quantity import NONE, READERS, shown

#: Names as printed on the box; each settles figures through the library.
Standard = tuple[str, ...]

PORT_KINDS: Final[dict[str, type[Port]]] = {}


def _standard(raw: object) -> Standard:
    if isinstance(raw, str):
        return (raw,)
    if isinstance(raw, list | tuple) and all(isinstance(r, str) for r in raw):
        return tuple(raw)
    raise ValueError(f"expected a trade name or a list of them, found {shown(raw)}")


def _flag(raw: object) -> bool:
    if isinstance(raw, bool):
        return raw
    raise ValueError(f"expected true or false, found {shown(raw)}")


_OTHERS: Final[dict[str, Reads]] = {"Standard": _standard, "bool": _flag}


class Port(Frozen):
    """A side of a part that mates. Every figure may be left out: it is then not stated."""

    standard: Standard = ()
    absent: bool = False

    def __init_subclass__(cls) -> None:
        """Register the port kind."""
        super().__init_subclass__()
        PORT_KINDS[cls.kind] = cls

    @classmethod
    def table_of(cls, raw: Any) -> Any:
        """Return the table of a trade name, or of "none"."""
        if raw == NONE:
            return {"absent": True}
        return {"standard": (raw,)} if isinstance(raw, str) else raw

    @classmethod
    def reader_of(cls, annotation: str) -> Reads:
        """Return what reads a figure with this annotation, which is one of ``quantity.READERS``."""
        return READERS.get(annotation) or _OTHERS[annotation]

    @classmethod
    @cache
    def figure_names(cls) -> tuple[str, ...]:
        """Return the names of the figures of this port kind, in the order of their definition."""
        return tuple(n for n in cls.field_names() if n not in ("standard", "absent"))
