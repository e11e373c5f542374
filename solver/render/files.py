"""Files that a user asked for by name: written whole, or not at all.

In: a path and a text. Out: the file, or ``InputFaults`` that say why not.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from catalog_schema.faults import Fault, InputFaults


def write(path: Path, text: str, ending: str, *, mark: str = "") -> None:
    """Write a text to a file, by way of another beside it, so that a full disk leaves the old one as it was.

    The name must have the ending of what is written, so that nobody's list or catalogue is written over. ``mark`` is a
    text that every file of this kind holds: one that lacks it is somebody else's, whatever its name, and stays.

    Raises:
        InputFaults: the name has another ending, it is somebody else's file, or it cannot be written.
    """
    if path.suffix != ending:
        message = f"{path}: expected a name that ends in {ending}; nothing is written"
        raise InputFaults([Fault("--out", "", "bad-value", message)])
    if mark and _is_foreign(path, mark):
        message = f"{path}: this file is there already and is none of ours; name another, nothing is written"
        raise InputFaults([Fault("--out", "", "bad-value", message)])
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
        raise InputFaults([Fault("--out", "", "not-written", f"{path}: {error.strerror}")]) from None


def _is_foreign(path: Path, mark: str) -> bool:
    """Return whether a file is there that was not written by us."""
    try:
        return mark.encode() not in path.read_bytes()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise InputFaults([Fault("--out", "", "not-written", f"{path}: {error.strerror}")]) from None


def _mask() -> int:
    """Return which rights new files do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
