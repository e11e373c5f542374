"""From a record to figures: what is stated, and what the names on the box settle through the library.

In: a record. Out: one or more *variants*, each a flat mapping ``port.figure`` -> ``Known``. There is more than one
variant only where a name is ambiguous ("26 inch"): the truth is then one of them, and nobody knows which.
A figure that no name settles and nobody stated is absent from every variant.
"""

from __future__ import annotations

import itertools
from decimal import Decimal
from functools import cache
from typing import Any

from catalog_schema import boxline, phrases
from catalog_schema.faults import FaultList
from catalog_schema.figures import Known, Variant
from catalog_schema.interface import Family, Interface, fields_of
from catalog_schema.library import Library
from catalog_schema.ports.base import PORT_KINDS, Port
from catalog_schema.quantity import NONE, Choice, Limit, Measure, Range, Series, Value, parse_word
from catalog_schema.records import Record

MAX_VARIANTS = 24
#: Figures that count from a middle or to one side; no other is ever less than nothing.
MAY_BE_NEGATIVE = frozenset({"rim_shift_mm", "rim_left_mm", "angle_deg", "offset_mm"})


def variants(record: Record, library: Library, faults: FaultList, place: str) -> tuple[Variant, ...]:
    """Return the variants of ``record``; what is wrong with it goes to ``faults`` under ``place``."""
    record = boxline.expand(record, library, faults, place)
    per_port: list[list[dict[str, Known]]] = []
    whole = {
        name: Known(value)
        for name in record.scalars()
        if (value := _canonical("record", name, getattr(record, name), library, faults, place)) is not None
    }
    per_port.append([whole])
    for name in record.ports():
        port = getattr(record, name)
        if port is not None:
            found = _port_variants(port, library, faults, f"{place}.{name}")
            per_port.append([{f"{name}.{k}": v for k, v in variant.items()} for variant in found])
    combined = itertools.islice(itertools.product(*per_port), MAX_VARIANTS)
    return tuple({k: v for part in parts for k, v in part.items()} for parts in combined)


def _port_variants(port: Port, library: Library, faults: FaultList, place: str) -> list[dict[str, Known]]:
    if port.absent:
        return [{n: Known(NONE) for n in port.figure_names() if is_word(port.kind, n)}]
    stated = {
        name: value
        for name in port.figure_names()
        if (value := _canonical(port.kind, name, getattr(port, name), library, faults, place)) is not None
    }
    for name, value in stated.items():
        if isinstance(value, Measure) and value.value < 0 and name not in MAY_BE_NEGATIVE:
            faults.add("bad-figure", f"{place}.{name}", f"expected a figure that is not negative, found {value.value}")
        for question in phrases.doubts_in(port.kind, name, value, library):
            faults.add("implausible", f"{place}.{name}", question)
    stated = {name: _exact(port.kind, name, value, library) for name, value in stated.items()}
    named = _named(port, library, faults, place)
    agreeing = [n for n in named if not any(_disagree(k, n[k], v, library) for k, v in stated.items() if k in n)]
    out: list[dict[str, Known]] = []
    for figures in agreeing or named:
        variant = dict(figures)
        for name, value in stated.items():
            by_name = figures.get(name)
            if by_name is not None and _disagree(name, by_name, value, library):
                variant[name] = Known(value, conflict=True, named=by_name.value)
            elif by_name is not None and _confirms(by_name.value, value):
                continue
            else:
                variant[name] = Known(value)
        variant = _with_cogs(_with_inches(variant, library, faults, place), port)
        if variant not in out:
            out.append(variant)
    return out


def _with_inches(variant: dict[str, Known], library: Library, faults: FaultList, place: str) -> dict[str, Known]:
    """Return a variant in which a size in inches is in millimetres as well, converted exactly.

    Where the millimetres are known by themselves they count, and the inches, a name of the same size, say no more;
    unless the two are so far apart that one of them is of another part.
    """
    out = dict(variant)
    for name in [n for n in variant if n.endswith("_in")]:
        length = name.removesuffix("_in") + "_mm"
        converted = _in_millimetres(variant[name].value)
        there = variant.get(length)
        if there is None:
            out[length] = Known(converted)
            continue
        del out[name]
        apart = library.figure("tyres.inch-names").values["slip_mm"]
        if any(abs(a - b) > apart for a, b in zip(_ends(there.value), _ends(converted), strict=False)):
            said = " and ".join(f"{e:f}" for e in (*_ends(there.value), *_ends(converted)))
            faults.add("names-exclude", place, f"{length} and {name} are of two sizes: {said} mm")
    return out


def _with_cogs(variant: dict[str, Known], port: Port) -> dict[str, Known]:
    """Return a variant in which cogs that are listed one by one are counted as well, where nobody did."""
    listed = variant.get("cogs_teeth")
    if listed is None or not isinstance(listed.value, Series):
        return variant
    cogs = listed.value.values
    counted = {"speeds": Decimal(len(cogs)), "smallest_cog_teeth": cogs[0], "largest_cog_teeth": cogs[-1]}
    there = set(port.figure_names())
    return {**{n: Known(Measure(v)) for n, v in counted.items() if n in there}, **variant}


def _in_millimetres(value: Value) -> Value:
    if isinstance(value, Measure):
        return Measure(_inches(value.value), None if value.resolution is None else _inches(value.resolution))
    if isinstance(value, Limit):
        return value if value.value is None else Limit(_inches(value.value))
    if isinstance(value, Range):
        return Range(*(None if end is None else _inches(end) for end in (value.low, value.high)))
    raise TypeError(f"no inches in a {type(value).__name__}")


def _inches(number: Decimal) -> Decimal:
    return Decimal(format((number * phrases.UNITS["in"]).normalize(), "f"))


def _ends(value: Value) -> tuple[Decimal, ...]:
    return tuple(phrases.numbers_of(value))


def _exact(kind: str, name: str, value: Value, library: Library) -> Value:
    """Return the figure that the round number of a code stands for; what was measured is no code."""
    if not isinstance(value, Measure) or value.resolution is not None:
        return value
    exact = library.rounded.get(kind, {}).get(name, {}).get(value.value)
    return value if exact is None else Measure(exact)


def _named(port: Port, library: Library, faults: FaultList, place: str) -> list[dict[str, Known]]:
    """Return what the names of a port settle: one mapping for each reading of the names."""
    readings: list[list[dict[str, Known]]] = []
    for name in port.standard:
        rows = library.named(port.kind, name)
        if not rows:
            faults.unknown(place, "name", name, library.names_for(port.kind))
            continue
        found: list[dict[str, Known]] = []
        for row in rows:
            figures = _row_figures(row, port.kind, library)
            if figures not in found:
                found.append(figures)
        readings.append(found)
    merged: list[dict[str, Known]] = []
    for parts in itertools.product(*readings):
        whole: dict[str, Known] = {}
        for part in parts:
            both = {k: _narrowed(whole[k], v) if k in whole else v for k, v in part.items()}
            if any(v is None for v in both.values()):
                break
            whole.update({k: v for k, v in both.items() if v is not None})
        else:
            merged.append(whole)
    if not merged:
        faults.add("names-exclude", place, f"these names exclude each other: {', '.join(port.standard)}")
        return [{}]
    return merged[:MAX_VARIANTS]


def _narrowed(first: Known, second: Known) -> Known | None:
    """Return what two names say together: of alternatives those that both allow; None if they exclude each other."""
    if first.value == second.value:
        return second
    if not (isinstance(first.value, Choice) or isinstance(second.value, Choice)):
        return None
    common = tuple(o for o in _options(first.value) if o in _options(second.value))
    if not common:
        return None
    if len(common) > 1:
        return Known(Choice(common), second.row)
    only = common[0]
    return Known(Measure(only) if isinstance(only, Decimal) else only, second.row)


def _options(value: Value) -> tuple[Decimal | str, ...]:
    """Return the alternatives of a value; of any other value, itself."""
    return value.options if isinstance(value, Choice) else (_plain(value),)


def _row_figures(row: Interface | Family, kind: str, library: Library) -> dict[str, Known]:
    if isinstance(row, Family):
        return {name: Known(row.id, row.id) for key in row.of for k, name in fields_of(key) if k == kind}
    port = PORT_KINDS[kind].read(row.sides[kind])
    unheard = FaultList("library")
    figures: dict[str, Known] = {}
    for name in port.figure_names():
        value = _canonical(kind, name, getattr(port, name), library, unheard, row.id)
        if value is not None:
            figures[name] = Known(value, row.id)
    return figures


def _canonical(
    kind: str, name: str, value: Value | None, library: Library, faults: FaultList, place: str
) -> Value | None:
    """Return the value with every word in its canonical form; an unknown word is a fault."""
    known = library.words.get((kind, name))
    if known is None or value is None:
        return value
    if isinstance(value, str):
        if value == NONE:
            return value
        word = library.word(kind, name, value)
        if word is None:
            faults.unknown(f"{place}.{name}", "word", value, known.values())
        return word
    if isinstance(value, Choice):
        words = [library.word(kind, name, str(o)) for o in value.options]
        for option, word in zip(value.options, words, strict=True):
            if word is None:
                faults.unknown(f"{place}.{name}", "word", option, known.values())
        return Choice(tuple(sorted({w for w in words if w is not None}))) if all(words) else None
    return value


def _disagree(name: str, named: Known, stated: Value, library: Library) -> bool:
    """Return whether a stated value cannot mean the row that a name points to."""
    value = named.value
    if isinstance(value, Measure) and isinstance(stated, Measure):
        slack = _row_slack(name, named, library)
        return abs(value.value - stated.value) > slack + (stated.resolution or Decimal(0))
    if isinstance(value, Choice) or isinstance(stated, Choice):
        return not set(_options(value)) & set(_options(stated))
    if isinstance(value, str) and isinstance(stated, str):
        return value != stated
    return False


def _confirms(named: Value, stated: Value) -> bool:
    """Return whether a measurement cannot be told from the figure of the name: the name's figure then counts."""
    if not isinstance(named, Measure) or not isinstance(stated, Measure) or stated.resolution is None:
        return False
    return abs(named.value - stated.value) <= stated.resolution


def _plain(value: Value) -> Any:
    return value.value if isinstance(value, Measure) else value


def _row_slack(name: str, named: Known, library: Library) -> Decimal:
    """Return how far a figure may be from its row: by its own tolerance, else by the widest one of the row."""
    row = library.rows.get(named.row or "")
    if not isinstance(row, Interface):
        return Decimal(0)
    return row.tolerance.get(name, max(row.tolerance.values(), default=Decimal(0)))


@cache
def is_word(port_kind: str, figure: str) -> bool:
    """Return whether this figure of this port kind holds a word of the library."""
    return PORT_KINDS[port_kind].readers()[figure] is parse_word
