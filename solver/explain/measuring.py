"""The fewest measurements that settle a list in the worst case: each outcome of each is tried by the rules.

In: a list as a ``Trial`` and its findings. Out: what to measure, in which order, and what the outcomes mean. A figure
is tried at values on both sides of, and at, every edge at which a rule may change its mind, so that all that can come
out does come out.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Final

from catalog_schema.hints import Hint, hint
from catalog_schema.lean import dataclass, field, replace
from catalog_schema.records import RECORD_KINDS
from solver.explain.supposing import Cell, Given, cells_of, given_of, supposing
from solver.explain.trial import Trial
from solver.remedies import Meaning, Measurement
from solver.report import NO, Finding, Verdict

#: Up to so many missing figures the order is proven to be the shortest.
EXACT: Final = 6
_MOST_STATES: Final = 700


@dataclass(frozen=True, slots=True)
class Plan:
    """What to measure, the worst case, whether that is proven, and findings that no measurement settles."""

    measurements: tuple[Measurement, ...]
    worst: int
    exact: bool
    asking: tuple[Finding, ...]


@dataclass
class _Group:
    """Findings that share figures, the figures, and their verdicts for what was given."""

    work: Trial
    findings: tuple[str, ...]
    refs: tuple[str, ...]
    cells: dict[str, list[Cell]]
    kept: dict[Given, tuple[Verdict, ...]] = field(default_factory=dict)
    missing: dict[Given, tuple[tuple[str, ...], ...]] = field(default_factory=dict)

    def verdicts(self, given: Given) -> tuple[Verdict, ...]:
        """Return the verdict of each finding; one that is not judged any more cannot say no."""
        mine = tuple(g for g in given if g[0] in self.refs)
        if mine not in self.kept:
            found = supposing(self.work, mine).findings()
            self.kept[mine] = tuple(
                found[f].verdict if found[f].state == "judged" else Verdict.FITS for f in self.findings
            )
            self.missing[mine] = tuple(_missing(found[f]) for f in self.findings)
        return self.kept[mine]

    def waiting(self, given: Given) -> list[list[str]]:
        """Return for each finding that is not known the figures it waits for; those that wait for none are left out.

        Such a finding may stay not known whatever is measured: only the maker can tell.
        """
        verdicts = self.verdicts(given)
        missing = self.missing[tuple(g for g in given if g[0] in self.refs)]
        known = {r for r, _ in given}
        waiting = [
            [r for r in m if r in self.refs and r not in known]
            for v, m in zip(verdicts, missing, strict=True)
            if v is Verdict.NOT_KNOWN
        ]
        return [w for w in waiting if w]

    def open_refs(self, given: Given) -> list[str]:
        """Return the figures that the finding with the fewest of them still waits for."""
        return min(self.waiting(given), key=len, default=[])


def plan(work: Trial, findings: Iterable[Finding]) -> Plan:
    """Return what to measure; nothing, if a joint says no already or all is known."""
    judged = [f for f in findings if f.state == "judged"]
    open_ones = [f for f in judged if f.verdict is Verdict.NOT_KNOWN]
    if any(f.verdict in NO for f in judged) or not open_ones:
        return Plan((), 0, True, ())
    groups, exact = _groups(work, open_ones)
    askable = {f for g in groups for f in g.findings}
    asking = tuple(f for f in open_ones if f.id not in askable)
    number = sum(len(g.refs) for g in groups)
    states = sum(_product(len(g.cells[r]) + 1 for r in g.refs) for g in groups)
    exact = exact and number <= EXACT and states <= _MOST_STATES
    order, worst = (_Exact(groups).order() if exact else _greedy(groups)) if groups else ([], 0)
    told = tuple(_told(ref, groups, work) for ref in order)
    return Plan(told, worst, exact, asking)


# -- groups and cells ---------------------------------------------------------------------------------------------


def _groups(work: Trial, open_ones: Sequence[Finding]) -> tuple[list[_Group], bool]:
    """Return groups of findings that share missing figures, with only figures that can alter a verdict."""
    missing = {f.id: _missing(f) for f in open_ones}
    merged: list[tuple[set[str], set[str]]] = []
    for finding in open_ones:
        ids, refs = {finding.id}, set(missing[finding.id])
        apart = [m for m in merged if not m[1] & refs]
        for m in merged:
            if m[1] & refs:
                ids |= m[0]
                refs |= m[1]
        merged = [*apart, (ids, refs)]
    order = [f.id for f in open_ones]
    groups = []
    exact = True
    for ids, refs in merged:
        named = tuple(sorted(ids, key=order.index))
        slots = {s for f in open_ones if f.id in ids for s in (*f.slots, *f.through)}
        near = work.about(frozenset(slots))
        wanted = sorted(refs)
        cells = cells_of(near, named, wanted)
        small = _product(len(cells[r]) for r in wanted) <= _MOST_STATES
        exact = exact and (small or len(wanted) > EXACT)
        group = _Group(near, named, tuple(wanted), cells)
        telling = [r for r in wanted if _can_alter(group, r)] if small else wanted
        if not telling:
            continue
        group = _Group(near, named, tuple(telling), cells)
        settled = tuple(f for f in named if _settles(group, named.index(f))) if small else named
        if settled:
            groups.append(_Group(near, settled, tuple(telling), cells))
    return groups, exact


def _missing(finding: Finding) -> tuple[str, ...]:
    found = [m for t in finding.tests if t.verdict is Verdict.NOT_KNOWN for m in t.missing]
    return tuple(dict.fromkeys(found))


def _completions(group: _Group, without: str = "") -> Iterable[Given]:
    """Return all ways to know all figures but one."""
    refs = [r for r in group.refs if r != without]
    every = itertools.product(*(group.cells[r] for r in refs))
    return (tuple(zip(refs, c, strict=True)) for c in every)


def _can_alter(group: _Group, ref: str) -> bool:
    for rest in _completions(group, ref):
        found = {_class(group.verdicts(given_of({**dict(rest), ref: c}))) for c in group.cells[ref]}
        if len(found) > 1:
            return True
    return False


def _settles(group: _Group, at: int) -> bool:
    return any(group.verdicts(rest)[at] is not Verdict.NOT_KNOWN for rest in _completions(group))


def _class(verdicts: Sequence[Verdict]) -> object:
    """Return what a list would be called: no, or how many are not known and the worst of the others."""
    if any(v in NO for v in verdicts):
        return "no"
    return (tuple(v is Verdict.NOT_KNOWN for v in verdicts), max(verdicts))


def _product(sizes: Iterable[int]) -> int:
    out = 1
    for size in sizes:
        out *= size
    return out


# -- the order ----------------------------------------------------------------------------------------------------


def _settled(groups: Sequence[_Group], given: Given) -> bool:
    verdicts = [v for g in groups for v in g.verdicts(given)]
    return any(v in NO for v in verdicts) or not any(g.waiting(given) for g in groups)


class _Exact:
    """The shortest order in the worst case, by trying all."""

    def __init__(self, groups: Sequence[_Group]) -> None:
        self.groups = groups
        self.cells = {r: g.cells[r] for g in groups for r in g.refs}
        self.kept: dict[Given, tuple[int, str]] = {}

    def best(self, given: Given) -> tuple[int, str]:
        """Return how many more are needed in the worst case, and the figure to begin with."""
        if given not in self.kept:
            self.kept[given] = (0, "") if _settled(self.groups, given) else self._search(given)
        return self.kept[given]

    def _search(self, given: Given) -> tuple[int, str]:
        known = dict(given)
        found = (len(self.cells) + 1, "")
        for ref in self._open(given):
            worst = 0
            for cell in self.cells[ref]:
                worst = max(worst, self.best(given_of({**known, ref: cell}))[0])
                if worst + 1 >= found[0]:
                    break
            found = min(found, (worst + 1, ref), key=lambda pair: pair[0])
        return found if found[1] else (0, "")

    def _open(self, given: Given) -> list[str]:
        return list(dict.fromkeys(r for g in self.groups for w in g.waiting(given) for r in w))

    def order(self) -> tuple[list[str], int]:
        """Return the figures along the worst case."""
        given: Given = ()
        order: list[str] = []
        worst = self.best(given)[0]
        while True:
            _, ref = self.best(given)
            if not ref:
                return order, worst
            order.append(ref)
            known = dict(given)
            given = max(
                (given_of({**known, ref: c}) for c in self.cells[ref]),
                key=lambda g: (self.best(g)[0], not self._says_no(g)),
            )

    def _says_no(self, given: Given) -> bool:
        return any(v in NO for g in self.groups for v in g.verdicts(given))


def _greedy(groups: Sequence[_Group]) -> tuple[list[str], int]:
    """Return an order in which each figure leaves the fewest joints open in its worst outcome."""
    cells = {r: g.cells[r] for g in groups for r in g.refs}
    given: Given = ()
    order: list[str] = []
    while not _settled(groups, given):
        known = dict(given)
        best: tuple[tuple[int, int], str, Given] | None = None
        for group in groups:
            for ref in group.open_refs(given):
                after = [(_left(groups, g), g) for c in cells[ref] for g in [given_of({**known, ref: c})]]
                worst = max(after, key=lambda pair: pair[0])
                key = (worst[0], sum(n for n, _ in after))
                if best is None or key < best[0]:
                    best = (key, ref, worst[1])
        if best is None:
            break
        order.append(best[1])
        given = best[2]
    return order, len(order)


def _left(groups: Sequence[_Group], given: Given) -> int:
    verdicts = [v for g in groups for v in g.verdicts(given)]
    return 0 if any(v in NO for v in verdicts) else sum(len(g.waiting(given)) for g in groups)


# -- telling ------------------------------------------------------------------------------------------------------


def _told(ref: str, groups: Sequence[_Group], work: Trial) -> Measurement:
    group = next(g for g in groups if ref in g.refs)
    return Measurement(ref, _hint(ref, work), group.findings, tuple(_meanings(group, ref)))


def _hint(ref: str, work: Trial) -> Hint:
    slot, _, rest = ref.partition(".")
    path = rest.partition(":")[0]
    known = work.bicycle.by_id.get(slot)
    port, _, figure = path.rpartition(".")
    if known is None or path == "box":
        return Hint("which of several sizes its name means" if path == "box" else path.replace("_", " "))
    ports = RECORD_KINDS[known.kind].ports()
    return hint(ports[port].kind if port in ports else "record", figure)


def _meanings(group: _Group, ref: str) -> Iterable[Meaning]:
    """Return what the outcomes of one measurement would mean by themselves, like ones in one."""
    cells = group.cells[ref]
    found: list[Meaning] = []
    for at, cell in enumerate(cells):
        verdict = _alone(group, ((ref, cell),))
        if isinstance(cell, str):
            found.append(Meaning(word=cell, verdict=verdict))
            continue
        numbers = [c for c in cells if isinstance(c, Decimal)]
        place = numbers.index(cell)
        edge = place % 2 == 1
        low = cell if edge else numbers[place - 1] if place else None
        high = cell if edge else numbers[place + 1] if place + 1 < len(numbers) else None
        now = Meaning(low, high, not edge and low is not None, not edge and high is not None, "", verdict)
        last = found[-1] if found and at and not found[-1].word else None
        if last is not None and last.verdict is verdict:
            found[-1] = replace(last, high=now.high, high_open=now.high_open)
        else:
            found.append(now)
    return found


def _alone(group: _Group, given: Given) -> Verdict | None:
    """Return what is settled once this is known; ``not-known``: only the maker can tell."""
    verdicts = group.verdicts(given)
    no = [v for v in verdicts if v in NO]
    return max(no) if no else None if group.waiting(given) else max(verdicts)
