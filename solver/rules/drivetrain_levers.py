"""Joints of the shift levers: with the front derailleur, on brake levers, on the bar and in its end."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.drivetrain_shifting import FRICTION, motors, moved
from solver.rules.figures import Num, SpanFigure, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    RowTable,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    needs_adapter,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
)
from solver.rules.work import Torque

FRONT_LEVER = joint(
    "drivetrain.front-shifter-and-derailleur",
    "front shifter and front derailleur",
    """
    What meets: the clicks of the front shifter and the front derailleur.

    Why it matters: mountain levers move more cable in front than road levers, and the newer road groups have another
    way again.

    What to do: keep front shifter and front derailleur of one family. A lever without clicks goes with every derailleur
    that is pulled by a cable.

    Measure: read the names on both; the cable that one click moves, with tape and a ruler.

    Caution: set both limit screws; a chain thrown over the outer ring jams at the crank.
    """,
    place(shifter="front_shifter", derailleur="front_derailleur"),
)


@FRONT_LEVER.test(
    "family",
    reasons={
        "pulls-differ": Verdict.NO_FIT,
        "cable-and-motor": Verdict.NO_FIT,
        "motors-differ": Verdict.NO_FIT,
        "pair-not-told": Verdict.NOT_KNOWN,
    },
    lever=deciding("shifter.lever.front_family"),
    mech=deciding("derailleur.drive.family"),
    lever_action=confirming("shifter.lever.action"),
    mech_action=confirming("derailleur.drive.action"),
    electric_pairs=table("shifting.electric-pairs"),
    pairs=table("shifting.front-pairs"),
)
def front_family(
    lever: WordFigure,
    mech: WordFigure,
    lever_action: WordFigure | None,
    mech_action: WordFigure | None,
    electric_pairs: RowTable,
    pairs: RowTable,
) -> Outcome:
    """Front shifter and front derailleur belong to one family; road and mountain pulls do not mix."""
    motor, differ = moved(lever_action, mech_action)
    if lever == FRICTION:
        return no_fit("cable-and-motor") if motor else fits("no-clicks")
    if differ:
        return no_fit("cable-and-motor")
    if motor:
        return motors(lever, mech, electric_pairs)
    if lever == mech:
        return fits()
    for row in pairs.dicts():
        if lever == str(row["lever"]) and mech == str(row["derailleur"]):
            return no_fit("pulls-differ")
    return not_known("pair-not-told")


# ---------------------------------------------------------------------------------------------------- where levers sit

LEVER_ON_LEVER = joint(
    "drivetrain.shifter-on-brake-lever",
    "shift lever on the clamp of the brake lever",
    """
    What meets: a shift lever without a band of its own, and the clamp of the brake lever beside it.

    Why it matters: makers have changed these shared mounts several times; each generation has a shape of its own.

    What to do: keep shift and brake lever of one generation, or give the shift lever a band of its own. The rear shift
    lever is taken to sit beside the rear brake lever; where the right hand works the front brake it sits beside that
    one, which matters only if the two brake levers are of two kinds.

    Measure: look at the mount and read its name on the lever's underside.

    Caution: tighten only as far as printed; a lever that turns on the bar is missed in the wrong moment.
    """,
    place("front", shifter="front_shifter", lever="front_brake_lever"),
    place("rear", shifter="rear_shifter", lever="rear_brake_lever"),
)


@LEVER_ON_LEVER.test(
    "mount",
    silent="feature",
    reasons={"mount-differs": Verdict.NO_FIT, "piece-wanted": Verdict.NEEDS_ADAPTER},
    asked_if=("shifter.mount.form", "lever.shifter_seat.form"),
    mount=deciding("shifter.mount.form"),
    seat=deciding("lever.shifter_seat.form"),
    pairs=table("shifting.lever-seats"),
    piece=adapter_kind("lever.seat-piece"),
)
def lever_seat(mount: WordFigure, seat: WordFigure, pairs: RowTable, piece: AdapterPairs) -> Outcome:
    """Mount and seat are of one generation; a shift lever with a band of its own needs no seat."""
    if mount == "band" or mount == seat:
        return fits()
    for row in pairs.dicts():
        if mount == str(row["shifter"]) and seat == str(row["seat"]):
            said = {"yes": fits(), "tight": fits("thin-grips-only"), "piece": needs_adapter("piece-wanted", piece.row)}
            return said[str(row["go"])]
    return no_fit("mount-differs")


LEVER_ON_BAR = joint(
    "drivetrain.shifter-on-bar",
    "shift lever on the handlebar",
    """
    What meets: the band of a shift lever and the handlebar where it is held.

    Why it matters: flat bars are thinner at the hands than drop bars; a band for the one does not close on the other.

    What to do: take levers for the kind of bar.

    Measure: the bar where the lever sits, with a caliper: 22.2 mm on flat bars, about 23.8 on drop bars.

    Caution: a band that is forced open or overtightened cracks a carbon bar.
    """,
    place("front", shifter="front_shifter", bar="handlebar"),
    place("rear", shifter="rear_shifter", bar="handlebar"),
)


@LEVER_ON_BAR.test(
    "band",
    silent="regular",
    reasons={"band-too-tight": Verdict.NO_FIT, "band-too-wide": Verdict.NO_FIT},
    asked_if=("shifter.mount.clamp_mm", "bar.controls.dia_mm"),
    clamp=deciding("shifter.mount.clamp_mm"),
    bar_dia=deciding("bar.controls.dia_mm"),
    play=trade_figure("shifting.control-play"),
)
def lever_band(clamp: Num, bar_dia: Num, play: Band) -> Outcome:
    """The band is as wide as the bar; asked where both are stated. 23.8 and 24.0 mm are sold as one."""
    gap = clamp - bar_dia
    if gap < -play["either_mm"]:
        return no_fit("band-too-tight", under_mm=-gap)
    return fits() if gap <= play["either_mm"] else no_fit("band-too-wide", over_mm=gap)


SHIFTER_IN_BAR_END = joint(
    "drivetrain.shifter-in-bar-end",
    "shift lever in the end of the bar",
    """
    What meets: the spreading plug of a bar-end lever and the inside of the handlebar's end.

    Why it matters: the plug spreads by a millimetre or two. Drop bars have the room; most flat bars are too narrow
    inside.

    What to do: measure the bar before you order; spacers for wide bars come with some levers.

    Measure: the inside of the bar end with the inside jaws of a caliper.

    Caution: carbon bars want the consent of their maker; the plug can split them.
    """,
    place("front", shifter="front_shifter", bar="handlebar"),
    place("rear", shifter="rear_shifter", bar="handlebar"),
)


# Only levers for the end of a bar state a bore; of all others there is nothing to ask.
@SHIFTER_IN_BAR_END.test(
    "bore",
    silent="feature",
    reasons={"bar-too-narrow": Verdict.NO_FIT, "bar-too-wide": Verdict.NO_FIT},
    asked_if=("shifter.mount.bore_mm",),
    holds=deciding("shifter.mount.bore_mm"),
    bore=deciding("bar.ends.bore_mm"),
)
def bar_end_bore(holds: SpanFigure, bore: Num) -> Outcome:
    """The inside of the bar lies in the range in which the plug spreads; asked of levers for the end of a bar."""
    if bore < holds.low:
        return no_fit("bar-too-narrow")
    return fits() if bore <= holds.high else no_fit("bar-too-wide")


LEVER_ON_LEVER.step(
    "shifters-on",
    needs=("shifter", "handlebar"),
    apart=("shifter", "lever"),
    after=("bar-in",),
    torques=(Torque("torque.shifter"),),
    tools=("hex-4", "torque-wrench"),
)
