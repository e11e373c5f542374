"""Who may import whom, and the house limits; checked by reading the sources."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from catalog_schema.library import AREAS

ROOT = Path(__file__).parent.parent
PACKAGES = ("catalog_schema", "solver")

#: What each layer may import of our own; ``solver.rules.registry`` belongs to ``solver.rules``.
ALLOWED = {
    "catalog_schema": {"catalog_schema"},
    "solver.formulas": {"catalog_schema", "solver.formulas"},
    "solver.report": {"catalog_schema"},
    "solver.report_bench": {"catalog_schema", "solver.report"},
    "solver.rules": {"catalog_schema", "solver.formulas", "solver.report", "solver.rules"},
    "solver.graph": {"catalog_schema", "solver.report", "solver.rules"},
    "solver.engine": {"solver.engine", "solver.engine.problem"},
    "solver.engine.problem": set(),
    "solver.network": {
        *("catalog_schema", "solver.report", "solver.rules", "solver.graph", "solver.engine.problem"),
        "solver.network",
    },
    "solver.explain": {
        *("catalog_schema", "solver.formulas", "solver.report", "solver.rules"),
        *("solver.graph", "solver.network", "solver.engine", "solver.explain", "solver.builds"),
        *("solver.engine.problem", "solver.remedies"),
    },
    "solver.bench": {
        *("catalog_schema", "solver.formulas", "solver.report", "solver.report_bench", "solver.rules"),
        *("solver.graph", "solver.bench"),
    },
    "solver.questions_bench": {
        *("catalog_schema", "solver.report", "solver.report_bench", "solver.explain", "solver.bench"),
        "solver.questions",
    },
    "solver.questions": {
        *("catalog_schema", "solver.formulas", "solver.report", "solver.rules", "solver.graph", "solver.network"),
        *("solver.engine", "solver.engine.problem", "solver.explain", "solver.bench", "solver.questions"),
    },
    "solver.builds": {"catalog_schema", "solver.report"},
    "solver.remedies": {"catalog_schema", "solver.report"},
    "solver.reasons": {
        *("catalog_schema", "solver.report", "solver.rules", "solver.explain", "solver.questions", "solver.remedies"),
        "solver.reasons",
    },
    "solver.search": {
        *(
            "catalog_schema",
            "solver.report",
            "solver.rules",
            "solver.network",
            "solver.engine",
            "solver.engine.problem",
        ),
        *("solver.explain", "solver.questions", "solver.builds"),
    },
    "solver.searching": {
        *("catalog_schema", "solver.report", "solver.engine", "solver.explain", "solver.builds", "solver.search"),
    },
    "solver.wording": {
        *("catalog_schema", "solver.report", "solver.report_bench", "solver.builds", "solver.remedies"),
        "solver.wording",
    },
    "solver.render": {
        *("catalog_schema", "solver.report", "solver.report_bench", "solver.builds", "solver.remedies"),
        *("solver.wording", "solver.render"),
    },
    "solver.cli_options": set(),
    "solver.cli_bench": {
        *("catalog_schema", "solver.report", "solver.report_bench", "solver.questions", "solver.questions_bench"),
        *("solver.wording", "solver.render", "solver.cli_options"),
    },
    "solver.cli_reasons": {
        *("catalog_schema", "solver.report", "solver.questions", "solver.reasons", "solver.wording", "solver.render"),
        "solver.cli_options",
    },
    "solver.cli_search": {
        *("catalog_schema", "solver.report", "solver.builds", "solver.questions", "solver.searching"),
        *("solver.wording", "solver.render", "solver.cli_options"),
    },
    "solver.cli": {
        "catalog_schema",
        "solver.report",
        "solver.questions",
        "solver.wording",
        "solver.render",
        "solver.cli",
        "solver.cli_search",
        "solver.cli_reasons",
        "solver.cli_bench",
        "solver.cli_options",
    },
    "solver.__main__": {"solver.cli"},
}

#: Outside libraries and the only layers that may import them.
FENCES = {
    "typer": {"solver.cli", "solver.cli_options", "solver.cli_search", "solver.cli_reasons", "solver.cli_bench"},
    "rich": {"solver.render", "solver.cli"},
    "networkx": {"solver.graph", "solver.engine", "solver.explain", "solver.bench"},
    "numpy": {"solver.network", "solver.engine", "solver.engine.problem"},
    "constraint": {"solver.engine"},
    "pydantic": {"catalog_schema", "solver.report"},
}


def layer_of(module: str) -> str:
    return max((layer for layer in ALLOWED if module == layer or module.startswith(layer + ".")), key=len, default="")


def sources() -> list[tuple[str, Path]]:
    found = []
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
            found.append((name, path))
    return found


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{a.name}" for a in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add("." * node.level)
    return found


SOURCES = sources()


@pytest.mark.parametrize(("name", "path"), SOURCES, ids=[n for n, _ in SOURCES])
def test_imports_point_one_way(name: str, path: Path) -> None:
    layer = layer_of(name)
    if name in PACKAGES:
        assert not imports(path)
        return
    assert layer, f"{name} belongs to no layer"
    for module in imports(path):
        assert not module.startswith("."), f"{name} has a relative import"
        top = module.partition(".")[0]
        if top in PACKAGES and module not in PACKAGES:
            ours = layer_of(module)
            assert ours in ALLOWED[layer] or any(module == a or a.startswith(module + ".") for a in ALLOWED[layer]), (
                f"{name} imports {module}"
            )
        if top in FENCES:
            assert layer in FENCES[top], f"{name} imports {module}"


@pytest.mark.parametrize(("name", "path"), SOURCES, ids=[n for n, _ in SOURCES])
def test_modules_open_with_a_paragraph_and_stay_small(name: str, path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(ast.parse(text)), f"{name} does not say what it is"
    assert text.count("\n") <= most_lines(name), f"{name} is too long"


def most_lines(name: str) -> int:
    """A list of joints or of record classes is read entry by entry and may be long; all else is one idea."""
    last = name.rpartition(".")[2]
    if name.startswith("solver.rules.") and any(last == a or last.startswith(f"{a}_") for a in AREAS):
        return 520
    return 900 if name == "catalog_schema.records" else 400


def test_the_area_word_is_the_thread() -> None:
    for area in AREAS:
        for path in (
            f"catalog_schema/interfaces/{area}.toml",
            f"catalog_schema/measuring/{area}.toml",
            f"catalog_schema/ports/{area}.py",
            f"solver/rules/{area}.py",
            f"solver/wording/{area}.toml",
            f"tests/cases/{area}.toml",
        ):
            assert (ROOT / path).is_file(), f"{path} is missing"


def test_the_engine_knows_no_bicycle() -> None:
    words = ("headset", "steerer", "hub", "rotor", "tyre", "cassette", "bicycle", "stem")
    for name, path in SOURCES:
        if name.startswith("solver.engine"):
            text = path.read_text(encoding="utf-8").lower()
            found = [w for w in words if any(w == t.strip(".,()`\"':;") for t in text.split())]
            assert not found, f"{name} speaks of {found}"
