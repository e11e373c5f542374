"""Reasons that hold, and what to do: one function per question, beside ``questions``.

In: fitting lists. Out: records of ``remedies``. Whatever is proposed was put into the list and judged again.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

from catalog_schema import bicycle as bicycles
from catalog_schema import library as libraries
from catalog_schema import slot_words
from catalog_schema.bicycle import Bicycle
from catalog_schema.faults import Fault, FaultList, InputFaults
from catalog_schema.fitting_list import FittingList, SlotState
from catalog_schema.interface import AdapterKind
from catalog_schema.lean import replace
from catalog_schema.parts import Part
from solver import questions
from solver.explain import changes, conflicts, exchange, measuring, pages, shelf
from solver.explain.changes import Before
from solver.explain.picks import Picks
from solver.explain.relaxed import Relaxed, TooManyCombinations, TooWide, relaxed
from solver.explain.trial import Trial
from solver.remedies import (
    Bridge,
    Change,
    Clash,
    CompareReport,
    JoinReport,
    MeasureReport,
    Misses,
    Remedies,
    Shift,
    SwapReport,
    WhyReport,
)
from solver.report import NO, CheckReport, Finding
from solver.rules.evaluating import Entry
from solver.rules.registry import JOINTS

#: The orders in which substitutes may come.
ORDERS = exchange.ORDERS


def why(fitting: FittingList, slots: Sequence[str] = (), *, keep: Sequence[str] = ()) -> WhyReport:
    """Return why a list does not go together, and the smallest changes that make it.

    Args:
        fitting: the list.
        slots: only the findings, clashes and changes about these.
        keep: slots whose part no change may touch.

    Raises:
        InputFaults: a slot is not known, or nothing meets there.
    """
    library, bicycle = libraries.load(), bicycles.load()
    insisted = _slots(keep, bicycle, "--keep")
    wanted = _slots(slots, bicycle, "why")
    listed = questions.trial(fitting, library, bicycle)
    report = _checked(fitting, slots, listed)
    work = purchases(listed)
    was = changes.before(fitting, work)
    clashes, complete, misses = _clashes(fitting, work)
    remedies = _remedies(fitting, was, clashes, insisted)
    if clashes and not remedies.changes and fitting.catalog.parts and not misses:
        misses = _misses(fitting, was, clashes[0], insisted)
    if wanted:
        homes = {e.slots[0] for e in work.entries if wanted & set(e.slots)} | wanted
        clashes = [c for c in clashes if homes & {*c.picks, *c.open_slots}]
        if not clashes:
            remedies = Remedies(why_none="nothing-wrong")
    near = {f.joint for m in misses for n in m.nearest for f in n.findings} - set(report.pages)
    told = pages.of_joints(j for j in JOINTS if j in near or j in report.pages)
    return WhyReport(replace(report, pages=told), tuple(clashes), remedies, complete, misses)


def _checked(fitting: FittingList, slots: Sequence[str], work: Trial) -> CheckReport:
    try:
        return questions.why(fitting, slots, work)
    except InputFaults:
        if slots or not _searchable(fitting):
            raise
        return CheckReport(fitting.title, (), open_slots=_open(fitting))


def _remedies(fitting: FittingList, was: Before, clashes: Sequence[Clash], keep: frozenset[str]) -> Remedies:
    if not clashes:
        return Remedies(why_none="nothing-wrong")
    single = _single(fitting, was, clashes, keep)
    if single:
        order = was.work.bicycle.order
        return Remedies(tuple(single[: changes.MOST_KEPT]), 1, kept=tuple(sorted(keep, key=order.__getitem__)))
    known = [c.picks for c in clashes if not c.searched]
    return changes.smallest(fitting, was, keep=keep, clashes=known)


def _single(fitting: FittingList, was: Before, clashes: Sequence[Clash], keep: frozenset[str]) -> list[Change]:
    """Return the changes of one pick for one part of the shelf; the pick must have a share in every clash.

    Where there are some, none is smaller, and those that put several parts in place of the pick come after them.
    """
    if any(c.searched for c in clashes):
        return []
    shared = set.intersection(*(set(c.picks) for c in clashes))
    found: list[Change] = []
    for entry in was.work.entries:
        if entry.slots[0] in shared and not keep & set(entry.slots):
            tried = exchange.exchange(fitting, was, entry, "price")
            found += [c for c in (*tried.substitutes, *tried.with_adapter) if c.exit_code != 1]
    return sorted(found, key=lambda c: changes.handiest(c, was))


def _misses(fitting: FittingList, was: Before, clash: Clash, keep: frozenset[str]) -> tuple[Misses, ...]:
    """Return why nothing of the shelf serves in place of each pick of a clash; the frame comes last."""
    entries = [e for e in was.work.entries if e.slots[0] in clash.picks and not keep & set(e.slots)]
    entries.sort(key=lambda e: "frame" in e.slots)
    return tuple(exchange.exchange(fitting, was, e, "price").misses for e in entries)


def clashes(fitting: FittingList) -> tuple[list[Clash], bool]:
    """Return all clashes of a list, the one with the fewest picks first, and whether that is all of them."""
    found, complete, _ = _clashes(fitting, purchases(questions.trial(fitting, libraries.load(), bicycles.load())))
    return found, complete


def _clashes(fitting: FittingList, work: Trial) -> tuple[list[Clash], bool, tuple[Misses, ...]]:
    picks = Picks(work)
    found, complete = picks.clashes()
    if found:
        return [_told(work, c, picks.joints(c)) for c in found], complete, ()
    open_slots = tuple(s for s in _open(fitting) if fitting.catalog.filling(s))
    if not open_slots:
        return [], True, ()
    try:
        search = relaxed(fitting, work, unknown=True, anything=True)
    except (TooManyCombinations, TooWide):
        return [], False, ()
    whole = frozenset(range(len(work.entries)))
    if search.holds(whole):
        return [], True, ()
    if not search.holds(frozenset()):
        one = Clash((), (), True, open_slots, search.joints(frozenset(), conflicts.shrink))
        return [one], True, ()
    sets, complete = conflicts.every(len(work.entries), search.holds, [search.first()], most=20)
    told = [_searched(search, picks, c, open_slots, first=not i) for i, c in enumerate(sets)]
    return told, complete, tuple(_nearest(fitting, work, s) for s in open_slots[:3])


def _searched(
    search: Relaxed, picks: Picks, things: frozenset[int], open_slots: tuple[str, ...], *, first: bool
) -> Clash:
    joints = search.joints(things, conflicts.shrink) if first else ()
    meeting = _slots_of(joints)
    concerned = tuple(s for s in open_slots if not meeting or s in meeting)
    return replace(_told(picks.work, things, ()), searched=True, open_slots=concerned, joints=joints)


def _told(work: Trial, things: Collection[int], findings: tuple[Finding, ...]) -> Clash:
    entries = [work.entries[i] for i in sorted(things)]
    return Clash(
        tuple(e.slots[0] for e in entries),
        findings,
        fills=tuple(e.slots for e in entries),
        names=tuple(" or ".join(p.number or p.label for p in e.parts) for e in entries),
    )


def _slots_of(joints: Sequence[str]) -> set[str]:
    found: set[str] = set()
    for name in joints:
        joint, _, at = name.partition("@")
        for place in JOINTS[joint].places if joint in JOINTS else ():
            if place.name == at:
                found |= {*place.roles.values(), place.adapter} - {""}
    return found


def _nearest(fitting: FittingList, work: Trial, slot: str) -> Misses:
    """Return how the candidates of an open slot fall against the picks alone."""
    was = changes.before(fitting, work)
    return exchange.exchange(fitting, was, Entry((slot,), ()), "price").misses


def swap(
    fitting: FittingList,
    slot: str,
    *,
    by: str = "price",
    keep: Sequence[str] = (),
    in_stock: bool = False,
) -> SwapReport:
    """Return what may stand in place of the part in a slot; that part itself is excluded.

    Raises:
        InputFaults: the slot is not known or not filled, or there is no such order.
    """
    bicycle = bicycles.load()
    faults = FaultList("swap")
    if by not in ORDERS:
        faults.unknown("--by", "order", by, ORDERS)
    faults.raise_if_any()
    name = _one_slot(slot, fitting, bicycle)
    insisted = _slots(keep, bicycle, "--keep")
    work = purchases(questions.trial(fitting, libraries.load(), bicycle))
    old = next((e for e in work.entries if name in e.slots), None)
    if old is None:
        message = f"nothing is listed as {bicycle.by_id[name].words}, so there is nothing to replace"
        raise InputFaults([Fault(fitting.title or "list", name, "nothing-there", message)])
    was = changes.before(fitting, work)
    found = exchange.exchange(fitting, was, old, by, in_stock=in_stock)
    remedies = Remedies(why_none="nothing-wrong")
    if not found.substitutes and not found.with_adapter:
        set_apart = replace(was, stands={**was.stands, **{f.id: f.rank for f in found.standing}})
        remedies = changes.smallest(
            fitting,
            set_apart,
            keep=insisted - set(old.slots),
            banned=old.slots,
            in_stock=in_stock,
            clashes=[old.slots],
        )
    shown = {f.finding.partition("@")[0] for f in found.misses.fallen}
    shown |= {f.joint for n in found.misses.nearest for f in n.findings} | {f.joint for f in found.standing}
    shown |= {
        f.joint
        for c in (*found.substitutes, *found.with_adapter, *remedies.changes)
        for f in (*c.consequences.work, *c.consequences.adapters)
    }
    return SwapReport(
        fitting.title,
        name,
        shelf.offer(old.parts[0]),
        by,
        found.substitutes,
        found.with_adapter,
        remedies,
        found.misses,
        found.standing,
        found.unstocked,
        found.undecided,
        pages.of_joints(j for j in JOINTS if j in shown),
    )


def join(texts: Sequence[str], extra_catalogs: Sequence[Path | str] = ()) -> JoinReport:
    """Return which adapters bridge two sides that are described in words.

    Raises:
        InputFaults: with every fault of every side; or nothing meets.
    """
    report = questions.meet(texts, extra_catalogs)
    library, bicycle = libraries.load(), bicycles.load()
    needs = {n.finding: n for n in report.needs}
    bridges, others = [], []
    for finding in report.judged:
        kinds = tuple(dict.fromkeys(a for t in finding.tests for a in t.adapters if a in library.rows))
        for kind in kinds:
            row = library.adapter(kind)
            slots = tuple(sorted(pages.adapter_slots(finding, [kind], library, bicycle), key=bicycle.order.__getitem__))
            need = needs.get(finding.id)
            offers = need.shelf.offers if need is not None and need.shelf is not None else ()
            untold = need.shelf.untold if need is not None and need.shelf is not None else 0
            bridges.append(Bridge(finding.id, row, slots, offers, tuple(library.sources_of(row)), untold))
        if finding.verdict in NO:
            rows = [r for r in library.rows.values() if isinstance(r, AdapterKind) and r.bridges == finding.joint]
            others += [Bridge(finding.id, r, (), (), tuple(library.sources_of(r))) for r in rows if r.id not in kinds]
    return JoinReport(report, tuple(bridges), tuple(others))


def measure(fitting: FittingList) -> MeasureReport:
    """Return the fewest measurements that settle a list in the worst case.

    Raises:
        InputFaults: no two listed parts meet.
    """
    report = questions.check(fitting)
    work = questions.trial(fitting, libraries.load(), bicycles.load())
    chosen = questions.evaluation(fitting, libraries.load(), bicycles.load()).chosen
    fixed = tuple(Entry(e.slots, (chosen[e.slots[0]],)) if len(e.parts) > 1 else e for e in work.entries)
    if not questions.judged(work.evaluation().findings):
        work = work.asking_all()
    plan = measuring.plan(replace(work, entries=fixed), report.judged)
    return MeasureReport(report, plan.measurements, plan.worst, plan.exact, plan.asking)


def compare(before: FittingList, after: FittingList) -> CompareReport:
    """Return what changes from one list to another, joint by joint.

    Raises:
        InputFaults: in one of the lists no two parts meet.
    """
    first, second = questions.check(before), questions.check(after)
    old, new = ({f.id: f for f in r.judged} for r in (first, second))
    shifts, same = [], 0
    for finding_id in dict.fromkeys((*(f.id for f in first.findings), *(f.id for f in second.findings))):
        then, now = old.get(finding_id), new.get(finding_id)
        if then is None and now is None:
            continue
        if then is not None and now is not None and then.rank == now.rank and _figures(then) == _figures(now):
            same += 1
            continue
        shifts.append(Shift(finding_id, then, now))
    ranks = ("worse", "better", "new", "gone", "figures")
    shifts.sort(key=lambda s: (not s.is_bad, ranks.index(s.direction), -_worst(s)))
    order = bicycles.load().order
    slots = sorted({*before.slots, *after.slots}, key=order.__getitem__)
    changed = [(s, _what(before.slots.get(s)), _what(after.slots.get(s))) for s in slots]
    return CompareReport(first, second, tuple(shifts), tuple(c for c in changed if c[1] != c[2]), same)


def _worst(shift: Shift) -> int:
    return max(int(f.verdict) for f in (shift.before, shift.after) if f is not None)


def _figures(finding: Finding) -> list[tuple[str, str, object]]:
    return [(t.test, f.ref or f.name, f.value) for t in finding.tests for f in t.figures]


def _what(state: SlotState | None) -> str:
    if state is None:
        return ""
    if state.state in ("open", "none"):
        return "any" if state.state == "open" else "none"
    return " or ".join(p.number or p.label or _described(p) for p in state.parts)


def _described(part: Part) -> str:
    known = [k for variants in part.fills.values() for k in variants[0]] if part.fills else []
    return f"described ({len(known)} figures)"


def apply(raw: Mapping[str, Any], change: Change) -> dict[str, Any]:
    """Return the raw table of a list with a change made: the edits in its slots, small parts among the extras."""
    extras = [*raw.get("extras", ()), *change.extras]
    slots = {**raw.get("slots", {}), **change.edits}
    return {**raw, "slots": slots, **({"extras": extras} if extras else {})}


def purchases(work: Trial) -> Trial:
    """Return the list with each purchase once, also where its number stands in several of the slots that it fills."""
    merged: list[Entry] = []
    for entry in work.entries:
        part = entry.parts[0]
        whole = len(entry.parts) == 1 and part.together and len(part.fills) > 1
        alike = [i for i, m in enumerate(merged) if whole and len(m.parts) == 1 and m.parts[0] is part]
        at = alike[0] if alike else None
        if at is None:
            merged.append(entry)
        else:
            merged[at] = Entry(tuple(dict.fromkeys((*merged[at].slots, *entry.slots))), entry.parts)
    return replace(work, entries=tuple(merged))


def _open(fitting: FittingList) -> tuple[str, ...]:
    return tuple(s for s, state in fitting.slots.items() if state.state == "open")


def _searchable(fitting: FittingList) -> bool:
    return any(fitting.catalog.filling(s) for s in _open(fitting))


def _one_slot(name: str, fitting: FittingList, bicycle: Bicycle) -> str:
    """Return the slot that a word means: where it may mean several, the one that the list fills.

    Raises:
        InputFaults: it means none, or several that are filled.
    """
    slots = _slots([name], bicycle, "swap")
    filled = [s for s in fitting.slots if s in slots] if len(slots) > 1 else list(slots)
    if len(filled) != 1:
        named = ", ".join(bicycle.by_id[s].words for s in filled or sorted(slots, key=bicycle.order.__getitem__))
        raise InputFaults([Fault("swap", "", "place-needed", f"{name} means several places; name one of: {named}")])
    return filled[0]


def _slots(names: Collection[str], bicycle: Bicycle, place: str) -> frozenset[str]:
    """Return the slots that some words mean.

    Raises:
        InputFaults: one of them means none.
    """
    faults = FaultList(place)
    found = {slot for name in names for slot in slot_words.slots_meant(name, bicycle, faults)}
    faults.raise_if_any()
    return frozenset(found)
