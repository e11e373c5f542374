"""What instead of this part: every part of the shelf that fills its slots is put in and judged with the whole list.

In: a list and one of its purchases. Out: substitutes that leave the other picks alone, the same with an adapter of the
shelf, and why the rest falls through. A joint that does not fit whatever lies in this slot is set apart.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from catalog_schema.fitting_list import FittingList
from catalog_schema.lean import dataclass, replace
from catalog_schema.parts import Part
from catalog_schema.quantity import Limit, Measure
from solver.explain import changes, pages, shelf
from solver.explain.changes import Before
from solver.explain.trial import signature
from solver.remedies import Change, Fallen, Misses, NearMiss
from solver.report import NO, Finding, ShownFigure, Verdict
from solver.rules.evaluating import Entry
from solver.rules.registry import JOINTS

ORDERS = ("price", "mass", "stock", "closest")
_NEAREST = 3


@dataclass(frozen=True, slots=True)
class Exchange:
    """What came of trying the shelf in place of one purchase."""

    substitutes: tuple[Change, ...]
    with_adapter: tuple[Change, ...]
    misses: Misses
    standing: tuple[Finding, ...]
    unstocked: int
    undecided: tuple[NearMiss, ...]


@dataclass(frozen=True, slots=True)
class _Tried:
    part: Part
    entry: Entry
    findings: Mapping[str, Finding]


def exchange(fitting: FittingList, was: Before, old: Entry, by: str, *, in_stock: bool = False) -> Exchange:
    """Try every part of the shelf in place of a purchase."""
    slot = old.slots[0]
    standing = _standing(was, old)
    shelved = replace(was, stands={f.id: f.rank for f in standing})
    candidates = [p for p in fitting.catalog.filling(slot) if not any(p is o for o in old.parts)]
    stocked = [p for p in candidates if not in_stock or p.identity.stock is None or p.identity.stock > 0]
    good: list[tuple[Change, _Tried]] = []
    bridged: list[tuple[Change, _Tried]] = []
    fell: list[_Tried] = []
    undecided: list[NearMiss] = []
    kept: dict[str, Mapping[str, Finding] | None] = {}
    for part in stocked:
        entry = _entry(was, old, part)
        if entry is None:
            continue
        key = signature(part, slot)
        if key not in kept:
            kept[key] = _now(was, old, entry)
        now = kept[key]
        if now is None:
            continue
        tried = _Tried(part, entry, now)
        bad = _against(shelved, now)
        if bad:
            fell.append(tried)
            if all(f.verdict is Verdict.NOT_KNOWN for f in bad):
                undecided.append(NearMiss(shelf.offer(part), tuple(bad)))
            continue
        change = changes.resolved(shelved, [old], [entry])
        if change is None:
            continue
        better = _with_adapters(fitting, shelved, old, tried) if change.consequences.adapters else None
        if better is not None:
            bridged.append((better, tried))
        if better is None or change.exit_code == 0:
            good.append((change, tried))
    return Exchange(
        tuple(c for c, _ in sorted(good, key=lambda pair: _order(pair, by, was))),
        tuple(c for c, _ in sorted(bridged, key=lambda pair: _order(pair, by, was))),
        _misses(slot, fell, shelved, len(fell) + len(good) + len(bridged)),
        standing,
        len(candidates) - len(stocked),
        tuple(undecided),
    )


def _standing(was: Before, old: Entry) -> tuple[Finding, ...]:
    """Return what is no yes even without the purchase: another part in its place cannot alter it."""
    rest = replace(was.work, entries=tuple(e for e in was.work.entries if e is not old))
    found = rest.findings()
    return tuple(
        f
        for f in found.values()
        if f.state == "judged" and (f.verdict in NO or f.verdict is Verdict.NOT_KNOWN) and _same(f, was.findings[f.id])
    )


def _same(without: Finding, listed: Finding) -> bool:
    return listed.state == "judged" and listed.verdict is without.verdict and listed.reason == without.reason


def _entry(was: Before, old: Entry, part: Part) -> Entry | None:
    """Return the part as it would stand on the list; None if it does not fill all slots of the old, or taken ones."""
    slots = tuple(s for s in was.work.bicycle.order if s in part.fills) if part.together else old.slots[:1]
    if not set(old.slots) <= set(slots):
        return None
    return Entry((old.slots[0], *(s for s in slots if s != old.slots[0])), (part,))


def _now(was: Before, old: Entry, entry: Entry) -> Mapping[str, Finding] | None:
    kept = [e for e in was.work.entries if e is not old]
    taken = {s for e in kept for s in e.slots} | was.work.none
    if taken & set(entry.slots):
        return None
    order = was.work.bicycle.order
    entries = tuple(sorted((*kept, entry), key=lambda e: order[e.slots[0]]))
    return replace(was.work, entries=entries).findings()


def _against(was: Before, now: Mapping[str, Finding]) -> list[Finding]:
    """Return what speaks against a list, the worst first."""
    return sorted((f for f in now.values() if not was.tolerates(f)), key=lambda f: f.rank, reverse=True)


def _with_adapters(fitting: FittingList, was: Before, old: Entry, tried: _Tried) -> Change | None:
    """Return the exchange with an adapter of the shelf in each joint that asks for one, the cheapest that serves."""
    come = [tried.entry]
    for finding in tried.findings.values():
        kinds = [a for t in finding.tests for a in t.adapters if a in was.work.library.rows]
        if finding.state != "judged" or finding.verdict is not Verdict.NEEDS_ADAPTER or not kinds:
            continue
        best: tuple[tuple[int, bool, int, str], Entry] | None = None
        for slot in sorted(pages.adapter_slots(finding, kinds, was.work.library, was.work.bicycle) - was.work.filled):
            for part in fitting.catalog.filling(slot):
                entry = Entry((slot,), (part,))
                if part.together and len(part.fills) > 1:
                    continue
                change = changes.resolved(was, [old], [*come, entry])
                if change is None:
                    continue
                price = part.identity.price
                key = (len(change.consequences.adapters), price is None, price.minor if price else 0, part.number)
                if best is None or key < best[0]:
                    best = (key, entry)
        if best is not None:
            come.append(best[1])
    if len(come) == 1:
        return None
    return changes.resolved(was, [old], come)


def _order(pair: tuple[Change, _Tried], by: str, was: Before) -> tuple[object, ...]:
    change, tried = pair
    part = tried.part
    price, mass = change.price_minor, part.identity.mass_g
    days = 0 if part.identity.stock else part.identity.lead_days
    by_price = (price is None, price or 0)
    first: tuple[object, ...] = by_price
    if by == "mass":
        first = (mass is None, mass or Decimal(0))
    elif by == "stock":
        first = (not part.identity.stock, days is None, days or 0)
    elif by == "closest":
        first = closeness(was.findings, tried.findings)
    return (change.exit_code != 0, *first, *by_price, not part.identity.stock, days is None, days or 0, part.number)


def closeness(before: Mapping[str, Finding], now: Mapping[str, Finding]) -> tuple[int, Fraction]:
    """Return how many joints have other figures now, and the sum of their relative differences."""
    changed, far = 0, Fraction(0)
    for finding in now.values():
        old = before.get(finding.id)
        if finding.state not in ("judged", "follows") or old is None:
            continue
        then = {(t.test, f.ref or f.name): f for t in old.tests for f in t.figures}
        differs = False
        for result in finding.tests:
            for figure in result.figures:
                was = then.get((result.test, figure.ref or figure.name))
                if was is None or was.value != figure.value:
                    differs = True
                    far += _far(was, figure)
        changed += differs
    return changed, far


def _far(was: ShownFigure | None, now: ShownFigure) -> Fraction:
    old, new = (_plain(f.value) if f is not None else None for f in (was, now))
    if old is None or new is None:
        return Fraction(1)
    greatest = max(abs(old), abs(new))
    return Fraction(abs(new - old)) / Fraction(greatest) if greatest else Fraction(0)


def _plain(value: object) -> Decimal | None:
    if isinstance(value, Measure | Limit):
        value = value.value
    return value if isinstance(value, Decimal) else None


def _misses(slot: str, fell: Sequence[_Tried], was: Before, tried: int) -> Misses:
    """Return how many fell to which reason, and the nearest: fewest joints against them, then closest figures."""
    counted: dict[tuple[str, str], int] = {}
    ranked: list[tuple[tuple[object, ...], NearMiss]] = []
    for one in fell:
        bad = _against(was, one.findings)
        counted[bad[0].id, bad[0].reason] = counted.get((bad[0].id, bad[0].reason), 0) + 1
        key: tuple[object, ...] = (len(bad), bad[0].rank, sum((_gap(f) for f in bad), Fraction(0)), one.part.number)
        ranked.append((key, NearMiss(shelf.offer(one.part), tuple(bad))))
    order = list(JOINTS)
    fallen = [Fallen(f, r, n) for (f, r), n in counted.items()]
    fallen.sort(key=lambda f: (-f.count, order.index(f.finding.partition("@")[0]), f.finding, f.reason))
    by_key: Callable[[tuple[tuple[object, ...], NearMiss]], tuple[object, ...]] = lambda pair: pair[0]  # noqa: E731
    return Misses(slot, tried, tuple(fallen), tuple(m for _, m in sorted(ranked, key=by_key)[:_NEAREST]))


def _gap(finding: Finding) -> Fraction:
    """Return how far two figures of a finding lie apart, as a share of the greater; 1 if they are words."""
    result = finding.deciding
    figures = result.figures if result is not None else ()
    numbers = [v for f in figures if f.ref and (v := _plain(f.value)) is not None]
    if len(numbers) < 2:
        return Fraction(1)
    low, high = min(numbers), max(numbers)
    return Fraction(high - low) / Fraction(abs(high)) if high else Fraction(0)
