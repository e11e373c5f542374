"""Rows of the library as a rule sees them: a trade figure, the gaps of an adapter kind, a table.

In: the values of a row. Out: what a rule may ask of it, and nothing else of the library.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from catalog_schema.lean import dataclass
from solver.rules.figures import Num


@dataclass(frozen=True, slots=True)
class Band:
    """A trade figure as a rule sees it: exact values by key."""

    row: str
    values: Mapping[str, Decimal]

    def __getitem__(self, key: str) -> Decimal:
        return self.values[key]


@dataclass(frozen=True, slots=True)
class AdapterPairs:
    """The gaps that an adapter kind is made for."""

    row: str
    pairs: tuple[Mapping[str, Decimal | str], ...]

    def covers(self, **sides: Num | str) -> bool:
        """Return whether one of the kind's gaps has these figures on its sides."""
        return any(self._is(pair, sides) for pair in self.pairs)

    def near(self, slack: Decimal, **sides: Num) -> bool:
        """Return whether a kind of adapter is made for a gap with these figures, within ``slack``."""
        return any(
            set(pair) == set(sides)
            and all(isinstance(w := pair[n], Decimal) and figure.near(w, slack) for n, figure in sides.items())
            for pair in self.pairs
        )

    def _is(self, pair: Mapping[str, Decimal | str], sides: Mapping[str, Num | str]) -> bool:
        for name, value in sides.items():
            wanted = pair.get(name)
            if wanted is None or isinstance(wanted, str) != isinstance(value, str):
                return False
            if value != wanted:
                return False
        return True


@dataclass(frozen=True, slots=True)
class RowTable:
    """A table of the library as a rule sees it."""

    row: str
    columns: tuple[str, ...]
    cells: tuple[tuple[Decimal | str | None, ...], ...]

    def dicts(self) -> list[dict[str, Decimal | str | None]]:
        """Return the rows, each as column -> cell."""
        return [dict(zip(self.columns, row, strict=True)) for row in self.cells]
