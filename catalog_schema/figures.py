"""A figure of a part as rules meet it: its value, and what settled it.

In: what ``resolve`` works out. Out: frozen values. One part has several *variants* only where a name on its box is
ambiguous: the truth is then one of them, and nobody knows which.
"""

from __future__ import annotations

from collections.abc import Mapping

from catalog_schema.lean import dataclass
from catalog_schema.quantity import Value


@dataclass(frozen=True, slots=True)
class Known:
    """A figure that is known. ``row`` is the library row that settled it, None if the part states it itself.

    ``conflict`` is set when a measurement and a name disagree beyond tolerance; ``named`` is then the name's figure.
    """

    value: Value
    row: str | None = None
    conflict: bool = False
    named: Value | None = None


#: ``port.figure`` -> what is known of it; a figure that is neither named nor stated is absent.
Variant = Mapping[str, Known]
