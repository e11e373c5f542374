"""What must hold of reasons holds in random worlds; and whatever keeps it true cannot be left out unnoticed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

import pytest

from solver.explain import changes, nearby, relaxed
from solver.network import build as network_build
from solver.network.build import Network
from solver.rules.evaluating import Memo
from tests import reason_properties
from tests.reason_properties import World, changes_hold
from tests.reason_worlds import a_list, rich_world, work_of

#: More worlds on demand: ``FITWRIGHT_WORLDS=2000 pytest tests/test_reason_properties.py``.
WORLDS = range(int(os.environ.get("FITWRIGHT_WORLDS", "14")))


@pytest.mark.parametrize("seed", WORLDS)
def test_reasons_hold(seed: int) -> None:
    world = World(*rich_world(seed))
    for holds in reason_properties.PROPERTIES:
        holds(world)


@pytest.mark.parametrize("seed", range(0, 12, 3))
def test_what_is_remembered_of_other_lists_changes_nothing(seed: int) -> None:
    """A part exchanged, joint by joint: what was judged before is the same as judged anew."""
    slots, shop = rich_world(seed)
    work = work_of(a_list(slots, shop))
    for entry in work.entries:
        for part in a_list(slots, shop).catalog.filling(entry.slots[0]):
            changed = work.replacing(entry.slots[0], part)
            if changed is not None:
                assert changed.findings() == replace(changed, memo=Memo()).findings()


def caught(seeds: Iterable[int], holds: Callable[[World], None]) -> int:
    """In how many worlds a property does not hold."""
    number = 0
    for seed in seeds:
        try:
            holds(World(*rich_world(seed)))
        except AssertionError:
            number += 1
    return number


def forgetful(build: Callable[..., Network]) -> Callable[..., Network]:
    """A search that has forgotten every joint: it takes anything for a build."""
    from solver.engine.problem import Problem

    def blind(*arguments: Any, **more: Any) -> Network:
        network = build(*arguments, **more)
        whole = network.problem
        kept = [n for n, r in enumerate(whole.relations) if r.stacks is not None]
        places = {kept.index(n): slots for n, slots in network.places.items()}
        problem = Problem(whole.variables, tuple(whole.relations[n] for n in kept), whole.equal)
        return replace(network, problem=problem, places=places)

    return blind


#: Worlds whose smallest change is of several picks, so that it is searched for.
SEVERAL = (1, 4, 7, 9, 12, 13)


def test_a_search_that_forgets_is_held_in_check_by_judging_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without judging again untrue changes are told; with it none is."""
    monkeypatch.setattr(relaxed, "build", forgetful(network_build.build))
    monkeypatch.setattr(changes, "_serving", lambda fitting, was, search, gone: fitting.catalog)

    def only_true(world: World) -> None:
        fitting = world.fitting
        found = changes.smallest(fitting, changes.before(fitting, work_of(fitting)))
        for change in found.changes:
            reason_properties.passes_check(world, change)

    assert caught(SEVERAL, only_true) == 0
    monkeypatch.setattr(changes, "judged_well", lambda was, now: True)
    assert caught(SEVERAL, only_true) > 0


def test_the_size_of_a_change_rests_on_judging_whole_lists(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nearby.Nearby, "_against", lambda self, candidate, state: None)
    monkeypatch.setattr(nearby.Nearby, "_reds", lambda self, entries: [])
    assert caught((8, 4, 1, 7, 13), changes_hold) > 0
