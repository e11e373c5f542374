"""Mappings whose values are made when somebody asks for them, and files of one JSON value a line to make them from.

In: keys with what each value is made from. Out: a mapping that makes a value once. A start reads a library of a
thousand rows and a catalogue of a thousand parts, and a list asks for some fifty of each.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any, Generic, TypeVar

K = TypeVar("K")
S = TypeVar("S")
V = TypeVar("V")


class Deferred(Mapping[K, V], Generic[K, S, V]):
    """Key -> value, made from the key's seed when first asked for."""

    __slots__ = ("_made", "_make", "seeds")

    def __init__(self, seeds: Mapping[K, S], make: Callable[[K, S], V]) -> None:
        self.seeds = seeds
        self._make = make
        self._made: dict[K, V] = {}

    def __getitem__(self, key: K) -> V:
        try:
            return self._made[key]
        except KeyError:
            value = self._made[key] = self._make(key, self.seeds[key])
            return value

    def __contains__(self, key: object) -> bool:
        return key in self.seeds

    def __iter__(self) -> Iterator[K]:
        return iter(self.seeds)

    def __len__(self) -> int:
        return len(self.seeds)

    def __repr__(self) -> str:
        return f"{type(self).__name__}({len(self)} keys)"


def text_of(value: Any) -> str:
    """Return JSON on one line; a decimal is written with all its digits."""
    if isinstance(value, Mapping):
        return "{" + ",".join(f"{json.dumps(str(k), ensure_ascii=False)}:{text_of(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(text_of(v) for v in value) + "]"
    return format(value, "f") if isinstance(value, Decimal) else json.dumps(value, ensure_ascii=False)


class Lines:
    """A text of one JSON value a line: a mark, an index of the lines, then the lines.

    The mark says what the text was made from, and the hash of what follows: a text that was cut short is not used.
    """

    def __init__(self, text: str) -> None:
        self._lines = text.split("\n")
        self.index: Any = json.loads(self._lines[1])

    @classmethod
    def made_from(cls, text: str, source: str) -> Lines | None:
        """Return the lines of a text if it was made from this source and is whole."""
        mark, _, body = text.partition("\n")
        return cls(text) if mark == _mark(source, body) else None

    def value(self, line: int) -> Any:
        """Return the value in a line, numbers as exact decimals."""
        return json.loads(self._lines[line], parse_float=Decimal, parse_int=Decimal)


def _mark(source: str, body: str) -> str:
    return text_of({"made_from": source, "sha256": hashlib.sha256(body.encode()).hexdigest()})


class LineWriter:
    """Collects lines, and says under which number each stands."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def add(self, value: Any) -> int:
        """Add a value; return the number of its line."""
        self._lines.append(text_of(value))
        return len(self._lines) + 1

    def text(self, source: str, index: Any) -> str:
        """Return the whole text, marked as made from ``source``."""
        body = "\n".join([text_of(index), *self._lines]) + "\n"
        return f"{_mark(source, body)}\n{body}"
