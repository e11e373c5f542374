"""Files that a user asked for by name: written whole, or not at all.

In: a path and a text. Out: the file, or ``InputFaults`` that say why not.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Final

from catalog_schema.faults import Fault, InputFaults

#: Stands in every drawing of ours.
SVG_MARK: Final = "<!-- drawn by fitwright -->"


def may_be_written(path: Path, ending: str, mark: str, *, option: str = "--out") -> None:
    """Refuse a name that nothing of ours may have, so that nobody's list, catalogue or drawing is written over.

    Args:
        path: where to.
        ending: that of what is written.
        mark: a text that every file of this kind holds; a file that lacks it is somebody else's, whatever its name.
        option: the option that named the file.

    Raises:
        InputFaults: the name has another ending, or it is somebody else's file.
    """
    if path.suffix.lower() != ending:
        message = f"{path}: expected a name that ends in {ending}; nothing is written"
        raise InputFaults([Fault(option, "", "bad-value", message)])
    if _is_foreign(path, mark, option):
        message = f"{path}: this file is there already and is none of ours; name another, nothing is written"
        raise InputFaults([Fault(option, "", "bad-value", message)])


def write(path: Path, text: str, ending: str, mark: str, *, option: str = "--out") -> None:
    """Write a text to a file, by way of another beside it, so that a full disk leaves the old one as it was.

    The arguments are those of ``may_be_written``.

    Raises:
        InputFaults: it may not or cannot be written.
    """
    may_be_written(path, ending, mark, option=option)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        beside = Path(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as stream:
                stream.write(text)
            beside.chmod(0o666 & ~_mask())
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise InputFaults([Fault(option, "", "not-written", f"{path}: {error.strerror}")]) from None


def _is_foreign(path: Path, mark: str, option: str) -> bool:
    """Return whether a file is there that was not written by us."""
    try:
        return mark.encode() not in path.read_bytes()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise InputFaults([Fault(option, "", "not-written", f"{path}: {error.strerror}")]) from None


def _mask() -> int:
    """Return which rights new files do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
