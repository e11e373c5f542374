"""What is sure of a name that can mean several sizes: a test is judged for each reading, then united."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from catalog_schema.lean import replace
from solver.report import NO, ShownFigure, TestResult, Verdict

#: The reason of a test that a missing figure decides.
FIGURE_MISSING: Final = "figure-missing"


def united(results: Sequence[TestResult], names: tuple[str, ...]) -> TestResult:
    """Return what is sure of several readings of an ambiguous name."""
    verdicts = {r.verdict for r in results} | {r.perhaps for r in results if r.perhaps is not None}
    first = max(results, key=lambda r: r.rank)
    if len(verdicts) == 1:
        return first
    if verdicts <= NO:
        mild = min(results, key=lambda r: r.rank)
        return replace(mild, verdict=Verdict.NO_FIT, perhaps=Verdict.UNSAFE, possible=tuple(sorted(verdicts)))
    missing = tuple(dict.fromkeys((*names, *(m for r in results for m in r.missing))))
    return replace(
        first,
        verdict=Verdict.NOT_KNOWN,
        perhaps=None,
        reason=FIGURE_MISSING,
        figures=_agreed(results),
        missing=missing,
        possible=tuple(sorted(verdicts)),
        adapters=(),
        remarks=(),
    )


def _agreed(results: Sequence[TestResult]) -> tuple[ShownFigure, ...]:
    """Return the figures of several readings: where they differ, no value; where they agree, no single row says so."""
    shown = []
    for figure in max(results, key=lambda r: r.rank).figures:
        told = [f for r in results for f in r.figures if f.ref == figure.ref]
        if len({f.value for f in told}) > 1:
            shown.append(replace(figure, value=None))
        else:
            shown.append(figure if len({f.row for f in told}) == 1 else replace(figure, row=""))
    return tuple(shown)
