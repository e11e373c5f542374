"""How figures of the bench sheet are written down: what each reads, what it gives, how that is rounded, who says so.

A bench figure is one small pure function, as a test of a joint is. Its parameters are what it reads, and nothing else
reaches it; it gets plain values (``Decimal`` for a number, ``str`` for a word, ``Limit`` and ``Range`` as in the
schema), and what it returns is exact. It is run only when all that decides is known; else the sheet says what to
measure, for this figure alone. So a figure is written for known inputs and says nothing of missing ones.

    @figure(
        "wheels.valve-showing", place("rear", tube="rear_tube", rim="rear_rim"),
        formula="formula.valve-showing",            # row of the library: the formula in words, with its grounds
        gives={"showing_mm": nearest("1")},         # keys end in the unit; None: not rounded
        remarks=("short-for-the-pump",),            # closed; sentences in wording/bench_wheels.toml
        length=deciding("tube.valve.length_mm"),    # missing: measure
        depth=confirming("rim.section.depth_mm"),   # missing: None
        wall=assumed("rim.section.wall_mm", "2"),   # missing: this, and the sheet says that it was assumed
        width=either("a.measured_mm", "a.width_mm"),  # the first that is known
        usual=trade_figure("tyres.valve-shows"),    # a row of the library
    )
    def valve_showing(length: Decimal, depth: Decimal | None, wall: Decimal, usual: Band) -> Worked | None:
        \"\"\"What it is for, in a sentence.\"\"\"

``None`` says that the figure does not arise, ``Wanted(("depth",))`` that an input which may be missing decides here.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from functools import cached_property
from typing import Final, Literal

from catalog_schema.lean import dataclass, field
from solver.report_bench import Grid
from solver.rules.registry import FromLibrary, Place, Read

_MODES: Final = {"nearest": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}


@dataclass(frozen=True, slots=True)
class Rounding:
    """A step and a direction: to the nearest step (a half upwards), up, or down."""

    step: Decimal
    how: Literal["nearest", "up", "down"]

    @property
    def words(self) -> str:
        """The rule as it stands in records: ``down 0.5``."""
        return f"{self.how} {self.step}"

    def of(self, exact: Decimal) -> Decimal:
        """Return a number rounded; it has the places of the step.

        >>> Rounding(Decimal("0.5"), "down").of(Decimal("262.9")), Rounding(Decimal(2), "up").of(Decimal("110.1"))
        (Decimal('262.5'), Decimal('112'))
        """
        return (exact / self.step).quantize(Decimal(1), _MODES[self.how]) * self.step


def nearest(step: str) -> Rounding:
    """Round to the nearest step."""
    return Rounding(Decimal(step), "nearest")


def up(step: str) -> Rounding:
    """Round up to a step."""
    return Rounding(Decimal(step), "up")


def down(step: str) -> Rounding:
    """Round down to a step."""
    return Rounding(Decimal(step), "down")


@dataclass(frozen=True, slots=True)
class Assumed:
    """A figure that is taken as ``value`` where it is not stated."""

    read: Read
    value: Decimal | str


def assumed(ref: str, value: str | Decimal, *, optional: bool = False) -> Assumed:
    """Declare a figure with the value that is taken where nobody states it; a word is given as text."""
    number = Decimal(value) if ref.rpartition("_")[2] in UNITS or isinstance(value, Decimal) else value
    return Assumed(Read(ref, "confirming", optional=optional), number)


@dataclass(frozen=True, slots=True)
class Either:
    """Figures that say the same, the best first: the first that is known is taken, else the last is to be measured."""

    reads: tuple[Read, ...]


def either(*refs: str | Read) -> Either:
    """Declare figures that say the same, the best first; a slot of a read that is ``optional`` may be unfilled."""
    return Either(tuple(r if isinstance(r, Read) else Read(r) for r in refs))


#: Ends of names whose figures are numbers.
UNITS: Final = frozenset({"mm", "deg", "teeth", "bar", "nm", "g", "tpi", "percent", "turns", "holes", "speeds", "ml"})

Parameter = Read | Assumed | Either | FromLibrary


@dataclass(frozen=True, slots=True)
class Worked:
    """What a figure gives: results by key, exact; remarks and warnings (closed words); a table, if it is one."""

    results: Mapping[str, Decimal | str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    grid: Grid | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a figure returns if these inputs, though not always needed, decide here: they are to be measured first."""

    parameters: tuple[str, ...]


Outcome = Worked | Wanted | None


@dataclass(frozen=True)
class Figure:
    """A figure of the sheet, as declared."""

    id: str
    places: tuple[Place, ...]
    work: Callable[..., Outcome]
    parameters: Mapping[str, Parameter]
    formula: str
    gives: Mapping[str, Rounding | None]
    remarks: tuple[str, ...] = ()
    where: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    beside: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    stated: tuple[str, ...] = ()
    asked_if: tuple[str, ...] = ()
    lasting: bool = False
    caution: bool = False
    ordered: bool = False

    @property
    def area(self) -> str:
        """The area word."""
        return self.id.partition(".")[0]

    @cached_property
    def needed(self) -> tuple[str, ...]:
        """The roles whose slots must be filled before it is asked."""
        read = (r.ref.partition(".")[0] for r in self.reads if not r.optional)
        return tuple(dict.fromkeys((*read, *self.beside)))

    @property
    def reads(self) -> tuple[Read, ...]:
        """Every figure of a part that it reads."""
        return tuple(r for p in self.parameters.values() for r in reads_of(p))

    @property
    def rows(self) -> tuple[str, ...]:
        """Every row of the library that it rests on."""
        read = (p.row for p in self.parameters.values() if isinstance(p, FromLibrary))
        return tuple(dict.fromkeys((self.formula, *read)))


def reads_of(parameter: Parameter) -> tuple[Read, ...]:
    """Return the figures of parts that a parameter may read, the best first."""
    if isinstance(parameter, Either):
        return parameter.reads
    if isinstance(parameter, Assumed):
        return (parameter.read,)
    return (parameter,) if isinstance(parameter, Read) else ()


FIGURES: Final[dict[str, Figure]] = {}


def figure(
    figure_id: str,
    *places: Place,
    formula: str,
    gives: Mapping[str, Rounding | None],
    remarks: tuple[str, ...] = (),
    where: Mapping[str, tuple[str, ...]] | None = None,
    beside: tuple[str, ...] = (),
    apart: tuple[str, ...] = (),
    stated: tuple[str, ...] = (),
    asked_if: tuple[str, ...] = (),
    lasting: bool = False,
    caution: bool = False,
    ordered: bool = False,
    reads: Mapping[str, Parameter] | None = None,
    **parameters: Parameter,
) -> Callable[[Callable[..., Outcome]], Callable[..., Outcome]]:
    """Register the decorated function as a figure of the sheet.

    Args:
        figure_id: ``area.name``.
        *places: where it occurs.
        formula: the row of the library that says in words how it is worked out.
        gives: what it may give, by key; each key ends in its unit and has its rounding (None: none).
        remarks: the remarks and warnings that it may make.
        where: it does not arise if one of these figures is known to be none of these words.
        beside: roles that must be filled although none of their figures is read.
        apart: roles whose parts come put together if they are bought as one; then it does not arise (a built wheel).
        stated: it arises only if at least one of these figures is known: elsewhere nobody needs it.
        asked_if: figures (``role.port.figure``) that must all be stated: a choice of the rider or the mechanic.
        lasting: what is done by it cannot be undone; it stands first on the sheet, and large.
        caution: its area's wording has a caution for it, which is always shown.
        ordered: parts are bought or cut to it; it is held back like what cannot be undone.
        reads: what it reads in common with other figures, by parameter name.
        **parameters: what else the function reads, by parameter name.
    """
    given = {**(reads or {}), **parameters}

    def register(work: Callable[..., Outcome]) -> Callable[..., Outcome]:
        named = tuple(inspect.signature(work).parameters)
        if set(named) != set(given):
            raise TypeError(f"{figure_id} declares {sorted(given)} and takes {sorted(named)}")
        if figure_id in FIGURES:
            raise TypeError(f"two figures are called {figure_id}")
        FIGURES[figure_id] = Figure(
            figure_id, places, work, given, formula, dict(gives), remarks, dict(where or {}), beside,
            apart, stated, asked_if, lasting, caution, ordered,
        )  # fmt: skip
        return work

    return register
