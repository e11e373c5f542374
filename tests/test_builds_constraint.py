"""A second referee for small questions: python-constraint, its constraints straight from the rules.

One variable a slot, whose values are purchases in one of their settings; one constraint for each joint at each place.
No network, no engine, and not ``evaluate`` either. Adapters of the shelf and what settings cost are for the first
referee; all else is here: missing and measured figures, settings, purchases of several slots, stock, slots of none.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from itertools import islice
from typing import Any

import pytest
from constraint import Problem

from catalog_schema.fitting_list import FittingList
from solver import questions
from solver.report import Verdict
from solver.rules.evaluating import links
from solver.rules.judging import Filled, beside_an_adapter, is_asked, judge
from solver.rules.registry import JOINTS, Joint, Place
from solver.rules.ways import Way, ways
from solver.search import Search
from tests.referee import BICYCLE, LIBRARY, Bought, Name, offers
from tests.small_questions import SEEDS, name_of, question, sample

#: A value of a variable: a purchase and one of its settings; None: the slot stays empty.
Value = tuple[int, int] | None


class Rules:
    """The list as python-constraint sees it."""

    def __init__(self, fitting: FittingList, *, in_stock: bool = False) -> None:
        self.fitting = fitting
        self.fixed = questions.trial(fitting, LIBRARY, BICYCLE).fixed
        self.bought: list[Bought] = []
        self.ways: list[list[Way]] = []
        self.domains: dict[str, list[Value]] = {}
        self.in_stock = in_stock
        self.kept: dict[object, Verdict] = {}
        wanted = [s for s in BICYCLE.order if s in fitting.slots and fitting.slots[s].state != "none"]
        found: dict[Name, Bought] = {}
        for slot in wanted:
            self.domains[slot] = []
            for part, slots in offers(fitting, slot, in_stock=in_stock):
                found.setdefault(frozenset({(part.number or str(id(part)), slots)}), (part, slots))
        for part, slots in found.values():
            number = len(self.bought)
            self.bought.append((part, slots))
            self.ways.append(ways([part], frozenset(fitting.extras)))
            for slot in slots:
                self.domains.setdefault(slot, [None])
                self.domains[slot] += [(number, w) for w in range(len(self.ways[number]))]

    def solutions(self, accept: Verdict) -> dict[Name, tuple[int, ...]]:
        """Return every build up to a verdict, by name, with its purchases."""
        if not all(self.domains.values()):
            return {}
        problem = Problem()
        for slot, values in self.domains.items():
            problem.addVariable(slot, values)
        for one, other in itertools.combinations(self.domains, 2):
            problem.addConstraint(self._bought_once(one, other), (one, other))
        for joint in JOINTS.values():
            for place in joint.places:
                scope = [s for s in self.domains if s in (*place.roles.values(), place.adapter)]
                asked = any(
                    all(place.roles[r] in {*self.domains, *self.fixed} for r in joint.roles_of(t)) for t in joint.tests
                )
                if scope and asked:
                    problem.addConstraint(self._goes_together(joint, place, scope, accept), scope)
        found = {}
        for chosen in problem.getSolutionIter():
            numbers = tuple(sorted({v[0] for v in chosen.values() if v is not None}))
            found[frozenset((self.bought[n][0].number, self.bought[n][1]) for n in numbers)] = numbers
        return found

    def _bought_once(self, one: str, other: str) -> Callable[[Value, Value], bool]:
        """Return what holds of two slots: a set fills both or none, and one piece in stock fills one."""

        def holds(a: Value, b: Value) -> bool:
            set_a = a if a is not None and other in self.bought[a[0]][1] else None
            set_b = b if b is not None and one in self.bought[b[0]][1] else None
            if set_a != set_b:
                return False
            if not self.in_stock or a is None or b is None or a[0] == b[0]:
                return True
            (part, _), (twin, _) = self.bought[a[0]], self.bought[b[0]]
            return not (part.number and part.number == twin.number and part.identity.stock == 1)

        return holds

    def _goes_together(
        self, joint: Joint, place: Place, scope: Sequence[str], accept: Verdict
    ) -> Callable[..., bool]:  # fmt: skip
        def holds(*values: Value) -> bool:
            key = (joint.id, place.name, values)
            if key not in self.kept:
                chosen = {s: v for s, v in zip(scope, values, strict=True) if v is not None}
                self.kept[key] = self.verdict(joint, place, chosen)
            return self.kept[key] <= accept

        return holds

    def verdict(self, joint: Joint, place: Place, chosen: Mapping[str, tuple[int, int]]) -> Verdict:
        """Return the verdict on a joint; fits if nothing is asked."""
        worst = self._plain(joint, place, chosen)
        for number, w in dict.fromkeys(chosen.values()):
            way = self.ways[number][w]
            for at, (group, option) in enumerate(way.options):
                offer = way.offer(option)
                replaced = {(s, p) for s, ports in group.ports.items() for p in ports}
                read = {
                    (place.roles[r.ref.partition(".")[0]], r.ref.split(".")[1]) for t in joint.tests for r in t.reads
                }
                if offer in ("as-shipped", "in-the-box") or not replaced & read or worst > Verdict.NEEDS_WORK:
                    continue
                shipped = self._with(number, w, at)
                if shipped is not None:
                    plain = {s: shipped if v == (number, w) else v for s, v in chosen.items()}
                    if self._plain(joint, place, plain) <= worst:
                        continue
                worst = max(worst, Verdict.NEEDS_ADAPTER if offer == "sold" else Verdict.NOT_KNOWN)
        return worst

    def _with(self, number: int, way: int, at: int) -> tuple[int, int] | None:
        """Return a purchase with one group of settings as shipped, the rest as in this way."""
        mine = [o for _, o in self.ways[number][way].options]
        for w, other in enumerate(self.ways[number]):
            options = [o for _, o in other.options]
            there = options[at]
            if (
                there is not None
                and there.offer == "as-shipped"
                and all(a is b for i, (a, b) in enumerate(zip(mine, options, strict=True)) if i != at)
            ):
                return number, w
        return None

    def _plain(self, joint: Joint, place: Place, chosen: Mapping[str, tuple[int, int]]) -> Verdict:
        filled = dict(self.fixed)
        for slot, (number, w) in chosen.items():
            filled[slot] = Filled(BICYCLE.by_id[slot].kind, self.ways[number][w].variants(slot))
        worst = Verdict.FITS
        for test in joint.tests:
            for roles in links(joint, test, place, place.adapter if place.adapter in filled else ""):
                if all(roles[r] in filled for r in joint.roles_of(test)) and is_asked(test, roles, filled):
                    result = judge(joint, test, roles, filled, LIBRARY)
                    worst = max(worst, (result if roles is place.roles else beside_an_adapter(result)).verdict)
        return worst

    def prices(self, found: Iterable[tuple[int, ...]]) -> list[tuple[int, int]]:
        """Return how many prices are not stated and the sum of the rest, from the best on."""
        out = []
        for numbers in found:
            prices = [self.bought[n][0].identity.price for n in numbers]
            out.append((sum(p is None for p in prices), sum(p.minor for p in prices if p is not None)))
        return sorted(out)


def differences(search: Search, rules: Rules) -> tuple[list[str], int]:
    """Return all in which the search differs from python-constraint, and how many builds there are."""
    out = []
    expected: dict[Name, tuple[int, ...]] = {}
    for level in (Verdict.FITS, Verdict.NEEDS_ADAPTER, Verdict.NEEDS_WORK):
        expected = rules.solutions(level)
        view = search.views[int(level)]
        found = [name_of(search, s) for s in view.listing()]
        if view.count() != len(expected) or len(found) != len(expected) or set(found) != set(expected):
            out.append(f"{level.word}: {len(expected)} expected, {view.count()} counted, {len(found)} listed")
        alive = {
            (search.network.by_ident[i].part.number, search.network.by_ident[i].slots)
            for i in search._alive_in(search.network, view)
        }
        if alive != {purchase for name in expected for purchase in name}:
            out.append(f"{level.word}: alive")
        if level is Verdict.FITS:
            best = [(s.totals.unpriced, s.totals.price) for s in islice(view.best(), 10)]
            if best != rules.prices(expected.values())[:10]:
                out.append("the ten cheapest")
    return out, len(expected)


@cache
def compared(seed: int) -> tuple[list[str], int]:
    """Return all in which the two differ on a question, and how many builds it has."""
    one = question(seed)
    found, builds = differences(one.search, Rules(one.fitting, in_stock=one.small.in_stock))
    return [f"{seed} {one.small.theme} {sorted(one.small.features)}: {f}" for f in found], builds


@pytest.mark.parametrize("start", range(SEEDS.start, SEEDS.stop, 36))
def test_python_constraint_agrees(start: int) -> None:
    assert [d for seed in range(start, start + 36) for d in compared(seed)[0]] == []


def test_every_feature_is_held_against_both_referees() -> None:
    features: Counter[str] = Counter()
    picks = with_builds = 0
    for seed in SEEDS:
        small = question(seed).small
        features.update(small.features)
        picks += any(isinstance(v, list) or v not in ("any", "none") for v in small.raw["slots"].values())
        with_builds += bool(compared(seed)[1])
    wanted = ("missing", "measured", "settings", "shared", "adapters", "stock", "none")
    assert {f: features[f] for f in wanted if features[f] < 20} == {}
    assert picks >= 60
    assert with_builds >= 100


FRAMES = ["WQ-TOW-54", "WQ-LIG-54", "WQ-GAN-18"]
WORKSHOP: tuple[dict[str, Any], ...] = (
    {"frame": FRAMES, "fork": "any", "headset_upper": "any", "headset_lower": "any"},
    {"frame": ["WQ-TOW-54", "WQ-LIG-54"], "rear_hub": "any", "cassette": "any", "rear_rotor": "any"},
    {"fork": "any", "front_hub": "any", "front_rim": "any", "front_tyre": "any"},
    {"crankset": "any", "bottom_bracket": "any", "chain": "any", "cassette": "any"},
    {"rear_hub": "any", "cassette": "any", "rear_rotor": "any", "rear_axle": "any"},
    {"fork": "any", "stem": "any", "handlebar": "any", "spacers": "any", "front_hub": "any"},
)


@pytest.mark.parametrize("slots", WORKSHOP, ids=["+".join(s) for s in WORKSHOP])
def test_the_sample_workshop_has_the_builds_that_python_constraint_finds(slots: dict[str, Any]) -> None:
    fitting = sample(**slots)
    found, builds = differences(Search(fitting), Rules(fitting))
    assert found == []
    assert builds >= 200
