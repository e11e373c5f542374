"""Why a part is in no build: the joint that refuses it, with the part that the list names, or with all that is open.

In: candidates that are in no build, the list, the tables of the search. Out: ``Refused`` records. Whatever is said was
judged by the rules: the candidate was put on the list as it stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog_schema.lean import replace
from catalog_schema.parts import Part
from solver.builds import Purchase, Refused, Why
from solver.explain import pages
from solver.explain.trial import Trial, signature
from solver.network.candidates import Candidate
from solver.network.tables import Table
from solver.report import Finding, JointPage, Verdict
from solver.rules.evaluating import Entry
from solver.rules.registry import JOINTS


def refused(
    slot: str,
    dead: Sequence[Candidate],
    purchases: Sequence[Purchase],
    trial: Trial,
    tables: Sequence[Table],
    only_figures: frozenset[int],
    open_slots: frozenset[str],
    too_dear: frozenset[int] = frozenset(),
) -> list[Refused]:
    """Return why each candidate of a slot is in no build.

    Args:
        slot: an open slot.
        dead: candidates of it that are in no build.
        purchases: the same as records.
        trial: the list as it stands; shortlists are not part of it.
        tables: what the search was told of the joints.
        only_figures: candidates that would be in a build if figures were known.
        open_slots: slots with a choice.
        too_dear: candidates that are in a build, but in none within the budget.
    """
    plain = replace(trial, entries=tuple(e for e in trial.entries if not set(e.slots) & open_slots))
    kept: dict[str, Finding | None] = {}
    out = []
    for candidate, purchase in zip(dead, purchases, strict=True):
        if candidate.ident in too_dear:
            out.append(Refused(purchase, "budget"))
            continue
        key = f"{candidate.slots}{signature(candidate.part, slot)}"
        if key not in kept:
            kept[key] = _with_the_list(candidate, plain)
        finding = kept[key]
        if finding is not None and finding.verdict is not Verdict.NOT_KNOWN:
            out.append(Refused(purchase, "joint", finding))
        elif candidate.ident in only_figures:
            out.append(Refused(purchase, "figures", finding))
        elif (alone := _with_what_is_open(candidate, tables, open_slots)) is not None:
            out.append(Refused(purchase, "no-partner", alone[0], alone[1]))
        elif finding is not None:
            out.append(Refused(purchase, "figures", finding))
        else:
            out.append(Refused(purchase, "no-build"))
    return out


def never_asked(
    pairs: Iterable[tuple[Part, Purchase]], spoken_for: frozenset[str], listed: Sequence[Part] | None = None
) -> list[Refused]:
    """Return parts of the catalogue that were never candidates: taken elsewhere, not there in time, not as asked.

    ``listed`` are the parts of the slot's shortlist, None if it has none.
    """

    def why(part: Part) -> Why:
        if listed is not None and not any(part is p for p in listed):
            return "shortlist"
        return "taken" if part.together and spoken_for & set(part.fills) else "condition"

    return [Refused(p, why(part)) for part, p in pairs]


def pages_of(joints: Iterable[str]) -> dict[str, JointPage]:
    """Return the pages of some joints."""
    return {j: pages.of_joint(JOINTS[j]) for j in sorted(joints)}


def _with_the_list(candidate: Candidate, plain: Trial) -> Finding | None:
    """Return the worst finding at a candidate put on the list, None if it is a yes."""
    if plain.filled & set(candidate.slots):
        return None
    order = plain.bicycle.order
    entries = sorted((*plain.entries, Entry(candidate.slots, (candidate.part,))), key=lambda e: order[e.slots[0]])
    found = replace(plain, entries=tuple(entries)).findings()
    mine = [f for f in found.values() if f.state == "judged" and set(candidate.slots) & {*f.slots, *f.through}]
    worst = max(mine, key=lambda f: f.rank, default=None)
    if worst is None or worst.verdict <= Verdict.NEEDS_WORK:
        return None
    labels = {s: e.parts[0].label for e in entries for s in e.slots}
    return replace(worst, labels=tuple((s, labels[s]) for s in worst.slots if s in labels))


def _with_what_is_open(
    candidate: Candidate, tables: Sequence[Table], open_slots: frozenset[str]
) -> tuple[Finding, tuple[str, ...]] | None:
    """Return the joint that leaves a candidate no partner at all, in any of its settings."""
    for table in tables:
        for position, side in enumerate(table.sides):
            numbers = {n for (ident, _), n in side.number.items() if ident == candidate.ident}
            if not numbers or side.slot not in candidate.slots:
                continue
            if not _goes_with_something(table, position, numbers):
                partners = tuple(s.slot for s in table.sides if s.slot not in candidate.slots)
                if partners:
                    slots = tuple(s.slot for s in table.sides)
                    finding = Finding(table.joint.id, table.place.name, "judged", Verdict.NO_FIT, slots=slots)
                    return finding, tuple(s for s in partners if s in open_slots) or partners
    return None


def _goes_with_something(table: Table, position: int, numbers: set[int]) -> bool:
    """Return whether a test lets one of these numbers of a side go with anything; what it was not asked, it is now."""
    if any(row[position] in numbers for row, level in table.rows if level <= Verdict.NEEDS_WORK):
        return True
    left = [c for c in sorted(table.skipped) if c[position] in numbers]
    return any(level <= Verdict.NEEDS_WORK for c in left if table.tell is not None for _, level in table.tell(c))
