"""Other solvers on the same instance, one task in a fresh process: ``python -m tests.benchmarks.engine_foreign ...``.

In: engine, task, parts (or a stored problem of the real search), seed, cap in seconds. Out: one JSON object: seconds to
make the model, seconds to solve, the answer, whether it is proven, peak memory. Engines are given classes of parts (one
a signature) wherever the task allows it, and sums split into partial sums where that helps them: what is compared is
the best encoding we know for each.
The libraries are optional (dependency group ``bench``) and are imported by name at run time.
"""

from __future__ import annotations

import importlib
import itertools
import json
import pickle
import resource
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from solver.engine.problem import NOTHING, IntArray, Problem
from tests.benchmarks.engine_encode import encode, grouped
from tests.benchmarks.engine_instance import Instance, make, make_tiny

#: What a price that is not stated costs, so that the fewest of them come first, as with us.
UNPRICED = 10**8


@dataclass
class Model:
    """The question as tables over merged variables: ``classes`` (with their items) and ``plain``; all of level 0.

    ``items`` are for each table of classes the rows, numbers and prices of its items; ``instance`` is None for a
    question of the real search, whose rules have been asked already.
    """

    sizes: list[int]
    classes: list[tuple[list[int], IntArray]]
    items: list[tuple[IntArray, IntArray, IntArray]]
    plain: list[tuple[list[int], IntArray]]
    price: list[IntArray]
    counted: list[bool]
    instance: Instance | None

    @classmethod
    def of(cls, problem: Problem, instance: Instance | None = None) -> Model:
        """Merge equal variables; take the tables over."""
        leader = list(range(len(problem.variables)))
        for a, b in problem.equal:
            low, high = sorted((leader[a], leader[b]))
            leader = [low if v == high else v for v in leader]
        made = cls([v.size for v in problem.variables], [], [], [], [], [], instance)
        for relation in problem.relations:
            whole = len(relation.rows)
            kept = np.ones(whole, dtype=bool) if relation.levels is None else relation.levels == 0
            table = [leader[c] for c in relation.columns], relation.rows[kept]
            if relation.stacks is None:
                made.plain.append(table)
                continue
            place = np.cumsum(kept) - 1
            mine = kept[relation.stacks.row]
            prices = np.where(relation.stacks.price < 0, UNPRICED, relation.stacks.price)[mine]
            row = place[relation.stacks.row[mine]]
            made.classes.append(table)
            made.items.append((row, relation.stacks.ident[mine], prices))
            price = np.full(int(kept.sum()), 2**40)
            np.minimum.at(price, row, prices)
            made.price.append(price)
            made.counted.append(not relation.hidden)
        return made

    def used(self) -> list[int]:
        """The variables that some table reads."""
        return sorted({v for columns, _ in [*self.classes, *self.plain] for v in columns})

    def live(self, rows: list[IntArray]) -> int:
        """How many purchases lie on these rows, each counted once for each table."""
        total = 0
        for (row, ident, _), wanted, counted in zip(self.items, rows, self.counted, strict=True):
            there = ident[np.isin(row, wanted)]
            total += len(set(there.tolist()) - {NOTHING}) if counted else 0
        return total


Result = tuple[Any, bool]
Clock = Callable[[], None]


def cp_sat(model: Model, task: str, cap: float, clock: Clock) -> Result:
    """OR-Tools CP-SAT: attributes as integers, tables as allowed assignments."""
    cp_model = importlib.import_module("ortools.sat.python.cp_model")
    m = cp_model.CpModel()
    var = {v: m.new_int_var(0, model.sizes[v] - 1, f"v{v}") for v in model.used()}
    for columns, rows in model.plain:
        m.add_allowed_assignments([var[c] for c in columns], rows.tolist())
    choice, costs = [], []
    parts = task in ("ten", "count")
    for number, (columns, rows) in enumerate(model.classes):
        row, _, each = model.items[number]
        lines = rows[row] if parts else rows
        prices = each if parts else model.price[number]
        pick = m.new_int_var(0, len(lines) - 1, f"s{number}")
        table = np.column_stack([lines, np.arange(len(lines))])
        names = [*(var[c] for c in columns), pick]
        if task in ("cheapest", "ten"):
            cost = m.new_int_var(int(prices.min()), int(prices.max()), f"c{number}")
            costs.append(cost)
            table, names = np.column_stack([table, prices]), [*names, cost]
        m.add_allowed_assignments(names, table.tolist())
        choice.append(pick)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    clock()
    ends = time.perf_counter() + cap
    if task == "count":
        return _cp_count(cp_model, solver, m, choice, cap)
    if costs:
        m.minimize(sum(costs))
    found: list[int] = []
    for _ in range(10 if task == "ten" else 1):
        solver.parameters.max_time_in_seconds = max(0.1, ends - time.perf_counter())
        status = solver.solve(m)
        if status != cp_model.OPTIMAL and not (task == "first" and status == cp_model.FEASIBLE):
            return [
                *found,
                f"best so far {solver.objective_value:.0f}" if status == cp_model.FEASIBLE else "none",
            ], False
        found.append(round(solver.objective_value) if costs else 1)
        if task == "ten":
            m.add_forbidden_assignments(choice, [[solver.value(c) for c in choice]])
    return (found if task == "ten" else found[0]), True


def _cp_count(cp_model: Any, solver: Any, m: Any, choice: list[Any], cap: float) -> Result:
    solver.parameters.num_workers = 1
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.max_time_in_seconds = cap

    class Counter(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
        """Counts solutions."""

        number = 0

        def on_solution_callback(self) -> None:
            """One more."""
            self.number += 1

    counter = Counter()
    status = solver.solve(m, counter)
    return counter.number, bool(status == cp_model.OPTIMAL)


def clingo(model: Model, task: str, cap: float, clock: Clock) -> Result:
    """Clingo: one atom a value and a class; a class implies its values, a table forbids what it lacks."""
    library = importlib.import_module("clingo")
    lines = [f"dom({v},0..{model.sizes[v] - 1})." for v in model.used()]
    lines.append("1{val(X,V):dom(X,V)}1 :- dom(X,_).")
    lines.append("1{pick(S,C):class(S,C)}1 :- class(S,_).")
    lines.append(":- pick(S,C), has(S,C,X,V), not val(X,V).")
    for s, (columns, rows) in enumerate(model.classes):
        for c, row in enumerate(rows.tolist()):
            lines.append(f"class({s},{c}).")
            lines += [f"has({s},{c},{x},{v})." for x, v in zip(columns, row, strict=True)]
            lines.append(f"cost({s},{c},{int(model.price[s][c])}).")
    for t, (columns, rows) in enumerate(model.plain):
        names = [f"V{k}" for k in range(len(columns))]
        body = ", ".join(f"val({c},{n})" for c, n in zip(columns, names, strict=True))
        lines.append(f":- {body}, not t{t}({','.join(names)}).")
        lines += [f"t{t}({','.join(map(str, row))})." for row in rows.tolist()]
    if task == "cheapest":
        lines.append("#minimize{K,S:pick(S,C),cost(S,C,K)}.")
    lines.append("#show pick/2.")
    options = {"count": ["0", "--project=show"], "live": ["0", "--enum-mode=brave"]}
    control = library.Control(["--warn=none", *options.get(task, ["0" if task == "cheapest" else "1"])])
    control.add("base", [], "\n".join(lines))
    control.ground([("base", [])])
    clock()
    number, best = 0, None
    last: Any = ()

    def seen(found: Any) -> None:
        nonlocal number, best, last
        number += 1
        best = found.cost
        last = found.symbols(shown=True) if task == "live" else ()

    with control.solve(async_=True, on_model=seen) as handle:
        done = handle.wait(cap)
        if not done:
            handle.cancel()
        proven = bool(done and handle.get().exhausted) or (task == "first" and number > 0)
    if task == "live":
        picks = [(a.arguments[0].number, a.arguments[1].number) for a in last]
        return model.live([np.array([c for t, c in picks if t == s]) for s in range(len(model.classes))]), proven
    return (number if task in ("count", "first") else (best[0] if best else None)), proven


def python_sat(model: Model, task: str, cap: float, clock: Clock) -> Result:
    """PySAT (CaDiCaL, RC2): direct encoding; a class implies its values, a row of a table likewise."""
    formula = importlib.import_module("pysat.formula")
    solvers = importlib.import_module("pysat.solvers")
    clauses: list[list[int]] = []
    top = 0
    value: dict[tuple[int, int], int] = {}
    for v in model.used():
        mine = list(range(top + 1, top + 1 + model.sizes[v]))
        top += model.sizes[v]
        value |= {(v, k): n for k, n in enumerate(mine)}
        clauses.append(mine)
        clauses += [[-a, -b] for i, a in enumerate(mine) for b in mine[i + 1 :]]
    chosen: list[list[int]] = []
    for s, (columns, rows) in enumerate([*model.classes, *model.plain]):
        literals = list(range(top + 1, top + 1 + len(rows)))
        top += len(rows)
        clauses.append(literals)
        support: dict[tuple[int, int], list[int]] = {}
        for literal, row in zip(literals, rows.tolist(), strict=True):
            for x, k in zip(columns, row, strict=True):
                clauses.append([-literal, value[x, k]])
                support.setdefault((x, k), []).append(literal)
        clauses += [[-value[x, k], *support.get((x, k), [])] for x in columns for k in range(model.sizes[x])]
        if s < len(model.classes):
            chosen.append(literals)
    if task == "cheapest":
        return _rc2(model, formula, clauses, chosen, clock)
    solver = solvers.Solver(name="cadical195" if task == "first" else "glucose4", bootstrap_with=clauses)
    clock()
    ends = time.perf_counter() + cap
    if task == "first":
        return int(solver.solve()), True
    if task == "live":
        return _cover(model, solver, chosen, value, ends)
    number = 0
    every = [c for literals in chosen for c in literals]
    while solver.solve():
        number += 1
        found = set(solver.get_model())
        solver.add_clause([-c for c in every if c in found])
        if time.perf_counter() > ends:
            return number, False
    return number, True


def _rc2(model: Model, formula: Any, clauses: list[list[int]], chosen: list[list[int]], clock: Clock) -> Result:
    rc2 = importlib.import_module("pysat.examples.rc2")
    weighted = formula.WCNF()
    weighted.extend(clauses)
    for literals, prices in zip(chosen, model.price, strict=True):
        for literal, price in zip(literals, prices.tolist(), strict=True):
            if price:
                weighted.append([-literal], weight=price)
    with rc2.RC2Stratified(weighted) as solver:
        clock()
        solver.compute()
        return int(solver.cost), True


def _cover(
    model: Model, solver: Any, chosen: list[list[int]], value: dict[tuple[int, int], int], ends: float
) -> Result:
    """Classes that some model allows: each model also settles every other class that its values allow."""
    live = [np.zeros(len(c), dtype=bool) for c in chosen]
    dead = [np.zeros(len(c), dtype=bool) for c in chosen]
    for s, literals in enumerate(chosen):
        for c, literal in enumerate(literals):
            if live[s][c] or dead[s][c]:
                continue
            if time.perf_counter() > ends:
                return model.live([np.flatnonzero(k) for k in live]), False
            if not solver.solve(assumptions=[literal]):
                dead[s][c] = True
                continue
            true = {n for n in solver.get_model() if n > 0}
            now = {x: k for (x, k), n in value.items() if n in true}
            for other, (columns, rows) in enumerate(model.classes):
                live[other] |= np.all(rows == np.array([now[x] for x in columns]), axis=1)
    return model.live([np.flatnonzero(k) for k in live]), True


def python_constraint(model: Model, task: str, cap: float, clock: Clock) -> Result:
    """python-constraint2: one variable a slot (parts; classes for one build); every joint a function of slots."""
    csp = importlib.import_module("constraint").Problem()
    instance = model.instance
    if instance is None:
        return _tables_as_constraints(csp, model, cap, clock)
    for s, slot in enumerate(instance.slots):
        rows = slot.columns if task == "count" else grouped(slot)[0]
        csp.addVariable(s, [(n, *row) for n, row in enumerate(rows.tolist())])
    for (a, p), (b, q) in instance.equalities:
        csp.addConstraint(lambda x, y, p=p + 1, q=q + 1: x[p] == y[q], (a, b))
    for columns, allowed in instance.tables:
        places = [p + 1 for _, p in columns]
        rows_ = set(allowed)
        csp.addConstraint(
            lambda *parts, places=places, rows=rows_: tuple(x[p] for x, p in zip(parts, places, strict=True)) in rows,
            [s for s, _ in columns],
        )
    for terms, least, most in instance.sums:
        signs = [(p + 1, sign) for _, p, sign in terms]
        csp.addConstraint(
            lambda *parts, signs=signs, least=least, most=most: (
                least <= sum(x[p] * sign for x, (p, sign) in zip(parts, signs, strict=True)) <= most
            ),
            [s for s, _, _ in terms],
        )
    clock()
    ends = time.perf_counter() + cap
    number = 0
    for _ in csp.getSolutionIter():
        number += 1
        if task == "first":
            return 1, True
        if time.perf_counter() > ends:
            return number, False
    return number, True


def _tables_as_constraints(csp: Any, model: Model, cap: float, clock: Clock) -> Result:
    """python-constraint2 on tables: a variable for each table of classes, rows that share a value go together."""
    tables = [*model.classes, *model.plain]
    for t, (_, rows) in enumerate(tables):
        csp.addVariable(t, [tuple(r) for r in rows.tolist()])
    for t, u in itertools.combinations(range(len(tables)), 2):
        shared = [(p, q) for p, x in enumerate(tables[t][0]) for q, y in enumerate(tables[u][0]) if x == y]
        if shared:
            csp.addConstraint(lambda a, b, shared=shared: all(a[p] == b[q] for p, q in shared), (t, u))
    clock()
    found = list(itertools.islice(csp.getSolutionIter(), 1))
    return len(found), bool(found)


ENGINES: dict[str, Callable[[Model, str, float, Clock], Result]] = {
    "CP-SAT": cp_sat,
    "clingo": clingo,
    "python-sat": python_sat,
    "python-constraint2": python_constraint,
}


def main(arguments: list[str]) -> None:
    """``ENGINE TASK WHAT SEED CAP``; WHAT is a number of parts (0: the tiny instance) or a stored problem."""
    engine, task, what = arguments[:3]
    seed, cap = int(arguments[3]), float(arguments[4])
    instance: Instance | None = None
    if what.isdecimal():
        instance = make(int(what), seed) if int(what) else make_tiny()
    stored: Problem | None = None if instance is not None else pickle.loads(Path(what).read_bytes())
    started = time.perf_counter()
    made: list[float] = []
    model = Model.of(encode(instance) if instance is not None else stored, instance)  # type: ignore[arg-type]
    answer, proven = ENGINES[engine](model, task, cap, lambda: made.append(time.perf_counter()))
    ended = time.perf_counter()
    print(
        json.dumps(
            {
                "model": round(made[0] - started, 4),
                "solve": round(ended - made[0], 4),
                "answer": answer,
                "proven": proven,
                "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
            }
        )
    )


if __name__ == "__main__":
    main(sys.argv[1:])
