"""Joints of the front end: fork in frame, headset, stem, handlebar, and how long the steerer must be."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final, Literal

from solver.formulas import steerer as lengths
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    Read,
    RowTable,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    total,
    trade_figure,
    unsafe,
)
from solver.rules.work import ON_THE_FLOOR, Note, Torque, notes

CARBON: Final = "carbon"
BARE: Final = "bare-bearing"
PRESSED: Final = "pressed-cup"


def _near(pairs: AdapterPairs, slack: Decimal, **sides: Num) -> bool:
    """Return whether a kind of adapter is made for a gap with these figures, within ``slack``."""
    for pair in pairs.pairs:
        wanted = {name: pair.get(name) for name in sides}
        if set(pair) == set(sides) and all(
            isinstance(w, Decimal) and sides[name].near(w, slack) for name, w in wanted.items()
        ):
            return True
    return False


def _made_for(
    bore: Num, dia: Num, sizes: RowTable, column: str, slack: Decimal
) -> Literal["same", "thinner", "thicker", "unknown"]:
    """Return how a steerer or crown seat compares with those that a bore is made for."""
    own: list[Decimal] = []
    for row in sizes.dicts():
        low, high, made_for = row["bore_from_mm"], row["bore_to_mm"], row[column]
        if not isinstance(low, Decimal) or not isinstance(high, Decimal) or not isinstance(made_for, Decimal):
            raise TypeError(f"{sizes.row} holds something else than numbers")
        if bore.within(low, high):
            if dia.near(made_for, slack):
                return "same"
            own.append(made_for)
    if not own:
        return "unknown"
    return "thinner" if dia < min(own) else "thicker"


# ---------------------------------------------------------------------------------- the fork in the frame's head tube

UPPER_END = joint(
    "front_end.steerer-in-upper-end",
    "steerer in the upper end of the head tube",
    """
    What meets: the top of the fork's steerer, and the hole at the top of the head tube with the bearing it is made
    for.

    Why it matters: between steerer and head tube there must be room for a bearing and its cup. Without that room no
    headset helps; with too much of it a special one is needed.

    What to do: choose fork and frame first, then the headset for both.

    Measure: the bore of the bare head tube at two angles; the steerer's outside 30 mm below its end.

    Caution: never bore out or file a head tube; it holds the fork.
    """,
    place(fork="fork", frame="frame", upper="headset_upper"),
)


@UPPER_END.test(
    "bore",
    reasons={
        "too-thick": Verdict.NO_FIT,
        "too-thin": Verdict.NEEDS_ADAPTER,
        "headset-decides": Verdict.FITS,
        "no-headset-known": Verdict.NOT_KNOWN,
        "bore-of-no-known-size": Verdict.NOT_KNOWN,
    },
    asked_unless=("frame.head_tube_upper.bearing_bore_mm",),
    bore=deciding("frame.head_tube_upper.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    headset_bore=deciding("upper.bore.dia_mm", optional=True),
    room=trade_figure("front-end.room"),
    sizes=table("front-end.head-tube-tops"),
    reducer=adapter_kind("front-end.reducing-upper-set"),
)
def upper_bore(bore: Num, top: Num, headset_bore: Num, room: Band, sizes: RowTable, reducer: AdapterPairs) -> Outcome:
    """The bore leaves room for a bearing round the steerer, and is one that headsets for this steerer are made for.

    A steerer thinner than usual for the bore wants a reducing upper headset; one that is listed answers for itself.
    """
    gap = bore - top
    if gap < room["round_steerer_mm"]:
        return no_fit("too-thick", room_mm=gap)
    made_for = _made_for(bore, top, sizes, "top_mm", room["size_slack_mm"])
    if made_for == "same":
        return fits()
    if made_for == "unknown":
        return not_known("bore-of-no-known-size")
    if headset_bore > 0:
        return fits(reason="headset-decides")
    if made_for == "thinner" and _near(reducer, room["size_slack_mm"], bore_mm=bore, top_mm=top):
        return needs_adapter("too-thin", reducer.row)
    return not_known("no-headset-known")


@UPPER_END.test(
    "bearing",
    silent="instead",
    reasons={
        "too-thick": Verdict.NO_FIT,
        "too-thin": Verdict.NEEDS_ADAPTER,
        "headset-decides": Verdict.FITS,
        "no-headset-known": Verdict.NOT_KNOWN,
    },
    asked_if=("frame.head_tube_upper.bearing_bore_mm",),
    bearing=deciding("frame.head_tube_upper.bearing_bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    headset_bore=deciding("upper.bore.dia_mm", optional=True),
    room=trade_figure("front-end.bearing-room"),
    sizes=trade_figure("front-end.room"),
    ring=adapter_kind("front-end.centring-ring"),
    reducer=adapter_kind("front-end.reducing-upper-set"),
)
def upper_bearing(
    bearing: Num,
    top: Num,
    headset_bore: Num,
    room: Band,
    sizes: Band,
    ring: AdapterPairs,
    reducer: AdapterPairs,
) -> Outcome:
    """The steerer passes the bearing that the frame is made for, with no more than the usual ring between them."""
    gap = bearing - top
    if gap < room["over_steerer_mm"]:
        return no_fit("too-thick", room_mm=gap)
    if gap <= room["ring_mm"]:
        return fits()
    if headset_bore > 0:
        return fits(reason="headset-decides")
    for kind in (ring, reducer):
        if _near(kind, sizes["size_slack_mm"], bearing_mm=bearing, top_mm=top):
            return needs_adapter("too-thin", kind.row, gap_mm=gap)
    return not_known("no-headset-known")


@UPPER_END.test(
    "taper",
    silent="feature",
    reasons={"taper-reaches-bearing": Verdict.NO_FIT, "straight": Verdict.FITS},
    asked_if=("fork.steerer.taper_end_mm",),
    taper_end=deciding("fork.steerer.taper_end_mm"),
    head_tube=deciding("frame.head_tube.length_mm"),
)
def taper(taper_end: Num, head_tube: Num) -> Outcome:
    """The thick part of a tapered steerer ends within the head tube's length, so that it clears the upper bearing."""
    if taper_end <= 0:
        return fits(reason="straight")
    if taper_end <= head_tube:
        return fits()
    return no_fit("taper-reaches-bearing", over_mm=taper_end - head_tube)


LOWER_END = joint(
    "front_end.steerer-in-lower-end",
    "steerer in the lower end of the head tube",
    """
    What meets: the thick lower end of the steerer with its crown seat, and the hole at the bottom of the head tube
    with the bearing it is made for.

    Why it matters: a tapered fork wants a big lower bearing and a frame wide enough to hold it. A straight fork in
    a frame for a tapered one wants a race or a lower headset that fills the gap.

    What to do: find the bore and the crown seat before ordering anything. The word tapered alone does not say how
    thick.

    Measure: the bore of the bare head tube at the bottom, at two angles; the crown seat just above the fork crown.

    Caution: never bore out a head tube for a thicker fork; it holds the fork.
    """,
    place(fork="fork", seat="fork", frame="frame", lower="headset_lower", adapter="crown_race_reducer"),
    between=("seat", "frame"),
)


@LOWER_END.test(
    "bore",
    reasons={
        "too-thick": Verdict.NO_FIT,
        "too-thin": Verdict.NEEDS_ADAPTER,
        "thick-for-this-bore": Verdict.NEEDS_ADAPTER,
        "headset-decides": Verdict.FITS,
        "no-headset-known": Verdict.NOT_KNOWN,
        "bore-of-no-known-size": Verdict.NOT_KNOWN,
    },
    links=(),
    asked_unless=("frame.head_tube_lower.bearing_bore_mm",),
    bore=deciding("frame.head_tube_lower.bore_mm"),
    crown=deciding("seat.crown_seat.dia_mm"),
    bottom=confirming("fork.steerer.bottom_dia_mm"),
    headset_seat=deciding("lower.race.seat_mm", optional=True),
    room=trade_figure("front-end.room"),
    sizes=table("front-end.head-tube-seats"),
    reducer=adapter_kind("front-end.reducing-lower-set"),
    conversion=adapter_kind("front-end.conversion-lower-cup"),
)
def lower_bore(
    bore: Num,
    crown: Num,
    bottom: Num | None,
    headset_seat: Num,
    room: Band,
    sizes: RowTable,
    reducer: AdapterPairs,
    conversion: AdapterPairs,
) -> Outcome:
    """The bore leaves room for a bearing round the steerer's lower end, and is one that such forks are made for.

    A fork that is thicker or thinner than usual for the bore wants a lower headset made for that; one that is listed
    answers for itself.
    """
    slack = room["size_slack_mm"]
    if bottom is not None and bore - bottom < room["round_steerer_mm"]:
        return no_fit("too-thick", room_mm=bore - bottom)
    known_thick = bottom is not None and _made_for(bore, bottom, sizes, "seat_mm", slack) == "thicker"
    if not known_thick and bore - crown < room["round_seat_mm"]:
        return no_fit("too-thick", room_mm=bore - crown)
    made_for = "thicker" if known_thick else _made_for(bore, crown, sizes, "seat_mm", slack)
    if made_for == "same":
        return fits()
    if made_for == "unknown":
        return not_known("bore-of-no-known-size")
    if headset_seat > 0:
        return fits(reason="headset-decides")
    if made_for == "thicker" and _near(conversion, slack, bore_mm=bore):
        return needs_adapter("thick-for-this-bore", conversion.row)
    if made_for == "thinner" and _near(reducer, slack, bore_mm=bore, seat_mm=crown):
        return needs_adapter("too-thin", reducer.row)
    return not_known("no-headset-known")


@LOWER_END.test(
    "bearing",
    silent="instead",
    reasons={
        "too-thick": Verdict.NO_FIT,
        "too-thin": Verdict.NEEDS_ADAPTER,
        "headset-decides": Verdict.FITS,
        "no-headset-known": Verdict.NOT_KNOWN,
    },
    links=(1,),
    asked_if=("frame.head_tube_lower.bearing_bore_mm",),
    bearing=deciding("frame.head_tube_lower.bearing_bore_mm"),
    crown=deciding("seat.crown_seat.dia_mm"),
    bottom=confirming("fork.steerer.bottom_dia_mm"),
    headset_seat=deciding("lower.race.seat_mm", optional=True),
    room=trade_figure("front-end.bearing-room"),
    sizes=trade_figure("front-end.room"),
    race=adapter_kind("front-end.reducing-race-for-bearing"),
    reducer=adapter_kind("front-end.reducing-lower-set"),
)
def lower_bearing(
    bearing: Num,
    crown: Num,
    bottom: Num | None,
    headset_seat: Num,
    room: Band,
    sizes: Band,
    race: AdapterPairs,
    reducer: AdapterPairs,
) -> Outcome:
    """The crown seat is as thick as the hole of the bearing that the frame is made for, or thinner by a race.

    A thin seat in a large bearing wants a reducing crown race or a lower headset made for it.
    """
    if bottom is not None and bearing - bottom < room["over_steerer_mm"]:
        return no_fit("too-thick", room_mm=bearing - bottom)
    gap = bearing - crown
    if gap < -room["under_seat_mm"]:
        return no_fit("too-thick", room_mm=gap)
    if gap <= room["race_mm"]:
        return fits()
    if headset_seat > 0:
        return fits(reason="headset-decides")
    for kind in (race, reducer):
        if _near(kind, sizes["size_slack_mm"], bearing_mm=bearing, seat_mm=crown):
            return needs_adapter("too-thin", kind.row, gap_mm=gap)
    return not_known("no-headset-known")


# --------------------------------------------------------------------------------------- the headset in the head tube

UPPER_HEADSET = joint(
    "front_end.upper-headset-in-head-tube",
    "upper headset in head tube",
    """
    What meets: the upper half of the headset, a pressed cup or a bare bearing, and the upper end of the head tube.

    Why it matters: a cup is pressed into a bore that is a hair smaller; a bare bearing sits in a seat cut in the
    frame. The size of the steerer does not tell which: four kinds serve a 1-1/8 fork.

    What to do: look into the tube first. A sloped ledge means bare bearings; a plain bore means pressed cups.

    Measure: the bore with a caliper at two angles, after the old cup is out; the skirt of the cup; or read the
    print on the bearing.

    Caution: a cup that is forced in can split the head tube; never ream, glue or press hard into carbon.
    """,
    place(frame="frame", headset="headset_upper"),
)
LOWER_HEADSET = joint(
    "front_end.lower-headset-in-head-tube",
    "lower headset in head tube",
    """
    What meets: the lower half of the headset, a pressed cup or a bare bearing, and the lower end of the head tube.

    Why it matters: a cup is pressed into a bore that is a hair smaller; a bare bearing sits in a seat cut in the
    frame. Upper and lower end are often of different sizes.

    What to do: look into the tube first. A sloped ledge means bare bearings; a plain bore means pressed cups.

    Measure: the bore with a caliper at two angles, after the old cup is out, and how deep it is bored; the skirt of
    the cup; or read the print on the bearing.

    Caution: a cup that is forced in can split the head tube; never ream, glue or press hard into carbon.
    """,
    place(frame="frame", headset="headset_lower"),
)

for _joint, _end in ((UPPER_HEADSET, "frame.head_tube_upper"), (LOWER_HEADSET, "frame.head_tube_lower")):

    @_joint.test(
        "kind",
        silent="instead",
        reasons={"seat-takes-no-cup": Verdict.NO_FIT, "bore-has-no-seat": Verdict.NO_FIT},
        asked_if=(f"{_end}.fit", "headset.cup.fit"),
        end_fit=deciding(f"{_end}.fit"),
        cup_fit=deciding("headset.cup.fit"),
    )
    def headset_kind(end_fit: WordFigure, cup_fit: WordFigure) -> Outcome:
        """A bare bearing goes in a seat of the frame, a cup in a plain bore; never the one in the other."""
        if cup_fit == BARE:
            return no_fit("bore-has-no-seat") if end_fit == PRESSED else fits()
        return no_fit("seat-takes-no-cup") if end_fit == BARE else fits()

    @_joint.test(
        "size",
        reasons={
            "no-cup": Verdict.FITS,
            "loose": Verdict.NO_FIT,
            "too-large": Verdict.NO_FIT,
            "tight": Verdict.NEEDS_WORK,
            "force": Verdict.UNSAFE,
        },
        asked_unless=("headset.cup.cup_od_mm",),
        cup_fit=deciding("headset.cup.fit"),
        size=deciding("headset.cup.size_mm"),
        bore=deciding(f"{_end}.bore_mm"),
        material=deciding("frame.material"),
        press=trade_figure("front-end.cup-press"),
    )
    def cup_size(cup_fit: WordFigure, size: Num, bore: Num, material: WordFigure, press: Band) -> Outcome:
        """The cup is made for a bore of this size; its skirt is then the usual press fit larger.

        A skirt a few tenths too large is reamed for in a metal frame, never in carbon.
        """
        if cup_fit == BARE:
            return fits(reason="no-cup")
        return _pressed(size + press["usual_mm"] - bore, material, press)

    @_joint.test(
        "press",
        silent="instead",
        reasons={
            "loose": Verdict.NO_FIT,
            "too-large": Verdict.NO_FIT,
            "tight": Verdict.NEEDS_WORK,
            "force": Verdict.UNSAFE,
        },
        asked_if=("headset.cup.cup_od_mm",),
        skirt=deciding("headset.cup.cup_od_mm"),
        bore=deciding(f"{_end}.bore_mm"),
        material=deciding("frame.material"),
        press=trade_figure("front-end.cup-press"),
    )
    def cup_press(skirt: Num, bore: Num, material: WordFigure, press: Band) -> Outcome:
        """The measured skirt is larger than the bore by a press fit: neither loose nor so tight that it needs force."""
        return _pressed(skirt - bore, material, press)

    @_joint.test(
        "skirt",
        silent="finer",
        reasons={"skirt-too-long": Verdict.NEEDS_WORK},
        asked_if=("headset.cup.insertion_mm", f"{_end}.bore_depth_mm"),
        skirt_length=deciding("headset.cup.insertion_mm"),
        bored=deciding(f"{_end}.bore_depth_mm"),
    )
    def cup_skirt(skirt_length: Num, bored: Num) -> Outcome:
        """The skirt of the cup is no longer than the head tube is bored deep; else it stands proud."""
        if skirt_length <= bored:
            return fits()
        return needs_work("skirt-too-long", proud_mm=skirt_length - bored)

    @_joint.test(
        "bearing",
        reasons={
            "sits-in-cup": Verdict.FITS,
            "bearing-too-large": Verdict.NO_FIT,
            "bearing-too-small": Verdict.NO_FIT,
        },
        asked_unless=("headset.cup.cup_od_mm",),
        cup_fit=deciding("headset.cup.fit"),
        bearing=deciding("headset.cup.bearing_od_mm"),
        seat=deciding(f"{_end}.bearing_od_mm"),
        play=trade_figure("front-end.bearing-seat"),
    )
    def bare_bearing(cup_fit: WordFigure, bearing: Num, seat: Num, play: Band) -> Outcome:
        """A bare bearing has the outside diameter that the seat in the frame is made for."""
        if cup_fit != BARE:
            return fits(reason="sits-in-cup")
        over = bearing - seat
        if over > play["slack_mm"]:
            return no_fit("bearing-too-large", over_mm=over)
        if over < -play["slack_mm"]:
            return no_fit("bearing-too-small", play_mm=-over)
        return fits()

    @_joint.test(
        "slope",
        silent="finer",
        reasons={"slopes-differ": Verdict.NO_FIT},
        asked_if=("headset.cup.frame_angle_deg", f"{_end}.seat_angle_deg"),
        outer=deciding("headset.cup.frame_angle_deg"),
        seat_slope=deciding(f"{_end}.seat_angle_deg"),
    )
    def bearing_slope(outer: Num, seat_slope: Num) -> Outcome:
        """The outer chamfer of a bare bearing has the slope of the seat in the frame."""
        return fits() if outer == seat_slope else no_fit("slopes-differ")


def _pressed(over: Num, material: WordFigure, press: Band) -> Outcome:
    """Judge a cup that is ``over`` larger than its bore."""
    if over < press["loose_mm"]:
        return no_fit("loose", press_mm=over)
    if over < press["tight_mm"]:
        return fits(press_mm=over)
    if over > press["ream_mm"]:
        return no_fit("too-large", press_mm=over)
    if material == CARBON:
        return unsafe("force", press_mm=over)
    return needs_work("tight", press_mm=over)


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
    if _near(ring, play["slack_mm"], bore_mm=bore, top_mm=top):
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
    if _near(reducer, press["tight_mm"], fork_mm=crown, race_mm=made_for):
        return needs_adapter("race-falls-over", reducer.row, gap_mm=made_for - crown)
    if made_for - crown > press["mill_mm"]:
        return no_fit("gap-without-race", gap_mm=made_for - crown)
    return _raced(crown - made_for + press["usual_mm"], material, press)


@CROWN_RACE.test(
    "press",
    silent="instead",
    reasons=_RACE_REASONS,
    asked_if=("headset.race.bore_mm",),
    crown=deciding("fork.crown_seat.dia_mm"),
    hole=deciding("headset.race.bore_mm"),
    form=confirming("headset.race.form"),
    material=deciding("fork.crown_seat.material"),
    press=trade_figure("front-end.race-press"),
)
def race_press(crown: Num, hole: Num, form: WordFigure | None, material: WordFigure, press: Band) -> Outcome:
    """The measured hole of the race is smaller than the seat by a press fit; a split race may just slide on."""
    if hole - crown > press["mill_mm"]:
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


# --------------------------------------------------------------------------------------------------- stem and steerer

STEM = joint(
    "front_end.stem-on-steerer",
    "stem on steerer",
    """
    What meets: the stem, a clamp round the steerer or a quill inside it, and the steerer.

    Why it matters: this is all that holds the handlebar to the fork. It must grip a plain round tube over its whole
    height.

    What to do: a stem that is larger by a size that the trade knows takes a split shim made for it, and nothing else.

    Measure: the steerer's outside and the bore of the stem with a caliper; for a quill, the inside of the steerer
    below the thread, and whether the mark is out of sight.

    Caution: a stem that slips or a steerer that cracks throws the rider; follow the makers of fork and stem, and
    use a torque wrench.
    """,
    place(stem="stem", fork="fork", shim="stem_shim", adapter="stem_shim"),
    safety=True,
    presupposes=("front_end.steerer-in-upper-end",),
    between=("stem", "fork"),
)


@STEM.test(
    "clamp",
    reasons={
        "holds-inside": Verdict.FITS,
        "thread-decides": Verdict.FITS,
        "stem-too-narrow": Verdict.NO_FIT,
        "stem-too-wide": Verdict.NEEDS_ADAPTER,
        "gap-without-shim": Verdict.NO_FIT,
    },
    asked_unless=("stem.steerer_clamp.quill_dia_mm",),
    form=confirming("stem.steerer_clamp.form"),
    steerer_form=confirming("fork.steerer.form"),
    bore=deciding("stem.steerer_clamp.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
    shim=adapter_kind("front-end.stem-shim"),
    oversize=adapter_kind("front-end.stem-shim-oversize"),
)
def stem_clamp(
    form: WordFigure | None,
    steerer_form: WordFigure | None,
    bore: Num,
    top: Num,
    play: Band,
    shim: AdapterPairs,
    oversize: AdapterPairs,
) -> Outcome:
    """The bore of the stem is the outside of the steerer; one size larger takes a split shim, but never on a thread."""
    if form is not None and form == "quill":
        return fits(reason="holds-inside")
    if steerer_form is not None and steerer_form == "threaded":
        return fits(reason="thread-decides")
    over = bore - top
    if over < -play["slack_mm"]:
        return no_fit("stem-too-narrow", gap_mm=-over)
    if over <= play["slack_mm"]:
        return fits()
    for kind in (shim, oversize):
        if _near(kind, play["slack_mm"], steerer_mm=top, stem_mm=bore):
            return needs_adapter("stem-too-wide", kind.row, gap_mm=over)
    return no_fit("gap-without-shim", gap_mm=over)


@STEM.test(
    "quill",
    reasons={
        "holds-outside": Verdict.FITS,
        "quill-too-thick": Verdict.NEEDS_WORK,
        "quill-far-too-thick": Verdict.NO_FIT,
        "quill-too-thin": Verdict.NEEDS_ADAPTER,
        "gap-without-sleeve": Verdict.NO_FIT,
    },
    asked_unless=("stem.steerer_clamp.bore_mm",),
    form=confirming("stem.steerer_clamp.form"),
    quill_dia=deciding("stem.steerer_clamp.quill_dia_mm"),
    bore=deciding("fork.steerer.bore_mm"),
    play=trade_figure("front-end.quill-play"),
    sleeve=adapter_kind("front-end.quill-sleeve"),
)
def stem_quill(form: WordFigure | None, quill_dia: Num, bore: Num, play: Band, sleeve: AdapterPairs) -> Outcome:
    """The quill slides into the steerer by hand without play. A quill 0.2 mm too thick is dressed, the fork never."""
    if form is not None and form != "quill":
        return fits(reason="holds-outside")
    gap = bore - quill_dia
    if gap < -play["dress_mm"]:
        return no_fit("quill-far-too-thick", over_mm=-gap)
    if gap < -play["tight_mm"]:
        return needs_work("quill-too-thick", over_mm=-gap)
    if gap <= play["loose_mm"]:
        return fits()
    if _near(sleeve, play["tight_mm"], quill_mm=quill_dia, bore_mm=bore):
        return needs_adapter("quill-too-thin", sleeve.row, gap_mm=gap)
    return no_fit("gap-without-sleeve", gap_mm=gap)


@STEM.test(
    "form",
    silent="instead",
    reasons={
        "clamp-over-thread": Verdict.NEEDS_ADAPTER,
        "clamp-on-thread": Verdict.UNSAFE,
        "quill-in-threadless": Verdict.NO_FIT,
    },
    asked_if=("stem.steerer_clamp.form",),
    stem_form=deciding("stem.steerer_clamp.form"),
    steerer_form=deciding("fork.steerer.form"),
    bore=deciding("stem.steerer_clamp.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
    adapter=adapter_kind("front-end.quill-adapter"),
)
def stem_form(
    stem_form: WordFigure, steerer_form: WordFigure, bore: Num, top: Num, play: Band, adapter: AdapterPairs
) -> Outcome:
    """A clamp goes round a threadless steerer, a quill into a threaded one; a clamp on a thread bites its crests.

    A clamp too wide to close on the thread goes on the plain top of an adapter quill.
    """
    if stem_form == "quill":
        return fits() if steerer_form == "threaded" else no_fit("quill-in-threadless")
    if steerer_form != "threaded":
        return fits()
    if bore > top + play["slack_mm"] and _near(adapter, play["slack_mm"], thread_mm=top, stem_mm=bore):
        return needs_adapter("clamp-over-thread", adapter.row)
    return unsafe("clamp-on-thread")


@STEM.test(
    "wall",
    silent="feature",
    reasons={"quill-in-carbon": Verdict.UNSAFE},
    asked_if=("stem.steerer_clamp.form", "fork.steerer.material"),
    stem_form=deciding("stem.steerer_clamp.form"),
    material=deciding("fork.steerer.material"),
)
def quill_wall(stem_form: WordFigure, material: WordFigure) -> Outcome:
    """The wedge of a quill spreads against the wall of the steerer; carbon splits."""
    return unsafe("quill-in-carbon") if stem_form == "quill" and material == CARBON else fits()


@STEM.test(
    "insertion",
    silent="choice",
    reasons={"mark-showing": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("stem.steerer_clamp.inserted_mm",),
    inserted=deciding("stem.steerer_clamp.inserted_mm"),
    mark=limit("stem.steerer_clamp.mark_mm", "safety"),
    steerer_form=confirming("fork.steerer.form"),
)
def quill_insertion(inserted: Num, mark: LimitFigure, steerer_form: WordFigure | None) -> Outcome:
    """A quill sits at least as deep as its mark asks for."""
    if steerer_form is not None and steerer_form == "threadless":
        return fits()
    if mark.not_printed:
        return not_known("limit-not-printed")
    return fits() if inserted >= mark.number else unsafe("mark-showing", short_mm=mark.number - inserted)


# Carbon is what a steerer is named for; one of which nothing is said is metal for this question.
@STEM.test(
    "consent",
    silent="feature",
    reasons={"shim-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("fork.steerer.material",),
    material=deciding("fork.steerer.material"),
    consent=deciding("fork.steerer.shim"),
    shim_bore=confirming("shim.steerer_clamp.bore_mm"),
)
def steerer_shim_consent(material: WordFigure, consent: WordFigure, shim_bore: Num | None) -> Outcome:
    """A carbon steerer is clamped through a shim only where the fork's maker says so; a metal one needs no permission.

    Asked of a steerer whose material is stated.
    """
    if material != CARBON:
        return fits()
    if consent == "forbidden":
        return unsafe("shim-forbidden")
    return fits() if consent == "allowed" else not_known("consent-not-printed")


@STEM.test(
    "section",
    silent="feature",
    reasons={"round-stem-on-flat-steerer": Verdict.UNSAFE},
    asked_if=("fork.steerer.section",),
    section=deciding("fork.steerer.section"),
    stem_section=deciding("stem.steerer_clamp.section"),
)
def steerer_section(section: WordFigure, stem_section: WordFigure) -> Outcome:
    """A steerer with a flat side wants the stem that is made for it; a round stem grips it on its corners only."""
    if section != "flat-sided":
        return fits()
    return fits() if stem_section == "flat-sided" else unsafe("round-stem-on-flat-steerer")


# -------------------------------------------------------------------------------------------------------- bar in stem

BAR = joint(
    "front_end.bar-in-stem",
    "handlebar in stem",
    """
    What meets: the middle of the handlebar, and the clamp of the stem.

    Why it matters: half a millimetre too loose and the bar turns under the rider; too tight and the clamp dents it.

    What to do: match the two numbers. A thinner bar takes a shim that is sold for the pair; a thicker one never fits.

    Measure: the bar in its middle with a caliper; read the face of the stem.

    Caution: a bar that turns or breaks throws the rider. No foil, no tape, and no shim on carbon without its
    maker's word; tighten to the lower of the figures printed on bar and stem.
    """,
    place(bar="handlebar", stem="stem", shim="bar_shim", adapter="bar_shim"),
    safety=True,
    between=("bar", "stem"),
)


@BAR.test(
    "diameter",
    reasons={
        "bar-forced-in": Verdict.UNSAFE,
        "bar-too-thick": Verdict.NO_FIT,
        "bar-too-thin": Verdict.NEEDS_ADAPTER,
        "gap-without-shim": Verdict.NO_FIT,
    },
    bar_dia=deciding("bar.centre.dia_mm"),
    clamp=deciding("stem.bar_clamp.dia_mm"),
    opening=deciding("stem.bar_clamp.opening"),
    material=deciding("bar.centre.material"),
    play=trade_figure("front-end.bar-clamp-play"),
    narrow=adapter_kind("front-end.bar-shim"),
    oversize=adapter_kind("front-end.bar-shim-oversize"),
)
def bar_diameter(
    bar_dia: Num,
    clamp: Num,
    opening: WordFigure,
    material: WordFigure,
    play: Band,
    narrow: AdapterPairs,
    oversize: AdapterPairs,
) -> Outcome:
    """Bar and clamp have the same diameter.

    0.2 mm under is accepted for a metal bar in a clamp with a face plate. A bar that is thicker by up to half a
    millimetre goes in by force, and that is what makes it dangerous. A thinner bar may take a shim.
    """
    over = bar_dia - clamp
    if over > play["forced_mm"]:
        return no_fit("bar-too-thick", over_mm=over)
    if over > play["equal_mm"]:
        return unsafe("bar-forced-in", over_mm=over)
    if over >= -play["equal_mm"]:
        return fits()
    if over >= -play["plate_mm"]:
        if opening == "face-plate" and material != CARBON:
            return fits("metal-bar-in-face-plate")
        return no_fit("gap-without-shim", gap_mm=-over)
    for kind in (narrow, oversize):
        if _near(kind, play["equal_mm"], bar_mm=bar_dia, stem_mm=clamp):
            return needs_adapter("bar-too-thin", kind.row, gap_mm=-over)
    return no_fit("gap-without-shim", gap_mm=-over)


@BAR.test(
    "width",
    silent="finer",
    reasons={"clamp-on-bend": Verdict.NO_FIT},
    links=(),
    asked_if=("bar.centre.straight_width_mm", "stem.bar_clamp.width_mm"),
    straight=deciding("bar.centre.straight_width_mm"),
    clamp_width=deciding("stem.bar_clamp.width_mm"),
)
def bar_width(straight: Num, clamp_width: Num) -> Outcome:
    """The clamp is no wider than the straight middle of the bar."""
    return fits() if clamp_width <= straight else no_fit("clamp-on-bend", over_mm=clamp_width - straight)


@BAR.test(
    "consent",
    reasons={"shim-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    material=deciding("bar.centre.material"),
    consent=deciding("bar.centre.shim"),
    shim_bore=confirming("shim.bar_clamp.dia_mm"),
)
def shim_consent(material: WordFigure, consent: WordFigure, shim_bore: Num | None) -> Outcome:
    """A carbon bar goes in a shim only where its maker says so; a metal bar needs no permission."""
    if material != CARBON:
        return fits()
    if consent == "forbidden":
        return unsafe("shim-forbidden")
    return fits() if consent == "allowed" else not_known("consent-not-printed")


# ---------------------------------------------------------------------------------------------- length of the steerer

LENGTH = joint(
    "front_end.steerer-length",
    "length of the steerer",
    """
    What meets: the steerer, and all that it carries: lower headset, head tube, upper headset, spacers, stem.

    Why it matters: the stem must grip the tube almost to its own top, and the tube must end a little below, so that
    the cap can take up the play of the bearings.

    What to do: put everything together dry, measure twice, cut once: 2 to 3 mm below the top of the stem, or of a
    spacer on it. Leave 20 to 25 mm of spacers at first; what is cut off does not come back.

    Measure: the steerer from the crown seat to its end with a steel rule; stem and headset with a caliper.

    Caution: a stem that holds too little tube lets go, and too tall a stack breaks a carbon steerer. Only the fork
    maker knows what a carbon steerer bears; follow the maker's instructions.
    """,
    place(
        fork="fork",
        frame="frame",
        upper="headset_upper",
        lower="headset_lower",
        spacers="spacers",
        stem="stem",
    ),
    safety=True,
    presupposes=(
        "front_end.steerer-in-upper-end",
        "front_end.steerer-in-lower-end",
        "front_end.steerer-in-upper-headset",
        "front_end.stem-on-steerer",
    ),
)


@LENGTH.test(
    "length",
    reasons={"threaded": Verdict.FITS, "too-short": Verdict.NO_FIT, "too-little-held": Verdict.UNSAFE},
    asked_unless=("fork.steerer.below_stem_top_mm",),
    form=confirming("fork.steerer.form"),
    steerer=deciding("fork.steerer.length_mm"),
    bare=total("frame.head_tube.length_mm", "lower.stack.height_mm", "upper.stack.height_mm"),
    stem_height=deciding("stem.steerer_clamp.height_mm"),
    below=deciding("spacers.stack.below_mm", optional=True),
    above=Read("spacers.stack.above_mm", "confirming", optional=True),
    gap=trade_figure("front-end.steerer-gap"),
    most=trade_figure("front-end.steerer-gap-limit"),
)
def steerer_length(
    form: WordFigure | None,
    steerer: Num,
    bare: Num,
    stem_height: Num,
    below: Num,
    above: Num | None,
    gap: Band,
    most: Band,
) -> Outcome:
    """A threadless steerer reaches to at most 5 mm below the top of the stem, or of the spacers on it.

    A longer one is cut; a shorter one may do once spacers are taken away. If it stays shorter, the stem holds too
    little of it, or does not reach it at all.
    """
    if form is not None and form == "threaded":
        return fits(reason="threaded")
    loose = below if above is None else below + above
    height = bare + loose + stem_height
    missing = lengths.below_top(steerer, height)
    cut = lengths.cut_off(steerer, height, Num(gap["to_mm"]))
    if missing <= 0:
        return fits("to-be-cut", cut_by_mm=cut)
    if missing <= most["most_mm"]:
        return fits()
    if missing - loose <= most["most_mm"]:
        return fits("take-spacers-away", take_away_mm=-cut)
    if missing - loose >= stem_height:
        return no_fit("too-short", short_mm=missing - loose)
    return unsafe("too-little-held", below_top_mm=missing - loose)


@LENGTH.test(
    "held",
    silent="choice",
    reasons={"held-by-quill": Verdict.FITS, "too-little-held": Verdict.UNSAFE},
    asked_if=("fork.steerer.below_stem_top_mm",),
    below_top=deciding("fork.steerer.below_stem_top_mm"),
    form=confirming("stem.steerer_clamp.form"),
    gap=trade_figure("front-end.steerer-gap"),
    most=trade_figure("front-end.steerer-gap-limit"),
)
def steerer_held(below_top: Num, form: WordFigure | None, gap: Band, most: Band) -> Outcome:
    """Measured on the bicycle, the steerer ends at most 5 mm below the top of the stem, or of the spacer on it.

    Flush or proud it has to be cut, or to get a spacer on top, before the cap can take up play.
    """
    if form is not None and form == "quill":
        return fits(reason="held-by-quill")
    if below_top > most["most_mm"]:
        return unsafe("too-little-held", below_top_mm=below_top)
    if below_top <= 0:
        return fits("to-be-cut", cut_by_mm=Num(gap["to_mm"]) - below_top)
    return fits()


@LENGTH.test(
    "thread",
    silent="instead",
    reasons={"threadless": Verdict.FITS, "locknut-short-of-thread": Verdict.UNSAFE},
    asked_if=("fork.steerer.form",),
    form=deciding("fork.steerer.form"),
    steerer=deciding("fork.steerer.length_mm"),
    bare=total("frame.head_tube.length_mm", "lower.stack.height_mm", "upper.stack.height_mm"),
    washers=deciding("spacers.stack.below_mm", optional=True),
    stack=trade_figure("front-end.threaded-stack"),
)
def threaded_length(form: WordFigure, steerer: Num, bare: Num, washers: Num, stack: Band) -> Outcome:
    """A threaded steerer reaches almost to the top of the locknut; what is too long is taken up by washers."""
    if form != "threaded":
        return fits(reason="threadless")
    missing = lengths.below_top(steerer, bare + washers)
    if missing > stack["most_mm"]:
        return unsafe("locknut-short-of-thread", short_mm=missing - stack["most_mm"])
    if missing < 0:
        return fits("washers-under-locknut", washers_mm=-missing)
    return fits()


SPACERS = joint(
    "front_end.spacers-on-steerer",
    "spacers on steerer",
    """
    What meets: the loose rings under the stem, and the steerer that they sit on.

    Why it matters: a tall stack makes a lever of the stem that can snap a carbon steerer; some makers ask for a
    ring under the stem, so that its edge does not press on the tube at the height of the bearing.

    What to do: keep within what the fork maker prints, least and most; makers differ from 20 to 55 mm. Height
    beyond that comes from a stem or bar with more rise.

    Measure: from the cover of the headset to the lower edge of the stem with a caliper.

    Caution: a carbon steerer that breaks throws the rider. Only its maker knows what it bears; follow the maker's
    instructions.
    """,
    place(fork="fork", spacers="spacers"),
    safety=True,
)


@SPACERS.test(
    "bore",
    silent="finer",
    by_hand=True,
    reasons={"rings-too-narrow": Verdict.NO_FIT, "rings-too-wide": Verdict.NO_FIT},
    asked_if=("spacers.stack.bore_mm",),
    rings=deciding("spacers.stack.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
)
def spacer_bore(rings: Num, top: Num, play: Band) -> Outcome:
    """The rings have the steerer's outside diameter, so that they lie flat and centred under the stem."""
    if rings - top < -play["slack_mm"]:
        return no_fit("rings-too-narrow")
    return fits() if rings - top <= play["slack_mm"] else no_fit("rings-too-wide")


@SPACERS.test(
    "height",
    reasons={
        "spacers-over-limit": Verdict.UNSAFE,
        "spacers-under-limit": Verdict.UNSAFE,
        "limit-not-printed": Verdict.NOT_KNOWN,
    },
    material=deciding("fork.steerer.material"),
    under_stem=deciding("spacers.stack.below_mm"),
    least=confirming("fork.steerer.spacers_below_min_mm"),
    most_spacers=limit("fork.steerer.spacers_below_max_mm", "safety"),
)
def carbon_spacers(
    material: WordFigure, under_stem: Num, least: LimitFigure | None, most_spacers: LimitFigure
) -> Outcome:
    """On a carbon steerer the spacers under the stem keep within what the fork maker prints, least and most."""
    if material != CARBON:
        return fits()
    if least is not None and not least.not_printed and under_stem < least.number:
        return unsafe("spacers-under-limit", short_mm=least.number - under_stem)
    if under_stem <= 0:
        return fits()
    if most_spacers.not_printed:
        return not_known("limit-not-printed")
    if under_stem > most_spacers.number:
        return unsafe("spacers-over-limit", over_mm=under_stem - most_spacers.number)
    return fits()


# ----------------------------------------------------------------------------------------------------- preload anchor

ANCHOR = joint(
    "front_end.preload-anchor-in-steerer",
    "preload anchor in steerer",
    """
    What meets: the star nut or expander that the bolt of the top cap pulls on, and the inside of the steerer.

    Why it matters: a star nut bites into metal, and cuts carbon. In a carbon steerer the expander also keeps the
    stem clamp from crushing the tube.

    What to do: star nut 10 to 15 mm below the top in steel and aluminium; in carbon an expander that reaches past
    the lower bolt of the stem. The cap takes up play, it does not hold the fork.

    Measure: the inside of the steerer with the inside jaws of a caliper; look for the weave of carbon.

    Caution: a carbon steerer that a star nut has cut is scrap. A few makers use a star nut in a sleeve of their
    own: follow the fork maker.
    """,
    place(anchor="preload_anchor", fork="fork", stem="stem"),
    safety=True,
)


@ANCHOR.test(
    "material",
    reasons={"star-nut-in-carbon": Verdict.UNSAFE, "no-support-inside": Verdict.NOT_KNOWN},
    form=deciding("anchor.anchor.form"),
    material=deciding("fork.steerer.material"),
    ground=trade_figure("front-end.star-nut-materials"),
)
def anchor_material(form: WordFigure, material: WordFigure, ground: Band) -> Outcome:
    """A star nut goes in a metal steerer only; a carbon steerer takes an expander."""
    if form == "expander" or material != CARBON:
        return fits()
    if form == "star-nut":
        return unsafe("star-nut-in-carbon")
    return not_known("no-support-inside")


@ANCHOR.test(
    "bore",
    silent="feature",
    reasons={"steerer-too-narrow": Verdict.NO_FIT, "steerer-too-wide": Verdict.NO_FIT},
    asked_if=("anchor.anchor.steerer_bore_mm",),
    grips=deciding("anchor.anchor.steerer_bore_mm"),
    bore=deciding("fork.steerer.bore_mm"),
)
def anchor_bore(grips: SpanFigure, bore: Num) -> Outcome:
    """An expander is made for the inside diameter of the steerer."""
    if bore < grips.low:
        return no_fit("steerer-too-narrow")
    return fits() if bore <= grips.high else no_fit("steerer-too-wide")


@ANCHOR.test(
    "size",
    silent="feature",
    reasons={"other-steerer-size": Verdict.NO_FIT},
    asked_if=("anchor.anchor.for_steerer_mm",),
    sold_for=deciding("anchor.anchor.for_steerer_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
)
def anchor_size(sold_for: Num, top: Num, play: Band) -> Outcome:
    """A star nut is sold for a steerer of this outside diameter."""
    return fits() if sold_for.near(top, play["slack_mm"]) else no_fit("other-steerer-size")


@ANCHOR.test(
    "support",
    silent="feature",
    reasons={"plug-shorter-than-clamp": Verdict.NOT_KNOWN},
    asked_if=("anchor.anchor.length_mm",),
    material=deciding("fork.steerer.material"),
    plug_length=deciding("anchor.anchor.length_mm"),
    stem_height=deciding("stem.steerer_clamp.height_mm"),
)
def anchor_support(material: WordFigure, plug_length: Num, stem_height: Num) -> Outcome:
    """In a carbon steerer the plug is at least as long as the clamp of the stem that it backs up."""
    if material != CARBON or plug_length >= stem_height:
        return fits()
    return not_known("plug-shorter-than-clamp", short_mm=stem_height - plug_length)


# ------------------------------------------------------------------------------------------------------------ the work

_CLAMP: Final = {"stem.steerer_clamp.form": ("clamp",)}
_UNCUT: Final = {"fork.steerer.form": ("threadless",), "stem.steerer_clamp.form": ("clamp",)}
_CUPS: Final = {"headset.cup.fit": ("external-cup", "flush-cup")}

for _joint, _step in ((UPPER_HEADSET, "upper-cup-in"), (LOWER_HEADSET, "lower-cup-in")):
    _joint.step(
        _step,
        where=_CUPS,
        before=("dry-fit", "fork-in"),
        tools=("headset-press",),
        uses=notes("use.grease"),
        practice=("practice.cup-square", Note("practice.no-force-in-carbon", {"frame.material": (CARBON,)})),
    )
CROWN_RACE.step(
    "crown-race-on",
    before=("dry-fit", "fork-in"),
    tools=("race-driver",),
    practice=("practice.race-square", Note("practice.no-force-in-carbon", {"fork.crown_seat.material": (CARBON,)})),
)
LENGTH.step(
    "dry-fit",
    needs=("fork", "frame", "upper", "lower", "stem"),
    where=_UNCUT,
    before=("cut-steerer",),
    tools=("steel-rule", "marker"),
    practice=("practice.dry-fit-first", "practice.measure-twice"),
    figures=("front_end.steerer-cut",),
)
LENGTH.step(
    "cut-steerer",
    needs=("fork", "frame", "upper", "lower", "stem"),
    where=_UNCUT,
    before=("star-nut-in", "fork-in"),
    tools=("saw-guide", "hacksaw", "file"),
    practice=("practice.cut-along-guide", Note("practice.carbon-cut", {"fork.steerer.material": (CARBON,)})),
    figures=("front_end.steerer-cut",),
)
ANCHOR.step(
    "star-nut-in",
    needs=("anchor", "fork"),
    where={"anchor.anchor.form": ("star-nut",)},
    never={"fork.steerer.material": (CARBON,)},
    before=("fork-in", "preload"),
    tools=("star-nut-setter",),
    practice=("practice.star-nut-square",),
    figures=("front_end.star-nut-depth",),
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
STEM.step(
    "stem-on",
    where=_CLAMP,
    after=("fork-in",),
    before=("bar-in",),
    tools=("hex-4",),
    uses=notes(Note("use.carbon-paste", {"fork.steerer.material": (CARBON,)})),
    practice=("practice.snug-first", "practice.four-mm-key"),
)
ANCHOR.step(
    "expander-in",
    needs=("anchor", "fork"),
    where={"anchor.anchor.form": ("expander",)},
    after=("stem-on", "cut-steerer"),
    before=("preload",),
    tools=("hex-6", "torque-wrench"),
    practice=("practice.expander-print",),
)
ANCHOR.step(
    "preload",
    needs=("anchor", "fork", "stem"),
    where=_CLAMP,
    after=("stem-on",),
    before=("stem-torque",),
    torques=(Torque("front-end.top-cap-torque"),),
    tools=("hex-5",),
    uses=notes("use.grease"),
    practice=("practice.preload-only",),
)
STEM.step(
    "quill-in",
    where={"stem.steerer_clamp.form": ("quill",)},
    after=("fork-in",),
    before=("bar-in", "quill-torque"),
    uses=notes("use.grease"),
    practice=("practice.quill-mark",),
)
STEM.step(
    "stem-torque",
    where=_CLAMP,
    after=("levers-on", *ON_THE_FLOOR),
    torques=(Torque("front-end.stem-clamp-torque", ("stem.steerer_clamp.torque_nm", "fork.steerer.torque_nm")),),
    tools=("hex-4", "torque-wrench"),
    practice=("practice.torque-on-floor", "practice.turn-about"),
)
STEM.step(
    "quill-torque",
    where={"stem.steerer_clamp.form": ("quill",)},
    after=ON_THE_FLOOR,
    torques=(Torque("front-end.quill-torque", ("stem.steerer_clamp.torque_nm",)),),
    tools=("hex-6", "torque-wrench"),
    practice=("practice.torque-on-floor",),
)
BAR.step(
    "bar-in",
    needs=("bar", "stem"),
    before=("levers-on", "shifters-on", "face-plate"),
    tools=("hex-4",),
    uses=notes(Note("use.carbon-paste", {"bar.centre.material": (CARBON,)})),
    practice=("practice.bar-middle", "practice.snug-first"),
)
BAR.step(
    "bar-trim",
    needs=("bar",),
    stated=("bar.span.wanted_mm",),
    before=("bar-in", "levers-on", "shifters-on", "grips-on"),
    tools=("saw-guide", "hacksaw", "file", "marker"),
    practice=("practice.trim-even", Note("practice.carbon-cut", {"bar.centre.material": (CARBON,)})),
    figures=("front_end.bar-trim",),
)
BAR.step(
    "face-plate",
    needs=("bar", "stem"),
    after=("stem-torque", "quill-torque"),
    before=("grips-on",),
    torques=(Torque("front-end.face-plate-torque", ("stem.bar_clamp.torque_nm", "bar.centre.torque_nm")),),
    tools=("hex-4", "torque-wrench"),
    practice=("practice.face-plate-gap", "practice.cross-pattern", "practice.torque-on-floor"),
)
BAR.step(
    "grips-on",
    needs=("bar", "grips"),
    after=("levers-on", "shifters-on", "lines-on", "shift-cables"),
    practice=("practice.wrap-last",),
)
