"""How trade names are compared: case, spaces, hyphens and the kind of multiplication sign make no difference."""

from __future__ import annotations

import re

_SIGNS = str.maketrans({"×": "x", "–": "-", "—": "-", "″": '"', "”": '"', "“": '"', "’": "'", ",": "."})
_SQUEEZE = re.compile(r"[\s\-_()]+")


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
    """
    return _SQUEEZE.sub("", text.translate(_SIGNS).casefold())
