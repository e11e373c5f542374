"""A list whose picks may be given up: every pick may stay or be another part of the shelf, in one compiled network.

In: a list with a catalogue. Out: whether some picks can be completed to a build, and builds by the number of picks
given up, then by what the new parts cost. Keeping a pick is a mask; nothing is compiled again. What is found here is a
proposal: whoever shows it has the rules judge it first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any, Final

from catalog_schema.bicycle import Bicycle
from catalog_schema.catalog import Catalog
from catalog_schema.fitting_list import FittingList, SlotState
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.library import Library
from catalog_schema.parts import Identity, Part, Price
from solver.engine.costs import Objective
from solver.engine.options import TooWide
from solver.engine.problem import NOTHING, Problem
from solver.engine.view import View, open_problem
from solver.explain import propagation
from solver.explain.conflicts import Things
from solver.explain.trial import Trial
from solver.network.build import Asked, Network, TooManyCombinations, build
from solver.network.candidates import Candidate
from solver.rules.evaluating import Entry

__all__ = ["Proposal", "Relaxed", "TooManyCombinations", "TooWide", "relaxed"]

_OWN: Final = "\0"
#: What giving up a pick weighs against buying a part.
_GIVEN_UP: Final = 1000


@dataclass(frozen=True, slots=True)
class Proposal:
    """A build of the search: picks given up, what fills their slots and the open ones, adapters and extras beside."""

    given_up: Things
    bought: tuple[Candidate, ...]
    adapters: tuple[tuple[str, Part], ...] = ()
    extras: tuple[str, ...] = ()


@dataclass
class Relaxed:
    """A compiled list. Things are numbers of its purchases, as in ``Trial.entries``."""

    work: Trial
    network: Network
    view: View
    own: Mapping[int, frozenset[int]]
    free: Things
    banned: Things = frozenset()
    _held: dict[Things, bool] = field(default_factory=dict)

    def holds(self, things: Things) -> bool:
        """Return whether some build has these picks; purchases that are not free are in every build."""
        if things not in self._held:
            self._held[things] = self.keeping(things).exists
        return self._held[things]

    def keeping(self, things: Things) -> View:
        """Return the view in which these picks are kept."""
        return self.view.restricted(items=self._masks(things & self.free))

    def _masks(self, things: Things) -> dict[int, Any]:
        masks: dict[int, Any] = {}
        for thing in sorted(things):
            number, stacks = self._relation(thing)
            kept = stacks.ident == -2
            for ident in self.own[thing]:
                kept = kept | (stacks.ident == ident)
            masks[number] = kept
        return masks

    def _relation(self, thing: int) -> tuple[int, Any]:
        """Return the item relation in which a purchase is chosen, and its stacks."""
        wanted = self._home(thing)
        for number, slots in self.network.places.items():
            if slots == wanted:
                return number, self.network.problem.relations[number].stacks
        raise RuntimeError("a purchase has no place in the search")

    def first(self) -> Things:
        """Return a minimal set of picks that no build has; there must be one."""
        picks = {t: (self._relation(t)[0], self.own[t]) for t in sorted(self.free)}
        return propagation.first(len(self.work.entries), self.holds, self.network.problem, picks)

    def _home(self, thing: int) -> tuple[str, ...]:
        ident = min(self.own[thing])
        return self.network.by_ident[ident].slots

    def proposals(self, *, as_listed: bool = False) -> Iterator[Proposal]:
        """Yield builds by the number of picks given up, then of parts to buy, then by price; none is left out.

        ``as_listed``: only those that fit without anything to add or to do.
        """
        view = self.view.restricted(accept=0) if as_listed else self.view
        mine = {ident for idents in self.own.values() for ident in idents}
        extra: dict[int, Any] = {}
        for number in self.network.places:
            stacks = self.network.problem.relations[number].stacks
            if stacks is not None:
                free_of_cost = stacks.ident == NOTHING
                for ident in mine:
                    free_of_cost = free_of_cost | (stacks.ident == ident)
                extra[number] = (~free_of_cost).astype("int64")
        for thing in sorted(self.free):
            number, stacks = self._relation(thing)
            kept = stacks.ident == -2
            for ident in self.own[thing]:
                kept = kept | (stacks.ident == ident)
            if thing in self.banned:
                view = view.restricted(items={number: ~kept})
            else:
                extra[number] = extra[number] + _GIVEN_UP * (~kept).astype("int64")
        by_ident = self.network.by_ident
        for solution in view.best(Objective(price=1, extra=extra)):
            chosen = {i for i in solution.items if i != NOTHING}
            given_up = frozenset(t for t in self.free if not self.own[t] & chosen)
            fresh = (by_ident[i] for i in chosen if i not in mine and not _listed(by_ident[i], self.work))
            bought = tuple(sorted(fresh, key=lambda c: self.work.bicycle.order[c.slots[0]]))
            adapters: list[tuple[str, Part]] = []
            extras: list[str] = []
            for _, item in solution.hidden_items:
                beside = self.network.bought_beside.get(item)
                if beside is None:
                    continue
                if beside.setting:
                    extras += beside.numbers
                elif beside.parts and beside.slot in self.work.bicycle.by_id:
                    adapters.append((beside.slot, beside.parts[0]))
            yield Proposal(given_up, bought, tuple(adapters), tuple(extras))

    def joints(self, things: Things, shrink: Any) -> tuple[str, ...]:
        """Return the fewest joints (joint@place) found that leave no build with these picks; none can be left out."""
        problem, masks = self.network.problem, self._masks(things & self.free)
        groups: dict[str, list[int]] = {}
        for number, relation in enumerate(problem.relations):
            if relation.stacks is None:
                groups.setdefault(relation.name.partition(":")[0], []).append(number)
        names = list(groups)

        def holds(kept: Things) -> bool:
            numbers = {n for k in kept for n in groups[names[k]]}
            wanted = [n for n, r in enumerate(problem.relations) if r.stacks is not None or n in numbers]
            smaller = Problem(problem.variables, tuple(problem.relations[n] for n in wanted), problem.equal)
            view = open_problem(smaller)
            return view.restricted(items={wanted.index(n): m for n, m in masks.items()}).exists

        found: Things = shrink(range(len(names)), holds)
        return tuple(names[i] for i in sorted(found))


def _listed(candidate: Candidate, work: Trial) -> bool:
    return any(candidate.part is p for e in work.entries for p in e.parts if set(candidate.slots) <= set(e.slots))


def relaxed(
    fitting: FittingList,
    work: Trial,
    *,
    keep: Collection[str] = (),
    banned: Collection[str] = (),
    unknown: bool = False,
    in_stock: bool = False,
    anything: bool = False,
) -> Relaxed:
    """Return the compiled list.

    Args:
        fitting: the list.
        work: the same in the form in which it is judged; its entries are the picks.
        keep: slots whose part is not given up.
        banned: slots whose part must be given up.
        unknown: builds with joints that are not known count.
        in_stock: new parts must be in stock.
        anything: in place of a pick there may also be a part of which nothing is known, whether the shelf has it or
            not; only together with ``unknown``.

    Raises:
        TooManyCombinations, TooWide: the search would be too large.
    """
    free = frozenset(i for i, e in enumerate(work.entries) if not set(e.slots) & set(keep))
    states: dict[str, SlotState] = {}
    parts: dict[str, Part] = dict(fitting.catalog.parts)
    copies: dict[int, list[Part]] = {}
    for number, entry in enumerate(work.entries):
        if number not in free:
            state = "picked" if len(entry.parts) == 1 else "shortlist"
            for at, slot in enumerate(entry.slots):
                states[slot] = SlotState(state, entry.parts, "" if at == 0 else entry.slots[0])  # type: ignore[arg-type]
            continue
        for at, part in enumerate(entry.parts):
            copies.setdefault(number, []).append(_own(part, entry, work.bicycle))
            parts[f"{_OWN}{number:04d}.{at:04d}"] = copies[number][-1]
        if anything:
            parts[f"{_OWN}{number:04d}~"] = _unheard(entry)
        states.update((slot, SlotState("open")) for slot in entry.slots)
    for slot, was in fitting.slots.items():
        if slot not in states and (was.state == "none" or (was.state == "open" and fitting.catalog.filling(slot))):
            states[slot] = was
    ordered = dict(sorted(states.items(), key=lambda item: work.bicycle.order[item[0]]))
    catalog = Catalog(parts, fitting.catalog.models, fitting.catalog.files)
    opened = FittingList(fitting.title, fitting.kind, ordered, catalog, fitting.extras)
    network = _network(opened, work.library, work.bicycle, work, unknown=unknown, in_stock=in_stock)
    own = {
        n: frozenset(c.ident for c in network.candidates.all if any(c.part is p for p in found))
        for n, found in copies.items()
    }
    view = _without(open_problem(network.problem), network, _doubled(network, work, own))
    out = frozenset(i for i, e in enumerate(work.entries) if set(e.slots) & set(banned))
    return Relaxed(work, network, view, own, free, out)


def _doubled(network: Network, work: Trial, own: Mapping[int, frozenset[int]]) -> frozenset[int]:
    """Return candidates that are a listed part once more, as the catalogue has it: to keep a part is no exchange."""
    found: set[int] = set()
    for number, idents in own.items():
        mine = {network.by_ident[i].slots for i in idents}
        parts = work.entries[number].parts
        found |= {c.ident for c in network.candidates.all if c.slots in mine and any(c.part is p for p in parts)}
    return frozenset(found)


def _without(view: View, network: Network, idents: frozenset[int]) -> View:
    masks: dict[int, Any] = {}
    for number in network.places:
        stacks = network.problem.relations[number].stacks
        for ident in sorted(idents):
            if stacks is not None and (stacks.ident == ident).any():
                masks[number] = masks.get(number, stacks.ident != -2) & (stacks.ident != ident)
    return view.restricted(items=masks)


def _network(
    fitting: FittingList, library: Library, bicycle: Bicycle, work: Trial, *, unknown: bool, in_stock: bool
) -> Network:
    return build(fitting, library, bicycle, dict(work.fixed), Asked(leftovers=unknown, in_stock=in_stock))


def _unheard(entry: Entry) -> Part:
    """Return a part of which nothing is known but which slots it fills."""
    free = Identity(price=Price(minor=0, currency="EUR"), stock=1_000_000, lead_days=0)
    return Part(free, dict.fromkeys(entry.slots, ({},)))


def _own(part: Part, entry: Entry, bicycle: Bicycle) -> Part:
    """Return a part that is there already: it costs nothing, is in stock, and fills what it fills on the list."""
    currency = part.identity.price.currency if part.identity.price is not None else "EUR"
    mine = {"price": Price(minor=0, currency=currency), "stock": 1_000_000, "lead_days": 0}
    fills = {s: part.fills[s] for s in bicycle.order if s in entry.slots and s in part.fills}
    return replace(part, identity=part.identity.with_fields(**mine), fills=fills, together=True)
