"""The problem record: what a caller hands to the engine, small and read-only.

In: variables with domain sizes, sparse relations over them, equalities, and stacks of items behind the rows. Out: a
checked ``Problem``. It knows nothing of what the variables mean and nothing of how a problem is solved.

**What a solution is.** One value for every *counted* variable and one item for every item relation, such that every
relation contains a row with these values, the item lies on the stack of that row, and *some* values of the *hidden*
variables complete the rows. Two solutions differ if a counted value or an item differs; hidden values never multiply.
A caller who wants tuples of items and nothing else declares every variable hidden.

**Alternatives of one item.** An item may lie on several rows of its relation; where those rows differ only in hidden
columns they are alternatives of the same item, and it is counted once.

**An item that fills several places** either is one item relation over the union of the columns, or (where single
items compete with it) is spread by an extra column: the relation of each place gets a column ``mode``, 0 for its own
items and ``k`` for the ``k``-th sort of shared item, where the stack holds one ``NOTHING``; a further item relation
over ``mode`` alone holds ``NOTHING`` at 0 and the shared items of sort ``k`` at ``k``. The places then agree on
``mode``, each is filled exactly once, and the shared item is counted, priced and weighed once.

**Levels.** Rows may carry a level 0 to 3. A solution has the largest level among its rows, hidden values being chosen
so that it is smallest; an accepted level keeps every solution up to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

MISSING: Final = -(2**62)
"""Stands in the figures of an item where nothing is stated. It is never treated as nought."""

NOTHING: Final = -1
"""The identity of an item that is no purchase: it is counted as a choice, and has no figures."""

TOP_LEVEL: Final = 3


class ProblemError(ValueError):
    """The problem record contradicts itself: the caller's fault, never a property of the answer."""


@dataclass(frozen=True, slots=True)
class Variable:
    """A variable with values ``0 .. size - 1``; a hidden one is only asked to exist."""

    name: str
    size: int
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that may be chosen; ``None`` means that the figure is not stated. Figures are not negative."""

    ident: int
    price: int | None = 0
    mass: int | None = 0
    lead: int | None = 0


@dataclass(frozen=True, slots=True, eq=False)
class Stacks:
    """The items behind the rows of a relation, as columns: item ``i`` lies on row ``row[i]``.

    ``price``, ``mass`` and ``lead`` hold ``MISSING`` where nothing is stated.
    """

    row: IntArray
    ident: IntArray
    price: IntArray
    mass: IntArray
    lead: IntArray

    @classmethod
    def of(cls, stacks: Sequence[Iterable[Item]]) -> Stacks:
        """Columns from one sequence of items a row.

        >>> Stacks.of([[Item(7)], [], [Item(8), Item(9, price=None)]]).row.tolist()
        [0, 2, 2]
        """
        flat = [(r, i) for r, stack in enumerate(stacks) for i in stack]

        def column(values: Iterable[int | None]) -> IntArray:
            return np.array([MISSING if v is None else v for v in values], dtype=np.int64)

        return cls(
            column(r for r, _ in flat),
            column(i.ident for _, i in flat),
            column(i.price for _, i in flat),
            column(i.mass for _, i in flat),
            column(i.lead for _, i in flat),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Relation:
    """Allowed rows over some variables.

    Attributes:
        name: for messages only.
        columns: variable numbers; a repeated number keeps only rows that agree.
        rows: int array, one row an allowed combination, shape ``(rows, columns)``.
        stacks: the items behind the rows; a row without items is not allowed then. ``None``: a plain relation.
        levels: the level of each row; ``None``: all 0.
        hidden: the items are not counted: for each solution the engine takes the best level, then the lowest price
            (one that is not stated comes last), then the fewest purchases, then the first in order.
    """

    name: str
    columns: tuple[int, ...]
    rows: IntArray
    stacks: Stacks | None = None
    levels: IntArray | None = None
    hidden: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Variables, relations and pairs of variables that are equal. Checked when made.

    Raises:
        ProblemError: a shape, a column, a value or a level is out of range; equal variables of unequal size; an item
            twice on one row; a negative figure.
    """

    variables: tuple[Variable, ...]
    relations: tuple[Relation, ...]
    equal: tuple[tuple[int, int], ...] = field(default=())

    def __post_init__(self) -> None:
        for relation in self.relations:
            _check(relation, self.variables)
        for a, b in self.equal:
            if not (0 <= a < len(self.variables) and 0 <= b < len(self.variables)):
                raise ProblemError(f"equality of unknown variables {a} and {b}")
            if self.variables[a].size != self.variables[b].size:
                raise ProblemError(f"{self.variables[a].name} and {self.variables[b].name} differ in size")

    @property
    def item_relations(self) -> tuple[int, ...]:
        """Numbers of the relations whose items are counted, in order: the places of ``Solution.items``."""
        return tuple(n for n, r in enumerate(self.relations) if r.stacks is not None and not r.hidden)


def _check(relation: Relation, variables: Sequence[Variable]) -> None:
    name, rows, columns = relation.name, relation.rows, relation.columns
    if rows.ndim != 2 or rows.shape[1] != len(columns) or rows.dtype != np.int64:
        raise ProblemError(f"{name}: rows must be an int64 array of shape (rows, {len(columns)})")
    for position, column in enumerate(columns):
        if not 0 <= column < len(variables):
            raise ProblemError(f"{name}: no variable {column}")
        values = rows[:, position]
        if len(values) and (int(values.min()) < 0 or int(values.max()) >= variables[column].size):
            raise ProblemError(f"{name}: a value of {variables[column].name} is out of range")
    levels = relation.levels
    if levels is not None:
        if levels.shape != (len(rows),):
            raise ProblemError(f"{name}: one level a row is needed")
        if len(levels) and (int(levels.min()) < 0 or int(levels.max()) > TOP_LEVEL):
            raise ProblemError(f"{name}: levels run from 0 to {TOP_LEVEL}")
    stacks = relation.stacks
    if stacks is None:
        if relation.hidden:
            raise ProblemError(f"{name}: only a relation with items can have hidden items")
        return
    number = len(stacks.row)
    if any(len(c) != number for c in (stacks.ident, stacks.price, stacks.mass, stacks.lead)):
        raise ProblemError(f"{name}: the columns of the stacks differ in length")
    if number == 0:
        return
    if int(stacks.row.min()) < 0 or int(stacks.row.max()) >= len(rows):
        raise ProblemError(f"{name}: an item lies on no row")
    for figures in (stacks.price, stacks.mass, stacks.lead):
        if np.any((figures < 0) & (figures != MISSING)):
            raise ProblemError(f"{name}: a negative figure")
    order = np.lexsort((stacks.ident, stacks.row))
    row, ident = stacks.row[order], stacks.ident[order]
    if np.any((row[1:] == row[:-1]) & (ident[1:] == ident[:-1])):
        raise ProblemError(f"{name}: an item lies twice on one row")


class Builder:
    """Collects variables and relations under names and makes a ``Problem`` of them.

    >>> b = Builder()
    >>> x, y = b.variable("x", 3), b.variable("y", 3)
    >>> b.relation("differ", (x, y), [(i, j) for i in range(3) for j in range(3) if i != j])
    >>> len(b.problem().relations)
    1
    """

    def __init__(self) -> None:
        self._variables: list[Variable] = []
        self._relations: list[Relation] = []
        self._equal: list[tuple[int, int]] = []

    def variable(self, name: str, size: int, *, hidden: bool = False) -> int:
        """Add a variable and return its number."""
        self._variables.append(Variable(name, size, hidden))
        return len(self._variables) - 1

    def relation(
        self,
        name: str,
        columns: Sequence[int],
        rows: Iterable[Sequence[int]] | IntArray,
        *,
        stacks: Stacks | Sequence[Iterable[Item]] | None = None,
        levels: Sequence[int] | IntArray | None = None,
        hidden: bool = False,
    ) -> None:
        """Add a relation; see ``Relation`` for the arguments."""
        table = rows if isinstance(rows, np.ndarray) else np.array(list(rows), dtype=np.int64)
        items = stacks if stacks is None or isinstance(stacks, Stacks) else Stacks.of(stacks)
        self._relations.append(
            Relation(
                name,
                tuple(columns),
                table.reshape(-1, len(columns)) if columns else table.reshape(len(table), 0),
                items,
                None if levels is None else np.asarray(levels, dtype=np.int64),
                hidden,
            )
        )

    def equal(self, a: int, b: int) -> None:
        """Declare two variables equal."""
        self._equal.append((a, b))

    def problem(self) -> Problem:
        """The finished record.

        Raises:
            ProblemError: see ``Problem``.
        """
        return Problem(tuple(self._variables), tuple(self._relations), tuple(self._equal))
