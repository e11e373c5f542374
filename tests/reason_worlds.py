"""Random small workshops for the tests of reasons: a few slots, a few parts in each, drawn from words on boxes.

Everything is seeded; a list and its shop are raw tables, as a user would write them. What is tried here asks the rules
themselves about whole lists and knows nothing of searches.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.catalog import Catalog
from catalog_schema.fitting_list import FittingList
from catalog_schema.parts import Part
from solver import questions, reasons
from solver.explain.trial import Trial
from solver.report import NO
from solver.rules.evaluating import Entry

LIBRARY = library.load()
BICYCLE = bicycle.load()

WORDS: dict[str, tuple[str, ...]] = {
    "frame": (
        "steel, upper ZS44, lower ZS56, 12x142, PM160, max 180, 27.2, 31.8 collar",
        "steel, upper ZS44, lower ZS56, 12x148, PM160, max 180, 30.9, 34.9 collar",
        "aluminium, upper EC34, lower EC34, QR 135, 10 mm slot, IS, max 160, 27.2, 28.6 collar",
    ),
    "rear_hub": ("12x142, 6-bolt", "12x148, 6-bolt", "12x148, splined", "QR 135, 6-bolt", "12x142, splined"),
    "rear_rotor": ("160, 6-bolt", "180, 6-bolt", "160, splined", "203, 6-bolt"),
    "seatpost": ("27.2", "30.9", "26.8"),
    "seat_collar": ("31.8 collar", "34.9 collar", "28.6 collar"),
    "stem": ("31.8", "35", "25.4"),
    "handlebar": ("31.8", "35", "25.4"),
}


def a_list(slots: Mapping[str, Any], shop: Mapping[str, Any] | None = None, **more: Any) -> FittingList:
    return fitting_list.read({"slots": dict(slots), "parts": dict(shop or {}), **more}, "t", LIBRARY, BICYCLE)


def box(slot: str, text: str) -> bool:
    """Whether the words mean something for this slot."""
    try:
        a_list({slot: text})
    except ValueError:
        return False
    return True


KNOWN = {slot: tuple(t for t in texts if box(slot, t)) for slot, texts in WORDS.items()}


def world(seed: int, *, slots: int = 5, parts: int = 3) -> tuple[dict[str, Any], dict[str, Any]]:
    """A list that picks a part in each of some slots, and the shop that it is picked from."""
    rng = random.Random(seed)
    wanted = ["frame", *rng.sample([s for s in KNOWN if s != "frame"], slots - 1)]
    shop: dict[str, Any] = {}
    picked = {}
    for slot in sorted(wanted, key=BICYCLE.order.__getitem__):
        texts = KNOWN[slot]
        for n in range(parts):
            price = f"{rng.randrange(10, 90)}.00 EUR"
            number = f"{slot.upper()}-{n}"
            shop[number] = {"price": price, "stock": rng.randrange(3), "fills": {slot: rng.choice(texts)}}
        picked[slot] = f"{slot.upper()}-{rng.randrange(parts)}"
    return picked, shop


def work_of(fitting: FittingList) -> Trial:
    return reasons.purchases(questions.trial(fitting, LIBRARY, BICYCLE))


def reds(work: Trial, entries: tuple[Entry, ...]) -> bool:
    """Whether something is red among these purchases alone."""
    found = replace(work, entries=entries).findings().values()
    return any(f.state == "judged" and f.verdict in NO for f in found)


def fillings(catalog: Catalog, slots: tuple[str, ...]) -> Iterator[dict[str, Part]]:
    """Every way to fill some slots from the shop, one part each."""
    choices = [[p for p in catalog.filling(s) if not p.together or len(p.fills) == 1] for s in slots]
    for parts in itertools.product(*choices):
        yield dict(zip(slots, parts, strict=True))
