"""Joints of a chain without a derailleur, of chain guides, and of motors at the cranks."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    adapter_kind,
    deciding,
    fits,
    joint,
    limit,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    trade_figure,
    unsafe,
)

FIXED = "spline.track-thread"
BELT_INSTEAD = "belt-instead"

CHAIN_TENSION = joint(
    "drivetrain.chain-tension",
    "chain tension without a derailleur",
    """
    What meets: a chain that no derailleur keeps tight, and the way in which the frame lets it be tightened.

    Why it matters: a loose chain comes off. With a fixed sprocket or a coaster brake it is the brake that is lost, and
    the wheel may lock.

    What to do: a frame in which the wheel moves to the rear, or an eccentric at the bottom bracket. In a frame with one
    place for the wheel a sprung tensioner serves, but never with a fixed sprocket or a coaster brake.

    Measure: pressed in the middle of its run the chain moves up and down by 10 to 15 mm in all, at its tightest place.

    Caution: never ride a fixed sprocket or a coaster brake on a chain that can come off. Follow the makers of frame and
    hub.
    """,
    place(
        frame="frame",
        hub="rear_hub",
        cog="cog",
        freewheel="freewheel",
        derailleur="rear_derailleur",
        tensioner="chain_tensioner",
        belt="belt",
    ),
    safety=True,
)


def _tightened(
    adjuster: WordFigure,
    derailleur: WordFigure,
    arm: WordFigure,
    belt: WordFigure,
    kind: AdapterPairs,
    *,
    stiff: bool,
) -> Outcome:
    """Return whether the chain can be kept tight; ``stiff``: back-pedalling pulls on its lower run.

    Where a belt drives the wheel there is no chain; how the belt is tightened is a question of a joint of its own.
    """
    if belt == "wheel":
        return fits(reason=BELT_INSTEAD)
    if stiff and (arm != "none" or derailleur != "none"):
        return unsafe("arm-under-back-pedalling")
    if adjuster != "none" or derailleur != "none":
        return fits()
    if stiff:
        return no_fit("no-way-to-tighten")
    return fits("through-the-tensioner") if arm != "none" else needs_adapter("no-way-to-tighten", kind.row)


@CHAIN_TENSION.test(
    "sprocket",
    beside=("cog",),
    reasons={
        "arm-under-back-pedalling": Verdict.UNSAFE,
        "no-way-to-tighten": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        BELT_INSTEAD: Verdict.FITS,
    },
    adjuster=deciding("frame.chain_adjuster.form"),
    spline=deciding("hub.driver.spline"),
    hub_brake=deciding("hub.brake.form"),
    derailleur=deciding("derailleur.mount.form", optional=True),
    arm=deciding("tensioner.arm.form", optional=True),
    belt=deciding("belt.strap.drives", optional=True),
    kind=adapter_kind("drivetrain.chain-tensioner"),
)
def sprocket_tension(
    adjuster: WordFigure,
    spline: WordFigure,
    hub_brake: WordFigure,
    derailleur: WordFigure,
    arm: WordFigure,
    belt: WordFigure,
    kind: AdapterPairs,
) -> Outcome:
    """A single sprocket wants a frame that tightens its chain, or a tensioner; fixed or with a coaster brake no arm."""
    stiff = spline == FIXED or hub_brake == "coaster"
    return _tightened(adjuster, derailleur, arm, belt, kind, stiff=stiff)


@CHAIN_TENSION.test(
    "coaster",
    silent="feature",
    asked_if=("hub.brake.form", "tensioner.arm.form"),
    reasons={"arm-under-back-pedalling": Verdict.UNSAFE},
    hub_brake=deciding("hub.brake.form"),
    arm=deciding("tensioner.arm.form"),
)
def coaster_tension(hub_brake: WordFigure, arm: WordFigure) -> Outcome:
    """No sprung arm in the chain of a coaster brake, whichever sprocket it has; asked where both are stated."""
    return unsafe("arm-under-back-pedalling") if hub_brake == "coaster" and arm != "none" else fits()


# A hub for a fixed sprocket says so without one; a cog on the list is asked for itself, a freewheel may go on as well.
@CHAIN_TENSION.test(
    "fixed-hub",
    silent="feature",
    asked_if=("hub.driver.spline", "tensioner.arm.form"),
    asked_unless=("cog.bore.spline",),
    reasons={"arm-under-back-pedalling": Verdict.UNSAFE},
    spline=deciding("hub.driver.spline"),
    arm=deciding("tensioner.arm.form"),
    freewheel=deciding("freewheel.bore.thread", optional=True),
)
def fixed_hub_tension(spline: WordFigure, arm: WordFigure, freewheel: WordFigure) -> Outcome:
    """No sprung arm in the chain of a hub for a fixed sprocket, unless a freewheel is screwed on it."""
    return unsafe("arm-under-back-pedalling") if spline == FIXED and arm != "none" and freewheel == "none" else fits()


# The sprocket of a hub gear is often chosen last; frame and hub alone tell whether its chain can be tightened.
@CHAIN_TENSION.test(
    "hub-gear",
    silent="instead",
    asked_if=("hub.gear.speeds", "frame.chain_adjuster.form"),
    asked_unless=("cog.bore.spline",),
    reasons={
        "arm-under-back-pedalling": Verdict.UNSAFE,
        "no-way-to-tighten": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        BELT_INSTEAD: Verdict.FITS,
    },
    adjuster=deciding("frame.chain_adjuster.form"),
    hub_brake=deciding("hub.brake.form"),
    derailleur=deciding("derailleur.mount.form", optional=True),
    arm=deciding("tensioner.arm.form", optional=True),
    belt=deciding("belt.strap.drives", optional=True),
    kind=adapter_kind("drivetrain.chain-tensioner"),
)
def hub_gear_tension(
    adjuster: WordFigure,
    hub_brake: WordFigure,
    derailleur: WordFigure,
    arm: WordFigure,
    belt: WordFigure,
    kind: AdapterPairs,
) -> Outcome:
    """A hub gear whose sprocket nobody names yet wants the same; asked where frame and gears are stated."""
    return _tightened(adjuster, derailleur, arm, belt, kind, stiff=hub_brake == "coaster")


# A freewheel that does not say how many sprockets it has is one for gears, or one for a single speed whose box said so.
@CHAIN_TENSION.test(
    "single-freewheel",
    silent="feature",
    asked_if=("freewheel.bore.speeds",),
    reasons={"no-way-to-tighten": Verdict.NEEDS_ADAPTER, BELT_INSTEAD: Verdict.FITS},
    speeds=deciding("freewheel.bore.speeds"),
    adjuster=deciding("frame.chain_adjuster.form"),
    derailleur=deciding("derailleur.mount.form", optional=True),
    arm=deciding("tensioner.arm.form", optional=True),
    belt=deciding("belt.strap.drives", optional=True),
    kind=adapter_kind("drivetrain.chain-tensioner"),
)
def freewheel_tension(
    speeds: Num,
    adjuster: WordFigure,
    derailleur: WordFigure,
    arm: WordFigure,
    belt: WordFigure,
    kind: AdapterPairs,
) -> Outcome:
    """A freewheel of one sprocket wants the same; one of several has a derailleur that keeps its chain tight."""
    return fits() if speeds > 1 else _tightened(adjuster, derailleur, arm, belt, kind, stiff=False)


CHAIN_GUIDE = joint(
    "drivetrain.chain-guide-on-frame",
    "chain guide on the frame",
    """
    What meets: the holes or the plate of a chain guide, and the place for it round the bottom bracket.

    Why it matters: two circles of three holes look alike and do not match; a plate behind a cup wants a cup.

    What to do: measure the circle of the tabs. Without tabs a plate goes behind the right-hand cup, in place of a
    spacer, or a guide is held at the seat tube.

    Measure: from the middle of a tab's hole to the middle of the bottom bracket, twice that.

    Caution: turn the cranks by hand over the whole range before the first ride; a guide that the chain touches jams.
    """,
    place(guide="chain_guide", frame="frame", crank="crank"),
)


@CHAIN_GUIDE.test(
    "mount",
    reasons={
        "no-cup-to-hold-it": Verdict.NO_FIT,
        "no-place-for-it": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "circles-differ": Verdict.NO_FIT,
    },
    guide_form=deciding("guide.foot.form"),
    frame_form=deciding("frame.guide_mount.form"),
    shell_thread=deciding("frame.bb_shell.thread"),
    plate=adapter_kind("drivetrain.guide-shell-plate"),
)
def guide_mount(
    guide_form: WordFigure, frame_form: WordFigure, shell_thread: WordFigure, plate: AdapterPairs
) -> Outcome:
    """Guide and frame have the same holes. A plate behind a cup needs a shell with a thread."""
    if guide_form == "guide.shell":
        return no_fit("no-cup-to-hold-it") if shell_thread == "none" else fits()
    if guide_form == frame_form:
        return fits()
    three_holes = ("guide.iscg-old", "guide.iscg-05")
    if guide_form.within(three_holes) and frame_form.within(three_holes):
        return no_fit("circles-differ")
    if guide_form.within(three_holes) and shell_thread != "none":
        return needs_adapter("no-place-for-it", plate.row)
    return no_fit("no-place-for-it")


@CHAIN_GUIDE.test(
    "rings",
    silent="feature",
    asked_if=("crank.rings.single_teeth",),
    reasons={"ring-too-small": Verdict.NO_FIT, "ring-too-large": Verdict.NO_FIT},
    teeth=deciding("crank.rings.single_teeth"),
    least=limit("guide.foot.least_ring_teeth", "function"),
    most=limit("guide.foot.largest_ring_teeth", "function"),
)
def guide_rings(teeth: Num, least: LimitFigure, most: LimitFigure) -> Outcome:
    """The ring lies in the range that the guide reaches; asked of cranks whose only ring is stated."""
    if not least.not_printed and teeth < least.number:
        return no_fit("ring-too-small")
    if not most.not_printed and teeth > most.number:
        return no_fit("ring-too-large")
    return fits()


MOTOR_IN_FRAME = joint(
    "drivetrain.motor-in-frame",
    "motor in the frame",
    """
    What meets: a motor at the cranks, and the cradle or the bottom bracket shell of the frame.

    Why it matters: the motor takes the place of the bottom bracket. One with bolts of its own goes only into the frame
    that was made for it; one for a shell fills the shell from side to side.

    What to do: for a plain frame a motor for its shell, with the spacers for its width; for a frame with a cradle the
    motor that it names.

    Measure: the width of the bare shell with a caliper; its thread by the old bottom bracket; look for screws that
    stand into it.

    Caution: a motor changes what brakes, frame and law ask of a bicycle. Follow the makers and the local rules, and let
    a qualified mechanic judge the frame.
    """,
    place(motor="motor", frame="frame", bracket="bottom_bracket"),
    safety=True,
)


@MOTOR_IN_FRAME.test(
    "mount",
    reasons={
        "no-cradle": Verdict.NO_FIT,
        "cradle-in-its-place": Verdict.NO_FIT,
        "shell-of-another-thread": Verdict.NO_FIT,
        "shell-too-narrow": Verdict.NO_FIT,
        "shell-too-wide": Verdict.NO_FIT,
        "ask-which-motor": Verdict.NOT_KNOWN,
    },
    motor_form=deciding("motor.foot.form"),
    frame_form=deciding(
        "frame.motor_mount.form", follows="shell", follows_from=("frame.bb_shell.thread", "frame.bb_shell.width_mm")
    ),
    motor_thread=deciding("motor.foot.thread"),
    shell_thread=deciding("frame.bb_shell.thread"),
    goes_through=deciding("motor.foot.shell_mm"),
    shell_width=deciding("frame.bb_shell.width_mm"),
    play=trade_figure("drivetrain.shell-play"),
)
def motor_mount(
    motor_form: WordFigure,
    frame_form: WordFigure,
    motor_thread: WordFigure,
    shell_thread: WordFigure,
    goes_through: SpanFigure,
    shell_width: Num,
    play: Band,
) -> Outcome:
    """A motor for a shell goes through a shell of that thread, in the widths that it is sold for.

    A motor with bolts of its own goes into the frame that names it; between two cradles only the makers can tell. A
    frame of which thread or width of the shell are told has that shell, unless a cradle is stated.
    """
    plain = frame_form == "shell" or frame_form == "none"
    if motor_form != "shell":
        return no_fit("no-cradle") if plain else not_known("ask-which-motor")
    if not plain:
        return no_fit("cradle-in-its-place")
    if motor_thread != shell_thread:
        return no_fit("shell-of-another-thread")
    if shell_width < goes_through.low - play["width_mm"]:
        return no_fit("shell-too-narrow")
    return fits() if shell_width <= goes_through.high + play["width_mm"] else no_fit("shell-too-wide")


# Shells are clear inside as a rule; who looked and found a screw in it says so.
@MOTOR_IN_FRAME.test(
    "inside",
    silent="regular",
    asked_if=("frame.bb_shell.inside",),
    reasons={"screw-in-the-way": Verdict.NEEDS_WORK, "something-in-the-way": Verdict.NOT_KNOWN},
    motor_form=deciding("motor.foot.form"),
    inside=deciding("frame.bb_shell.inside"),
)
def motor_inside(motor_form: WordFigure, inside: WordFigure) -> Outcome:
    """A motor that fills the shell needs it clear; a screw of a cable guide is backed out. Asked where it is stated."""
    if motor_form != "shell" or inside == "clear":
        return fits()
    return needs_work("screw-in-the-way") if inside == "screw" else not_known("something-in-the-way")


@MOTOR_IN_FRAME.test(
    "place",
    reasons={"bottom-bracket-in-its-place": Verdict.NO_FIT},
    beside=("motor",),
    bracket_form=deciding("bracket.seat.form"),
)
def motor_place(bracket_form: WordFigure) -> Outcome:
    """Where the motor sits there is no bottom bracket; asked where both are listed."""
    return fits() if bracket_form == "none" else no_fit("bottom-bracket-in-its-place")


CRANK_ON_MOTOR = joint(
    "drivetrain.crank-on-motor",
    "crank arms on the motor",
    """
    What meets: the ends of the motor's spindle, and the holes of the crank arms.

    Why it matters: a square and ten splines do not go together; forced, they work loose and are ruined.

    What to do: take arms for the spindle that the motor has, and the bolts of the motor's maker.

    Measure: look at the end of the spindle: a square, or splines, and count them.

    Caution: an arm that comes loose throws the rider. Follow the motor's maker for bolts and torque.
    """,
    place(motor="motor", crank="crank"),
    safety=True,
)


@CRANK_ON_MOTOR.test(
    "spindle",
    reasons={"spindles-differ": Verdict.NO_FIT},
    motor_spindle=deciding("motor.spindle.form"),
    crank_spindle=deciding("crank.spindle.form"),
)
def crank_on_motor(motor_spindle: WordFigure, crank_spindle: WordFigure) -> Outcome:
    """The arms are made for the kind of spindle that the motor has."""
    return fits() if motor_spindle == crank_spindle else no_fit("spindles-differ")
