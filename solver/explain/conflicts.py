"""Minimal sets that cannot hold together, over any yes-or-no oracle: one of them, all of them.

In: how many things there are, and ``holds``: whether a set of them can hold together; a subset of a set that holds
must hold as well. Out: minimal sets that do not hold. It knows nothing of what the things are.

The divide and conquer of ``shrink`` is Junker's QuickXplain (AAAI 2004). ``every`` rests on the duality of minimal
conflicts and minimal hitting sets: if what is left by every smallest way to break the known conflicts holds, then all
conflicts are known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

Things = frozenset[int]
Holds = Callable[[Things], bool]


def shrink(things: Sequence[int], holds: Holds, background: Things = frozenset()) -> Things:
    """Return a minimal subset of ``things`` that does not hold with the background; earlier things are kept rather.

    The things with the background must not hold; the background alone must.
    """

    def conflict(base: Things, fresh: bool, rest: Sequence[int]) -> Things:
        if fresh and not holds(base):
            return frozenset()
        if len(rest) == 1:
            return frozenset(rest)
        middle = len(rest) // 2
        first, second = rest[:middle], rest[middle:]
        right = conflict(base | frozenset(first), True, second)
        left = conflict(base | right, bool(right), first)
        return left | right

    return conflict(background, False, list(things)) if things else frozenset()


def by_deletion(things: Iterable[int], holds: Holds) -> Things:
    """Return a minimal subset that does not hold, by leaving out one thing after another: the naive twin."""
    left = frozenset(things)
    for thing in sorted(left):
        if not holds(left - {thing}):
            left -= {thing}
    return left


def every(number: int, holds: Holds, known: Iterable[Things] = (), most: int = 200) -> tuple[list[Things], bool]:
    """Return all minimal sets that do not hold, smallest first, and whether that is all of them.

    Args:
        number: things are ``0 .. number - 1``.
        holds: the oracle.
        known: minimal sets that are known not to hold.
        most: stop after so many.
    """
    if not holds(frozenset()):
        return [frozenset()], True
    found = list(dict.fromkeys(known))
    whole = frozenset(range(number))
    complete = False
    while not complete and len(found) < most:
        complete = True
        for hit in hitting(found):
            rest = whole - hit
            if not holds(rest):
                found.append(shrink(sorted(rest), holds))
                complete = False
                break
    return sorted(found, key=lambda s: (len(s), sorted(s))), complete


def hitting(sets: Sequence[Things]) -> Iterator[Things]:
    """Yield every minimal set that has a member in each of some sets, smallest first."""
    level: set[Things] = {frozenset()}
    for group in sorted(sets, key=len):
        hit = {h for h in level if h & group}
        grown = {h | {g} for h in level - hit for g in group}
        level = hit | {g for g in grown if not any(h <= g for h in hit)}
    yield from sorted(level, key=lambda s: (len(s), sorted(s)))
