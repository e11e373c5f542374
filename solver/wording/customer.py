"""The same answer for the person who owns the bicycle: plain words, no figures that he cannot take, what it takes.

In: a ``CheckReport``. Out: an ``Answer`` whose closing sentence says what it takes, what the parts cost and when they
are here, as far as the open catalogues know; what they do not know is said, never counted as nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from catalog_schema.lean import replace
from solver.remedies import Change
from solver.report import NO, CheckReport, Finding, Offer, Verdict
from solver.wording import store, words
from solver.wording.answer import Answer, worst_first
from solver.wording.finding import Said, roles_of, title

#: As many joints that wait for a measurement are told in one sentence.
_AS_ONE_FROM: Final = 3

_OPENING = {
    Verdict.FITS: "Everything we looked at goes together.",
    Verdict.NEEDS_ADAPTER: "It goes together, with a small part in between.",
    Verdict.NEEDS_WORK: "It goes together, after some work in the workshop.",
    Verdict.NOT_KNOWN: "We cannot promise it yet.",
    Verdict.NO_FIT: "As listed, it does not go together.",
    Verdict.UNSAFE: "As listed, it is not safe.",
}


def answer(report: CheckReport) -> Answer:
    """Return the answer in the customer's words."""
    worst = report.worst
    verdict = worst.verdict if worst is not None else Verdict.FITS
    opening = _OPENING[verdict]
    if worst is not None and worst.perhaps is not None:
        opening = "As listed, it does not go together, and may not be safe."
    shown = [f for f in worst_first(report.judged) if f.verdict is not Verdict.FITS]
    missing = []
    for part in report.missing:
        values = {"slot": words.slot(part.slot), "because": words.slot(part.because)}
        text = store.filled(store.common("missing", part.fastening).get("customer", "{slot}"), values)
        missing.append(words.joined(["Still to get:", text or words.slot(part.slot)]))
    notes = []
    if report.open_slots:
        notes.append(words.sentence(f"still to choose: {', '.join(words.slot(s) for s in report.open_slots)}"))
    dangerous = worst is not None and (worst.verdict is Verdict.UNSAFE or worst.perhaps is not None)
    return Answer(opening, _told_once(shown, report), tuple(missing), tuple(notes), takes(report), bold=dangerous)


def _told_once(shown: Sequence[Finding], report: CheckReport) -> tuple[Said, ...]:
    """Return what is not a plain fit, the same words once; joints that wait for a figure are one sentence."""
    waiting = [f for f in shown if f.deciding is not None and f.deciding.reason == "figure-missing"]
    if len(waiting) < _AS_ONE_FROM:
        waiting = []
    found: dict[str, Said] = {}
    for finding in shown:
        one = said(finding, report)
        if finding in waiting:
            text = store.filled(
                store.common("customer")["many-wait"], {"titles": "; ".join(title(f, report) for f in waiting)}
            )
            one = Said(waiting[0].id, words.sentence(text or ""), (), bold=False, red=False)
        found.setdefault(one.head, one)
    return tuple(found.values())


def said(finding: Finding, report: CheckReport, *, wish: bool = True) -> Said:
    """Return a judged finding in the customer's words; ``wish`` tells what it asks for as well."""
    text = sentence_of(finding, report, wish=wish)
    page = report.pages.get(finding.joint)
    dangerous = finding.verdict is Verdict.UNSAFE or finding.perhaps is not None
    if dangerous and page is not None and page.caution:
        opening = "Unsafe" if finding.verdict is Verdict.UNSAFE else "Perhaps unsafe"
        text = f"{opening}: {page.caution[0].lower()}{words.sentence(page.caution)[1:]} {words.sentence(text)}"
    return Said(finding.id, words.sentence(text), (), bold=dangerous, red=finding.verdict in NO)


def sentence_of(finding: Finding, report: CheckReport, *, wish: bool = True) -> str:
    """Return what a finding says in the customer's words, without any caution.

    Without the ``wish`` where something else is done about it, as by the change that an answer proposes.
    """
    result = finding.deciding
    test, reason = (result.test, result.reason) if result is not None else ("", "")
    sentence = store.of_reason(finding.joint, test, reason)
    settings = {}
    if finding.settings:
        slot, group, option = finding.settings[0]
        settings = {"holder": words.slot(slot), "group": words.clean(group), "option": words.clean(option)}
    values = {"title": title(finding, report), **settings}
    if result is not None:
        values |= {role: words.slot(slot) for role, slot in roles_of(finding, result, report).items()}
    text = store.filled(sentence.get("customer", ""), values)
    text = text or store.filled(store.common("customer")[finding.verdict.word], values) or ""
    wanted = store.filled(sentence.get("wish", ""), values) if wish else ""
    return with_wish(text, wanted) if wanted else text


def with_wish(text: str, wish: str) -> str:
    """Return what is wrong and what is wanted, as one sentence if that does not make three parts of it.

    >>> with_wish("This wheel is too wide for this frame.", "another hub is needed")
    'This wheel is too wide for this frame; another hub is needed.'
    """
    if ";" in text:
        return f"{words.sentence(text)} {words.sentence(wish)}"
    return words.sentence(f"{text.removesuffix('.')}; {wish}")


def takes(report: CheckReport) -> str:
    """Return the closing sentence: what it takes, what it costs, when."""
    found = steps(report)
    return f"What it takes: {words.listed(found)}{_cost(report)}." if found else "What it takes: nothing more."


def beside(report: CheckReport, change: Change | None) -> list[str]:
    """Return what is to do beside a change: of the joints and parts that are open now, what it leaves as it is."""
    judged = [f for f in report.judged if f.verdict not in NO]
    missing = report.missing
    if change is not None:
        after = dict(change.after)
        judged = [f for f in judged if after.get(f.id) is f.verdict]
        missing = tuple(m for m in missing if (m.slot, m.lacks) in change.lacking)
    return steps(replace(report, findings=tuple(judged), missing=missing))


def steps(report: CheckReport) -> list[str]:
    """Return what is still to do, place by place counted."""
    found = []
    judged = report.judged
    wrong = sum(f.verdict in NO for f in judged)
    adapters = sum(f.verdict is Verdict.NEEDS_ADAPTER for f in judged)
    works = sum(f.verdict is Verdict.NEEDS_WORK for f in judged)
    unknown = sum(f.verdict is Verdict.NOT_KNOWN for f in judged)
    if wrong:
        found.append(f"another choice of part in {words.counted(wrong, 'place')}")
    if adapters:
        found.append(words.counted(adapters, "small part in between", "small parts in between"))
    if works:
        found.append(words.counted(works, "job in the workshop", "jobs in the workshop"))
    if unknown:
        found.append(f"{words.counted(unknown, 'question')} to settle by measuring or asking the maker")
    if report.missing:
        found.append(words.counted(len(report.missing), "part still to get", "parts still to get"))
    return found


def _cost(report: CheckReport) -> str:
    """Return price and time of the cheapest parts that were found to fit, as far as the catalogues know them."""
    needs = [*(m.shelf for m in report.missing), *(n.shelf for n in report.needs)]
    cured = {c.finding: c.shelf for c in reversed(report.cures)}
    needs += [cured.get(f.id) for f in report.judged if f.verdict in NO]
    if all(shelf is None for shelf in needs):
        return ""
    offers = [shelf.offers[0] for shelf in needs if shelf is not None and shelf.offers]
    unfound = len(needs) - len(offers)
    priced = [o for o in offers if o.price_minor is not None]
    text = ""
    currencies = {o.currency for o in priced}
    if priced and len(currencies) == 1:
        total = sum((Decimal(o.price_minor or 0) for o in priced), Decimal(0)) / 100
        text += f"; {words.counted(len(priced), 'part')} from the shelf from {total:.2f} {currencies.pop()}"
    elif priced:
        text += "; the prices are in several currencies"
    unknown = unfound + len(offers) - len(priced)
    if unknown:
        text += f"; the price of {words.counted(unknown, 'part')} is not known"
    return text + _when(offers, unfound)


def _when(offers: list[Offer], unfound: int) -> str:
    if not offers or unfound:
        return ""
    days = [0 if o.stock else o.lead_days for o in offers]
    known = [d for d in days if d is not None]
    if len(known) < len(days):
        return ""
    longest = max(known)
    return "; all of it is here" if longest == 0 else f"; here in {words.counted(longest, 'day')}"
