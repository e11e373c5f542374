"""A half-filled list opened for searching: compiled once, asked often.

In: a fitting list and what is asked of its builds. Out: counts, solutions as records, parts that are in some build.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cached_property
from typing import Final

from catalog_schema import bicycle as bicycles
from catalog_schema import library as libraries
from catalog_schema import slot_words
from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import Fault, FaultList, InputFaults
from catalog_schema.fitting_list import FittingList
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.library import Library
from catalog_schema.parts import Part
from solver import questions
from solver.builds import Added, Build, Counts, Purchase
from solver.engine.costs import BY_MASS, BY_PRICE, Objective
from solver.engine.options import Options, TooWide
from solver.engine.problem import NOTHING, BoolArray
from solver.engine.settling import settled
from solver.engine.solution import Solution
from solver.engine.view import NO_LIMITS, Limits, View, open_problem
from solver.explain.trial import Trial
from solver.network import filters
from solver.network.build import Asked, Network, TooManyCombinations, build
from solver.network.candidates import Candidate, second_pieces
from solver.report import NO, Finding, Verdict
from solver.rules.evaluating import Entry, evaluate

_AMOUNT: Final = re.compile(r"\s*(\d+(?:[.,]\d{1,2})?)\s*([A-Za-z]{3})?\s*")
_RANKING: Final = re.compile(r"price:mass\s+(\d{1,6})\s*:\s*(\d{1,6})")
_WORK: Final = 2
#: So many builds wait for one that may be there sooner.
_MOST_HELD: Final = 10_000
#: Tables may come to so many rows; more is refused with what would help. A million takes about 60 MB.
MOST_ROWS: Final = 20_000_000
BY: Final = ("price", "mass", "soonest", "price:mass 1:2")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked of the builds.

    Attributes:
        accept: the worst verdict that a listed build may have; None: the mildest that any build has.
        allow_unknown: how many joints of a build may be not known.
        in_stock, within_days: only parts that are there, or there in time.
        budget: the most that a build may cost, such as ``900 EUR``.
        where: conditions on the parts still to choose, such as ``fork.mass_g <= 500``.
    """

    accept: Verdict | None = None
    allow_unknown: int = 0
    in_stock: bool = False
    within_days: int | None = None
    budget: str = ""
    where: tuple[str, ...] = ()


ANYTHING: Final = Wanted()


@dataclass
class Search:
    """A list opened for searching: compiled once, asked often."""

    fitting: FittingList
    wanted: Wanted = ANYTHING
    library: Library = field(default_factory=libraries.load)
    bicycle: Bicycle = field(default_factory=bicycles.load)

    @cached_property
    def trial(self) -> Trial:
        """The list as the rules judge it."""
        return questions.trial(self.fitting, self.library, self.bicycle)

    @cached_property
    def asked(self) -> Asked:
        """What the network is asked."""
        where = tuple(filters.read(text, self.bicycle, self.library) for text in self.wanted.where)
        unknown = self.wanted.allow_unknown
        if not 0 <= unknown <= 2:
            raise InputFaults([Fault("--allow-unknown", "", "bad-value", f"expected 0, 1 or 2, found {unknown}")])
        return Asked(unknown, unknown == 0, self.wanted.in_stock, self.wanted.within_days, where)

    def network_of(self, asked: Asked) -> Network:
        """Return the network of the list under what is asked."""
        try:
            return build(self.fitting, self.library, self.bicycle, self.trial.fixed, asked)
        except TooManyCombinations as error:
            raise too_much(self.fitting, error) from None

    @cached_property
    def network(self) -> Network:
        """The problem."""
        if not any(s.state != "none" for s in self.fitting.slots.values()):
            raise InputFaults([Fault(self.fitting.title or "list", "", "nothing-open", "the list has no slot to fill")])
        network = self.network_of(self.asked)
        _one_currency(self.fitting, network)
        return network

    @cached_property
    def whole(self) -> View:
        """All builds, those that are not known at level 3 (or within the number allowed)."""
        return self._opened(self.network)

    def _opened(self, network: Network) -> View:
        try:
            return open_problem(network.problem, Options(join_rows=MOST_ROWS))
        except TooWide as error:
            raise too_much(self.fitting, error) from None

    @cached_property
    def views(self) -> dict[int, View]:
        """Level -> the builds up to it, joints that are not known as allowed."""
        return {level: self.whole.restricted(accept=level) for level in range(_WORK + 1)}

    @cached_property
    def known(self) -> dict[int, View]:
        """Level -> the builds up to it in which every joint is known."""
        number = self.network.unknown_total
        if number is None:
            return self.views
        rows: BoolArray = self.network.problem.relations[number].rows[:, 0] == 0
        return {level: v.restricted(rows={number: rows}) for level, v in self.views.items()}

    def view_at(self, level: Verdict) -> View:
        """Return the builds that may be listed."""
        return self.views[int(level)]

    @cached_property
    def budget_counted(self) -> bool:
        """Whether the budget is kept by the counts; where it cannot be, they are without it."""
        return self._counted[1]

    @cached_property
    def counts(self) -> Counts:
        """How many builds there are."""
        return self._counted[0]

    @cached_property
    def _counted(self) -> tuple[Counts, bool]:
        def with_limits(limits: Limits) -> Counts:
            fits, adapter, work = (self.known[level].count(limits) for level in range(_WORK + 1))
            allowed = self.network.unknown_total is not None
            return Counts(fits, adapter, work, self.views[_WORK].count(limits) if allowed else None)

        try:
            return with_limits(self.limits), True
        except TooWide:
            return with_limits(NO_LIMITS), False

    @cached_property
    def level(self) -> Verdict:
        """The worst verdict that a listed build may have: as asked, else the mildest at which there is a build."""
        if self.wanted.accept is not None:
            return self.wanted.accept
        return Verdict(next((level for level, view in self.views.items() if view.exists), _WORK))

    @cached_property
    def limits(self) -> Limits:
        """The budget."""
        if not self.wanted.budget:
            return NO_LIMITS
        match = _AMOUNT.fullmatch(self.wanted.budget)
        named = match.group(2).upper() if match is not None and match.group(2) else ""
        if match is None or (named and self.currency and named != self.currency):
            example = f"900 {self.currency or 'EUR'}"
            message = (
                f"expected an amount in the catalogue's currency such as '{example}', found {self.wanted.budget!r}"
            )
            raise InputFaults([Fault("--budget", "", "bad-value", message)])
        return Limits(price=int(Decimal(match.group(1).replace(",", ".")) * 100))

    @cached_property
    def currency(self) -> str:
        """The currency of all prices; empty if there is none."""
        return _one_currency(self.fitting, self.network)

    @cached_property
    def open_slots(self) -> tuple[str, ...]:
        """Slots with a choice, in bicycle order."""
        found = self.fitting.slots
        return tuple(s for s in self.bicycle.order if s in found and found[s].state in ("open", "shortlist"))

    @cached_property
    def empty(self) -> tuple[str, ...]:
        """Open slots without a candidate."""
        filled = {s for c in self.network.candidates.all for s in c.slots}
        return tuple(s for s in self.open_slots if s not in filled)

    @cached_property
    def alive(self) -> dict[int, Verdict]:
        """Candidate -> the mildest verdict of a build that holds it, within what is accepted."""
        most = int(self.wanted.accept) if self.wanted.accept is not None else _WORK
        found: dict[int, Verdict] = {}
        for level in range(most + 1):
            for ident in self._alive_in(self.network, self.views[level], self.limits):
                found.setdefault(ident, Verdict(level))
        return found

    def _alive_in(self, network: Network, view: View, limits: Limits = NO_LIMITS) -> set[int]:
        if not view.exists:
            return set()
        try:
            live = view.live(limits)
        except TooWide:
            live = view.live()
        found: set[int] = set()
        for number in network.places:
            stacks = network.problem.relations[number].stacks
            if stacks is not None:
                found.update(stacks.ident[live.items[number]].tolist())
        return found - {NOTHING}

    @cached_property
    def only_figures(self) -> frozenset[int]:
        """Candidates that are in a build only if figures were known."""
        network, view = self._leftovers
        known = self._alive_in(network, view.restricted(accept=_WORK))
        return frozenset(self._alive_in(network, view) - known)

    @cached_property
    def _leftovers(self) -> tuple[Network, View]:
        if self.asked.leftovers:
            return self.network, self.whole
        network = self.network_of(replace(self.asked, allow_unknown=0, leftovers=True))
        return network, self._opened(network)

    @cached_property
    def left_out(self) -> frozenset[str]:
        """Numbers of parts that are left out only because figures are missing."""
        network, _ = self._leftovers
        return frozenset(network.by_ident[i].part.number for i in self.only_figures)

    @cached_property
    def if_known(self) -> bool:
        """Whether there is a build within the budget once figures that are missing are allowed for."""
        view = self._leftovers[1]
        if not view.exists or self.limits.price is None:
            return view.exists
        return next(view.best(BY_PRICE, self.limits), None) is not None

    @cached_property
    def too_dear(self) -> frozenset[int]:
        """Candidates that are in a build, but in none within the budget."""
        if self.limits.price is None:
            return frozenset()
        most = int(self.wanted.accept) if self.wanted.accept is not None else _WORK
        return frozenset(self._alive_in(self.network, self.views[most])) - self.alive.keys()

    def ranked(self, by: str) -> Iterator[Solution]:
        """Yield the builds that may be listed, from the best on.

        Raises:
            InputFaults: ``by`` is no ranking.
        """
        view = self.view_at(self.level)
        weights = _RANKING.fullmatch(by)
        if by == "soonest":
            return settled(view.soonest(self.limits), lambda s: s.totals.soonness, self._soonness, _MOST_HELD)
        if weights is not None and (int(weights.group(1)) or int(weights.group(2))):
            # prices are in whole cents, masses in thousandths of a gram
            price, mass = int(weights.group(1)) * 1000, int(weights.group(2))
            return view.best(Objective(price=price, mass=mass), self.limits)
        if by not in ("price", "mass"):
            faults = FaultList("--by")
            faults.unknown("", "ranking", by, BY)
            faults.raise_if_any()
        return view.best(BY_PRICE if by == "price" else BY_MASS, self.limits)

    def slots_asked(self, names: Sequence[str]) -> tuple[str, ...]:
        """Return the open slots with these names, all if there is none.

        Raises:
            InputFaults: a slot is not known, or has no choice.
        """
        if not names:
            return self.open_slots
        faults = FaultList("choices")
        found = []
        for name in names:
            slots = slot_words.slots_meant(name, self.bicycle, faults)
            found += [s for s in slots if s in self.open_slots]
            if slots and not any(s in self.open_slots for s in slots):
                named = " and ".join(self.bicycle.by_id[s].words for s in slots)
                faults.add("not-open", "", f"{named}: nothing is to be chosen there")
        faults.raise_if_any()
        return tuple(s for s in self.open_slots if s in found)

    def purchase(self, candidate: Candidate) -> Purchase:
        """Return a candidate as a record."""
        return self.purchase_of(candidate.part, candidate.slots)

    def purchase_of(self, part: Part, slots: tuple[str, ...]) -> Purchase:
        """Return a part as a record."""
        identity = part.identity
        price = identity.price.minor if identity.price is not None else None
        state = self.fitting.slots.get(slots[0])
        given = state is not None and state.state == "picked"
        mass, stock, lead = identity.mass_g, identity.stock, identity.lead_days
        return Purchase(part.number, part.label, slots, price, mass, stock, 0 if stock else lead, given)

    def build_of(self, solution: Solution) -> Build:
        """Return a solution as a record."""
        network, totals = self.network, solution.totals
        bought = network.purchases(solution.items)
        lead, undated = second_pieces(bought)
        added = []
        for _, ident in solution.hidden_items:
            beside = network.bought_beside.get(ident)
            if beside is not None:
                parts = tuple(self.purchase_of(p, (beside.slot,)) for p in beside.parts)
                added.append(Added(beside.slot, parts, beside.numbers, beside.setting))
        return Build(
            tuple(self.purchase(c) for c in bought),
            tuple(added),
            Verdict(solution.level),
            totals.price,
            Decimal(totals.mass) / 1000,
            max(totals.lead, lead),
            totals.unpriced,
            totals.unweighed,
            totals.undated + undated,
        )

    def _soonness(self, solution: Solution) -> tuple[int, ...]:
        """Return when a build is there, with the second pieces of what is there once."""
        lead, undated = second_pieces(self.network.purchases(solution.items))
        totals = solution.totals
        return replace(totals, lead=max(totals.lead, lead), undated=totals.undated + undated).soonness

    def judged_again(self, solution: Solution) -> Build:
        """Return a build after judging its whole list by the rules, as ``check`` does.

        Raises:
            RuntimeError: the rules say otherwise; this is a fault of ours, and nothing is shown.
        """
        found = self.build_of(solution)
        findings = self.findings_of(self.network.purchases(solution.items))
        agrees(found, findings, self.wanted.allow_unknown)
        shown = tuple((f.id, f.verdict) for f in findings if f.state == "judged" and f.verdict is not Verdict.FITS)
        return replace(found, open_joints=shown)

    def findings_of(self, purchases: Iterable[Candidate]) -> list[Finding]:
        """Return the findings of the list with these purchases in it."""
        entries = [Entry(c.slots, (c.part,)) for c in purchases]
        trial = self.trial
        return evaluate(
            entries, self.library, self.bicycle, none=trial.none, extras=trial.extras, fixed=dict(trial.fixed)
        ).findings


def agrees(found: Build, findings: Sequence[Finding], allow_unknown: int = 0) -> None:
    """Hold a build against the judgement of its whole list.

    Raises:
        RuntimeError: they differ.
    """
    judged = [f for f in findings if f.state == "judged"]
    unknown = sum(f.verdict is Verdict.NOT_KNOWN for f in judged)
    worst = max((f.verdict for f in judged if f.verdict is not Verdict.NOT_KNOWN), default=Verdict.FITS)
    if any(f.verdict in NO for f in judged) or unknown > allow_unknown or (worst != found.level and not unknown):
        wrong = [f.id for f in judged if f.verdict is not Verdict.FITS]
        raise RuntimeError(f"a build of level {found.level.word} was judged otherwise: {', '.join(wrong)}")


def _one_currency(fitting: FittingList, network: Network) -> str:
    """Return the one currency of all prices.

    Raises:
        InputFaults: there are several; amounts in several currencies are not added.
    """
    parts = [c.part for c in network.candidates.all]
    parts += [p for b in network.bought_beside.values() for p in b.parts]
    found: Mapping[str, str] = {
        p.identity.price.currency: p.number for p in reversed(parts) if p.identity.price is not None
    }
    if len(found) > 1:
        named = ", ".join(f"{currency} ({number})" for currency, number in sorted(found.items()))
        message = f"prices are in several currencies and cannot be added: {named}; state them all in one"
        raise InputFaults([Fault(fitting.title or "list", "", "mixed-currencies", message)])
    return next(iter(found), "")


def too_much(fitting: FittingList, error: TooWide | TooManyCombinations) -> InputFaults:
    """Return the refusal of a question that would take too long, with what would help."""
    message = str(error)
    if isinstance(error, TooWide):
        message = f"about {error.needed:,.0f} combinations to hold in mind, {error.bound:,.0f} are the most"
    text = f"too much to work out at once ({message}); fill more slots, or narrow them with --where"
    return InputFaults([Fault(fitting.title or "list", "", "too-wide", text)])
