"""Changes to a list in words: what goes in, what it costs, when it is here, what else it brings.

In: ``Change`` and ``Remedies`` records. Out: texts in the mechanic's words and in the customer's.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from decimal import Decimal
from typing import Final

from solver.remedies import Change, Remedies
from solver.report import Finding, Offer
from solver.wording import words

_CHANGES_AT_MOST: Final = 3
_NAMED_AT_MOST: Final = 3


def ways(found: Remedies, *, customer: bool = False, full: bool = False) -> list[str]:
    """Return the smallest changes, one a line."""
    if not found.changes:
        return []
    if found.size == 1:
        lines = ["What helps, judged again:"]
    elif found.proven:
        lines = [f"What helps, judged again; fewer than {found.size} parts do not:"]
    else:
        lines = [f"What helps, judged again; fewer than {found.size} parts may do:"]
    shown = found.changes if full else found.changes[: 1 if customer else _CHANGES_AT_MOST]
    lines += [f"    {'or ' if i else ''}{change(c, customer=customer)}" for i, c in enumerate(shown)]
    more = len(found.changes) - len(shown)
    return [*lines, f"    and {words.counted(more, 'more way')} (--full)"] if more and not customer else lines


def change(found: Change, *, customer: bool = False) -> str:
    """Return one change in a line: what goes in, what it costs and when, what else it brings."""
    text = words.listed(comes(found, customer=customer))
    if found.extras and not customer:
        text += f", and {words.listed([words.clean(e) for e in found.extras])} among the extras"
    return words.joined([f"{text}: {terms(found)}.", brings(found, customer=customer)])


def comes(found: Change, *, customer: bool = False, about: Collection[str] = ()) -> list[str]:
    """Return the parts of a change, those of one number together; parts in slots that were empty come last.

    For the customer a set goes by the slot that this is ``about``, and where many parts come those that go are told.
    """
    if customer and len(found.offers) > _NAMED_AT_MOST:
        return [f"another {words.listed([words.slot(s) for s, _ in found.left])}, with what belongs to them"]
    grouped: dict[tuple[bool, str], list[tuple[str, tuple[str, ...]]]] = {}
    for (slot, offer), filled in zip(found.offers, found.fills, strict=True):
        key = (slot in found.added, slot if customer and len(filled) == 1 else offer.number)
        grouped.setdefault(key, []).append((slot, filled))
    texts = []
    for (added, number), mine in sorted(grouped.items(), key=lambda item: item[0][0]):
        slots = [s for s, _ in mine]
        whole = mine[0][1]
        if customer:
            texts.append(_plainly(next((s for s in whole if s in about), slots[0]), whole, added=added))
        elif len(whole) > 1:
            texts.append(f"the set {words.clean(number)} ({_several(whole)})")
        else:
            texts.append(f"{_several(slots)} {words.clean(number)}")
    return texts


def _plainly(slot: str, whole: Sequence[str], *, added: bool) -> str:
    name = words.slot(slot)
    several = name.endswith("s")
    first = f"in addition {'' if several else 'a '}" if added else "other " if several else "another "
    rest = [s for s in whole if s != slot]
    return f"{first}{name}" + (f" in a set with {_several(rest)}" if rest else "")


def _several(slots: Sequence[str]) -> str:
    """Return slots by name, few of them."""
    if len(slots) <= _NAMED_AT_MOST:
        return words.listed([words.slot(s) for s in slots])
    left = len(slots) - _NAMED_AT_MOST + 1
    return f"{', '.join(words.slot(s) for s in slots[: _NAMED_AT_MOST - 1])} and {left} places more"


def action(found: Change) -> str:
    """Return what to do, opening with a verb: what goes in, in place of what."""
    fresh = [c for c in zip(found.offers, found.fills, strict=True) if c[0][0] not in found.added]
    if len(fresh) > _NAMED_AT_MOST:
        leaving = words.listed([f"the {words.slot(s)}" for s, _ in found.left])
        return f"change {words.counted(len(found.left), 'part')} of the list, {leaving}"
    if len(fresh) == len(found.left) == 1:
        ((_, offer), filled), (slot, old) = fresh[0], found.left[0]
        one = f"the set {words.clean(offer.number)}" if len(filled) > 1 else words.clean(offer.number)
        was = words.clean(old) if len(filled) > 1 and old else f"the {words.slot(slot)} {words.clean(old)}".strip()
        text = f"take {one} in place of {was}"
    else:
        named = [f"{words.clean(o.number)} for the {words.slot(s)}" for (s, o), _ in fresh]
        text = f"take {words.listed(named)}"
    added = [o.number for s, o in found.offers if s in found.added]
    return f"{text}, with {words.listed([words.clean(n) for n in added])}" if added else text


def terms(found: Change) -> str:
    """Return price, time and mass of a change."""
    price = found.price_minor
    currency = next((o.currency for _, o in found.offers if o.currency), "")
    texts = [money(price, currency) if price is not None else "price not known", when([o for _, o in found.offers])]
    brought = found.consequences
    if brought.saved_minor is not None and brought.spent_minor is not None:
        more = brought.spent_minor - brought.saved_minor
        if more:
            texts.append(f"{money(abs(more), brought.currency)} {'more' if more > 0 else 'less'} than now")
    mass = brought.mass_g
    if mass:
        texts.append(f"{words.computed(abs(mass))} g {'heavier' if mass > 0 else 'lighter'}")
    return ", ".join(t for t in texts if t)


def when(offers: Sequence[Offer]) -> str:
    """Return when the last of some parts is here; nothing if that is not stated."""
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


def brings(found: Change, *, customer: bool) -> str:
    """Return what else a change brings: parts to get, adapters, work, parts of no use, what stays open."""
    brought = found.consequences

    def places(findings: Iterable[str]) -> str:
        return words.listed(list(findings))

    texts = []
    if brought.missing:
        texts.append(f"Still to get then: {words.listed([m.lacks or words.slot(m.slot) for m in brought.missing])}.")
    if brought.adapters:
        texts.append(_lacking_adapters(brought.adapters, customer=customer))
    if brought.work:
        named = places(words.slot(f.slots[0]) if customer else f.id for f in brought.work)
        texts.append(f"It then takes work ({named}).")
    if brought.idle:
        texts.append(f"No longer of use: {words.listed([words.slot(s) for s in brought.idle])}.")
    if found.standing and not customer:
        texts.append(f"Still not settled: {words.listed(found.standing)}.")
    return words.joined(texts)


def _lacking_adapters(findings: Sequence[Finding], *, customer: bool) -> str:
    """Return what has to go in between and is not on the shelf: by name and joint, for the customer by part."""
    if customer:
        where = words.listed(list(dict.fromkeys(f"the {words.slot(f.slots[0])}" for f in findings)))
        number = words.counted(len(findings), "small part", "small parts")
        return f"It then takes {number} in between that we do not have, at {where}."
    kinds = dict.fromkeys(" or ".join(words.row_name(a) for t in f.tests for a in t.adapters) for f in findings)
    named = "; ".join(k for k in kinds if k)
    joints = words.listed([f.id for f in findings])
    one = f": {named}" if named else ""
    return f"It then needs an adapter that is not on the shelf{one} ({joints})."
