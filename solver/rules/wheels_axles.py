"""Joints of the axles: in dropouts and hubs, and the front wheel under a disc brake."""

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
    not_known,
    place,
    trade_figure,
    unsafe,
)
from solver.rules.work import ON_THE_FLOOR, Note, Torque, notes

AXLE_IN_DROPOUT = joint(
    "wheels.axle-in-dropout",
    "axle in dropout",
    """
    What meets: a thru axle, a skewer, a bolt or nuts, and the dropouts of the frame or fork.

    Why it matters: a thru axle is a bolt. It needs the right thickness, thread, length and head, and none of these
    follows from the size of the hub: every maker has its own.

    What to do: buy the axle that the maker of the frame or fork names, or measure the old one.

    Measure: shank and tip with a caliper, the pitch with a thread gauge, the length from under the head to the tip;
    look at the seat of the head.

    Caution: an axle of another pitch, or too short, can feel tight and then strip, and the wheel comes out. Follow the
    maker of the frame or fork and the local rules; if in doubt, ask a qualified mechanic.
    """,
    place("front", axle="front_axle", holder="fork"),
    place("rear", axle="rear_axle", holder="frame"),
    safety=True,
)


@AXLE_IN_DROPOUT.test(
    "form",
    reasons={
        "nothing-to-screw-into": Verdict.NO_FIT,
        "skewer-in-a-closed-dropout": Verdict.UNSAFE,
        "nuts-on-a-closed-dropout": Verdict.NO_FIT,
        "one-makers-spindle": Verdict.NOT_KNOWN,
    },
    axle_form=deciding("axle.rod.form"),
    dropout_form=deciding("holder.dropout.form"),
)
def axle_form(axle_form: WordFigure, dropout_form: WordFigure) -> Outcome:
    """A thru axle screws into a closed dropout; skewers, bolts with a nut and nuts clamp an open one."""
    if dropout_form == "single-sided":
        return not_known("one-makers-spindle")
    if dropout_form == "thru":
        if axle_form == "thru":
            return fits()
        if axle_form == "skewer":
            return unsafe("skewer-in-a-closed-dropout")
        return no_fit("nuts-on-a-closed-dropout")
    return no_fit("nothing-to-screw-into") if axle_form == "thru" else fits()


@AXLE_IN_DROPOUT.test(
    "thickness",
    by_hand=True,
    reasons={"axle-too-thick": Verdict.NO_FIT, "axle-too-thin": Verdict.NO_FIT},
    axle_dia=deciding("axle.rod.dia_mm"),
    hole=deciding("holder.dropout.axle_dia_mm"),
    slot=deciding("holder.dropout.slot_mm"),
    axle_form=deciding("axle.rod.form"),
    dropout_form=deciding("holder.dropout.form"),
    clearance=trade_figure("wheels.axle-clearance"),
)
def axle_thickness(
    axle_dia: Num, hole: Num, slot: Num, axle_form: WordFigure, dropout_form: WordFigure, clearance: Band
) -> Outcome:
    """A thru axle is as thick as the hole of the dropout; a bolt with its own nut goes into the slot."""
    if dropout_form == "thru":
        if axle_dia.near(hole, clearance["dia_mm"]):
            return fits()
        return no_fit("axle-too-thick") if axle_dia > hole else no_fit("axle-too-thin")
    if dropout_form != "slot" or axle_form != "thru-bolt":
        return fits()
    return fits() if axle_dia <= slot + clearance["dia_mm"] else no_fit("axle-too-thick")


@AXLE_IN_DROPOUT.test(
    "thread",
    reasons={"pitch-differs": Verdict.UNSAFE, "tip-too-thick": Verdict.NO_FIT, "tip-too-thin": Verdict.UNSAFE},
    axle_pitch=deciding("axle.rod.pitch_mm"),
    hole_pitch=deciding("holder.dropout.pitch_mm"),
    axle_dia=deciding("axle.rod.dia_mm"),
    tip=deciding("axle.rod.thread_dia_mm"),
    hole_thread=deciding("holder.dropout.thread_dia_mm"),
    dropout_form=deciding("holder.dropout.form"),
    shank=trade_figure("wheels.thread-follows-shank"),
    clearance=trade_figure("wheels.axle-clearance"),
)
def axle_thread(
    axle_pitch: Num,
    hole_pitch: Num,
    axle_dia: Num,
    tip: Num,
    hole_thread: Num,
    dropout_form: WordFigure,
    shank: Band,
    clearance: Band,
) -> Outcome:
    """The thread of the tip is the thread of the dropout, in thickness and pitch.

    Another pitch starts by hand, and the lever or key drives it home: it then holds by a flank or two and strips. So it
    is unsafe, not merely a no. Thin axles have a tip as thick as the shank; of thick ones the tip is asked for.
    """
    if dropout_form != "thru":
        return fits()
    if axle_dia > shank["up_to_mm"]:
        if tip > hole_thread + clearance["dia_mm"]:
            return no_fit("tip-too-thick")
        if tip < hole_thread - clearance["dia_mm"]:
            return unsafe("tip-too-thin")
    return fits() if axle_pitch == hole_pitch else unsafe("pitch-differs")


@AXLE_IN_DROPOUT.test(
    "tip",
    silent="finer",
    reasons={"tip-too-thick": Verdict.NO_FIT, "tip-too-thin": Verdict.UNSAFE},
    asked_if=("axle.rod.thread_dia_mm", "holder.dropout.thread_dia_mm"),
    axle_dia=deciding("axle.rod.dia_mm"),
    tip=deciding("axle.rod.thread_dia_mm"),
    hole_thread=deciding("holder.dropout.thread_dia_mm"),
    dropout_form=deciding("holder.dropout.form"),
    shank=trade_figure("wheels.thread-follows-shank"),
    clearance=trade_figure("wheels.axle-clearance"),
)
def axle_tip(
    axle_dia: Num, tip: Num, hole_thread: Num, dropout_form: WordFigure, shank: Band, clearance: Band
) -> Outcome:
    """A thin axle whose tip is stated has the thread of the dropout: most are as thick as the shank, not all.

    Asked where both threads are stated. Of thick axles the thread is asked anyway.
    """
    if dropout_form != "thru" or axle_dia > shank["up_to_mm"]:
        return fits()
    if tip > hole_thread + clearance["dia_mm"]:
        return no_fit("tip-too-thick")
    return unsafe("tip-too-thin") if tip < hole_thread - clearance["dia_mm"] else fits()


@AXLE_IN_DROPOUT.test(
    "length",
    reasons={
        "does-not-reach": Verdict.NO_FIT,
        "too-short": Verdict.UNSAFE,
        "stands-out": Verdict.NOT_KNOWN,
        "too-long": Verdict.NO_FIT,
    },
    length=deciding("axle.rod.length_mm"),
    wanted=deciding("holder.dropout.axle_length_mm"),
    opening=deciding("holder.dropout.width_mm"),
    dropout_form=deciding("holder.dropout.form"),
    sold_for=confirming("axle.rod.for_width_mm"),
    slack=trade_figure("wheels.axle-length"),
)
def axle_length(
    length: Num, wanted: Num, opening: Num, dropout_form: WordFigure, sold_for: Num | None, slack: Band
) -> Outcome:
    """A thru axle is as long under the head as the frame asks for.

    One that is no longer than the hub reaches no thread. A shorter one leaves turns empty, a longer one may bottom
    before it clamps.
    """
    if dropout_form != "thru":
        return fits()
    if length <= opening:
        return no_fit("does-not-reach")
    short = wanted - length
    if short > slack["play_mm"]:
        return unsafe("too-short", gap_mm=short)
    if -short > slack["longer_mm"]:
        return no_fit("too-long", gap_mm=-short)
    if -short > slack["play_mm"]:
        return not_known("stands-out", gap_mm=-short)
    if sold_for is not None and sold_for != opening:
        return fits("sold-for-another-width")
    return fits()


@AXLE_IN_DROPOUT.test(
    "thread-length",
    silent="finer",
    reasons={"thread-shorter": Verdict.NOT_KNOWN},
    asked_if=("axle.rod.thread_length_mm", "holder.dropout.thread_length_mm"),
    axle_thread_length=deciding("axle.rod.thread_length_mm"),
    hole_thread_length=deciding("holder.dropout.thread_length_mm"),
    slack=trade_figure("wheels.axle-length"),
)
def axle_thread_length(axle_thread_length: Num, hole_thread_length: Num, slack: Band) -> Outcome:
    """The thread of the axle fills that of the dropout; whether fewer turns are enough, only the maker can say."""
    short = hole_thread_length - axle_thread_length
    return fits() if short <= slack["play_mm"] else not_known("thread-shorter", gap_mm=short)


@AXLE_IN_DROPOUT.test(
    "head",
    reasons={"cone-on-a-flat": Verdict.UNSAFE, "flat-in-a-cone": Verdict.NO_FIT},
    head=deciding("axle.rod.head"),
    seat=deciding("holder.dropout.head_seat"),
    dropout_form=deciding("holder.dropout.form"),
)
def axle_head(head: WordFigure, seat: WordFigure, dropout_form: WordFigure) -> Outcome:
    """The head of a thru axle has the shape of its seat.

    A cone on a flat seat bears on a line, looks seated and works loose: unsafe. A flat head on a conical seat stands
    proud on the rim of the cone.
    """
    if dropout_form != "thru" or head == seat:
        return fits()
    return unsafe("cone-on-a-flat") if head == "conical" else no_fit("flat-in-a-cone")


@AXLE_IN_DROPOUT.test(
    "skewer-length",
    reasons={"does-not-reach": Verdict.NO_FIT, "may-not-fill-the-nut": Verdict.NOT_KNOWN, "too-long": Verdict.NO_FIT},
    sold_for=deciding("axle.rod.for_width_mm"),
    opening=deciding("holder.dropout.width_mm"),
    axle_form=deciding("axle.rod.form"),
    rod_length=confirming("axle.rod.length_mm"),
    slack=trade_figure("wheels.skewer-width"),
)
def skewer_length(sold_for: Num, opening: Num, axle_form: WordFigure, rod_length: Num | None, slack: Band) -> Outcome:
    """A skewer or bolt is sold for the width of the hub. It reaches through both dropouts and fills its nut."""
    if not axle_form.within(("skewer", "thru-bolt")):
        return fits()
    if rod_length is not None and rod_length <= opening:
        return no_fit("does-not-reach")
    short = opening - sold_for
    if short > slack["narrower_mm"]:
        return no_fit("does-not-reach", gap_mm=short)
    if -short > slack["wider_mm"]:
        return no_fit("too-long", gap_mm=-short)
    if short > slack["same_mm"]:
        return not_known("may-not-fill-the-nut", gap_mm=short)
    return fits()


AXLE_IN_HUB = joint(
    "wheels.axle-in-hub",
    "axle in hub",
    """
    What meets: the axle, skewer or nuts, and the hub that they hold.

    Why it matters: a thru axle has to fill the bore of the hub, and a nut needs the thread of its axle. Nuts of nearly
    the same thread go on by hand and let go when they are tightened.

    What to do: take the axle that the frame asks for and a hub with that bore; take nuts from the maker of the hub.

    Measure: the shank and the bore with a caliper, threads with a thread gauge.

    Caution: a stripped nut or a loose axle lets the wheel go. Hub gears also need their washers against turning.
    Follow the makers and the local rules; if in doubt, ask a qualified mechanic.
    """,
    place("front", axle="front_axle", hub="front_hub", sleeve="front_hub_adapter"),
    place("rear", axle="rear_axle", hub="rear_hub", sleeve="rear_hub_adapter"),
    safety=True,
    presupposes=("wheels.hub-in-dropout", "wheels.axle-in-dropout"),
)


@AXLE_IN_HUB.test(
    "form",
    reasons={"axle-forms-differ": Verdict.NO_FIT, "skewer-in-a-thru-hub": Verdict.UNSAFE},
    axle_form=deciding("axle.rod.form"),
    hub_form=deciding("hub.axle.form"),
)
def axle_in_hub_form(axle_form: WordFigure, hub_form: WordFigure) -> Outcome:
    """Thru axles and bolts go through thru hubs, skewers through hollow axles with stubs, nuts on solid axles."""
    if axle_form == "skewer":
        if hub_form == "quick-release":
            return fits()
        return unsafe("skewer-in-a-thru-hub") if hub_form == "thru" else no_fit("axle-forms-differ")
    if axle_form == "nuts":
        return fits() if hub_form == "nutted" else no_fit("axle-forms-differ")
    if axle_form == "thru-bolt" and hub_form.within(("thru-bolt", "thru")):
        return fits()
    if axle_form == "thru" and hub_form == "thru":
        return fits()
    return no_fit("axle-forms-differ")


@AXLE_IN_HUB.test(
    "bore",
    by_hand=True,
    reasons={
        "axle-too-thick": Verdict.NO_FIT,
        "bore-too-wide": Verdict.NEEDS_ADAPTER,
        "bore-far-too-wide": Verdict.NO_FIT,
    },
    axle_dia=deciding("axle.rod.dia_mm"),
    bore=deciding("hub.axle.bore_mm"),
    axle_form=deciding("axle.rod.form"),
    sleeve_bore=deciding("sleeve.axle.bore_mm", optional=True),
    clearance=trade_figure("wheels.axle-clearance"),
    sleeve_kind=adapter_kind("wheels.bore-sleeve"),
)
def axle_in_bore(
    axle_dia: Num, bore: Num, axle_form: WordFigure, sleeve_bore: Num, clearance: Band, sleeve_kind: AdapterPairs
) -> Outcome:
    """The axle fills the bore of the hub, or of the sleeve in it."""
    if not axle_form.within(("thru", "thru-bolt")):
        return fits()
    if axle_dia.near(bore, clearance["dia_mm"]):
        return fits()
    if axle_dia > bore:
        return no_fit("axle-too-thick")
    if sleeve_bore.near(axle_dia, clearance["dia_mm"]):
        return fits("through-the-sleeve")
    if sleeve_kind.covers(hub_mm=bore, holder_mm=axle_dia):
        return needs_adapter("bore-too-wide", sleeve_kind.row)
    return no_fit("bore-far-too-wide")


@AXLE_IN_HUB.test(
    "nut-thread",
    reasons={"threads-differ": Verdict.UNSAFE},
    nut_thread=deciding("axle.rod.thread"),
    axle_thread=deciding("hub.axle.thread"),
    axle_form=deciding("axle.rod.form"),
)
def nut_thread(nut_thread: WordFigure, axle_thread: WordFigure, axle_form: WordFigure) -> Outcome:
    """A nut has the thread of its axle.

    Threads that are nearly alike go on with the fingers and shear under the spanner, so another thread is unsafe: the
    same answer as for a thru axle of another pitch.
    """
    if axle_form != "nuts" or nut_thread == axle_thread:
        return fits()
    return unsafe("threads-differ")


FRONT_DISC_RETENTION = joint(
    "wheels.front-disc-retention",
    "front wheel held against a disc brake",
    """
    What meets: the skewer, the open ends of the fork, and the pull of a front disc brake.

    Why it matters: a disc brake behind the fork leg pushes the axle out of an open dropout. The clamp has to hold
    against that, and the lips are what is left if it does not.

    What to do: use a skewer with an enclosed steel cam, leave the lips as they are; better, a fork with a thru axle.

    Measure: look at the cam, which is hidden in a round housing or open on a plastic washer; look for the lips under
    the slots.

    Caution: a front wheel that comes out throws the rider on his head. Check the clamp before every ride. Follow the
    maker of the fork and the local rules; if in doubt, ask a qualified mechanic.
    """,
    place("front", axle="front_axle", holder="fork", rotor="front_rotor"),
    safety=True,
    presupposes=("wheels.hub-in-dropout", "wheels.axle-in-dropout"),
)


@FRONT_DISC_RETENTION.test(
    "clamp",
    reasons={"cam-too-weak": Verdict.UNSAFE, "no-lips": Verdict.UNSAFE},
    axle_form=deciding("axle.rod.form"),
    cam=deciding("axle.rod.cam"),
    lips=deciding("holder.dropout.lips"),
    dropout_form=deciding("holder.dropout.form"),
    rotor_dia=confirming("rotor.disc.dia_mm"),
)
def disc_clamp(
    axle_form: WordFigure, cam: WordFigure, lips: WordFigure, dropout_form: WordFigure, rotor_dia: Num | None
) -> Outcome:
    """With a front rotor and open fork ends a skewer has an enclosed cam or none, and the fork has its lips."""
    if dropout_form != "slot" or axle_form != "skewer":
        return fits()
    shown = {} if rotor_dia is None else {"rotor_mm": rotor_dia}
    if lips == "none":
        return unsafe("no-lips", **shown)
    if cam.within(("enclosed", "none")):
        return fits("check-the-clamp-before-every-ride")
    return unsafe("cam-too-weak", **shown)


AXLE_IN_DROPOUT.step(
    "axle-in",
    after=("wheel-in",),
    before=("caliper-centred", "pads-set", "stem-torque", "quill-torque"),
    torques=(Torque("torque.thru-axle", ("axle.rod.torque_nm",), where={"axle.rod.form": ("thru", "thru-bolt")}),),
    tools=("hex-6", "torque-wrench"),
    uses=notes(Note("use.grease-axle", {"axle.rod.form": ("thru", "thru-bolt")})),
    practice=(
        Note("practice.skewer-side", {"axle.rod.form": ("skewer",)}),
        Note("practice.skewer-springs", {"axle.rod.form": ("skewer",)}),
        Note("practice.chain-side-nut", {"axle.rod.form": ("nuts",)}),
    ),
)

AXLE_IN_DROPOUT.step(
    "skewer-closed",
    where={"axle.rod.form": ("skewer",)},
    after=("axle-in", *ON_THE_FLOOR),
    before=("stem-torque", "quill-torque"),
    practice=("practice.skewer-on-ground", "practice.skewer-force"),
)

AXLE_IN_DROPOUT.step(
    "axle-nuts",
    where={"axle.rod.form": ("nuts",)},
    after=("axle-in", "chain-on"),
    before=("stem-torque", "quill-torque"),
    torques=(Torque("torque.axle-nuts", ("axle.rod.torque_nm",)),),
    tools=("wrench-15", "torque-wrench"),
    practice=("practice.nuts-alternate",),
)
