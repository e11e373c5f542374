"""Learning a figure never turns a yes into something else, and keeps a no a no.

For every test that any case asks, every figure that it reads is taken away (and, in the first few of its cases, every
pair of figures); then the gap is filled again with values on both sides of every edge that the rule compares with, with
every word, and with ``not-printed`` for limits. What was said without the figure must hold with each of them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import TypeVar

import pytest

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.figures import Known
from catalog_schema.quantity import Limit, Measure, Range, Value
from solver import questions
from solver.report import NO, YES, TestResult, Verdict
from solver.rules import every, judging
from solver.rules.branching import Fork, Leaf, Tree
from solver.rules.judging import Filled
from solver.rules.registry import JOINTS, Joint, Outcome, Place, Test
from tests import casefile
from tests.test_cases import CASES

T = TypeVar("T")
LIBRARY = library.load()
BICYCLE = bicycle.load()
STEP = Decimal("0.01")
SCENES_FOR_SINGLES = 24
SCENES_FOR_PAIRS = 4
every.load()


def filled_slots(case: casefile.Case) -> dict[str, Filled]:
    """The slots of a case, settings as shipped, figures as if stated on the parts."""
    listed = fitting_list.read({"slots": case.slots, "kind": case.kind}, case.id, LIBRARY, BICYCLE)
    found: dict[str, Filled] = {}
    for entry in questions.entries(listed):
        for slot in entry.slots:
            variant = entry.parts[0].fills[slot][0]
            bare = {k: Known(v.value, None, v.conflict, v.named) for k, v in variant.items()}
            found[slot] = Filled(BICYCLE.by_id[slot].kind, (bare,))
    kind = BICYCLE.kind(case.kind) if case.kind else None
    found["bicycle"] = Filled("", ({"use": Known(kind.use)} if kind is not None else {},))
    return found


def edges(tree: Tree[Outcome], ref: str) -> Iterator[Decimal | str]:
    if isinstance(tree, Leaf):
        return
    if ref in tree.question.causes and tree.question.edge is not None:
        yield tree.question.edge
    yield from edges(tree.yes, ref)
    yield from edges(tree.no, ref)


def completions(record_kind: str, path: str, found: set[Decimal | str]) -> Sequence[Value]:
    """Values on both sides of every edge, and every word."""
    numbers = sorted(e for e in found if isinstance(e, Decimal)) or [Decimal(10)]
    points = {p for n in numbers for p in (n - STEP, n, n + STEP)}
    points |= {(a + b) / 2 for a, b in itertools.pairwise(numbers)} | {numbers[0] - 50, numbers[-1] + 50}
    kind = judging.figure_type(record_kind, path)
    if kind == "word":
        words = {str(e) for e in found if isinstance(e, str) and not e.startswith("=")} | {"none", "something-else"}
        return sorted(words)
    if kind == "limit":
        return [Limit(None), *(Limit(p) for p in sorted(points))]
    if kind == "range":
        return [Range(a, b) for a, b in itertools.combinations_with_replacement(sorted(points), 2)][:60]
    return [Measure(p) for p in sorted(points)]


def without(filled: Mapping[str, Filled], refs: set[str]) -> dict[str, Filled]:
    out = {}
    for slot, there in filled.items():
        gone = {r.partition(".")[2] for r in refs if r.partition(".")[0] == slot}
        out[slot] = Filled(there.kind, tuple({k: v for k, v in x.items() if k not in gone} for x in there.variants))
    return out


def put(filled: Mapping[str, Filled], ref: str, value: Value) -> dict[str, Filled]:
    slot, _, path = ref.partition(".")
    there = filled[slot]
    return {**filled, slot: Filled(there.kind, tuple({**x, path: Known(value)} for x in there.variants))}


def asked(filled: Mapping[str, Filled]) -> Iterator[tuple[Joint, Place, Test]]:
    for joint in JOINTS.values():
        for place in joint.places:
            for test in joint.tests:
                there = all(place.roles[r] in filled for r in joint.roles_of(test))
                if there and judging.is_asked(test, place.roles, filled):
                    yield joint, place, test


def tree_of(test: Test, place: Place, filled: Mapping[str, Filled]) -> Tree[Outcome]:
    figures = {s: f.variants[0] for s, f in filled.items()}
    known = {r.ref: judging._look_up(r, place.roles, figures) for r in test.reads}
    return judging.outcomes(test, place.roles, known, filled, LIBRARY)


def holds(before: TestResult, after: TestResult) -> bool:
    if before.verdict in YES or before.verdict is Verdict.UNSAFE:
        return after.verdict is before.verdict
    if before.verdict is Verdict.NO_FIT:
        return after.verdict in NO if before.perhaps is not None else after.verdict is before.verdict
    return True


def scenes() -> list[tuple[str, Joint, Place, Test, dict[str, Filled]]]:
    """Each test once with each distinct set of figures that some case gives it."""
    seen: set[tuple[str, str, str, str]] = set()
    found = []
    for case in CASES:
        filled = filled_slots(case)
        for joint, place, test in asked(filled):
            used = {
                r.ref: repr(filled[place.roles[r.ref.partition(".")[0]]].variants[0].get(r.ref.partition(".")[2]))
                for r in test.reads
                if place.roles[r.ref.partition(".")[0]] in filled
            }
            key = (joint.id, place.name, test.id, repr(sorted(used.items())))
            if key not in seen:
                seen.add(key)
                found.append((case.id, joint, place, test, filled))
    return found


def _spread(items: Sequence[T], most: int) -> list[T]:
    """At most so many of the items, spread over all of them."""
    step = max(1, -(-len(items) // most))
    return list(items[::step])


SCENES = scenes()
TESTS = sorted({(j.id, t.id) for _, j, _, t, _ in SCENES})


def follows(test: Test, place: Place, filled: Mapping[str, Filled], ref: str) -> str:
    """The one word that a figure can have beside what is stated: a frame with a shell has no cradle."""
    slot, _, path = ref.partition(".")
    for read in test.reads:
        role, _, mine = read.ref.partition(".")
        if (place.roles[role], mine) == (slot, path):
            others = [f"{place.roles[r.partition('.')[0]]}.{r.partition('.')[2]}" for r in read.follows_from]
            return read.follows if any(stated(filled, other) for other in others) else ""
    return ""


@pytest.mark.parametrize(("joint_id", "test_id"), TESTS, ids=[f"{j}.{t}" for j, t in TESTS])
def test_learning_a_figure_keeps_yes_and_no(joint_id: str, test_id: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judging, "_weak", lambda library, row: False)  # the cap on memory comes after the property
    tried = 0
    mine = [s for s in SCENES if (s[1].id, s[3].id) == (joint_id, test_id)]
    for at, (case_id, joint, place, test, filled) in enumerate(_spread(mine, SCENES_FOR_SINGLES)):
        refs = []
        for read in test.reads:
            role, _, path = read.ref.partition(".")
            slot = place.roles[role]
            if slot in filled and read.role != "confirming":
                refs.append(f"{slot}.{path}")
        pairs = itertools.combinations(refs, 2) if at < SCENES_FOR_PAIRS else ()
        for gone in [{r} for r in refs] + [set(p) for p in pairs]:
            bare = without(filled, gone)
            before = judging.judge(joint, test, place.roles, bare, LIBRARY)
            tree = tree_of(test, place, bare)
            if isinstance(tree, Fork):
                choices = []
                for ref in sorted(gone):
                    slot, _, path = ref.partition(".")
                    found = set(edges(tree, ref)) | set(edges(tree, f"{ref}:from")) | set(edges(tree, f"{ref}:to"))
                    implied = follows(test, place, bare, ref)
                    values = [implied] if implied else completions(bare[slot].kind, path, found)
                    choices.append([(ref, v) for v in values])
                if len(choices) == 2:
                    choices = [c[:12] for c in choices]
                for chosen in itertools.product(*choices):
                    full = bare
                    for ref, value in chosen:
                        full = put(full, ref, value)
                    after = judging.judge(joint, test, place.roles, full, LIBRARY)
                    tried += 1
                    assert holds(before, after), (
                        f"{case_id}: without {sorted(gone)} {before.verdict.word} {before.reason}; "
                        f"with {chosen}: {after.verdict.word} {after.reason}"
                    )
    (asked,) = [t for t in JOINTS[joint_id].tests if t.id == test_id]
    assert tried or all(r.role == "confirming" for r in asked.reads)


def joint_verdict(joint: Joint, place: Place, filled: Mapping[str, Filled]) -> Verdict | None:
    """What all tests of a joint that are asked say together."""
    tests = [t for j, p, t in asked(filled) if j is joint and p is place]
    return max((judging.judge(joint, t, place.roles, filled, LIBRARY).verdict for t in tests), default=None)


#: Figures that only another kind of part has: with them it is no more the part of the scene that is judged.
OF_ANOTHER_KIND = {
    "brake.foot.reach_mm",  # of a caliper on a bolt; the scene has a brake on bosses
    "crank.rings.single_teeth",  # of a crank with one ring; the scene has two
    "headset.cup.cup_od_mm",  # of a cup; the scene has a bearing that lies in the frame
    "frame.head_tube_lower.bearing_bore_mm",  # of a frame that takes the bearing itself; the scene has cups
    "ring.holes.hole_mm",  # of a ring on bolts; the scenes that are left have a mount without any
}


def handing_over() -> list[tuple[str, Joint, Place, dict[str, Filled], tuple[str, ...]]]:
    """Scenes in which a test says yes that another one asks instead once some figures are stated.

    ``holds`` looks at one test; what a figure does to which tests are asked at all shows only here. Figures that only
    another kind of part has (the quill of a stem) are none of these: there no test is asked ``instead``.
    """
    found = []
    for case_id, joint, place, test, filled in SCENES:
        handed = [
            r
            for t in joint.tests
            if t.silent == "instead"
            for r in t.asked_if
            if r in test.asked_unless and r not in OF_ANOTHER_KIND
        ]
        refs = [f"{place.roles[r.partition('.')[0]]}.{r.partition('.')[2]}" for r in dict.fromkeys(handed)]
        missing = tuple(r for r in refs if not stated(filled, r))
        if missing and all(r.partition(".")[0] in filled for r in refs) and joint_verdict(joint, place, filled) in YES:
            found.append((case_id, joint, place, filled, missing))
    return found


def _numbers_read(joint: Joint) -> Iterator[Decimal]:
    """Numbers of the tables that the tests of a joint read: what a figure may be compared with once it is known."""
    for row in {r for t in joint.tests for r in t.rows}:
        table = LIBRARY.rows[row]
        for cells in getattr(table, "cells", ()):
            yield from (c for c in cells if isinstance(c, Decimal))


def _away_from_stated(joint: Joint, place: Place, filled: Mapping[str, Filled]) -> Iterator[Decimal]:
    """Numbers as far from a stated figure as a band is wide; no edge beside a measurement is one number."""
    widths = [w for t in joint.tests for r in t.rows for w in getattr(LIBRARY.rows[r], "values", {}).values()]
    for ref in {r.ref for t in joint.tests for r in t.reads}:
        role, _, path = ref.partition(".")
        there = filled.get(place.roles[role])
        known = there.variants[0].get(path) if there is not None else None
        number = getattr(getattr(known, "value", None), "value", None)
        if isinstance(number, Decimal):
            yield from (number + way * w for w in widths if isinstance(w, Decimal) for way in (-1, 1))


def stated(filled: Mapping[str, Filled], ref: str) -> bool:
    slot, _, path = ref.partition(".")
    return slot in filled and any(path in v for v in filled[slot].variants)


HANDING_OVER = handing_over()


@pytest.mark.parametrize("joint_id", sorted({j.id for _, j, _, _, _ in HANDING_OVER}))
def test_a_figure_that_agrees_leaves_a_yes(joint_id: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some value of a figure that hands the question over to another test has to leave the yes that was there."""
    monkeypatch.setattr(judging, "_weak", lambda library, row: False)
    mine = [s for s in HANDING_OVER if s[1].id == joint_id]
    lost = []
    for case_id, joint, place, filled, refs in mine:
        before = joint_verdict(joint, place, filled)
        choices = []
        for ref in refs:
            slot, _, path = ref.partition(".")
            found: set[Decimal | str] = {*_numbers_read(joint), *_away_from_stated(joint, place, filled)}
            probe = put(filled, ref, completions(filled[slot].kind, path, set())[0])
            for j, p, t in asked(probe):
                if j is joint and p is place:
                    tree = tree_of(t, place, without(probe, {ref}))
                    found |= set(edges(tree, ref)) | set(edges(tree, f"{ref}:from")) | set(edges(tree, f"{ref}:to"))
            choices.append([(ref, v) for v in completions(filled[slot].kind, path, found)])
        for values in itertools.product(*choices):
            full = filled
            for ref, value in values:
                full = put(full, ref, value)
            if joint_verdict(joint, place, full) in YES:
                break
        else:
            lost.append(f"{case_id}: {before} is lost whatever {' and '.join(refs)} may be")
    assert not lost, lost


def test_many_joints_still_say_no_with_a_figure_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A no does not wait for figures that cannot alter it."""
    monkeypatch.setattr(judging, "_weak", lambda library, row: False)
    still: dict[str, str] = {}
    for case_id, joint, place, test, filled in SCENES:
        if joint.id in still:
            continue
        for read in test.reads:
            role, _, path = read.ref.partition(".")
            ref = f"{place.roles[role]}.{path}"
            if place.roles[role] in filled and read.role != "confirming" and joint.id not in still:
                bare = without(filled, {ref})
                stated = any(path in v for v in filled[place.roles[role]].variants)
                if stated and judging.judge(joint, test, place.roles, bare, LIBRARY).verdict in NO:
                    still[joint.id] = f"{case_id} without {ref}"
    assert len(still) >= 10, still
