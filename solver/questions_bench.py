"""The question: what are the figures of the work, and in which order is it done?

In: a fitting list. Out: a ``BenchReport``. The list is judged first, so that the sheet can say that it does not fit;
the figures are worked out with the settings, and the parts of shortlists, that the judgement chose.
"""

from __future__ import annotations

from collections.abc import Mapping

from catalog_schema.fitting_list import FittingList
from catalog_schema.parts import Part
from solver import questions
from solver.bench import every, order
from solver.bench.working import Parts, work_out
from solver.explain import fastenings
from solver.report import CheckReport
from solver.report_bench import BenchReport


def bench(fitting: FittingList) -> BenchReport:
    """Return the figures that follow from a list, and the order of the work.

    Raises:
        InputFaults: no two listed parts meet.
    """
    every.load()
    judged = questions.judgement(fitting)
    work, chosen = judged.work, judged.parts
    figures = fastenings.as_set(chosen, judged.findings)
    spoken_for = frozenset(s for s, state in fitting.slots.items() if state.state != "none")
    missing = fastenings.lacking(work.bicycle, figures, work.none, spoken_for)
    numbers = {slot: part.number for slot, (_, part) in chosen.items()}
    homes = {slot: home for slot, (home, _) in chosen.items()}
    whole = {slot: filled.variants for slot, filled in work.fixed.items()}
    parts = Parts({**figures, **whole}, numbers, work.library, homes, _own(fitting, chosen))
    found, lacking = work_out(parts)
    return BenchReport(
        CheckReport(fitting.title, tuple(judged.findings), tuple(missing)),
        tuple(found),
        tuple(order.steps(parts)),
        tuple(lacking),
    )


def _own(fitting: FittingList, chosen: Mapping[str, tuple[str, Part]]) -> frozenset[str]:
    """Return the figures that the list states over those of parts of its catalogues."""
    found = set()
    for slot, (_, part) in chosen.items():
        printed = fitting.catalog.parts.get(part.number)
        if printed is None or printed is part:
            continue
        for now, before in zip(part.fills[slot], printed.fills.get(slot, ()), strict=False):
            found |= {f"{slot}.{path}" for path, known in now.items() if before.get(path) != known}
    return frozenset(found)
