"""Which purchases may fill which slots of a half-filled list.

In: a fitting list and its catalogue. Out: for each slot in question its candidates, a purchase that fills several slots
once for all of them. Nothing is judged here.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from catalog_schema.bicycle import Bicycle
from catalog_schema.fitting_list import FittingList
from catalog_schema.parts import Part
from solver.rules.ways import Way, ways


@dataclass(frozen=True, slots=True)
class Candidate:
    """A purchase that may fill ``slots`` (all of them at once). ``ways`` are its settings."""

    ident: int
    part: Part
    slots: tuple[str, ...]
    ways: tuple[Way, ...]

    @property
    def price_minor(self) -> int | None:
        """The price, or None if the catalogue states none."""
        return self.part.identity.price.minor if self.part.identity.price is not None else None

    @property
    def mass_mg(self) -> int | None:
        """The mass in whole milligrams, so that sums stay exact."""
        mass = self.part.identity.mass_g
        return int(mass * 1000) if mass is not None else None

    @property
    def lead_days(self) -> int | None:
        """Days until the part is there: none if it is in stock."""
        return 0 if self.part.identity.stock else self.part.identity.lead_days


@dataclass(slots=True)
class Candidates:
    """Slots in question in bicycle order, what may fill each, and purchases that fill several."""

    slots: list[str] = field(default_factory=list)
    single: dict[str, list[Candidate]] = field(default_factory=dict)
    shared: dict[tuple[str, ...], list[Candidate]] = field(default_factory=dict)

    @property
    def all(self) -> list[Candidate]:
        """Every candidate once."""
        found = [*itertools.chain(*self.single.values()), *itertools.chain(*self.shared.values())]
        return sorted(found, key=lambda c: c.ident)


def there(part: Part, *, in_stock: bool, within_days: int | None) -> bool:
    """Return whether a part is in stock (if that is asked), and there in time; what is not stated is not in time."""
    stock = part.identity.stock
    if in_stock and stock is not None and stock < 1:
        return False
    days = 0 if stock else part.identity.lead_days
    return within_days is None or (days is not None and days <= within_days)


def only_one(part: Part, within_days: int | None) -> bool:
    """Return whether there is one piece of a part, and no second one in time; None: what is not in stock never is."""
    lead = part.identity.lead_days
    return part.identity.stock == 1 and (within_days is None or lead is None or lead > within_days)


def everything(candidate: Candidate) -> bool:
    """Return that a candidate may stay."""
    return True


def collect(
    fitting: FittingList,
    bicycle: Bicycle,
    *,
    in_stock: bool = False,
    within_days: int | None = None,
    keep: Callable[[Candidate], bool] = everything,
) -> Candidates:
    """Return the candidates of every slot that the list mentions.

    Args:
        fitting: the list; open slots take every part of the catalogue that fills them.
        bicycle: the slots.
        in_stock: leave parts out that are not in stock (a picked part always stays, and one of a shortlist that has no
            number: it is at hand).
        within_days: leave parts out that take longer, or whose lead time is not stated (the same stay).
        keep: whether a candidate that is not picked may stay.
    """
    out = Candidates()
    number = itertools.count()
    none = {s for s, state in fitting.slots.items() if state.state == "none"}
    listed = frozenset(fitting.extras)
    open_slots = {s for s, state in fitting.slots.items() if state.state == "open"}

    def add(part: Part, slots: tuple[str, ...], *, picked: bool = False) -> None:
        candidate = Candidate(next(number), part, slots, tuple(ways([part], listed)))
        if not picked and not keep(candidate):
            return
        if len(slots) == 1:
            out.single.setdefault(slots[0], []).append(candidate)
        else:
            out.shared.setdefault(slots, []).append(candidate)

    closed = {s for s, state in fitting.slots.items() if state.state in ("picked", "shortlist")}
    listed_once: set[tuple[int, tuple[str, ...]]] = set()
    for slot, state in fitting.slots.items():
        if state.state not in ("picked", "shortlist") or state.by_other:
            continue
        for part in state.parts:
            filled = tuple(s for s in bicycle.order if s in part.fills) if part.together else (slot,)
            comes = not part.number or there(part, in_stock=in_stock, within_days=within_days)
            fits = state.state == "picked" or (comes and all(_may_fill(fitting, s, part) for s in filled))
            if fits and (id(part), filled) not in listed_once:
                listed_once.add((id(part), filled))
                add(part, filled, picked=state.state == "picked")
    for _, part in sorted(fitting.catalog.parts.items()):
        if not there(part, in_stock=in_stock, within_days=within_days):
            continue
        if part.together and len(part.fills) > 1:
            slots = tuple(s for s in bicycle.order if s in part.fills)
            if open_slots & set(slots) and not (closed | none) & set(slots):
                add(part, slots)
        else:
            for slot in bicycle.order:
                if slot in part.fills and slot in open_slots:
                    add(part, (slot,))
    mentioned = {s for s in fitting.slots if s not in none}
    mentioned |= {s for slots in out.shared for s in slots}
    out.slots = sorted(mentioned, key=bicycle.order.__getitem__)
    return out


def _may_fill(fitting: FittingList, slot: str, part: Part) -> bool:
    """Return whether a part of a shortlist may fill a slot: one that is open, not mentioned, or shortlists it too."""
    state = fitting.slots.get(slot)
    return state is None or state.state == "open" or (state.state == "shortlist" and part in state.parts)


def second_pieces(bought: Sequence[Candidate]) -> tuple[int, int]:
    """Return when pieces are there that the stock is too small for, and of how many parts nobody says so."""
    pieces: dict[str, int] = {}
    parts = {c.part.number: c.part for c in bought if c.part.number}
    for candidate in bought:
        pieces[candidate.part.number] = pieces.get(candidate.part.number, 0) + 1
    late = [p.identity.lead_days for n, p in parts.items() if 0 < (p.identity.stock or 0) < pieces[n]]
    return max((days for days in late if days is not None), default=0), sum(days is None for days in late)
