"""Reasons and remedies in words: clashes, changes, substitutes, adapters.

In: records of ``remedies``. Out: lines; what a line is pushed in by is kept by whoever shows it. The customer's
register uses plain words and no figure that he cannot take.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from solver.remedies import (
    Bridge,
    Change,
    Clash,
    JoinReport,
    Misses,
    NearMiss,
    Remedies,
    SwapReport,
    WhyReport,
)
from solver.report import NO, CheckReport, Finding, Offer, Verdict
from solver.wording import answer, store, words
from solver.wording import customer as plain
from solver.wording.finding import fact, label, said, title, values_of

_CHANGES_AT_MOST: Final = 3
_SUBSTITUTES_AT_MOST: Final = 6
_REASONS_AT_MOST: Final = 4
_BRIDGES_AT_MOST: Final = 3

_WHY_NONE: Final = {
    "no-catalogue": "No catalogue is open, so no other part can be named. Another part in place of any one of these "
    "would end the clash.",
    "none-on-the-shelf": "Nothing on the shelf makes it go together{kept}: every part there was considered.",
    "kept-parts-clash": "The parts that are kept do not go together with each other, so no other part can help.",
    "too-wide": "Which change is smallest could not be worked out: too many parts are in question at once.",
    "not-found": "No change was found among those tried; there may be one.",
}


# -- why ----------------------------------------------------------------------------------------------------------


def why(report: WhyReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what stands before the findings: the clash, and the smallest changes."""
    lines: list[str] = []
    shown = report.clashes if full else report.clashes[:1]
    for clash in shown:
        lines += _clash(clash, report.check, customer=customer)
    more = len(report.clashes) - len(shown)
    if more:
        beyond = "" if report.all_clashes else ", and perhaps others"
        lines.append(f"{words.counted(more, 'other clash', 'other clashes')}{beyond}; --full shows all.")
    if not report.clashes:
        return lines
    lines += remedies(report.remedies, customer=customer, full=full)
    for misses in report.misses if full else report.misses[:1]:
        lines += [] if customer else _misses(misses, report.check)
    return lines


def _clash(clash: Clash, report: CheckReport, *, customer: bool) -> list[str]:
    if clash.searched:
        return [_searched(clash, customer=customer)]
    mentioned = {s for f in clash.findings for s in (*f.slots, *f.through)}
    picks = [_pick(clash, i, mentioned, customer=customer) for i in range(len(clash.picks))]
    one = f"{picks[0]} cannot stay on this bicycle" if len(picks) == 1 else ""
    lead = f"Why: {one or f'{words.listed(picks)} cannot stay together'}"
    if customer:
        return [f"{lead}."]
    told = {f.id for f in report.judged if f.verdict in NO}
    named = [f.id for f in clash.findings]
    facts = [f"    {fact_line(f, report)}" for f in clash.findings if f.id not in told]
    return [f"{lead} ({words.listed(named)}).", *facts]


def _pick(clash: Clash, at: int, mentioned: set[str], *, customer: bool) -> str:
    fills = clash.fills[at] if clash.fills else clash.picks[at : at + 1]
    here = [s for s in fills if s in mentioned] or [clash.picks[at]]
    name = words.clean(clash.names[at]) if clash.names else ""
    text = f"the {words.listed([words.slot(s) for s in here])}"
    return f"{text} {name}" if name and not customer else text


def _searched(clash: Clash, *, customer: bool) -> str:
    empty = words.listed([words.slot(s) for s in clash.open_slots], "or")
    if not clash.picks:
        return f"Why: on the shelf there are no parts for {empty} that go together, whatever else is on the list."
    picks = words.listed([_pick(clash, i, set(), customer=customer) for i in range(len(clash.picks))])
    which = "" if customer or not clash.joints else f" ({', '.join(clash.joints)})"
    return f"Why: no {empty} on the shelf goes with {picks}{' at once' if len(clash.picks) > 1 else ''}{which}."


def fact_line(finding: Finding, report: CheckReport) -> str:
    """Return what a finding says, and its id."""
    result = finding.deciding
    if result is None:
        return words.sentence(title(finding, report))
    sentence = store.of_reason(finding.joint, result.test, result.reason)
    text = fact(finding, result, sentence, values_of(finding, result, report), report)
    return f"{words.sentence(text)} ({finding.id})"


def remedies(found: Remedies, *, customer: bool = False, full: bool = False) -> list[str]:
    """Return the smallest changes."""
    if not found.changes:
        text = _WHY_NONE.get(found.why_none, "")
        kept = f" with the {words.listed([words.slot(s) for s in found.kept])} kept" if found.kept else ""
        return [text.format(kept=kept)] if text else []
    fewer = "" if found.proven else " (fewer may do)"
    lines = [f"Change {words.counted(found.size, 'part')}{fewer} and it goes together, judged again:"]
    shown = found.changes if full else found.changes[: 1 if customer else _CHANGES_AT_MOST]
    lines += [f"    {'or ' if i else ''}{change(c, customer=customer)}" for i, c in enumerate(shown)]
    more = len(found.changes) - len(shown)
    return [*lines, f"    and {more} more ways (--full)"] if more and not customer else lines


def change(found: Change, *, customer: bool = False) -> str:
    """Return one change in a line: what goes in, what it costs and when, what else it brings."""
    offers = dict(found.offers)
    fresh = [s for s in found.added if s in offers]
    swaps = [s for s in offers if s not in fresh]
    if customer:
        text = f"another {words.listed([words.slot(s) for s in swaps])}"
        if fresh:
            text += f", and in addition a {words.listed([words.slot(s) for s in fresh])}"
    else:
        text = words.listed([f"{words.slot(s)} {words.clean(offers[s].number)}" for s in swaps])
        if fresh:
            text += f", with {words.listed([f'{words.slot(s)} {words.clean(offers[s].number)}' for s in fresh])}"
        if found.extras:
            text += f", and {words.listed([words.clean(e) for e in found.extras])} among the extras"
    return words.joined([f"{text}: {_terms(found)}.", _brings(found, customer=customer)])


def _terms(found: Change) -> str:
    """Return price, time and mass of a change."""
    price = found.price_minor
    currency = next((o.currency for _, o in found.offers if o.currency), "")
    texts = [money(price, currency) if price is not None else "price not known", _when([o for _, o in found.offers])]
    brought = found.consequences
    if brought.saved_minor is not None and brought.spent_minor is not None:
        more = brought.spent_minor - brought.saved_minor
        if more:
            texts.append(f"{money(abs(more), brought.currency)} {'more' if more > 0 else 'less'} than now")
    mass = brought.mass_g
    if mass:
        texts.append(f"{words.computed(abs(mass))} g {'heavier' if mass > 0 else 'lighter'}")
    return ", ".join(t for t in texts if t)


def _when(offers: Sequence[Offer]) -> str:
    days = [0 if o.stock else o.lead_days for o in offers]
    if None in days:
        return "not in stock" if any(o.stock == 0 for o in offers) else ""
    longest = max((d for d in days if d is not None), default=0)
    return "in stock" if longest == 0 else f"here in {words.counted(longest, 'day')}"


def money(minor: int, currency: str) -> str:
    """Return an amount.

    >>> money(4590, "EUR")
    '45.90 EUR'
    """
    return f"{Decimal(minor) / 100:.2f} {currency}".strip()


def _brings(found: Change, *, customer: bool) -> str:
    brought = found.consequences
    texts = []
    if brought.missing:
        names = [m.lacks or words.slot(m.slot) for m in brought.missing]
        texts.append(f"Still to get then: {words.listed(names)}.")
    if brought.adapters:
        places = [words.slot(f.slots[0]) if customer else f.id for f in brought.adapters]
        texts.append(f"It then needs an adapter that is not on the shelf ({words.listed(places)}).")
    if brought.work:
        places = [words.slot(f.slots[0]) if customer else f.id for f in brought.work]
        texts.append(f"It then takes work ({words.listed(places)}).")
    if brought.idle:
        texts.append(f"No longer of use: {words.listed([words.slot(s) for s in brought.idle])}.")
    if found.standing:
        texts.append(f"Still not settled: {words.listed(found.standing)}." if not customer else "")
    return words.joined(texts)


# -- swap ---------------------------------------------------------------------------------------------------------


def swap(report: SwapReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return what may stand in place of a part."""
    pages = CheckReport(report.title, (), pages=report.pages)
    slot = words.slot(report.slot)
    now = words.clean(report.now.number or report.now.label)
    place = f"the {slot} {now}" if now and not customer else f"the {slot}"
    lines = []
    if report.substitutes:
        number = words.counted(len(report.substitutes), "part")
        serves = "serves" if len(report.substitutes) == 1 else "serve"
        lines.append(f"In place of {place} {number} on the shelf {serves}, all else left as it is{_by(report)}:")
        lines += _some([f"    {change(c, customer=customer)}" for c in report.substitutes], full=full)
    if report.with_adapter:
        head = "With an adapter in between as well:" if lines else f"In place of {place}, with an adapter in between:"
        lines += [head, *_some([f"    {change(c, customer=customer)}" for c in report.with_adapter], full=full, most=3)]
    if not lines:
        lines.append(f"Nothing on the shelf serves in place of {place} with all else left as it is.")
        if report.remedies.why_none == "none-on-the-shelf":
            lines.append("Nor does it with other parts changed as well: every part there was considered.")
        else:
            lines += remedies(report.remedies, customer=customer, full=full)
    if report.misses is not None and not customer and (full or not report.substitutes):
        lines += _misses(report.misses, pages)
    if report.standing:
        if customer:
            lines.append("Something else on the list is still open, whichever part is taken here.")
        else:
            named = words.listed([f"{f.id} ({label(f)})" for f in report.standing])
            lines.append(f"Whatever stands here does not alter: {named}.")
    beside = []
    if report.untold:
        beside.append(f"of {words.counted(report.untold, 'part')} the figures do not decide")
    if report.unstocked:
        beside.append(f"{words.counted(report.unstocked, 'part')} not in stock left out")
    return [*lines, *([words.sentence("; ".join(beside))] if beside else [])]


def _by(report: SwapReport) -> str:
    orders = {
        "price": "cheapest first",
        "mass": "lightest first",
        "stock": "soonest first",
        "closest": "closest to it first",
    }
    return f", {orders[report.by]}" if len(report.substitutes) > 1 else ""


def _some(lines: list[str], *, full: bool, most: int = _SUBSTITUTES_AT_MOST) -> list[str]:
    if full or len(lines) <= most:
        return lines
    return [*lines[:most], f"    and {len(lines) - most} more (--full)"]


def _misses(misses: Misses, pages: CheckReport) -> list[str]:
    if not misses.fallen:
        return [] if misses.tried else [f"The shelf has no other part for the {words.slot(misses.slot)}."]
    number = sum(f.count for f in misses.fallen)
    named = [f"{f.count} at {f.finding} ({f.reason.replace('-', ' ')})" for f in misses.fallen[:_REASONS_AT_MOST]]
    more = sum(f.count for f in misses.fallen[_REASONS_AT_MOST:])
    if more:
        named.append(f"{more} for other reasons")
    tried = words.counted(misses.tried, "part")
    lines = [f"Tried as {words.slot(misses.slot)}: {tried}; {number} fell through: {words.listed(named)}."]
    if misses.nearest:
        lines.append("Nearest:")
        lines += [f"    {_near(n, pages)}" for n in misses.nearest]
    return lines


def _near(miss: NearMiss, pages: CheckReport) -> str:
    more = len(miss.findings) - 1
    beside = f" And {words.counted(more, 'joint')} more." if more else ""
    return f"{words.clean(miss.offer.number)}: {fact_line(miss.findings[0], pages)}{beside}"


# -- join ---------------------------------------------------------------------------------------------------------


def join(report: JoinReport, *, full: bool = False, customer: bool = False) -> list[str]:
    """Return which adapters bridge two sides."""
    lines = [answer.headline(report.check) if not customer else plain.answer(report.check).headline]
    bridged = {b.finding for b in report.bridges}
    for finding in answer.worst_first(report.check.judged):
        if finding.verdict is Verdict.FITS:
            continue
        told = said(finding, report.check)
        if customer:
            continue
        lines.append(fact_line(finding, report.check) if finding.id in bridged else told.head)
        mine = [b for b in report.bridges if b.finding == finding.id]
        for bridge in mine if full else mine[:_BRIDGES_AT_MOST]:
            lines += [f"    {t}" for t in _bridge(bridge, sources=full)]
        if len(mine) > _BRIDGES_AT_MOST and not full:
            lines.append(f"    and {words.counted(len(mine) - _BRIDGES_AT_MOST, 'other kind')} (--full)")
        if not mine and finding.verdict in (Verdict.NO_FIT, Verdict.UNSAFE):
            lines.append(f"    {_no_bridge([b for b in report.others if b.finding == finding.id])}")
    if customer:
        names = list(dict.fromkeys(b.kind.title for b in report.bridges))
        if names:
            lines.append(f"It takes a small part in between: {words.listed(names, 'or')}.")
        lines += [words.sentence(c) for c in dict.fromkeys(b.kind.caution for b in report.bridges if b.kind.caution)]
        lines.append(plain.takes(report.check))
    elif not report.bridges and report.exit_code == 0:
        lines.append("They meet as they are; nothing is needed in between.")
    return lines


def _bridge(bridge: Bridge, *, sources: bool) -> list[str]:
    slots = f", on the list as {words.listed([words.slot(s) for s in bridge.slots], 'or')}" if bridge.slots else ""
    lines = [f"adapter: {bridge.kind.title}{slots}."]
    if bridge.kind.caution:
        lines.insert(0, words.sentence(f"caution: {bridge.kind.caution}"))
    if bridge.kind.limits:
        lines.append(words.sentence(f"limit: {bridge.kind.limits}"))
    if bridge.kind.effects:
        lines.append(words.sentence(f"effect: {words.listed([e.replace('-', ' ') for e in bridge.kind.effects])}"))
    if bridge.offers:
        lines.append(
            f"on the shelf, judged in between: {words.listed([words.clean(o.number) for o in bridge.offers])}."
        )
    if sources:
        lines += [f"source: {g}" for g in words.grounds(bridge.kind)]
    return lines


def _no_bridge(others: Sequence[Bridge]) -> str:
    if not others:
        return "No adapter for this is known."
    named = list(dict.fromkeys(b.kind.title for b in others))
    return f"No adapter for this gap is known; for other gaps here there are: {words.listed(named[:4])}."
