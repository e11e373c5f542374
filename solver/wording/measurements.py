"""Measurements and comparisons in words.

In: records of ``remedies``. Out: lines; what a line is pushed in by is kept by whoever shows it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from solver.remedies import CompareReport, Meaning, Measurement, MeasureReport, Shift
from solver.report import Verdict
from solver.wording import answer, store, words
from solver.wording import customer as plain
from solver.wording.finding import fact_line, fact_of, label, title

_SHIFTS_AT_MOST: Final = 7
_RANGES_AT_MOST: Final = 3


# -- measure ------------------------------------------------------------------------------------------------------


def measure(report: MeasureReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what to measure, in which order, and what the outcomes mean."""
    if customer:
        return _to_customer(report)
    if not report.measurements:
        told = [answer.headline(report.check)]
        return [*told, _asking(report) if report.asking else "Nothing has to be measured."]
    names = [_named(m) for m in report.measurements]
    if report.worst == 1:
        lines = [f"Measure {names[0]}: that alone settles whether it goes together."]
    else:
        first = words.listed(names[:3]) if len(names) <= 3 else f"{names[0]} first, then as below"
        how = "at most" if report.exact else "about"
        lines = [f"Measure {first}: {how} {words.counted(report.worst, 'measurement')} settle it."]
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
    return [*lines, *([_asking(report)] if report.asking else [])]


def _to_customer(report: MeasureReport) -> list[str]:
    """Return what has to be found out, without figures that only a workshop can take."""
    if not report.measurements and not report.asking:
        return [plain.answer(report.check).headline, "Nothing has to be measured."]
    parts = list(dict.fromkeys(words.slot(m.ref.partition(".")[0]) for m in report.measurements))
    lines = []
    if parts:
        lines.append(f"Before we can say whether it goes together, we have to measure the {words.listed(parts)}.")
    if report.asking:
        asked = list(dict.fromkeys(words.slot(s) for f in report.asking for s in f.slots))
        also = "also " if parts else ""
        lines.append(f"Before we can promise it, we {also}have to ask the makers about: {words.listed(asked)}.")
    visit = "the bicycle, or the parts, in the workshop" if parts else "an answer from the makers"
    return [*lines, f"What it takes: {visit}; nothing has to be bought for that."]


def _measurement(number: int, one: Measurement, *, meanings: bool) -> list[str]:
    hint = one.hint
    points = f"{hint.tool}, from {hint.start} to {hint.end}" if hint.start and hint.end else ""
    how = points or hint.look or hint.tool
    lines = [f"{number}. {words.figure_name(one.ref)}: {how or 'see the label'}."]
    if hint.safety:
        lines.append(f"    {words.sentence(hint.safety)}")
    if meanings:
        lines += [f"    {t}" for t in _outcomes(one)]
    return lines


def _named(one: Measurement) -> str:
    """Return a figure in a sentence: the bore of the seat tube (frame)."""
    return f"the {one.hint.words} ({words.slot(one.ref.partition('.')[0])})"


def _outcomes(one: Measurement) -> list[str]:
    """Return what each outcome means, the best first; the outcome with the most ranges is all the rest."""
    key = one.ref.partition(":")[0].rpartition(".")[2]
    grouped: dict[Verdict | None, list[str]] = {}
    for meaning in sorted(one.meanings, key=lambda m: 9 if m.verdict is None else int(m.verdict)):
        grouped.setdefault(meaning.verdict, []).append(_range(meaning, key))
    rest = max(grouped, key=lambda v: len(grouped[v]))
    if len(grouped[rest]) > _RANGES_AT_MOST and len(grouped) > 1:
        grouped[rest] = ["anything else"]
        grouped[rest] = grouped.pop(rest)
    return [words.sentence(f"{words.listed(r, 'or')}: {_means(v)}") for v, r in grouped.items()]


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
        if meaning.high_open:
            return (
                f"{'over' if meaning.low_open else 'from'} {words.computed(low)} and under {words.computed(high)}{unit}"
            )
        return f"{'over ' if meaning.low_open else ''}{words.computed(low)} to {words.computed(high)}{unit}"
    return ""


def _means(verdict: Verdict | None) -> str:
    if verdict is None:
        return "not settled by this alone"
    return str(store.common("possible")[verdict.word])


def _asking(report: MeasureReport) -> str:
    return f"No measurement settles {words.listed([f.id for f in report.asking])}: ask the maker."


# -- compare ------------------------------------------------------------------------------------------------------


def compare(report: CompareReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what changes from list to list: the worst news first, with the part that brings it."""
    telling = [s for s in report.shifts if s.direction != "figures" or full]
    lines = [_first(report, telling, customer=customer)]
    parts = _slot_changes(report.slots)
    shown = parts if full else parts[:6]
    if parts and (len(parts) > 1 or not customer):
        more = f" and {len(parts) - len(shown)} more" if len(parts) > len(shown) else ""
        lines.append(f"Parts: {'; '.join(shown)}{more}.")
    room = telling if full else telling[:_SHIFTS_AT_MOST]
    lines += [_shift(s, report, customer=customer) for s in room]
    if len(telling) > len(room):
        lines.append(f"{words.counted(len(telling) - len(room), 'more joint')} (--full shows all).")
    quiet = len(report.shifts) - len(telling)
    beside = [f"{report.same} unchanged"]
    if quiet:
        beside.append(f"{quiet} with other figures and the same verdict")
    balance = _balance(report)
    return [*lines, words.joined([balance, words.sentence(f"joints beside these: {', '.join(beside)}")])]


def _balance(report: CompareReport) -> str:
    counts = {d: sum(s.direction == d for s in report.shifts) for d in ("worse", "better", "new", "gone")}
    named = (("worse", "worse"), ("better", "better"), ("new", "judged anew"), ("gone", "no longer judged"))
    texts = [f"{counts[d]} {word}" for d, word in named if counts[d]]
    return words.sentence(f"in the second list {words.listed(texts)}") if texts else ""


def _first(report: CompareReport, telling: Sequence[Shift], *, customer: bool) -> str:
    """Return the first sentence: the part that makes the difference, what gets worse or better, what to do."""
    if not telling:
        return "Take either list: no joint has another verdict in the second."
    foremost = telling[0]
    told = foremost.after or foremost.before
    side = report.after if foremost.after is not None else report.before
    slots = set(told.slots) if told is not None else set()
    causes = [(s, a, b) for s, a, b in report.slots if s in slots]
    what = ""
    if told is not None:
        what = plain.sentence_of(told, side) if customer else fact_of(told, side)
        what = f"{what[0].lower()}{what[1:]}".removesuffix(".")
    with_it = words.listed([f"the {words.slot(s)}{'' if customer else f' {words.clean(b)}'}" for s, _, b in causes])
    head = f"With {with_it} of the second list" if causes else "With the second list"
    if foremost.is_bad:
        verdict = "gets worse" if foremost.before is not None else "comes in that is no plain fit"
        old = words.listed([f"the {words.slot(s)}{'' if customer else f' {words.clean(a)}'}" for s, a, _ in causes])
        kept = all(a not in ("", "none", "any") for _, a, _ in causes)
        advice = f", so stay with {old} of the first" if causes and kept else ""
        return f"{head} a joint {verdict}{advice}: {what}."
    match foremost.direction:
        case "better":
            if foremost.before is not None:
                was = report.before
                what = plain.sentence_of(foremost.before, was, wish=False) if customer else ""
                what = what or fact_of(foremost.before, was)
                what = f"{what[0].lower()}{what[1:]}".removesuffix(".")
            return f"{head} a joint gets better, and none gets worse, so take it; in the first {what}."
        case "new":
            fresh = sum(s.direction == "new" for s in report.shifts)
            alone = "1 is judged in the second alone, and well" if fresh == 1 else ""
            alone = alone or f"{fresh} are judged in the second alone, all of them well"
            return f"Take either list: of the joints that both have none gets worse; {alone}."
        case "gone":
            return f"{head} a joint is no longer judged, and none gets worse."
    return "Take either list: no joint has another verdict in the second."


def _slot_changes(slots: Sequence[tuple[str, str, str]]) -> list[str]:
    """Return what is in each slot before and after; a set that fills several is told once."""
    grouped: dict[tuple[str, str], list[str]] = {}
    for slot, before, after in slots:
        grouped.setdefault((before, after), []).append(words.slot(slot))
    texts = []
    for (before, after), names in grouped.items():
        was, now = (words.clean(t) or "not mentioned" for t in (before, after))
        named = words.listed(names) if len(names) <= 2 else f"{names[0]} and {len(names) - 1} places more"
        texts.append(f"{named} {was} to {now}")
    return texts


def _shift(shift: Shift, report: CompareReport, *, customer: bool) -> str:
    finding = shift.after or shift.before
    if finding is None:
        return ""
    side = report.after if shift.after is not None else report.before
    was = label(shift.before) if shift.before is not None else "not judged"
    now = label(shift.after) if shift.after is not None else "no longer judged"
    head = f"{shift.direction.capitalize()}: {title(finding, side)}: {was}, then {now}"
    if customer:
        return f"{head}."
    tell = shift.after is not None and shift.after.verdict is not Verdict.FITS
    return words.joined([f"{head}.", fact_line(finding, side) if tell else f"({finding.id})"])
