"""The ways in which a part can be set up: one option of each of its settings.

In: a part and the numbers of small parts on the list. Out: ways, each with the figures of the part in each slot. What
is not sold is no way; a group that its maker has not closed has one more way, of which nothing is known.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import Final

from catalog_schema.figures import Variant
from catalog_schema.lean import dataclass
from catalog_schema.parts import Offer, Option, Part, Settings

_PREFERENCE: Final[dict[Offer, int]] = {"as-shipped": 0, "in-the-box": 1, "sold": 2, "not-stated": 3, "not-sold": 4}


@dataclass(frozen=True, slots=True)
class Way:
    """A part with one option of each of its settings; an option that is None is one that nobody stated."""

    part: Part
    options: tuple[tuple[Settings, Option | None], ...]
    listed: frozenset[str]

    @property
    def preference(self) -> tuple[int, ...]:
        """Sort key: as shipped before in the box before sold before not stated, group by group."""
        return tuple(_PREFERENCE[self.offer(o)] for _, o in self.options)

    @property
    def least_handy(self) -> Offer:
        """How one gets the option that is hardest to get."""
        return max((self.offer(o) for _, o in self.options), key=_PREFERENCE.__getitem__, default="as-shipped")

    def offer(self, option: Option | None) -> Offer:
        """Return how one gets an option; one that is sold and on the list is in the box."""
        if option is None:
            return "not-stated"
        return "in-the-box" if option.offer == "sold" and option.number in self.listed else option.offer

    def variants(self, slot: str) -> tuple[Variant, ...]:
        """Return the figures of the part in ``slot`` with the options in place."""
        found = self.part.fills[slot]
        for group, option in self.options:
            ports = group.ports.get(slot, ())
            if option is None:
                found = tuple(without(v, ports) for v in found)
            elif slot in option.replaces:
                new = option.replaces[slot]
                gone = {k.partition(".")[0] for v in new for k in v}
                found = tuple({**without(a, gone), **b} for a, b in itertools.product(found, new))
        return found


def ways(parts: Iterable[Part], listed: frozenset[str]) -> list[Way]:
    """Return the ways to take one of these parts, part by part, options in the order of the file."""
    found: list[Way] = []
    for part in parts:
        groups: list[list[tuple[Settings, Option | None]]] = []
        for settings in part.settings:
            options: list[tuple[Settings, Option | None]] = [
                (settings, o) for o in settings.options if o.offer != "not-sold"
            ]
            if not settings.complete:
                options.append((settings, None))
            groups.append(options)
        found.extend(Way(part, combination, listed) for combination in itertools.product(*groups))
    return found


def without(variant: Variant, ports: Iterable[str]) -> Variant:
    """Return the figures of a variant less those of some ports."""
    gone = set(ports)
    return {k: v for k, v in variant.items() if k.partition(".")[0] not in gone}
