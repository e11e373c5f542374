"""Words of the trade that mean the same on the box of one kind of part: ``axle`` is a spindle on cranks.

In: a token of a box line, and the vocabularies ``box.<kind>`` of the library. Out: the token in the words that names
and phrases of the library are written in; they are looked for only where a token means nothing as it stands.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from catalog_schema.library import Library
from catalog_schema.names import squeezed
from catalog_schema.records import Record

#: The key under which the library keeps, for each kind of part, words that mean the same on its box.
_KEY = "box"
#: The key under which the library keeps, for each maker, the words that are his alone.
_MAKER = "maker"
#: Words that one such expression has at most.
_LONGEST_RUN = 3
#: The sign of a thread in millimetres, which the library's names of threads leave out: ``M36x24``.
_METRIC_SIGN = re.compile(r"\bm(?=\d+\s*x)", re.IGNORECASE)


def other_words(kind: type[Record], token: str, library: Library) -> list[str]:
    """Return the token with words of the trade put for others that mean the same on this kind of part.

    All that can be put at once, then each alone: ``axle`` is a spindle on cranks, ``pcd`` a bolt circle.
    """
    plain = _METRIC_SIGN.sub("", token)
    same = library.words.get((_KEY, kind.kind), {})
    words = plain.split()
    runs = [
        (at, end, same[key])
        for size in range(min(_LONGEST_RUN, len(words)), 0, -1)
        for at in range(len(words) - size + 1)
        for end in [at + size]
        if (key := squeezed(" ".join(words[at:end]))) in same and same[key].casefold() != key
    ]
    apart: list[tuple[int, int, str]] = []
    for run in runs:
        if all(run[1] <= at or run[0] >= end for at, end, _ in apart):
            apart.append(run)
    out = [plain] if plain != token else []
    out += [_put(words, apart)] if len(apart) > 1 else []
    return [*out, *(_put(words, [run]) for run in runs)]


def without_maker(token: str, library: Library) -> str:
    """Return the token without the maker's name before a word that is his alone; empty if it does not open so.

    What follows another maker's name, or a bare number of gears, keeps it: there the name is what parts two systems.
    """
    words = token.split()
    for size in range(1, min(_LONGEST_RUN, len(words))):
        own = library.words.get((_MAKER, squeezed(" ".join(words[:size]))), {})
        rest = words[size:]
        if any(squeezed(" ".join(rest[:n])) in own for n in range(1, min(_LONGEST_RUN, len(rest)) + 1)):
            return " ".join(rest)
    return ""


def _put(words: Sequence[str], runs: Sequence[tuple[int, int, str]]) -> str:
    out = list(words)
    for at, end, word in sorted(runs, reverse=True):
        out[at:end] = [word]
    return " ".join(out)
