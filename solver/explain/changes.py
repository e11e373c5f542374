"""Changes to a list, re-solved: whatever is proposed is put into the list and judged by the rules before it is told.

In: a list as a ``Trial`` and proposals. Out: ``Change`` records with what else they bring. This module is the gate:
nothing that the rules do not call a yes passes it.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache

from catalog_schema.catalog import Catalog
from catalog_schema.figures import Variant
from catalog_schema.fitting_list import FittingList
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.parts import Part
from solver.explain import fastenings, shelf
from solver.explain.conflicts import Things
from solver.explain.meets import TooFarError
from solver.explain.nearby import Nearby, Sought
from solver.explain.relaxed import Proposal, Relaxed, TooManyCombinations, TooWide, relaxed
from solver.explain.trial import Trial
from solver.network.candidates import there
from solver.remedies import Change, Consequences, Remedies
from solver.report import YES, Finding, MissingPart, Verdict, exit_code
from solver.rules.evaluating import Entry

#: So many builds are judged in search of changes, and so many changes of the smallest size are kept.
MOST_JUDGED = 400
MOST_KEPT = 8
#: More picks than so many are not given up one by one in search of the smallest change.
_MOST_GIVEN_UP = 4


@dataclass(frozen=True)
class Before:
    """A list as it stands: its findings, what it lacks, and where a slot is mentioned by name."""

    work: Trial
    findings: Mapping[str, Finding]
    missing: tuple[MissingPart, ...]
    named: frozenset[str]
    spoken_for: frozenset[str]
    #: joints that may stay as bad as they are, and how bad that is: no part that is asked about can alter them
    stands: Mapping[str, tuple[int, int]] = field(default_factory=dict)

    def tolerates(self, finding: Finding) -> bool:
        """Return whether a finding is a yes, or no worse than it may stay."""
        if finding.state != "judged" or finding.verdict in YES:
            return True
        return finding.id in self.stands and finding.rank <= self.stands[finding.id]


def before(fitting: FittingList, work: Trial) -> Before:
    """Return a list as it stands; what is not known there may stay so."""
    found = work.findings()
    named = frozenset(s for s, state in fitting.slots.items() if not state.by_other)
    open_slots = frozenset(s for s, state in fitting.slots.items() if state.state == "open")
    unknown = {f.id: f.rank for f in found.values() if f.state == "judged" and f.verdict is Verdict.NOT_KNOWN}
    return Before(work, found, tuple(lacking(work, found, open_slots)), named, open_slots, unknown)


def lacking(work: Trial, found: Mapping[str, Finding], open_slots: frozenset[str]) -> list[MissingPart]:
    """Return the parts that complete a fastening and are not there."""
    parts = {s: (e.slots[0], e.parts[0]) for e in work.entries for s in e.slots if s in e.parts[0].fills}
    figures: Mapping[str, Sequence[Variant]] = fastenings.as_set(parts, found.values())
    return fastenings.lacking(work.bicycle, figures, work.none, work.filled | open_slots)


def judged_well(was: Before, now: Mapping[str, Finding]) -> bool:
    """Return whether a changed list goes together: every joint is a yes, or one that may stay as it is."""
    return all(was.tolerates(f) for f in now.values())


def resolved(was: Before, gone: Collection[Entry], come: Sequence[Entry], extras: Sequence[str] = ()) -> Change | None:
    """Return the change that takes some purchases off a list and puts others on it, or None if that is no cure."""
    found = _attempt(was, gone, come, extras)
    if found is None:
        return None
    work, now = found
    if not judged_well(was, now):
        return None
    verdicts = [f.verdict for f in now.values() if f.state == "judged"]
    standing = tuple(f.id for f in now.values() if f.state == "judged" and f.verdict not in YES)
    edits = _edits(was, gone, come)
    return Change(
        tuple(e.slots[0] for e in gone),
        edits,
        tuple((e.slots[0], shelf.offer(e.parts[0])) for e in come),
        tuple(e.slots[0] for e in come if not set(e.slots) & {s for g in gone for s in g.slots}),
        tuple(extras),
        exit_code(verdicts),
        standing,
        consequences(was, gone, come, work, now),
        tuple(e.slots for e in come),
        tuple((e.slots[0], e.parts[0].number or e.parts[0].label) for e in gone),
        tuple((f.id, f.verdict) for f in now.values() if f.state == "judged" and f.verdict is not Verdict.FITS),
        tuple((m.slot, m.lacks) for m in lacking(work, now, was.spoken_for)),
    )


def _attempt(
    was: Before, gone: Collection[Entry], come: Sequence[Entry], extras: Sequence[str]
) -> tuple[Trial, dict[str, Finding]] | None:
    kept = [e for e in was.work.entries if not any(e is g for g in gone)]
    taken = [s for e in (*kept, *come) for s in e.slots]
    if len(taken) != len(set(taken)) or set(taken) & was.work.none:
        return None
    order = was.work.bicycle.order
    entries = tuple(sorted((*kept, *come), key=lambda e: order[e.slots[0]]))
    work = replace(was.work, entries=entries, extras=(*was.work.extras, *extras))
    return work, work.findings()


def _edits(was: Before, gone: Collection[Entry], come: Sequence[Entry]) -> dict[str, str]:
    """Return slot -> number: where a slot is mentioned, or would otherwise not be."""
    homes = {g.slots[0] for g in gone}
    edits: dict[str, str] = {}
    for entry in come:
        number = entry.parts[0].number
        slots = [s for s in entry.slots if s in homes or s in was.named] or [entry.slots[0]]
        edits.update((s, number) for s in slots)
    return dict(sorted(edits.items(), key=lambda item: was.work.bicycle.order[item[0]]))


def consequences(
    was: Before, gone: Collection[Entry], come: Sequence[Entry], work: Trial, now: Mapping[str, Finding]
) -> Consequences:
    """Return what else a change brings."""
    known = {(m.slot, m.lacks) for m in was.missing}
    missing = tuple(m for m in lacking(work, now, was.spoken_for) if (m.slot, m.lacks) not in known)
    met = {s for f in was.findings.values() if f.state in ("judged", "follows") for s in (*f.slots, *f.through)}
    meets = {s for f in now.values() if f.state == "judged" for s in (*f.slots, *f.through)}
    kept = [e for e in work.entries if not any(e is c for c in come)]
    idle = tuple(e.slots[0] for e in kept if set(e.slots) & met and not set(e.slots) & meets)
    old = was.findings

    def is_new(finding: Finding) -> bool:
        before_it = old.get(finding.id)
        return before_it is None or before_it.state != "judged" or before_it.verdict is not finding.verdict

    fresh = [f for f in now.values() if f.state == "judged" and is_new(f)]
    new, left = [e.parts[0] for e in come], [e.parts[0] for e in gone]
    currencies = {p.identity.price.currency for p in (*new, *left) if p.identity.price is not None}
    alike = len(currencies) == 1
    return Consequences(
        missing,
        idle,
        tuple(f for f in fresh if f.verdict is Verdict.NEEDS_WORK),
        tuple(f for f in fresh if f.verdict is Verdict.NEEDS_ADAPTER),
        _price(new) if alike else None,
        _price(left) if alike else None,
        next(iter(currencies)) if alike else "",
        _mass(new, left),
    )


def _price(parts: Iterable[Part]) -> int | None:
    total = 0
    for part in parts:
        if part.identity.price is None:
            return None
        total += part.identity.price.minor
    return total


def _mass(new: Sequence[Part], left: Sequence[Part]) -> Decimal | None:
    masses = [(p.identity.mass_g, sign) for found, sign in ((new, 1), (left, -1)) for p in found]
    if any(m is None for m, _ in masses):
        return None
    return sum((m * sign for m, sign in masses if m is not None), Decimal(0))


def of_proposal(was: Before, proposal: Proposal) -> Change | None:
    """Return a proposal of the search as a change, or None if the rules do not call it a yes."""
    gone = [was.work.entries[i] for i in sorted(proposal.given_up)]
    come = [Entry(c.slots, (c.part,)) for c in proposal.bought]
    beside = [Entry((slot,), (part,)) for slot, part in proposal.adapters]
    whole = resolved(was, gone, [*come, *beside], proposal.extras)
    if whole is None:
        return None
    for entry in beside:
        fewer = resolved(was, gone, [e for e in (*come, *beside) if e is not entry], proposal.extras)
        if fewer is not None and fewer.exit_code <= whole.exit_code:
            whole, beside = fewer, [e for e in beside if e is not entry]
    if not was.spoken_for:
        return whole
    chosen = {e.slots[0] for e in come if set(e.slots) & was.spoken_for}
    edits = {s: n for s, n in whole.edits.items() if s not in was.spoken_for}
    shown = [i for i, (slot, _) in enumerate(whole.offers) if slot not in chosen]
    offers, fills = tuple(whole.offers[i] for i in shown), tuple(whole.fills[i] for i in shown)
    return replace(whole, edits=edits, offers=offers, fills=fills)


def smallest(
    fitting: FittingList,
    was: Before,
    *,
    keep: Collection[str] = (),
    banned: Collection[str] = (),
    in_stock: bool = False,
    clashes: Sequence[Collection[str]] = (),
) -> Remedies:
    """Return the smallest changes after which a build exists.

    Fewest picks given up, then fewest parts to buy, then cheapest, in stock, soonest. A list whose slots are all filled
    is searched joint by joint around what is red; one with open slots, or with too much in question, as a whole.

    Args:
        fitting: the list.
        was: the same as it stands.
        keep: slots whose part is not given up.
        banned: slots whose part must be given up.
        in_stock: new parts must be in stock.
        clashes: known clashes, each by the slots of its picks; without any, the whole list is searched.
    """
    entries = was.work.entries
    kept = tuple(sorted(keep, key=was.work.bicycle.order.__getitem__))
    free = [i for i, e in enumerate(entries) if not set(e.slots) & set(keep)]
    if not fitting.catalog.parts:
        return Remedies(why_none="no-catalogue", kept=kept)
    sets = [frozenset(i for i in free if set(c) & set(entries[i].slots)) for c in clashes]
    if any(not s for s in sets):
        return Remedies(why_none="kept-parts-clash", kept=kept)

    def searched(among: Collection[int], catalog: Catalog) -> Remedies:
        fixed = {s for i, e in enumerate(entries) if i not in among for s in e.slots}
        found = relaxed(
            replace(fitting, catalog=catalog),
            was.work,
            keep={*keep, *fixed},
            banned=banned,
            unknown=bool(was.stands),
            in_stock=in_stock,
        )
        return _first(found, was, kept, MOST_KEPT)

    try:
        if not was.spoken_for:
            stay = frozenset(range(len(entries))) - frozenset(free)
            go = frozenset(i for i in free if set(entries[i].slots) & set(banned))
            search = _around(fitting, was, stay, go, in_stock=in_stock)
            try:
                size, found = search.smallest(_MOST_GIVEN_UP)
            except TooFarError:
                pass
            else:
                ways = [searched(gone, _serving(fitting, was, search, gone)) for gone in found]
                return _united(ways, was, kept, size)
        return searched(free, fitting.catalog)
    except (TooManyCombinations, TooWide):
        return Remedies(proven=False, why_none="too-wide", kept=kept)


def _around(fitting: FittingList, was: Before, stay: Things, go: Things, *, in_stock: bool) -> Nearby:
    @cache
    def shelf(slot: str) -> list[Part]:
        return [p for p in fitting.catalog.filling(slot) if there(p, in_stock=in_stock, within_days=None)]

    return Nearby(Sought(was.work, shelf, stay, go, was.tolerates, frozenset(was.stands)))


def _serving(fitting: FittingList, was: Before, search: Nearby, gone: Things) -> Catalog:
    """Return the catalogue without the parts that cannot fill the slots of the picks given up."""
    slots = {s for i in gone for s in was.work.entries[i].slots}
    serving = search.serving(gone)
    catalog = fitting.catalog
    fills = {
        n: filled
        for n, filled in catalog.fills().items()
        if slots.isdisjoint(filled) or id(catalog.parts[n]) in serving
    }
    return Catalog({n: catalog.parts[n] for n in fills}, catalog.models, catalog.files, fills)


def _united(ways: Sequence[Remedies], was: Before, kept: tuple[str, ...], size: int) -> Remedies:
    """Return what giving up each of some sets of picks leads to, the handiest first."""
    if not ways:
        return Remedies(why_none="none-on-the-shelf", kept=kept)
    changes = sorted((c for w in ways for c in w.changes), key=lambda c: handiest(c, was))
    if not changes:
        return Remedies(proven=False, why_none="not-found", kept=kept)
    return Remedies(tuple(changes[:MOST_KEPT]), size, kept=kept)


def _first(found: Relaxed, was: Before, kept: tuple[str, ...], most: int) -> Remedies:
    """Return the first changes of a search: those after which all fits as listed, then those that ask for more."""
    changes: dict[tuple[object, ...], Change] = {}
    tries = itertools.count(1)

    def judged(proposals: Iterator[Proposal], size: int = 0) -> Iterator[Change]:
        for proposal in proposals:
            if (size and len(proposal.given_up) > size) or next(tries) > MOST_JUDGED:
                return
            change = of_proposal(was, proposal)
            if change is not None:
                yield change
                size = len(change.given_up)

    every = judged(found.proposals())
    first = next(every, None)
    if first is None:
        stopped = next(tries) > MOST_JUDGED
        return Remedies(proven=not stopped, why_none="not-found" if stopped else "none-on-the-shelf", kept=kept)
    size = len(first.given_up)
    as_listed = judged(found.proposals(as_listed=True), size)
    for change in itertools.chain(as_listed, [first], every):
        if len(change.given_up) == size:
            changes.setdefault((tuple(change.edits.items()), change.extras), change)
        if len(changes) >= most:
            break
    return Remedies(tuple(sorted(changes.values(), key=lambda c: handiest(c, was))), size, kept=kept)


def handiest(change: Change, was: Before) -> tuple[object, ...]:
    """Return a sort key: cheapest, in stock, soonest, then bicycle order and numbers."""
    price = change.price_minor
    days = [0 if o.stock else o.lead_days for _, o in change.offers]
    out_of_stock = sum(not o.stock for _, o in change.offers)
    longest = max((d for d in days if d is not None), default=0)
    order = was.work.bicycle.order
    return (
        len(change.given_up),
        len(change.offers) + (change.exit_code != 0),
        price is None,
        price or 0,
        out_of_stock,
        None in days,
        longest,
        [order[s] for s in change.given_up],
        list(itertools.chain(*change.edits.items())),
    )
