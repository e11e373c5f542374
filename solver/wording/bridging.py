"""Which adapters bridge two sides, in words.

In: a ``JoinReport``. Out: lines; what a line is pushed in by is kept by whoever shows it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from solver.remedies import Bridge, JoinReport
from solver.report import NO, Finding, Verdict
from solver.wording import answer, words
from solver.wording import customer as plain
from solver.wording.finding import fact_of, said

_BRIDGES_AT_MOST: Final = 3
_OTHERS_AT_MOST: Final = 5


def join(report: JoinReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return which adapters bridge two sides; the joint that is worst off comes first."""
    if customer:
        return _to_customer(report)
    open_ones = [f for f in answer.worst_first(report.check.judged) if f.verdict is not Verdict.FITS]
    if not open_ones:
        return [answer.headline(report.check), "They meet as they are; nothing is needed in between."]
    open_ones.sort(key=lambda f: f.verdict is Verdict.NOT_KNOWN)
    lines: list[str] = []
    for finding in open_ones:
        lines += _finding(finding, report, full=full)
    fits = sum(f.verdict is Verdict.FITS for f in report.check.judged)
    if fits:
        lines.append(f"{words.counted(fits, 'other joint fits', 'other joints fit')} as they are.")
    return lines


def _finding(finding: Finding, report: JoinReport, *, full: bool) -> list[str]:
    mine = [b for b in report.bridges if b.finding == finding.id]
    told = said(finding, report.check)
    fact = fact_of(finding, report.check).removesuffix(".")
    link = "; " if ": " in fact else ": "
    if finding.verdict in NO and not mine:
        do = next((text for t, text in told.lines if t == "do"), "")
        advice = f"{do[0].lower()}{do[1:].removesuffix('.')}, as no" if do else "no"
        head = words.sentence(f"{fact}{link}{advice} adapter closes this gap")
        others = _others([b for b in report.others if b.finding == finding.id])
        because = [text for t, text in told.lines if t == "because"]
        if told.bold:
            head = f"{told.head.removesuffix(f' ({finding.id})')} {words.sentence(f'{advice} adapter closes this gap')}"
        return [f"{head} ({finding.id})", *(f"    {t}" for t in (*because, *others))]
    if not mine:
        return [told.head, *(f"    {t}: {text}" for t, text in told.lines if t in ("because", "do", "measure"))]
    if finding.verdict is Verdict.NOT_KNOWN:
        measured = [f"    {t}: {text}" for t, text in told.lines if t in ("because", "measure")]
        lines = [told.head, *measured, "    What bridges it, if it comes out so that one is needed:"]
    else:
        names = words.listed([b.kind.title for b in mine[:_BRIDGES_AT_MOST]], "or")
        lines = [f"{words.sentence(f'{fact}{link}put this in between, {names}')} ({finding.id})"]
    named = len(mine) == 1 and finding.verdict is not Verdict.NOT_KNOWN
    for bridge in mine if full else mine[:_BRIDGES_AT_MOST]:
        lines += [f"    {t}" for t in _bridge(bridge, named=named, sources=full)]
    if len(mine) > _BRIDGES_AT_MOST and not full:
        lines.append(f"    and {words.counted(len(mine) - _BRIDGES_AT_MOST, 'other kind')} (--full)")
    return lines


def _bridge(bridge: Bridge, *, named: bool, sources: bool) -> list[str]:
    """Return one adapter; ``named``: what it is was said already."""
    slots = f"on the list as {words.listed([words.slot(s) for s in bridge.slots], 'or')}" if bridge.slots else ""
    what = [] if named else [bridge.kind.title]
    lines = [words.sentence(", ".join([*what, *([slots] if slots else [])]))] if what or slots else []
    if bridge.kind.caution:
        lines.insert(0, words.sentence(f"caution: {bridge.kind.caution}"))
    if bridge.kind.limits:
        lines.append(words.sentence(f"limit: {bridge.kind.limits}"))
    if bridge.kind.effects:
        lines.append(words.sentence(f"effect: {words.listed([e.replace('-', ' ') for e in bridge.kind.effects])}"))
    if bridge.offers:
        numbers = words.listed([words.clean(o.number) for o in bridge.offers])
        lines.append(f"On the shelf, judged in between: {numbers}.")
    if bridge.untold:
        lines.append(f"Of {words.counted(bridge.untold, 'part')} on the shelf the figures do not decide.")
    if sources:
        lines += [f"source: {g}" for g in words.grounds(bridge.kind)]
    return lines


def _others(others: Sequence[Bridge]) -> list[str]:
    """Return the adapters that there are for other gaps at the same joint."""
    named = list(dict.fromkeys(b.kind.title for b in others))
    more = len(named) - _OTHERS_AT_MOST
    told = [*named[:_OTHERS_AT_MOST], *([f"{more} more"] if more > 0 else [])]
    return [f"For other gaps at this joint there are: {words.listed(told)}."] if named else []


def _to_customer(report: JoinReport) -> list[str]:
    told = plain.answer(report.check)
    names = list(dict.fromkeys(b.kind.title for b in report.bridges))
    lines = [f.head for f in told.findings] or [told.headline]
    lines += [words.sentence(c) for c in dict.fromkeys(b.kind.caution for b in report.bridges if b.kind.caution)]
    if names:
        lines.append(f"The part in between: {words.listed(names, 'or')}.")
    return [*lines, plain.takes(report.check)]
