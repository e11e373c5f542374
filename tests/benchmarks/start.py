"""What a cold ``check`` or ``builds`` costs beside importing the same libraries alone.

``python -m tests.benchmarks.start``.

Processor times, the best of several runs, compiled modules at hand. A row a list: the whole, the libraries, our share.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.test_start import LISTS, environment, modules

RUNS = 7
IMPORT_MODULES = """
import importlib, json, sys
for module in json.loads(sys.argv[1]):
    try:
        importlib.import_module(module)
    except ImportError:
        pass
"""


def seconds(arguments: list[str], env: dict[str, str]) -> float:
    """The least processor time of a fresh interpreter with these arguments."""
    best = 60.0
    for _ in range(RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *arguments], env=env, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
    return best


def rows(paths: list[Path], env: dict[str, str]) -> list[tuple[str, float, float]]:
    """Command and list, whole time, time of the libraries alone; in milliseconds."""
    found = []
    half = [p for p in paths if p.stem.startswith("builds-")]
    for command, path in [*(("check", p) for p in paths), *(("builds", p) for p in half)]:
        whole = seconds(["-m", "solver", command, str(path)], env)
        alone = seconds(["-c", IMPORT_MODULES, json.dumps(modules([command, str(path)], env))], env)
        found.append((f"{command} {path.stem}", whole * 1000, alone * 1000))
    return found


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        env = environment(Path(folder))
        modules(["check", str(LISTS[0])], env)
        print(f"{os.cpu_count()} cores, Python {sys.version.split()[0]}; milliseconds of processor time")
        print(f"{'list':44} {'whole':>7} {'libraries':>10} {'our own':>8}")
        for name, whole, alone in rows(LISTS, env):
            print(f"{name:44} {whole:7.0f} {alone:10.0f} {whole - alone:8.0f}")


if __name__ == "__main__":
    main()
