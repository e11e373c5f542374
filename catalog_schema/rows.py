"""Lists as rows of a table: the slot, and what is there; with commas, semicolons or tabs.

In: a text. Out: the raw table of a list, as TOML would give it. It knows rows and cells, no slots.
"""

from __future__ import annotations

import csv
import io
import re
from typing import Any, Final

from catalog_schema.faults import FaultList

_SEPARATORS: Final = ",;\t"
_QUOTED: Final = re.compile(r'"[^"]*"')
_NOT_ROWS: Final = re.compile(r"\s*(\[|[\w\-.\" ]+=)")


def _first(text: str) -> str:
    """Return the first line that is neither empty nor a remark."""
    return next((line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")


def looks_like_rows(text: str) -> bool:
    """Return whether a text is rows and not TOML: its first line opens no table and sets no key.

    >>> looks_like_rows("slot;part")
    True
    >>> looks_like_rows("title = 'Saturday, late'")
    False
    """
    first = _first(text)
    return bool(first) and not _NOT_ROWS.match(first) and any(c in first for c in _SEPARATORS)


def separator(text: str) -> str:
    """Return what stands between the cells: what comes first in the first line, outside quotes.

    >>> separator('stem;"31.8, 100"')
    ';'
    """
    return next((c for c in _QUOTED.sub("", _first(text)) if c in _SEPARATORS), ",")


def read(text: str, name: str) -> dict[str, Any]:
    """Return the raw table of a list in rows: slot and what is there; a repeated slot is a shortlist.

    ``catalog``, ``kind`` and ``title`` may stand in the first column too.

    Raises:
        InputFaults: a row has other cells than two, or says what another one says.
    """
    faults = FaultList(name)
    raw: dict[str, Any] = {"slots": {}, "catalogs": []}
    seen: dict[str, list[str]] = {}
    try:
        lines = csv.reader(io.StringIO(text), delimiter=separator(text), skipinitialspace=True, strict=True)
        rows = [(lines.line_num, row) for row in lines]
    except csv.Error as error:
        faults.add("syntax", "", f"not CSV: {error}")
        rows = []
    for number, row in rows:
        cells = [c.strip() for c in row]
        while cells and not cells[-1]:
            cells.pop()
        if not cells or cells[0].startswith("#") or [c.lower() for c in cells[:2]] == ["slot", "part"]:
            continue
        if len(cells) != 2:
            quotes = f'; words with commas stand in quotes: "{", ".join(cells[1:])}"' if len(cells) > 2 else ""
            faults.add("syntax", f"line {number}", f"expected slot and part, found {len(cells)} cells{quotes}")
            continue
        key, value = cells
        if key == "catalog":
            raw["catalogs"].append(value)
        elif key in ("kind", "title"):
            raw[key] = value
        elif value in seen.get(key, ()):
            faults.add("said-twice", f"line {number}", f"{key} with the same part stands on the list already")
        else:
            seen.setdefault(key, []).append(value)
    faults.raise_if_any()
    raw["slots"] = {k: v[0] if len(v) == 1 else v for k, v in seen.items()}
    return raw
