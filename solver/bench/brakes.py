"""Figures of the brakes: how far the caliper goes up, bolts, how thin a rotor may wear, bedding in, the line."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from catalog_schema.quantity import Limit
from solver.bench.registry import Worked, figure, nearest, up
from solver.formulas import brake
from solver.rules.registry import Band, Read, confirming, deciding, place, trade_figure

_CALIPERS: Final = (
    place("front", mount="fork", caliper="front_caliper", rotor="front_rotor", bracket="front_mount_adapter"),
    place("rear", mount="frame", caliper="rear_caliper", rotor="rear_rotor", bracket="rear_mount_adapter"),
)
_ROTORS: Final = (
    place("front", rotor="front_rotor", caliper="front_caliper"),
    place("rear", rotor="rear_rotor", caliper="rear_caliper"),
)


@figure(
    "brakes.caliper-height",
    *_CALIPERS,
    formula="formula.caliper-lift",
    gives={"step_mm": None, "lift_mm": nearest("0.5"), "bracket_mm": None},
    remarks=("straight-on", "bracket-listed", "turned-plate", "bracket-wanted", "rotor-too-small"),
    beside=("caliper",),
    caution=True,
    rotor=deciding("rotor.disc.dia_mm"),
    native=deciding("mount.brake_mount.native_rotor_mm"),
    pattern=deciding("mount.brake_mount.pattern"),
    foot=deciding("caliper.foot.pattern"),
    bracket=Read("bracket.foot.step_mm", "confirming", optional=True),
    carried=Read("bracket.brake_mount.native_rotor_mm", "confirming", optional=True),
    play=trade_figure("brakes.rotor-size-play"),
    turned=trade_figure("brakes.flat-fork-plate-step"),
)
def caliper_height(
    rotor: Decimal,
    native: Decimal,
    pattern: str,
    foot: str,
    bracket: Decimal | None,
    carried: Decimal | None,
    play: Band,
    turned: Band,
) -> Worked:
    """How far the caliper stands above the mount's own place for this rotor, and what lies between."""
    step = rotor - native
    if step < -play["dia_mm"]:
        return Worked({"step_mm": -step}, (), ("rotor-too-small",))
    results = {"step_mm": step, "lift_mm": brake.lift(rotor, native)}
    listed = bracket is not None or carried is not None
    if listed:
        return Worked(results | ({"bracket_mm": bracket} if bracket else {}), ("bracket-listed",))
    if foot == "flat-mount-fork" and step in (0, turned["mm"]):
        return Worked(results, ("turned-plate",))
    if pattern == foot and abs(step) <= play["dia_mm"]:
        return Worked({}, ("straight-on",))
    return Worked(results, ("bracket-wanted",))


@figure(
    "brakes.flat-mount-bolt",
    place(mount="frame", caliper="rear_caliper"),
    formula="formula.flat-mount-bolt",
    gives={"mark_mm": nearest("1"), "shank_mm": nearest("1")},
    where={"mount.brake_mount.pattern": ("flat-mount",), "caliper.foot.pattern": ("flat-mount",)},
    caution=True,
    beside=("caliper",),
    stay=deciding("mount.brake_mount.stay_thickness_mm"),
    stands_out=trade_figure("brakes.flat-bolt-protrusion"),
)
def flat_mount_bolt(stay: Decimal, stands_out: Band) -> Worked:
    """Which bolt goes through the stay into a rear flat-mount caliper: its mark, and the shank to measure."""
    return Worked({"mark_mm": stay, "shank_mm": stay + stands_out["mm"]})


@figure(
    "brakes.rotor-wear",
    *_ROTORS,
    formula="formula.rotor-wear",
    gives={"least_mm": None, "left_mm": nearest("0.01"), "under_mm": nearest("0.01")},
    remarks=("read-the-rotor", "worn-out", "as-made"),
    caution=True,
    beside=("caliper",),
    printed=Read("rotor.disc.least_thickness_mm", "confirming"),
    worn=confirming("rotor.disc.worn_mm"),
    made=confirming("rotor.disc.thickness_mm"),
    lowest=trade_figure("brakes.rotor-least-anywhere"),
)
def rotor_wear(printed: Limit | None, worn: Decimal | None, made: Decimal | None, lowest: Band) -> Worked:
    """How thin the rotor may wear, and how much of it is left."""
    stated = printed.value if printed is not None else None
    least = stated if stated is not None else lowest["mm"]
    silent = () if stated is not None else ("read-the-rotor",)
    now = worn if worn is not None else made
    if now is None:
        return Worked({"least_mm": least}, silent)
    if now < least:
        return Worked({"least_mm": least, "under_mm": least - now}, silent, ("worn-out",))
    new = ("as-made",) if worn is None else ()
    return Worked({"least_mm": least, "left_mm": now - least}, (*silent, *new))


@figure(
    "brakes.bedding-in",
    *_ROTORS,
    formula="brakes.bedding-in",
    gives={"from_times": None, "to_times": None, "from_kmh": None, "to_kmh": None},
    caution=True,
    beside=("rotor", "caliper"),
    practice=trade_figure("brakes.bedding-in"),
)
def bedding_in(practice: Band) -> Worked:
    """How often, and from what speed, new pads and rotors are braked in."""
    return Worked({key: practice[key] for key in ("from_times", "to_times", "from_kmh", "to_kmh")})


@figure(
    "brakes.line-length",
    place("front", line="front_brake_line", lever="front_brake_lever"),
    place("rear", line="rear_brake_line", lever="rear_brake_lever"),
    formula="formula.line-length",
    gives={"cut_mm": up("5"), "run_mm": None},
    remarks=("hose", "housing"),
    lasting=True,
    caution=True,
    beside=("lever",),
    run=deciding("line.line.run_mm"),
    hose=confirming("line.line.hose_mm"),
    inside=trade_figure("brakes.hose-inside-lever"),
)
def line_length(run: Decimal, hose: Decimal | None, inside: Band) -> Worked:
    """How long hose or housing is cut: the way measured with the bar turned, and what goes into the lever."""
    if hose is None:
        return Worked({"cut_mm": run, "run_mm": run}, ("housing",))
    return Worked({"cut_mm": run + inside["mm"], "run_mm": run}, ("hose",))
