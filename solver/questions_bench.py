"""The question: what are the figures of the work, and in which order is it done?

In: a fitting list. Out: a ``BenchReport``. The list is judged first, so that the sheet can say that it does not fit;
the figures are worked out with the settings, and the parts of shortlists, that the judgement chose.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from catalog_schema import bicycle as bicycles
from catalog_schema import slot_words
from catalog_schema.faults import Fault, FaultList, InputFaults
from catalog_schema.fitting_list import FittingList
from catalog_schema.lean import replace
from catalog_schema.parts import Part
from solver import questions
from solver.bench import every, order
from solver.bench.working import Parts, work_out
from solver.explain import fastenings
from solver.report import NO, CheckReport, Finding, Verdict
from solver.report_bench import BenchFigure, BenchReport


def bench(fitting: FittingList, slots: Sequence[str] = ()) -> BenchReport:
    """Return the figures that follow from a list, and the order of the work; only what is about some slots, if named.

    Raises:
        InputFaults: no two listed parts meet; or a slot is not known, or nothing is worked out for it.
    """
    every.load()
    faults = FaultList("bench")
    wanted = {slot for name in slots for slot in slot_words.slots_meant(name, bicycles.load(), faults)}
    faults.raise_if_any()
    judged = questions.judgement(fitting)
    work, chosen = judged.work, judged.parts
    figures = fastenings.as_set(chosen, judged.findings)
    spoken_for = frozenset(s for s, state in fitting.slots.items() if state.state != "none")
    missing = fastenings.lacking(work.bicycle, figures, work.none, spoken_for)
    numbers = {slot: part.number for slot, (_, part) in chosen.items()}
    homes = {slot: home for slot, (home, _) in chosen.items()}
    whole = {slot: filled.variants for slot, filled in work.fixed.items()}
    none = frozenset(s for s, state in fitting.slots.items() if state.state == "none")
    parts = Parts({**figures, **whole}, numbers, work.library, homes, _own(fitting, chosen), none)
    worked, lacking = work_out(parts)
    to_choose = frozenset(s for s, state in fitting.slots.items() if state.state in ("shortlist", "open"))
    found = _held([_unsettled(f, to_choose, judged.findings) for f in worked], judged.findings)
    steps = order.steps(parts, found)
    if wanted:
        steps = [s for s in steps if wanted & set(s.slots)]
        needed = {at for s in steps for at in s.figures}
        found = [f for f in found if f.slots & wanted or f.at in needed]
        lacking = [n for n in lacking if wanted & {ref.partition(".")[0] for ref in n.lacks}]
        if not found and not steps:
            names = _words_of(wanted)
            raise InputFaults([Fault("bench", "", "nothing-to-do", f"nothing is worked out or done at: {names}")])
    check = CheckReport(fitting.title, tuple(judged.findings), tuple(missing))
    return BenchReport(check, tuple(found), tuple(steps), tuple(lacking))


def _unsettled(figure: BenchFigure, to_choose: frozenset[str], findings: Iterable[Finding]) -> BenchFigure:
    """Return a figure that is cut or ordered by, with what may still change one of its parts.

    That is a part still to be chosen or named, or a joint between its parts of which it is not known whether it fits.
    """
    if not (figure.lasting or figure.ordered) or figure.state != "known":
        return replace(figure, unsaid=())
    doubts = [
        f.id
        for f in findings
        if f.state == "judged" and f.verdict is Verdict.NOT_KNOWN and figure.slots.issuperset(f.slots)
    ]
    chosen_yet = tuple(s for s in bicycles.load().order if s in figure.slots and s in to_choose)
    unsaid = tuple(s for s in figure.unsaid if s not in chosen_yet)
    return replace(figure, unsaid=unsaid, to_choose=chosen_yet, doubts=tuple(doubts))


def _held(figures: Sequence[BenchFigure], findings: Iterable[Finding]) -> list[BenchFigure]:
    """Hold back what cannot be undone, and what is ordered, while another part may change the figure.

    That is so if a joint does not fit, if a figure cannot be met, or if one of its own parts is not settled.
    """
    red = any(f.state == "judged" and f.verdict in NO for f in findings) or any(f.warnings for f in figures)

    def waits(figure: BenchFigure) -> bool:
        if not (figure.lasting or figure.ordered) or figure.state != "known" or figure.warnings:
            return False
        return red or figure.unsettled or bool(figure.doubts)

    return [replace(f, state="held") if waits(f) else f for f in figures]


def _words_of(slots: Iterable[str]) -> str:
    """Return slots as they are called, in bicycle order."""
    bicycle = bicycles.load()
    return ", ".join(bicycle.by_id[s].words for s in sorted(slots, key=bicycle.order.__getitem__))


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
