"""Joints of what runs from lever to brake: housing, cable and hose, and the fluid in them."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.brakes_levers import CABLE, GLYCOL, MINERAL
from solver.rules.figures import Num, WordFigure
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

# ---------------------------------------------------------------------------------------------- cable or hose, its ends

BRAKE_LINE = joint(
    "brakes.brake-line",
    "brake cable or hose",
    """
    What meets: the lever, the cable with its housing or the hose, and the brake at the other end.

    When it fits: housing made for brakes and an inner cable with the head that the lever holds; or a hose as thick as
    the fittings at both ends take.

    Why it matters: shift housing bursts under a brake, a head that does not lie in its seat comes out at a hard
    squeeze, and a fitting seals only on its own hose.

    What to do: cut a hose only after trying the route with the bar turned fully, and take a new olive and barb.

    Measure: look at a cut end: a spiral is for brakes, straight strands are for gears. Hoses with a micrometer.

    Caution: the brake hangs on this piece. Never use shift housing or a shift cable; never use an olive twice.
    """,
    place(
        "front",
        lever="front_brake_lever",
        line="front_brake_line",
        caliper="front_caliper",
    ),
    place("rear", lever="rear_brake_lever", line="rear_brake_line", caliper="rear_caliper"),
    safety=True,
)


@BRAKE_LINE.test(
    "housing",
    silent="finer",
    asked_if=("line.line.housing",),
    reasons={"shift-housing": Verdict.UNSAFE},
    housing=deciding("line.line.housing"),
)
def housing(housing: WordFigure) -> Outcome:
    """No brake is worked through housing of lengthwise strands. Asked where the housing is known."""
    return unsafe("shift-housing") if housing == "lengthwise" else fits()


@BRAKE_LINE.test(
    "kind",
    silent="instead",
    asked_if=("line.line.housing", "lever.output.drive"),
    reasons={"cable-at-hydraulic-lever": Verdict.NO_FIT, "hose-at-cable-lever": Verdict.NO_FIT},
    housing=deciding("line.line.housing"),
    lever_drive=deciding("lever.output.drive"),
)
def line_kind(housing: WordFigure, lever_drive: WordFigure) -> Outcome:
    """A cable lever gets a cable, a hydraulic lever a hose. Asked where both are known."""
    if lever_drive.within(CABLE):
        return no_fit("hose-at-cable-lever") if housing == "hose" else fits()
    return fits() if housing == "hose" else no_fit("cable-at-hydraulic-lever")


@BRAKE_LINE.test(
    "head",
    silent="finer",
    asked_if=("line.line.head",),
    reasons={"shift-cable": Verdict.UNSAFE, "head-differs": Verdict.NO_FIT},
    cable_head=deciding("line.line.head"),
    lever_head=deciding("lever.output.head"),
)
def cable_head(cable_head: WordFigure, lever_head: WordFigure) -> Outcome:
    """The lever holds a head of this shape: a barrel in most flat-bar levers, a pear in most drop-bar levers.

    Asked where the head of the cable is known.
    """
    if cable_head == "shift-head":
        return unsafe("shift-cable")
    return fits() if cable_head == lever_head else no_fit("head-differs")


@BRAKE_LINE.test(
    "hose-at-lever",
    silent="finer",
    asked_if=("line.line.hose_mm", "lever.output.hose_mm"),
    reasons={"hose-differs": Verdict.NO_FIT},
    hose_dia=deciding("line.line.hose_mm"),
    fitting_dia=deciding("lever.output.hose_mm"),
    play=trade_figure("brakes.hose-play"),
)
def hose_at_lever(hose_dia: Num, fitting_dia: Num, play: Band) -> Outcome:
    """The fitting of the lever is for a hose of this thickness. Asked where both are stated."""
    return fits() if hose_dia.near(fitting_dia, play["mm"]) else no_fit("hose-differs")


@BRAKE_LINE.test(
    "hose-at-caliper",
    silent="finer",
    asked_if=("line.line.hose_mm", "caliper.input.hose_mm"),
    reasons={"hose-differs": Verdict.NO_FIT},
    hose_dia=deciding("line.line.hose_mm"),
    fitting_dia=deciding("caliper.input.hose_mm"),
    play=trade_figure("brakes.hose-play"),
)
def hose_at_caliper(hose_dia: Num, fitting_dia: Num, play: Band) -> Outcome:
    """The fitting of the caliper is for a hose of this thickness. Asked where both are stated."""
    return fits() if hose_dia.near(fitting_dia, play["mm"]) else no_fit("hose-differs")


# An insert that nobody names comes in the bag of its hose; one of two hoses is told by its name.
@BRAKE_LINE.test(
    "insert",
    silent="feature",
    asked_if=("line.line.bore_mm", "line.line.insert_mm"),
    reasons={"insert-for-another-bore": Verdict.NO_FIT},
    bore=deciding("line.line.bore_mm"),
    made_for=deciding("line.line.insert_mm"),
    fit=trade_figure("brakes.insert-fit"),
)
def insert_in_hose(bore: Num, made_for: Num, fit: Band) -> Outcome:
    """The insert in the end of a hose is made for its bore; hoses as thick outside can have two.

    Asked where both are stated.
    """
    return fits() if bore.near(made_for, fit["mm"]) else no_fit("insert-for-another-bore")


# ------------------------------------------------------------------------------------------------------ fluid in brake

FLUID_IN_BRAKE = joint(
    "brakes.fluid-in-brake",
    "fluid in hydraulic brake",
    """
    What meets: the fluid, and the seals of lever and caliper.

    When it fits: the fluid is the one named on the reservoir. DOT 4 and DOT 5.1 are one kind and may meet.

    Why it matters: the other kind of fluid swells or softens the seals, and the brake fails, perhaps days later.

    What to do: use what the maker names; keep syringes and funnels of the two kinds apart.

    Measure: read the cap of the reservoir, or the maker's page.

    Caution: never mix mineral oil and DOT fluid, not even once; DOT 5 is silicone and belongs in no bicycle brake.
    A brake that had the wrong fluid in it is replaced. Follow the maker of the brake.
    """,
    place("front", brake="front_caliper", fluid="brake_fluid"),
    place("rear", brake="rear_caliper", fluid="brake_fluid"),
    safety=True,
)


@FLUID_IN_BRAKE.test(
    "kind",
    reasons={
        "no-fluid-in-it": Verdict.NO_FIT,
        "silicone": Verdict.UNSAFE,
        "fluids-differ": Verdict.UNSAFE,
        "oils-differ": Verdict.NO_FIT,
    },
    grade=deciding("fluid.liquid.grade"),
    system_fluid=deciding("brake.input.drive"),
    classes=trade_figure("brakes.boiling-points"),
)
def fluid_kind(grade: WordFigure, system_fluid: WordFigure, classes: Band) -> Outcome:
    """The fluid is of the kind that the brake is made for.

    A DOT fluid of a lower class is of the same kind and boils sooner. Thin mineral oil and the ordinary one are two.
    """
    if system_fluid.within(CABLE):
        return no_fit("no-fluid-in-it")
    if grade == system_fluid:
        return fits()
    if grade == "dot-5":
        return unsafe("silicone")
    if grade.within(GLYCOL) and system_fluid.within(GLYCOL):
        if grade == "dot-3" or system_fluid == "dot-51":
            return fits("boils-sooner")
        return fits()
    if grade.within(MINERAL) and system_fluid.within(MINERAL):
        return no_fit("oils-differ")
    return unsafe("fluids-differ")


BRAKE_LINE.step(
    "lines-on",
    needs=("lever", "line"),
    after=("levers-on",),
    tools=("cable-cutter",),
    practice=("practice.line-full-lock", "practice.line-long-first"),
    figures=("brakes.line-length",),
)

FLUID_IN_BRAKE.step(
    "bleed",
    after=("lines-on", "caliper-on"),
    before=("pads-in", "caliper-centred"),
    tools=("bleed-kit",),
)
