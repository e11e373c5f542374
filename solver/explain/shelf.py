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

#: So many parts that differ in their figures are tried for one need; more are not looked at.
GREATEST_TRIALS: Final = 400

Fits = Callable[[Mapping[str, Finding]], Verdict]


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


def to_add(trial: Trial, slot: str, parts: Iterable[Part], finding: str = "") -> Shelf:
    """Return the parts that complete a list in an empty slot; with ``finding``, that one must then fit as well."""
    before = trial.findings()
    verdicts = _verdicts(parts, slot, lambda p: trial.putting(slot, p), lambda now: _added(before, now, slot, finding))
    return _shelf(slot, verdicts)


def to_replace(trial: Trial, slot: str, parts: Iterable[Part], finding: str) -> Shelf:
    """Return the parts that, in place of the one in ``slot``, make ``finding`` fit and nothing else worse."""
    before = trial.findings()

    def fits(now: Mapping[str, Finding]) -> Verdict:
        target = now[finding]
        if target.state != "judged" or target.verdict is not Verdict.FITS:
            return target.verdict if target.state == "judged" else Verdict.NO_FIT
        return Verdict.NO_FIT if _worse(before, now) else Verdict.FITS

    verdicts = _verdicts(parts, slot, lambda p: trial.replacing(slot, p), fits)
    return _shelf(slot, verdicts)


def _added(before: Mapping[str, Finding], now: Mapping[str, Finding], slot: str, finding: str) -> Verdict:
    """Return how a part that was put in fits there: its own joints must be judged, and nothing else get worse."""
    mine = [f for f in now.values() if f.state == "judged" and (slot in f.slots or slot in f.through)]
    if finding:
        mine.append(now[finding])
    if not mine or any(f.state != "judged" for f in mine):
        return Verdict.NO_FIT
    if _worse(before, now, new_too=False):
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
    parts: Iterable[Part], slot: str, change: Callable[[Part], Trial | None], fits: Fits
) -> list[tuple[Part, Verdict]]:
    kept: dict[str, Verdict] = {}
    found = []
    for part in parts:
        key = signature(part, slot)
        if key not in kept:
            if len(kept) >= GREATEST_TRIALS:
                continue
            changed = change(part)
            kept[key] = Verdict.NO_FIT if changed is None else fits(changed.findings())
        found.append((part, kept[key]))
    return found


def _shelf(slot: str, verdicts: Iterable[tuple[Part, Verdict]]) -> Shelf:
    found = list(verdicts)
    offers = sorted((offer(p) for p, v in found if v is Verdict.FITS), key=_cheapest)
    return Shelf(slot, tuple(offers), sum(v is Verdict.NOT_KNOWN for _, v in found))


def _cheapest(item: Offer) -> tuple[bool, str, int, str]:
    return (item.price_minor is None, item.currency, item.price_minor or 0, item.number)
