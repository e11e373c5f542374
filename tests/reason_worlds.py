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


#: More for the larger worlds: sets, settings, adapters for the gaps that these parts leave.
RICH: dict[str, tuple[Any, ...]] = {
    "frame": (
        "steel, upper ZS44, lower ZS56, 12x142, PM160, max 180, 27.2, 31.8 collar",
        "steel, upper ZS44, lower ZS56, 12x148, PM160, max 180, 30.9, 34.9 collar",
        "steel, upper EC34, lower EC34, QR 135, 10 mm slot, IS, max 160, 27.2, 28.6 collar",
    ),
    "fork": ("12x100, PM160, max 180", "15x110, PM160, max 180", "QR 100, 9 mm slot, IS, max 160"),
    "front_hub": ("12x100, 6-bolt", "15x110, splined", "QR 100, 6-bolt", "12x100, splined"),
    "rear_hub": (
        "12x142, 6-bolt, HG 11 road",
        "12x148, splined, XDR",
        "QR 135, 6-bolt, HG 11 road",
        "12x142, splined, XDR",
    ),
    "rear_rotor": ("160, 6-bolt", "180, 6-bolt", "160, splined", "203, 6-bolt"),
    "cassette": ("HG, 11-speed, 11-28", "XDR, 12-speed, 10-28"),
    "seatpost": ("27.2", "30.9", "26.8"),
    "seat_collar": ("31.8 collar", "34.9 collar", "28.6 collar"),
    "stem": ("31.8", "35", "25.4"),
    "handlebar": ("31.8", "35", "25.4"),
}
BETWEEN: dict[str, Any] = {
    "SL-309": {
        "price": "9.00 EUR",
        "stock": 1,
        "fills": {"seatpost_sleeve": {"box": "27.2 to 30.9", "material": "aluminium"}},
    },
    "BS-318": {
        "price": "7.00 EUR",
        "fills": {"bar_shim": {"bar_clamp": {"dia_mm": "25.4"}, "centre": {"dia_mm": "31.8", "material": "aluminium"}}},
    },
    "RA-6": {"price": "12.00 EUR", "stock": 2, "fills": {"rear_rotor_adapter": "splined to six-bolt"}},
}
CONVERTIBLE: dict[str, Any] = {
    "price": "70.00 EUR",
    "fills": {"rear_hub": "12x142, splined, HG 11 road"},
    "settings": [
        {
            "name": "end caps",
            "complete": True,
            "options": [
                {"name": "12x142", "offer": "as-shipped"},
                {"name": "135 quick release", "offer": "in-the-box", "rear_hub": {"axle": "QR 135"}},
                {"name": "12x148", "offer": "sold", "number": "CAP-148", "rear_hub": {"axle": "12x148"}},
            ],
        },
        {
            "name": "body",
            "complete": True,
            "options": [
                {"name": "HG", "offer": "as-shipped"},
                {"name": "XDR", "offer": "sold", "number": "BODY-XDR", "rear_hub": {"driver": "XDR"}},
            ],
        },
    ],
}


def rich_world(seed: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """A list and its shop with sets, settings and adapters; some hundred to some thousand builds."""
    rng = random.Random(seed)
    known = {slot: tuple(t for t in texts if not isinstance(t, str) or box(slot, t)) for slot, texts in RICH.items()}
    wanted = {"frame", *rng.sample([s for s in known if s != "frame" and known[s]], rng.choice((2, 3, 3, 4)))}
    if rng.random() < 0.4:
        wanted |= {"front_hub", "rear_hub"}
    shop: dict[str, Any] = {n: p for n, p in BETWEEN.items() if rng.random() < 0.5}
    picked: dict[str, Any] = {}
    for slot in sorted(wanted, key=BICYCLE.order.__getitem__):
        number = rng.choice((2, 3, 3, 4)) if len(wanted) < 6 else 2
        for n in range(number):
            shop[f"{slot.upper()}-{n}"] = {
                "price": f"{rng.randrange(10, 90)}.00 EUR",
                "stock": rng.randrange(3),
                "fills": {slot: rng.choice(known[slot])},
            }
        picked[slot] = f"{slot.upper()}-{rng.randrange(number)}"
    if "rear_hub" in wanted and rng.random() < 0.4:
        shop["HUB-CON"] = CONVERTIBLE
        if rng.random() < 0.4:
            picked["rear_hub"] = "HUB-CON"
    if {"front_hub", "rear_hub"} <= wanted:
        for n in range(rng.choice((1, 2))):
            fills = {s: rng.choice(known[s]) for s in ("front_hub", "rear_hub")}
            shop[f"WHEELS-{n}"] = {"price": f"{rng.randrange(50, 150)}.00 EUR", "fills": fills}
        if rng.random() < 0.5:
            picked |= {"front_hub": "WHEELS-0", "rear_hub": "WHEELS-0"}
    if rng.random() < 0.15:
        slot = rng.choice(sorted(picked))
        mine = [n for n, p in shop.items() if list(p["fills"]) == [slot] and n != "HUB-CON"]
        if len(mine) > 1 and picked[slot] in mine:
            picked[slot] = mine[:2]
    return picked, shop
