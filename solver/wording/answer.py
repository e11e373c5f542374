"""The whole answer of ``check``, ``meet`` and ``why`` in the mechanic's words: verdict, findings, what is missing.

In: a ``CheckReport``. Out: an ``Answer`` of texts in the order in which they are shown. How many of them fit on a
screen is the renderer's business.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from catalog_schema.lean import dataclass
from solver.report import CheckReport, Finding, MissingPart, ShownFigure, Verdict
from solver.wording import store, words
from solver.wording.finding import Said, label, said, shelf_text, title

_LONGEST_HEADLINE: Final = 100


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer in words. ``rest`` is what only the full answer shows."""

    headline: str
    findings: tuple[Said, ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    closing: str
    rest: tuple[Said, ...] = ()
    bold: bool = False


def answer(report: CheckReport, *, sources: bool = False, everything: bool = False, full: bool = True) -> Answer:
    """Return the answer in words.

    Args:
        report: the answer in records.
        sources: tell where the figures of each finding come from.
        everything: put what fits or follows among the findings.
        full: tell the rest as well.
    """
    ordered = worst_first(report.judged)
    shown = [f for f in ordered if everything or f.verdict is not Verdict.FITS]
    rest = [f for f in ordered if f not in shown]
    follows = tuple(_followed(f, report) for f in report.in_state("follows"))
    worst = report.worst
    return Answer(
        headline(report),
        (*(said(f, report, sources=sources) for f in shown), *(follows if everything else ())),
        tuple(missing_text(m) for m in report.missing),
        tuple(_notes(report)),
        closing(report),
        (*(said(f, report, sources=sources) for f in rest), *(() if everything else follows), *_beside(report))
        if full
        else (),
        bold=worst is not None and (worst.verdict is Verdict.UNSAFE or worst.perhaps is not None),
    )


def worst_first(findings: tuple[Finding, ...]) -> list[Finding]:
    """Return findings by verdict, the worst first; of equals in bicycle order."""
    return sorted(findings, key=lambda f: f.rank, reverse=True)


def headline(report: CheckReport) -> str:
    """Return the line that answers the question; the list's title stands behind it if there is room."""
    missing = f" {words.counted(len(report.missing), 'part is', 'parts are')} missing." if report.missing else ""
    line = _verdict(report) + missing
    name = f" ({words.clean(report.title)})" if report.title else ""
    return line + name if len(line + name) <= _LONGEST_HEADLINE else line


def _verdict(report: CheckReport) -> str:
    judged, worst = report.judged, report.worst
    if worst is None:
        return "Nothing here is judged."
    if worst.verdict is Verdict.FITS:
        return f"Fits: {'the one joint' if len(judged) == 1 else f'all {len(judged)} joints'} judged."
    like = [f for f in judged if f.rank == worst.rank]
    more = [f for f in judged if f.verdict is not Verdict.FITS and f.rank != worst.rank]
    beside = f"; {words.counted(len(more), 'more is not a plain fit', 'more are not plain fits')}" if more else ""
    count = "the one joint judged" if len(judged) == 1 else f"{len(like)} of {len(judged)} joints"
    if worst.verdict is Verdict.NOT_KNOWN:
        return f"Not known: {count}; no joint says no{beside}."
    return f"{words.sentence(label(worst)).removesuffix('.')}: {count}{beside}."


def closing(report: CheckReport) -> str:
    """Return the counts: what was judged, and how; what follows, is not asked, does not arise."""
    judged = report.judged
    numbers: dict[str, int] = {}
    for finding in sorted(judged, key=lambda f: f.rank):
        word = "perhaps" if finding.perhaps is not None else finding.verdict.word
        numbers[word] = numbers.get(word, 0) + 1
    remarked = sum(bool(f.remarks) for f in judged if f.verdict is Verdict.FITS)
    remark = f" ({remarked} with a remark, see --full)" if remarked else ""
    counts = ", ".join(
        f"{n} {store.common('counted')[word][n > 1]}{remark if word == Verdict.FITS.word else ''}"
        for word, n in numbers.items()
    )
    follow, idle = len(report.in_state("follows")), len(report.in_state("does-not-arise"))
    beside = [
        *([f"{follow} {'follows' if follow == 1 else 'follow'}"] if follow else []),
        *([f"{len(report.in_state('not-asked'))} not asked"] if report.in_state("not-asked") else []),
        *([f"{idle} not arising"] if idle else []),
    ]
    rest = f" Beside these: {', '.join(beside)}." if beside else ""
    return f"{words.counted(len(judged), 'joint')} judged: {counts or 'none'}.{rest}"


def missing_text(missing: MissingPart) -> str:
    """Return what is missing, why, and what the shelf has."""
    what = missing.lacks or words.slot(missing.slot)
    values = {
        "slot": words.slot(missing.slot),
        "because": words.slot(missing.because) if missing.because else "bicycle",
    }
    shown = {f.name: words.figure(f) for f in missing.figures}
    sentence = store.common("missing", missing.fastening)
    exact = sentence.get("exact", "")
    template = exact if exact and set(store.holes(exact)) <= {*values, *shown, "figures"} else sentence.get("fact", "")
    values["figures"] = _figures([f for f in missing.figures if f.name not in store.holes(template)])
    fact = store.filled(template, {**values, **shown}) or "None is listed"
    said_none = "The list says that there is none." if missing.said_none else ""
    return words.joined([f"Missing: {what}.", words.sentence(fact), said_none, shelf_text(missing.shelf)])


def _figures(figures: Sequence[ShownFigure]) -> str:
    shown = [f"{words.hint_of(f.ref).words} {words.figure(f)}" for f in figures]
    return f" ({', '.join(shown)})" if shown else ""


def _notes(report: CheckReport) -> list[str]:
    """Return how the question was taken, the settings chosen, and the slots still to choose."""
    texts = []
    for notice in dict.fromkeys(n for n, _ in report.notices):
        named = [words.clean(side) for n, side in report.notices if n == notice]
        texts.append(store.filled(store.common("notice")[notice], {"side": words.listed(named)}) or notice)
    chosen = {(s, g): o for f in report.judged for s, g, o in f.settings if o}
    if chosen:
        named = [f"{words.slot(s)}, {words.clean(g)} {words.clean(o)}" for (s, g), o in sorted(chosen.items())]
        texts.append(words.sentence(f"judged with: {'; '.join(named)}"))
    if report.chosen:
        named = [f"{words.slot(s)} {words.clean(n)}" for s, n in report.chosen.items() if n]
        if named:
            texts.append(words.sentence(f"of the shortlists this is about: {', '.join(named)}"))
    if report.open_slots:
        texts.append(words.sentence(f"still to choose: {', '.join(words.slot(s) for s in report.open_slots)}"))
    return texts


def _followed(finding: Finding, report: CheckReport) -> Said:
    """Return a joint that is not counted because another one does not fit."""
    head = f"Follows from {finding.follows}: {title(finding, report)}. ({finding.id})"
    return Said(finding.id, head, (), bold=False, red=False)


def _beside(report: CheckReport) -> list[Said]:
    """Return the joints that are neither judged nor follow: one line for each state."""
    texts = []
    for state, words_for in (("not-asked", "Not asked"), ("does-not-arise", "Does not arise")):
        ids = [f.id for f in report.findings if f.state == state]
        if ids:
            texts.append(Said("", f"{words_for}: {', '.join(ids)}.", (), bold=False, red=False))
    return texts
