"""One function per question that a mechanic asks: the public API.

In: a fitting list (see ``catalog_schema.fitting_list``). Out: records of ``report``. Nothing here prints.
"""

from __future__ import annotations

from collections.abc import Iterable

from catalog_schema import bicycle as bicycles
from catalog_schema import library as libraries
from catalog_schema.bicycle import Bicycle
from catalog_schema.fitting_list import FittingList
from catalog_schema.library import Library
from catalog_schema.resolve import Known, Variant
from solver.report import Finding
from solver.rules import every
from solver.rules.evaluating import Entry, Evaluation, evaluate
from solver.rules.judging import Filled


def entries(fitting: FittingList) -> list[Entry]:
    """Return what stands on the list, each purchase once with all the slots that it fills there."""
    found = []
    for slot, state in fitting.slots.items():
        if not state.parts or state.by_other:
            continue
        others = tuple(s for s, other in fitting.slots.items() if other.by_other == slot)
        found.append(Entry((slot, *others), state.parts))
    return found


def evaluation(fitting: FittingList, library: Library, bicycle: Bicycle) -> Evaluation:
    """Judge every joint of a list."""
    every.load()
    use: Variant = {}
    kind = bicycle.kind(fitting.kind) if fitting.kind else None
    if kind is not None:
        use = {"use": Known(kind.use)}
    none = [s for s, state in fitting.slots.items() if state.state == "none"]
    fixed = {"bicycle": Filled("", (use,))}
    return evaluate(entries(fitting), library, bicycle, none=none, fixed=fixed, extras=fitting.extras)


def findings(fitting: FittingList) -> list[Finding]:
    """Return the findings of a list, one for each joint at each place, in bicycle order."""
    return evaluation(fitting, libraries.load(), bicycles.load()).findings


def judged(found: Iterable[Finding]) -> list[Finding]:
    """Return the findings that count."""
    return [f for f in found if f.state == "judged"]
