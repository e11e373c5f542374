"""Joints of the brake levers: with rim brake, caliper and hub brake, and on the bar."""

from __future__ import annotations

from decimal import Decimal

from solver.report import Verdict
from solver.rules.figures import Num, SpanFigure, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    deciding,
    fits,
    joint,
    no_fit,
    place,
    trade_figure,
    unsafe,
)
from solver.rules.work import Note, Torque, notes

CABLE = ("short", "long")
GLYCOL = ("dot-3", "dot-4", "dot-51")
MINERAL = ("mineral", "mineral-thin")


def _fluids(lever: WordFigure, brake: WordFigure) -> Outcome:
    """Say whether lever and brake, not both on a cable, are for one fluid."""
    if lever.within(CABLE) or brake.within(CABLE):
        return no_fit("cable-and-fluid")
    if lever.within(GLYCOL) and brake.within(GLYCOL):
        return fits()
    if lever.within(MINERAL) and brake.within(MINERAL):
        return no_fit("oils-differ")
    return unsafe("fluids-differ")


# -------------------------------------------------------------------------------------------------- lever and rim brake

LEVER_AND_RIM_BRAKE = joint(
    "brakes.lever-and-rim-brake",
    "lever and rim brake",
    """
    What meets: the cable that a lever pulls, and the cable that a brake asks for; or two ends of one hydraulic system.

    When it fits: both are short-pull, or both are long-pull; road levers and road callipers are of one generation.

    Why it matters: a lever that pulls too little meets the bar before the brake holds; one that pulls too much gives
    a hard lever and hardly any force.

    What to do: match the classes. A short-pull lever works a linear-pull brake through a pull converter.

    Measure: mark the cable, squeeze the lever fully, measure how far the mark went: about 7 or 8 mm is short, about
    15 long.

    Caution: a brake of the wrong pull fails when it is needed. Squeeze hard: the lever must stop well before the bar;
    try it at walking pace. Follow the makers of lever and brake.
    """,
    place("front", adapter="front_pull_converter", lever="front_brake_lever", brake="front_rim_brake"),
    place("rear", adapter="rear_pull_converter", lever="rear_brake_lever", brake="rear_rim_brake"),
    safety=True,
    between=("lever", "brake"),
)


@LEVER_AND_RIM_BRAKE.test(
    "drive",
    asked_unless=("lever.output.pull_mm", "brake.input.pull_mm"),
    reasons={
        "too-little-pull": Verdict.UNSAFE,
        "too-much-pull": Verdict.UNSAFE,
        "cable-and-fluid": Verdict.NO_FIT,
        "oils-differ": Verdict.NO_FIT,
        "fluids-differ": Verdict.UNSAFE,
    },
    lever_drive=deciding("lever.output.drive"),
    brake_drive=deciding("brake.input.drive"),
)
def rim_drive(lever_drive: WordFigure, brake_drive: WordFigure) -> Outcome:
    """Lever and brake have the same class of cable pull, or take the same fluid.

    Classes are enough; printed millimetres, where both parts have them, go first. A pull converter closes the gap of a
    short lever on a long brake, but as listed the two go together, and fail when they are needed: unsafe until the
    converter is on the list.
    """
    if lever_drive == brake_drive:
        return fits()
    if lever_drive == "short" and brake_drive == "long":
        return unsafe("too-little-pull")
    if lever_drive == "long" and brake_drive == "short":
        return unsafe("too-much-pull")
    return _fluids(lever_drive, brake_drive)


@LEVER_AND_RIM_BRAKE.test(
    "pull",
    silent="instead",
    asked_if=("lever.output.pull_mm", "brake.input.pull_mm"),
    reasons={"too-little-pull": Verdict.UNSAFE, "too-much-pull": Verdict.UNSAFE},
    lever_pull=deciding("lever.output.pull_mm"),
    brake_pull=deciding("brake.input.pull_mm"),
    play=trade_figure("brakes.pull-play"),
)
def rim_pull(lever_pull: Num, brake_pull: Num, play: Band) -> Outcome:
    """The printed cable pulls are the same; 7 and 8 mm are two classes. Asked where both parts print one."""
    if lever_pull < brake_pull - play["mm"]:
        return unsafe("too-little-pull")
    if lever_pull > brake_pull + play["mm"]:
        return unsafe("too-much-pull")
    return fits()


@LEVER_AND_RIM_BRAKE.test(
    "generation",
    silent="feature",
    asked_if=("brake.input.generation",),
    reasons={"older-lever": Verdict.UNSAFE, "newer-lever": Verdict.UNSAFE},
    lever_age=deciding("lever.output.generation"),
    brake_age=deciding("brake.input.generation"),
)
def road_generation(lever_age: WordFigure, brake_age: WordFigure) -> Outcome:
    """One maker's road levers pull more cable since their shift cables run under the tape; his callipers ask for it.

    The tape alone tells nothing: other makers hid the shift cable and kept the traditional pull. Asked where the
    brake's generation is known.
    """
    if lever_age == brake_age:
        return fits()
    if brake_age == "newer":
        return unsafe("older-lever")
    return unsafe("newer-lever")


# ---------------------------------------------------------------------------------------------------- lever and caliper

LEVER_AND_CALIPER = joint(
    "brakes.lever-and-caliper",
    "lever and disc brake caliper",
    """
    What meets: lever and caliper of a disc brake, joined by a cable or by fluid.

    When it fits: by cable, both are short-pull or both long-pull. By fluid, both take the same fluid and belong to one
    system.

    Why it matters: too little cable lets the lever come to the bar, too much leaves it without force. The wrong fluid
    destroys the seals; two halves that do not belong together move the wrong volume.

    What to do: replace both halves together, or look up in the maker's table what belongs to what.

    Measure: the mark on the reservoir's cap; for cables, how far a full squeeze pulls.

    Caution: a brake of the wrong pull fails when it is needed, and one that was filled with the wrong fluid is not
    cured by changing it. After any work squeeze hard ten times and try it at walking pace. Follow the maker of the
    brake.
    """,
    place("front", adapter="front_pull_converter", lever="front_brake_lever", caliper="front_caliper"),
    place("rear", adapter="rear_pull_converter", lever="rear_brake_lever", caliper="rear_caliper"),
    safety=True,
    between=("lever", "caliper"),
)


@LEVER_AND_CALIPER.test(
    "drive",
    asked_unless=("lever.output.pull_mm", "caliper.input.pull_mm"),
    reasons={
        "too-little-pull": Verdict.NO_FIT,
        "too-much-pull": Verdict.UNSAFE,
        "cable-and-fluid": Verdict.NO_FIT,
        "oils-differ": Verdict.NO_FIT,
        "fluids-differ": Verdict.UNSAFE,
    },
    lever_drive=deciding("lever.output.drive"),
    caliper_drive=deciding("caliper.input.drive"),
)
def caliper_drive(lever_drive: WordFigure, caliper_drive: WordFigure) -> Outcome:
    """Lever and caliper have the same class of cable pull, or take the same fluid.

    The fluids of DOT 4 and DOT 5.1 are one kind; mineral oil and DOT never meet in one brake.
    """
    if lever_drive == caliper_drive:
        return fits()
    if lever_drive == "short" and caliper_drive == "long":
        return no_fit("too-little-pull")
    if lever_drive == "long" and caliper_drive == "short":
        return unsafe("too-much-pull")
    return _fluids(lever_drive, caliper_drive)


@LEVER_AND_CALIPER.test(
    "pull",
    silent="instead",
    asked_if=("lever.output.pull_mm", "caliper.input.pull_mm"),
    reasons={"too-little-pull": Verdict.NO_FIT, "too-much-pull": Verdict.UNSAFE},
    lever_pull=deciding("lever.output.pull_mm"),
    caliper_pull=deciding("caliper.input.pull_mm"),
    play=trade_figure("brakes.pull-play"),
)
def caliper_pull(lever_pull: Num, caliper_pull: Num, play: Band) -> Outcome:
    """The printed cable pulls are the same. Asked where both parts print one."""
    if lever_pull < caliper_pull - play["mm"]:
        return no_fit("too-little-pull")
    if lever_pull > caliper_pull + play["mm"]:
        return unsafe("too-much-pull")
    return fits()


@LEVER_AND_CALIPER.test(
    "system",
    silent="finer",
    asked_if=("lever.output.drive", "caliper.input.drive"),
    reasons={"systems-differ": Verdict.UNSAFE},
    lever_drive=deciding("lever.output.drive"),
    caliper_drive=deciding("caliper.input.drive"),
    lever_system=deciding("lever.output.system"),
    caliper_system=deciding("caliper.input.system"),
    matched=trade_figure("brakes.one-system"),
)
def one_system(
    lever_drive: WordFigure,
    caliper_drive: WordFigure,
    lever_system: WordFigure,
    caliper_system: WordFigure,
    matched: Band,
) -> Outcome:
    """Lever and caliper of a hydraulic brake belong to one system of their maker: the same fluid is not enough."""
    if lever_drive.within(CABLE) or caliper_drive.within(CABLE):
        return fits()
    return fits() if lever_system == caliper_system else unsafe("systems-differ")


# -------------------------------------------------------------------------------------------------- lever and hub brake

LEVER_AND_HUB_BRAKE = joint(
    "brakes.lever-and-hub-brake",
    "lever and hub brake",
    """
    What meets: the cable that a lever pulls, and a drum, roller or band brake at the hub.

    When it fits: both are of the same class; most of these brakes are short-pull.

    Why it matters: with the wrong class the lever comes to the bar, or the brake has no force.

    Measure: mark the cable, squeeze the lever fully, measure how far the mark went.

    Caution: squeeze hard before the first ride, and follow the makers of hub and lever.
    """,
    place("front", lever="front_brake_lever", hub="front_hub"),
    place("rear", lever="rear_brake_lever", hub="rear_hub"),
    safety=True,
)


@LEVER_AND_HUB_BRAKE.test(
    "drive",
    silent="feature",
    asked_if=("hub.brake.form",),
    reasons={
        "too-little-pull": Verdict.UNSAFE,
        "too-much-pull": Verdict.UNSAFE,
        "cable-and-fluid": Verdict.NO_FIT,
    },
    hub_brake=deciding("hub.brake.form"),
    lever_drive=deciding("lever.output.drive"),
    hub_drive=deciding("hub.brake.drive"),
)
def hub_drive(hub_brake: WordFigure, lever_drive: WordFigure, hub_drive: WordFigure) -> Outcome:
    """Lever and hub brake have the same class of cable pull; a coaster brake has no cable.

    Asked of hubs that say what brake is in them.
    """
    if hub_brake.within(("none", "coaster")) or lever_drive == hub_drive:
        return fits()
    if lever_drive == "short":
        return unsafe("too-little-pull")
    if lever_drive == "long":
        return unsafe("too-much-pull")
    return no_fit("cable-and-fluid")


# ------------------------------------------------------------------------------------------------------- lever on bar

LEVER_ON_BAR = joint(
    "brakes.lever-on-bar",
    "brake lever on handlebar",
    """
    What meets: the band of a brake lever, and the handlebar where the lever sits.

    When it fits: both are 22.2 mm, as on flat bars, or both 23.8 mm, as on drop bars; 24.0 on a lever means 23.8. A
    lever for the end of a bar goes by the bore there.

    Why it matters: a band that does not close on the bar turns or slips; one that is forced open cracks.

    Measure: the bar with a caliper where the lever sits, not at the stem.

    Caution: a lever that moves on the bar is missed when it is needed. Tighten to the printed figure and try to turn
    it by hand; on carbon follow the bar's maker.
    """,
    place("front", lever="front_brake_lever", bar="handlebar"),
    place("rear", lever="rear_brake_lever", bar="handlebar"),
    safety=True,
)


@LEVER_ON_BAR.test(
    "band",
    silent="regular",
    by_hand=True,
    asked_if=("lever.clamp.dia_mm", "bar.controls.dia_mm"),
    reasons={"band-too-small": Verdict.NO_FIT, "band-too-large": Verdict.NO_FIT},
    band=deciding("lever.clamp.dia_mm"),
    bar_dia=deciding("bar.controls.dia_mm"),
    play=trade_figure("brakes.lever-clamp-play"),
)
def lever_band(band: Num, bar_dia: Num, play: Band) -> Outcome:
    """The band is as wide as the bar where the lever sits. Asked where both are stated."""
    if band < bar_dia - play["mm"]:
        return no_fit("band-too-small", gap_mm=bar_dia - band)
    if band > bar_dia + play["mm"]:
        return no_fit("band-too-large", gap_mm=band - bar_dia)
    return fits()


# Hardly any lever says how it is held; one for the end of a bar is named for it.
@LEVER_ON_BAR.test(
    "plug",
    silent="feature",
    asked_if=("lever.clamp.form",),
    reasons={"bar-too-narrow": Verdict.NO_FIT, "bar-too-wide": Verdict.NO_FIT},
    form=deciding("lever.clamp.form"),
    holds=deciding("lever.clamp.plug_mm"),
    bore=deciding("bar.ends.bore_mm"),
)
def lever_plug(form: WordFigure, holds: SpanFigure, bore: Num) -> Outcome:
    """The end of the bar is bored as the plug of a bar-end lever asks; asked of a lever that says how it is held."""
    if form != "bar-end":
        return fits()
    if bore < holds.low:
        return no_fit("bar-too-narrow")
    return fits() if bore <= holds.high else no_fit("bar-too-wide")


# ------------------------------------------------------------------------------------------------------------ the work

#: What flat and drop bars measure where a lever is clamped (the rows bar.22-2 and bar.23-8 of the library).
_FLAT_BAR = (Decimal("22.2"),)
_DROP_BAR = (Decimal("23.8"), Decimal("24.0"))

LEVER_ON_BAR.step(
    "levers-on",
    torques=(
        Torque("torque.brake-lever", ("lever.clamp.torque_nm",), where={"bar.controls.dia_mm": _FLAT_BAR}),
        Torque("torque.brake-lever-drop", ("lever.clamp.torque_nm",), where={"bar.controls.dia_mm": _DROP_BAR}),
    ),
    tools=("hex-5", "torx-25", "torque-wrench"),
    uses=notes(Note("use.carbon-paste", {"bar.centre.material": ("carbon",)})),
    practice=("practice.levers-even",),
)
