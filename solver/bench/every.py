"""Every figure of every area, registered by importing the modules of the areas in bicycle order."""

from __future__ import annotations

import pkgutil
from importlib import import_module

from catalog_schema.library import in_order
from solver import bench
from solver.bench.registry import FIGURES, Figure


def load() -> dict[str, Figure]:
    """Return all figures by id."""
    for name in in_order(m.name for m in pkgutil.iter_modules(bench.__path__)):
        import_module(f"solver.bench.{name}")
    return FIGURES
