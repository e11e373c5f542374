"""Figures of the front end: the cut of the steerer, and where its anchor goes."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from solver.bench.registry import Worked, assumed, down, figure, nearest
from solver.formulas import steerer as lengths
from solver.report_bench import Grid
from solver.rules.registry import Band, Read, confirming, deciding, place, trade_figure

_CLAMPED: Final = {"fork.steerer.form": ("threadless",), "stem.steerer_clamp.form": ("clamp",)}


@figure(
    "front_end.steerer-cut",
    place(fork="fork", frame="frame", lower="headset_lower", upper="headset_upper", spacers="spacers", stem="stem"),
    formula="formula.steerer-cut",
    gives={
        "cut_length_mm": down("0.5"),
        "saw_at_mm": down("0.5"),
        "cut_off_mm": nearest("0.5"),
        "least_mm": nearest("0.5"),
        "short_by_mm": nearest("0.5"),
    },
    remarks=("too-short", "fewer-spacers", "no-cut", "length-not-known"),
    where=_CLAMPED,
    lasting=True,
    caution=True,
    head_tube=deciding("frame.head_tube.length_mm"),
    lower=deciding("lower.stack.height_mm"),
    upper=deciding("upper.stack.height_mm"),
    below=deciding("spacers.stack.below_mm", optional=True),
    above=assumed("spacers.stack.above_mm", "0", optional=True),
    stem=deciding("stem.steerer_clamp.height_mm"),
    steerer=confirming("fork.steerer.length_mm"),
    gap=trade_figure("front-end.steerer-gap"),
    most=trade_figure("front-end.steerer-gap-limit"),
    saw=trade_figure("front-end.saw-allowance"),
)
def steerer_cut(
    head_tube: Decimal,
    lower: Decimal,
    upper: Decimal,
    below: Decimal,
    above: Decimal,
    stem: Decimal,
    steerer: Decimal | None,
    gap: Band,
    most: Band,
    saw: Band,
) -> Worked:
    """How long the steerer is to be, from the crown seat to its end, and where the saw goes."""
    height = lengths.stack(head_tube, lower, upper, below + above, stem)
    cut = lengths.cut_length(height, gap["to_mm"])
    least = lengths.cut_length(lengths.stack(head_tube, lower, upper, Decimal(0), stem), most["most_mm"])
    grid = _stack(
        ("headset_lower", lower), ("frame", head_tube), ("headset_upper", upper), ("spacers below", below),
        ("stem", stem), ("spacers above", above),
    )  # fmt: skip
    results = {"cut_length_mm": cut, "saw_at_mm": cut + saw["kerf_mm"] / 2 + saw["file_mm"], "least_mm": least}
    if steerer is None:
        return Worked(results, ("length-not-known",), grid=grid)
    off = lengths.cut_off(steerer, height, gap["to_mm"])
    if steerer < least:
        return Worked({"short_by_mm": least - steerer, "least_mm": least}, (), ("too-short",), grid)
    if lengths.below_top(steerer, height) > most["most_mm"]:
        return Worked({"short_by_mm": -off, "least_mm": least}, (), ("fewer-spacers",), grid)
    if lengths.below_top(steerer, height) > 0:
        return Worked({"least_mm": least}, ("no-cut",), grid=grid)
    return Worked({**results, "cut_off_mm": off}, grid=grid)


def _stack(*parts: tuple[str, Decimal]) -> Grid:
    """Return the stack part by part, from the crown seat upwards; what adds nothing is left out."""
    lines: list[tuple[Decimal | str | None, ...]] = []
    top = Decimal(0)
    for name, height in parts:
        if height:
            top += height
            lines.append((name, height, top))
    return Grid(("part", "height_mm", "up_to_mm"), tuple(lines))


@figure(
    "front_end.star-nut-depth",
    place(anchor="preload_anchor", fork="fork"),
    formula="front-end.star-nut-depth",
    gives={"from_mm": None, "to_mm": None},
    where={"anchor.anchor.form": ("star-nut",), "fork.steerer.form": ("threadless",)},
    form=Read("anchor.anchor.form"),
    depth=trade_figure("front-end.star-nut-depth"),
)
def star_nut_depth(form: str, depth: Band) -> Worked | None:
    """How far below the end of the cut steerer the star nut goes."""
    if form != "star-nut":
        return None
    return Worked({"from_mm": depth["from_mm"], "to_mm": depth["to_mm"]})
