"""The list that a user brings: for each slot that he mentions, what is there.

In: a TOML or CSV file (or text), the library, the bicycle, catalogues. Out: a ``FittingList`` of slot states. A slot is
*picked* (a number or a part described on the spot), a *shortlist*, *open* (``"any"``), *none* (``"none"``: this bicycle
has no such part), or not mentioned. A part that fills several slots fills the unmentioned ones too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final, Literal

from catalog_schema import boxline, rows, slot_words
from catalog_schema import catalog as catalogs
from catalog_schema.bicycle import Bicycle
from catalog_schema.catalog import Catalog
from catalog_schema.faults import Fault, FaultList, InputFaults, nearest
from catalog_schema.files import parse_toml, read_text
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.library import Library
from catalog_schema.names import squeezed
from catalog_schema.parts import Part
from catalog_schema.quantity import NONE, shown
from catalog_schema.reading import Reader
from catalog_schema.slot_words import ANY

LIST_KEYS: Final = frozenset({"title", "note", "kind", "catalogs", "slots", "parts", "extras"})

State = Literal["picked", "shortlist", "open", "none"]


@dataclass(frozen=True, slots=True)
class SlotState:
    """What a list says of one slot. ``parts`` holds one part, the shortlist, or nothing.

    ``by_other`` names the slot under which a part stands that fills this one as well.
    """

    state: State
    parts: tuple[Part, ...] = ()
    by_other: str = ""


@dataclass(frozen=True, slots=True)
class FittingList:
    """A list, read. ``slots`` is in bicycle order and holds mentioned and thereby filled slots only."""

    title: str
    kind: str
    slots: Mapping[str, SlotState]
    catalog: Catalog = field(default_factory=Catalog)
    #: numbers of small parts that are on the list as well, such as a set of end caps
    extras: tuple[str, ...] = ()
    #: (closed word, what it is about): how entries were taken
    notices: tuple[tuple[str, str], ...] = ()

    def part(self, slot: str) -> Part | None:
        """Return the one part picked for ``slot``, or None."""
        state = self.slots.get(slot)
        return state.parts[0] if state is not None and state.state == "picked" else None


def load(
    path: Path | str,
    library: Library,
    bicycle: Bicycle,
    extra_catalogs: Iterable[Path | str] = (),
) -> FittingList:
    """Return the list in a file; ``.csv`` and ``.tsv`` say rows, other endings TOML; ``-`` is standard input, either.

    Raises:
        InputFaults: with every fault of the list and its catalogues.
    """
    text = read_text(path)
    name = "standard input" if str(path) == "-" else str(path)
    folder = Path() if str(path) == "-" else Path(path).parent
    in_rows = name.lower().endswith((".csv", ".tsv")) or (str(path) == "-" and rows.looks_like_rows(text))
    raw = rows.read(text, name) if in_rows else parse_toml(text, name)
    return read(raw, name, library, bicycle, extra_catalogs, folder)


def read(
    raw: Mapping[str, Any],
    name: str,
    library: Library,
    bicycle: Bicycle,
    extra_catalogs: Iterable[Path | str] = (),
    folder: Path | None = None,
) -> FittingList:
    """Return the list in a raw table; catalogue paths are relative to ``folder``.

    Raises:
        InputFaults: with every fault.
    """
    faults = FaultList(name)
    named = raw.get("catalogs", [])
    if not isinstance(named, list) or not all(isinstance(n, str) for n in named):
        faults.add("bad-value", "catalogs", f"expected a list of file names, found {shown(named)}")
        named = []
    paths = [*((folder or Path()) / n for n in named), *extra_catalogs]
    found = Catalog()
    try:
        found = catalogs.load(paths, library, bicycle)
    except InputFaults as error:
        faults.faults.extend(error.faults)
    reader = Reader(library, bicycle, faults)
    whole = _with_own_parts(found, raw["parts"], reader) if "parts" in raw else found
    for key in raw:
        if key not in LIST_KEYS:
            faults.unknown("", "key", key, LIST_KEYS)
    title, kind = (_text(raw, key, faults) for key in ("title", "kind"))
    if kind and bicycle.kind(kind) is None:
        faults.unknown("kind", "kind of bicycle", kind, [n for k in bicycle.kinds for n in (k.id, *k.names)])
    extras = raw.get("extras", [])
    if not isinstance(extras, list) or not all(isinstance(e, str) for e in extras):
        faults.add("bad-value", "extras", f"expected a list of numbers, found {shown(extras)}")
        extras = []
    for number in extras:
        if number not in whole.parts and number not in (known := _numbers(whole)):
            faults.unknown("extras", "number", number, known)
    of_kind = bicycle.kind(kind)
    states = _states(raw.get("slots", {}), whole, reader, faults, of_kind.id if of_kind is not None else "")
    if any(f.file != name for f in faults.faults):
        faults.faults = [f for f in faults.faults if not _may_be_a_number(f, name, raw)]
    faults.raise_if_any()
    notices = tuple(dict.fromkeys(faults.notices))
    return FittingList(title, kind, _spread(states, whole, bicycle, faults), whole, tuple(extras), notices)


def _with_own_parts(catalog: Catalog, raw: object, reader: Reader) -> Catalog:
    """Return a catalogue with the parts that a list brings along; a number that is there already is a fault."""
    parts: dict[str, Part] = {}
    models: dict[str, tuple[str, ...]] = {}
    catalogs.read_parts(raw, reader, parts, models)
    for number in parts:
        if number in catalog.parts:
            message = f"the number {number} stands in {catalog.parts[number].file} too"
            reader.faults.add("duplicate-number", f"parts.{number}", message)
    return catalog.with_parts(parts, models)


def _numbers(catalog: Catalog) -> set[str]:
    """Return every number of a catalogue, those of settings included."""
    settings = (o.number for p in catalog.parts.values() for g in p.settings for o in g.options if o.number)
    return {*catalog.parts, *settings}


def _may_be_a_number(fault: Fault, name: str, raw: Mapping[str, Any]) -> bool:
    """Return whether a fault may only come from a catalogue that could not be read: a number that is not known."""
    if fault.file != name or fault.kind not in ("unknown-word", "unknown-number"):
        return False
    section, _, slot = fault.place.partition(".")
    if section == "extras":
        return True
    slots = raw.get("slots")
    value = slots.get(slot.partition("[")[0]) if section == "slots" and isinstance(slots, dict) else None
    named = value if isinstance(value, list) else [value]
    return all(isinstance(v, str) and "," not in v for v in named)


def _text(raw: Mapping[str, Any], key: str, faults: FaultList) -> str:
    value = raw.get(key, "")
    if not isinstance(value, str):
        faults.add("bad-value", key, f"expected text, found {shown(value)}")
        return ""
    return value


def _states(raw: object, catalog: Catalog, reader: Reader, faults: FaultList, kind: str) -> dict[str, SlotState]:
    if not isinstance(raw, dict):
        faults.add("bad-value", "slots", f"expected a table of slots, found {shown(raw)}")
        return {}
    if not raw:
        faults.add("empty-list", "slots", "the list names no part")
    states: dict[str, SlotState] = {}
    for slot, place, value in _by_slot(raw, catalog, reader, faults, kind):
        if slot in states:
            faults.add("slot-taken", place, f"the {reader.bicycle.by_id[slot].words} stands on the list twice")
        elif value == ANY:
            states[slot] = SlotState("open")
        elif value == NONE:
            states[slot] = SlotState("none")
        elif isinstance(value, list):
            picked = [_pick(slot, v, f"{place}[{i}]", catalog, reader) for i, v in enumerate(value)]
            parts = tuple(p for p in picked if p is not None)
            if not value:
                faults.add("bad-value", place, "expected at least one part in a shortlist")
            elif parts:
                states[slot] = SlotState("shortlist" if len(value) > 1 else "picked", parts)
        else:
            part = _pick(slot, value, place, catalog, reader)
            if part is not None:
                states[slot] = SlotState("picked", (part,))
    return states


def _by_slot(
    raw: Mapping[str, Any], catalog: Catalog, reader: Reader, faults: FaultList, kind: str
) -> list[tuple[str, str, object]]:
    """Return (slot, place in the file, what is there); words of the workshop are dealt out to the slots they mean."""
    bicycle = reader.bicycle
    beside = {squeezed(f"{place}{word}") for word in bicycle.beside for place in ("", "front ", "rear ")}
    faults.notices += [("not-judged", key) for key in raw if squeezed(key) in beside]
    raw = {key: value for key, value in raw.items() if squeezed(key) not in beside}
    if all(key in bicycle.by_id for key in raw):
        return [(slot, f"slots.{slot}", value) for slot, value in raw.items()]
    known = slot_words.vocabulary(bicycle, kind)
    implied = slot_words.implied(s for key in raw if (m := known.get(squeezed(key))) is not None for s in m.slots)
    out: list[tuple[str, str, object]] = []
    for key, value in raw.items():
        place = f"slots.{key}"
        meaning = known.get(squeezed(key))
        if meaning is None:
            faults.unknown(place, "slot", key, (*bicycle.by_id, *known.written))
        elif len(meaning.slots) == 1:
            out.append((meaning.slots[0], place, _with(meaning.says, value, catalog)))
        elif isinstance(value, str):
            value = _with(meaning.says, value, catalog)
            out += [
                (s, place, v) for s, v in _dealt(key, meaning, str(value), implied, catalog, reader, faults).items()
            ]
        else:
            named = ", ".join(meaning.every)
            faults.add("bad-value", place, f"{key} stands for several places; here name one of them: {named}")
    return out


def _with(says: str, value: object, catalog: Catalog) -> object:
    """Return words on a box with what the word for their slot says of the part (a ``skewer`` is a quick release)."""
    if not says or not isinstance(value, str) or value in (ANY, NONE) or value in {*catalog.parts, *catalog.models}:
        return value
    return f"{value}, {says}"


def _dealt(
    key: str,
    meaning: slot_words.Meaning,
    value: str,
    implied: set[str],
    catalog: Catalog,
    reader: Reader,
    faults: FaultList,
) -> dict[str, str]:
    """Return slot -> its words, of a word that stands for several slots."""
    at = ("",) if meaning.slots else slot_words.PLACES
    dealt = {p: slot_words.deal(meaning, p, value, reader.library, reader.bicycle, catalog.parts) for p in at}
    places = list(at)
    if not meaning.slots and not meaning.both:
        whole = [p for p, d in dealt.items() if not d.unplaced]
        named = {p for d in dealt.values() for p in d.places}
        possible = [p for p in whole if p in named] or [p for p in whole if p in implied] or whole or ["rear"]
        if len(possible) > 1:
            message = f"front or rear is not said: write 'front {key}', 'rear {key}', or '{key}s' for both"
            faults.add("place-needed", f"slots.{key}", message)
            return {}
        places = possible
    unplaced = [t for t in dealt[places[0]].unplaced if all(t in dealt[p].unplaced for p in places)]
    slots = [s for p in places for s in meaning.at(p)]
    slot_words.report_unplaced(unplaced, slots, reader.library, reader.bicycle, faults, f"slots.{key}")
    faults.notices += dict.fromkeys(n for p in places for n in dealt[p].notices)
    return {slot: text for p in places for slot, text in dealt[p].texts.items()}


def _pick(slot: str, value: object, place: str, catalog: Catalog, reader: Reader) -> Part | None:
    """Return the part that one entry means: a number of the catalogue, else words on the box, else a record."""
    if isinstance(value, str):
        if value in catalog.parts:
            part = catalog.parts[value]
            if slot not in part.fills:
                filled = ", ".join(sorted(part.fills))
                reader.faults.add("wrong-slot", place, f"{value} fills {filled}, not {slot}")
                return None
            if _like_words(value, slot, catalog, reader):
                reader.faults.notices.append(("number-not-words", value))
            return part
        if value in catalog.models:
            versions = ", ".join(catalog.models[value])
            reader.faults.add("version-needed", place, f"{value} is sold in versions; name one of {versions}")
            return None
        before = len(reader.faults.faults)
        part_or_none = reader.inline(slot, value, place)
        if len(reader.faults.faults) > before and "," not in value and (like := nearest(value, catalog.numbers(slot))):
            del reader.faults.faults[before:]
            reader.faults.add("unknown-number", place, f"no part {shown(value)} for this slot", like)
            return None
        return part_or_none
    if isinstance(value, dict) and "number" in value:
        return _with_own_figures(slot, value, place, catalog, reader)
    return reader.inline(slot, value, place)


def _like_words(number: str, slot: str, catalog: Catalog, reader: Reader) -> bool:
    """Return whether a number could be read as words on the box of what fills a slot."""
    if catalog.like_words is not None:
        return (number, slot) in catalog.like_words
    return bool(boxline.read(reader.bicycle.record_class(slot), number, reader.library).placed)


def _with_own_figures(slot: str, value: Mapping[str, Any], place: str, catalog: Catalog, reader: Reader) -> Part | None:
    """Return a part of the catalogue with figures that the list states over: a steerer that was cut, a depth as set."""
    number = value["number"]
    if not isinstance(number, str) or number not in {*catalog.parts, *catalog.models}:
        known = sorted(n for n, p in catalog.parts.items() if slot in p.fills)
        reader.faults.unknown(f"{place}.number", "number", number, known)
        return None
    part = _pick(slot, number, f"{place}.number", catalog, reader)
    if part is None:
        return None
    own = reader.inline(slot, {k: v for k, v in value.items() if k != "number"}, place)
    if own is None:
        return None
    fills = tuple({**old, **new} for old in part.fills[slot] for new in own.fills[slot])
    return replace(part, fills={**part.fills, slot: fills})


def _spread(
    states: Mapping[str, SlotState], catalog: Catalog, bicycle: Bicycle, faults: FaultList
) -> dict[str, SlotState]:
    """Let parts that fill several slots fill them all; a slot that is taken or none is a fault."""
    out = dict(states)
    for slot, state in states.items():
        if state.state != "picked" or not state.parts[0].together:
            continue
        part = state.parts[0]
        for other in part.fills:
            mine = out.get(other)
            if mine is None:
                out[other] = SlotState("picked", (part,), by_other=slot)
            elif mine.state == "none":
                message = f"{part.number or part.label} fills {other} as well, and the list says none"
                faults.add("slot-taken", f"slots.{slot}", message)
            elif mine.state == "open":
                out[other] = SlotState("picked", (part,), by_other=slot)
            elif part not in mine.parts:
                message = f"{part.number or part.label} fills {other} as well, which another part takes"
                faults.add("slot-taken", f"slots.{slot}", message)
    faults.raise_if_any()
    return dict(sorted(out.items(), key=lambda item: bicycle.order[item[0]]))
