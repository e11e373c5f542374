"""Reasons hold: clashes minimal and complete, changes smallest and true, substitutes all that serve and no others."""

from __future__ import annotations

import itertools
import json
import random
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from catalog_schema import fitting_list
from catalog_schema.faults import InputFaults
from solver import questions, reasons
from solver.cli import app
from solver.engine.costs import Objective
from solver.engine.problem import Problem
from solver.engine.view import open_problem
from solver.explain import changes, conflicts, propagation, relaxed
from solver.explain.picks import Picks
from solver.network import build as network_build
from solver.network.build import Network
from solver.remedies import Change, Clash
from solver.report import NO, Verdict
from solver.wording import bridging, exchanging, measurements, words
from tests.benchmarks.engine_encode import encode
from tests.benchmarks.engine_instance import Instance, make
from tests.reason_worlds import BICYCLE, LIBRARY, a_list, reds, work_of, world

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
FAILING = sorted(LISTS.glob("fails-*.toml"))
WORLDS = range(10)


def raw(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


def run(*arguments: str) -> Any:
    return CliRunner().invoke(app, list(arguments), catch_exceptions=False)


def subsets(number: int) -> Iterator[frozenset[int]]:
    for size in range(number + 1):
        yield from (frozenset(c) for c in itertools.combinations(range(number), size))


def minimal(number: int, bad: set[frozenset[int]]) -> set[frozenset[int]]:
    return {s for s in bad if not any(s - {i} in bad for i in s)}


# clashes


def test_clashes_of_the_sample_lists_are_minimal() -> None:
    number = 0
    for path in FAILING:
        work = work_of(fitting_list.load(path, LIBRARY, BICYCLE))
        picks = Picks(work)
        for clash in picks.clashes()[0]:
            number += 1
            entries = [work.entries[i] for i in sorted(clash)]
            assert reds(work, tuple(entries))
            for one in entries:
                rest = clash - {work.entries.index(one)}
                assert picks.holds(rest)
            assert picks.joints(clash)
    assert number >= len(FAILING)


def test_the_smallest_clash_comes_first_then_bicycle_order() -> None:
    for seed in WORLDS:
        slots, shop = world(seed)
        found, _ = reasons.clashes(a_list(slots, shop))
        keys = [(len(c.picks), [BICYCLE.order[s] for s in c.picks]) for c in found]
        assert keys == sorted(keys)


#: What each neighbour of a hub is, and what a hub has that suits it, and that does not.
NEIGHBOURS: dict[str, tuple[Any, str, str]] = {
    "frame": ("12x142, steel", "12x142", "12x148"),
    "rear_rotor": ("160, splined", "splined", "6-bolt"),
    "cassette": ("HG, 11-speed, 11-28", "HG 11 road", "XDR"),
    "rear_rim": ("622x21TC, 28h", "28h", "32h"),
    "rear_spokes": ({"wire": {"head": "j-bend"}}, "j-bend", "straight-pull"),
}


def hub_for(wants: list[str], odd: str) -> dict[str, Any]:
    """A hub that suits all these neighbours but one."""
    words = {w: NEIGHBOURS[w][2 if w == odd else 1] for w in wants}
    head = words.pop("rear_spokes", "j-bend")
    return {"box": ", ".join(words.values()), "flanges": {"spoke_head": head}}


def open_hub(wants: list[str]) -> tuple[dict[str, Any], dict[str, Any]]:
    """A list with an open hub, and a shop in which each hub suits all its neighbours but one."""
    shop = {f"HB-{odd}": {"fills": {"rear_hub": hub_for(wants, odd)}} for odd in wants}
    return {**{w: NEIGHBOURS[w][0] for w in wants}, "rear_hub": "any"}, shop


@pytest.mark.parametrize("size", [2, 3, 4, 5])
def test_a_clash_that_no_smaller_set_explains(size: int) -> None:
    slots, shop = open_hub(list(NEIGHBOURS)[:size])
    found, complete = reasons.clashes(a_list(slots, shop))
    assert complete
    (clash,) = found
    assert clash.searched
    assert len(clash.picks) == size
    assert set(clash.picks) == set(slots) - {"rear_hub"}
    for left_out in clash.picks:
        fewer = {s: v for s, v in slots.items() if s != left_out}
        assert reasons.clashes(a_list(fewer, shop)) == ([], True)
        number = f"HB-{left_out}"
        found_now = work_of(a_list({**fewer, "rear_hub": number}, shop)).findings().values()
        assert not [f.id for f in found_now if f.state == "judged" and f.verdict in NO]
    for number in shop:
        report = work_of(a_list({**slots, "rear_hub": number}, shop))
        assert [f for f in report.findings().values() if f.state == "judged" and f.verdict in NO], number


def test_a_clash_through_a_shared_purchase() -> None:
    shop = {
        "WS-A": {"fills": {"front_hub": "12x100", "rear_hub": "12x148"}},
        "WS-B": {"fills": {"front_hub": "15x110", "rear_hub": "12x142"}},
    }
    slots = {"frame": "12x142, steel", "fork": "12x100", "front_hub": "any", "rear_hub": "any"}
    ((clash,), complete) = reasons.clashes(a_list(slots, shop))
    assert complete
    assert set(clash.picks) == {"frame", "fork"}
    apart = {
        "HB-F": {"fills": {"front_hub": "12x100"}},
        "HB-R": {"fills": {"rear_hub": "12x142"}},
    }
    assert reasons.clashes(a_list(slots, apart)) == ([], True)


STACK: dict[str, Any] = {
    "frame": {"head_tube": {"length_mm": "110.2"}},
    "headset_upper": {"stack": {"height_mm": "16.5"}},
    "headset_lower": {"stack": {"height_mm": "10.9"}},
    "stem": {"steerer_clamp": {"height_mm": "40.0"}},
    "spacers": {"stack": {"below_mm": "25.3"}},
}


def steerer_list(length: int) -> dict[str, Any]:
    return {**STACK, "fork": {"steerer": {"length_mm": length}}}


def test_a_clash_through_a_sum() -> None:
    """A steerer too short for all that it carries: five parts, no four of them say so; spacers have no share in it."""
    found, complete = reasons.clashes(a_list(steerer_list(150)))
    assert complete
    (clash,) = found
    assert set(clash.picks) == {"frame", "fork", "headset_upper", "headset_lower", "stem"}
    assert [f.id for f in clash.findings] == ["front_end.steerer-length"]
    work = work_of(a_list(steerer_list(150)))
    for left_out in clash.picks:
        entries = tuple(e for e in work.entries if e.slots[0] in set(clash.picks) - {left_out})
        assert not reds(work, entries)
    assert reasons.clashes(a_list(steerer_list(190))) == ([], True)


# the search against an independent encoding


def sat_world(seed: int) -> tuple[Instance, list[int], list[int]]:
    """A small instance, the first part number of each slot, and a pick in each."""
    slots = ("frame", "fork", "headset", "stem", "spacers", "bar", "rear_hub", "rear_rotor", "cassette", "rear_adapter")
    instance = make(6, seed, noise=0.35, slots=(*slots, "rear_caliper"))
    starts, total = [], 0
    for slot in instance.slots:
        starts.append(total)
        total += len(slot.price)
    rng = random.Random(seed)
    return instance, starts, [rng.randrange(len(s.price)) for s in instance.slots]


def clauses(instance: Instance, starts: list[int]) -> list[list[int]]:
    """The instance in clauses over one variable a part: written from its joints, knowing nothing of the engine."""
    found: list[list[int]] = []

    def var(slot: int, part: int) -> int:
        return starts[slot] + part + 1

    for s, slot in enumerate(instance.slots):
        mine = [var(s, p) for p in range(len(slot.price))]
        found.append(mine)
        found += [[-a, -b] for a, b in itertools.combinations(mine, 2)]
    checks: list[tuple[tuple[int, ...], Any]] = []
    for (a, x), (b, y) in instance.equalities:
        checks.append(((a, b), lambda i, j, a=a, b=b, x=x, y=y: column(a, i, x) == column(b, j, y)))

    def column(slot: int, part: int, position: int) -> int:
        return int(instance.slots[slot].columns[part, position])

    for columns, allowed in instance.tables:
        rows = set(allowed)
        checks.append(
            (
                tuple(s for s, _ in columns),
                lambda *parts, columns=columns, rows=rows: (
                    tuple(column(s, p, x) for p, (s, x) in zip(parts, columns, strict=True)) in rows
                ),
            )
        )
    for terms, low, high in instance.sums:
        checks.append(
            (
                tuple(s for s, _, _ in terms),
                lambda *parts, terms=terms, low=low, high=high: (
                    low <= sum(sign * column(s, p, x) for p, (s, x, sign) in zip(parts, terms, strict=True)) <= high
                ),
            )
        )
    for touched, good in checks:
        for parts in itertools.product(*(range(len(instance.slots[s].price)) for s in touched)):
            if not good(*parts):
                found.append([-var(s, p) for s, p in zip(touched, parts, strict=True)])
    return found


@pytest.mark.parametrize("seed", range(12))
def test_python_sat_agrees_on_every_clash_and_on_the_smallest_change(seed: int) -> None:
    solvers = pytest.importorskip("pysat.solvers")
    instance, starts, picks = sat_world(seed)
    view = open_problem(encode(instance))
    relations = view.circuit.problem.item_relations
    stacks = [view.circuit.problem.relations[r].stacks for r in relations]

    def holds(things: frozenset[int]) -> bool:
        masks = {}
        for t in things:
            found = stacks[t]
            assert found is not None
            masks[relations[t]] = found.ident == starts[t] + picks[t]
        return view.restricted(items=masks).exists

    number = len(instance.slots)
    with solvers.Solver(name="cadical153", bootstrap_with=clauses(instance, starts)) as solver:
        fine = {s: solver.solve([starts[i] + picks[i] + 1 for i in s]) for s in subsets(number)}
    ours, complete = conflicts.every(number, holds)
    assert complete
    assert set(ours) == minimal(number, {s for s, ok in fine.items() if not ok})
    chosen = {t: (relations[t], frozenset({starts[t] + picks[t]})) for t in range(number)}
    contradicting = propagation.contradiction(view.circuit.problem, chosen)
    assert contradicting is None or not fine[contradicting]
    if not fine[frozenset(range(number))] and fine[frozenset()]:
        assert propagation.first(number, holds, view.circuit.problem, chosen) in ours
    largest = max((len(s) for s, ok in fine.items() if ok), default=-1)
    extra = {relations[t]: (s.ident != starts[t] + picks[t]).astype("int64") for t, s in enumerate(stacks) if s}
    best = next(view.best(Objective(price=1, extra=extra)), None)
    if best is None:
        assert largest < 0
    else:
        kept = sum(item == starts[t] + picks[t] for t, item in enumerate(best.items))
        assert kept == largest


@pytest.mark.parametrize("seed", range(30))
def test_the_two_ways_to_shrink_agree(seed: int) -> None:
    rng = random.Random(seed)
    planted = [frozenset(rng.sample(range(14), rng.randrange(1, 6))) for _ in range(rng.randrange(1, 6))]

    def holds(things: frozenset[int]) -> bool:
        return not any(p <= things for p in planted)

    for shrunk in (conflicts.shrink(range(14), holds), conflicts.by_deletion(range(14), holds)):
        assert not holds(shrunk)
        assert all(holds(shrunk - {i}) for i in shrunk)
    every, complete = conflicts.every(14, holds)
    assert complete
    assert set(every) == {p for p in planted if not any(q < p for q in planted)}


# changes


def two_reds() -> fitting_list.FittingList:
    """A list with two clashes that share no pick, and a shop in which only one part of each slot helps."""
    shop = {
        "HB-142": {"price": "90.00 EUR", "fills": {"rear_hub": "12x142"}},
        "HB-148": {"price": "10.00 EUR", "fills": {"rear_hub": "12x148"}},
        "SP-272": {"price": "90.00 EUR", "fills": {"seatpost": "27.2"}},
        "SP-309": {"price": "10.00 EUR", "fills": {"seatpost": "30.9"}},
        "SP-316": {"price": "5.00 EUR", "fills": {"seatpost": "31.6"}},
    }
    return a_list({"frame": "12x142, 27.2, steel", "rear_hub": "HB-148", "seatpost": "SP-309"}, shop)


def blind(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the search forget all joints, so that it proposes what cannot be."""
    build = network_build.build

    def forgetful(*arguments: Any, **more: Any) -> Network:
        network = build(*arguments, **more)
        whole = network.problem
        kept = [n for n, r in enumerate(whole.relations) if r.stacks is not None]
        places = {kept.index(n): slots for n, slots in network.places.items()}
        problem = Problem(whole.variables, tuple(whole.relations[n] for n in kept), whole.equal)
        return replace(network, problem=problem, places=places)

    monkeypatch.setattr(relaxed, "build", forgetful)


def untrue(found: tuple[Change, ...]) -> int:
    return sum(change.exit_code == 1 for change in found)


def test_what_the_search_proposes_is_judged_again(monkeypatch: pytest.MonkeyPatch) -> None:
    blind(monkeypatch)
    fitting = two_reds()
    was = changes.before(fitting, work_of(fitting))
    assert untrue(changes.smallest(fitting, was).changes) == 0
    monkeypatch.setattr(changes, "judged_well", lambda was, now: True)
    assert untrue(changes.smallest(fitting, was).changes) > 0


def test_two_clashes_need_two_parts() -> None:
    report = reasons.why(two_reds())
    assert report.remedies.size == 2
    assert dict(report.remedies.changes[0].edits) == {"rear_hub": "HB-142", "seatpost": "SP-272"}
    assert report.remedies.proven


def test_what_is_kept_is_never_proposed() -> None:
    for keep in ("rear_hub", "frame", "seatpost"):
        report = reasons.why(two_reds(), keep=[keep])
        assert all(keep not in c.given_up and keep not in c.edits for c in report.remedies.changes)
    assert reasons.why(two_reds(), keep=["rear hub", "frame"]).remedies.why_none == "kept-parts-clash"


def test_without_a_catalogue_no_part_is_named() -> None:
    report = reasons.why(a_list({"frame": "12x142, steel", "rear_hub": "12x148"}))
    assert report.remedies.why_none == "no-catalogue"
    assert [c.picks for c in report.clashes] == [("frame", "rear_hub")]


@pytest.mark.parametrize("path", FAILING, ids=lambda p: p.stem)
def test_remedies_of_the_failing_lists_hold(path: Path) -> None:
    """What ``--json`` proposes is written into the list as it is, and ``check`` agrees; the customer's frame stays."""
    found = run("why", str(path), "--keep", "frame", "--json")
    assert found.exit_code == 1
    ways = json.loads(found.stdout)["changes"]["ways"]
    assert ways
    for way in ways:
        changed = raw(path)
        frame = changed["slots"]["frame"]
        changed["slots"] |= way["edits"]
        changed["extras"] = [*changed.get("extras", []), *way["extras"]]
        again = questions.check(fitting_list.read(changed, path.name, LIBRARY, BICYCLE, folder=LISTS))
        assert changed["slots"]["frame"] == frame
        assert again.exit_code == way["exit_code"]
        assert again.exit_code in (0, 4)


def test_a_list_without_a_remedy_says_so_and_why() -> None:
    path = str(LISTS / "fails-tapered-fork-in-34-head-tube.toml")
    found = run("why", path, "--keep", "frame", "--keep", "front hub", "--json")
    assert found.exit_code == 1
    document = json.loads(found.stdout)
    assert document["changes"]["ways"] == []
    assert document["changes"]["why_none"] == "none-on-the-shelf"
    (fork,) = [m for m in document["near_misses"] if m["slot"] == "fork"]
    assert sum(f["count"] for f in fork["fallen"]) == fork["tried"] > 0
    assert len(fork["nearest"]) == 3


# substitutes


def test_an_adapter_that_is_offered_is_in_the_list_and_it_passes() -> None:
    path = LISTS / "fits-towpath.toml"
    fitting = fitting_list.load(path, LIBRARY, BICYCLE)
    report = reasons.swap(fitting, "handlebar")
    assert report.with_adapter
    for change in (*report.substitutes, *report.with_adapter):
        changed = reasons.apply(raw(path), change)
        again = questions.check(fitting_list.read(changed, path.name, LIBRARY, BICYCLE, folder=LISTS))
        assert again.exit_code == change.exit_code
        assert again.exit_code in (0, 4)
        assert change.consequences.spent_minor == change.price_minor


SHOP: dict[str, Any] = {
    "A": {"price": "30.00 EUR", "mass_g": 300, "stock": 0, "lead_days": 9, "fills": {"seatpost": "27.2"}},
    "B": {"price": "40.00 EUR", "mass_g": 200, "stock": 2, "fills": {"seatpost": {"shaft": {"dia_mm": 27.2}}}},
    "C": {"price": "50.00 EUR", "mass_g": 250, "stock": 0, "lead_days": 2, "fills": {"seatpost": "27.2"}},
    "D": {"price": "45.00 EUR", "fills": {"seatpost": "27.2"}},
    "E": {"price": "20.00 EUR", "fills": {"seatpost": "30.9"}},
}


@pytest.mark.parametrize(
    ("by", "order"), [("price", "ABC"), ("mass", "BCA"), ("stock", "BCA")], ids=["price", "mass", "stock"]
)
def test_substitutes_come_in_the_order_asked_for(by: str, order: str) -> None:
    report = reasons.swap(a_list({"frame": "27.2, steel", "seatpost": "D"}, SHOP), "seatpost", by=by)
    assert "".join(c.edits["seatpost"] for c in report.substitutes) == order


def test_the_closest_changes_the_fewest_figures() -> None:
    shop = {
        n: {"price": p, "fills": {"seatpost": {"shaft": {"dia_mm": d}}}}
        for n, p, d in (("X", "9.00 EUR", "27.2"), ("Y", "5.00 EUR", "27.1"), ("Z", "1.00 EUR", "27.0"))
    }
    fitting = a_list({"frame": "27.2, steel", "seatpost": {"shaft": {"dia_mm": "27.2"}}}, shop)
    found = [c.edits["seatpost"] for c in reasons.swap(fitting, "seatpost", by="closest").substitutes]
    assert found[0] == "X"
    assert found == sorted(found)


def test_out_of_stock_is_left_out_on_request_and_counted() -> None:
    report = reasons.swap(a_list({"frame": "27.2, steel", "seatpost": "D"}, SHOP), "seatpost", in_stock=True)
    assert [c.edits["seatpost"] for c in report.substitutes] == ["B"]
    assert report.unstocked == 2


def test_near_misses_say_how_many_fell_to_what_and_which_came_nearest() -> None:
    shop = {n: {"fills": {"seatpost": n[2:]}} for n in ("S-30.9", "S-31.6", "S-28.6")}
    report = reasons.swap(a_list({"frame": "27.2, steel", "seatpost": "S-30.9"}, shop), "seatpost")
    assert report.exit_code == 1
    assert report.misses is not None
    assert sum(f.count for f in report.misses.fallen) == report.misses.tried == 2
    assert [n.offer.number for n in report.misses.nearest] == ["S-28.6", "S-31.6"]


def test_nothing_to_replace_and_no_such_order_are_said() -> None:
    fitting = a_list({"frame": "27.2, steel", "seatpost": "D"}, SHOP)
    for slot, by, kind in (
        ("saddle", "price", "nothing-there"),
        ("seatpost", "weight", "unknown-word"),
        ("sadle", "price", "unknown-word"),
    ):
        with pytest.raises(InputFaults) as raised:
            reasons.swap(fitting, slot, by=by)
        assert [f.kind for f in raised.value.faults] == [kind]


# join, measure, compare


def test_join_names_the_adapter_its_limits_and_what_the_shelf_has() -> None:
    report = reasons.join(["frame: 30.9, aluminium", "seatpost: 27.2"], [LISTS.parent / "basin.toml"])
    assert report.exit_code == 4
    assert report.bridges
    for bridge in report.bridges:
        assert bridge.kind.limits or bridge.kind.caution or bridge.sources
        for offer in bridge.offers:
            whole = a_list(
                {"frame": "30.9, aluminium", "seatpost": "27.2", bridge.slots[0]: offer.number},
                catalogs=[str(LISTS.parent / "basin.toml")],
            )
            assert questions.check(whole).exit_code in (0, 4)


def test_join_says_so_where_nothing_bridges() -> None:
    report = reasons.join(["frame: 12x142, steel", "rear hub: 12x148"])
    assert report.exit_code == 1
    assert not report.bridges


def test_join_promises_nothing_where_a_figure_is_missing() -> None:
    lines = bridging.join(reasons.join(["frame: BSA 68", "crank: 30 mm spindle"]))
    assert lines[0].startswith("Not known, measure.")
    assert "put this in between" not in " ".join(lines)


def test_an_adapter_whose_figures_do_not_decide_is_counted_not_hidden() -> None:
    """The shim would serve a metal bar; of what the bar is made nobody said."""
    lines = bridging.join(reasons.join(["stem: 31.8", "handlebar: 25.4"], [LISTS.parent / "basin.toml"]))
    assert any("on the shelf the figures do not decide" in line for line in lines)


def test_join_begins_with_the_joint_that_an_adapter_bridges() -> None:
    lines = bridging.join(reasons.join(["rear hub: 12x142, splined", "rear rotor: 160, 6-bolt"]))
    assert "put this in between, adapter from a splined hub to a six-bolt rotor" in lines[0]


def test_a_limit_that_nobody_stated_is_one_measurement() -> None:
    path = LISTS / "unknown-rotor-limit.toml"
    report = reasons.measure(fitting_list.load(path, LIBRARY, BICYCLE))
    assert report.exact
    assert report.worst == len(report.measurements) == 1
    (one,) = report.measurements
    assert one.hint.words
    told = {m.verdict for m in one.meanings}
    assert Verdict.UNSAFE in told
    assert Verdict.FITS in told


UNKNOWN: tuple[dict[str, Any], ...] = (
    {"frame": {"seat_tube": {"material": "steel"}}, "seatpost": "27.2"},
    {"frame": "12x142, steel", "rear_hub": "6-bolt", "rear_rotor": "160, 6-bolt"},
    {"stem": "31.8", "handlebar": {"centre": {"material": "steel"}}},
    {"frame": "12x142, 27.2, steel", "rear_hub": {"axle": {"form": "thru"}}, "seatpost": {"box": "steel"}},
)


@pytest.mark.parametrize("slots", UNKNOWN, ids=range(len(UNKNOWN)))
def test_measurements_settle_and_each_can_alter_the_verdict(slots: dict[str, Any]) -> None:
    from solver.explain import measuring, supposing

    work = work_of(a_list(slots))
    found = [f for f in work.findings().values() if f.state == "judged"]
    plan = measuring.plan(work, found)
    open_ones = [f.id for f in found if f.verdict is Verdict.NOT_KNOWN]
    assert open_ones
    rng = random.Random(1)
    refs = [m.ref for m in plan.measurements]
    assert len(refs) == plan.worst > 0
    cells = supposing.cells_of(work, open_ones, sorted({m for f in found for t in f.tests for m in t.missing}))

    def outcome(given: dict[str, Any]) -> tuple[Verdict, ...]:
        now = supposing.supposing(work, supposing.given_of(given)).findings()
        return tuple(now[i].verdict if now[i].state == "judged" else Verdict.FITS for i in open_ones)

    def waits(given: dict[str, Any]) -> bool:
        now = supposing.supposing(work, supposing.given_of(given)).findings().values()
        mine = [f for f in now if f.state == "judged" and f.id in open_ones]
        missing = {m for f in mine for t in f.tests if t.verdict is Verdict.NOT_KNOWN for m in t.missing}
        return not any(f.verdict in NO for f in mine) and bool(missing & set(cells))

    for ref in refs:
        rest = [r for r in cells if r != ref]
        alters = False
        for _ in range(60):
            known = {r: rng.choice(cells[r]) for r in rest}
            if len({outcome({**known, ref: c}) for c in cells[ref]}) > 1:
                alters = True
                break
        assert alters, ref
    assert waits({})
    for _ in range(60):
        assert not waits({r: rng.choice(cells[r]) for r in cells})


@pytest.mark.parametrize("slots", UNKNOWN[:3], ids=range(3))
def test_the_worst_case_is_the_shortest_there_is(slots: dict[str, Any]) -> None:
    """Against a plain search over all orders, where at most three figures are missing."""
    from solver.explain import measuring, supposing

    work = work_of(a_list(slots))
    found = [f for f in work.findings().values() if f.state == "judged"]
    open_ones = [f.id for f in found if f.verdict is Verdict.NOT_KNOWN]
    refs = sorted({m for f in found for t in f.tests if t.verdict is Verdict.NOT_KNOWN for m in t.missing})
    if len(refs) > 3:
        assert measuring.plan(work, found).worst <= len(refs)
        return
    cells = supposing.cells_of(work, open_ones, refs)
    known: dict[Any, bool] = {}

    def settled(given: dict[str, Any]) -> bool:
        key = supposing.given_of(given)
        if key not in known:
            now = [f for f in supposing.supposing(work, key).findings().values() if f.state == "judged"]
            mine = [f for f in now if f.id in open_ones]
            missing = {m for f in mine for t in f.tests if t.verdict is Verdict.NOT_KNOWN for m in t.missing}
            known[key] = any(f.verdict in NO for f in mine) or not missing & set(refs)
        return known[key]

    def depth(given: dict[str, Any]) -> int:
        if settled(given) or len(given) == len(refs):
            return 0
        left = [r for r in refs if r not in given]
        return min(1 + max(depth({**given, r: c}) for c in cells[r]) for r in left)

    assert measuring.plan(work, found).worst == depth({})


def test_a_list_that_says_no_already_is_not_measured() -> None:
    report = reasons.measure(a_list({"frame": "12x142, steel", "rear_hub": "12x148", "seatpost": "27.2"}))
    assert report.measurements == ()
    assert report.exit_code == 1


def test_compare_tells_joint_by_joint() -> None:
    first, second = (
        fitting_list.load(LISTS / n, LIBRARY, BICYCLE)
        for n in ("fits-towpath.toml", "fails-148-wheel-in-142-frame.toml")
    )
    report = reasons.compare(first, second)
    assert [s.id for s in report.shifts if s.direction == "worse"] == ["wheels.hub-in-dropout@rear"]
    assert report.exit_code == 1
    back = reasons.compare(second, first)
    assert [s.id for s in back.shifts if s.direction == "better"] == ["wheels.hub-in-dropout@rear"]
    assert reasons.compare(first, first).shifts == ()
    assert measurements.compare(back)[0] == (
        "With the rear hub PM-WS-142 of the second list a joint gets better, and none gets worse, so take it; in the "
        "first the rear hub is 148 mm wide over its ends; the frame takes 142 mm."
    )


def test_two_bicycles_that_both_fit_are_told_as_that() -> None:
    first, second = (fitting_list.load(LISTS / f"fits-{n}.toml", LIBRARY, BICYCLE) for n in ("towpath", "gantry"))
    told = measurements.compare(reasons.compare(first, second))
    assert told[0] == (
        "Take either list: of the joints that both have none gets worse; 4 are judged in the second alone, all of them "
        "well."
    )


def test_swap_names_the_parts_that_the_figures_do_not_decide() -> None:
    """With the figure that is missing, else with the joint that only the maker can settle."""
    report = reasons.swap(fitting_list.load(LISTS / "fits-skiff.toml", LIBRARY, BICYCLE), "front_tyre")
    told = exchanging.swap(report)[-1]
    waiting = {m.offer.number: m.findings[0].deciding for m in report.undecided}
    assert any(d is not None and d.missing for d in waiting.values())
    for number, deciding in waiting.items():
        assert deciding is not None
        figures = [words.figure_name(m) for m in deciding.missing]
        assert f"{number} ({'; '.join(figures) or 'tyres.'}" in told


def test_an_adapter_that_the_shelf_lacks_is_named() -> None:
    fitting = fitting_list.load(LISTS / "fits-towpath.toml", LIBRARY, BICYCLE)
    report = reasons.swap(fitting, "rear_hub")
    (change,) = report.substitutes
    kinds = {a for f in change.consequences.adapters for t in f.tests for a in t.adapters}
    assert kinds
    assert all(words.row_name(k) in " ".join(exchanging.swap(report)) for k in kinds)


# the command line

ASKED = [
    *(("why", str(p), "--keep", "frame") for p in FAILING[:3]),
    ("why", str(FAILING[1]), "--customer"),
    ("why", str(LISTS / "fits-towpath.toml")),
    ("swap", str(LISTS / "fits-towpath.toml"), "handlebar"),
    ("swap", str(LISTS / "fits-towpath.toml"), "seatpost", "--by", "closest"),
    ("swap", str(LISTS / "fits-gantry.toml"), "handlebar", "--customer"),
    ("join", "frame: 30.9", "seatpost: 27.2"),
    ("join", "frame: 12x142", "rear hub: 12x148", "--customer"),
    ("measure", str(LISTS / "unknown-rotor-limit.toml")),
    ("measure", str(LISTS / "unknown-rotor-limit.toml"), "--customer"),
    ("compare", str(LISTS / "fits-towpath.toml"), str(FAILING[1])),
    ("compare", str(LISTS / "fits-towpath.toml"), str(LISTS / "fits-gantry.toml")),
]


@pytest.mark.parametrize("arguments", ASKED, ids=lambda a: " ".join(x.rpartition("/")[2] for x in a))
def test_default_answers_fit_on_a_screen_and_json_is_one_document(arguments: tuple[str, ...]) -> None:
    found = run(*arguments)
    assert found.exit_code in (0, 1, 3, 4)
    lines = found.stdout.splitlines()
    assert 0 < len(lines) <= 24
    assert all(len(line) <= 100 for line in lines)
    for word in ("clash set", "domain", "constraint", "unsatisfiable", "incompatible", "invalid", "solver", "live"):
        assert word not in found.stdout.lower()
    if "--customer" not in arguments and arguments[1] not in map(str, FAILING[1:]):
        as_json = run(*arguments, "--json")
        assert as_json.exit_code == found.exit_code
        document = json.loads(as_json.stdout)
        assert document["format_version"] == 1
        assert document["command"] == arguments[0]


def test_a_clash_is_a_record() -> None:
    (clash,) = reasons.clashes(a_list({"frame": "12x142, steel", "rear_hub": "12x148"}))[0]
    assert isinstance(clash, Clash)
    assert clash.fills == (("frame",), ("rear_hub",))
    assert [f.id for f in clash.findings] == ["wheels.hub-in-dropout@rear"]
