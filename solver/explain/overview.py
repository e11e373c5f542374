"""What can be asked: the kinds of part, the joints, the groups of the library.

In: the bicycle, registered joints, the library. Out: an ``Overview``, short enough for one screen.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from catalog_schema.bicycle import Bicycle, Slot
from catalog_schema.library import AREAS, Library, area_of_file
from catalog_schema.records import RECORD_KINDS
from solver.report import Overview
from solver.rules.registry import JOINTS


def parts(bicycle: Bicycle) -> Overview:
    """Return the places of a bicycle by area, the words for several of them, questions and kinds of bicycle."""
    by_area: dict[str, list[str]] = {}
    for slot in bicycle.slots:
        twin = bicycle.by_id.get(_other_end(slot.id))
        if twin is None or slot.id.startswith("front_"):
            named = slot.words if twin is None else f"{slot.words.removeprefix('front ')} *"
            by_area.setdefault(_area(slot), []).append(named)
    groups = [(area.replace("_", " "), tuple(by_area[area])) for area in AREAS if area in by_area]
    words: dict[Sequence[str], list[str]] = {}
    for side in bicycle.sides:
        slots = side.slots or side.front
        if len(slots) > 1:
            words.setdefault(slots, []).append(side.words[0])
    told = [f"{' or '.join(names)} ({_named(slots, bicycle)})" for slots, names in words.items()]
    return Overview(
        "card",
        (
            *groups,
            ("words for several", tuple(told)),
            ("kinds of bicycle", tuple(k.id for k in bicycle.kinds)),
            ("questions", tuple(q.id for q in bicycle.questions)),
        ),
        len(bicycle.slots),
    )


def _other_end(slot: str) -> str:
    start, _, rest = slot.partition("_")
    return f"{ {'front': 'rear', 'rear': 'front'}.get(start, '') }_{rest}"


def _area(slot: Slot) -> str:
    ports = list(RECORD_KINDS[slot.kind].ports().values())
    return area_of_file(ports[0].__module__.rpartition(".")[2]) if ports else AREAS[0]


def _named(slots: Sequence[str], bicycle: Bicycle) -> str:
    return ", ".join(bicycle.by_id[s].words.removeprefix("front ") for s in slots)


def joints() -> Overview:
    """Return the joints by area."""
    groups = []
    for area in AREAS:
        names = tuple(j.partition(".")[2] for j in JOINTS if j.startswith(f"{area}."))
        groups.append((area, names))
    return Overview("rule", tuple(groups), len(JOINTS))


def library(rows: Library) -> Overview:
    """Return how many rows of each group the library holds, by area; a group is the first word of their ids."""
    groups = []
    for area in AREAS:
        ids = [i for i in rows.rows if rows.area(i) == area]
        own = (area, area.replace("_", "-"))
        counted = Counter("figures of the trade" if i.partition(".")[0] in own else i.partition(".")[0] for i in ids)
        alone = sum(n == 1 for n in counted.values())
        named = [f"{name} {n}" for name, n in counted.most_common() if n > 1]
        groups.append(
            (area.replace("_", " "), (*named, *([f"words with a row of their own {alone}"] if alone else [])))
        )
    return Overview("interfaces", tuple(groups), len(rows.rows))
