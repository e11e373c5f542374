"""The bicycle as a graph: slots, and the joints in which they meet.

In: the joints of ``rules``. Out: networkx graphs for whoever asks about structure (the search, the bench sheet,
tests). It judges nothing.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable

import networkx as nx
from networkx.algorithms.approximation import treewidth_min_fill_in

from solver.rules.registry import JOINTS, Joint, Place


def meetings(joints: Iterable[Joint] | None = None) -> list[tuple[Joint, Place, tuple[str, ...]]]:
    """Return every joint at every place with the slots that its tests read, adapter slots included."""
    found = []
    for joint in joints if joints is not None else JOINTS.values():
        for place in joint.places:
            roles = dict.fromkeys(r.ref.partition(".")[0] for t in joint.tests for r in t.reads)
            slots = dict.fromkeys([place.roles[r] for r in roles] + ([place.adapter] if place.adapter else []))
            found.append((joint, place, tuple(slots)))
    return found


def slot_graph(joints: Iterable[Joint] | None = None) -> nx.Graph[str]:
    """Return the graph whose nodes are slots; slots of one joint are neighbours."""
    graph: nx.Graph[str] = nx.Graph()
    for joint, place, slots in meetings(joints):
        graph.add_nodes_from(slots)
        for a, b in itertools.combinations(slots, 2):
            if not graph.has_edge(a, b):
                graph.add_edge(a, b, joints=[])
            graph.edges[a, b]["joints"].append(f"{joint.id}@{place.name}" if place.name else joint.id)
    return graph


def width(joints: Iterable[Joint] | None = None) -> int:
    """Return an upper bound of the treewidth of the slot graph (min-fill heuristic)."""
    bound, _ = treewidth_min_fill_in(slot_graph(joints))
    return int(bound)
