"""Judging one test of one joint on the figures of the parts that meet there.

In: a test, and for each slot the figures of what fills it. Out: a ``TestResult``. Here missing figures become verdicts
that are still possible, measurements get the benefit of their resolution, and figures from memory are capped in joints
where a mistake can hurt someone. It knows nothing of lists, settings or other joints.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from catalog_schema.figures import Known, Variant
from catalog_schema.lean import dataclass, replace
from catalog_schema.library import Library
from catalog_schema.quantity import NONE, Choice, Limit, Measure, Range, parse_limit, parse_range, parse_word
from catalog_schema.records import RECORD_KINDS
from solver.report import NO, ShownFigure, TestResult, Verdict
from solver.rules import readings
from solver.rules.branching import Leaf, Tree, Zero, explore
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    FromLibrary,
    Given,
    Joint,
    Outcome,
    Parameter,
    Read,
    RowTable,
    Test,
    Total,
)

DISAGREE = "name-and-measurement-disagree"
FROM_MEMORY = "figure-from-memory"
AT_THE_LIMIT = "at-the-limit"
SECOND_ADAPTER = "second-adapter"
#: Reasons that the judge gives of its own accord, for any test.
JUDGE_REASONS = frozenset({readings.FIGURE_MISSING, DISAGREE, FROM_MEMORY, AT_THE_LIMIT, SECOND_ADAPTER})


@dataclass(frozen=True, slots=True)
class Filled:
    """What fills a slot: its record kind and the variants of its figures (more than one: nobody knows which)."""

    kind: str
    variants: tuple[Variant, ...]


#: Why a test is silent although its figures decide: they are seldom printed. ``although_silent`` asks it all the same.
_SELDOM_PRINTED = frozenset({"finer", "regular"})


def is_asked(
    test: Test, roles: Mapping[str, str], filled: Mapping[str, Filled], *, although_silent: bool = False
) -> bool:
    """Return whether a test is asked; of several readings of a name, one that calls for it is enough."""

    def stated(ref: str) -> list[bool]:
        role, _, path = ref.partition(".")
        there = filled.get(roles[role])
        whole = path.endswith(".material")  # what the whole part is made of is said of each of its sides
        return [path in v or (whole and "material" in v) for v in there.variants] if there is not None else [False]

    answered = bool(test.asked_unless) and all(all(stated(ref)) for ref in test.asked_unless)
    if answered and test.asked_anyway:
        answered = not all(any(stated(ref)) for ref in test.asked_anyway)
    if although_silent and test.silent in _SELDOM_PRINTED:
        return not answered
    return not answered and all(any(stated(ref)) for ref in test.asked_if)


@dataclass(frozen=True, slots=True)
class _Possible:
    """The outcomes still possible, and the missing figures that tell them apart."""

    outcomes: tuple[Outcome, ...]
    causes: tuple[str, ...] = ()

    @property
    def verdicts(self) -> frozenset[Verdict]:
        return frozenset(o.verdict for o in self.outcomes)


def judge(
    joint: Joint, test: Test, roles: Mapping[str, str], filled: Mapping[str, Filled], library: Library
) -> TestResult:
    """Judge a test. ``roles`` says which slot plays which role, ``filled`` what is in the slots."""
    slots = sorted({roles[r.ref.partition(".")[0]] for r in test.reads} & set(filled))
    results = [
        _judge_variant(joint, test, roles, dict(zip(slots, chosen, strict=True)), filled, library)
        for chosen in itertools.product(*(filled[s].variants for s in slots))
    ]
    if len(results) == 1:
        return results[0]
    names = tuple(f"{s}.box" for s in slots if len(filled[s].variants) > 1)
    return readings.united(results, names)


def beside_an_adapter(result: TestResult) -> TestResult:
    """Return the result on a link of an adapter that is on the list: a joint bears one, so a second closes no gap."""
    if result.verdict is not Verdict.NEEDS_ADAPTER:
        return result
    return replace(result, verdict=Verdict.NO_FIT, reason=SECOND_ADAPTER, adapters=(), possible=(Verdict.NO_FIT,))


def _judge_variant(
    joint: Joint,
    test: Test,
    roles: Mapping[str, str],
    figures: Mapping[str, Variant],
    filled: Mapping[str, Filled],
    library: Library,
) -> TestResult:
    reads = {r.ref: _look_up(r, roles, figures) for r in test.reads}
    alternatives = {
        ref: known.value.options
        for ref, known in reads.items()
        if known is not None and isinstance(known.value, Choice)
    }
    best: TestResult | None = None
    for chosen in itertools.product(*alternatives.values()):
        picked = dict(reads)
        for ref, option in zip(alternatives, chosen, strict=True):
            known = reads[ref]
            if known is not None:
                picked[ref] = replace(known, value=option if isinstance(option, str) else Measure(option))
        result = _judge_known(joint, test, roles, picked, filled, library)
        if best is None or result.rank < best.rank:
            best = result
    if best is None:
        raise RuntimeError("a choice without options")
    return best


def _look_up(read: Read, roles: Mapping[str, str], figures: Mapping[str, Variant]) -> Known | None:
    role, _, path = read.ref.partition(".")
    variant = figures.get(roles[role])
    if variant is None:
        return None
    known = variant.get(path)
    if known is None and path.endswith(".material") and not read.own:
        return variant.get("material")
    return known


def _judge_known(
    joint: Joint,
    test: Test,
    roles: Mapping[str, str],
    known: Mapping[str, Known | None],
    filled: Mapping[str, Filled],
    library: Library,
) -> TestResult:
    shown = tuple(_shown(name, p, roles, known) for name, p in test.parameters.items() if isinstance(p, Read))
    used = {k.row for r in test.reads if (k := known[r.ref]) is not None and k.row is not None}
    rows = tuple(sorted(used | set(test.rows)))
    clash = [r for r in test.reads if (k := known[r.ref]) is not None and k.conflict and r.role != "confirming"]
    if clash:
        missing = tuple(_slot_ref(r.ref, roles) for r in clash)
        return TestResult(test.id, Verdict.NOT_KNOWN, DISAGREE, figures=shown, missing=missing, rows=rows)
    tree = outcomes(test, roles, known, filled, library)
    result = settled(joint, test, tree, shown, rows)
    if joint.safety and result.verdict < Verdict.NOT_KNOWN:
        wanted = () if _on_a_link(joint, roles) else result.adapters  # a second adapter is a no, however well known
        weak = [r for r in rows if _weak(library, r) and (r not in _adapter_rows(test) or r in wanted)]
        if weak:
            return replace(result, verdict=Verdict.NOT_KNOWN, reason=FROM_MEMORY, rows=tuple(weak), adapters=())
    return result


def _on_a_link(joint: Joint, roles: Mapping[str, str]) -> bool:
    """Return whether these roles are those of a link: an adapter stands in for one of the two parts."""
    between = {place.adapter for place in joint.places} - {""}
    return any(roles.get(end) in between for end in joint.between)


def outcomes(
    test: Test,
    roles: Mapping[str, str],
    known: Mapping[str, Known | None],
    filled: Mapping[str, Filled],
    library: Library,
) -> Tree[Outcome]:
    """Return all that a test may say: one leaf where the known figures (by ref) decide, else a tree of questions."""
    arguments = {name: argument(p, roles, known, filled, library) for name, p in test.parameters.items()}
    return explore(lambda: test.rule(**arguments))


def _adapter_rows(test: Test) -> set[str]:
    return {p.row for p in test.parameters.values() if isinstance(p, FromLibrary) and p.what == "adapter"}


def _weak(library: Library, row_id: str) -> bool:
    grounds = library.rows[row_id].grounds
    return grounds.basis == "memory" or grounds.confidence == "low"


def _slot_ref(ref: str, roles: Mapping[str, str]) -> str:
    role, _, path = ref.partition(".")
    return f"{roles[role]}.{path}"


def _shown(name: str, read: Read, roles: Mapping[str, str], known: Mapping[str, Known | None]) -> ShownFigure:
    k = known[read.ref]
    ref = _slot_ref(read.ref, roles)
    return ShownFigure(name, ref, None) if k is None else ShownFigure(name, ref, k.value, k.row or "", k.named)


def argument(
    parameter: Parameter,
    roles: Mapping[str, str],
    known: Mapping[str, Known | None],
    filled: Mapping[str, Filled],
    library: Library,
) -> Any:
    """Return what a rule is given for a parameter: the figure (by ref), known or not, or a row of the library."""
    if isinstance(parameter, Given):
        return parameter.number
    if isinstance(parameter, FromLibrary):
        return _from_library(parameter, library)
    if isinstance(parameter, Total):
        return sum((_number(r, roles, known, filled) for r in parameter.reads), Num(Zero))
    kind = _type_of(parameter, roles, filled)
    if parameter.role == "confirming" and known[parameter.ref] is None:
        return None
    if kind == "word":
        return _word(parameter, roles, known, filled)
    if kind == "limit":
        return _limit(parameter, roles, known)
    if kind == "range":
        return _span(parameter, roles, known)
    return _number(parameter, roles, known, filled)


def _from_library(parameter: FromLibrary, library: Library) -> Any:
    if parameter.what == "figure":
        return Band(parameter.row, library.figure(parameter.row).values)
    if parameter.what == "table":
        row = library.table(parameter.row)
        return RowTable(row.id, row.columns, row.cells)
    kind = library.adapter(parameter.row)
    return AdapterPairs(kind.id, kind.pairs)


def _type_of(read: Read, roles: Mapping[str, str], filled: Mapping[str, Filled]) -> str:
    role, _, path = read.ref.partition(".")
    there = filled.get(roles[role])
    return figure_type(there.kind if there is not None else "", path)


@lru_cache(maxsize=2048)
def figure_type(record_kind: str, path: str) -> str:
    """Return ``word``, ``limit``, ``range`` or ``number`` for a figure of a record kind; an unfilled slot: by name."""
    port_name, _, name = path.rpartition(".")
    record = RECORD_KINDS.get(record_kind)
    if record is None:
        return "number" if path.endswith(("_mm", "_deg", "_teeth")) else "word"
    port = record.ports()[port_name] if port_name else None
    reads = (port or record).readers()[name]
    if reads is parse_word:
        return "word"
    if reads is parse_limit:
        return "limit"
    return "range" if reads is parse_range else "number"


def _number(
    read: Read, roles: Mapping[str, str], known: Mapping[str, Known | None], filled: Mapping[str, Filled]
) -> Num:
    k = known[read.ref]
    ref = _slot_ref(read.ref, roles)
    if k is None:
        return Num(Zero) if read.optional and ref.partition(".")[0] not in filled else Num.missing(ref)
    if not isinstance(k.value, Measure):
        return Num.missing(ref)
    if k.value.resolution is not None:
        return Num.measured(ref, k.value.value, k.value.resolution)
    return Num(k.value.value)


def _word(
    read: Read, roles: Mapping[str, str], known: Mapping[str, Known | None], filled: Mapping[str, Filled]
) -> WordFigure:
    k = known[read.ref]
    ref = _slot_ref(read.ref, roles)
    if k is None and read.optional and ref.partition(".")[0] not in filled:
        return WordFigure(ref, "none")
    if k is None and any((other := known[r]) is not None and other.value != NONE for r in read.follows_from):
        return WordFigure(ref, read.follows)
    return WordFigure(ref, k.value if k is not None and isinstance(k.value, str) else None)


def _limit(read: Read, roles: Mapping[str, str], known: Mapping[str, Known | None]) -> LimitFigure:
    k = known[read.ref]
    ref = _slot_ref(read.ref, roles)
    if k is None or not isinstance(k.value, Limit):
        return LimitFigure(ref, "not-stated", Num.missing(ref))
    if k.value.value is None:
        return LimitFigure(ref, "not-printed", Num.missing(ref))
    return LimitFigure(ref, "stated", Num(k.value.value))


def _span(read: Read, roles: Mapping[str, str], known: Mapping[str, Known | None]) -> SpanFigure:
    k = known[read.ref]
    ref = _slot_ref(read.ref, roles)
    value = k.value if k is not None and isinstance(k.value, Range) else Range(None, None)
    ends = [
        Num.missing(f"{ref}:{side}") if end is None else Num(end)
        for side, end in (("from", value.low), ("to", value.high))
    ]
    return SpanFigure(ends[0], ends[1])


def _possible(tree: Tree[Outcome], *, safety: bool, by_hand: bool) -> _Possible:
    """Return what may come out of a tree: missing figures keep both sides, measurements get the milder one.

    In a joint where a mistake can hurt someone a measurement at the edge settles nothing, unless what is wrong shows
    itself in the hand and is not unsafe.
    """
    if isinstance(tree, Leaf):
        return _Possible((tree.outcome,))
    yes, no = (_possible(t, safety=safety, by_hand=by_hand) for t in (tree.yes, tree.no))
    causes = tuple(dict.fromkeys((*yes.causes, *no.causes)))
    if not tree.question.measured:
        if yes.verdicts != no.verdicts or len(yes.verdicts) > 1:
            causes = tuple(dict.fromkeys((*tree.question.causes, *causes)))
        return _Possible(_once((*yes.outcomes, *no.outcomes)), causes)
    found: list[Outcome] = []
    for a, b in itertools.product(yes.outcomes, no.outcomes):
        if a.verdict == b.verdict:
            found.append(replace(a, remarks=tuple(r for r in a.remarks if r in b.remarks)))
        elif not safety or (by_hand and Verdict.UNSAFE not in (a.verdict, b.verdict)):
            milder = min(a, b, key=lambda o: o.verdict)
            found.append(replace(milder, remarks=tuple(dict.fromkeys((*milder.remarks, AT_THE_LIMIT)))))
        elif {a.verdict, b.verdict} <= NO:
            found.extend((a, b))
        else:
            worse = max(a, b, key=lambda o: o.verdict)
            found.append(Outcome(Verdict.NOT_KNOWN, AT_THE_LIMIT, computed=worse.computed))
            causes = tuple(dict.fromkeys((*causes, *tree.question.causes)))
    return _Possible(_once(found), causes)


def _once(outcomes: Iterable[Outcome]) -> tuple[Outcome, ...]:
    seen: dict[tuple[Verdict, str, tuple[str, ...]], Outcome] = {}
    for outcome in outcomes:
        seen.setdefault((outcome.verdict, outcome.reason, outcome.remarks), outcome)
    return tuple(seen.values())


def settled(
    joint: Joint, test: Test, tree: Tree[Outcome], shown: tuple[ShownFigure, ...] = (), rows: tuple[str, ...] = ()
) -> TestResult:
    """Return the result that follows from the verdicts still possible; figures from memory are not capped yet."""
    possible = _possible(tree, safety=joint.safety, by_hand=test.by_hand)
    verdicts = possible.verdicts
    ordered = tuple(sorted(verdicts))
    mildest = min(possible.outcomes, key=lambda o: (o.verdict, possible.outcomes.index(o)))
    figures = (*shown, *_computed(mildest))
    if len(verdicts) == 1:
        common = tuple(r for r in mildest.remarks if all(r in o.remarks for o in possible.outcomes))
        kinds = tuple(dict.fromkeys(a for o in possible.outcomes for a in o.adapters))
        missing = possible.causes if mildest.verdict is Verdict.NOT_KNOWN else ()
        return TestResult(
            test.id,
            mildest.verdict,
            mildest.reason,
            figures=figures,
            remarks=common,
            adapters=kinds,
            rows=rows,
            possible=ordered,
            missing=missing,
        )
    if verdicts <= NO:
        return TestResult(
            test.id,
            Verdict.NO_FIT,
            mildest.reason,
            perhaps=Verdict.UNSAFE,
            figures=figures,
            missing=possible.causes,
            rows=rows,
            possible=ordered,
        )
    own = next((o for o in possible.outcomes if o.verdict is Verdict.NOT_KNOWN), None)
    reason = own.reason if own is not None and not possible.causes else readings.FIGURE_MISSING
    unknown = Verdict.NOT_KNOWN
    return TestResult(test.id, unknown, reason, figures=shown, missing=possible.causes, rows=rows, possible=ordered)


def _computed(outcome: Outcome) -> tuple[ShownFigure, ...]:
    return tuple(ShownFigure(name, "", num.value) for name, num in outcome.computed)
