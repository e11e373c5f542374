"""The written sentences: ``common.toml``, and the files of an area, read when a finding of that area is told.

In: ids. Out: templates with ``{holes}``. Nothing is decided here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any, Final

from catalog_schema import tables

_HOLE: Final = re.compile(r"\{(\w+)\}")
#: One of what is counted; a figure with a point, a fraction or a hyphen before it is another number.
_ONE_OF: Final = re.compile(r"(?<![\w.,/-])1 (gear|cog|ring|bolt|hole|spoke|link|turn|click|tooth)s\b")
_SAME_ENDS: Final = re.compile(r"\b(\d[\d.]*(?: [a-z]+)?) to \1(?![\w.])")

#: What a sentence of an area may consist of.
SENTENCE_KEYS: Final = frozenset({"fact", "because", "do", "customer", "wish", "label"})


@cache
def file(name: str) -> dict[str, Any]:
    """Return the sentences of an area, of its own file and of each ``<area>_<part>.toml``, or the common ones."""
    found: dict[str, Any] = {}
    for sentences in tables.of_area("solver", "wording", name):
        for key, table in sentences.items():
            found[key] = {**found.get(key, {}), **table}
    return found


def of_reason(joint: str, test: str, reason: str) -> dict[str, str]:
    """Return the sentence for a reason: the area's own, with the common one where it says nothing."""
    area = file(joint.partition(".")[0])
    own = area.get(joint, {}).get(test, {}).get(reason, {})
    return {**common("generic", reason), **own}


def common(*path: str) -> dict[str, Any]:
    """Return a table of the common sentences; empty if there is none."""
    table: Any = file("common")
    for step in path:
        table = table.get(step, {})
    return dict(table)


def common_bench(table: str) -> dict[str, Any]:
    """Return a table of the bench sheet's words that belong to no area."""
    return dict(file("bench_common").get(table, {}))


def remark(joint: str, remark_id: str) -> str:
    """Return the sentence of a remark; one without a sentence is told by its id."""
    area = file(joint.partition(".")[0]).get("remark", {})
    found = area.get(remark_id) or common("remark").get(remark_id) or remark_id.replace("-", " ")
    return str(found)


def holes(template: str) -> tuple[str, ...]:
    """Return the names of the holes of a template."""
    return tuple(_HOLE.findall(template))


def filled(template: str, values: Mapping[str, str]) -> str | None:
    """Return a template with its holes filled, or None if a value is not there."""
    if any(name not in values for name in holes(template)):
        return None
    return counted(_HOLE.sub(lambda hole: values[hole.group(1)], template))


def counted(text: str) -> str:
    """Return a sentence with one thing in the singular, and with a span of no width as one figure.

    >>> counted("It is made for 1 gears."), counted("50 ml to 50 ml"), counted("11 gears, 2.1 turns")
    ('It is made for 1 gear.', '50 ml', '11 gears, 2.1 turns')
    """
    return _SAME_ENDS.sub(r"\1", _ONE_OF.sub(r"1 \1", text))
