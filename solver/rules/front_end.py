"""Joints of the headset: the two ends of the head tube and the halves that go into them."""

from __future__ import annotations

from decimal import Decimal
from typing import Final, Literal

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
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
    limit,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.work import Note, notes

CARBON: Final = "carbon"
BARE: Final = "bare-bearing"
PRESSED: Final = "pressed-cup"


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
    if made_for == "thinner" and reducer.near(room["size_slack_mm"], bore_mm=bore, top_mm=top):
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
        if kind.near(sizes["size_slack_mm"], bearing_mm=bearing, top_mm=top):
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
    if made_for == "thicker" and conversion.near(slack, bore_mm=bore):
        return needs_adapter("thick-for-this-bore", conversion.row)
    if made_for == "thinner" and reducer.near(slack, bore_mm=bore, seat_mm=crown):
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
        if kind.near(sizes["size_slack_mm"], bearing_mm=bearing, seat_mm=crown):
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

for _joint, _end, _reducer in (
    (UPPER_HEADSET, "frame.head_tube_upper", "front-end.head-tube-reducer-upper"),
    (LOWER_HEADSET, "frame.head_tube_lower", "front-end.head-tube-reducer-lower"),
):

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
            "reducer-missing": Verdict.NEEDS_ADAPTER,
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
        room=trade_figure("front-end.room"),
        reducer=adapter_kind(_reducer),
    )
    def cup_size(
        cup_fit: WordFigure,
        size: Num,
        bore: Num,
        material: WordFigure,
        press: Band,
        room: Band,
        reducer: AdapterPairs,
    ) -> Outcome:
        """The cup is made for a bore of this size; its skirt is then the usual press fit larger.

        A skirt a few tenths too large is reamed for in a metal frame, never in carbon. A whole size less wants reducers
        in the head tube, where they are sold for the pair.
        """
        if cup_fit == BARE:
            return fits(reason="no-cup")
        if reducer.near(room["size_slack_mm"], bore_mm=bore, cup_mm=size):
            return needs_adapter("reducer-missing", reducer.row)
        return _pressed(size + press["usual_mm"] - bore, material, press)

    @_joint.test(
        "press",
        silent="instead",
        reasons={
            "loose": Verdict.NO_FIT,
            "reducer-missing": Verdict.NEEDS_ADAPTER,
            "too-large": Verdict.NO_FIT,
            "tight": Verdict.NEEDS_WORK,
            "force": Verdict.UNSAFE,
        },
        asked_if=("headset.cup.cup_od_mm",),
        skirt=deciding("headset.cup.cup_od_mm"),
        bore=deciding(f"{_end}.bore_mm"),
        material=deciding("frame.material"),
        press=trade_figure("front-end.cup-press"),
        room=trade_figure("front-end.room"),
        reducer=adapter_kind(_reducer),
    )
    def cup_press(
        skirt: Num, bore: Num, material: WordFigure, press: Band, room: Band, reducer: AdapterPairs
    ) -> Outcome:
        """The measured skirt is larger than the bore by a press fit: neither loose nor so tight that it needs force."""
        if reducer.near(room["size_slack_mm"], bore_mm=bore, cup_mm=skirt - press["usual_mm"]):
            return needs_adapter("reducer-missing", reducer.row)
        return _pressed(skirt - bore, material, press)

    @_joint.test(
        "makers-press",
        silent="feature",
        reasons={"over-makers-press": Verdict.NEEDS_WORK, "carbon-over-makers-press": Verdict.NO_FIT},
        asked_if=("headset.cup.cup_od_mm", "headset.cup.press_max_mm"),
        skirt=deciding("headset.cup.cup_od_mm"),
        bore=deciding(f"{_end}.bore_mm"),
        material=deciding("frame.material"),
        most_press=limit("headset.cup.press_max_mm", "function"),
    )
    def makers_press(skirt: Num, bore: Num, material: WordFigure, most_press: LimitFigure) -> Outcome:
        """The press fit is no more than the headset's maker allows; asked of a cup that states it."""
        over = skirt - bore
        if most_press.not_printed or over <= most_press.number:
            return fits()
        if material == CARBON:
            return no_fit("carbon-over-makers-press", press_mm=over)
        return needs_work("over-makers-press", press_mm=over)

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
        return fits(*(["firm-press"] if over > press["strict_mm"] else []), press_mm=over)
    if over > press["ream_mm"]:
        return no_fit("too-large", press_mm=over)
    if material == CARBON:
        return unsafe("force", press_mm=over)
    return needs_work("tight", press_mm=over)


# ------------------------------------------------------------------------------------------------------------ the work

CLAMP_STEPS: Final = {"stem.steerer_clamp.form": ("clamp",)}
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
