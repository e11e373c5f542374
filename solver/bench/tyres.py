"""Figures of the tyres: the mounted size, the room left, the pressure ceiling, tape and valve."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from catalog_schema.quantity import Limit
from solver.bench.registry import Worked, down, either, figure, nearest, up
from solver.formulas import gears, units
from solver.formulas import tyre as sizes
from solver.rules.registry import Band, Read, RowTable, confirming, deciding, place, table, trade_figure

_ON_RIMS: Final = (
    place("front", tyre="front_tyre", rim="front_rim"),
    place("rear", tyre="rear_tyre", rim="rear_rim"),
)
_IN_FRAMES: Final = (
    place("front", tyre="front_tyre", rim="front_rim", holder="fork", bicycle="bicycle"),
    place("rear", tyre="rear_tyre", rim="rear_rim", holder="frame", bicycle="bicycle"),
)


#: Tyres that differ by no more, in millimetres, take the same sealant.
_AS_WIDE: Final = Decimal(3)


def _width(width: Decimal, measured: Decimal | None, inner: Decimal, design: Decimal, growth: Band) -> Decimal:
    return measured if measured is not None else sizes.mounted_width(width, inner, design, growth["usual_mm"])


def _design_rim(design: Decimal | None, width: Decimal, rims: RowTable) -> Decimal | None:
    """Return the inner width of the rim that a tyre's printed width is true on: stated, or of the table."""
    if design is not None:
        return design
    whole = width.to_integral_value(ROUND_HALF_UP)
    for row in rims.dicts():
        low, high, rim = row["tyre_from_mm"], row["tyre_to_mm"], row["rim_mm"]
        if isinstance(low, Decimal) and isinstance(high, Decimal) and isinstance(rim, Decimal) and low <= whole <= high:
            return rim
    return None


def _height(width: Decimal, section: Band) -> Decimal:
    return width + section["narrow_added_mm"] if width < section["narrow_below_mm"] else width


@figure(
    "tyres.mounted-size",
    *_ON_RIMS,
    formula="formula.mounted-size",
    gives={
        "width_mm": nearest("0.5"),
        "radius_mm": nearest("1"),
        "over_mm": nearest("1"),
        "around_mm": nearest("1"),
    },
    remarks=("measured", "worked-out", "no-rim-for-this-width"),
    width=deciding("tyre.bead.width_mm"),
    seat=deciding("tyre.bead.bsd_mm"),
    inner=deciding("rim.bead.inner_width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    measured_radius=confirming("tyre.bead.measured_radius_mm"),
    design=confirming("tyre.bead.design_rim_mm"),
    rims=table("tyres.measuring-rim-2020"),
    growth=trade_figure("tyres.width-growth"),
    section=trade_figure("tyres.section-height"),
)
def mounted_size(
    width: Decimal,
    seat: Decimal,
    inner: Decimal,
    measured: Decimal | None,
    measured_radius: Decimal | None,
    design: Decimal | None,
    rims: RowTable,
    growth: Band,
    section: Band,
) -> Worked:
    """How wide and how high the tyre stands on this rim, and how far one turn of the wheel goes."""
    true_on = _design_rim(design, width, rims)
    if measured is None and true_on is None:
        return Worked({}, ("no-rim-for-this-width",))
    actual = _width(width, measured, inner, true_on or inner, growth)
    radius = measured_radius if measured_radius is not None else sizes.radius(seat, _height(width, section))
    results = {"width_mm": actual, "radius_mm": radius, "over_mm": radius * 2, "around_mm": gears.around(radius * 2)}
    return Worked(results, ("measured" if measured is not None else "worked-out",))


@figure(
    "tyres.room-beside",
    *_IN_FRAMES,
    formula="formula.room-beside",
    gives={"side_mm": nearest("0.5"), "least_mm": None},
    remarks=("felt", "as-it-grows", "little-room"),
    caution=True,
    width=deciding("tyre.bead.width_mm"),
    inner=deciding("rim.bead.inner_width_mm"),
    gap=either("holder.tyre_room.gap_mm", "holder.tyre_room.room_mm"),
    felt=confirming("holder.tyre_room.room_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    design=confirming("tyre.bead.design_rim_mm"),
    use=Read("bicycle.use", "confirming", optional=True),
    rims=table("tyres.measuring-rim-2020"),
    growth=trade_figure("tyres.width-growth"),
    clearance=trade_figure("tyres.clearance"),
)
def room_beside(
    width: Decimal,
    inner: Decimal,
    gap: Decimal,
    felt: Decimal | None,
    measured: Decimal | None,
    design: Decimal | None,
    use: str | None,
    rims: RowTable,
    growth: Band,
    clearance: Band,
) -> Worked:
    """What is left on each side of the mounted tyre: felt beside it, or half of what the gap is wider."""
    true_on = _design_rim(design, width, rims)
    actual = _width(width, measured, inner, true_on or inner, growth)
    side = felt if felt is not None else sizes.side_room(gap, actual)
    told = "felt" if felt is not None else "" if measured is not None else "as-it-grows"
    least = clearance["racing_mm"] if use == "racing" else clearance["other_mm"]
    results = {"side_mm": side, "least_mm": least}
    return Worked(results, (told,) if told else (), ("little-room",) if side < least else ())


@figure(
    "tyres.room-above",
    *_IN_FRAMES,
    formula="formula.room-above",
    gives={"above_mm": nearest("1")},
    stated=("holder.tyre_room.height_mm",),
    beside=("rim",),
    height=deciding("holder.tyre_room.height_mm"),
    seat=deciding("tyre.bead.bsd_mm"),
    width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    section=trade_figure("tyres.section-height"),
)
def room_above(height: Decimal, seat: Decimal, width: Decimal, measured: Decimal | None, section: Band) -> Worked:
    """What is left between the tyre and the nearest thing above it."""
    radius = measured if measured is not None else sizes.radius(seat, _height(width, section))
    return Worked({"above_mm": height - radius})


@figure(
    "tyres.pressure-ceiling",
    *_ON_RIMS,
    formula="formula.pressure-ceiling",
    gives={"ceiling_bar": down("0.1"), "ceiling_psi": down("1")},
    remarks=(
        *("tyre-sets-it", "rim-sets-it", "hookless-sets-it", "rim-not-known"),
        *("tyre-prints-none", "rim-prints-none", "no-limit-printed"),
    ),
    caution=True,
    tyre=Read("tyre.bead.pressure_max_bar"),
    rim=Read("rim.bead.pressure_max_bar"),
    profile=confirming("rim.bead.profile"),
    hookless=trade_figure("tyres.hookless-pressure"),
)
def pressure_ceiling(tyre: Limit, rim: Limit, profile: str | None, hookless: Band) -> Worked:
    """The highest pressure that tyre and rim both bear; on a rim without hooks 5 bar is a limit as well."""
    straight = hookless["max_bar"] if profile == "hookless" else None
    named = (("tyre-sets-it", tyre.value), ("rim-sets-it", rim.value), ("hookless-sets-it", straight))
    limits = {name: value for name, value in named if value is not None}
    silent = tuple(r for r, at in (("tyre-prints-none", tyre), ("rim-prints-none", rim)) if at.value is None)
    if not limits:
        return Worked({}, (), ("no-limit-printed",))
    ceiling = sizes.pressure_ceiling(list(limits.values()))
    by = next(name for name, value in limits.items() if value == ceiling)
    hooks = () if profile is not None else ("rim-not-known",)
    return Worked({"ceiling_bar": ceiling, "ceiling_psi": units.psi(ceiling)}, (by, *hooks), silent)


@figure(
    "tyres.tape",
    place("front", rim="front_rim", strip="front_rim_tape"),
    place("rear", rim="rear_rim", strip="rear_rim_tape"),
    formula="formula.tape",
    gives={"airtight_mm": nearest("1"), "least_mm": up("1"), "most_mm": down("1"), "widest_mm": down("1")},
    remarks=("holes-not-stated",),
    inner=deciding("rim.bead.inner_width_mm"),
    hole=confirming("rim.bed.access_mm"),
    use=Read("strip.strip.use", "confirming", optional=True),
    usual=trade_figure("tyres.tape-usual"),
    margin=trade_figure("tyres.tape-margin"),
)
def tape(inner: Decimal, hole: Decimal | None, use: str | None, usual: Band, margin: Band) -> Worked:
    """How wide the rim tape has to be: airtight from shelf to shelf; under a tube between the holes and the walls."""
    results = {}
    if use != "tube":
        results["airtight_mm"] = sizes.tape_wanted(inner, usual["over_mm"])
    if use != "tubeless":
        if hole is None:
            results["widest_mm"] = inner
        else:
            results |= {"least_mm": sizes.tape_over_holes(hole, margin["least_mm"]), "most_mm": inner}
    return Worked(results, ("holes-not-stated",) if hole is None and use != "tubeless" else ())


@figure(
    "tyres.valve",
    place("front", rim="front_rim", tube="front_tube", valve="front_valve"),
    place("rear", rim="rear_rim", tube="rear_tube", valve="rear_valve"),
    formula="formula.valve",
    gives={"wanted_mm": up("1"), "showing_mm": nearest("1")},
    remarks=("short-for-the-pump",),
    depth=deciding("rim.valve_hole.rim_depth_mm"),
    tube=Read("tube.valve.length_mm", "confirming", optional=True),
    bolted=Read("valve.valve.length_mm", "confirming", optional=True),
    shows=trade_figure("tyres.valve-shows"),
)
def valve(depth: Decimal, tube: Decimal | None, bolted: Decimal | None, shows: Band) -> Worked:
    """How long the valve has to be so that a pump head finds hold, and how much of the listed one shows."""
    results = {"wanted_mm": sizes.valve_wanted(depth, shows["least_mm"])}
    length = bolted if bolted is not None else tube
    if length is None:
        return Worked(results)
    showing = sizes.valve_showing(length, depth)
    return Worked({**results, "showing_mm": showing}, ("short-for-the-pump",) if showing < shows["least_mm"] else ())


@figure(
    "tyres.sealant",
    place("front", tyre="front_tyre", valve="front_valve"),
    place("rear", tyre="rear_tyre", valve="rear_valve"),
    formula="tyres.sealant-amount",
    gives={"from_ml": nearest("5"), "to_ml": nearest("5")},
    remarks=("fat",),
    beside=("valve",),
    width=deciding("tyre.bead.width_mm"),
    amounts=table("tyres.sealant-amount"),
)
def sealant(width: Decimal, amounts: RowTable) -> Worked | None:
    """How much sealant goes into a tyre without a tube: as told for one almost as wide, or between the next two."""
    known = [[cell for cell in row if isinstance(cell, Decimal)] for row in amounts.cells]
    near = min(known, key=lambda row: abs(row[0] - width))
    if abs(near[0] - width) <= _AS_WIDE:
        return Worked({"from_ml": near[1], "to_ml": near[2]})
    low = [least for tyre, least, _ in known if tyre <= width] or [known[0][1]]
    high = [most for tyre, _, most in known if tyre >= width] or [known[-1][2]]
    return Worked({"from_ml": low[-1], "to_ml": high[0]}, ("fat",) if width > known[-1][0] else ())
