"""What a test can see of the candidates in a slot: the distinct sets of figures that it reads, numbered.

In: candidates and the figures that one test reads in one slot. Out: a ``Side``: a number for each way of each
candidate, and for each number what the judge is given. Thousands of parts differ in a few figures only, so each rule is
judged once for each distinct set.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from catalog_schema.figures import Known, Variant
from catalog_schema.library import Library
from catalog_schema.quantity import Choice, Measure
from solver.network.candidates import Candidate
from solver.rules.figures import Num
from solver.rules.judging import Filled
from solver.rules.registry import Read, Test
from solver.rules.ways import Way

Seen = tuple[tuple[tuple[str, Known], ...], ...]


@dataclass(slots=True)
class Side:
    """One slot as one test sees it. ``number`` maps (candidate ident, way) to an index of ``kinds``.

    The last of ``kinds`` is None where the slot may stay empty. ``floors`` holds for each kind the least level of a
    joint that is judged with it: a part that comes without one of its alternatives needs one that is sold (1), or that
    nobody stated (3). ``plains`` holds for each kind that rests on options of which nobody stated how one gets them
    what the test sees with each of them as shipped.
    """

    slot: str
    number: dict[tuple[int, int], int] = field(default_factory=dict)
    kinds: list[Filled | None] = field(default_factory=list)
    floors: list[int] = field(default_factory=list)
    plains: list[tuple[Filled, ...]] = field(default_factory=list)


def side(
    slot: str,
    record_kind: str,
    paths: Iterable[str],
    candidates: Sequence[Candidate],
    *,
    may_be_empty: bool,
    ports: frozenset[str] = frozenset(),
) -> Side:
    """Return the side of a test in a slot: ``paths`` are the figures it reads there, ``ports`` those of its joint."""
    read = set(paths)
    wanted = sorted(read | ({"material"} if any(p.endswith(".material") for p in read) else set()))
    out = Side(slot)
    index: dict[tuple[Seen, int, tuple[Seen, ...]], int] = {}

    def look(way: Way) -> Seen:
        return tuple(dict.fromkeys(_seen(v, wanted) for v in way.variants(slot)))

    def as_filled(seen: Seen) -> Filled:
        return Filled(record_kind, tuple(dict(v) for v in seen))

    for candidate in candidates:
        for w, way in enumerate(candidate.ways):
            seen, floor = look(way), _floor(way, slot, ports)
            plains = tuple(p for p in (look(o) for o in _plainer(way, slot, ports)) if p != seen)
            key = (seen, floor, plains)
            if key not in index:
                index[key] = len(out.kinds)
                out.kinds.append(as_filled(seen))
                out.floors.append(floor)
                out.plains.append(tuple(as_filled(p) for p in plains))
            out.number[candidate.ident, w] = index[key]
    if may_be_empty:
        out.kinds.append(None)
        out.floors.append(0)
        out.plains.append(())
    return out


def _floor(way: Way, slot: str, ports: frozenset[str]) -> int:
    """Return the least level that the options of a way leave to a joint that reads these ports.

    Only groups of which nothing is shipped count: elsewhere the way itself is at the level of its option.
    """
    floor = 0
    for group, option in way.options:
        if ports & set(group.ports.get(slot, ())) and not any(o.offer == "as-shipped" for o in group.options):
            floor = max(floor, {"sold": 1, "not-stated": 3}.get(way.offer(option), 0))
    return floor


def _plainer(way: Way, slot: str, ports: frozenset[str]) -> Iterator[Way]:
    """Yield the way with one option as shipped in place of one that nobody states how to get."""
    for at, (group, option) in enumerate(way.options):
        if option is None or way.offer(option) != "not-stated" or not ports & set(group.ports.get(slot, ())):
            continue
        for shipped in group.options:
            if shipped.offer == "as-shipped":
                yield replace(way, options=(*way.options[:at], (group, shipped), *way.options[at + 1 :]))


def _seen(variant: Variant, wanted: Sequence[str]) -> tuple[tuple[str, Known], ...]:
    return tuple((k, variant[k]) for k in wanted if k in variant)


@dataclass(frozen=True, slots=True)
class Term:
    """A partial sum as the judge will see it: exact, measured within ``spread``, missing, in conflict, or weak.

    ``weak``: one of its figures rests on a library row from memory. A missing sum has no constant.
    """

    constant: Decimal = Decimal(0)
    spread: Decimal = Decimal(0)
    missing: bool = False
    conflict: bool = False
    weak: bool = False

    def __add__(self, other: Term) -> Term:
        missing = self.missing or other.missing
        conflict, weak = self.conflict or other.conflict, self.weak or other.weak
        if missing:
            return Term(missing=True, conflict=conflict, weak=weak)
        return Term(self.constant + other.constant, self.spread + other.spread, False, conflict, weak)


def number(name: str, value: Term) -> Num:
    """Return a partial sum as a rule sees it."""
    if value.missing:
        return Num.missing(name)
    return Num.measured(name, value.constant, value.spread) if value.spread else Num(value.constant)


def term(reads: Iterable[Read], filled: Filled | None, library: Library) -> list[Term]:
    """Return what a slot adds to a sum: one term for each reading of its names."""
    if filled is None:
        return [Term()]
    found = []
    for variant in filled.variants:
        total = Term()
        for read in reads:
            total = total + _one(variant.get(read.ref.partition(".")[2]), library)
        found.append(total)
    return list(dict.fromkeys(found))


def _one(known: Known | None, library: Library) -> Term:
    if known is None or not isinstance(known.value, Measure):
        return Term(missing=True, conflict=known is not None and known.conflict)
    grounds = library.rows[known.row].grounds if known.row is not None else None
    weak = grounds is not None and (grounds.basis == "memory" or grounds.confidence == "low")
    return Term(known.value.value, known.value.resolution or Decimal(0), False, known.conflict, weak)


def readings(test: Test, roles: Mapping[str, str], filled: Mapping[str, Filled]) -> Iterator[dict[str, Known | None]]:
    """Return what each figure of a test may be, by ref: one mapping for each reading of names and of choices."""
    slots = sorted({roles[r.ref.partition(".")[0]] for r in test.reads} & set(filled))
    for chosen in itertools.product(*(filled[s].variants for s in slots)):
        figures = dict(zip(slots, chosen, strict=True))
        options: list[list[Known | None]] = []
        for read in test.reads:
            role, _, path = read.ref.partition(".")
            variant = figures.get(roles[role], {})
            known = variant.get(path)
            if known is None and path.endswith(".material"):
                known = variant.get("material")
            if known is not None and isinstance(known.value, Choice):
                options.append(
                    [replace(known, value=o if isinstance(o, str) else Measure(o)) for o in known.value.options]
                )
            else:
                options.append([known])
        for picked in itertools.product(*options):
            yield dict(zip((r.ref for r in test.reads), picked, strict=True))
