"""What a list lacks: parts that complete a fastening, and with ``complete`` what the kind of bicycle calls for.

In: the figures of the chosen parts. Out: ``MissingPart`` records. A fastening whose condition rests on a figure that is
not stated is not called for: nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from catalog_schema.bicycle import Bicycle, BicycleKind, Fastening
from catalog_schema.figures import Known, Variant
from catalog_schema.parts import Part
from catalog_schema.quantity import Choice
from solver.report import Finding, MissingPart, ShownFigure

#: The fastening of a part that only the kind of bicycle calls for.
KIND = "kind"

Figures = Mapping[str, Sequence[Variant]]


def as_set(parts: Mapping[str, tuple[str, Part]], findings: Iterable[Finding]) -> dict[str, list[Variant]]:
    """Return slot -> the figures of the part in it, with the settings that the findings were judged with.

    ``parts`` gives for each slot the slot under which its part stands on the list, and the part.
    """
    options = {(slot, group): option for f in findings for slot, group, option in f.settings}
    out: dict[str, list[Variant]] = {}
    for slot, (home, part) in parts.items():
        found: list[Variant] = [*part.fills[slot]]
        for group in part.settings:
            name = options.get((home, group.name))
            option = next((o for o in group.options if o.name == name), None)
            ports = group.ports.get(slot, ())
            if option is not None and slot in option.replaces:
                kept = [{k: v for k, v in f.items() if k.partition(".")[0] not in ports} for f in found]
                found = [{**f, **new} for f in kept for new in option.replaces[slot]]
            elif option is None:
                found = [{k: v for k, v in f.items() if k.partition(".")[0] not in ports} for f in found]
        out[slot] = found
    return out


def lacking(bicycle: Bicycle, figures: Figures, none: frozenset[str], spoken_for: frozenset[str]) -> list[MissingPart]:
    """Return the parts that complete a fastening and are not there, in bicycle order; each slot or piece once.

    ``spoken_for`` are slots that are open or filled.
    """
    found: dict[tuple[str, str], MissingPart] = {}
    for row in bicycle.fastenings:
        key = (row.slot, row.lacks)
        if key in found or not _called_for(row, figures, spoken_for):
            continue
        shown = tuple(f for path in row.show if (f := _figure(row.because, path, figures)) is not None)
        found[key] = MissingPart(
            row.slot, row.id, row.because, row.lacks, shown, said_none=row.slot in none and not row.lacks
        )
    return sorted(found.values(), key=lambda m: (bicycle.order[m.slot], m.lacks))


def ruled_out(bicycle: Bicycle, figures: Figures) -> frozenset[str]:
    """Return the slots for which the parts leave no place; a slot that is filled all the same is one of them."""
    return frozenset(
        slot
        for row in bicycle.ruled_out
        if row.because in figures and all(_is(ref, words, figures) for ref, words in row.where.items())
        for slot in row.slots
    )


def _called_for(row: Fastening, figures: Figures, spoken_for: frozenset[str]) -> bool:
    if not {row.because, *row.present} <= set(figures):
        return False
    if set(row.unless) & spoken_for or (row.slot in spoken_for and not row.lacks):
        return False
    if any(_is(ref, words, figures) for ref, words in row.where_not.items()):
        return False
    return all(_is(ref, words, figures) for ref, words in row.where.items())


def _is(ref: str, words: Sequence[str], figures: Figures) -> bool:
    """Return whether a figure is sure to be one of some words."""
    slot, _, path = ref.partition(".")
    known = [v.get(path) for v in figures.get(slot, ())]
    return bool(known) and all(k is not None and not k.conflict and _within(k, words) for k in known)


def _within(known: Known, words: Sequence[str]) -> bool:
    if isinstance(known.value, Choice):
        return all(o in words for o in known.value.options)
    return known.value in words


def _figure(slot: str, path: str, figures: Figures) -> ShownFigure | None:
    """Return a figure to show, if all readings of the part agree on it."""
    known = [v.get(path) for v in figures[slot]]
    first = known[0] if known else None
    if first is None or any(k is None or k.value != first.value for k in known):
        return None
    return ShownFigure(path.rpartition(".")[2], f"{slot}.{path}", first.value, first.row or "")


def incomplete(
    bicycle: Bicycle,
    kind: BicycleKind,
    spoken_for: frozenset[str],
    none: frozenset[str],
    known: Iterable[MissingPart],
    no_place: frozenset[str] = frozenset(),
) -> list[MissingPart]:
    """Return the slots that this kind of bicycle calls for and that the list says nothing of.

    Not those for which a part leaves no place (``no_place``): the hub decides which sprockets there are.
    """
    there = spoken_for | none | {m.slot for m in known if not m.lacks}
    found = []
    for entry in kind.slots:
        slots = [s for s in entry.split("|") if s not in no_place]
        if slots and not set(entry.split("|")) & there:
            found.append(MissingPart(slots[0], KIND))
    return sorted(found, key=lambda m: bicycle.order[m.slot])
