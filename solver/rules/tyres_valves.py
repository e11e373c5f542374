"""Joints of the valve: in the rim, and as long as the rim is deep."""

from __future__ import annotations

from solver.formulas import tyre as formulas
from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import AdapterPairs as Adapter
from solver.rules.registry import (
    Band,
    Outcome,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    trade_figure,
    unsafe,
)

VALVE_IN_RIM = joint(
    "tyres.valve-in-rim",
    "valve in rim",
    """
    What meets: the valve of a tube, and the hole that is drilled for it in the rim.

    Why it matters: a thick valve does not pass a small hole; a thin one leaves a gap through which the tube
    bulges and is cut.

    What to do: take a tube with the valve that the rim is drilled for; a thin valve in a wide hole wants a
    sleeve.

    Measure: valve and hole with a caliper. 6 mm stands for Presta, 8 mm for Schrader and Dunlop.

    Caution: never drill a carbon rim, nor a narrow or strongly arched one. Follow the rim's maker.
    """,
    place("front", valve="front_tube", rim="front_rim", adapter="front_valve_sleeve"),
    place("rear", valve="rear_tube", rim="rear_rim", adapter="rear_valve_sleeve"),
    between=("valve", "rim"),
)

TUBELESS_VALVE = joint(
    "tyres.tubeless-valve-in-rim",
    "tubeless valve in rim",
    """
    What meets: a tubeless valve, and the hole in the rim that its foot has to seal.

    Why it matters: without a tube the valve's foot is the seal; in a hole too wide it leaks or is pulled
    through.

    What to do: take the valve that the rim's maker names.

    Measure: valve and hole with a caliper.

    Caution: never drill a carbon rim, nor a narrow or strongly arched one. Follow the rim's maker.
    """,
    place("front", valve="front_valve", rim="front_rim"),
    place("rear", valve="rear_valve", rim="rear_rim"),
)

VALVE_THROUGH_RIM = joint(
    "tyres.valve-through-rim",
    "valve through rim",
    """
    What meets: a valve, and the depth of the rim that it has to pass.

    Why it matters: a pump grips only what stands out of the rim.

    What to do: take a valve 15 mm longer than the rim is deep, or an extender.

    Measure: the rim at its valve hole, from the bed under the tape to the spoke side; the valve from its foot
    to its tip.
    """,
    place("front", valve="front_tube", rim="front_rim"),
    place("rear", valve="rear_tube", rim="rear_rim"),
    place("front-tubeless", valve="front_valve", rim="front_rim"),
    place("rear-tubeless", valve="rear_valve", rim="rear_rim"),
)


@VALVE_IN_RIM.test(
    "hole",
    reasons={"hole-too-wide": Verdict.NEEDS_ADAPTER},
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    play=trade_figure("tyres.valve-play"),
    sleeve=adapter_kind("tyres.valve-sleeve"),
)
def hole(valve_dia: Num, hole_dia: Num, play: Band, sleeve: Adapter) -> Outcome:
    """The hole is the one for this valve; a thin valve in a wide hole needs a sleeve."""
    loose = hole_dia - valve_dia
    if loose <= play["to_mm"]:
        return fits()
    return needs_adapter("hole-too-wide", sleeve.row, play_mm=loose)


@TUBELESS_VALVE.test(
    "seal",
    reasons={"hole-too-wide": Verdict.NOT_KNOWN},
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    play=trade_figure("tyres.valve-play"),
)
def seal(valve_dia: Num, hole_dia: Num, play: Band) -> Outcome:
    """The hole is the one for this valve; whether a wide foot seals a wide hole, its maker knows."""
    loose = hole_dia - valve_dia
    return fits() if loose <= play["to_mm"] else not_known("hole-too-wide", play_mm=loose)


@TUBELESS_VALVE.test(
    "passes",
    reasons={
        "drill-the-rim": Verdict.NEEDS_WORK,
        "hole-too-small": Verdict.NO_FIT,
        "hole-too-small-in-carbon": Verdict.UNSAFE,
    },
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    material=deciding("rim.material"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    rim_width=confirming("rim.valve_hole.rim_width"),
    wide=trade_figure("tyres.drilling-least"),
)
@VALVE_IN_RIM.test(
    "passes",
    links=(),
    reasons={
        "drill-the-rim": Verdict.NEEDS_WORK,
        "hole-too-small": Verdict.NO_FIT,
        "hole-too-small-in-carbon": Verdict.UNSAFE,
    },
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    material=deciding("rim.material"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    rim_width=confirming("rim.valve_hole.rim_width"),
    wide=trade_figure("tyres.drilling-least"),
)
def passes(
    valve_dia: Num,
    hole_dia: Num,
    material: WordFigure,
    inner_width: Num,
    rim_width: WordFigure | None,
    wide: Band,
) -> Outcome:
    """The valve passes the hole. A wide aluminium rim can be drilled, carbon is weakened by it, others are left."""
    short = valve_dia - hole_dia
    if short <= 0:
        return fits()
    if material == "carbon":
        return unsafe("hole-too-small-in-carbon", short_mm=short)
    bears_it = rim_width == "wide" if rim_width is not None else inner_width >= wide["inner_mm"]
    if bears_it and material == "aluminium":
        return needs_work("drill-the-rim", short_mm=short)
    return no_fit("hole-too-small", short_mm=short)


@VALVE_THROUGH_RIM.test(
    "length",
    silent="finer",
    reasons={"too-short": (Verdict.NEEDS_ADAPTER, Verdict.NO_FIT)},
    asked_if=("valve.valve.length_mm",),
    valve_length=deciding("valve.valve.length_mm"),
    rim_depth=deciding("rim.valve_hole.rim_depth_mm"),
    form=deciding("valve.valve.form"),
    shows=trade_figure("tyres.valve-shows"),
    extender=adapter_kind("tyres.valve-extender"),
)
def valve_length(valve_length: Num, rim_depth: Num, form: WordFigure, shows: Band, extender: Adapter) -> Outcome:
    """The valve stands at least 15 mm out of the rim; a shorter Presta valve takes an extender."""
    out = formulas.valve_showing(valve_length, rim_depth)
    if out >= shows["least_mm"]:
        return fits()
    wanted = Num(shows["least_mm"])
    if form == "presta":
        return needs_adapter("too-short", extender.row, shows_mm=out, wanted_mm=wanted)
    return no_fit("too-short", shows_mm=out, wanted_mm=wanted)


# ------------------------------------------------------------------------------------------------------------ the work

TUBELESS_VALVE.step("valve-in", before=("tyre-on",), practice=("practice.valve-by-hand",))
