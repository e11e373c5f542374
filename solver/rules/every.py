"""Every joint of every area, registered by importing the areas in bicycle order."""

from __future__ import annotations

from importlib import import_module

from catalog_schema.library import AREAS
from solver.rules.registry import JOINTS, Joint


def load() -> dict[str, Joint]:
    """Return all joints by id."""
    for area in AREAS:
        import_module(f"solver.rules.{area}")
    return JOINTS
