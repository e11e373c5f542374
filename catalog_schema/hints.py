"""How each figure is measured: in words, with which tool, between which two points.

In: ``measuring/<area>.toml`` of this package, read only for the areas asked for. Out: a ``Hint`` for a figure of
a port kind. It knows how to measure and nothing of what fits.
"""

from __future__ import annotations

from functools import cache

from catalog_schema import tables
from catalog_schema.lean import dataclass
from catalog_schema.library import AREAS
from catalog_schema.ports.base import PORT_KINDS

#: Figures that belong to no port: those of a record as a whole, and the bicycle's use.
OTHERS = "record"


@dataclass(frozen=True, slots=True)
class Hint:
    """How a figure is found. ``start`` and ``end`` are the two points; ``look`` says what to look for instead."""

    words: str
    tool: str = ""
    start: str = ""
    end: str = ""
    look: str = ""
    safety: str = ""


def hint(port_kind: str, figure: str) -> Hint:
    """Return the hint for a figure; a figure without one is called by its own name."""
    return find(port_kind, figure) or Hint(figure.rpartition("_")[0].replace("_", " ") or figure)


def find(port_kind: str, figure: str) -> Hint | None:
    """Return the hint for a figure, or None: it stands in the file of its port's area, or else in another's."""
    key = f"{port_kind}.{figure}"
    first = _module_of(port_kind)
    return next((rows[key] for area in (first, *AREAS) if key in (rows := of_area(area))), None)


def _module_of(port_kind: str) -> str:
    port = PORT_KINDS.get(port_kind)
    return port.__module__.rpartition(".")[2] if port is not None else OTHERS


@cache
def of_area(area: str) -> dict[str, Hint]:
    """Return the hints of one area by ``port_kind.figure``: of its own file and of each ``<area>_<part>.toml``."""
    found = {}
    for table in tables.of_area("catalog_schema", "measuring", area):
        for key, row in table.items():
            named = {"start" if k == "from" else "end" if k == "to" else k: str(v) for k, v in row.items()}
            found[key] = Hint(**named)
    return found
