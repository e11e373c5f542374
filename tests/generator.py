"""Seeded catalogues like a shop's: kinds of bicycle with noise, settings, sets of parts, figures not stated.

``catalog(seed, per_slot)`` makes a whole catalogue; ``small(seed)`` a question that brute force can answer, of a theme
and with features. All makers and prices are invented; figures are those that the trade combines.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

Raw = dict[str, Any]

#: Figures that go together in one kind of bicycle. Each draw takes, with some noise, another kind's instead.
KINDS: Mapping[str, Mapping[str, Any]] = {
    "road": {
        "head": ("ZS44", "ZS56"), "lower": ("ZS56/40", 39.8, 1), "rear": "12x142", "front": "12x100",
        "thread": "M12x1.0", "mount": "flat mount 140", "fork_mount": "flat mount 140/160", "most": 160,
        "caliper": ("flat mount", "FM front 140/160"), "rotors": (140, 160), "body": "HG 11 road",
        "rotor_fix": "splined",
        "cassette": "HG, 11-speed, 11-28", "rim": "622x21TC", "tyre": (25, 28, 32), "bar": 31.8, "post": "27.2",
        "collar": "31.8", "room": (32, 38), "material": "carbon", "lengths": (110, 190), "steerer": (260, 320),
    },
    "gravel": {
        "head": ("ZS44", "ZS56"), "lower": ("ZS56/40", 39.8, 1), "rear": "12x142", "front": "12x100",
        "thread": "M12x1.5", "mount": "flat mount 140", "fork_mount": "flat mount 140/160", "most": 160,
        "caliper": ("flat mount", "FM front 140/160"), "rotors": (160, 140), "body": "HG 11 road",
        "rotor_fix": "splined",
        "cassette": "HG, 11-speed, 11-34", "rim": "622x25TC", "tyre": (38, 42, 45), "bar": 31.8, "post": "27.2",
        "collar": "31.8", "room": (42, 50), "material": "steel", "lengths": (105, 185), "steerer": (250, 310),
    },
    "trail": {
        "head": ("ZS44", "ZS56"), "lower": ("ZS56/40", 39.8, 1), "rear": "12x148", "front": "15x110",
        "thread": "M15x1.5", "mount": "PM160", "fork_mount": "PM180", "most": 203,
        "caliper": ("post mount", "post mount"), "rotors": (180, 203), "body": "micro spline", "rotor_fix": "6-bolt",
        "cassette": "micro spline, 12-speed, 10-51",
        "rim": "622x30TC", "tyre": (57, 60, 54), "bar": 35, "post": "30.9", "collar": "34.9", "room": (58, 66),
        "material": "aluminium", "lengths": (95, 135), "steerer": (190, 270),
    },
    "old": {
        "head": ("EC34", "EC34"), "lower": ("EC34/30", 30.0, 12), "rear": "QR 135", "front": "QR 100",
        "thread": "", "mount": "IS", "fork_mount": "IS", "most": 180, "caliper": ("post mount", "post mount"),
        "rotors": (160, 180), "body": "HG-M", "rotor_fix": "6-bolt", "cassette": "HG, 9-speed, 11-32",
        "rim": "622x17C", "tyre": (32, 35, 40), "bar": 26.0, "post": "26.8", "collar": "28.6", "room": (36, 44),
        "material": "steel", "lengths": (100, 160), "steerer": (170, 240),
    },
}  # fmt: skip


@dataclass
class Maker:
    """Draws records of one catalogue. ``noise``: how often a figure is another kind's."""

    rng: random.Random
    noise: float = 0.1
    missing: float = 0.0
    measured: float = 0.0
    kind: str = ""

    def begin(self) -> None:
        """Begin a part: it belongs to one kind of bicycle."""
        self.kind = self.rng.choice(list(KINDS))

    def of(self, name: str) -> Any:
        """Return a figure of the part's kind, or now and then of another."""
        kind = self.rng.choice(list(KINDS)) if self.rng.random() < self.noise else self.kind
        return KINDS[kind][name]

    def number(self, value: float, tool: str = "caliper") -> Any:
        """Return a figure as stated, as measured, or not at all."""
        chance = self.rng.random()
        if chance < self.missing:
            return None
        if chance < self.missing + self.measured:
            off = self.rng.choice((0, 0, 0.1, -0.1))
            return f"{round(value + off, 1)} {tool}"
        return value

    def stated(self, **figures: Any) -> Raw:
        """Return a port of the figures that are stated."""
        return {k: v for k, v in figures.items() if v is not None}

    def words(self, *tokens: str) -> str:
        """Return a box line; with missing figures a token may be absent."""
        return ", ".join(t for t in tokens if t and self.rng.random() >= self.missing / 2)

    def within(self, name: str) -> int:
        """Return a whole number of a range of the part's kind."""
        low, high = self.of(name)
        return self.rng.randint(low, high)

    def frame(self) -> Raw:
        upper, lower = self.of("head")
        rear = self.of("rear")
        rear = "QR 130" if rear == "QR 135" and self.rng.random() < 0.4 else rear
        line = self.words(
            self.of("material"), f"upper {upper}", f"lower {lower}", rear, self.of("mount"),
            f"max {self.of('most')}", self.of("post"), f"{self.of('collar')} collar",
        )  # fmt: skip
        return {
            "box": line,
            "head_tube": self.stated(length_mm=self.number(self.within("lengths"), "tape")),
            "tyre_room": self.stated(tyre_max_mm=self.within("room"), bsd_mm=622),
        }

    def fork(self) -> Raw:
        material = self.of("material")
        carbon = {"spacers_below_min_mm": 0, "spacers_below_max_mm": 40, "bore_mm": 24} if material == "carbon" else {}
        steerer = {"form": "threadless", "top_dia_mm": 28.6, "material": material, **carbon}
        length = self.number(5 * round(self.within("steerer") / 5), "tape")
        return {
            "box": self.words(material, self.of("front"), self.of("fork_mount"), f"max {self.of('most')}"),
            "steerer": {**steerer, **self.stated(length_mm=length)},
            "crown_seat": self.stated(dia_mm=self.number(self.of("lower")[1])),
            "tyre_room": self.stated(tyre_max_mm=self.within("room"), bsd_mm=622),
        }

    def headset_upper(self) -> Raw:
        return {
            "box": f"{self.of('head')[0]}/28.6",
            "stack": self.stated(height_mm=self.number(self.rng.choice((7, 8, 9.5, 12, 15, 16.4)))),
        }

    def headset_lower(self) -> Raw:
        line, _, stack = self.of("lower")
        return {"box": line, "cup": {"ring_angle_deg": 36}, "stack": {"height_mm": stack}}

    def spacers(self) -> Raw:
        return {"stack": {"below_mm": self.rng.choice(range(0, 45, 5)), "above_mm": 0, "bore_mm": 28.6}}

    def stem(self) -> Raw:
        clamp = {"form": "clamp", "bore_mm": self.number(28.6), "height_mm": self.number(self.rng.choice((38, 40, 42)))}
        return {"steerer_clamp": self.stated(**clamp), "bar_clamp": self.stated(dia_mm=self.number(self.of("bar")))}

    def handlebar(self) -> Raw:
        return {"material": "aluminium", "centre": self.stated(dia_mm=self.number(self.of("bar")))}

    def seatpost(self) -> Raw:
        size = self.of("post")
        if self.rng.random() < self.measured:
            size = f"{size} caliper"
            return {"material": "aluminium", "shaft": {"dia_mm": size, "length_mm": 350, "mark_mm": 100}}
        return {"material": "aluminium", "shaft": {"standard": size, "length_mm": 350, "mark_mm": 100}}

    def seat_collar(self) -> Raw:
        return {"box": self.of("collar")}

    def front_hub(self) -> Raw:
        return {"box": self.words(self.of("front"), self.of("rotor_fix"), self.rng.choice(("28h", "32h")))}

    def rear_hub(self) -> Raw:
        holes = self.rng.choice(("28h", "32h"))
        return {"box": self.words(self.of("rear"), self.of("rotor_fix"), self.of("body"), holes)}

    def rim(self) -> Raw:
        line = self.words(self.of("rim"), self.rng.choice(("28h", "32h")))
        hole = self.stated(
            dia_mm=self.number(self.rng.choice((6.5, 6.5, 8.5))), rim_depth_mm=self.rng.choice((18, 22, 40))
        )
        return {"box": line, "material": "aluminium", "valve_hole": hole}

    def tyre(self) -> Raw:
        width = self.rng.choice(self.of("tyre"))
        return {"box": f"{width}-622{self.rng.choice((', TLR', ''))}"}

    def tube(self) -> Raw:
        low = self.rng.choice((18, 23, 28, 32, 38, 47))
        return {"box": f"700x{low}-{low + self.rng.choice((7, 10, 14))}, Presta, {self.rng.choice((42, 60))} valve"}

    def rotor(self) -> Raw:
        size = self.rng.choice(self.of("rotors"))
        thick = self.number(1.8)
        disc = self.stated(thickness_mm=thick, least_thickness_mm=1.5)
        return {"box": f"{size} rotor, {self.of('rotor_fix')}", "disc": disc}

    def front_caliper(self) -> Raw:
        return {"box": self.of("caliper")[1], "slot": {"rotor_thickness_mm": [1.75, 1.9]}}

    def rear_caliper(self) -> Raw:
        return {"box": self.of("caliper")[0], "slot": {"rotor_thickness_mm": [1.75, 1.9]}}

    def cassette(self) -> Raw:
        return {"box": self.of("cassette"), "bore": {"lockring": "included"}}

    def bar_shim(self) -> Raw:
        low, high = self.rng.choice(((26.0, 31.8), (31.8, 35)))
        return {"bar_clamp": {"dia_mm": low}, "centre": {"dia_mm": high, "material": "aluminium"}}

    def seatpost_sleeve(self) -> Raw:
        return {"box": self.rng.choice(("27.2 to 30.9", "25.4 to 27.2")), "material": "aluminium"}

    def rotor_adapter(self) -> Raw:
        return {"box": "splined to six-bolt"}

    def brake_mount_adapter(self) -> Raw:
        return {"box": self.rng.choice(("+20", "+43", "F160/R140", "F180/R160", "FM140 to FM160"))}


#: What a catalogue lists under: a slot, or a kind whose parts fill either of two slots, a piece each.
HOMES = (
    "frame", "fork", "headset_upper", "headset_lower", "spacers", "stem", "handlebar", "seatpost", "seat_collar",
    "front_hub", "rear_hub", "rim", "tyre", "tube", "rotor", "front_caliper", "rear_caliper", "cassette",
)  # fmt: skip
SHELF = ("bar_shim", "seatpost_sleeve", "rotor_adapter", "brake_mount_adapter")

SLOTS = (
    "frame", "fork", "headset_upper", "headset_lower", "spacers", "stem", "handlebar", "seatpost", "seat_collar",
    "front_hub", "rear_hub", "front_rim", "rear_rim", "front_tyre", "rear_tyre", "front_tube", "rear_tube",
    "front_rotor", "rear_rotor", "front_caliper", "rear_caliper", "cassette",
)  # fmt: skip

WEIGHTS = {"frame": (400, 2500), "fork": (90, 900), "front_hub": (40, 250), "rear_hub": (60, 400)}


def shop(rng: random.Random, home: str, *, scarce: bool = False) -> Raw:
    """Return what a shop says of a part beside its figures."""
    low, high = WEIGHTS.get(home, (5, 120))
    known: Raw = {"maker": rng.choice(("Ashby", "Corve", "Teme")), "model": f"{home} {rng.randint(1, 99)}"}
    if rng.random() < 0.95:
        known["price"] = f"{rng.randint(low, high)}.{rng.choice(('00', '50', '90'))} EUR"
    if rng.random() < 0.95:
        known["mass_g"] = rng.randint(low, high)
    known["stock"] = rng.choice((0, 1, 1) if scarce else (0, 1, 2, 5))
    if rng.random() < 0.9:
        known["lead_days"] = rng.choice((2, 5, 10, 21))
    return known


def converting(maker: Maker, record: Raw) -> list[Raw]:
    """Return the settings of a rear hub: end caps that replace its axle, and a body that its maker may offer."""
    rng = maker.rng
    caps: list[Raw] = [{"name": "as it comes", "offer": "as-shipped"}]
    for name, axle in (("135", "QR 135"), ("142", "12x142"), ("148", "12x148")):
        offer = rng.choice(("in-the-box", "sold", "not-sold", "not-stated"))
        caps.append({"name": name, "offer": offer, "number": f"CAP-{name}", "rear_hub": {"axle": axle}})
    if rng.random() < 0.15:
        caps = caps[1:]
    bodies: list[Raw] = [
        {"name": "as it comes", "offer": "as-shipped"},
        {"name": "XDR", "offer": rng.choice(("sold", "in-the-box")), "number": "BODY-X", "rear_hub": {"driver": "XDR"}},
        {"name": "MS", "offer": "sold", "number": "BODY-M", "rear_hub": {"driver": "micro spline"}},
    ]
    groups: list[Raw] = [{"name": "end caps", "complete": rng.random() < 0.7, "options": caps}]
    if rng.random() < 0.5:
        groups.append({"name": "body", "complete": rng.random() < 0.7, "options": bodies})
    return groups


def part(maker: Maker, home: str, *, settings: bool = False, scarce: bool = False) -> Raw:
    """Return one part of a catalogue."""
    maker.begin()
    draw: Callable[[], Raw] = getattr(maker, home)
    record = draw()
    found = {**shop(maker.rng, home, scarce=scarce), "fills": {home: record}}
    if settings and home == "rear_hub":
        found["settings"] = converting(maker, record)
    return found


def wheelset(maker: Maker) -> Raw:
    """Return hubs and rims that are bought together."""
    maker.begin()
    fills = {"front_hub": maker.front_hub(), "rear_hub": maker.rear_hub(), "front_rim": maker.rim()}
    fills["rear_rim"] = {**fills["front_rim"]}
    return {**shop(maker.rng, "rear_hub"), "fills": fills}


def frameset(maker: Maker) -> Raw:
    """Return a frame and a fork that are bought together."""
    maker.begin()
    return {**shop(maker.rng, "frame"), "fills": {"frame": maker.frame(), "fork": maker.fork()}}


def front_end(maker: Maker) -> Raw:
    """Return a stem and a handlebar that are bought together."""
    maker.begin()
    return {**shop(maker.rng, "stem"), "fills": {"stem": maker.stem(), "handlebar": maker.handlebar()}}


SETS: Mapping[frozenset[str], Callable[[Maker], Raw]] = {
    frozenset({"front_hub", "rear_hub", "front_rim", "rear_rim"}): wheelset,
    frozenset({"frame", "fork"}): frameset,
    frozenset({"stem", "handlebar"}): front_end,
}


def catalog(seed: int, per_slot: int, *, missing: float = 0.01, measured: float = 0.02) -> dict[str, Raw]:
    """Return a whole catalogue: so many parts a slot, sets of several, hubs with settings, some figures not stated."""
    rng = random.Random(seed)
    maker = Maker(rng, 0.1, missing, measured)
    parts: dict[str, Raw] = {}
    for home in HOMES:
        for i in range(per_slot):
            parts[f"{home}-{i}"] = part(maker, home, settings=i % 10 == 3)
    for i in range(max(2, per_slot // 20)):
        parts[f"wheels-{i}"] = wheelset(maker)
        parts[f"frameset-{i}"] = frameset(maker)
    for home in SHELF:
        for i in range(3):
            parts[f"{home}-{i}"] = part(maker, home)
    parts["CAP-142"] = {**shop(rng, "spacers"), "fills": {"cassette_spacer": "1.85"}}
    return parts


#: Questions that brute force can answer: the slots, and how many parts of each.
THEMES: Mapping[str, Mapping[str, int]] = {
    "post": {"frame": 3, "seatpost": 4, "seat_collar": 3},
    "bar": {"stem": 4, "handlebar": 4, "fork": 3},
    "steerer": {"frame": 3, "fork": 3, "headset_upper": 2, "headset_lower": 2},
    "length": {"frame": 2, "fork": 2, "headset_upper": 2, "headset_lower": 1, "spacers": 2, "stem": 2},
    "rear": {"frame": 3, "rear_hub": 4, "cassette": 3},
    "brake": {"fork": 3, "front_hub": 2, "rotor": 3, "front_caliper": 2},
    "tyres": {"frame": 2, "fork": 2, "tyre": 4},
    "wheel": {"rim": 3, "tyre": 3, "tube": 3},
    "wheels": {"frame": 2, "fork": 2, "front_hub": 2, "rear_hub": 2},
}
TWINS: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "rotor": (("front_rotor",),),
    "tyre": (("front_tyre", "rear_tyre"), ("front_tyre",)),
    "tube": (("front_tube",),),
    "rim": (("front_rim",),),
}


@dataclass
class Small:
    """A question for brute force, and what is in it."""

    raw: Raw
    features: frozenset[str]
    theme: str
    in_stock: bool = False
    options: Raw = field(default_factory=dict)


def small(seed: int) -> Small:
    """Return a small question, the same for the same seed."""
    rng = random.Random(seed)
    theme = list(THEMES)[seed % len(THEMES)]
    chosen = {
        f for f in ("missing", "measured", "settings", "shared", "adapters", "stock", "none") if rng.random() < 0.4
    }
    if "rear_hub" in THEMES[theme] and rng.random() < 0.6:
        chosen.add("settings")
    if theme in ("post", "bar", "brake") and rng.random() < 0.4:
        chosen.add("adapters")
    maker = Maker(
        rng, rng.choice((0.05, 0.3)), 0.12 if "missing" in chosen else 0.0, 0.25 if "measured" in chosen else 0.0
    )
    parts: dict[str, Raw] = {}
    slots: Raw = {}
    focus = rng.choice(list(KINDS))
    for home, number in THEMES[theme].items():
        for i in range(number):
            made = part(maker, home, settings="settings" in chosen, scarce="stock" in chosen)
            if rng.random() < 0.5:
                maker.kind = focus
                made["fills"] = {home: getattr(maker, home)()}
                made.pop("settings", None)
                if "settings" in chosen and home == "rear_hub":
                    made["settings"] = converting(maker, made["fills"][home])
            parts[f"{home}-{i}"] = made
        for slot in TWINS.get(home, ((home,),))[0 if theme == "tyres" else -1]:
            slots[slot] = "any"
    if "shared" in chosen:
        for wanted, make in SETS.items():
            if wanted <= set(slots) or len(wanted & set(slots)) == 1:
                for i in range(2):
                    parts[f"set-{make.__name__}-{i}"] = make(maker)
    if "adapters" in chosen:
        for home in SHELF:
            for i in range(2):
                parts[f"{home}-{i}"] = part(maker, home)
    parts["CAP-142"] = {**shop(rng, "spacers"), "fills": {"cassette_spacer": "1.85"}}
    for slot in list(slots):
        fitting = [n for n, p in parts.items() if slot in p["fills"] or slot.split("_", 1)[-1] in p["fills"]]
        single = [n for n in fitting if len(parts[n]["fills"]) == 1]
        chance = rng.random()
        if chance < 0.12 and single:
            slots[slot] = rng.choice(single)
        elif chance < 0.18 and len(single) > 1:
            slots[slot] = rng.sample(single, 2)
        elif chance < 0.26 and "none" in chosen and sum(v != "none" for v in slots.values()) > 2:
            slots[slot] = "none"
    if "none" in chosen and "none" not in slots.values():
        slots[rng.choice(("front_rotor_adapter", "seatpost_sleeve", "bar_shim", "rear_rim"))] = "none"
    used = frozenset(_used(chosen, parts, slots))
    raw: Raw = {"kind": rng.choice(("gravel", "road")), "parts": parts, "slots": slots}
    return Small(raw, used, theme, in_stock="stock" in chosen)


def _used(chosen: set[str], parts: Mapping[str, Raw], slots: Raw) -> list[str]:
    """Return the features that the question really has."""
    text = repr([p["fills"] for p in parts.values()])
    held = {
        "missing": True,
        "measured": "caliper'" in text or " tape'" in text,
        "settings": any("settings" in p for p in parts.values()) and "rear_hub" in slots,
        "shared": any(len(p["fills"]) > 1 for p in parts.values()),
        "adapters": bool({"seatpost", "stem", "front_rotor"} & set(slots)),
        "stock": True,
        "none": "none" in slots.values(),
    }
    return [f for f in chosen if held[f]]
