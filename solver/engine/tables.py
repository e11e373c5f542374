"""Tables of integers column by column, and the three kernels on them: key, join, group.

In: columns of small non-negative integers. Out: row indices. Everything here is vectorised and exact; nothing here
knows about counts, costs or solutions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from solver.engine.problem import IntArray

Index = NDArray[np.intp]
T = TypeVar("T", bound=np.generic)

LongArray = IntArray
"""Integers of any length: a machine array or, from ``long``, one of Python integers (typed alike)."""

_MOST = 2**62
_DIGIT = 16
#: Codes of more digits are compared instead.
_MOST_DIGITS = 3


def long(array: IntArray) -> LongArray:
    """The same numbers as Python integers."""
    return cast(LongArray, array.astype(object))


def is_long(array: LongArray) -> bool:
    """Whether an array holds Python integers."""
    return array.dtype == np.object_


@dataclass(slots=True)
class Table:
    """Columns over variables; ``rows`` is kept because a table may have no column."""

    variables: tuple[int, ...]
    values: list[IntArray]
    rows: int

    def column(self, variable: int) -> IntArray:
        """The values of one variable."""
        return self.values[self.variables.index(variable)]

    def columns(self, variables: Sequence[int]) -> list[IntArray]:
        """The values of several variables, in their order."""
        return [self.column(v) for v in variables]

    def take(self, rows: Index | NDArray[np.bool_]) -> Table:
        """The table of some rows."""
        values = [c[rows] for c in self.values]
        number = int(np.count_nonzero(rows)) if rows.dtype == np.bool_ else len(rows)
        return Table(self.variables, values, number)


class Scratch:
    """Two buffers that a pass uses again for every node: fresh memory of this size costs more than the work on it."""

    def __init__(self) -> None:
        self._buffers: dict[tuple[int, np.dtype[Any]], NDArray[Any]] = {}

    def take(self, values: NDArray[T], at: Index, place: int = 0) -> NDArray[T]:
        """``values[at]``, valid until the buffer of this place (0 or 1) is used again."""
        if values.dtype == np.object_:
            return values[at]
        buffer = self._buffers.get((place, values.dtype))
        if buffer is None or len(buffer) < len(at):
            buffer = self._buffers[place, values.dtype] = np.empty(len(at), dtype=values.dtype)
        found: NDArray[T] = buffer[: len(at)]
        if len(at):
            np.take(values, at, out=found, mode="clip")
        return found


def key(columns: Sequence[IntArray], sizes: Sequence[int], rows: int) -> tuple[IntArray, int]:
    """One integer a row, equal exactly where the rows are equal, and a bound above all of them. O(rows x columns)."""
    code: IntArray = np.zeros(rows, dtype=np.int64)
    space = 1
    for column, size in zip(columns, sizes, strict=True):
        if space * size > _MOST:
            code = np.unique(code, return_inverse=True)[1].astype(np.int64)
            space = rows
        code = column.astype(np.int64) if space == 1 else code * size + column
        space *= max(size, 1)
    return code, space


def key_pair(
    left: Sequence[IntArray], right: Sequence[IntArray], sizes: Sequence[int], rows: tuple[int, int]
) -> tuple[IntArray, IntArray, int]:
    """Keys of two tables over the same variables, comparable with each other, in a dense range."""
    space = 1
    for size in sizes:
        space *= size
    if space <= 4 * (rows[0] + rows[1]) + 65_536:
        return key(left, sizes, rows[0])[0], key(right, sizes, rows[1])[0], space
    both, _ = key([np.concatenate(pair) for pair in zip(left, right, strict=True)], sizes, rows[0] + rows[1])
    distinct, code = np.unique(both, return_inverse=True)
    code = code.astype(np.int64)
    return code[: rows[0]], code[rows[0] :], len(distinct)


def in_order(code: IntArray, space: int) -> Index:
    """The order that sorts codes from 0 to below ``space``, equal ones as they stand. O(rows) for each 16 bits.

    numpy sorts integers of 16 bits by their digits: two or three passes of that cost a fraction of comparing.
    """
    bits = max(space - 1, 1).bit_length()
    if bits > _MOST_DIGITS * _DIGIT:
        return np.argsort(code, kind="stable")
    order = np.argsort(code.astype(np.uint16), kind="stable")
    for shift in range(_DIGIT, bits, _DIGIT):
        digit = (code >> shift).astype(np.uint16)
        order = order[np.argsort(digit[order], kind="stable")]
    return order


def match_count(left: IntArray, right: IntArray, space: int) -> int:
    """Rows of the join of two key columns: exact, before the join is made."""
    return int(np.bincount(left, minlength=space) @ np.bincount(right, minlength=space))


def match(left: IntArray, right: IntArray, space: int) -> tuple[Index, Index]:
    """All pairs of rows with equal keys, ordered by the left row. O(rows + pairs), and a sort of the right keys."""
    counts = np.bincount(right, minlength=space)
    order = in_order(right, space)
    begin = np.cumsum(counts) - counts
    repeats = counts[left]
    ends = np.cumsum(repeats)
    left_rows = np.repeat(np.arange(len(left)), repeats)
    right_rows = np.repeat(begin[left] - (ends - repeats), repeats)
    right_rows += np.arange(len(right_rows))
    return left_rows, order[right_rows]


def group(code: IntArray, space: int) -> tuple[Index | None, Index]:
    """Bring equal codes together.

    Returns:
        The order of the rows (``None``: as they are) and the position where each group begins, groups by rising code.
    """
    rows = len(code)
    if rows == 0:
        return None, np.zeros(0, dtype=np.intp)
    order: Index | None = None
    if np.any(code[1:] < code[:-1]):
        order = in_order(code, space)
        code = code[order]
    heads = np.empty(rows, dtype=bool)
    heads[0] = True
    np.not_equal(code[1:], code[:-1], out=heads[1:])
    return order, np.flatnonzero(heads)
