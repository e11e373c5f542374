"""Joints of the pads: in rim brakes and calipers, on rims and rotors."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
    confirming,
    deciding,
    fits,
    joint,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.work import Torque

# ---------------------------------------------------------------------------------------------------------- pads on rim

PADS_ON_RIM = joint(
    "brakes.pads-on-rim",
    "pads on rim",
    """
    What meets: the compound of the pads, and the surface of the brake track.

    When it fits: pads for alloy on alloy, pads for carbon on carbon, and on a coated track those its maker names.

    Why it matters: the wrong compound grabs, melts, or overheats the rim; metal in a used pad scores carbon.

    What to do: change the pads with the wheels.

    Measure: the print on the pad or its pack, and the rim maker's list.

    Caution: a carbon rim that overheats can fail at speed. Follow the rim's maker, and never use pads on carbon that
    have braked on alloy.
    """,
    place("front", pads="front_pads", rim="front_rim", brake="front_rim_brake"),
    place("rear", pads="rear_pads", rim="rear_rim", brake="rear_rim_brake"),
    safety=True,
)


@PADS_ON_RIM.test(
    "compound",
    beside=("brake",),
    reasons={
        "no-track": Verdict.UNSAFE,
        "pads-not-for-carbon": Verdict.UNSAFE,
        "metal-in-pads": Verdict.UNSAFE,
        "coating-wants-its-own": Verdict.NO_FIT,
        "pads-for-other-rims": Verdict.NO_FIT,
    },
    compound=deciding("pads.pad.compound"),
    surface=deciding("rim.track.surface"),
    used_on=confirming("pads.pad.used_on"),
)
def rim_compound(compound: WordFigure, surface: WordFigure, used_on: WordFigure | None) -> Outcome:
    """Alloy and steel tracks take pads for alloy, carbon its own compound, a coated track what its maker names."""
    if surface == "none":
        return unsafe("no-track")
    if surface == "carbon-track":
        if compound != "pad-carbon":
            return unsafe("pads-not-for-carbon")
        if used_on is not None and used_on == "alloy-track":
            return unsafe("metal-in-pads")
        return fits("pads-by-the-rims-maker")
    if surface == "coated-track":
        return fits() if compound == "pad-coated" else no_fit("coating-wants-its-own")
    return fits() if compound == "pad-alloy" else no_fit("pads-for-other-rims")


PADS_IN_RIM_BRAKE = joint(
    "brakes.pads-in-rim-brake",
    "pads in rim brake",
    """
    What meets: the stem or bolt of a brake shoe, and the arm that holds it.

    When it fits: both are made for a threaded post, a smooth post, or a short bolt.

    Why it matters: a shoe that is not clamped the way it is made for turns or falls out.

    Measure: look at the old shoe.

    Caution: a shoe that comes loose leaves the bicycle without this brake; tighten to the printed figure.
    """,
    place("front", pads="front_pads", brake="front_rim_brake"),
    place("rear", pads="rear_pads", brake="rear_rim_brake"),
    safety=True,
)


@PADS_IN_RIM_BRAKE.test(
    "fixing",
    reasons={"fixing-differs": Verdict.NO_FIT},
    pad_fixing=deciding("pads.pad.fixing"),
    arm_fixing=deciding("brake.foot.pad_fixing"),
)
def pad_fixing(pad_fixing: WordFigure, arm_fixing: WordFigure) -> Outcome:
    """The shoe is held as the arm holds it."""
    return fits() if pad_fixing == arm_fixing else no_fit("fixing-differs")


# -------------------------------------------------------------------------------------------------- pads of disc brakes

PADS_IN_CALIPER = joint(
    "brakes.pads-in-caliper",
    "pads in caliper",
    """
    What meets: the back plate of a pad, and the slot and pin of the caliper.

    When it fits: both have the same outline; makers give it a code, often one with fins and one without.

    Why it matters: a pad of another outline jams or falls out.

    Measure: lay the new pad on the old one, or compare the codes; another code may be the same outline.

    Caution: never file or force a pad; without its pin and spring it can come out. Follow the caliper's maker.
    """,
    place("front", pads="front_pads", caliper="front_caliper"),
    place("rear", pads="rear_pads", caliper="rear_caliper"),
    safety=True,
)


@PADS_IN_CALIPER.test(
    "outline",
    reasons={"outline-differs": Verdict.NO_FIT, "codes-not-compared": Verdict.NOT_KNOWN},
    pad_outline=deciding("pads.pad.outline"),
    caliper_outline=deciding("caliper.slot.pad_outline"),
    outlines=table("brakes.pad-outlines"),
)
def pad_outline(pad_outline: WordFigure, caliper_outline: WordFigure, outlines: RowTable) -> Outcome:
    """Pad and caliper name the same outline; makers change it from model to model.

    One outline has several codes, with fins and without. Two codes of which one is not in the list of outlines may
    stand for one shape, so they are no proof that the pads do not go in.
    """
    if pad_outline == caliper_outline:
        return fits()
    listed = [str(row["outline"]) for row in outlines.dicts()]
    if pad_outline.within(listed) and caliper_outline.within(listed):
        return no_fit("outline-differs")
    return not_known("codes-not-compared")


PADS_ON_ROTOR = joint(
    "brakes.pads-on-rotor",
    "pads on rotor",
    """
    What meets: the compound of the pads, and the steel of the rotor.

    When it fits: resin pads go on every rotor, metal ones on every rotor that is not marked for resin alone.

    Why it matters: hard pads eat a soft rotor.

    Measure: read the rotor; such rotors say so.

    Caution: a rotor that wears fast gets thin fast; pads with oil on them are replaced. Follow the rotor's maker.
    """,
    place("front", pads="front_pads", rotor="front_rotor"),
    place("rear", pads="rear_pads", rotor="rear_rotor"),
    safety=True,
)


@PADS_ON_ROTOR.test(
    "compound",
    reasons={"rotor-for-resin-only": Verdict.NO_FIT, "pads-for-rims": Verdict.NO_FIT},
    compound=deciding("pads.pad.compound"),
    allows=deciding("rotor.disc.pads"),
    marked=trade_figure("brakes.resin-only-rotors"),
)
def rotor_compound(compound: WordFigure, allows: WordFigure, marked: Band) -> Outcome:
    """A rotor marked for resin pads gets no metal ones."""
    if compound == "resin":
        return fits()
    if compound.within(("pad-alloy", "pad-carbon", "pad-coated")):
        return no_fit("pads-for-rims")
    if allows == "resin-only":
        return no_fit("rotor-for-resin-only")
    return fits()


PADS_ON_RIM.step(
    "pads-set",
    needs=("pads", "rim", "brake"),
    after=("wheel-in", "axle-in", "tyre-on"),
    before=("rim-brake-cable",),
    torques=(Torque("torque.rim-pads"),),
    tools=("hex-5", "torque-wrench"),
    practice=("practice.pads-on-track", "practice.pads-toe-in"),
)

PADS_IN_CALIPER.step("pads-in", before=("caliper-centred",), practice=("practice.pads-clean-hands",))
