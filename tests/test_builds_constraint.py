"""A second referee for small questions: python-constraint, its constraints straight from the rules.

One variable a slot, one constraint a test of a joint at a place; no network, no engine, and not ``evaluate`` either. It
knows no settings and no purchase for several slots, so questions with those are left to the first referee.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from constraint import Problem

from catalog_schema import fitting_list
from catalog_schema.fitting_list import FittingList
from catalog_schema.parts import Part
from solver import questions
from solver.report import Verdict
from solver.rules.evaluating import links
from solver.rules.judging import Filled, beside_an_adapter, is_asked, judge
from solver.rules.registry import JOINTS, Joint, Place, Test
from solver.search import Search, Wanted
from tests import generator
from tests.referee import BICYCLE, LIBRARY, Name


def candidates(fitting: FittingList, slot: str) -> list[Part]:
    state = fitting.slots[slot]
    return list(state.parts) if state.state != "open" else fitting.catalog.filling(slot)


def holds(
    joint: Joint, place: Place, test: Test, roles: Mapping[str, str], slots: Sequence[str],
    parts: Mapping[str, Sequence[Part]], fixed: Mapping[str, Filled], accept: Verdict,
) -> Callable[..., bool]:  # fmt: skip
    def constraint(*numbers: int) -> bool:
        filled = dict(fixed)
        for slot, number in zip(slots, numbers, strict=True):
            filled[slot] = Filled(BICYCLE.by_id[slot].kind, parts[slot][number].fills[slot])
        if not is_asked(test, roles, filled):
            return True
        result = judge(joint, test, roles, filled, LIBRARY)
        if roles is not place.roles:
            result = beside_an_adapter(result)
        return result.verdict <= accept

    return constraint


def solutions(fitting: FittingList, accept: Verdict) -> set[Name]:
    slots = [s for s, state in fitting.slots.items() if state.state != "none"]
    fixed = questions.trial(fitting, LIBRARY, BICYCLE).fixed
    parts = {s: candidates(fitting, s) for s in slots}
    if not all(parts.values()):
        return set()
    problem = Problem()
    for slot in slots:
        problem.addVariable(slot, list(range(len(parts[slot]))))
    for joint in JOINTS.values():
        for place in joint.places:
            adapter = place.adapter if place.adapter in slots else ""
            for test in joint.tests:
                for roles in links(joint, test, place, adapter):
                    needed = {roles[r] for r in joint.roles_of(test)}
                    read = {roles[r.ref.partition(".")[0]] for r in test.reads}
                    scope = [s for s in slots if s in read]
                    if needed <= {*slots, *fixed} and scope:
                        problem.addConstraint(holds(joint, place, test, roles, scope, parts, fixed, accept), scope)
    found = problem.getSolutions()
    return {frozenset((parts[s][n].number, (s,)) for s, n in chosen.items()) for chosen in found}


def test_python_constraint_agrees() -> None:
    compared = with_builds = 0
    for seed in range(400):
        small = generator.small(seed)
        parts = small.raw["parts"].values()
        if "stock" in small.features or any("settings" in p or len(p["fills"]) > 1 for p in parts):
            continue
        fitting = fitting_list.read(small.raw, "question", LIBRARY, BICYCLE)
        search = Search(fitting, Wanted())
        for level in (Verdict.FITS, Verdict.NEEDS_ADAPTER, Verdict.NEEDS_WORK):
            expected = solutions(fitting, level)
            view = search.views[int(level)]
            found = {
                frozenset((c.part.number, c.slots) for c in search.network.purchases(s.items)) for s in view.listing()
            }
            assert found == expected, (seed, level)
            assert view.count() == len(expected)
        compared += 1
        with_builds += bool(expected)
        if compared == 45:
            break
    assert compared >= 40
    assert with_builds >= 20
