"""Words for values: figures with their units, slots, tools, library rows; and user text made harmless.

In: values of the schema. Out: short texts without line breaks. Numbers are printed exactly, with no zero that the
source does not have.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from catalog_schema import bicycle as bicycles
from catalog_schema import library as libraries
from catalog_schema.hints import Hint, hint
from catalog_schema.interface import AdapterKind, Row, Table, TradeFigure
from catalog_schema.quantity import Choice, Limit, Measure, Range, Series, Value
from catalog_schema.records import RECORD_KINDS
from solver.report import ShownFigure

NOT_STATED: Final = "not stated"

#: What the end of a figure's name says of its unit, and how that is printed after a number.
UNITS: Final = {
    "mm": " mm",
    "deg": "°",
    "teeth": " teeth",
    "bar": " bar",
    "nm": " Nm",
    "g": " g",
    "tpi": " threads an inch",
    "percent": " %",
    "turns": " turns",
    "links": " links",
    "psi": " psi",
    "ml": " ml",
    "m": " m",
}

#: A computed figure with more places than this came out of a division and is rounded.
#: Figures that a size of a tyre in inches may stand in, and the step of such sizes in millimetres (0.025 in).
_IN_INCHES: Final = frozenset({"width_mm", "tyre_max_mm"})
_INCH_STEP: Final = Decimal("0.635")
_EXACT_PLACES: Final = 3


def clean(text: str, limit: int = 60) -> str:
    """Return a text of a user as it may be printed: one line, no control or direction characters, not long."""
    short = text[: limit + 1]
    shown = "".join(c if c.isprintable() else "?" for c in short)
    return shown if len(text) <= limit else shown[: limit - 3] + "..."


def number(value: Decimal) -> str:
    """Return a decimal as written, never in powers of ten.

    >>> number(Decimal("28.6"))
    '28.6'
    """
    return format(value, "f")


def computed(value: Decimal) -> str:
    """Return a figure made by us, without zeros at the end; a quotient is rounded to two places.

    >>> computed(Decimal("6.00")), computed(Decimal("1.005")), computed(Decimal(1) / 3)
    ('6', '1.005', '0.33')
    """
    exponent = value.as_tuple().exponent
    if isinstance(exponent, int) and exponent < -_EXACT_PLACES:
        value = value.quantize(Decimal("0.01"))
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def unit(key: str) -> str:
    """Return the unit that a figure's name ends in, as printed."""
    return UNITS.get(key.rpartition("_")[2], "") if "_" in key else ""


def word(value: str) -> str:
    """Return a word of the library as the trade says it."""
    row = libraries.load().rows.get(value)
    return row.names[0] if row is not None and row.names else value


def value_text(value: Value | Decimal | None, key: str) -> str:
    """Return a value with its unit."""
    after = unit(key)
    if value is None:
        return NOT_STATED
    if isinstance(value, str):
        return word(value)
    if isinstance(value, Decimal):
        return computed(value) + after
    if isinstance(value, Measure):
        return number(_of_a_tyre(value.value, key)) + after
    if isinstance(value, Limit):
        return "no printed limit" if value.value is None else number(_of_a_tyre(value.value, key)) + after
    if isinstance(value, Range):
        return _range(value, after)
    if isinstance(value, Series):
        return "-".join(number(v) for v in value.values) + after
    if isinstance(value, Choice):
        return listed([o if isinstance(o, Decimal) else word(o) for o in value.options], "or") + after
    raise TypeError(f"no words for a {type(value).__name__}")


def _of_a_tyre(value: Decimal, key: str) -> Decimal:
    """Return the millimetres of a size in inches to one place; any other figure as it is.

    >>> _of_a_tyre(Decimal("60.96"), "width_mm"), _of_a_tyre(Decimal("60.96"), "dia_mm")
    (Decimal('61.0'), Decimal('60.96'))
    """
    exponent = value.as_tuple().exponent
    finer = isinstance(exponent, int) and exponent < -1
    inches = finer and key in _IN_INCHES and value % _INCH_STEP == 0
    return value.quantize(Decimal("0.1"), ROUND_HALF_UP) if inches else value


def _range(value: Range, after: str) -> str:
    if value.low is None:
        return f"up to {number(value.high)}{after}" if value.high is not None else NOT_STATED
    if value.high is None:
        return f"from {number(value.low)}{after}"
    return f"{number(value.low)} to {number(value.high)}{after}"


def figure(shown: ShownFigure) -> str:
    """Return the figure of a finding in words."""
    return value_text(shown.value, shown.ref.rpartition(".")[2] or shown.name)


def listed(items: Sequence[object], last: str = "and") -> str:
    """Return items as a list in a sentence.

    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    texts = [number(i) if isinstance(i, Decimal) else str(i) for i in items]
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} {last} {texts[-1]}"


def counted(count: int, one: str, many: str = "") -> str:
    """Return a count with its noun.

    >>> counted(1, "joint"), counted(3, "joint")
    ('1 joint', '3 joints')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def slot(slot_id: str) -> str:
    """Return the words for a slot."""
    known = bicycles.load().by_id.get(slot_id)
    return known.words if known is not None else slot_id.replace("_", " ")


def hint_of(ref: str) -> Hint:
    """Return how the figure ``slot.port.figure`` is found."""
    slot_id, _, path = ref.partition(".")
    port_name, _, name = path.rpartition(".")
    known = bicycles.load().by_id.get(slot_id)
    if known is None:
        return hint(slot_id, name)
    port = RECORD_KINDS[known.kind].ports().get(port_name)
    return hint(port.kind if port is not None else "record", name)


def figure_name(ref: str) -> str:
    """Return the words for the figure ``slot.port.figure``, with the part it belongs to."""
    path, _, end = ref.partition(":")
    slot_id = path.partition(".")[0]
    if path == f"{slot_id}.box":
        return f"{slot(slot_id)}, which of several sizes its name means"
    which = {"from": "the lower end of its ", "to": "the upper end of its "}.get(end, "")
    if slot_id not in bicycles.load().by_id:
        return hint_of(path).words
    return f"{slot(slot_id)}, {which}{hint_of(path).words}"


def row_name(row_id: str) -> str:
    """Return how a row of the library is called."""
    row = libraries.load().rows.get(row_id)
    if row is None:
        return row_id
    title = row.title if isinstance(row, TradeFigure | Table | AdapterKind) else ""
    return title or (row.names[0] if row.names else row.id)


def grounds(row: Row) -> list[str]:
    """Return why a row is believed: one line a source, or the lack of one."""
    seen = {"opened": "read again by us", "excerpt": "read in part", "second-hand": "taken over from a reader"}
    basis = row.grounds.basis
    found = []
    for source in libraries.load().sources_of(row):
        parts = [source.title, source.publisher, source.year, source.url, seen.get(row.grounds.seen, "")]
        found.append(", ".join(p for p in parts if p))
    if found:
        return [f"{text} ({basis})" if basis != "published" else text for text in found]
    return [{"memory": "from memory, check", "arithmetic": "arithmetic"}.get(basis, f"{basis}, no source")]


def sentence(text: str) -> str:
    """Return a text that begins with a capital and ends with a full stop."""
    text = " ".join(text.split())
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?:" else text + "."


def joined(texts: Iterable[str]) -> str:
    """Return sentences one after the other."""
    return " ".join(t for t in texts if t)


def grounds_of(row_id: str) -> list[str]:
    """Return why the row with this id is believed; nothing for an id that is no row."""
    row = libraries.load().rows.get(row_id)
    return grounds(row) if row is not None else []
