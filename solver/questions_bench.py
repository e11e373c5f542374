"""The question: what are the figures of the work, and in which order is it done?

In: a fitting list. Out: a ``BenchReport``. The list is judged first, so that the sheet can say that it does not fit;
the figures are worked out with the settings, and the parts of shortlists, that the judgement chose.
"""

from __future__ import annotations

from catalog_schema import bicycle as bicycles
from catalog_schema import library as libraries
from catalog_schema.fitting_list import FittingList
from solver import questions
from solver.bench import every, order
from solver.bench.working import Parts, work_out
from solver.explain import fastenings
from solver.report_bench import BenchReport


def bench(fitting: FittingList) -> BenchReport:
    """Return the figures that follow from a list.

    Raises:
        InputFaults: no two listed parts meet.
    """
    every.load()
    check = questions.check(fitting)
    chosen = questions.parts_of(fitting, questions.evaluation(fitting, libraries.load(), bicycles.load()))
    figures = fastenings.as_set(chosen, check.findings)
    numbers = {slot: part.number for slot, (_, part) in chosen.items()}
    homes = {slot: home for slot, (home, _) in chosen.items()}
    parts = Parts(figures, numbers, libraries.load(), homes)
    found, lacking = work_out(parts)
    return BenchReport(fitting.title, check, tuple(found), tuple(order.steps(parts)), tuple(lacking))
