"""Words on a box that offer another side of the same part: ``end caps 12x142 available``.

In: a kind of part and the words on its box. Out: the other words, and the settings that a catalogue would write for
what is offered (see ``parts``). What follows ``end caps`` is read as the box itself would be; words that mean nothing
there are left where they stand, to be reported.
"""

from __future__ import annotations

import re
from typing import Any, Final

from catalog_schema import boxline
from catalog_schema.library import Library
from catalog_schema.parts import Offer
from catalog_schema.records import Record

#: What is offered, as the trade says it, and the side of the part that it replaces.
_SIDES: Final = {
    "axle": r"(?:other |conversion |changeable )?(?:end ?caps?|ends)",
    "driver": r"(?:other )?(?:freehub bod(?:y|ies)|freehub)",
}
#: How one gets it, as the trade says it.
_HOW: Final[dict[Offer, str]] = {
    "sold": r"available|sold|sold apart|sold separately|for sale|as an option|optional",
    "in-the-box": r"included|supplied|in the box|with it",
}
#: The options of a group that stands on a box: the side as it is named there, and what is offered beside it.
_AS_IT_IS: Final = "as on the box"


def offers(kind: type[Record], box: str, slot: str, library: Library) -> tuple[str, list[dict[str, Any]]]:
    """Return the words of a box less those that offer another side, and the settings that these make."""
    kept: list[str] = []
    found: dict[str, list[dict[str, Any]]] = {}
    for token in boxline.tokens(box):
        for port, words, offer in _read(token):
            values = dict(boxline.read(kind, words, library).placed).get(port) if port in kind.ports() else None
            if values is not None:
                found.setdefault(port, []).append({"name": words, "offer": offer, slot: {port: values}})
                break
        else:
            kept.append(token)
    shipped = {"name": _AS_IT_IS, "offer": "as-shipped"}
    names = {"axle": "end caps", "driver": "freehub body"}
    groups = [{"name": names[p], "complete": True, "options": [shipped, *o]} for p, o in found.items()]
    return (", ".join(kept) if groups else box), groups


def _read(token: str) -> list[tuple[str, str, Offer]]:
    out: list[tuple[str, str, Offer]] = []
    for port, side in _SIDES.items():
        for offer, how in _HOW.items():
            for form in (rf"{side} (?:for |to )?(.+?) (?:{how})", rf"(.+?) {side} (?:{how})"):
                match = re.fullmatch(form, token.strip(), re.IGNORECASE)
                if match is not None:
                    out.append((port, match[1], offer))
    return out
