"""What a mechanic asks of the parts that he still has to choose: ``front_tyre price <= 40``, ``fork.mass_g < 500``.

In: a line of text. Out: a ``Filter``, which keeps or drops a part in one slot. A part whose figure is not stated does
not pass: nothing is guessed.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import FaultList
from catalog_schema.library import Library
from catalog_schema.parts import Part
from catalog_schema.ports.base import PORT_KINDS
from catalog_schema.quantity import Choice, Limit, Measure, Range, Series, Value
from catalog_schema.records import RECORD_KINDS
from solver.network.candidates import Candidate

_LINE: Final = re.compile(r"\s*([A-Za-z_]+)\s*[. ]\s*([A-Za-z_.]+?)\s*(<=|>=|!=|==|=|<|>|~)\s*(.+?)\s*")
_AMOUNT: Final = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:[A-Z]{3}|mm|g|kg|days?|teeth|deg)?")

_COMPARE: Final[Mapping[str, Callable[[Any, Any], bool]]] = {
    "<=": operator.le,
    ">=": operator.ge,
    "<": operator.lt,
    ">": operator.gt,
    "=": operator.eq,
    "==": operator.eq,
    "!=": operator.ne,
}

#: What a part has beside the figures of its ports.
NUMBERS: Final = ("price", "mass_g", "stock", "lead_days")
TEXTS: Final = ("maker", "model", "version", "number")


@dataclass(frozen=True, slots=True)
class Filter:
    """One condition on the parts of one slot. ``wanted`` is a number, or text; ``~`` means contains."""

    slot: str
    field: str
    sign: str
    wanted: Decimal | str

    def passes(self, candidate: Candidate) -> bool:
        """Return whether a candidate passes: in one of its settings, in every reading of its names."""
        if self.slot not in candidate.slots:
            return True
        if self.field in NUMBERS or self.field in TEXTS:
            return self._holds(of_part(candidate.part, self.field))
        return any(
            all(self.field in v and self._of_value(v[self.field].value) for v in way.variants(self.slot))
            for way in candidate.ways
        )

    def _of_value(self, value: Value) -> bool:
        if isinstance(value, Measure):
            return self._holds(value.value)
        if isinstance(value, Limit):
            return self._holds(value.value)
        if isinstance(value, Choice):
            return any(self._holds(o) for o in value.options)
        if isinstance(value, Series):
            return any(self._holds(v) for v in value.values)
        if isinstance(value, Range):
            ends = (value.low, value.high)
            return all(e is not None and self._holds(e) for e in ends)
        return self._holds(value)

    def _holds(self, found: Decimal | str | None) -> bool:
        if found is None:
            return False
        if isinstance(found, Decimal):
            return isinstance(self.wanted, Decimal) and _COMPARE[self.sign](found, self.wanted)
        mine, wanted = found.casefold(), str(self.wanted).casefold()
        if self.sign == "~":
            return wanted in mine
        return _COMPARE[self.sign](mine, wanted)


def of_part(part: Part, field: str) -> Decimal | str | None:
    """Return what a catalogue says of a part; a price in whole units of its currency."""
    identity = part.identity
    if field == "price":
        return Decimal(identity.price.minor) / 100 if identity.price is not None else None
    found = getattr(identity, field)
    return Decimal(found) if isinstance(found, int) else found


def read(text: str, bicycle: Bicycle, library: Library) -> Filter:
    """Return the condition in a line such as ``rear_tyre.bead.width_mm >= 40``.

    Raises:
        InputFaults: it cannot be read; the nearest known word is named.
    """
    faults = FaultList("--where")
    match = _LINE.fullmatch(text)
    if match is None:
        faults.add("bad-value", "", f"expected slot.field sign value, such as 'fork.mass_g <= 500', found {text!r}")
        faults.raise_if_any()
        raise AssertionError
    slot, field, sign, value = match.groups()
    value = value.strip("\"'")
    if slot not in bicycle.by_id:
        faults.unknown("", "slot", slot, bicycle.by_id)
        faults.raise_if_any()
    figures = _figures(bicycle.by_id[slot].kind)
    if field not in {*NUMBERS, *TEXTS, *figures}:
        faults.unknown(slot, "field", field, [*NUMBERS, *TEXTS, *figures])
        faults.raise_if_any()
    amount = _AMOUNT.fullmatch(value)
    is_text = field in TEXTS or (field in figures and figures[field])
    if sign == "~" and not is_text:
        faults.add("bad-value", f"{slot}.{field}", "~ (contains) is for text; this field is a number")
    elif not is_text and amount is None:
        faults.add("bad-value", f"{slot}.{field}", f"expected a number, found {value!r}")
    elif is_text and sign not in ("=", "==", "!=", "~"):
        faults.add("bad-value", f"{slot}.{field}", f"{sign} is for numbers; this field is text (use =, != or ~)")
    faults.raise_if_any()
    if not is_text and amount is not None:
        return Filter(slot, field, sign, Decimal(amount.group(1).replace(",", ".")))
    if field in figures and sign != "~":
        port, _, name = field.rpartition(".")
        kind = RECORD_KINDS[bicycle.by_id[slot].kind].ports()[port].kind if port else "record"
        value = library.word(kind, name, value) or value
    return Filter(slot, field, sign, value)


def _figures(record_kind: str) -> dict[str, bool]:
    """Return the figures of a record kind, ``port.figure`` -> whether it is a word."""
    from solver.rules.judging import figure_type

    record = RECORD_KINDS[record_kind]
    names = list(record.scalars())
    for port_name, port in record.ports().items():
        names += [f"{port_name}.{n}" for n in PORT_KINDS[port.kind].figure_names()]
    return {n: figure_type(record_kind, n) == "word" for n in names}
