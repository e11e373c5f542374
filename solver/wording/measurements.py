"""Measurements and comparisons in words.

In: records of ``remedies``. Out: lines; what a line is pushed in by is kept by whoever shows it.
"""

from __future__ import annotations

from typing import Final

from solver.remedies import CompareReport, Meaning, Measurement, MeasureReport, Shift
from solver.report import Verdict
from solver.wording import answer, store, words
from solver.wording import customer as plain
from solver.wording.finding import label, title
from solver.wording.remedies import fact_line

_SHIFTS_AT_MOST: Final = 7


# -- measure ------------------------------------------------------------------------------------------------------


def measure(report: MeasureReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what to measure, in which order, and what the outcomes mean."""
    if not report.measurements:
        lines = [answer.headline(report.check) if not customer else plain.answer(report.check).headline]
        if report.asking:
            lines.append(_asking(report, customer=customer))
        else:
            lines.append("Nothing has to be measured.")
        return lines
    number = words.counted(report.worst, "measurement")
    how = "at most" if report.exact else "about"
    lines = [
        f"{number[0].upper()}{number[1:]} settle it, {how}." if report.worst > 1 else "One measurement settles it."
    ]
    if customer:
        lines[0] = "We have to measure before we can say."
        lines += [f"    {words.figure_name(m.ref)}" for m in report.measurements]
        return lines
    if not report.exact:
        lines.append("More figures are missing than can be tried in every order, so fewer may do.")
    room = 20
    for at, one in enumerate(report.measurements):
        told = _measurement(at + 1, one, meanings=full or len(report.measurements) <= 4)
        if not full and len(told) > room:
            lines.append(f"{words.counted(len(report.measurements) - at, 'more')} (--full shows all)")
            break
        room -= len(told)
        lines += told
    return [*lines, *([_asking(report, customer=False)] if report.asking else [])]


def _measurement(number: int, one: Measurement, *, meanings: bool) -> list[str]:
    hint = one.hint
    points = f"{hint.tool}, from {hint.start} to {hint.end}" if hint.start and hint.end else ""
    how = points or hint.look or hint.tool
    lines = [f"{number}. {words.figure_name(one.ref)}: {how or 'see the label'}."]
    if hint.safety:
        lines.append(f"    {words.sentence(hint.safety)}")
    if meanings:
        key = one.ref.partition(":")[0].rpartition(".")[2]
        texts = [f"{_range(m, key)}: {_means(m)}" for m in one.meanings]
        lines.append(f"    {'; '.join(texts)}.")
    return lines


def _range(meaning: Meaning, key: str) -> str:
    unit = words.unit(key)
    if meaning.word:
        return "nothing printed" if meaning.word == "not-printed" else words.word(meaning.word)
    low, high = meaning.low, meaning.high
    if low is not None and low == high:
        return f"{words.computed(low)}{unit}"
    if low is None and high is None:
        return "whatever it is"
    if low is None and high is not None:
        return f"{'under' if meaning.high_open else 'up to'} {words.computed(high)}{unit}"
    if high is None and low is not None:
        return f"{'over' if meaning.low_open else 'from'} {words.computed(low)}{unit}"
    if low is not None and high is not None:
        return f"{'over ' if meaning.low_open else ''}{words.computed(low)} to {words.computed(high)}{unit}"
    return ""


def _means(meaning: Meaning) -> str:
    if meaning.verdict is None:
        return "not settled by this alone"
    return str(store.common("possible")[meaning.verdict.word])


def _asking(report: MeasureReport, *, customer: bool) -> str:
    if customer:
        return "The maker has to be asked before we can promise it."
    return f"No measurement settles {words.listed([f.id for f in report.asking])}: ask the maker."


# -- compare ------------------------------------------------------------------------------------------------------


def compare(report: CompareReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what changes from list to list."""
    lines = [_balance(report)]
    parts = [_slot_change(s, a, b) for s, a, b in report.slots]
    shown = parts if full else parts[:6]
    if parts:
        more = f" and {len(parts) - len(shown)} more" if len(parts) > len(shown) else ""
        lines.append(f"Parts: {'; '.join(shown)}{more}.")
    telling = [s for s in report.shifts if s.direction != "figures" or full]
    room = telling if full else telling[:_SHIFTS_AT_MOST]
    lines += [_shift(s, report, customer=customer) for s in room]
    if len(telling) > len(room):
        lines.append(f"{words.counted(len(telling) - len(room), 'more joint')} (--full shows all).")
    quiet = len(report.shifts) - len(telling)
    beside = [f"{report.same} unchanged"]
    if quiet:
        beside.append(f"{quiet} with other figures and the same verdict")
    lines.append(words.sentence(f"joints beside these: {', '.join(beside)}"))
    return lines


def _balance(report: CompareReport) -> str:
    counts = {d: sum(s.direction == d for s in report.shifts) for d in ("worse", "better", "new", "gone")}
    texts = [
        f"{n} {word}"
        for word, n in (("worse", counts["worse"]), ("better", counts["better"]), ("judged anew", counts["new"]))
        if n
    ]
    if counts["gone"]:
        texts.append(f"{counts['gone']} no longer judged")
    if not texts:
        return "No joint has another verdict."
    return words.sentence(f"from the first list to the second: {words.listed(texts)}")


def _slot_change(slot: str, before: str, after: str) -> str:
    was, now = (words.clean(t) or "not mentioned" for t in (before, after))
    return f"{words.slot(slot)} {was} to {now}"


def _shift(shift: Shift, report: CompareReport, *, customer: bool) -> str:
    finding = shift.after or shift.before
    if finding is None:
        return ""
    side = report.after if shift.after is not None else report.before
    was = label(shift.before) if shift.before is not None else "not judged"
    now = label(shift.after) if shift.after is not None else "not judged"
    head = f"{shift.direction.capitalize()}: {title(finding, side)}: {was}, then {now}"
    if customer:
        return f"{head}."
    tell = shift.after is not None and shift.after.verdict is not Verdict.FITS
    return words.joined([f"{head}.", fact_line(finding, side) if tell else f"({finding.id})"])
