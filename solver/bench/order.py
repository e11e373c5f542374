"""The order of work: all steps of all joints in one order that breaks no precedence.

The order is made once, of every step that any joint declares, and a list gets its steps out of it. So a part that is
taken off the list takes its steps away and moves no other: what holds between two steps holds by way of those between
them too. Among steps that may come next the one declared first comes first, which is bicycle order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import networkx as nx

from catalog_schema.lean import dataclass
from solver.bench.working import Parts, arises, excluded
from solver.report_bench import BenchFigure, StepTorque, WorkStep
from solver.rules.registry import JOINTS, Joint, Place
from solver.rules.work import Step, Torque

Node = tuple[str, str]
_ENDS: Final = {"front", "rear"}
#: Over so many times the usual torque a printed one is read again.
_DOUBTFUL: Final = "torque.read-again"


@dataclass(frozen=True, slots=True)
class _Site:
    """A step at a place of its joint."""

    joint: Joint
    step: Step
    place: Place


def sites() -> dict[Node, _Site]:
    """Return every step at every place, in bicycle order."""
    return {
        (step.id, place.name): _Site(joint, step, place)
        for joint in JOINTS.values()
        for step in joint.steps
        for place in joint.places
    }


def graph() -> nx.DiGraph[Node]:
    """Return what is done before what.

    Raises:
        ValueError: a precedence names a step that no joint declares, or precedences go round.
    """
    every = sites()
    places: dict[str, list[str]] = {}
    for step, place in every:
        places.setdefault(step, []).append(place)
    found: nx.DiGraph[Node] = nx.DiGraph()
    found.add_nodes_from(every)
    for joint in JOINTS.values():
        for first, second in joint.precedences:
            for end in (first, second):
                if end.partition("@")[0] not in places:
                    raise ValueError(f"{joint.id} orders the step {end}, which no joint declares")
            found.add_edges_from(_pairs(first, second, places))
    if not nx.is_directed_acyclic_graph(found):
        round_trip = " before ".join(f"{a[0]}@{a[1]}" for a, _ in nx.find_cycle(found))
        raise ValueError(f"the order of work goes round: {round_trip}")
    return found


def _pairs(first: str, second: str, places: Mapping[str, list[str]]) -> Iterable[tuple[Node, Node]]:
    """Return the pairs that a precedence means: at every place of both, but nothing of one wheel before the other."""
    a, at, a_place = first.partition("@")
    b, bt, b_place = second.partition("@")
    mine = [a_place] if at else places[a]
    theirs = [b_place] if bt else places[b]
    for p in mine:
        for q in theirs:
            if at or bt or {p, q} != _ENDS:
                yield (a, p), (b, q)


def order() -> list[Node]:
    """Return all steps in the order of work.

    Of the steps that may come next the same one at another place comes first, then the one declared first.
    """
    rank = {node: i for i, node in enumerate(sites())}
    before = graph()
    waiting = {n: before.in_degree(n) for n in before}
    free = [n for n, count in waiting.items() if not count]
    found: list[Node] = []
    while free:
        last = found[-1][0] if found else ""
        now = min(free, key=lambda n: (n[0] != last, rank[n]))
        free.remove(now)
        found.append(now)
        for later in before.successors(now):
            waiting[later] -= 1
            if not waiting[later]:
                free.append(later)
    return found


def steps(parts: Parts, figures: Sequence[BenchFigure] = ()) -> list[WorkStep]:
    """Return the steps that a list calls for, in order, each with the steps of the list that come right before it.

    ``figures`` are those of the sheet; each step names those of them that it needs.
    """
    every = sites()
    there = {n for n, site in every.items() if _called_for(site, parts)}
    before: nx.DiGraph[Node] = nx.transitive_closure_dag(graph()).subgraph(there)
    direct = nx.transitive_reduction(before)
    return [_told(every[n], sorted(direct.predecessors(n)), parts, figures) for n in order() if n in there]


def _called_for(site: _Site, parts: Parts) -> bool:
    slots = [site.place.roles.get(r, r) for r in site.step.needs]
    if not all(s in parts.figures for s in slots):
        return False
    if not parts.apart([site.place.roles.get(r, r) for r in site.step.apart]):
        return False
    stated = (f"{site.place.roles[r]}.{path}" for r, _, path in (s.partition(".") for s in site.step.stated))
    if excluded(site.step.never, site.place.roles, parts):
        return False
    return all(parts.known(ref) is not None for ref in stated) and arises(site.step.where, site.place.roles, parts)


def _told(site: _Site, before: Iterable[Node], parts: Parts, figures: Iterable[BenchFigure]) -> WorkStep:
    step, roles = site.step, site.place.roles
    return WorkStep(
        step.id,
        site.place.name,
        site.joint.id,
        tuple(dict.fromkeys(roles.get(r, r) for r in step.needs)),
        tuple(_torque(t, roles, parts) for t in step.torques if arises(t.where, roles, parts)),
        tuple(n.row for n in step.notes if arises(n.where, roles, parts)),
        step.tools,
        tuple(n.row for n in step.uses if arises(n.where, roles, parts)),
        tuple(f.at for f in figures if f.id in step.figures and _is_there(f.place, site.place.name)),
        tuple(f"{s}@{p}" if p else s for s, p in before),
        site.joint.safety,
    )


def _is_there(figure: str, step: str) -> bool:
    """Return whether a figure at one place belongs to a step at another: front and rear keep apart."""
    return {figure, step} != {"front", "rear"}


def _torque(torque: Torque, roles: Mapping[str, str], parts: Parts) -> StepTorque:
    """Return how tight: the lowest figure that is printed on a part, else the usual range."""
    prints = [f"{roles.get(role, role)}.{path}" for role, _, path in (r.partition(".") for r in torque.printed)]
    printed = [(limit, ref) for ref in prints if (limit := parts.limit(ref)) is not None]
    values = parts.library.figure(torque.row).values
    prefix = f"{torque.kind}_" if torque.kind else ""
    usual = values.get(f"{prefix}usual_nm", values.get(f"{prefix}nm"))
    low, high = (None, usual) if usual is not None else (values.get(f"{prefix}from_nm"), values[f"{prefix}to_nm"])
    if printed:
        lowest, ref = min(printed, key=lambda p: p[0])
        number = parts.numbers.get(ref.partition(".")[0], "")
        most = high * parts.library.figure(_DOUBTFUL).values["times"]
        return StepTorque(torque.row, torque.kind, None, lowest, ref, number, doubtful=lowest > most)
    return StepTorque(torque.row, torque.kind, low, high)
