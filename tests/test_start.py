"""How soon the program answers, beside importing the same libraries; and what it does not import.

Times are processor times, the best of several runs, with compiled modules at hand, and scaled by how fast this machine
imports the libraries alone.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from catalog_schema import library, packed

LISTS = sorted((Path(__file__).parent.parent / "sample_catalogs" / "lists").glob("*.toml"))
#: The libraries alone take this long on the machine on which the budget was set; a slower one is allowed more.
USUAL = 0.120
BUDGET = 0.150
RUNS = 5

SAY_MODULES = """
import json, sys
from solver.cli import app
try:
    app(sys.argv[1:])
except SystemExit:
    pass
ours = ("solver", "catalog_schema", "__")
sys.stderr.write("\\n" + json.dumps([m for m in sys.modules if not m.startswith(ours)]))
"""
IMPORT_MODULES = """
import importlib, json, sys
for module in json.loads(sys.argv[1]):
    try:
        importlib.import_module(module)
    except ImportError:
        pass
"""


def environment(tmp: Path) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(tmp)}


def modules(arguments: list[str], env: dict[str, str]) -> list[str]:
    run = subprocess.run(
        [sys.executable, "-c", SAY_MODULES, *arguments], env=env, capture_output=True, text=True, check=False
    )
    found: list[str] = json.loads(run.stderr.rpartition("\n")[2])
    return found


def seconds(arguments: list[str], env: dict[str, str]) -> float:
    best = 60.0
    for _ in range(RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *arguments], env=env, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        used = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
        best = min(best, used)
    return best


@pytest.fixture(scope="module")
def env(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    found = environment(tmp_path_factory.mktemp("compiled"))
    modules(["check", str(LISTS[0])], found)
    return found


@pytest.mark.skipif(packed.read(library.texts()) is None, reason="the packed copy is old; test_packed says so")
@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_a_cold_check_costs_little_beside_its_libraries(path: Path, env: dict[str, str]) -> None:
    whole = seconds(["-m", "solver", "check", str(path)], env)
    alone = seconds(["-c", IMPORT_MODULES, json.dumps(modules(["check", str(path)], env))], env)
    allowed = BUDGET * max(1.0, alone / USUAL)
    assert whole - alone <= allowed, f"{(whole - alone) * 1000:.0f} ms of our own, {alone * 1000:.0f} ms of libraries"


def test_check_needs_no_solver_libraries(env: dict[str, str]) -> None:
    found = {m.partition(".")[0] for m in modules(["check", str(LISTS[0])], env)}
    assert "pydantic" in found
    assert not found & {"networkx", "numpy", "constraint"}


def test_help_comes_at_once(env: dict[str, str]) -> None:
    found = {m.partition(".")[0] for m in modules(["--help"], env)}
    assert not found & {"pydantic_core", "rich", "networkx", "numpy", "constraint"}
