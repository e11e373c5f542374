"""What a start does not import; what it costs is measured in ``tests/benchmarks/start.py``."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

LISTS = sorted((Path(__file__).parent.parent / "sample_catalogs" / "lists").glob("*.toml"))

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


def environment(tmp: Path) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(tmp)}


def modules(arguments: list[str], env: dict[str, str]) -> list[str]:
    run = subprocess.run(
        [sys.executable, "-c", SAY_MODULES, *arguments], env=env, capture_output=True, text=True, check=False
    )
    found: list[str] = json.loads(run.stderr.rpartition("\n")[2])
    return found


@pytest.fixture(scope="module")
def env(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    found = environment(tmp_path_factory.mktemp("compiled"))
    modules(["check", str(LISTS[0])], found)
    return found


def test_check_needs_no_solver_libraries(env: dict[str, str]) -> None:
    found = {m.partition(".")[0] for m in modules(["check", str(LISTS[0])], env)}
    assert "pydantic" in found
    assert not found & {"networkx", "numpy", "constraint"}


def test_help_comes_at_once(env: dict[str, str]) -> None:
    found = {m.partition(".")[0] for m in modules(["--help"], env)}
    assert not found & {"pydantic_core", "rich", "networkx", "numpy", "constraint"}
