"""A seeded bicycle-like instance for timing the engine: slots with attributes, equalities, tables and sums.

In: parts a slot, a seed, and how noisy the parts are. Out: an ``Instance`` in a neutral form that every engine of the
benchmark encodes its own way: 32 slots, 49 joints (32 equalities, 9 tables of which three join three or four slots, 8
inequalities of which one adds up four parts). Everything is invented; nothing here is knowledge of the trade.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]

DISCIPLINES = 5

#: attribute -> (smallest value, number of values, how far a part strays from what its discipline prefers).
#: A spread of 0 is a family: a part has the preferred value or, by noise, any.
ATTRIBUTES: dict[str, tuple[int, int, int]] = {
    "head": (0, 5, 0),
    "steerer": (0, 3, 0),
    "crown": (0, 4, 0),
    "clamp": (0, 3, 0),
    "bar": (0, 3, 0),
    "rail": (0, 3, 0),
    "seat_od": (0, 6, 0),
    "seat_in": (0, 7, 0),
    "post": (0, 7, 0),
    "shim": (0, 5, 0),
    "shell": (0, 6, 0),
    "spindle": (0, 5, 0),
    "bcd": (0, 6, 0),
    "speed": (0, 5, 0),
    "pull": (0, 5, 0),
    "front_pull": (0, 4, 0),
    "hanger": (0, 4, 0),
    "band": (0, 4, 0),
    "front_axle": (0, 5, 0),
    "rear_axle": (0, 6, 0),
    "front_holes": (0, 4, 0),
    "rear_holes": (0, 4, 0),
    "front_size": (0, 4, 0),
    "rear_size": (0, 4, 0),
    "front_disc": (0, 2, 0),
    "rear_disc": (0, 2, 0),
    "front_fluid": (0, 3, 0),
    "rear_fluid": (0, 3, 0),
    "body": (0, 4, 0),
    "front_mount": (0, 4, 0),
    "rear_mount": (0, 4, 0),
    "front_step": (0, 5, 0),
    "rear_step": (0, 5, 0),
    "front_caliper_mount": (0, 3, 0),
    "rear_caliper_mount": (0, 3, 0),
    "use": (0, 5, 0),
    "chainline": (0, 5, 0),
    "range": (0, 6, 0),
    "cage": (0, 4, 0),
    "rim_in": (17, 8, 1),
    "tyre": (23, 12, 2),
    "max_tyre": (26, 12, 2),
    "rotor": (0, 5, 1),
    "max_rotor": (1, 5, 1),
    "cog": (26, 10, 2),
    "max_cog": (28, 10, 2),
    "ring": (30, 12, 2),
    "max_ring": (32, 12, 2),
    "ring_spread": (0, 9, 2),
    "cog_spread": (12, 16, 3),
    "capacity": (16, 22, 3),
    # lengths in steps of 5 mm
    "head_tube": (18, 24, 4),
    "stack": (2, 7, 2),
    "spacers": (0, 9, 4),
    "height": (7, 5, 1),
    "cut": (32, 34, 5),
}

#: slot -> its attributes, ``name`` or ``name:kind of attribute``.
SLOTS: dict[str, str] = {
    "frame": "head shell seat_od seat_in hanger band rear_axle rear_size rear_mount use chainline head_tube max_tyre "
    "max_rotor max_ring",
    "fork": "steerer crown front_axle front_size front_mount use cut max_tyre max_rotor",
    "headset": "head steerer crown stack",
    "stem": "steerer clamp height",
    "spacers": "spacers",
    "bar": "clamp bar",
    "grips": "bar",
    "shim": "shim",
    "seatpost": "post rail",
    "saddle": "rail",
    "collar": "seat_od",
    "bottom_bracket": "shell spindle",
    "crank": "spindle bcd chainline",
    "chainring": "bcd speed ring ring_spread",
    "chain": "speed",
    "cassette": "speed body range cog cog_spread",
    "rear_mech": "pull hanger cage capacity max_cog",
    "front_mech": "band front_pull",
    "right_lever": "bar speed pull rear_fluid",
    "left_lever": "bar front_pull front_fluid",
    "front_hub": "front_axle front_holes front_disc",
    "rear_hub": "rear_axle rear_holes rear_disc body",
    "front_rim": "front_holes front_size rim_in",
    "rear_rim": "rear_holes rear_size rim_in",
    "front_tyre": "front_size tyre",
    "rear_tyre": "rear_size tyre",
    "front_caliper": "front_caliper_mount front_fluid",
    "rear_caliper": "rear_caliper_mount rear_fluid",
    "front_adapter": "front_step",
    "rear_adapter": "rear_step",
    "front_rotor": "front_disc rotor",
    "rear_rotor": "rear_disc rotor",
}

_EQUAL = """
frame.head=headset.head fork.steerer=headset.steerer fork.steerer=stem.steerer stem.clamp=bar.clamp
bar.bar=grips.bar bar.bar=right_lever.bar bar.bar=left_lever.bar seatpost.rail=saddle.rail
frame.seat_od=collar.seat_od frame.shell=bottom_bracket.shell bottom_bracket.spindle=crank.spindle
crank.bcd=chainring.bcd chainring.speed=chain.speed chain.speed=cassette.speed
cassette.speed=right_lever.speed right_lever.pull=rear_mech.pull frame.hanger=rear_mech.hanger
frame.band=front_mech.band front_mech.front_pull=left_lever.front_pull fork.front_axle=front_hub.front_axle
frame.rear_axle=rear_hub.rear_axle front_hub.front_holes=front_rim.front_holes
rear_hub.rear_holes=rear_rim.rear_holes front_rim.front_size=front_tyre.front_size
rear_rim.rear_size=rear_tyre.rear_size fork.front_size=front_rim.front_size frame.rear_size=rear_rim.rear_size
front_hub.front_disc=front_rotor.front_disc rear_hub.rear_disc=rear_rotor.rear_disc
left_lever.front_fluid=front_caliper.front_fluid right_lever.rear_fluid=rear_caliper.rear_fluid
cassette.body=rear_hub.body
"""
EQUALITIES = tuple(tuple(pair.split("=")) for pair in _EQUAL.split())

#: Tables: the columns and the share of value tuples allowed (the preferred ones always are).
TABLES: tuple[tuple[str, float], ...] = (
    ("fork.front_mount front_adapter.front_step front_caliper.front_caliper_mount front_rotor.rotor", 0.15),
    ("frame.rear_mount rear_adapter.rear_step rear_caliper.rear_caliper_mount rear_rotor.rotor", 0.15),
    ("frame.seat_in shim.shim seatpost.post", 0.15),
    ("front_rim.rim_in front_tyre.tyre", 0.5),
    ("rear_rim.rim_in rear_tyre.tyre", 0.5),
    ("rear_mech.cage cassette.range", 0.3),
    ("frame.use fork.use", 0.2),
    ("frame.chainline crank.chainline", 0.2),
    ("headset.crown fork.crown", 0.25),
)

#: ``least <= sum of the terms (a minus sign before a term subtracts it) <= most``.
SUMS: tuple[tuple[str, int, int], ...] = (
    ("fork.cut -frame.head_tube -headset.stack -spacers.spacers -stem.height", 0, 8),
    ("rear_mech.capacity -cassette.cog_spread -chainring.ring_spread", 0, 99),
    ("fork.max_tyre -front_tyre.tyre", 0, 99),
    ("frame.max_tyre -rear_tyre.tyre", 0, 99),
    ("fork.max_rotor -front_rotor.rotor", 0, 99),
    ("frame.max_rotor -rear_rotor.rotor", 0, 99),
    ("frame.max_ring -chainring.ring", 0, 99),
    ("rear_mech.max_cog -cassette.cog", 0, 99),
)


@dataclass(frozen=True, slots=True)
class Slot:
    """The parts for one slot: a column an attribute, and price, mass and lead time of each part."""

    name: str
    attributes: tuple[str, ...]
    columns: IntArray
    price: IntArray
    mass: IntArray
    lead: IntArray


@dataclass(frozen=True, slots=True)
class Instance:
    """Slots, and the three sorts of joints. A reference is ``(slot, attribute position)``."""

    slots: tuple[Slot, ...]
    equalities: tuple[tuple[tuple[int, int], tuple[int, int]], ...]
    tables: tuple[tuple[tuple[tuple[int, int], ...], tuple[tuple[int, ...], ...]], ...]
    sums: tuple[tuple[tuple[tuple[int, int, int], ...], int, int], ...]
    """Each: terms ``(slot, position, +1 or -1)``, least, most."""

    def span(self, slot: int, position: int) -> range:
        """All values that the attribute may have anywhere."""
        least, number, _ = ATTRIBUTES[self.slots[slot].attributes[position]]
        return range(least, least + number)

    @property
    def parts(self) -> int:
        """Number of parts over all slots."""
        return sum(len(s.price) for s in self.slots)


def make(parts: int, seed: int, *, noise: float = 0.1, copies: int = 1, slots: Sequence[str] | None = None) -> Instance:
    """A seeded instance with ``parts`` parts a slot.

    Args:
        parts: parts in each slot.
        seed: the same seed gives the same instance.
        noise: chance that an attribute of a part is not what its discipline prefers.
        copies: this many bicycles side by side in one instance (they share a discipline table, no joint).
        slots: keep only these slots and the joints among them.
    """
    rng = np.random.default_rng(seed)
    names = [s for s in SLOTS if slots is None or s in slots]
    preferred = {a: rng.integers(least, least + n, DISCIPLINES) for a, (least, n, _) in ATTRIBUTES.items()}
    for roomy, tight in (("max_tyre", "tyre"), ("max_rotor", "rotor"), ("max_cog", "cog"), ("max_ring", "ring")):
        preferred[roomy] = np.minimum(
            np.maximum(preferred[tight] + 2, preferred[roomy]), sum(ATTRIBUTES[roomy][:2]) - 1
        )
    preferred["capacity"] = np.minimum(preferred["cog_spread"] + preferred["ring_spread"] + 2, 37)
    needed = preferred["head_tube"] + preferred["stack"] + preferred["spacers"] + preferred["height"]
    preferred["cut"] = np.clip(needed + 4, 32, 65)
    made = [
        _slot(name if copies == 1 else f"{name}_{copy}", name, parts, preferred, noise, rng)
        for copy in range(copies)
        for name in names
    ]

    def ref(text: str, copy: int) -> tuple[int, int]:
        slot, attribute = text.split(".")
        return copy * len(names) + names.index(slot), SLOTS[slot].split().index(attribute)

    def inside(*texts: str) -> bool:
        return all(t.lstrip("-").split(".")[0] in names for t in texts)

    tables = [(c.split(), _allowed(c.split(), share, preferred, rng)) for c, share in TABLES]
    copies_of = range(copies)
    return Instance(
        slots=tuple(made),
        equalities=tuple((ref(a, c), ref(b, c)) for c in copies_of for a, b in EQUALITIES if inside(a, b)),
        tables=tuple(
            (tuple(ref(t, c) for t in cols), rows) for c in copies_of for cols, rows in tables if inside(*cols)
        ),
        sums=tuple(
            (tuple((*ref(t.lstrip("-"), c), -1 if t[0] == "-" else 1) for t in terms.split()), least, most)
            for c in copies_of
            for terms, least, most in SUMS
            if inside(*terms.split())
        ),
    )


def make_tiny() -> Instance:
    """Sixteen slots of eight parts: few enough builds to enumerate."""
    return make(8, 78, slots=list(SLOTS)[:16])


def _slot(
    name: str, kind: str, parts: int, preferred: dict[str, IntArray], noise: float, rng: np.random.Generator
) -> Slot:
    attributes = tuple(SLOTS[kind].split())
    discipline = rng.integers(0, DISCIPLINES, parts)
    columns = np.empty((parts, len(attributes)), dtype=np.int64)
    for position, attribute in enumerate(attributes):
        least, number, spread = ATTRIBUTES[attribute]
        usual = preferred[attribute][discipline] + rng.integers(-spread, spread + 1, parts)
        anything = rng.integers(least, least + number, parts)
        chosen = np.where(rng.random(parts) < noise, anything, usual)
        columns[:, position] = np.clip(chosen, least, least + number - 1)
    figures = np.random.default_rng(rng.integers(2**32))
    return Slot(
        name=name,
        attributes=attributes,
        columns=columns,
        price=int(figures.integers(5, 30)) + figures.gamma(2.0, 20.0, parts).astype(np.int64),
        mass=figures.integers(20, 900, parts),
        lead=figures.choice(np.array([0, 0, 1, 2, 3, 5, 8, 14, 30]), parts),
    )


def _allowed(
    columns: list[str], share: float, preferred: dict[str, IntArray], rng: np.random.Generator
) -> tuple[tuple[int, ...], ...]:
    kinds = [c.split(".")[1] for c in columns]
    spans = [range(ATTRIBUTES[k][0], sum(ATTRIBUTES[k][:2])) for k in kinds]
    usual = {tuple(int(preferred[k][d]) for k in kinds) for d in range(DISCIPLINES)}
    return tuple(t for t in itertools.product(*spans) if t in usual or rng.random() < share)
