"""The kernels on columns: sorting by digits is sorting, and joins and groups rest on it."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from solver.engine import tables
from solver.engine.settling import settled

#: One, two, three digits of 16 bits, their edges, and what is compared instead.
BITS = (1, 8, 15, 16, 17, 31, 32, 33, 47, 48, 49, 61)


@pytest.mark.parametrize("bits", BITS)
def test_digits_sort_as_comparing_does_and_keep_equal_ones_as_they_stand(bits: int) -> None:
    draw = np.random.default_rng(bits)
    for rows in (1, 2, 1000):
        few = draw.integers(0, 2**bits, size=max(rows // 7, 1))
        for code in (draw.integers(0, 2**bits, size=rows), draw.choice(few, size=rows), np.full(rows, 2**bits - 1)):
            expected = np.argsort(code, kind="stable")
            assert tables.in_order(code, 2**bits).tolist() == expected.tolist()


def test_groups_begin_where_a_code_differs_from_the_one_before() -> None:
    code = np.array([70_000, 3, 70_000, 0, 3, 3])
    order, begin = tables.group(code.copy(), 70_001)
    assert order is not None
    assert order.tolist() == [3, 1, 4, 5, 0, 2]
    assert begin.tolist() == [0, 1, 4]


def test_a_join_pairs_equal_codes_by_the_left_row() -> None:
    left, right = np.array([2, 0, 2]), np.array([2, 1, 2, 0])
    lefts, rights = tables.match(left, right, 3)
    assert list(zip(lefts.tolist(), rights.tolist(), strict=True)) == [(0, 0), (0, 2), (1, 3), (2, 0), (2, 2)]


def test_a_stream_settles_into_the_order_of_its_own_keys() -> None:
    items = [(0, 5), (0, 0), (1, 9), (1, 1), (3, 3), (9, 9)]
    found = settled(items, lambda i: (i[0],), lambda i: (i[1],), most_held=10)
    assert [own for _, own in found] == [0, 1, 3, 5, 9, 9]


def test_what_settles_is_not_waited_for_further_than_asked() -> None:
    """An endless stream of which each may still be beaten gives its best so far."""
    found = settled(((0, 1000 - n) for n in itertools.count()), lambda i: (i[0],), lambda i: (i[1],), most_held=3)
    assert [next(found)[1] for _ in range(2)] == [997, 996]
