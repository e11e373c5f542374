"""The engine's counts against closed forms and published integer sequences.

Closed forms are arithmetic, argued where they stand. Sequences are those of the On-Line Encyclopedia of Integer
Sequences (OEIS Foundation, https://oeis.org); each is named by its number, with the page on which its terms were read.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import networkx as nx
import pytest

from solver.engine.options import Options
from solver.engine.problem import Builder
from solver.engine.view import View, open_problem


def coloured(graph: nx.Graph[Any], colours: int) -> View:
    """The proper colourings of a graph as a problem of binary tables."""
    b = Builder()
    variable = {node: b.variable(str(node), colours) for node in graph.nodes}
    differ = [(i, j) for i in range(colours) for j in range(colours) if i != j]
    for u, v in graph.edges:
        b.relation(f"{u}-{v}", (variable[u], variable[v]), differ)
    return open_problem(b.problem())


@pytest.mark.parametrize(("n", "k"), [(3, 3), (10, 4), (30, 5), (200, 3)])
def test_cycles(n: int, k: int) -> None:
    """The chromatic polynomial of the cycle (arithmetic: deletion and contraction) is (k-1)^n + (-1)^n (k-1)."""
    assert coloured(nx.cycle_graph(n), k).count() == (k - 1) ** n + (-1) ** n * (k - 1)


@pytest.mark.parametrize(("n", "k"), [(2, 3), (12, 5), (30, 40), (300, 3)])
def test_ladders(n: int, k: int) -> None:
    """Each rung after the first can be coloured in k^2 - 3k + 3 ways (arithmetic), the first in k(k-1)."""
    assert coloured(nx.ladder_graph(n), k).count() == k * (k - 1) * (k * k - 3 * k + 3) ** (n - 1)


@pytest.mark.parametrize(("n", "k"), [(5, 7), (9, 3)])
def test_trees(n: int, k: int) -> None:
    """A tree has k (k-1)^(n-1) colourings (arithmetic)."""
    assert coloured(nx.random_labeled_tree(n, seed=n), k).count() == k * (k - 1) ** (n - 1)


def test_complete_graphs() -> None:
    """A complete graph has k (k-1) ... (k-n+1) colourings (arithmetic)."""
    for n, k in ((4, 4), (5, 4), (5, 7)):
        assert coloured(nx.complete_graph(n), k).count() == math.perm(k, n)


A068253 = (1, 6, 82, 2604, 193662, 33865632, 13956665236, 13574876544396)
"""A third of the 3-colourings of an n x n grid; terms seen at oeis-frontend.somethingorotherwhatever.com/A068253."""


@pytest.mark.parametrize("n", range(1, 9))
def test_grids_in_three_colours(n: int) -> None:
    assert coloured(nx.grid_2d_graph(n, n), 3).count() == 3 * A068253[n - 1]


A006506 = (2, 7, 63, 1234, 55447, 5598861, 1280128950, 660647962955)
"""Independent sets of an n x n grid ("hard squares"); terms seen at number.house/seq/A006506."""


@pytest.mark.parametrize("n", range(1, 9))
def test_hard_squares(n: int) -> None:
    b = Builder()
    cells = {c: b.variable(str(c), 2) for c in itertools.product(range(n), repeat=2)}
    for u, v in nx.grid_2d_graph(n, n).edges:
        b.relation(f"{u}-{v}", (cells[u], cells[v]), [(0, 0), (0, 1), (1, 0)])
    assert open_problem(b.problem()).count() == A006506[n - 1]


A228277 = (1, 1, 13, 133, 3631, 172082, 16566199, 3057290265)
"""n x n arrays of noughts and ones, top left 1, no two ones adjacent in a row, a column or a falling diagonal; terms
seen at oeis-frontend.somethingorotherwhatever.com/A228277."""


@pytest.mark.parametrize("n", range(1, 8))
def test_ones_apart_in_three_directions_with_a_corner_picked(n: int) -> None:
    b = Builder()
    cells = {c: b.variable(str(c), 2) for c in itertools.product(range(n), repeat=2)}
    b.relation("corner", (cells[0, 0],), [(0,), (1,)])
    for (i, j), (di, dj) in itertools.product(cells, ((0, 1), (1, 0), (1, 1))):
        if (i + di, j + dj) in cells:
            b.relation(f"{i}{j}{di}{dj}", (cells[i, j], cells[i + di, j + dj]), [(0, 0), (0, 1), (1, 0)])
    view = open_problem(b.problem())
    picked = view.restricted(rows={0: view.circuit.problem.relations[0].rows[:, 0] == 1})
    assert picked.count() == A228277[n - 1]


A000170 = (1, 0, 0, 2, 10, 4, 40, 92)
"""Ways to place n queens on an n x n board so that none attacks another; terms seen at oeis.org/A000170."""


@pytest.mark.parametrize("n", range(1, 9))
def test_queens(n: int) -> None:
    b = Builder()
    rows = [b.variable(f"q{i}", n) for i in range(n)]
    for i, j in itertools.combinations(range(n), 2):
        apart = [(x, y) for x in range(n) for y in range(n) if x != y and abs(x - y) != j - i]
        b.relation(f"{i}-{j}", (rows[i], rows[j]), apart)
    view = open_problem(b.problem())
    assert view.count() == A000170[n - 1]
    assert sum(1 for _ in view.listing()) == A000170[n - 1]


A002860 = (1, 2, 12, 576, 161280)
"""Latin squares of order n; terms seen at codegolf.stackexchange.com/questions/146945, which names the sequence."""


@pytest.mark.parametrize("n", range(1, 6))
def test_latin_squares(n: int) -> None:
    """A row is a variable whose values are the permutations; two rows differ in every place."""
    orders = list(itertools.permutations(range(n)))
    apart = [
        (a, b)
        for (a, p), (b, q) in itertools.product(enumerate(orders), repeat=2)
        if all(x != y for x, y in zip(p, q, strict=True))
    ]
    builder = Builder()
    rows = [builder.variable(f"row {i}", len(orders)) for i in range(n)]
    for i, j in itertools.combinations(range(n), 2):
        builder.relation(f"{i}-{j}", (rows[i], rows[j]), apart)
    assert open_problem(builder.problem(), Options(join_rows=30_000_000)).count() == A002860[n - 1]
