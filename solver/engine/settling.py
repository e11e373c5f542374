"""A stream in the order of bounds brought into the order of what they bound.

In: items, each with a key that the stream follows and a key of its own that is no less. Out: the same items by their
own keys.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

T = TypeVar("T")
Key = tuple[int, ...]


def settled(stream: Iterable[T], bound: Callable[[T], Key], own: Callable[[T], Key], most_held: int) -> Iterator[T]:
    """Yield the items by their own keys, equal ones as they came.

    An item waits until no later one can come before it. Where more than ``most_held`` would wait, the first of them is
    let go: from there on the order is that of the keys seen so far.

    Args:
        stream: items whose ``bound`` never falls.
        bound: the key that the stream follows.
        own: the key that counts; never less than the bound.
        most_held: how many items may wait.
    """
    waiting: list[tuple[Key, int, T]] = []
    for number, item in enumerate(stream):
        least = bound(item)
        while waiting and (waiting[0][0] <= least or len(waiting) > most_held):
            yield heapq.heappop(waiting)[2]
        heapq.heappush(waiting, (own(item), number, item))
    while waiting:
        yield heapq.heappop(waiting)[2]
