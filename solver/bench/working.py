"""Working out the figures of the sheet: each declared figure at each place where its parts are on the list.

In: the figures of the parts in their slots, the numbers of the parts, the library. Out: ``BenchFigure`` records. An
input that is missing, or that a name and a measurement contradict, blocks the figures that read it and no others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from catalog_schema.figures import Known, Variant
from catalog_schema.lean import dataclass, field
from catalog_schema.library import Library
from catalog_schema.quantity import Choice, Limit, Measure, Value
from solver.bench.registry import FIGURES, Assumed, Either, Figure, Parameter, Wanted, Worked, reads_of
from solver.report_bench import BenchFigure, Input, NotAsked, Origin, Result
from solver.rules.registry import Band, FromLibrary, Place, Read, RowTable


@dataclass(frozen=True, slots=True)
class Parts:
    """What is on the bench: the figures of each filled slot (several variants: its name is ambiguous), and its number.

    A slot without a number was described on the list itself. ``homes`` gives the slot under which each part was bought:
    that of a wheelset is the same for its hubs, rims and spokes. ``own`` names figures (``slot.port.figure``) that the
    list states over those of a catalogue's part, ``none`` slots of which it says that the bicycle has none.
    """

    figures: Mapping[str, Sequence[Variant]]
    numbers: Mapping[str, str]
    library: Library
    homes: Mapping[str, str] = field(default_factory=dict)
    own: frozenset[str] = frozenset()
    none: frozenset[str] = frozenset()

    def apart(self, slots: Sequence[str]) -> bool:
        """Return whether parts were bought one by one, and do not come put together."""
        homes = [self.homes.get(s, s) for s in slots]
        return len(set(homes)) == len(homes)

    def known(self, ref: str) -> Known | None:
        """Return the figure ``slot.port.figure``, if all readings of the part agree on it and nothing contradicts."""
        slot, _, path = ref.partition(".")
        found = [_look_up(v, path) for v in self.figures.get(slot, ())]
        first = found[0] if found else None
        if first is None or first.conflict or any(k is None or k.value != first.value for k in found):
            return None
        return first

    def limit(self, ref: str) -> Decimal | None:
        """Return a limit that is printed on a part."""
        found = self.known(ref)
        return found.value.value if found is not None and isinstance(found.value, Limit) else None


@dataclass(frozen=True, slots=True)
class _Found:
    """An argument for the function, and what the sheet says of it."""

    value: Any
    inputs: tuple[Input, ...] = ()
    missing: str = ""
    disagrees: bool = False
    unsaid: str = ""


def work_out(parts: Parts) -> tuple[list[BenchFigure], list[NotAsked]]:
    """Return the figures, as declared, and those that are not asked, with the slots or choices that they lack."""
    found: list[BenchFigure] = []
    lacking: list[NotAsked] = []
    for figure in FIGURES.values():
        for place in figure.places:
            absent = tuple(dict.fromkeys(place.roles[r] for r in figure.needed if place.roles[r] not in parts.figures))
            at = f"{figure.id}@{place.name}" if place.name else figure.id
            if absent:
                lacking.append(NotAsked(at, absent, figure.lasting))
            elif not _is_asked(figure, place, parts):
                continue
            elif unsaid := tuple(r for ref in figure.asked_if if parts.known(r := _slot_ref(ref, place.roles)) is None):
                lacking.append(NotAsked(at, unsaid))
            elif (worked := _at_place(figure, place, parts)) is not None:
                found.append(worked)
    return found, lacking


def arises(where: Mapping[str, tuple[str | Decimal, ...]], roles: Mapping[str, str], parts: Parts) -> bool:
    """Return whether no figure of ``where`` is known to be something else than the words asked for."""
    for ref, words in where.items():
        role, _, path = ref.partition(".")
        variants = parts.figures.get(roles.get(role, role), ())
        values = [_look_up(v, path) for v in variants]
        if values and all(k is not None and not set(_words(k.value)) & set(words) for k in values):
            return False
    return True


def excluded(never: Mapping[str, tuple[str | Decimal, ...]], roles: Mapping[str, str], parts: Parts) -> bool:
    """Return whether a figure of ``never`` may be one of the words that rule a piece of work out."""
    for ref, words in never.items():
        role, _, path = ref.partition(".")
        values = [_look_up(v, path) for v in parts.figures.get(roles.get(role, role), ())]
        if any(k is not None and set(_words(k.value)) & set(words) for k in values):
            return True
    return False


def _is_asked(figure: Figure, place: Place, parts: Parts) -> bool:
    """Return whether a figure of filled slots arises: its parts are of the kind it is for, and not bought as one."""
    return (
        parts.apart([place.roles[r] for r in figure.apart])
        and arises(figure.where, place.roles, parts)
        and _stated(figure.stated, place.roles, parts)
    )


def _stated(refs: Sequence[str], roles: Mapping[str, str], parts: Parts) -> bool:
    """Return whether one of these figures is known, or none is asked for."""
    for ref in refs:
        role, _, path = ref.partition(".")
        if any(_look_up(v, path) is not None for v in parts.figures.get(roles[role], ())):
            return True
    return not refs


def _words(value: Value) -> tuple[object, ...]:
    if isinstance(value, Measure):
        return (value.value,)
    return value.options if isinstance(value, Choice) else (value,)


def _look_up(variant: Variant, path: str) -> Known | None:
    """Return a figure of a part; where a side states no material, that of the part counts."""
    known = variant.get(path)
    if known is None and path.endswith(".material"):
        return variant.get("material")
    return known


def _at_place(figure: Figure, place: Place, parts: Parts) -> BenchFigure | None:
    arguments = {name: _argument(name, p, place.roles, parts) for name, p in figure.parameters.items()}
    inputs = tuple(i for a in arguments.values() for i in a.inputs)
    missing = tuple(dict.fromkeys(a.missing for a in arguments.values() if a.missing))
    disagree = tuple(dict.fromkeys(a.missing for a in arguments.values() if a.disagrees))
    if missing:
        return _to_measure(figure, place, inputs, missing, disagree)
    worked = figure.work(**{name: a.value for name, a in arguments.items()})
    if worked is None:
        return None
    if isinstance(worked, Wanted):
        refs = tuple(_slot_ref(reads_of(figure.parameters[n])[-1].ref, place.roles) for n in worked.parameters)
        return _to_measure(figure, place, inputs, refs)
    _closed(figure, worked)
    return BenchFigure(
        figure.id, place.name, "known", figure.formula, inputs, _results(figure, worked), worked.grid,
        remarks=worked.remarks, warnings=worked.warnings, rows=_rows(figure, inputs), lasting=figure.lasting,
        caution=figure.caution, about=_about(figure, place), ordered=figure.ordered,
        unsaid=tuple(dict.fromkeys(a.unsaid for a in arguments.values() if a.unsaid)),
    )  # fmt: skip


def _to_measure(
    figure: Figure, place: Place, inputs: tuple[Input, ...], missing: tuple[str, ...], disagree: tuple[str, ...] = ()
) -> BenchFigure:
    return BenchFigure(
        figure.id, place.name, "measure", figure.formula, inputs, missing=missing, disagree=disagree,
        rows=_rows(figure, inputs), lasting=figure.lasting, caution=figure.caution, about=_about(figure, place),
    )  # fmt: skip


def _about(figure: Figure, place: Place) -> tuple[str, ...]:
    return tuple(place.roles[r] for r in figure.needed)


def _closed(figure: Figure, worked: Worked) -> None:
    """Refuse results and remarks that the declaration does not name."""
    for key in worked.results:
        if key not in figure.gives:
            raise ValueError(f"{figure.id} gives {key}, which it does not declare")
    for remark in (*worked.remarks, *worked.warnings):
        if remark not in figure.remarks:
            raise ValueError(f"{figure.id} remarks {remark}, which it does not declare")


def _results(figure: Figure, worked: Worked) -> tuple[Result, ...]:
    found = []
    for key, exact in worked.results.items():
        rounding = figure.gives[key]
        if rounding is None or not isinstance(exact, Decimal):
            found.append(Result(key, exact, exact))
        else:
            found.append(Result(key, rounding.of(exact), exact, rounding.words))
    return tuple(found)


def _rows(figure: Figure, inputs: Sequence[Input]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*figure.rows, *(i.row for i in inputs if i.row))))


def _argument(name: str, parameter: Parameter, roles: Mapping[str, str], parts: Parts) -> _Found:
    if isinstance(parameter, FromLibrary):
        return _row(name, parameter, parts.library)
    if isinstance(parameter, Assumed):
        found = _figure(name, parameter.read, roles, parts)
        if found.value is not None or found.missing:
            return found
        ref = _slot_ref(parameter.read.ref, roles)
        value = Measure(parameter.value) if isinstance(parameter.value, Decimal) else parameter.value
        return _Found(parameter.value, (Input(name, ref, value, "assumed"),))
    if isinstance(parameter, Either):
        return _first(name, parameter, roles, parts)
    return _figure(name, parameter, roles, parts)


def _first(name: str, parameter: Either, roles: Mapping[str, str], parts: Parts) -> _Found:
    """Return the first figure that is known; where names and measurements contradict each other, nobody knows it."""
    last = _Found(None)
    for read in parameter.reads:
        if roles[read.ref.partition(".")[0]] in parts.figures:
            found = _figure(name, Read(read.ref), roles, parts)
            if found.value is not None or found.disagrees:
                return found
            last = found
    return last


def _row(name: str, parameter: FromLibrary, library: Library) -> _Found:
    if parameter.what == "figure":
        values = library.figure(parameter.row).values
        shown = tuple(
            Input(name, f"{parameter.row}:{key}", value, "library", row=parameter.row) for key, value in values.items()
        )
        return _Found(Band(parameter.row, values), shown)
    if parameter.what == "table":
        table = library.table(parameter.row)
        return _Found(RowTable(table.id, table.columns, table.cells))
    raise TypeError(f"a bench figure reads no adapter kind: {parameter.row}")


def _slot_ref(ref: str, roles: Mapping[str, str]) -> str:
    role, _, path = ref.partition(".")
    return f"{roles[role]}.{path}"


def _figure(name: str, read: Read, roles: Mapping[str, str], parts: Parts) -> _Found:
    ref = _slot_ref(read.ref, roles)
    slot, _, path = ref.partition(".")
    variants = parts.figures.get(slot)
    if variants is None:
        return _not_there(name, read, ref, parts)
    known = [_look_up(v, path) for v in variants]
    first = known[0] if known else None
    if first is None or any(k is None or k.value != first.value for k in known):
        return _Found(None, missing=ref if read.role != "confirming" else "")
    if first.conflict:
        return _Found(None, missing=ref, disagrees=True)
    if isinstance(first.value, Choice):
        return _Found(None, missing=ref if read.role != "confirming" else "")
    number = parts.numbers.get(slot, "") if ref not in parts.own else ""
    origin: Origin = "library" if first.row else "catalogue" if number else "list"
    plain: Any = first.value.value if isinstance(first.value, Measure) else first.value
    return _Found(plain, (Input(name, ref, first.value, origin, number, first.row or ""),))


def _not_there(name: str, read: Read, ref: str, parts: Parts) -> _Found:
    """Return what stands for a figure of a slot that nothing fills: a number is 0 and a word "none".

    Where the list does not say that the bicycle has no such part, somebody has to say it before anything is cut.
    """
    slot = ref.partition(".")[0]
    said = slot in parts.none
    if read.role == "confirming" and not said:
        return _Found(None)
    nothing: Decimal | str = Decimal(0) if ref.rpartition("_")[2] in ("mm", "teeth") else "none"
    value = Measure(nothing) if isinstance(nothing, Decimal) else nothing
    return _Found(nothing, (Input(name, ref, value, "list" if said else "assumed"),), unsaid="" if said else slot)
