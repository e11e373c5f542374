"""Suppose that a missing figure were known: values that stand for all that may be found, and lists with them put in.

In: a list as a ``Trial``, findings that are open, missing figures. Out: for each figure its cells, and changed lists. A
cell lies at an edge at which a rule may change its mind, or between two.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Final

from catalog_schema.figures import Known, Variant
from catalog_schema.lean import replace
from catalog_schema.parts import Part
from catalog_schema.quantity import Limit, Measure, Range
from solver.explain.trial import Trial
from solver.network.projection import readings
from solver.rules.branching import Fork, Tree
from solver.rules.evaluating import Entry, links
from solver.rules.judging import Filled, figure_type, outcomes
from solver.rules.registry import JOINTS, Outcome

_MOST_TRIALS: Final = 40
_NOT_PRINTED: Final = "not-printed"
_OTHER: Final = "another word"

Cell = Decimal | str
Given = tuple[tuple[str, Cell], ...]


def given_of(values: Mapping[str, Cell]) -> Given:
    """Return what is supposed, in a fixed order."""
    return tuple(sorted(values.items(), key=lambda item: item[0]))


def cells_of(work: Trial, ids: Sequence[str], refs: Sequence[str]) -> dict[str, list[Cell]]:
    """Return for each figure values that stand for all that may be found: at and between the edges of the rules."""
    edges: dict[str, set[Cell]] = {r: set() for r in refs}
    for _ in range(2):
        before = {r: set(e) for r, e in edges.items()}
        trials: list[Given] = [()]
        for ref in refs:
            trials += [((ref, c),) for c in _between(ref, edges[ref], work)]
        for pair in itertools.islice(itertools.combinations(refs, 2), 15):
            some = [_between(r, edges[r], work)[:5] for r in pair]
            trials += [given_of(dict(zip(pair, c, strict=True))) for c in itertools.product(*some)]
        for given in trials[:_MOST_TRIALS]:
            for cause, edge in _asked(supposing(work, given), ids):
                ref = cause if cause in edges else cause.partition(":")[0]
                if ref in edges:
                    edges[ref].add(edge)
        if edges == before:
            break
    return {r: _between(r, edges[r], work) for r in refs}


def _between(ref: str, edges: Iterable[Cell], work: Trial) -> list[Cell]:
    slot, _, path = ref.partition(".")
    if path == "box":
        entry = next(e for e in work.entries if slot in e.slots)
        return [str(i) for i in range(len(entry.parts[0].fills[slot]))]
    kind = _type(slot, path.partition(":")[0], work)
    if kind == "word":
        words: list[Cell] = sorted(e for e in edges if isinstance(e, str) and e[:1] != "=" and e != _NOT_PRINTED)
        return [*words, _OTHER]
    numbers = sorted(e for e in edges if isinstance(e, Decimal))
    found: list[Cell] = []
    for number in numbers:
        last = found[-1] if found else None
        found.append(number / 2 if not isinstance(last, Decimal) else (last + number) / 2)
        found.append(number)
    top = numbers[-1] + 1 if numbers else Decimal(100)
    found.append(top)
    return [_NOT_PRINTED, *found] if kind == "limit" else found


def _asked(work: Trial, ids: Sequence[str]) -> Iterable[tuple[str, Cell]]:
    """Return every (figure, edge) that the rules of some findings ask for."""
    filled = {s: Filled(work.bicycle.by_id[s].kind, e.parts[0].fills[s]) for e in work.entries for s in e.slots}
    filled |= {s: f for s, f in work.fixed.items() if s not in filled}
    for finding_id in ids:
        name, _, at = finding_id.partition("@")
        joint = JOINTS[name]
        place = next(p for p in joint.places if p.name == at)
        adapter = place.adapter if place.adapter in filled else ""
        for test in joint.tests:
            for roles in links(joint, test, place, adapter):
                if not all(roles[r] in filled for r in joint.roles_of(test)):
                    continue
                for known in readings(test, roles, filled):
                    tree = outcomes(test, roles, known, filled, work.library)
                    yield from _questions(tree)


def _questions(tree: Tree[Outcome]) -> Iterable[tuple[str, Cell]]:
    if isinstance(tree, Fork):
        if tree.question.edge is not None:
            for cause in tree.question.causes:
                yield cause, tree.question.edge
        yield from _questions(tree.yes)
        yield from _questions(tree.no)


def _type(slot: str, path: str, work: Trial) -> str:
    known = work.bicycle.by_id.get(slot)
    return figure_type(known.kind if known is not None else "", path)


def supposing(work: Trial, given: Given) -> Trial:
    """Return the list with some figures known."""
    if not given:
        return work
    entries = []
    for entry in work.entries:
        mine = [(ref, cell) for ref, cell in given if ref.partition(".")[0] in entry.slots]
        entries.append(Entry(entry.slots, tuple(_part(p, mine, work) for p in entry.parts)) if mine else entry)
    return replace(work, entries=tuple(entries))


def _part(part: Part, given: Sequence[tuple[str, Cell]], work: Trial) -> Part:
    fills = dict(part.fills)
    for ref, cell in given:
        slot, _, path = ref.partition(".")
        if slot not in fills:
            continue
        if path == "box":
            fills[slot] = (fills[slot][int(cell)],) if int(cell) < len(fills[slot]) else fills[slot]
        else:
            fills[slot] = tuple(_known(v, path, cell, _type(slot, path.partition(":")[0], work)) for v in fills[slot])
    return replace(part, fills=fills)


def _known(variant: Variant, path: str, cell: Cell, kind: str) -> Variant:
    name, _, end = path.partition(":")
    if end:
        was = variant.get(name)
        span = was.value if was is not None and isinstance(was.value, Range) else Range(None, None)
        number = cell if isinstance(cell, Decimal) else None
        return {**variant, name: Known(Range(number, span.high) if end == "from" else Range(span.low, number))}
    if kind == "limit":
        return {**variant, name: Known(Limit(cell if isinstance(cell, Decimal) else None))}
    if isinstance(cell, Decimal):
        return {**variant, name: Known(Measure(cell))}
    return {**variant, name: Known(cell)}
