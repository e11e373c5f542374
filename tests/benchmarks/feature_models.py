"""Count public feature models exactly: ``python -m tests.benchmarks.feature_models FOLDER``.

In: a folder with DIMACS files and a ``counts.csv`` (model, ..., published_digits, ...). Out: a table of model, number
of digits published, our count, time. The models are those of the public repository
``SoftVarE-Group/feature-model-benchmark`` (MIT licence); they are not part of this project. Without the folder it says
so and ends well.
"""

from __future__ import annotations

import csv
import sys
import time
from pathlib import Path

from solver.engine.options import TooWide
from solver.engine.problem import Builder, Problem
from solver.engine.view import open_problem

LONGEST_TABLE = 5
"""Clauses up to this length become one table; longer ones a chain of small ones."""


def read_dimacs(text: str) -> tuple[int, list[list[int]]]:
    """Number of variables and the clauses of a DIMACS file.

    Raises:
        ValueError: there is no problem line.
    """
    variables = -1
    numbers: list[int] = []
    for line in text.splitlines():
        if line.startswith("p"):
            variables = int(line.split()[2])
        elif line and line[0] not in "c%":
            numbers += [int(t) for t in line.split()]
    if variables < 0:
        raise ValueError("no problem line")
    clauses: list[list[int]] = [[]]
    for n in numbers:
        if n:
            clauses[-1].append(n)
        else:
            clauses.append([])
    return variables, [sorted(set(c), key=abs) for c in clauses if c]


def problem_of(variables: int, clauses: list[list[int]]) -> Problem:
    """The problem whose solutions are the models of the clauses."""
    b = Builder()
    of = [b.variable(f"x{n + 1}", 2) for n in range(variables)]
    for number, clause in enumerate(clauses):
        if any(-lit in clause for lit in clause):
            continue
        columns = [of[abs(lit) - 1] for lit in clause]
        false = tuple(int(lit < 0) for lit in clause)
        if len(clause) <= LONGEST_TABLE:
            rows = [tuple((n >> k) & 1 for k in range(len(clause))) for n in range(2 ** len(clause))]
            b.relation(f"clause {number}", columns, [r for r in rows if r != false])
        else:
            _chain(b, f"clause {number}", columns, false)
    return b.problem()


def _chain(b: Builder, name: str, columns: list[int], false: tuple[int, ...]) -> None:
    """A long clause: "true so far" is a function of the literals, so it adds no solutions."""
    before = -1
    for k, (column, wrong) in enumerate(zip(columns, false, strict=True)):
        last = k == len(columns) - 1
        if k == 0:
            before = b.variable(f"{name}.0", 2)
            b.relation(f"{name}.0", (column, before), [(wrong, 0), (1 - wrong, 1)])
        elif last:
            b.relation(f"{name}.{k}", (before, column), [(0, 1 - wrong), (1, 0), (1, 1)])
        else:
            after = b.variable(f"{name}.{k}", 2)
            rows = [(0, wrong, 0), (0, 1 - wrong, 1), (1, 0, 1), (1, 1, 1)]
            b.relation(f"{name}.{k}", (before, column, after), rows)
            before = after


def main(arguments: list[str]) -> int:
    """Print the table; 1 if a count disagrees with what is published or noted in the folder."""
    folder = Path(arguments[0]) if arguments else Path("counting")
    table = folder / "counts.csv"
    if not table.is_file():
        print(f"skipped: {table} is not here; the models are not part of this project")
        return 0
    files = {path.name: path for path in sorted(folder.glob("*.dimacs"))}
    bad = 0
    print("| model | variables | digits published | our count | digits | agrees | seconds |")
    print("|---|---|---|---|---|---|---|")
    with table.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            path = files.get(row["model"].replace("/", "_") + ".dimacs")
            if path is None:
                print(f"| {row['model']} | - | {row['published_digits']} | no file | | | |")
                continue
            variables, clauses = read_dimacs(path.read_text(encoding="utf-8"))
            started = time.perf_counter()
            try:
                count = open_problem(problem_of(variables, clauses)).count()
            except TooWide as refusal:
                print(f"| {row['model']} | {variables} | {row['published_digits']} | refused: {refusal} | | | |")
                continue
            seconds = time.perf_counter() - started
            noted = row["exact_count_found_here"]
            agrees = len(str(count)) == int(row["published_digits"]) and (not noted.isdigit() or int(noted) == count)
            bad += not agrees
            print(
                f"| {row['model']} | {variables} | {row['published_digits']} | {count} | {len(str(count))} "
                f"| {'yes' if agrees else 'NO'} | {seconds:.2f} |"
            )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
