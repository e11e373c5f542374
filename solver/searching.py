"""The questions about builds: all that can be built from a half-filled list and its catalogue. Public, like questions.

In: a fitting list. Out: records of ``builds``. Every build that is shown was judged again by the rules, on the whole
list, as ``check`` judges it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from catalog_schema.faults import InputFaults
from catalog_schema.fitting_list import FittingList
from catalog_schema.lean import replace
from solver.builds import Build, BuildsReport, Choice, ChoicesReport, Condition, Hindrance, TradeoffReport
from solver.engine.costs import BY_PRICE
from solver.engine.options import TooWide
from solver.explain import refusals
from solver.report import Verdict
from solver.search import ANYTHING, Search, Wanted, too_much

__all__ = ["Wanted", "builds", "choices", "every_build", "tradeoff"]


def builds(fitting: FittingList, wanted: Wanted = ANYTHING, *, best: int = 5, by: str = "price") -> BuildsReport:
    """Return how many builds there are, and the best of them, each judged again.

    Raises:
        InputFaults: what is asked for cannot be read, or prices are in several currencies.
    """
    search = Search(fitting, wanted)
    ranked = search.ranked(by)
    shown = []
    for _ in range(best):
        found = next(ranked, None)
        if found is None:
            break
        shown.append(search.judged_again(found))
    return BuildsReport(
        fitting.title,
        search.counts,
        tuple(shown),
        search.level,
        by,
        search.open_slots,
        search.empty,
        len(search.left_out),
        search.if_known,
        search.currency,
        search.network.judged,
        search.limits.price,
        search.budget_counted,
        wanted.allow_unknown,
        _hindrance(search),
    )


def every_build(fitting: FittingList, wanted: Wanted = ANYTHING, *, by: str = "") -> Iterator[Build]:
    """Yield every build, one at a time; with ``by`` from the best on. Nothing is held back and nothing comes twice.

    Raises:
        InputFaults: as for ``builds``.
    """
    search = Search(fitting, wanted)
    solutions = search.ranked(by) if by else search.view_at(search.level).listing(search.limits)
    for solution in solutions:
        yield search.build_of(solution)


def choices(fitting: FittingList, slots: Sequence[str] = (), wanted: Wanted = ANYTHING) -> ChoicesReport:
    """Return what is still possible in each open slot (or in these), and why every other part is not.

    Raises:
        InputFaults: as for ``builds``; or a slot is not known, or not open.
    """
    search = Search(fitting, wanted)
    asked = search.slots_asked(slots)
    alive = search.alive
    found = []
    for slot in asked:
        there = [c for c in search.network.candidates.all if slot in c.slots]
        possible = [(search.purchase(c), alive[c.ident]) for c in there if c.ident in alive]
        dead = [c for c in there if c.ident not in alive]
        reasons = refusals.refused(
            slot,
            dead,
            [search.purchase(c) for c in dead],
            search.trial,
            search.network.tables,
            search.only_figures,
            frozenset(search.open_slots),
            search.too_dear,
        )
        kept = {c.part.number for c in there}
        beside = [p for p in fitting.catalog.filling(slot) if p.number not in kept]
        taken = frozenset(s for s, state in fitting.slots.items() if state.state in ("picked", "none"))
        listed = fitting.slots[slot].parts if fitting.slots[slot].state == "shortlist" else None
        conditions = refusals.never_asked([(p, search.purchase_of(p, (slot,))) for p in beside], taken, listed)
        possible.sort(key=lambda pair: (pair[1], pair[0].price_minor is None, pair[0].price_minor or 0, pair[0].name))
        found.append(Choice(slot, tuple(possible), (*reasons, *conditions)))
    shown = {r.finding.joint for c in found for r in c.refused if r.finding is not None}
    pages = refusals.pages_of(shown)
    return ChoicesReport(
        fitting.title, tuple(found), search.counts, search.currency, search.if_known, pages, _hindrance(search)
    )


def tradeoff(fitting: FittingList, wanted: Wanted = ANYTHING) -> TradeoffReport:
    """Return the builds that no other beats in both price and mass, judged again.

    Raises:
        InputFaults: as for ``builds``; or there are too many to tell.
    """
    search = Search(fitting, wanted)
    points = []
    try:
        for _, _, solution in search.view_at(search.level).front():
            if search.limits.hold(solution):
                points.append(search.judged_again(solution))
    except TooWide as error:
        raise too_much(fitting, error) from None
    return TradeoffReport(
        fitting.title,
        tuple(points),
        search.counts,
        search.level,
        search.currency,
        search.if_known,
        _hindrance(search),
    )


def _hindrance(search: Search) -> Hindrance | None:
    """Return what was asked that leaves no build, where without it there is one; the fewest conditions."""
    wanted, work = search.wanted, int(Verdict.NEEDS_WORK)
    if search.counts.known or search.counts.unknown or search.if_known:
        return None
    told = Hindrance((), wanted.within_days, wanted.where, search.limits.price)
    if search.limits.price is not None and search.known[work].exists:
        found = next(search.view_at(search.level).best(BY_PRICE), None)
        cheapest = found.totals.price if found is not None and not found.totals.unpriced else None
        return replace(told, conditions=("budget",), cheapest_minor=cheapest)
    free: dict[Condition, dict[str, Any]] = {
        "in-stock": {"in_stock": False},
        "within": {"within_days": None},
        "where": {"where": ()},
    }
    asked = [c for c, without in free.items() if replace(wanted, **without) != wanted]
    for conditions in [*((c,) for c in asked), *([tuple(asked)] if len(asked) > 1 else [])]:
        without = {name: value for c in conditions for name, value in free[c].items()}
        other = Search(search.fitting, replace(wanted, budget="", **without), search.library, search.bicycle)
        try:
            if other.known[work].exists:
                return replace(told, conditions=conditions)
        except InputFaults:
            return None
    return None
