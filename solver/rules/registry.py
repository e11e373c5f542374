"""How joints are written down: places, roles, the figures that each test reads and in what role, closed reasons.

A joint is one physical meeting of parts. It is defined once and occurs at places. A test is one pure function: its
parameters are the figures it reads, and nothing else reaches it. The declaration is what the judge, the rule pages, the
measuring cards and the search all work from, so a figure that is not declared cannot be read.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Final, Literal

from catalog_schema.lean import dataclass, field
from solver.report import Verdict
from solver.rules.figures import Num
from solver.rules.rows_given import AdapterPairs as AdapterPairs
from solver.rules.rows_given import Band as Band
from solver.rules.rows_given import RowTable as RowTable
from solver.rules.work import Note, Step, Torque, Where, notes

Role = Literal["deciding", "limit", "confirming"]
LimitKind = Literal["safety", "function"]

#: Why a test may stay silent while a figure of ``asked_if`` is not stated, by the role of that figure:
#: ``choice``: the mechanic makes it or measures it on the bicycle; before that there is nothing to judge
#: ``feature``: only a part that has such a thing states it; of all others there is nothing to ask
#: ``instead``: while it is not stated, another test of the joint asks the same of other figures
#: ``finer``: seldom printed and confirming: the joint is decided by coarser figures, this one can only add a no
#: ``regular``: so regular in the trade that hardly anybody prints it; a question at each would hide those that matter
#: A figure of any other role is deciding: it is no condition, and missing it is not known.
Silence = Literal["choice", "feature", "instead", "finer", "regular"]

FITS_REASON: Final = "as-listed"


@dataclass(frozen=True, slots=True)
class Read:
    """A figure that a test reads: ``role.port.figure`` (or ``role.figure``).

    ``optional``: the slot may be unfilled; a number is then 0 and a word "none". A confirming figure reaches the rule
    as None when it is not stated. ``own``: of that side itself; what the whole part is made of does not answer it.
    ``follows``: the word that it has while it is not stated itself and one of the figures ``follows_from`` is: a frame
    that has a shell has no cradle.
    """

    ref: str
    role: Role = "deciding"
    limit_kind: LimitKind | None = None
    optional: bool = False
    own: bool = False
    follows: str = ""
    follows_from: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Total:
    """The sum of several figures, read as one number; the search joins it term by term."""

    reads: tuple[Read, ...]


@dataclass(frozen=True, slots=True)
class FromLibrary:
    """A row of the library that a test reads: a trade figure, a table or an adapter kind."""

    row: str
    what: Literal["figure", "table", "adapter"]


@dataclass(frozen=True, slots=True)
class Given:
    """A number that was worked out beforehand, in place of a total; only the search makes these."""

    number: Num


Parameter = Read | Total | FromLibrary | Given


def deciding(
    ref: str, *, optional: bool = False, own: bool = False, follows: str = "", follows_from: tuple[str, ...] = ()
) -> Read:
    """Declare a figure without which there is no verdict; see ``Read`` for a word that follows from other figures."""
    return Read(ref, "deciding", optional=optional, own=own, follows=follows, follows_from=follows_from)


def confirming(ref: str, *, own: bool = False) -> Read:
    """Declare a figure that only adds certainty: missing, it has no effect."""
    return Read(ref, "confirming", own=own)


def limit(ref: str, kind: LimitKind, *, optional: bool = False) -> Read:
    """Declare a limit that a maker may print; over a safety limit is unsafe, over a function limit it does not fit."""
    return Read(ref, "limit", kind, optional)


def total(*refs: str | Read) -> Total:
    """Declare the sum of several figures."""
    return Total(tuple(deciding(r) if isinstance(r, str) else r for r in refs))


def trade_figure(row: str) -> FromLibrary:
    """Declare a figure of the trade (a band, a usual depth) that the test compares with."""
    return FromLibrary(row, "figure")


def table(row: str) -> FromLibrary:
    """Declare a table of the library."""
    return FromLibrary(row, "table")


def adapter_kind(row: str) -> FromLibrary:
    """Declare an adapter kind that may bridge the gap."""
    return FromLibrary(row, "adapter")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a test says on known figures. ``computed`` are figures made on the way, for the sentence."""

    verdict: Verdict
    reason: str
    remarks: tuple[str, ...] = ()
    adapters: tuple[str, ...] = ()
    computed: tuple[tuple[str, Num], ...] = ()


def fits(*remarks: str, reason: str = FITS_REASON, **computed: Num) -> Outcome:
    """Say that the figures go together as they are."""
    return Outcome(Verdict.FITS, reason, remarks, computed=tuple(sorted(computed.items())))


def needs_adapter(reason: str, *kinds: str, remarks: tuple[str, ...] = (), **computed: Num) -> Outcome:
    """Say that an adapter of one of these kinds closes the gap."""
    return Outcome(Verdict.NEEDS_ADAPTER, reason, remarks, kinds, tuple(sorted(computed.items())))


def needs_work(reason: str, *remarks: str, **computed: Num) -> Outcome:
    """Say that machining, bending or rebuilding makes it fit."""
    return Outcome(Verdict.NEEDS_WORK, reason, remarks, computed=tuple(sorted(computed.items())))


def not_known(reason: str, *remarks: str, **computed: Num) -> Outcome:
    """Say that known figures do not decide (only a maker can tell)."""
    return Outcome(Verdict.NOT_KNOWN, reason, remarks, computed=tuple(sorted(computed.items())))


def no_fit(reason: str, *remarks: str, **computed: Num) -> Outcome:
    """Say that it does not go together."""
    return Outcome(Verdict.NO_FIT, reason, remarks, computed=tuple(sorted(computed.items())))


def unsafe(reason: str, *remarks: str, **computed: Num) -> Outcome:
    """Say that it goes together or can be forced, but may hurt someone."""
    return Outcome(Verdict.UNSAFE, reason, remarks, computed=tuple(sorted(computed.items())))


@dataclass(frozen=True)
class Test:
    """One question of a joint. ``reasons`` is the closed list of what it may say, with the verdict of each."""

    __test__ = False

    id: str
    rule: Callable[..., Outcome]
    parameters: Mapping[str, Parameter]
    reasons: Mapping[str, frozenset[Verdict]]
    #: links of an adapter chain on which it is asked (0: first part to adapter, 1: adapter to second); empty: on the
    #: two parts themselves, adapter or not
    links: tuple[int, ...] = (0, 1)
    #: asked only if all these figures are stated: a choice that the mechanic may not have made yet, or another way to
    #: the same answer
    asked_if: tuple[str, ...] = ()
    #: not asked if all these figures are stated: they answer it in a test of their own
    asked_unless: tuple[str, ...] = ()
    asked_anyway: tuple[str, ...] = ()
    #: roles that must be filled although none of their figures is read
    beside: tuple[str, ...] = ()
    #: a wrong fit shows itself in the hand, before anybody rides: the part does not go in, or it rattles
    by_hand: bool = False
    #: why it may stay silent while a figure of ``asked_if`` is not stated
    silent: Silence | None = None

    @cached_property
    def needed(self) -> tuple[str, ...]:
        """The roles that must be filled before it is asked."""
        read = (r.ref.partition(".")[0] for r in self.reads if not r.optional)
        return tuple(dict.fromkeys((*read, *self.beside)))

    @cached_property
    def reads(self) -> tuple[Read, ...]:
        """Every figure that the test reads."""
        found: list[Read] = []
        for parameter in self.parameters.values():
            if isinstance(parameter, Read):
                found.append(parameter)
            elif isinstance(parameter, Total):
                found.extend(parameter.reads)
        return tuple(found)

    @property
    def rows(self) -> tuple[str, ...]:
        """Every row of the library that the test reads."""
        return tuple(p.row for p in self.parameters.values() if isinstance(p, FromLibrary))

    @property
    def page(self) -> str:
        """What the test asks and why, from the rule's docstring."""
        return inspect.cleandoc(self.rule.__doc__ or "")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a joint occurs: role -> slot. ``adapter`` is the slot of what may lie between, if any."""

    name: str
    roles: Mapping[str, str]
    adapter: str = ""


@dataclass(slots=True)
class Joint:
    """One physical meeting of parts.

    ``presupposes`` lists joints (``area.joint`` at the same place, or ``area.joint@place``): where one of them does not
    fit, this one follows. ``between`` names the two roles that an adapter part comes between.
    """

    id: str
    title: str
    page: str
    places: tuple[Place, ...]
    safety: bool = False
    presupposes: tuple[str, ...] = ()
    between: tuple[str, str] = ("", "")
    tests: list[Test] = field(default_factory=list)
    #: the work that is done here, and pairs of steps (here or at other joints) of which the first is done before the
    #: second; ``step@place`` names one at a place only
    steps: list[Step] = field(default_factory=list)
    precedences: list[tuple[str, str]] = field(default_factory=list)

    @property
    def area(self) -> str:
        """The area word."""
        return self.id.partition(".")[0]

    @property
    def bears(self) -> int:
        """How many adapters may lie in this joint at a time."""
        return 1 if any(p.adapter for p in self.places) else 0

    def test(
        self,
        name: str,
        reasons: Mapping[str, Verdict | tuple[Verdict, ...]],
        links: tuple[int, ...] = (0, 1),
        asked_if: tuple[str, ...] = (),
        asked_unless: tuple[str, ...] = (),
        asked_anyway: tuple[str, ...] = (),
        beside: tuple[str, ...] = (),
        by_hand: bool = False,
        silent: Silence | None = None,
        **parameters: Parameter,
    ) -> Callable[[Callable[..., Outcome]], Callable[..., Outcome]]:
        """Register the decorated function as a test of this joint.

        Args:
            name: the test's id within the joint.
            reasons: what it may say, each reason with its verdicts.
            links: the links of an adapter chain on which it is asked.
            asked_if: figures (``role.port.figure``) that must all be stated before it is asked.
            asked_unless: figures that answer it in another test; with all of them stated it is not asked.
            asked_anyway: figures that it reads; with all of them stated it is asked, whatever ``asked_unless`` says.
            beside: roles that must be filled although none of their figures is read.
            by_hand: a wrong fit shows itself in the hand; a measurement at the edge then gets the milder side even in a
                joint where a mistake can hurt someone, unless the other side is unsafe.
            silent: why it may stay silent while a figure of ``asked_if`` is not stated; see ``Silence``.
            **parameters: what the function reads, by parameter name.
        """
        closed = {reason: frozenset(v if isinstance(v, tuple) else (v,)) for reason, v in reasons.items()} | {
            FITS_REASON: frozenset({Verdict.FITS})
        }

        def register(rule: Callable[..., Outcome]) -> Callable[..., Outcome]:
            named = tuple(inspect.signature(rule).parameters)
            if set(named) != set(parameters):
                raise TypeError(f"{self.id}: test {name} declares {sorted(parameters)} and takes {sorted(named)}")
            if bool(asked_if) is not (silent is not None):
                raise TypeError(f"{self.id}: test {name} is asked of some parts only, and has to say why (silent)")
            read = {p.ref for p in parameters.values() if isinstance(p, Read)}
            implied = {ref for p in parameters.values() if isinstance(p, Read) for ref in p.follows_from}
            if not implied | set(asked_anyway) <= read:
                raise TypeError(f"{self.id}: test {name} goes by figures that it does not read")
            if any(t.id == name for t in self.tests):
                raise TypeError(f"{self.id}: two tests are called {name}")
            self.tests.append(
                Test(
                    name,
                    rule,
                    dict(parameters),
                    closed,
                    links,
                    asked_if,
                    asked_unless,
                    asked_anyway,
                    beside,
                    by_hand,
                    silent,
                )
            )
            return rule

        return register

    def step(
        self,
        step_id: str,
        *,
        needs: tuple[str, ...] = (),
        where: Where | None = None,
        never: Where | None = None,
        apart: tuple[str, ...] = (),
        stated: tuple[str, ...] = (),
        after: tuple[str, ...] = (),
        before: tuple[str, ...] = (),
        torques: tuple[Torque, ...] = (),
        practice: tuple[str | Note, ...] = (),
        tools: tuple[str, ...] = (),
        uses: tuple[Note, ...] = (),
        figures: tuple[str, ...] = (),
    ) -> None:
        """Say that a step of the work is done at this joint, after some steps and before others.

        ``needs``: the roles or slots that must be filled, those of the joint if none is named, but for what may lie
        between; see ``work.Step``.
        """
        if any(s.id == step_id for j in JOINTS.values() for s in j.steps):
            raise TypeError(f"two steps are called {step_id}")
        first = self.places[0]
        wanted = needs or tuple(role for role, slot in first.roles.items() if slot != first.adapter)
        ruled = (dict(where or {}), dict(never or {}), apart, stated)
        self.steps.append(Step(step_id, wanted, *ruled, torques, notes(*practice), tools, uses, figures))
        self.precedences += [(a, step_id) for a in after] + [(step_id, b) for b in before]

    def roles_of(self, test: Test) -> tuple[str, ...]:
        """Return the roles that must be filled before a test is asked."""
        return test.needed


JOINTS: Final[dict[str, Joint]] = {}


def joint(
    joint_id: str,
    title: str,
    page: str,
    *places: Place,
    safety: bool = False,
    presupposes: tuple[str, ...] = (),
    between: tuple[str, str] = ("", ""),
) -> Joint:
    """Define a joint. ``page`` says what meets, why it matters, what to do, what to measure, the caution."""
    if joint_id in JOINTS:
        raise TypeError(f"two joints are called {joint_id}")
    JOINTS[joint_id] = Joint(joint_id, title, inspect.cleandoc(page), places, safety, presupposes, between)
    return JOINTS[joint_id]


def place(name: str = "", /, *, adapter: str = "", **roles: str) -> Place:
    """Say where a joint occurs: ``place("rear", hub="rear_hub", holder="frame")``."""
    return Place(name, roles, adapter)
