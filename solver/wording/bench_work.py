"""The order of work in words: what to do at each step, how tight, with what, and how to see that it is done.

In: steps of ``report_bench``. Out: texts. The sentences of a step stand in ``bench_<area>.toml`` under ``step``; one
without a sentence is told by its id. The same step at the front and at the rear, one right after the other, is told
once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from catalog_schema.lean import dataclass
from solver.report_bench import StepTorque, WorkStep
from solver.wording import store, words


@dataclass(frozen=True, slots=True)
class ToldStep:
    """A step in words. ``taught`` are sentences of the trade; ``practice`` the same, each with what it rests on."""

    number: int
    do: str
    check: str
    torques: tuple[str, ...]
    uses: str
    tools: str
    practice: tuple[str, ...]
    taught: tuple[str, ...]
    figures: tuple[str, ...]
    safety: bool


def told(steps: Sequence[WorkStep]) -> list[ToldStep]:
    """Return the steps in words, numbered."""
    return [_told(i, group) for i, group in enumerate(_together(steps), start=1)]


def _together(steps: Sequence[WorkStep]) -> list[list[WorkStep]]:
    """Return the steps, those that differ in their place only in one group."""
    groups: list[list[WorkStep]] = []
    for step in steps:
        last = groups[-1][-1] if groups else None
        if last is not None and last.id == step.id and _same(last) == _same(step):
            groups[-1].append(step)
        else:
            groups.append([step])
    return groups


def _same(step: WorkStep) -> tuple[object, ...]:
    return (step.id, [(t.row, t.from_nm, t.to_nm) for t in step.torques], step.notes, step.uses)


def _told(number: int, group: Sequence[WorkStep]) -> ToldStep:
    step = group[0]
    table = sentences(step)
    places = [s.place for s in group if s.place in ("front", "rear")]
    do = str(table.get("do", words.sentence(step.id.replace("-", " "))))
    where = f"{words.listed(places)[0].upper()}{words.listed(places)[1:]}: {do[0].lower()}{do[1:]}" if places else do
    return ToldStep(
        number,
        where,
        str(table.get("check", "")),
        tuple(torque(t, named=len({t.row for t in step.torques}) > 1) for t in step.torques),
        words.listed(list(dict.fromkeys(words.row_name(r) for r in step.uses))),
        words.listed([str(store.common_bench("tool").get(t, t)) for t in step.tools]),
        tuple(practice(step.notes)),
        tuple(words.sentence(words.row_name(r)) for r in step.notes),
        tuple(f for s in group for f in s.figures),
        step.safety,
    )


def sentences(step: WorkStep) -> dict[str, Any]:
    """Return what is written of a step; an empty table if nothing is."""
    area = step.joint.partition(".")[0]
    return dict(store.file(f"bench_{area}").get("step", {}).get(step.id, {}))


def torque(tight: StepTorque, *, named: bool = False) -> str:
    """Return how tight, and who says so; ``named``: and of what, where a step has bolts of several kinds."""
    case = f"{tight.kind.replace('_', ' ')} " if tight.kind else f"{words.row_name(tight.row)} " if named else ""
    low = f"{words.computed(tight.from_nm)} to " if tight.from_nm is not None else ""
    figure = f"{case}{low}{words.computed(tight.to_nm)} Nm"
    if tight.doubtful:
        part = words.slot(tight.ref.partition(".")[0])
        return f"not yet: read the torque on the {part} again, {figure} is far over the usual (inch pounds?)"
    if tight.ref:
        return f"{figure}, printed on the {words.slot(tight.ref.partition('.')[0])}"
    return f"{figure} usual{''.join(f' ({g})' for g in words.grounds_of(tight.row) if g.startswith('from memory'))}"


def practice(rows: Iterable[str]) -> Iterable[str]:
    """Return what practice teaches, each with what it rests on."""
    for row in rows:
        yield f"{words.sentence(words.row_name(row))} ({'; '.join(words.grounds_of(row))})"
