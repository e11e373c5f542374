"""From raw tables to parts: shared by catalogues and lists, so that inline and by number mean the same.

In: raw tables, the library, the bicycle. Out: parts, with every fault noted under its place in the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, TypeVar

from catalog_schema import offered
from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import FaultList
from catalog_schema.figures import Variant
from catalog_schema.frozen import Frozen, Unreadable
from catalog_schema.lean import dataclass
from catalog_schema.library import Library
from catalog_schema.parts import Identity, Option, Part, Settings
from catalog_schema.quantity import shown
from catalog_schema.records import RECORD_KINDS, Record
from catalog_schema.resolve import variants

IDENTITY_KEYS: Final = frozenset(Identity.field_names()) - {"number"}
PART_KEYS: Final = IDENTITY_KEYS | {"fills", "settings", "versions"}
F = TypeVar("F", bound=Frozen)

OFFERS: Final = ("as-shipped", "in-the-box", "sold", "not-sold", "not-stated")


@dataclass(slots=True)
class Reader:
    """Reads parts of one file."""

    library: Library
    bicycle: Bicycle
    faults: FaultList

    def parts(self, number: str, raw: object, place: str) -> list[Part]:
        """Return the part that a table describes, or its versions; an empty list if it is faulty."""
        table = self._table(raw, place, PART_KEYS)
        if table is None:
            return []
        versions = table.pop("versions", None)
        if versions is None:
            part = self._part(number, table, place)
            return [part] if part is not None else []
        if not isinstance(versions, list) or not versions:
            self.faults.add("bad-value", f"{place}.versions", "expected a list of versions, each with a number")
            return []
        found = []
        for i, version in enumerate(versions):
            at = f"{place}.versions[{i}]"
            changes = self._table(version, at, (PART_KEYS | {"number"}) - {"versions"})
            if changes is None:
                continue
            own = changes.pop("number", "")
            if not isinstance(own, str) or not own:
                self.faults.add("missing-number", at, "a version needs a number of its own")
                continue
            part = self._part(own, _overlaid(table, changes), at)
            if part is not None:
                found.append(part)
        return found

    def inline(self, slot: str, raw: object, place: str) -> Part | None:
        """Return the part that a list describes in place of a number."""
        if isinstance(raw, str):
            return self._part("", {"fills": {slot: raw}}, place, fills_place=place)
        if not isinstance(raw, dict):
            self.faults.add("bad-value", place, f"expected a part, found {shown(raw)}")
            return None
        own = {k: v for k, v in raw.items() if k in IDENTITY_KEYS or k == "settings"}
        rest = {k: v for k, v in raw.items() if k not in own}
        return self._part("", {**own, "fills": {slot: rest}}, place, fills_place=place)

    def _part(self, number: str, table: Mapping[str, Any], place: str, fills_place: str = "") -> Part | None:
        identity = self._frozen(
            Identity, {**{k: v for k, v in table.items() if k in IDENTITY_KEYS}, "number": number}, place
        )
        fills = table.get("fills")
        if not isinstance(fills, dict) or not fills:
            self.faults.add("missing-fills", place, "a part says which slot it fills, as [fills.<slot>]")
            return None
        records: dict[str, Record] = {}
        beside: list[dict[str, Any]] = []
        together = True
        for key, raw in fills.items():
            at = fills_place or f"{place}.fills.{key}"
            slots = (key,) if key in self.bicycle.by_id else self.bicycle.slots_of_kind(key)
            if not slots:
                known = [*self.bicycle.by_id, *RECORD_KINDS]
                self.faults.unknown(at, "slot", key, known)
                continue
            if len(slots) > 1:
                together = False
            kind = self.bicycle.record_class(slots[0])
            raw, groups = self._less_offers(kind, raw, slots[0])
            beside += groups if len(slots) == 1 else []
            record = self._frozen(kind, raw, at)
            if record is not None:
                records.update(dict.fromkeys(slots, record))
        if not together and len(fills) > 1:
            self.faults.add("bad-value", place, "a part fills either one of a kind's slots, or named slots together")
            return None
        resolved = {
            slot: variants(record, self.library, self.faults, fills_place or f"{place}.fills.{slot}")
            for slot, record in records.items()
        }
        listed = table.get("settings")
        settings = self._settings(listed if listed is not None else beside or None, records, f"{place}.settings")
        if identity is None or len(records) == 0:
            return None
        return Part(identity, resolved, together, settings, self.faults.file)

    def _less_offers(self, kind: type[Record], raw: object, slot: str) -> tuple[object, list[dict[str, Any]]]:
        """Return what a part is described by without the words that offer another side of it, and these as settings."""
        if isinstance(raw, str):
            return offered.offers(kind, raw, slot, self.library)
        if not isinstance(raw, dict) or not isinstance(box := raw.get("box"), str):
            return raw, []
        rest, groups = offered.offers(kind, box, slot, self.library)
        return {**raw, "box": rest}, groups

    def _settings(self, raw: object, records: Mapping[str, Record], place: str) -> tuple[Settings, ...]:
        if raw is None:
            return ()
        if not isinstance(raw, list):
            self.faults.add("bad-value", place, f"expected a list of settings, found {shown(raw)}")
            return ()
        groups = []
        for i, group in enumerate(raw):
            at = f"{place}[{i}]"
            table = self._table(group, at, {"name", "complete", "options"})
            if table is None:
                continue
            name, options = table.get("name", ""), table.get("options")
            if not isinstance(name, str) or not name or not isinstance(options, list) or not options:
                self.faults.add("bad-value", at, "a group of settings has a name and a list of options")
                continue
            replaced: dict[str, set[str]] = {}
            read = [self._option(o, records, replaced, f"{at}.options[{j}]") for j, o in enumerate(options)]
            found = tuple(o for o in read if o is not None)
            if sum(o.offer == "as-shipped" for o in found) > 1:
                self.faults.add("bad-value", at, "only one option of a group is as shipped")
            ports = {s: tuple(sorted(p)) for s, p in sorted(replaced.items())}
            groups.append(Settings(name, table.get("complete") is True, found, ports))
        return tuple(groups)

    def _option(
        self, raw: object, records: Mapping[str, Record], replaced: dict[str, set[str]], place: str
    ) -> Option | None:
        table = self._table(raw, place, {"name", "offer", "number", *records})
        if table is None:
            return None
        name, offer = table.get("name", ""), table.get("offer", "not-stated")
        if not isinstance(name, str) or not name:
            self.faults.add("bad-value", place, "an option has a name")
            return None
        if offer not in OFFERS:
            self.faults.unknown(f"{place}.offer", "offer", offer, OFFERS)
            return None
        new: dict[str, tuple[Variant, ...]] = {}
        for slot, record in records.items():
            if slot not in table:
                continue
            ports = self._table(table[slot], f"{place}.{slot}", set(record.ports()))
            if ports is None:
                continue
            changed: dict[str, Any] = {}
            for port_name, port_raw in ports.items():
                port = self._frozen(record.ports()[port_name], port_raw, f"{place}.{slot}.{port_name}")
                if port is not None:
                    changed[port_name] = port
                    replaced.setdefault(slot, set()).add(port_name)
            bare = type(record)(**changed)
            new[slot] = variants(bare, self.library, self.faults, f"{place}.{slot}")
        return Option(name, offer, str(table.get("number", "")), new)

    def _table(self, raw: object, place: str, keys: set[str] | frozenset[str]) -> dict[str, Any] | None:
        if not isinstance(raw, dict):
            self.faults.add("bad-value", place, f"expected a table, found {shown(raw)}")
            return None
        for key in raw:
            if key not in keys:
                self.faults.unknown(place, "key", key, keys)
        return {k: v for k, v in raw.items() if k in keys}

    def _frozen(self, kind: type[F], raw: object, place: str) -> F | None:
        try:
            return kind.read(raw)
        except Unreadable as error:
            for problem in error.problems:
                at = ".".join([place, *problem.path])
                if problem.unknown_key:
                    parent = ".".join([place, *problem.path[:-1]])
                    self.faults.unknown(parent, "key", problem.path[-1], _keys_at(kind, problem.path))
                else:
                    self.faults.add("bad-figure", at, problem.message)
            return None


def _keys_at(kind: type[Frozen], path: tuple[str, ...]) -> tuple[str, ...]:
    """Return the keys that may stand where the last one of ``path`` stands."""
    here = kind
    for step in path[:-1]:
        if issubclass(here, Record) and step in here.ports():
            here = here.ports()[step]
    return here.field_names()


def _overlaid(base: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return ``base`` with ``changes`` laid over it, table by table."""
    out = dict(base)
    for key, value in changes.items():
        mine = out.get(key)
        out[key] = _overlaid(mine, value) if isinstance(mine, dict) and isinstance(value, dict) else value
    return out
