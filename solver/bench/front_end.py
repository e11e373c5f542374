"""Figures of the front end: the cut of the steerer, the room for the stem, what anchors the cap, the bar's trim."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from catalog_schema.quantity import Limit
from solver.bench.registry import Worked, assumed, down, figure, nearest
from solver.formulas import handlebar
from solver.formulas import steerer as lengths
from solver.report_bench import Grid
from solver.rules.registry import Band, Read, confirming, deciding, place, trade_figure

_CLAMPED: Final = {"fork.steerer.form": ("threadless",), "stem.steerer_clamp.form": ("clamp",)}
_FRONT: Final = place(
    fork="fork", frame="frame", lower="headset_lower", upper="headset_upper", spacers="spacers", stem="stem"
)
_CARBON: Final = "carbon"
#: A length as it is marked; what is said beside it is worked out from the marked one, so that the sums come out.
_SAWN: Final = down("0.5")


@figure(
    "front_end.steerer-cut",
    _FRONT,
    formula="formula.steerer-cut",
    gives={
        "cut_length_mm": _SAWN,
        "saw_at_mm": down("0.5"),
        "cut_off_mm": nearest("0.5"),
        "held_mm": nearest("0.5"),
        "least_mm": nearest("0.5"),
        "below_top_mm": nearest("0.5"),
        "short_by_mm": nearest("0.5"),
        "first_cut_mm": _SAWN,
        "first_below_mm": None,
    },
    remarks=(
        "too-short",
        "fewer-spacers",
        "cut-already",
        "length-not-known",
        "carbon",
        "clamp-over-the-end",
        "high-stack",
        "longer-first",
    ),
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
    material=confirming("fork.steerer.material"),
    gap=trade_figure("front-end.steerer-gap"),
    most=trade_figure("front-end.steerer-gap-limit"),
    saw=trade_figure("front-end.saw-allowance"),
    greatest=confirming("fork.steerer.spacers_below_max_mm"),
    first=trade_figure("front-end.first-spacers"),
    usual=trade_figure("front-end.usual-spacers"),
    through=trade_figure("front-end.clamp-on-carbon"),
)
def steerer_cut(
    head_tube: Decimal,
    lower: Decimal,
    upper: Decimal,
    below: Decimal,
    above: Decimal,
    stem: Decimal,
    steerer: Decimal | None,
    material: str | None,
    gap: Band,
    most: Band,
    saw: Band,
    greatest: Limit | None,
    first: Band,
    usual: Band,
    through: Band,
) -> Worked:
    """How long the steerer is to be, from the crown seat to its end, and where the saw goes.

    Where the list has fewer spacers than one begins with, and the fork has the length, the first cut leaves them.
    """
    height = lengths.stack(head_tube, lower, upper, below + above, stem)
    cut = lengths.cut_length(height, gap["to_mm"])
    sawn = _SAWN.of(cut)
    least = lengths.cut_length(lengths.stack(head_tube, lower, upper, Decimal(0), stem), most["most_mm"])
    grid = _stack(
        ("headset_lower", lower), ("frame", head_tube), ("headset_upper", upper), ("spacers below", below),
        ("stem", stem), ("spacers above", above),
    )  # fmt: skip
    out_of_clamp = above - (height - sawn)
    held = min(stem, stem + out_of_clamp)
    high = below > usual["most_mm"] and (greatest is None or greatest.value is None)
    remarks = (
        *(("carbon",) if material == _CARBON else ()),
        *(("clamp-over-the-end",) if material == _CARBON and out_of_clamp < through["least_mm"] else ()),
        *(("high-stack",) if high else ()),
    )
    results = {
        "cut_length_mm": cut,
        "saw_at_mm": sawn + saw["kerf_mm"] / 2 + saw["file_mm"],
        "held_mm": held,
        "least_mm": least,
    }
    if steerer is None:
        return Worked(results, ("length-not-known", *remarks), grid=grid)
    below_top = lengths.below_top(steerer, height)
    if steerer < least:
        return Worked({"short_by_mm": least - steerer, "least_mm": least}, (), ("too-short",), grid)
    if below_top > most["most_mm"]:
        short = -lengths.cut_off(steerer, height, gap["to_mm"])
        return Worked({"short_by_mm": short, "least_mm": least}, (), ("fewer-spacers",), grid)
    if below_top > 0:
        held = min(stem, stem + above - below_top)
        found = {"below_top_mm": below_top, "held_mm": held, "least_mm": least}
        return Worked(found, ("cut-already",), grid=grid)
    found = {**results, "cut_off_mm": steerer - sawn}
    begin = first["from_mm"] if greatest is None or greatest.value is None else min(first["from_mm"], greatest.value)
    if below + above < begin and (longer := cut + begin - below - above) < steerer:
        found |= {"first_cut_mm": longer, "first_below_mm": begin}
        remarks = (*remarks, "longer-first")
    return Worked(found, remarks, grid=grid)


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
    "front_end.stem-height",
    _FRONT,
    formula="formula.stem-height",
    gives={
        "least_below_mm": None,
        "most_below_mm": down("0.5"),
        "first_from_mm": None,
        "first_to_mm": None,
    },
    remarks=("fork-maker-decides", "ask-fork-maker"),
    where=_CLAMPED,
    steerer=deciding("fork.steerer.length_mm"),
    head_tube=deciding("frame.head_tube.length_mm"),
    lower=deciding("lower.stack.height_mm"),
    upper=deciding("upper.stack.height_mm"),
    above=assumed("spacers.stack.above_mm", "0", optional=True),
    stem=deciding("stem.steerer_clamp.height_mm"),
    least=confirming("fork.steerer.spacers_below_min_mm"),
    greatest=confirming("fork.steerer.spacers_below_max_mm"),
    material=confirming("fork.steerer.material"),
    gap=trade_figure("front-end.steerer-gap"),
    first=trade_figure("front-end.first-spacers"),
)
def stem_height(
    steerer: Decimal,
    head_tube: Decimal,
    lower: Decimal,
    upper: Decimal,
    above: Decimal,
    stem: Decimal,
    least: Limit | None,
    greatest: Limit | None,
    material: str | None,
    gap: Band,
    first: Band,
) -> Worked | None:
    """How low and how high the stem can go on the steerer as it is, told by the spacers under it."""
    low = least.value if least is not None and least.value is not None else Decimal(0)
    high = lengths.cut_off(steerer, lengths.stack(head_tube, lower, upper, above, stem), gap["to_mm"])
    printed = greatest.value if greatest is not None else None
    remarks: tuple[str, ...] = ()
    if printed is not None and printed <= high:
        high, remarks = printed, ("fork-maker-decides",)
    elif printed is None and material == _CARBON:
        remarks = ("ask-fork-maker",)
    if high < low:
        return None
    results = {"least_below_mm": low, "most_below_mm": high}
    if high > first["from_mm"]:
        results |= {"first_from_mm": first["from_mm"], "first_to_mm": min(first["to_mm"], high)}
    return Worked(results, remarks)


@figure(
    "front_end.star-nut-depth",
    place(anchor="preload_anchor", fork="fork"),
    formula="front-end.star-nut-depth",
    gives={"from_mm": None, "to_mm": None},
    remarks=("never-in-carbon",),
    where={"anchor.anchor.form": ("star-nut",), "fork.steerer.form": ("threadless",)},
    form=Read("anchor.anchor.form"),
    material=confirming("fork.steerer.material"),
    depth=trade_figure("front-end.star-nut-depth"),
    metal=trade_figure("front-end.star-nut-materials"),
)
def star_nut_depth(form: str, material: str | None, depth: Band, metal: Band) -> Worked | None:
    """How far below the end of the cut steerer the star nut goes; a star nut never goes in carbon."""
    if form != "star-nut":
        return None
    if material == _CARBON:
        return Worked(warnings=("never-in-carbon",))
    return Worked({"from_mm": depth["from_mm"], "to_mm": depth["to_mm"]})


@figure(
    "front_end.expander-length",
    place(anchor="preload_anchor", fork="fork", stem="stem", spacers="spacers"),
    formula="formula.expander-length",
    gives={"plug_mm": None, "stem_mm": None, "least_mm": None, "end_over_stem_mm": None, "short_by_mm": None},
    remarks=("plug-short",),
    where={"anchor.anchor.form": ("expander",), "fork.steerer.material": (_CARBON,)},
    form=Read("anchor.anchor.form"),
    plug=deciding("anchor.anchor.length_mm"),
    stem=deciding("stem.steerer_clamp.height_mm"),
    above=Read("spacers.stack.above_mm", "confirming", optional=True),
    gap=trade_figure("front-end.steerer-gap"),
)
def expander_length(form: str, plug: Decimal, stem: Decimal, above: Decimal | None, gap: Band) -> Worked | None:
    """How long the plug in a carbon steerer has to be, so that it backs up the whole clamp of the stem.

    It hangs in the end of the steerer. Spacers on the stem carry that end up and away from the clamp.
    """
    if form != "expander":
        return None
    end_over_stem = max(Decimal(0), (above or Decimal(0)) - gap["from_mm"])
    least = stem + end_over_stem
    found = {"plug_mm": plug, "stem_mm": stem, "least_mm": least}
    if end_over_stem:
        found["end_over_stem_mm"] = end_over_stem
    if plug < least:
        return Worked({**found, "short_by_mm": least - plug}, warnings=("plug-short",))
    return Worked(found)


@figure(
    "front_end.bar-trim",
    place(bar="handlebar"),
    formula="formula.bar-trim",
    gives={"each_side_mm": down("0.5"), "wanted_mm": None, "short_by_mm": None, "least_mm": None},
    remarks=("too-narrow", "below-makers-least", "ask-bar-maker", "as-sold"),
    asked_if=("bar.span.wanted_mm",),
    lasting=True,
    caution=True,
    width=deciding("bar.span.width_mm"),
    wanted=deciding("bar.span.wanted_mm"),
    least=confirming("bar.span.least_mm"),
)
def bar_trim(width: Decimal, wanted: Decimal, least: Limit | None) -> Worked:
    """How much of a bar is cut off each end for the width that the rider wants."""
    if wanted > width:
        return Worked({"short_by_mm": wanted - width, "wanted_mm": wanted}, warnings=("too-narrow",))
    if least is not None and least.value is not None and wanted < least.value:
        return Worked({"least_mm": least.value, "wanted_mm": wanted}, warnings=("below-makers-least",))
    if wanted == width:
        return Worked({"wanted_mm": wanted}, ("as-sold",))
    known = least is not None and least.value is not None
    found = {"each_side_mm": handlebar.trim(width, wanted), "wanted_mm": wanted}
    return Worked(found, () if known else ("ask-bar-maker",))
