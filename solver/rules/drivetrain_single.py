"""Joints of a chain without a derailleur, and of chain guides."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Outcome,
    adapter_kind,
    deciding,
    fits,
    joint,
    limit,
    needs_adapter,
    no_fit,
    place,
    unsafe,
)

FIXED = "spline.track-thread"

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
    ),
    safety=True,
)


def _tightened(
    adjuster: WordFigure, derailleur: WordFigure, arm: WordFigure, kind: AdapterPairs, *, stiff: bool
) -> Outcome:
    """Return whether the chain can be kept tight; ``stiff``: back-pedalling pulls on its lower run."""
    if arm != "none" and stiff:
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
    },
    adjuster=deciding("frame.chain_adjuster.form"),
    spline=deciding("hub.driver.spline"),
    hub_brake=deciding("hub.brake.form"),
    derailleur=deciding("derailleur.mount.form", optional=True),
    arm=deciding("tensioner.arm.form", optional=True),
    kind=adapter_kind("drivetrain.chain-tensioner"),
)
def sprocket_tension(
    adjuster: WordFigure,
    spline: WordFigure,
    hub_brake: WordFigure,
    derailleur: WordFigure,
    arm: WordFigure,
    kind: AdapterPairs,
) -> Outcome:
    """A single sprocket wants a frame that tightens its chain, or a tensioner; fixed or with a coaster brake no arm."""
    stiff = spline == FIXED or hub_brake == "coaster"
    return _tightened(adjuster, derailleur, arm, kind, stiff=stiff)


# A freewheel that does not say how many sprockets it has is one for gears, or one for a single speed whose box said so.
@CHAIN_TENSION.test(
    "single-freewheel",
    asked_if=("freewheel.bore.speeds",),
    reasons={"no-way-to-tighten": Verdict.NEEDS_ADAPTER},
    speeds=deciding("freewheel.bore.speeds"),
    adjuster=deciding("frame.chain_adjuster.form"),
    derailleur=deciding("derailleur.mount.form", optional=True),
    arm=deciding("tensioner.arm.form", optional=True),
    kind=adapter_kind("drivetrain.chain-tensioner"),
)
def freewheel_tension(
    speeds: Num, adjuster: WordFigure, derailleur: WordFigure, arm: WordFigure, kind: AdapterPairs
) -> Outcome:
    """A freewheel of one sprocket wants the same; one of several has a derailleur that keeps its chain tight."""
    return fits() if speeds > 1 else _tightened(adjuster, derailleur, arm, kind, stiff=False)


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
        "circles-differ": Verdict.NEEDS_ADAPTER,
    },
    guide_form=deciding("guide.foot.form"),
    frame_form=deciding("frame.guide_mount.form"),
    shell_thread=deciding("frame.bb_shell.thread"),
    plate=adapter_kind("drivetrain.guide-shell-plate"),
    back=adapter_kind("drivetrain.guide-back-plate"),
)
def guide_mount(
    guide_form: WordFigure, frame_form: WordFigure, shell_thread: WordFigure, plate: AdapterPairs, back: AdapterPairs
) -> Outcome:
    """Guide and frame have the same holes. A plate behind a cup needs a shell with a thread."""
    if guide_form == "guide.shell":
        return no_fit("no-cup-to-hold-it") if shell_thread == "none" else fits()
    if guide_form == frame_form:
        return fits()
    three_holes = ("guide.iscg-old", "guide.iscg-05")
    if guide_form.within(three_holes) and frame_form.within(three_holes):
        return needs_adapter("circles-differ", back.row)
    if guide_form.within(three_holes) and shell_thread != "none":
        return needs_adapter("no-place-for-it", plate.row)
    return no_fit("no-place-for-it")


@CHAIN_GUIDE.test(
    "rings",
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
