"""What the open catalogues have for a need: every part that could fill the slot is put in and judged.

In: a list as a ``Trial``, a slot, the parts of the catalogues. Out: a ``Shelf`` of the parts that fit there, cheapest
first. A part whose figures do not decide is counted, never offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from catalog_schema.parts import Part
from solver.explain.trial import Trial, signature
from solver.report import NO, YES, Finding, Offer, Shelf, Verdict
from solver.rules.registry import JOINTS

#: So many parts that differ in their figures are tried for one need; more are not looked at.
GREATEST_TRIALS: Final = 400

Fits = Callable[[Trial], Verdict]


def offer(part: Part) -> Offer:
    """Return what the catalogue says of a part, as an offer."""
    identity = part.identity
    price = identity.price
    return Offer(
        part.number,
        part.label,
        price.minor if price is not None else None,
        price.currency if price is not None else "",
        identity.stock,
        identity.lead_days,
    )


def to_add(trial: Trial, before: Mapping[str, Finding], slot: str, parts: Iterable[Part], finding: str = "") -> Shelf:
    """Return the parts that complete a list in an empty slot; with ``finding``, that one must then fit as well.

    ``before`` are the findings of the list as it stands.
    """

    def there(changed: Trial) -> Verdict:
        return _added(before, changed.findings(), slot, finding)

    return _shelf(slot, _verdicts(parts, lambda p: signature(p, slot), lambda p: trial.putting(slot, p), there))


def to_replace(trial: Trial, before: Mapping[str, Finding], slot: str, parts: Iterable[Part], finding: str) -> Shelf:
    """Return the parts that, in place of the one in ``slot``, make ``finding`` fit and nothing else worse.

    ``before`` are the findings of the list as it stands. Each part is first judged in this one joint alone, then those
    that fit there in the whole list.
    """
    reads = _reads(before[finding])

    def alone(changed: Trial) -> Verdict:
        return _verdict(changed.about(frozenset(reads)).findings()[finding])

    def in_the_list(changed: Trial) -> Verdict:
        now = changed.findings()
        return Verdict.NO_FIT if _worse(before, now) else _verdict(now[finding])

    first = _verdicts(parts, lambda p: signature(p, slot, reads), lambda p: trial.replacing(slot, p), alone)
    good = [p for p, v in first if v is Verdict.FITS]
    second = _verdicts(good, lambda p: signature(p, slot), lambda p: trial.replacing(slot, p), in_the_list)
    return _shelf(slot, [*second, *((p, v) for p, v in first if v is Verdict.NOT_KNOWN)])


def _verdict(finding: Finding) -> Verdict:
    """Return the verdict of a finding that must be judged."""
    return finding.verdict if finding.state == "judged" else Verdict.NO_FIT


def _reads(finding: Finding) -> dict[str, frozenset[str]]:
    """Return slot -> the figures that a finding may depend on, adapters in between included."""
    joint = JOINTS[finding.joint]
    by_role: dict[str, set[str]] = {}
    for test in joint.tests:
        for ref in (*(r.ref for r in test.reads), *test.asked_if, *test.asked_unless):
            role, _, path = ref.partition(".")
            by_role.setdefault(role, {"material"}).add(path)
    found: dict[str, set[str]] = {}
    for place in joint.places:
        if place.name == finding.place:
            for role, slot in place.roles.items():
                found.setdefault(slot, set()).update(by_role.get(role, ()))
            if place.adapter:
                found.setdefault(place.adapter, set()).update(*by_role.values())
    return {slot: frozenset(paths) for slot, paths in found.items()}


def _added(before: Mapping[str, Finding], now: Mapping[str, Finding], slot: str, finding: str) -> Verdict:
    """Return how a part that was put in fits there: its own joints must be judged, and nothing else get worse."""
    mine = [f for f in now.values() if f.state == "judged" and (slot in f.slots or slot in f.through)]
    if finding:
        mine.append(now[finding])
    if not mine or any(f.state != "judged" for f in mine):
        return Verdict.NO_FIT
    if _worse(before, {i: f for i, f in now.items() if i != finding}, new_too=False):
        return Verdict.NO_FIT
    return max(f.verdict for f in mine)


def _worse(before: Mapping[str, Finding], now: Mapping[str, Finding], *, new_too: bool = True) -> bool:
    """Return whether a joint got worse, or one that was not judged before is now anything but a yes."""
    for found in now.values():
        if found.state != "judged":
            continue
        old = before[found.id]
        if old.state == "judged" and found.rank > old.rank:
            return True
        if new_too and old.state != "judged" and found.verdict not in YES:
            return True
        if found.verdict in NO and old.state != "judged":
            return True
    return False


def _verdicts(
    parts: Iterable[Part], alike: Callable[[Part], str], change: Callable[[Part], Trial | None], fits: Fits
) -> list[tuple[Part, Verdict]]:
    """Return the verdict on each part; those that are alike are judged once."""
    kept: dict[str, Verdict] = {}
    found = []
    for part in parts:
        changed = change(part)
        if changed is None:
            continue
        key = alike(part)
        if key not in kept:
            if len(kept) >= GREATEST_TRIALS:
                continue
            kept[key] = fits(changed)
        found.append((part, kept[key]))
    return found


def _shelf(slot: str, verdicts: Iterable[tuple[Part, Verdict]]) -> Shelf:
    found = list(verdicts)
    offers = sorted((offer(p) for p, v in found if v is Verdict.FITS), key=_cheapest)
    return Shelf(slot, tuple(offers), sum(v is Verdict.NOT_KNOWN for _, v in found))


def _cheapest(item: Offer) -> tuple[bool, str, int, str]:
    return (item.price_minor is None, item.currency, item.price_minor or 0, item.number)
