"""Small questions that both referees answer, each read and searched once in a test run.

In: a seed. Out: the question, its list, and the search opened on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from catalog_schema import fitting_list
from catalog_schema.fitting_list import FittingList
from solver.engine.solution import Solution
from solver.search import Search, Wanted
from tests import generator
from tests.referee import BICYCLE, LIBRARY, Name

SAMPLE = Path(__file__).parent.parent / "sample_catalogs" / "basin.toml"
SEEDS = range(216)


@dataclass(frozen=True)
class Question:
    """A small question and the search for it."""

    small: generator.Small
    fitting: FittingList
    search: Search


def read(raw: dict[str, Any]) -> FittingList:
    """Return a list that is written out."""
    return fitting_list.read(raw, "question", LIBRARY, BICYCLE)


def sample(**slots: Any) -> FittingList:
    """Return a list of the sample workshop."""
    return read({"catalogs": [str(SAMPLE)], "kind": "gravel", "slots": slots})


@cache
def question(seed: int) -> Question:
    """Return the question of a seed."""
    small = generator.small(seed)
    fitting = read(small.raw)
    return Question(small, fitting, Search(fitting, Wanted(in_stock=small.in_stock)))


def name_of(search: Search, solution: Solution) -> Name:
    """Return a build by the numbers and slots of its purchases."""
    return frozenset((c.part.number, c.slots) for c in search.network.purchases(solution.items))
