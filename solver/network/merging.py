"""What can be told apart: values that every combination treats alike are one class; what a way of a part costs.

In: rows of tables, ways of parts. Out: classes, levels, numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from solver.network.tables import Table
from solver.rules.ways import Way


def way_level(way: Way) -> int:
    """Return the level of a way: 1 if an option of it is sold apart and not on the list, where one is shipped too."""
    return int(
        any(
            way.offer(o) == "sold" and any(other.offer == "as-shipped" for other in group.options)
            for group, o in way.options
        )
    )


def sold(way: Way) -> tuple[str, ...]:
    """Return the numbers of the options of a way that are sold apart and not on the list."""
    return tuple(o.number for _, o in way.options if o is not None and way.offer(o) == "sold")


def size(table: Table, position: int) -> int:
    """Return how many numbers a column of a table has."""
    if position < len(table.sides):
        return len(table.sides[position].kinds)
    return table.sums[position - len(table.sides)][-1].after


def classes_of(rows: Mapping[tuple[int, ...], int], position: int, size: int) -> dict[int, int]:
    """Return number -> class: two numbers are one class if every combination treats them alike."""
    looks: dict[int, set[tuple[tuple[int, ...], int]]] = {n: set() for n in range(size)}
    for combination, level in rows.items():
        rest = (*combination[:position], *combination[position + 1 :])
        looks[combination[position]].add((rest, level))
    index: dict[frozenset[tuple[tuple[int, ...], int]], int] = {}
    return {n: index.setdefault(frozenset(look), len(index)) for n, look in looks.items()}


def product(sizes: Iterable[int]) -> int:
    """Return a product."""
    out = 1
    for size in sizes:
        out *= size
    return out


def apart(count: int) -> tuple[list[list[tuple[int, int]]], int]:
    """Return two small tables that together say of two numbers up to ``count`` that they differ or are 0, and a size.

    Both numbers go with one value of a third: the highest binary digit at which they differ, what stands before it, and
    which of them has it. There is exactly one such value, and the tables grow with ``count`` times its digits, where
    all pairs written out would grow with its square. Two values are for 0 in the first, and for 0 in the second only.

    >>> (first, second), _ = apart(5)
    >>> def common(x: int, y: int) -> int:
    ...     return len({w for n, w in first if n == x} & {w for n, w in second if n == y})
    >>> [(x, y, common(x, y)) for x in range(6) for y in range(6) if common(x, y) != 1]
    [(1, 1, 0), (2, 2, 0), (3, 3, 0), (4, 4, 0), (5, 5, 0)]
    """
    index: dict[tuple[int, int, int], int] = {}
    first, second = [(0, 0)], [(number, 0) for number in range(count + 1)]
    first += [(number, 1) for number in range(1, count + 1)]
    second.append((0, 1))
    for number in range(1, count + 1):
        for digit in range(count.bit_length()):
            before, mine = number >> (digit + 1), number >> digit & 1
            first.append((number, 2 + index.setdefault((digit, before, mine), len(index))))
            second.append((number, 2 + index.setdefault((digit, before, 1 - mine), len(index))))
    return [first, second], 2 + len(index)
