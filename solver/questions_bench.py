"""The question: what are the figures of the work, and in which order is it done?

In: a fitting list. Out: a ``BenchReport``. The list is judged first, so that the sheet can say that it does not fit;
the figures are worked out with the settings, and the parts of shortlists, that the judgement chose.
"""

from __future__ import annotations

from catalog_schema.fitting_list import FittingList
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
    parts = Parts(figures, numbers, work.library, {slot: home for slot, (home, _) in chosen.items()})
    found, lacking = work_out(parts)
    return BenchReport(
        CheckReport(fitting.title, tuple(judged.findings), tuple(missing)),
        tuple(found),
        tuple(order.steps(parts)),
        tuple(lacking),
    )
