"""Every joint of every area, registered by importing the modules of the areas in bicycle order."""

from __future__ import annotations

import pkgutil
from importlib import import_module

from catalog_schema.library import in_order
from solver import rules
from solver.rules.registry import JOINTS, Joint


def load() -> dict[str, Joint]:
    """Return all joints by id."""
    for name in in_order(m.name for m in pkgutil.iter_modules(rules.__path__)):
        import_module(f"solver.rules.{name}")
    return JOINTS
