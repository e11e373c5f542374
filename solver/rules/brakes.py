"""Joints of the rotor on the hub, and its lockring."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    needs_adapter,
    no_fit,
    place,
    trade_figure,
    unsafe,
)
from solver.rules.work import Torque, notes

# ------------------------------------------------------------------------------------------------------- rotor on hub

ROTOR_ON_HUB = joint(
    "brakes.rotor-on-hub",
    "rotor on hub",
    """
    What meets: the inner edge of a rotor, and the side of the hub that carries it.

    When it fits: both have the same pattern, six bolts or the same spline. A hub may have two patterns.

    Why it matters: the whole force of the brake passes here.

    What to do: go by the hub. A splined hub takes a six-bolt rotor through an adapter; a six-bolt hub takes no splined
    rotor. Tighten to the figure printed on the part.

    Measure: count the bolts, or look for a toothed ring; opposite holes of six bolts are 44 mm apart.

    Caution: a rotor that comes loose stops the wheel or leaves it without a brake. Never drill a rotor or a hub; follow
    the makers of both.
    """,
    place("front", adapter="front_rotor_adapter", hub="front_hub", rotor="front_rotor", piece="front_rotor_adapter"),
    place("rear", adapter="rear_rotor_adapter", hub="rear_hub", rotor="rear_rotor", piece="rear_rotor_adapter"),
    safety=True,
    between=("hub", "rotor"),
)


@ROTOR_ON_HUB.test(
    "pattern",
    reasons={
        "screwed-on": Verdict.UNSAFE,
        "hub-without-mount": Verdict.NO_FIT,
        "adapter-of-another-pattern": Verdict.NO_FIT,
        "six-bolt-on-spline": Verdict.NEEDS_ADAPTER,
        "pattern-differs": Verdict.NO_FIT,
    },
    hub_pattern=deciding("hub.rotor_mount.pattern"),
    rotor_pattern=deciding("rotor.face.pattern"),
    adapter_pattern=deciding("piece.face.pattern", optional=True),
    kind=adapter_kind("brakes.splined-to-six-bolt"),
)
def rotor_pattern(
    hub_pattern: WordFigure, rotor_pattern: WordFigure, adapter_pattern: WordFigure, kind: AdapterPairs
) -> Outcome:
    """Hub and rotor have the same pattern; an adapter on the list must fit the hub and carry the rotor."""
    if rotor_pattern == "screw-on":
        return unsafe("screwed-on")
    if hub_pattern == "none":
        return no_fit("hub-without-mount")
    if hub_pattern == rotor_pattern:
        return fits()
    if adapter_pattern != "none":
        return no_fit("adapter-of-another-pattern")
    for pair in kind.pairs:
        if hub_pattern == str(pair["hub"]) and rotor_pattern == str(pair["rotor"]):
            return needs_adapter("six-bolt-on-spline", kind.row)
    return no_fit("pattern-differs")


# --------------------------------------------------------------------------------------------------- lockring on hub

LOCKRING_ON_HUB = joint(
    "brakes.lockring-on-hub",
    "rotor lockring on hub",
    """
    What meets: the ring that holds a splined rotor, the thread in the hub, and the axle end that the ring goes over.

    When it fits: the hub has the spline, and the axle leaves room for ring and tool. A ring with splines inside goes
    over axles up to 12 mm, one with notches outside over all.

    Why it matters: a ring that cannot be tightened lets the rotor come loose.

    Measure: the axle's thickness; look whether the tool goes inside the ring or round it.

    Caution: tighten to the figure printed on the ring (40 Nm as a rule) and see that the ring clears fork or frame.
    """,
    place("front", hub="front_hub", ring="front_rotor_lockring"),
    place("rear", hub="rear_hub", ring="rear_rotor_lockring"),
    safety=True,
    presupposes=("brakes.rotor-on-hub",),
)


@LOCKRING_ON_HUB.test(
    "ring",
    reasons={"no-lockring-thread": Verdict.NO_FIT, "axle-too-thick": Verdict.NO_FIT},
    hub_pattern=deciding("hub.rotor_mount.pattern"),
    ring_form=deciding("ring.ring.form"),
    axle_form=confirming("hub.axle.form"),
    axle_dia=deciding("hub.axle.bore_mm"),
    thickest=trade_figure("brakes.lockring-axle"),
)
def lockring(
    hub_pattern: WordFigure, ring_form: WordFigure, axle_form: WordFigure | None, axle_dia: Num, thickest: Band
) -> Outcome:
    """A splined hub has the thread for it, and the ring goes over the axle.

    A ring with splines inside goes over a quick-release axle and over thru axles up to 12 mm.
    """
    if not hub_pattern.within(("splined", "spline-47")):
        return no_fit("no-lockring-thread")
    if ring_form == "external":
        return fits()
    if axle_form is not None and axle_form.within(("quick-release", "nutted")):
        return fits()
    if axle_dia <= thickest["max_mm"]:
        return fits()
    return no_fit("axle-too-thick", most_mm=Num(thickest["max_mm"]))


# ------------------------------------------------------------------------------------------------------------ the work

ROTOR_ON_HUB.step(
    "rotor-on",
    needs=("hub", "rotor"),
    before=("rotor-lockring", "wheel-in"),
    tools=("cloth",),
    practice=("practice.rotor-clean", "practice.rotor-arrow"),
)

ROTOR_ON_HUB.step(
    "rotor-bolts",
    needs=("hub", "rotor"),
    where={"rotor.face.pattern": ("six-bolt",)},
    after=("rotor-on",),
    before=("wheel-in",),
    torques=(Torque("brakes.torque-rotor-bolts", ("rotor.face.torque_nm",)),),
    tools=("torx-25", "torque-wrench"),
    uses=notes("use.threadlocker"),
    practice=("practice.star-pattern",),
)

LOCKRING_ON_HUB.step(
    "rotor-lockring",
    before=("wheel-in",),
    torques=(Torque("brakes.torque-rotor-lockring", ("ring.ring.torque_nm",)),),
    tools=("lockring-tool", "torque-wrench"),
)
