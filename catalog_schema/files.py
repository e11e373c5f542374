"""Reading files as careful strangers write them: size, encoding, syntax; nothing of parts.

In: a path or a stream. Out: a raw table with exact decimals, or ``InputFaults`` that name file and line.
"""

from __future__ import annotations

import re
import sys
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from catalog_schema.faults import Fault, InputFaults

#: A key of two or more bare words at the start of a line.
_TWO_WORDS: Final = re.compile(r"^[ \t]*([A-Za-z]+(?: [A-Za-z]+){1,4})[ \t]*=", re.MULTILINE)
GREATEST_FILE_BYTES: Final = 64 * 1024 * 1024


def read_text(path: Path | str) -> str:
    """Return the text of a file; ``-`` is standard input.

    Raises:
        InputFaults: it cannot be read, is too large, or is not UTF-8.
    """
    name = "standard input" if str(path) == "-" else str(path)
    try:
        if str(path) == "-":
            if sys.stdin is None:
                raise InputFaults([Fault(name, "", "unreadable", "it is closed")])
            raw = sys.stdin.buffer.read(GREATEST_FILE_BYTES + 1)
        else:
            file = Path(path)
            if not file.exists():
                raise InputFaults([Fault(name, "", "no-file", "there is no such file")])
            if not file.is_file():
                raise InputFaults([Fault(name, "", "no-file", "this is not a file")])
            with file.open("rb") as stream:
                raw = stream.read(GREATEST_FILE_BYTES + 1)
    except OSError as error:
        raise InputFaults([Fault(name, "", "unreadable", error.strerror or "cannot be read")]) from None
    if len(raw) > GREATEST_FILE_BYTES:
        raise InputFaults([Fault(name, "", "too-large", "the file is larger than 64 MiB")])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        message = f"line {line}: not UTF-8 text; save the file as UTF-8"
        raise InputFaults([Fault(name, "", "encoding", message)]) from None


def _hint(text: str) -> str:
    """Return what may be wrong: a key of two words stands in quotes, or with an underline."""
    key = _TWO_WORDS.search(text)
    return f'; write "{key.group(1)}" = ... or {key.group(1).replace(" ", "_")} = ...' if key is not None else ""


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """Return the table that a TOML text holds, numbers as exact decimals.

    Raises:
        InputFaults: it is no TOML, or nested too deep.
    """
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise InputFaults([Fault(name, "", "syntax", f"not TOML: {error}{_hint(text)}")]) from None
    except (RecursionError, ValueError):
        raise InputFaults([Fault(name, "", "syntax", "nested too deep, or a number out of range")]) from None
