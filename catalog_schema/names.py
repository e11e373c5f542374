"""How trade names are compared: case, spaces, hyphens and the kind of multiplication sign make no difference."""

from __future__ import annotations

import re

_SIGNS = str.maketrans({"×": "x", "–": "-", "—": "-", "″": '"', "”": '"', "“": '"', "’": "'", ",": "."})
_SQUEEZE = re.compile(r"[\s\-_()]+")
#: A thread by diameter and turns to the inch: ``1.37 in x 24 tpi``, ``9/16" x 20``. The units go without saying.
_THREAD = re.compile(r'(?<=\d)(?:in|inch|")?x(\d\d)(?:tpi|f)(?![a-z\d])|(?<=\d)(?:in|inch|")x(2[046])(?![.\d])')


def tidied(text: str) -> str:
    """Return a name without spaces, in lower case, with plain signs; hyphens stay.

    >>> tidied("28 – 622")
    '28-622'
    """
    return "".join(text.translate(_SIGNS).casefold().split())


def squeezed(text: str) -> str:
    """Return the form of a name under which it is looked up.

    >>> squeezed("6-Bolt") == squeezed("6 bolt")
    True
    >>> squeezed("12 × 142") == squeezed("12x142")
    True
    >>> squeezed('1.37 in x 24 TPI') == squeezed("1.37x24")
    True
    """
    plain = _SQUEEZE.sub("", text.translate(_SIGNS).casefold())
    return _THREAD.sub(lambda m: f"x{m[1] or m[2]}", plain)
