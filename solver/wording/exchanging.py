"""What may stand in place of a part, in words; and why the rest of the shelf does not serve.

In: a ``SwapReport``, ``Misses``. Out: lines; what a line is pushed in by is kept by whoever shows it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from solver.remedies import Change, Misses, NearMiss, SwapReport
from solver.report import NO, CheckReport
from solver.wording import changing, words
from solver.wording.finding import fact_line, label

_SUBSTITUTES_AT_MOST: Final = 6
_UNDECIDED_AT_MOST: Final = 3
_WITH_ADAPTER_AT_MOST: Final = 3
_REASONS_AT_MOST: Final = 4

_ORDERS: Final = {
    "price": "cheapest first",
    "mass": "lightest first",
    "stock": "soonest first",
    "closest": "closest to it first",
}
_NOTHING: Final = {
    "none-on-the-shelf": "not even with other parts changed as well: keep it, or find one elsewhere",
    "no-catalogue": "as no catalogue is open: name one with --catalog",
    "kept-parts-clash": "as what is kept does not go together: give up one of the kept parts",
    "too-wide": "and whether one would with other parts changed as well could not be worked out: find one elsewhere",
    "not-found": "and no change of other parts was found that makes one serve: find one elsewhere",
}


def swap(report: SwapReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what may stand in place of a part."""
    pages = CheckReport(report.title, (), pages=report.pages)
    slot = words.slot(report.slot)
    now = words.clean(report.now.number or report.now.label)
    place = f"the {slot} {now}" if now and not customer else f"the {slot}"
    if customer:
        return _to_customer(report, slot)
    lines = _serving(report, place, full=full)
    if report.misses is not None and (full or not report.substitutes):
        lines += misses(report.misses, pages)
    if report.standing:
        named = words.listed([f"{f.id} ({label(f)})" for f in report.standing])
        lines.append(f"Whatever stands here does not alter: {named}.")
    beside = []
    if report.undecided:
        parts = [_undecided(m) for m in (report.undecided if full else report.undecided[:_UNDECIDED_AT_MOST])]
        more = len(report.undecided) - len(parts)
        named = words.listed([*parts, *([f"{more} more"] if more else [])])
        beside.append(f"of {words.counted(len(report.undecided), 'part')} the figures do not decide: {named}")
    if report.unstocked:
        beside.append(f"{words.counted(report.unstocked, 'part')} not in stock left out, not deleted")
    return [*lines, *([words.sentence("; ".join(beside))] if beside else [])]


def _undecided(part: NearMiss) -> str:
    """Return a part and the figures that are missing at the first joint that waits for them."""
    result = part.findings[0].deciding
    missing = [words.figure_name(m) for m in result.missing] if result is not None else []
    return f"{words.clean(part.offer.number)} ({'; '.join(missing) or part.findings[0].id})"


def _serving(report: SwapReport, place: str, *, full: bool) -> list[str]:
    lines: list[str] = []
    serving = report.substitutes
    if len(serving) == 1:
        (one,) = serving
        lines.append(f"In place of {place} take {_one(one)}, all else left as it is: {changing.terms(one)}.")
        lines += [f"    {t}" for t in [changing.brings(one, customer=False)] if t]
    elif serving:
        head = f"In place of {place} take one of these {len(serving)} parts, all else left as it is"
        lines += [f"{head}; {_ORDERS[report.by]}, judged again:"]
        lines += _some([f"    {changing.change(c)}" for c in serving], full=full)
    if report.with_adapter:
        head = "With an adapter in between as well:" if lines else f"In place of {place} take, with an adapter between:"
        several = [f"    {changing.change(c)}" for c in report.with_adapter]
        lines += [head, *_some(several, full=full, most=_WITH_ADAPTER_AT_MOST)]
    if lines:
        return lines
    found = report.remedies
    if found.changes:
        head = f"In place of {place} nothing on the shelf serves with all else left as it is; "
        return [f"{head}{changing.action(found.changes[0])}.", *changing.ways(found, full=full)]
    why = _NOTHING.get(found.why_none, "")
    head = f"On the shelf no part serves in place of {place}"
    return [f"{head}, {why}." if why else f"{head}."]


def _one(found: Change) -> str:
    names = [words.clean(o.number) for _, o in found.offers]
    return words.listed(names)


def _to_customer(report: SwapReport, slot: str) -> list[str]:
    serving = [*report.substitutes, *report.with_adapter]
    lines = []
    several = slot.endswith("s")
    another, goes = ("other", "go") if several else ("another", "goes")
    if serving:
        first = serving[0]
        more = len(serving) - 1
        between = "" if report.substitutes else ", with a small part in between"
        these = "these" if several else "this one"
        text = f"{another.capitalize()} {slot} can take the place of {these}{between}, all else left as it is"
        lines.append(
            f"{text}; {words.counted(more, 'other part does', 'other parts do')} as well." if more else f"{text}."
        )
        lines += [t for t in [changing.brings(first, customer=True)] if t]
        lines.append(f"What it takes: {another} {slot}, {changing.terms(first)}.")
    elif report.remedies.changes:
        first = report.remedies.changes[0]
        parts = words.listed(changing.comes(first, customer=True))
        lines.append(f"{another.capitalize()} {slot} {goes} on this bicycle only if other parts are changed with it.")
        lines += [t for t in [changing.brings(first, customer=True)] if t]
        lines.append(f"What it takes: {parts}, {changing.terms(first)}.")
    else:
        found = "they have" if several else "one has"
        lines.append(f"We have no other {slot} that {goes} on this bicycle; {found} to be found elsewhere.")
        lines.append(
            f"What it takes: {another} {slot} from elsewhere; what it costs and when it is here we have to ask."
        )
    if report.standing:
        lines.insert(-1, "Something else on the list is still open, whichever part is taken here.")
    return lines


def _some(lines: list[str], *, full: bool, most: int = _SUBSTITUTES_AT_MOST) -> list[str]:
    if full or len(lines) <= most:
        return lines
    return [*lines[:most], f"    and {len(lines) - most} more (--full)"]


def misses(found: Misses, pages: CheckReport) -> list[str]:
    """Return how many candidates fell to which reason, and the nearest with their figures."""
    if not found.fallen:
        return [] if found.tried else [f"The shelf has no other part for the {words.slot(found.slot)}."]
    number = sum(f.count for f in found.fallen)
    named = [f"{f.count} at {f.finding} ({f.reason.replace('-', ' ')})" for f in found.fallen[:_REASONS_AT_MOST]]
    more = sum(f.count for f in found.fallen[_REASONS_AT_MOST:])
    if more:
        named.append(f"{more} for other reasons")
    tried = words.counted(found.tried, "part")
    lines = [f"Tried as {words.slot(found.slot)}: {tried}; {number} fell through: {words.listed(named)}."]
    if found.nearest:
        lines.append("Nearest:")
        lines += [f"    {_near(n, pages)}" for n in found.nearest]
    return lines


def _near(miss: NearMiss, pages: CheckReport) -> str:
    more: Sequence[str] = [f.id for f in miss.findings[1:] if f.verdict in NO]
    beside = f" Not only there: {words.listed(more)}." if more else ""
    return f"{words.clean(miss.offer.number)}: {fact_line(miss.findings[0], pages)}{beside}"
