"""The neutral records of reasons and remedies: clashes, changes, substitutes, near misses, measurements.

They hold ids, figures and closed words, never prose. What a remedy does to a list is held as edits, so that a script
can carry it out and judge the list again.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from catalog_schema.hints import Hint
from catalog_schema.interface import AdapterKind
from catalog_schema.lean import dataclass, field
from catalog_schema.source import Source
from solver.report import YES, CheckReport, Finding, JointPage, MissingPart, Offer, Verdict, exit_code


@dataclass(frozen=True, slots=True)
class Clash:
    """A smallest set of picks that cannot hold together: none of them can be left out.

    ``picks`` are slots, each standing for all that its part fills, in bicycle order; ``findings`` the joints that make
    it so, none of which can be left out. ``searched``: they clash because nothing in the open catalogues goes between
    them; ``open_slots`` are then the slots that stay empty, ``joints`` what cannot be met there. ``fills`` are all
    slots of each pick, ``names`` its number or label.
    """

    picks: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    searched: bool = False
    open_slots: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    fills: tuple[tuple[str, ...], ...] = ()
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Consequences:
    """What else a remedy brings: parts to add, parts that no longer meet anything, work, price and mass.

    ``spent_minor`` is what the new parts cost, ``saved_minor`` what the parts that go would cost; None: not all stated.
    ``mass_g`` is new less old.
    """

    missing: tuple[MissingPart, ...] = ()
    idle: tuple[str, ...] = ()
    work: tuple[Finding, ...] = ()
    adapters: tuple[Finding, ...] = ()
    spent_minor: int | None = None
    saved_minor: int | None = None
    currency: str = ""
    mass_g: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """A way to make a list go together, re-solved: ``edits`` (slot -> number) applied, it was judged again.

    ``given_up`` are the picks that go, ``left`` the same with their numbers or labels; ``offers`` are the parts that
    come, ``fills`` all slots of each. ``added`` are slots that the list did not mention, ``extras`` numbers of small
    parts to add to the list; ``exit_code`` is that of the changed list, ``after`` its joints that are no plain fit,
    ``lacking`` the slot and the piece of what is still to get for it.
    """

    given_up: tuple[str, ...]
    edits: Mapping[str, str]
    offers: tuple[tuple[str, Offer], ...]
    added: tuple[str, ...] = ()
    extras: tuple[str, ...] = ()
    exit_code: int = 0
    standing: tuple[str, ...] = ()
    consequences: Consequences = field(default_factory=Consequences)
    fills: tuple[tuple[str, ...], ...] = ()
    left: tuple[tuple[str, str], ...] = ()
    after: tuple[tuple[str, Verdict], ...] = ()
    lacking: tuple[tuple[str, str], ...] = ()

    @property
    def price_minor(self) -> int | None:
        """What the new parts cost; None if a price is not stated or the currencies differ."""
        prices = [o.price_minor for _, o in self.offers]
        if None in prices or len({o.currency for _, o in self.offers}) > 1:
            return None
        return sum(p for p in prices if p is not None)


@dataclass(frozen=True, slots=True)
class Remedies:
    """The smallest changes found. ``proven``: no smaller set of picks could be given up.

    ``why_none`` is a closed word if there is no change: ``nothing-wrong``, ``no-catalogue``, ``none-on-the-shelf``,
    ``kept-parts-clash`` (they clash among themselves),
    ``too-wide`` (the search would be too large), ``not-found`` (stopped looking).
    """

    changes: tuple[Change, ...] = ()
    size: int = 0
    proven: bool = True
    why_none: str = ""
    kept: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WhyReport:
    """The answer to: why not, and what to change at least?"""

    check: CheckReport
    clashes: tuple[Clash, ...]
    remedies: Remedies
    all_clashes: bool = True
    misses: tuple[Misses, ...] = ()

    @property
    def exit_code(self) -> int:
        """The code of the list as it stands; one that nothing completes is a no."""
        return 1 if self.clashes else self.check.exit_code


@dataclass(frozen=True, slots=True)
class Fallen:
    """How many candidates fell to one reason."""

    finding: str
    reason: str
    count: int


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A candidate that does not serve, with the findings that speak against it, the worst first."""

    offer: Offer
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Misses:
    """Why nothing of the shelf serves in a slot: how many fell to which reason, and the nearest."""

    slot: str
    tried: int
    fallen: tuple[Fallen, ...]
    nearest: tuple[NearMiss, ...]


@dataclass(frozen=True, slots=True)
class SwapReport:
    """The answer to: what instead of this part?

    ``substitutes`` leave every other pick as it is, ``with_adapter`` need one of the shelf between; ``remedies`` are
    the smallest changes if there is neither. ``standing`` are findings that no part in this slot can alter.
    ``unstocked`` counts parts that were left out because they are not in stock, ``undecided`` are those whose figures
    do not decide, with the findings that wait.
    """

    title: str
    slot: str
    now: Offer
    by: str
    substitutes: tuple[Change, ...] = ()
    with_adapter: tuple[Change, ...] = ()
    remedies: Remedies = field(default_factory=Remedies)
    misses: Misses | None = None
    standing: tuple[Finding, ...] = ()
    unstocked: int = 0
    undecided: tuple[NearMiss, ...] = ()
    pages: Mapping[str, JointPage] = field(default_factory=dict)

    @property
    def exit_code(self) -> int:
        """0 another part serves as it is; 4 with something to add, to do or to change as well; 1 nothing serves."""
        if any(c.exit_code == 0 for c in self.substitutes):
            return 0
        return 4 if self.substitutes or self.with_adapter or self.remedies.changes else 1


@dataclass(frozen=True, slots=True)
class Bridge:
    """A kind of adapter for one joint; ``offers`` are parts of the open catalogues, put in and judged.

    ``untold`` counts parts there whose figures do not decide.
    """

    finding: str
    kind: AdapterKind
    slots: tuple[str, ...]
    offers: tuple[Offer, ...] = ()
    sources: tuple[Source, ...] = ()
    untold: int = 0


@dataclass(frozen=True, slots=True)
class JoinReport:
    """The answer to: which adapters bridge these two? ``others`` are kinds of the joints in question for other gaps."""

    check: CheckReport
    bridges: tuple[Bridge, ...]
    others: tuple[Bridge, ...] = ()

    @property
    def exit_code(self) -> int:
        """That of the two sides as they are: 4 if adapters close every gap."""
        return self.check.exit_code


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one outcome of a measurement would mean: from ``low`` to ``high`` (or a word), and then the verdict.

    ``verdict`` None: not settled by this one alone; ``not-known``: only the maker can tell. Ends are inside unless
    ``low_open`` or ``high_open``.
    """

    low: Decimal | None = None
    high: Decimal | None = None
    low_open: bool = False
    high_open: bool = False
    word: str = ""
    verdict: Verdict | None = None


@dataclass(frozen=True, slots=True)
class Measurement:
    """One thing to measure: the figure (slot.port.figure), how, and what its outcomes mean."""

    ref: str
    hint: Hint
    findings: tuple[str, ...]
    meanings: tuple[Meaning, ...] = ()


@dataclass(frozen=True, slots=True)
class MeasureReport:
    """The answer to: which measurements settle it? In the order in which to take them.

    ``worst`` is how many are needed in the worst case; ``exact``: no order needs fewer. ``asking`` are findings that no
    measurement settles.
    """

    check: CheckReport
    measurements: tuple[Measurement, ...]
    worst: int
    exact: bool = True
    asking: tuple[Finding, ...] = ()

    @property
    def exit_code(self) -> int:
        """That of the list as it stands."""
        return self.check.exit_code


@dataclass(frozen=True, slots=True)
class Shift:
    """One joint of two lists: what it is in the first and in the second; None: not judged there."""

    id: str
    before: Finding | None
    after: Finding | None

    @property
    def direction(self) -> str:
        """``worse``, ``better``, ``new``, ``gone`` or ``figures`` (the verdict stays, figures differ)."""
        if self.before is None:
            return "new"
        if self.after is None:
            return "gone"
        if self.before.rank == self.after.rank:
            return "figures"
        return "worse" if self.after.rank > self.before.rank else "better"

    @property
    def is_bad(self) -> bool:
        """Whether the second list is worse off here: a worse verdict, or a joint judged anew that is no yes."""
        return self.direction == "worse" or (
            self.before is None and self.after is not None and self.after.verdict not in YES
        )


@dataclass(frozen=True, slots=True)
class CompareReport:
    """The answer to: what changes from list to list, joint by joint?"""

    before: CheckReport
    after: CheckReport
    shifts: tuple[Shift, ...]
    slots: tuple[tuple[str, str, str], ...]
    same: int

    @property
    def exit_code(self) -> int:
        """That of the second list."""
        return exit_code(f.verdict for f in self.after.judged)
