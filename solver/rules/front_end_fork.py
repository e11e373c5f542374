"""Joints of the fork in its headset: steerer in the upper half, crown race on the fork and in the bearing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.front_end import CARBON
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
    needs_work,
    no_fit,
    place,
    trade_figure,
    unsafe,
)
from solver.rules.work import Note, Torque, notes

# -------------------------------------------------------------------------------------------- the fork in the headset

STEERER_IN_HEADSET = joint(
    "front_end.steerer-in-upper-headset",
    "steerer in upper headset",
    """
    What meets: the steerer, and the upper half of the headset that centres it or screws on it.

    Why it matters: the upper bearing must hold the tube without play, and a threaded headset must have the thread
    of the fork.

    Measure: the steerer 30 mm below its end with a caliper; a thread with a gauge and over its crests.

    Caution: a nut of another thread starts and then jams; the fork is held by it.
    """,
    place(fork="fork", headset="headset_upper"),
    presupposes=("front_end.steerer-in-upper-end",),
)


@STEERER_IN_HEADSET.test(
    "diameter",
    reasons={"too-thick": Verdict.NO_FIT, "too-thin": Verdict.NEEDS_ADAPTER, "gap-without-ring": Verdict.NO_FIT},
    top=deciding("fork.steerer.top_dia_mm"),
    bore=deciding("headset.bore.dia_mm"),
    play=trade_figure("front-end.steerer-in-headset"),
    ring=adapter_kind("front-end.compression-ring"),
)
def steerer_in_headset(top: Num, bore: Num, play: Band, ring: AdapterPairs) -> Outcome:
    """The upper headset is made for a steerer of this outside diameter."""
    gap = bore - top
    if gap < -play["slack_mm"]:
        return no_fit("too-thick", over_mm=-gap)
    if gap <= play["slack_mm"]:
        return fits()
    if ring.near(play["slack_mm"], bore_mm=bore, top_mm=top):
        return needs_adapter("too-thin", ring.row, gap_mm=gap)
    return no_fit("gap-without-ring", gap_mm=gap)


@STEERER_IN_HEADSET.test(
    "thread",
    silent="instead",
    reasons={
        "no-thread-on-steerer": Verdict.NO_FIT,
        "no-thread-in-headset": Verdict.NO_FIT,
        "thread-differs": Verdict.NO_FIT,
    },
    asked_if=("fork.steerer.form",),
    steerer_form=deciding("fork.steerer.form"),
    headset_form=confirming("headset.bore.form"),
    steerer_thread=deciding("fork.steerer.thread"),
    headset_thread=deciding("headset.bore.thread"),
)
def headset_thread(
    steerer_form: WordFigure,
    headset_form: WordFigure | None,
    steerer_thread: WordFigure,
    headset_thread: WordFigure,
) -> Outcome:
    """A threaded steerer wants a headset of the same thread, a threadless one a headset without."""
    if steerer_form != "threaded":
        if headset_form is not None and headset_form == "threaded":
            return no_fit("no-thread-on-steerer")
        return fits()
    if headset_form is not None and headset_form == "threadless":
        return no_fit("no-thread-in-headset")
    return fits() if steerer_thread == headset_thread else no_fit("thread-differs")


CROWN_RACE = joint(
    "front_end.crown-race-on-fork",
    "crown race on fork",
    """
    What meets: the crown race of the lower headset, and the shoulder of the fork above its crown.

    Why it matters: the race is driven on, so its hole must match the shoulder to a tenth of a millimetre. A loose
    one knocks and eats the fork, a tight one cracks.

    What to do: order the lower headset by the crown seat. A steel or aluminium seat that is too thick can be milled.

    Measure: the crown seat with a caliper just above the crown, at two angles; the hole of the race with the inside
    jaws.

    Caution: never mill or force anything on a carbon fork; a fork with a damaged seat is scrap.
    """,
    place(headset="headset_lower", fork="fork", adapter="crown_race_reducer"),
    presupposes=("front_end.steerer-in-lower-end",),
    between=("headset", "fork"),
)

_RACE_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "race-loose": Verdict.UNSAFE,
    "gap-without-race": Verdict.NO_FIT,
    "seat-too-thick": Verdict.NEEDS_WORK,
    "seat-far-too-thick": Verdict.NO_FIT,
    "carbon-seat-too-thick": Verdict.UNSAFE,
}


def _raced(over: Num, material: WordFigure, press: Band) -> Outcome:
    """Judge a race whose hole is ``over`` smaller than the seat."""
    if over < press["slide_mm"]:
        return unsafe("race-loose", play_mm=-over)
    if over < press["drive_mm"]:
        return fits("race-slides-on", press_mm=over)
    if over <= press["tight_mm"]:
        return fits(press_mm=over)
    if over > press["mill_mm"]:
        return no_fit("seat-far-too-thick", over_mm=over)
    if material == CARBON:
        return unsafe("carbon-seat-too-thick", over_mm=over)
    return needs_work("seat-too-thick", over_mm=over)


@CROWN_RACE.test(
    "seat",
    reasons={**_RACE_REASONS, "race-falls-over": Verdict.NEEDS_ADAPTER},
    asked_unless=("headset.race.bore_mm",),
    crown=deciding("fork.crown_seat.dia_mm"),
    made_for=deciding("headset.race.seat_mm"),
    material=deciding("fork.crown_seat.material"),
    press=trade_figure("front-end.race-press"),
    reducer=adapter_kind("front-end.reducing-crown-race"),
)
def race_for_seat(crown: Num, made_for: Num, material: WordFigure, press: Band, reducer: AdapterPairs) -> Outcome:
    """The race is made for a crown seat of this size (26.4, 27.0, 30.0, 33.0, 39.8).

    A metal seat that is a little too thick is milled down. A race that falls over the seat wants a reducing race.
    """
    if reducer.near(press["tight_mm"], fork_mm=crown, race_mm=made_for):
        return needs_adapter("race-falls-over", reducer.row, gap_mm=made_for - crown)
    if made_for - crown > press["another_mm"]:
        return no_fit("gap-without-race", gap_mm=made_for - crown)
    return _raced(crown - made_for + press["usual_mm"], material, press)


@CROWN_RACE.test(
    "press",
    silent="instead",
    reasons={**_RACE_REASONS, "race-falls-over": Verdict.NEEDS_ADAPTER},
    asked_if=("headset.race.bore_mm",),
    crown=deciding("fork.crown_seat.dia_mm"),
    hole=deciding("headset.race.bore_mm"),
    form=confirming("headset.race.form"),
    material=deciding("fork.crown_seat.material"),
    press=trade_figure("front-end.race-press"),
    reducer=adapter_kind("front-end.reducing-crown-race"),
)
def race_press(
    crown: Num, hole: Num, form: WordFigure | None, material: WordFigure, press: Band, reducer: AdapterPairs
) -> Outcome:
    """The measured hole of the race is smaller than the seat by a press fit; a split race may just slide on.

    A race that falls over the seat is known by its hole as well, which is a press fit less than the seat it is for.
    """
    if reducer.near(press["tight_mm"], fork_mm=crown, race_mm=hole + press["usual_mm"]):
        return needs_adapter("race-falls-over", reducer.row, gap_mm=hole - crown)
    if hole - crown > press["another_mm"]:
        return no_fit("gap-without-race", gap_mm=hole - crown)
    outcome = _raced(crown - hole, material, press)
    if form is not None and outcome.remarks and form == "split":
        return fits()
    return outcome


RACE_IN_BEARING = joint(
    "front_end.reducing-race-in-bearing",
    "reducing crown race in lower bearing",
    """
    What meets: the slope of a reducing crown race, and the inner chamfer of the lower bearing that it runs in.

    Why it matters: a race of another slope touches on an edge, runs rough and wears both.

    Measure: read the print on the bearing, inside angle first (36/45); the angle of the race is in its papers.

    Caution: a fork that binds in its bearing steers by itself.
    """,
    place(race="crown_race_reducer", headset="headset_lower"),
)


@RACE_IN_BEARING.test(
    "slope",
    reasons={"slopes-differ": Verdict.NO_FIT},
    race_slope=deciding("race.race.angle_deg"),
    bearing_slope=deciding("headset.cup.ring_angle_deg"),
)
def race_slope(race_slope: Num, bearing_slope: Num) -> Outcome:
    """The reducing race has the slope of the bearing's inner chamfer, 36 or 45 degrees."""
    return fits() if race_slope == bearing_slope else no_fit("slopes-differ")


CROWN_RACE.step(
    "crown-race-on",
    before=("dry-fit", "fork-in"),
    tools=("race-driver",),
    practice=("practice.race-square", Note("practice.no-force-in-carbon", {"fork.crown_seat.material": (CARBON,)})),
)

STEERER_IN_HEADSET.step(
    "fork-in",
    tools=("rag",),
    uses=notes("use.grease"),
    practice=("practice.bearing-bevel", "practice.grease-bearings"),
)

STEERER_IN_HEADSET.step(
    "locknut",
    where={"fork.steerer.form": ("threaded",)},
    after=("fork-in",),
    before=("quill-in",),
    torques=(Torque("front-end.locknut-torque"),),
    tools=("headset-wrenches",),
    practice=("practice.threaded-bearings",),
)
