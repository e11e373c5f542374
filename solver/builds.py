"""Records of a search: builds, choices, compromises. Figures, numbers and closed words, never prose.

In: nothing. Out: what ``searching`` answers with and what ``render`` and ``wording`` show.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

from catalog_schema.lean import dataclass, field
from solver.report import Finding, JointPage, Verdict


@dataclass(frozen=True, slots=True)
class Purchase:
    """One thing that is bought once, and the slots that it fills. What the catalogue does not say is None.

    ``given`` is True for a part that the list names.
    """

    number: str
    label: str
    slots: tuple[str, ...]
    price_minor: int | None = None
    mass_g: Decimal | None = None
    stock: int | None = None
    lead_days: int | None = None
    given: bool = False

    @property
    def name(self) -> str:
        """The number, else what is known instead."""
        return self.number or self.label or "as described"


@dataclass(frozen=True, slots=True)
class Added:
    """What a build needs beside the parts chosen: an adapter of the shelf, or a setting that is sold apart.

    ``purchases`` is empty where the catalogue has nothing that serves; ``numbers`` are then what is called for.
    """

    slot: str
    purchases: tuple[Purchase, ...] = ()
    numbers: tuple[str, ...] = ()
    setting: bool = False


@dataclass(frozen=True, slots=True)
class Build:
    """One purchase for every slot in question. The sums hold what is stated; the rest is counted beside them.

    ``unpriced`` counts purchases without a price, so that a missing price is never 0; likewise ``unweighed`` and
    ``undated``. ``open_joints`` are the joints that are no plain fit, by finding id; only builds that were judged again
    have them.
    """

    purchases: tuple[Purchase, ...]
    added: tuple[Added, ...]
    level: Verdict
    price_minor: int
    mass_g: Decimal
    lead_days: int
    unpriced: int = 0
    unweighed: int = 0
    undated: int = 0
    open_joints: tuple[tuple[str, Verdict], ...] = ()

    @property
    def by_slot(self) -> dict[str, Purchase]:
        """Slot -> what fills it."""
        return {s: p for p in self.purchases for s in p.slots}


@dataclass(frozen=True, slots=True)
class Counts:
    """How many builds there are, exactly: as listed; and with an adapter; and with work; and not known.

    Each counts those before it as well. ``unknown`` holds builds with at most as many joints not known as allowed.
    """

    fits: int
    adapter: int
    work: int
    unknown: int | None = None

    @property
    def known(self) -> int:
        """All builds that go together, something to add or to do included."""
        return self.work


Condition = Literal["in-stock", "within", "where", "budget"]


@dataclass(frozen=True, slots=True)
class Hindrance:
    """What was asked of the builds and leaves none: without these conditions there are some.

    ``cheapest_minor`` is what the cheapest build costs where it is the budget; None if no build has all its prices.
    """

    conditions: tuple[Condition, ...]
    within_days: int | None = None
    where: tuple[str, ...] = ()
    budget_minor: int | None = None
    cheapest_minor: int | None = None


@dataclass(frozen=True, slots=True)
class BuildsReport:
    """The answer to: what can be built?

    Attributes:
        title: of the list.
        counts: see ``Counts``.
        shown: the builds asked for, the best first, each judged again by the rules.
        level: the worst verdict that a shown build may have.
        by: what they are ranked by.
        open_slots: slots with a choice, in bicycle order.
        empty: open slots that no part of the catalogue fills, after what was asked of the parts.
        left_out: parts that no build holds only because figures are missing.
        if_known: whether a build would be possible if figures were known.
        currency: of all prices; empty if none is stated.
        judged: how many combinations of figures the rules were asked about.
        budget_minor: the limit on the price; ``counts`` keep it unless ``budget_counted`` is False.
        hindrance: where there is no build, what was asked that leaves none.
    """

    title: str
    counts: Counts
    shown: tuple[Build, ...]
    level: Verdict
    by: str
    open_slots: tuple[str, ...]
    empty: tuple[str, ...] = ()
    left_out: int = 0
    if_known: bool = False
    currency: str = ""
    judged: int = 0
    budget_minor: int | None = None
    budget_counted: bool = True
    allow_unknown: int = 0
    hindrance: Hindrance | None = None

    @property
    def differing(self) -> tuple[str, ...]:
        """The slots in which the shown builds differ, in bicycle order."""
        seen: dict[str, set[str]] = {}
        for build in self.shown:
            for slot, purchase in build.by_slot.items():
                seen.setdefault(slot, set()).add(purchase.name)
        short = {s for s in seen if any(s not in b.by_slot for b in self.shown)}
        differ = [s for s, names in seen.items() if len(names) > 1 or s in short]
        order = {s: i for i, s in enumerate(self.open_slots)}
        return tuple(sorted(differ, key=lambda s: order.get(s, len(order))))

    @property
    def exit_code(self) -> int:
        """0 a build fits as listed; 4 only with something to add or to do; 3 only if figures were known; 1 none."""
        if self.counts.fits:
            return 0
        if self.counts.known:
            return 4
        return 3 if self.if_known or self.counts.unknown else 1


Why = Literal["joint", "no-partner", "no-build", "figures", "taken", "condition", "shortlist", "budget"]


@dataclass(frozen=True, slots=True)
class Refused:
    """A part that is in no build, and why.

    ``joint``: the finding with a part that the list names refuses it. ``no-partner``: the finding's joint leaves it
    nothing in ``partners``, which are still open. ``figures``: only because a figure is missing. ``taken``: it fills
    another slot as well, which is taken. ``condition``: not in stock, too late or not as asked. ``shortlist``: the
    list has a shortlist there, without this part. ``budget``: every build with it costs more. ``no-build``: no single
    joint is to blame.
    """

    purchase: Purchase
    why: Why
    finding: Finding | None = None
    partners: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """What is still possible in one open slot: parts that are in some build, by their mildest verdict, and the rest."""

    slot: str
    possible: tuple[tuple[Purchase, Verdict], ...]
    refused: tuple[Refused, ...]


@dataclass(frozen=True, slots=True)
class ChoicesReport:
    """The answer to: what is still possible, and why is the rest not?"""

    title: str
    choices: tuple[Choice, ...]
    counts: Counts
    currency: str = ""
    if_known: bool = False
    pages: Mapping[str, JointPage] = field(default_factory=dict)
    hindrance: Hindrance | None = None

    @property
    def exit_code(self) -> int:
        """As for builds."""
        if self.counts.fits:
            return 0
        if self.counts.known:
            return 4
        return 3 if self.if_known or self.counts.unknown else 1


@dataclass(frozen=True, slots=True)
class TradeoffReport:
    """The answer to: which builds are beaten by no other in price and mass? By rising price, each with one build."""

    title: str
    points: tuple[Build, ...]
    counts: Counts
    level: Verdict
    currency: str = ""
    if_known: bool = False
    hindrance: Hindrance | None = None

    @property
    def exit_code(self) -> int:
        """As for builds."""
        if self.counts.fits:
            return 0
        if self.counts.known:
            return 4
        return 3 if self.if_known or self.counts.unknown else 1
