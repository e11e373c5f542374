"""The order of work: it breaks no precedence, for any list, with any parts taken off; a new joint brings its own."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import networkx as nx
import pytest

from catalog_schema import bicycle, fitting_list, library
from solver import questions_bench
from solver.bench import order
from solver.report_bench import StepTorque, WorkStep
from solver.rules import every
from solver.rules.registry import JOINTS, joint, place
from solver.wording import bench_work, store

FOLDER = Path(__file__).parent.parent / "sample_catalogs" / "lists"
#: Lists of parts that are chosen; on the others no two parts meet yet.
LISTS = sorted(p for p in FOLDER.glob("*.toml") if not p.stem.startswith("builds-"))
LIBRARY = library.load()
BICYCLE = bicycle.load()
every.load()
STEPS = [s for j in JOINTS.values() for s in j.steps]


def raw(path: Path) -> dict[str, Any]:
    found = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    return {**found, "catalogs": [str((path.parent / c).resolve()) for c in found.get("catalogs", ())]}


def steps_of(found: dict[str, Any]) -> tuple[WorkStep, ...]:
    return questions_bench.bench(fitting_list.read(found, "list", LIBRARY, BICYCLE)).steps


def broken(steps: tuple[WorkStep, ...]) -> list[tuple[str, str]]:
    """Pairs that stand the wrong way round, judged from the declarations and not from the order's own graph."""
    at = {s.at: i for i, s in enumerate(steps)}
    found = []
    for one in JOINTS.values():
        for first, second in one.precedences:
            for a in (s for s in steps if first in (s.id, s.at)):
                for b in (s for s in steps if second in (s.id, s.at)):
                    apart = {a.place, b.place} == {"front", "rear"}
                    if not apart and at[a.at] >= at[b.at]:
                        found.append((a.at, b.at))
    return found


@pytest.fixture
def invented() -> Iterator[None]:
    """Joints that a test declares are gone afterwards."""
    kept = dict(JOINTS)
    yield
    for name in set(JOINTS) - set(kept):
        del JOINTS[name]


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_the_order_is_valid_for_every_sample_list(path: Path) -> None:
    steps = steps_of(raw(path))
    assert not broken(steps)
    assert len(steps) > 20 or not path.stem.startswith("fits-")


def test_a_part_that_may_lie_between_is_not_needed_for_the_work() -> None:
    """A joint whose tests read a shim or a sleeve still has its bolts tightened where none is on the list."""
    for one in JOINTS.values():
        between = {role for p in one.places for role, slot in p.roles.items() if slot == p.adapter}
        for step in one.steps:
            assert not between & set(step.needs), f"{one.id}: {step.id}"
    towpath = {s.id for s in steps_of(raw(next(p for p in LISTS if p.stem == "fits-towpath")))}
    assert {"stem-on", "stem-torque", "post-in"} <= towpath


@pytest.mark.parametrize("path", [p for p in LISTS if p.stem.startswith("fits-")], ids=lambda p: p.stem)
def test_parts_taken_off_take_their_steps_and_move_no_other(path: Path) -> None:
    found = raw(path)
    before = [s.at for s in steps_of(found)]
    chance = random.Random(path.stem)
    for _ in range(3):
        gone = chance.sample(sorted(found["slots"]), k=len(found["slots"]) // 3)
        kept = {s: n for s, n in found["slots"].items() if s not in gone or s in ("frame", "fork")}
        steps = steps_of({**found, "slots": kept})
        assert not broken(steps)
        left = [s.at for s in steps]
        assert set(left) < set(before)
        assert left == [s for s in before if s in left]


def test_what_the_trade_wants_first_comes_first() -> None:
    # the order that the issue asks for, each pair on a bicycle that has both
    road = [s.at for s in steps_of(raw(next(p for p in LISTS if p.stem == "fits-towpath")))]
    mountain = [s.at for s in steps_of(raw(next(p for p in LISTS if p.stem == "fits-rapids")))]
    for first, second in (
        ("crown-race-on", "fork-in"),
        ("dry-fit", "cut-steerer"),
        ("rotor-on@front", "wheel-in@front"),
        ("cassette-on", "wheel-in@rear"),
        ("tape-on@rear", "tyre-on@rear"),
        ("stem-on", "stem-torque"),
        ("wheel-in@front", "face-plate"),
    ):
        assert road.index(first) < road.index(second)
    for first, second in (
        ("cut-steerer", "star-nut-in"),
        ("tape-on@rear", "valve-in@rear"),
        ("valve-in@rear", "tyre-on@rear"),
        ("tyre-on@rear", "sealant-in@rear"),
    ):
        assert mountain.index(first) < mountain.index(second)


def test_fluid_is_in_before_the_pads_are() -> None:
    """Fluid on a pad ruins it; the pads wait until the brake is bled and wiped."""
    gantry = raw(next(p for p in LISTS if p.stem == "bench-gantry"))
    steps = [s.at for s in steps_of(gantry)]
    for side in ("front", "rear"):
        places = [steps.index(f"{s}@{side}") for s in ("lines-on", "bleed", "pads-in", "caliper-centred")]
        assert places == sorted(places)
    without = {s: v for s, v in gantry["slots"].items() if s != "brake_fluid"}
    assert "bleed@front" not in [s.at for s in steps_of({**gantry, "slots": without})]


@pytest.mark.usefixtures("invented")
def test_an_invented_joint_brings_its_own_work() -> None:
    towpath = raw(next(p for p in LISTS if p.stem == "fits-towpath"))
    before = [s.at for s in steps_of(towpath)]
    assert before.index("saddle-on") < before.index("wheel-in@rear")
    bell = joint("seating.bell-on-saddle", "bell on saddle", "What meets: bell and saddle.", place(saddle="saddle"))
    bell.step("bell-on", after=("wheel-in@rear",), before=("saddle-on",))
    steps = steps_of(towpath)
    after = [s.at for s in steps]
    assert after.index("wheel-in@rear") < after.index("bell-on") < after.index("saddle-on")
    assert [s for s in after if s != "bell-on"] != before
    assert not broken(steps)
    told = next(t for t in bench_work.told(steps) if t.do == "Bell on.")
    assert told.number > 1


@pytest.mark.usefixtures("invented")
def test_work_that_goes_round_or_is_nowhere_is_refused() -> None:
    one = joint("seating.invented", "invented", "What meets: nothing.", place(saddle="saddle"))
    one.step("round", after=("saddle-on",), before=("post-in",))
    with pytest.raises(ValueError, match="goes round"):
        order.graph()
    del JOINTS["seating.invented"]
    two = joint("seating.invented", "invented", "What meets: nothing.", place(saddle="saddle"))
    two.step("lonely", after=("no-such-step",))
    with pytest.raises(ValueError, match="which no joint declares"):
        order.graph()


def test_the_order_of_all_steps_is_topological_and_always_the_same() -> None:
    found = order.order()
    assert found == order.order()
    assert set(found) == set(order.sites())
    at = {n: i for i, n in enumerate(found)}
    assert all(at[a] < at[b] for a, b in order.graph().edges)
    assert nx.is_directed_acyclic_graph(order.graph())


def test_steps_that_come_right_before_are_on_the_list() -> None:
    steps = steps_of(raw(next(p for p in LISTS if p.stem == "fits-gantry")))
    ids = [s.at for s in steps]
    for i, step in enumerate(steps):
        assert set(step.after) <= set(ids[:i])


@pytest.mark.parametrize("step", STEPS, ids=lambda s: s.id)
def test_a_step_has_sentences_rows_and_tools(step: Any) -> None:
    areas = [j.area for j in JOINTS.values() if step in j.steps]
    assert store.file(f"bench_{areas[0]}")["step"][step.id]["do"]
    for row in [*(n.row for n in (*step.notes, *step.uses)), *(t.row for t in step.torques)]:
        assert row in LIBRARY.rows
    assert set(step.tools) <= set(store.common_bench("tool"))


def test_every_sentence_of_a_step_is_of_a_step() -> None:
    told = {s for area in library.AREAS for s in store.file(f"bench_{area}").get("step", {})}
    assert told == {s.id for s in STEPS}
    tools = {t for s in STEPS for t in s.tools}
    assert tools == set(store.common_bench("tool"))


# how tight


@pytest.mark.parametrize(
    ("name", "told"),
    [
        # levers of a drop bar (SportsRec: 52 to 69 inch-pounds), and of a flat bar (Bike Maintenance Pros: 4 to 5)
        ("fits-towpath", "6 to 8 Nm usual"),
        ("fits-rapids", "4 to 5 Nm usual"),
    ],
)
def test_a_torque_is_that_of_the_kind_and_says_what_it_rests_on(name: str, told: str) -> None:
    steps = steps_of(raw(next(p for p in LISTS if p.stem == name)))
    levers = next(t for t in bench_work.told(steps) if "put the brake lever on" in t.do)
    assert levers.torques == (told,)


def test_a_torque_from_memory_says_so() -> None:
    remembered = next(i for i, r in library.load().rows.items() if r.grounds.basis == "memory")
    tight = StepTorque(remembered, "", Decimal(6), Decimal(8))
    assert bench_work.torque(tight) == "6 to 8 Nm usual (from memory, check)"


def test_the_lowest_torque_that_is_printed_wins() -> None:
    towpath = raw(next(p for p in LISTS if p.stem == "fits-towpath"))

    def stem_torque(**stem: Any) -> Any:
        clamp = {"form": "clamp", "bore_mm": 28.6, "height_mm": 40, **stem}
        slots = {**towpath["slots"], "stem": {"steerer_clamp": clamp}}
        return next(s for s in steps_of({**towpath, "slots": slots}) if s.id == "stem-torque").torques[0]

    usual = stem_torque()
    assert (usual.from_nm, usual.to_nm, usual.ref) == (5, 7, "")  # Bike Maintenance Pros: 5 to 7
    printed = stem_torque(torque_nm=6)
    assert (printed.from_nm, printed.to_nm, printed.ref) == (None, 6, "stem.steerer_clamp.torque_nm")
    fork = {"steerer": {"form": "threadless", "top_dia_mm": 28.6, "length_mm": 300, "torque_nm": "4.5"}}
    towpath["slots"]["fork"] = fork
    lower = stem_torque(torque_nm=6)
    assert (lower.to_nm, lower.ref) == (Decimal("4.5"), "fork.steerer.torque_nm")
