"""One function per question that a mechanic asks: the public API.

In: a fitting list (see ``catalog_schema.fitting_list``), or words. Out: records of ``report``. Nothing here prints.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from catalog_schema import bicycle as bicycles
from catalog_schema import catalog as catalogs
from catalog_schema import fitting_list, sides, slot_words
from catalog_schema import library as libraries
from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import Fault, FaultList, InputFaults
from catalog_schema.figures import Known, Variant
from catalog_schema.fitting_list import FittingList
from catalog_schema.lean import dataclass, replace
from catalog_schema.library import Library
from catalog_schema.parts import Part
from solver.explain import fastenings, pages, shelf
from solver.explain import overview as overviews
from solver.explain.trial import Trial
from solver.report import (
    NO,
    YES,
    AdapterNeed,
    CardReport,
    CheckReport,
    Cure,
    Finding,
    JointState,
    MissingPart,
    Overview,
    RowsReport,
    RuleReport,
    Verdict,
)
from solver.rules import every
from solver.rules.evaluating import Entry, Evaluation
from solver.rules.judging import Filled
from solver.rules.registry import JOINTS

#: A slot that no cure touches: with another frame it is another bicycle.
_THE_BICYCLE = frozenset({"frame"})
#: How a side was taken of which nobody said front or rear, where that explains that nothing meets.
_TAKEN = {
    sides.JUDGED_REAR: "was taken as the rear one",
    sides.JUDGED_FRONT: "was taken as the front one",
    sides.JUDGED_BOTH: "was taken as front and rear",
}
_STATES: tuple[JointState, ...] = ("judged", "follows", "not-asked", "does-not-arise")


def open_list(path: Path | str, extra_catalogs: Iterable[Path | str] = ()) -> FittingList:
    """Return the list in a file; ``-`` is standard input.

    Raises:
        InputFaults: with every fault of the list and its catalogues.
    """
    return fitting_list.load(path, libraries.load(), bicycles.load(), extra_catalogs)


def packed_catalog(path: Path | str) -> str:
    """Return the copy of a catalogue that reads fast.

    Raises:
        InputFaults: with every fault of the catalogue.
    """
    return catalogs.packed_text(path, libraries.load(), bicycles.load())


def entries(fitting: FittingList) -> list[Entry]:
    """Return what stands on the list, each purchase once with all the slots that it fills there."""
    found = []
    for slot, state in fitting.slots.items():
        if not state.parts or state.by_other:
            continue
        others = tuple(s for s, other in fitting.slots.items() if other.by_other == slot)
        found.append(Entry((slot, *others), state.parts))
    return found


def trial(fitting: FittingList, library: Library, bicycle: Bicycle) -> Trial:
    """Return the list in the form in which it is judged, and judged again with changes."""
    every.load()
    use: Variant = {}
    kind = bicycle.kind(fitting.kind) if fitting.kind else None
    if kind is not None:
        use = {"use": Known(kind.use)}
    none = frozenset(s for s, state in fitting.slots.items() if state.state == "none")
    fixed = {"bicycle": Filled("", (use,))}
    return Trial(tuple(entries(fitting)), library, bicycle, none, fixed, fitting.extras)


def evaluation(fitting: FittingList, library: Library, bicycle: Bicycle) -> Evaluation:
    """Judge every joint of a list."""
    return trial(fitting, library, bicycle).evaluation()


def findings(fitting: FittingList) -> list[Finding]:
    """Return the findings of a list, one for each joint at each place, in bicycle order."""
    return evaluation(fitting, libraries.load(), bicycles.load()).findings


def judged(found: Iterable[Finding]) -> list[Finding]:
    """Return the findings that count."""
    return [f for f in found if f.state == "judged"]


@dataclass(frozen=True, slots=True)
class Judgement:
    """A list as it was judged: with which parts of shortlists (by slot, with the slot where each stands), and how."""

    work: Trial
    parts: dict[str, tuple[str, Part]]
    findings: list[Finding]


def judgement(fitting: FittingList, work: Trial | None = None) -> Judgement:
    """Judge a list, once; ``work`` is the list as a trial, if there is one.

    Raises:
        InputFaults: no two listed parts meet.
    """
    work = work if work is not None else trial(fitting, libraries.load(), bicycles.load())
    result = work.evaluation()
    if not judged(result.findings):
        # nothing that is stated meets: then what would be asked, were it printed, is the answer
        wider = work.asking_all()
        waiting = [
            f if f.verdict is Verdict.NOT_KNOWN else replace(f, state="not-asked") for f in wider.findings().values()
        ]
        if judged(waiting):
            work, result = wider, Evaluation(waiting, result.chosen)
    parts = _parts_of(fitting, result)
    found = [
        replace(f, labels=_labels(f, parts)) for f in sorted(result.findings, key=lambda f: _STATES.index(f.state))
    ]
    if not judged(found):
        filled = [bicycles.load().by_id[s].words for s, state in fitting.slots.items() if state.parts]
        listed = f"(listed: {', '.join(filled) or 'none'})"
        there = {s for s, state in fitting.slots.items() if state.parts}
        mute = sorted({j.id for j in JOINTS.values() for p in j.places if there >= set(p.roles.values())})
        why = f"these parts state nothing that {', '.join(mute)} asks of {listed}; fitwright rule tells what it reads"
        listed = why if mute else f"no two listed parts meet {listed}"
        raise InputFaults([Fault(fitting.title or "list", "", "nothing-meets", listed)])
    return Judgement(work, parts, found)


def check(fitting: FittingList, *, complete: bool = False, work: Trial | None = None) -> CheckReport:
    """Return whether the parts of a list go together, and what is missing from it.

    Args:
        fitting: the list.
        complete: add every slot that the kind of bicycle calls for.
        work: the list in the form in which it is judged, if somebody has it already.

    Raises:
        InputFaults: no two listed parts meet; or ``complete`` is asked of a list that names no kind of bicycle.
    """
    whole = judgement(fitting, work)
    work, parts, found = whole.work, whole.parts, whole.findings
    shown = {f.joint for f in found if f.state in ("judged", "follows")}
    shortlists = {
        s: parts[s][1].label or f"no. {state.parts.index(parts[s][1]) + 1}"
        for s, state in fitting.slots.items()
        if state.state == "shortlist"
    }
    open_slots = tuple(s for s, state in fitting.slots.items() if state.state == "open")
    return CheckReport(
        fitting.title,
        tuple(found),
        tuple(_missing(fitting, work, parts, found, complete=complete)),
        open_slots,
        tuple(_needs(fitting, work, found)),
        tuple(_cures(fitting, work, found)),
        pages.of_joints(j for j in JOINTS if j in shown),
        shortlists,
        complete_asked=complete,
        notices=fitting.notices,
    )


def why(fitting: FittingList, slots: Sequence[str] = (), work: Trial | None = None) -> CheckReport:
    """Return the answer of ``check`` about the joints at some slots only (all, if none is named).

    Raises:
        InputFaults: a slot is not known, or nothing meets there.
    """
    bicycle = bicycles.load()
    faults = FaultList("why")
    wanted = {slot for name in slots for slot in slot_words.slots_meant(name, bicycle, faults)}
    faults.raise_if_any()
    report = check(fitting, work=work)
    if not wanted:
        return report
    kept = tuple(f for f in report.findings if wanted & {*f.slots, *f.through})
    if not judged(kept) and not any(f.state == "follows" for f in kept):
        named = ", ".join(bicycle.by_id[s].words for s in sorted(wanted, key=bicycle.order.__getitem__))
        raise InputFaults([Fault("why", "", "nothing-meets", f"no two listed parts meet at: {named}")])
    ids = {f.id for f in kept}
    return replace(
        report,
        findings=kept,
        missing=tuple(m for m in report.missing if {m.slot, m.because} & wanted),
        needs=tuple(n for n in report.needs if n.finding in ids),
        cures=tuple(c for c in report.cures if c.finding in ids),
        open_slots=tuple(s for s in report.open_slots if s in wanted),
    )


def meet(texts: Sequence[str], extra_catalogs: Sequence[Path | str] = ()) -> CheckReport:
    """Return whether parts that are described in words go together, such as ``frame: 12x148`` and ``wheel: 12x142``.

    Raises:
        InputFaults: with every fault of every side.
    """
    library, bicycle = libraries.load(), bicycles.load()
    numbers = catalogs.load(extra_catalogs, library, bicycle).parts if extra_catalogs else {}
    described = sides.read(texts, library, bicycle, numbers)
    fitting = fitting_list.read(described.raw, "meet", library, bicycle, extra_catalogs)
    try:
        report = check(fitting)
        return replace(report, notices=(*described.notices, *report.notices))
    except InputFaults as error:
        taken = [f"the {name} {_TAKEN[notice]}" for notice, name in described.notices if notice in _TAKEN]
        raise InputFaults([replace(f, message="; ".join([f.message, *taken])) for f in error.faults]) from None


def overview(of: str) -> Overview:
    """Return what can be asked of ``card``, ``rule`` or ``interfaces``."""
    if of == "card":
        return overviews.parts(bicycles.load())
    if of == "rule":
        every.load()
        return overviews.joints()
    return overviews.library(libraries.load())


def interfaces(word: str = "") -> RowsReport:
    """Return the rows of the library that bear a word, or else contain it; without a word, all of them.

    Raises:
        InputFaults: no row does.
    """
    return pages.rows(word, libraries.load())


def rule(joint: str) -> RuleReport:
    """Return the page of a joint; its place (``@rear``) may be left on.

    Raises:
        InputFaults: there is no such joint.
    """
    every.load()
    return pages.rule(joint.partition("@")[0], libraries.load())


def card(kind: str, question: str = "") -> CardReport:
    """Return what to measure on a part of a kind, or only what one question needs.

    Raises:
        InputFaults: the kind or the question is not known.
    """
    every.load()
    return pages.card(kind, question, libraries.load(), bicycles.load())


def _parts_of(fitting: FittingList, result: Evaluation) -> dict[str, tuple[str, Part]]:
    """Return slot -> the slot under which its part stands, and the part that the findings are about."""
    found = {}
    for slot, state in fitting.slots.items():
        home = state.by_other or slot
        if state.parts and home in result.chosen:
            found[slot] = (home, result.chosen[home])
    return found


def _labels(finding: Finding, parts: dict[str, tuple[str, Part]]) -> tuple[tuple[str, str], ...]:
    return tuple((s, parts[s][1].label) for s in (*finding.slots, *finding.through) if s in parts)


def _missing(
    fitting: FittingList,
    work: Trial,
    parts: dict[str, tuple[str, Part]],
    found: Sequence[Finding],
    *,
    complete: bool,
) -> list[MissingPart]:
    bicycle = work.bicycle
    figures = fastenings.as_set(parts, found)
    spoken_for = frozenset(s for s, state in fitting.slots.items() if state.state != "none")
    no_place = fastenings.ruled_out(bicycle, figures)
    missing = fastenings.lacking(bicycle, figures, work.none, spoken_for | no_place)
    if complete:
        kind = bicycle.kind(fitting.kind) if fitting.kind else None
        if kind is None:
            known = ", ".join(k.id for k in bicycle.kinds)
            message = f"a complete bicycle is asked for, and the list names no kind of bicycle ({known})"
            raise InputFaults([Fault(fitting.title or "list", "kind", "kind-needed", message)])
        missing = [*missing, *fastenings.incomplete(bicycle, kind, spoken_for, work.none, missing, no_place)]
        missing.sort(key=lambda m: bicycle.order[m.slot])
    if not fitting.catalog.parts:
        return missing
    before = {f.id: f for f in found}
    return [
        m if m.lacks else replace(m, shelf=shelf.to_add(work, before, m.slot, fitting.catalog.filling(m.slot)))
        for m in missing
    ]


def _needs(fitting: FittingList, work: Trial, found: Sequence[Finding]) -> list[AdapterNeed]:
    """Return the adapters that findings ask for, with what the shelf has of them."""
    needs = []
    before = {f.id: f for f in found}
    for finding in found:
        if finding.state != "judged" or finding.verdict not in YES:
            continue
        kinds = [a for t in finding.tests for a in t.adapters if a in work.library.rows]
        if not kinds:
            continue
        slots = pages.adapter_slots(finding, kinds, work.library, work.bicycle)
        offered = [
            shelf.to_add(work, before, s, fitting.catalog.filling(s), finding.id) for s in sorted(slots - work.filled)
        ]
        best = next((s for s in offered if s.offers), offered[0] if offered else None)
        needs.append(AdapterNeed(finding.id, tuple(dict.fromkeys(kinds)), best if fitting.catalog.parts else None))
    return needs


def _cures(fitting: FittingList, work: Trial, found: Sequence[Finding]) -> list[Cure]:
    """Return the parts of the shelf that, in place of one listed part but the frame, make a joint fit."""
    cures = []
    if not fitting.catalog.parts:
        return []
    before = {f.id: f for f in found}
    for finding in found:
        if finding.state != "judged" or finding.verdict not in NO:
            continue
        for slot in finding.slots:
            state = fitting.slots.get(slot)
            if state is None or state.state != "picked" or slot in _THE_BICYCLE:
                continue
            others = [p for p in fitting.catalog.filling(slot) if p is not state.parts[0]]
            offered = shelf.to_replace(work, before, slot, others, finding.id)
            if offered.offers:
                cures.append(Cure(finding.id, offered))
    return cures
