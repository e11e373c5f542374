"""A catalogue in the form in which it is read fastest: its parts with their figures worked out, one a line.

In: the parts of a catalogue file, checked when they were read. Out: a text; and back, a part at a time. The text
carries the hash of the catalogue file and of the library that settled its figures: as soon as one byte of either
differs, it is not used, and the catalogue is read instead. The copy of ``shop.toml`` is ``shop.packed`` beside it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from decimal import Decimal
from importlib import resources
from pathlib import Path
from typing import Any, Final

from catalog_schema.deferred import Deferred, Lines, LineWriter
from catalog_schema.figures import Known, Variant
from catalog_schema.lean import dataclass
from catalog_schema.packed import fingerprint
from catalog_schema.parts import Identity, Option, Part, Price, Settings
from catalog_schema.quantity import Choice, Limit, Measure, Range, Series, Value

ENDING: Final = ".packed"
_FORM: Final = "2"


@dataclass(frozen=True, slots=True)
class PackedParts:
    """The parts of one catalogue file by number, the slots that each fills, and model -> its versions' numbers.

    ``like_words`` holds (number, slot) where a number could be read as words on the box; None: nobody looked yet.
    """

    parts: Mapping[str, Part]
    slots: Mapping[str, Collection[str]]
    models: Mapping[str, tuple[str, ...]]
    like_words: frozenset[tuple[str, str]] | None = None


def made_from(text: str, library: str) -> str:
    """Return the hash of what a copy of a catalogue's text is made from; ``library`` is the mark of the library."""
    slots = (resources.files("catalog_schema") / "bicycle.toml").read_bytes()
    return fingerprint(
        {"form": _FORM.encode(), "catalogue": text.encode(), "bicycle": slots, "library": library.encode()}
    )


def beside(path: Path | str) -> Path:
    """Return where the copy of a catalogue file lies."""
    return Path(path).with_suffix(ENDING)


def pack(shelf: PackedParts, source: str) -> str:
    """Return the parts of one catalogue file as text."""
    out = LineWriter()
    index = {
        "parts": {number: (out.add(_part(part)), list(part.fills)) for number, part in shelf.parts.items()},
        "models": shelf.models,
        "like_words": sorted(shelf.like_words or ()),
    }
    return out.text(source, index)


def unpack(text: str, source: str, file: str) -> PackedParts | None:
    """Return the parts in a text, or None if it was made from something else; ``file`` is where they are said to be."""
    lines = Lines.made_from(text, source)
    if lines is None:
        return None
    index: Mapping[str, tuple[int, list[str]]] = lines.index["parts"]
    return PackedParts(
        Deferred(index, lambda _, seed: _unpacked(lines.value(seed[0]), file)),
        {number: slots for number, (_, slots) in index.items()},
        {model: tuple(numbers) for model, numbers in lines.index["models"].items()},
        frozenset((number, slot) for number, slot in lines.index["like_words"]),
    )


def _part(part: Part) -> dict[str, Any]:
    identity = dict(part.identity.given)
    if part.identity.price is not None:
        identity["price"] = (part.identity.price.minor, part.identity.price.currency)
    whole: dict[str, Any] = {"is": identity, "fills": _variants(part.fills)}
    if not part.together:
        whole["one_of"] = True
    if part.settings:
        whole["settings"] = [_settings(group) for group in part.settings]
    return whole


def _unpacked(raw: Mapping[str, Any], file: str) -> Part:
    fields = dict(raw["is"])
    for whole_number in {"stock", "lead_days", "pack"} & fields.keys():
        fields[whole_number] = int(fields[whole_number])
    if "price" in fields:
        minor, currency = fields["price"]
        fields["price"] = Price(int(minor), currency)
    settings = tuple(_read_settings(group) for group in raw.get("settings", ()))
    return Part(Identity(**fields), _read_variants(raw["fills"]), not raw.get("one_of", False), settings, file)


def _settings(group: Settings) -> dict[str, Any]:
    options = [(o.name, o.offer, o.number, _variants(o.replaces)) for o in group.options]
    return {"name": group.name, "complete": group.complete, "options": options, "ports": group.ports}


def _read_settings(raw: Mapping[str, Any]) -> Settings:
    options = tuple(
        Option(name, offer, number, _read_variants(replaces)) for name, offer, number, replaces in raw["options"]
    )
    return Settings(raw["name"], raw["complete"], options, {s: tuple(p) for s, p in raw["ports"].items()})


def _variants(fills: Mapping[str, tuple[Variant, ...]]) -> dict[str, list[dict[str, Any]]]:
    return {slot: [{path: _known(k) for path, k in v.items()} for v in found] for slot, found in fills.items()}


def _read_variants(raw: Mapping[str, Any]) -> dict[str, tuple[Variant, ...]]:
    return {slot: tuple({p: _read_known(k) for p, k in v.items()} for v in found) for slot, found in raw.items()}


def _known(known: Known) -> Any:
    """Return a figure: its value alone if the part states it, else with the row, else with both values."""
    if known.conflict:
        return [_value(known.value), known.row, None if known.named is None else _value(known.named)]
    return _value(known.value) if known.row is None else [_value(known.value), known.row]


def _read_known(raw: Any) -> Known:
    if not isinstance(raw, list):
        return Known(_read_value(raw))
    if len(raw) == 2:
        return Known(_read_value(raw[0]), raw[1])
    value, row, named = raw
    return Known(_read_value(value), row, conflict=True, named=None if named is None else _read_value(named))


def _value(value: Value) -> Any:
    if isinstance(value, Measure):
        return value.value if value.resolution is None else {"measured": (value.value, value.resolution)}
    if isinstance(value, Range):
        return {"range": (value.low, value.high)}
    if isinstance(value, Choice):
        return {"any_of": value.options}
    if isinstance(value, Series):
        return {"all_of": value.values}
    return {"limit": value.value} if isinstance(value, Limit) else value


def _read_value(raw: Any) -> Value:
    if isinstance(raw, Decimal):
        return Measure(raw)
    if isinstance(raw, str):
        return raw
    ((kind, held),) = raw.items()
    if kind == "measured":
        return Measure(*held)
    if kind == "range":
        return Range(*held)
    if kind == "all_of":
        return Series(tuple(held))
    return Choice(tuple(held)) if kind == "any_of" else Limit(held)
