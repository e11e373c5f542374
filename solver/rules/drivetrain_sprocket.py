"""The joint of a sprocket that sits on the spindle of the cranks itself, as on BMX and one-piece cranks."""

from __future__ import annotations

from typing import Final

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
)
from solver.rules.work import notes

SPROCKET_ON_CRANK = joint(
    "drivetrain.sprocket-on-crank",
    "sprocket on the spindle of the cranks",
    """
    What meets: the bore of a sprocket without arms, and the spindle of the cranks beside the right arm; and what turns
    it: a bolt through the sprocket into the arm, splines, or the pin of a one-piece crank.

    When it fits: the bore is as wide as the spindle is thick, or a ring fills it, and both are made for the same drive.

    Why it matters: a sprocket that is not centred makes the chain tight and slack by turns; one that only a tight fit
    holds turns on the spindle under load.

    What to do: most sprockets are bored 15/16 in (24 mm) and are brought down to 22 or 19 mm with a ring. Splines of
    different makers do not always go together: take the sprocket that belongs to the cranks.

    Measure: spindle and bore with a caliper, without rings; look on the inside of the right arm for a threaded hole or
    a pin; count splines.

    Caution: a sprocket that turns on its spindle drops the rider on the bar. Check its bolt after the first ride.
    """,
    place(adapter="sprocket_reducer", crank="crank", ring="chainring", reducer="sprocket_reducer"),
    between=("crank", "ring"),
)

# Only of a sprocket on the spindle itself is it said what turns it; of a ring on arms there is nothing to ask. That it
# is said of each such sprocket is seen to where rings are judged on cranks.
_SPROCKETS: Final = ("ring.bore.drive",)


@SPROCKET_ON_CRANK.test(
    "bore",
    silent="feature",
    asked_if=_SPROCKETS,
    links=(),
    reasons={
        "bore-too-narrow": Verdict.NO_FIT,
        "bore-too-wide": Verdict.NEEDS_ADAPTER,
        "bore-far-too-wide": Verdict.NO_FIT,
    },
    spindle=deciding("crank.spindle.drive_mm"),
    bore=deciding("ring.bore.bore_mm"),
    drive=deciding("ring.bore.drive"),
    reducers=confirming("ring.bore.reducers"),
    outer=deciding("reducer.ring.outer_mm", optional=True),
    inner=deciding("reducer.ring.bore_mm", optional=True),
    play=trade_figure("sprocket.play"),
    kind=adapter_kind("drivetrain.sprocket-reducer"),
)
def sprocket_bore(
    spindle: Num,
    bore: Num,
    drive: WordFigure,
    reducers: WordFigure | None,
    outer: Num,
    inner: Num,
    play: Band,
    kind: AdapterPairs,
) -> Outcome:
    """The spindle fills the bore of the sprocket, or of the ring in it.

    A splined bore is narrower than the spindle is thick by its ridges, and no ring goes in it: one that is wider does
    not catch, of any other the splines decide.
    """
    if drive == "spline":
        return no_fit("bore-far-too-wide") if bore > spindle + play["mm"] else fits()
    if bore.near(spindle, play["mm"]):
        return fits()
    if bore < spindle:
        return no_fit("bore-too-narrow")
    if outer.near(bore, play["mm"]) and inner.near(spindle, play["mm"]):
        return fits("through-the-ring")
    if kind.near(play["mm"], bore_mm=bore, spindle_mm=spindle):
        if reducers is not None and reducers == "included":
            return fits("ring-in-the-bag")
        return needs_adapter("bore-too-wide", kind.row)
    return no_fit("bore-far-too-wide")


@SPROCKET_ON_CRANK.test(
    "drive",
    silent="feature",
    asked_if=_SPROCKETS,
    links=(),
    reasons={
        "no-hole-for-the-bolt": Verdict.NO_FIT,
        "no-splines": Verdict.NO_FIT,
        "no-pin": Verdict.NO_FIT,
        "splines-differ": Verdict.NO_FIT,
        "splines-not-told": Verdict.NOT_KNOWN,
        "pin-and-bolt": Verdict.NOT_KNOWN,
    },
    mine=deciding("crank.sprocket.drive"),
    other=deciding("ring.bore.drive"),
    ridges=confirming("crank.sprocket.splines"),
    grooves=confirming("ring.bore.splines"),
)
def sprocket_drive(mine: WordFigure, other: WordFigure, ridges: Num | None, grooves: Num | None) -> Outcome:
    """What turns the sprocket is on the cranks too.

    Splines of one number need not be of one shape, so they are never called a fit by their number. Whether the pin of a
    one-piece crank fills the hole for a bolt, no page at hand tells.
    """
    if other == "spline":
        if not mine.within(("spline", "bolt-or-spline")):
            return no_fit("no-splines")
        if ridges is not None and grooves is not None and ridges != grooves:
            return no_fit("splines-differ")
        return not_known("splines-not-told")
    if mine == "spline":
        return no_fit("no-hole-for-the-bolt" if other == "bolt" else "no-pin")
    if other == "bolt":
        return not_known("pin-and-bolt") if mine == "pin" else fits()
    return fits() if mine == "pin" else not_known("pin-and-bolt")


# ------------------------------------------------------------------------------------------------------------ the work

SPROCKET_ON_CRANK.step(
    "sprocket-on",
    where={"ring.holes.mount": ("direct.spindle",)},
    stated=("ring.bore.drive",),
    before=("crank-on",),
    tools=("hex-5",),
    uses=notes("use.grease-threads"),
)
