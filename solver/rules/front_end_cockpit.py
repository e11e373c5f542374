"""Joints of the cockpit: grips, plugs, the way of the hoses; and how long a fork a frame takes."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    no_fit,
    not_known,
    place,
    trade_figure,
    unsafe,
)

GRIPS_ON_BAR = joint(
    "front_end.grips-on-bar",
    "grips on handlebar",
    """
    What meets: the inside of the grips, or bar tape, and the part of the handlebar that the hands hold.

    Why it matters: a grip that is too wide turns and slides off; one that is too narrow does not go on. Drop bars are
    thicker at the hands than flat bars.

    What to do: grips for flat bars, tape for drop bars; tape goes round any bar.

    Measure: the bar with a caliper near its end: 22.2 mm on flat bars, about 23.8 on drop bars.

    Caution: a grip that comes off in the hand throws the rider. Follow the maker of the grips.
    """,
    place(grips="grips", bar="handlebar"),
    safety=True,
)


# Asked where both sizes are stated, as of levers and shifters: at the hands a bar is so regular that makers seldom
# print it, and a question at every bar would hide the questions that matter.
@GRIPS_ON_BAR.test(
    "bore",
    silent="regular",
    by_hand=True,
    asked_if=("grips.grip.bar_mm", "bar.controls.dia_mm"),
    reasons={"grip-too-narrow": Verdict.NO_FIT, "grip-too-wide": Verdict.NO_FIT},
    form=confirming("grips.grip.form"),
    made_for=deciding("grips.grip.bar_mm"),
    bar_dia=deciding("bar.controls.dia_mm"),
    play=trade_figure("front-end.grip-play"),
)
def grip_bore(form: WordFigure | None, made_for: Num, bar_dia: Num, play: Band) -> Outcome:
    """The grips are made for a bar as thick as this one; tape has no size. Asked where both sizes are stated."""
    if form is not None and form == "tape":
        return fits()
    if made_for < bar_dia - play["mm"]:
        return no_fit("grip-too-narrow", gap_mm=bar_dia - made_for)
    if made_for > bar_dia + play["mm"]:
        return no_fit("grip-too-wide", gap_mm=made_for - bar_dia)
    return fits()


PLUGS_IN_BAR = joint(
    "front_end.plugs-in-bar",
    "plugs in handlebar",
    """
    What meets: the plugs and the open ends of the handlebar.

    Why it matters: an open tube end cuts like a punch when somebody falls on it. A plug that is too small falls out.

    What to do: close every open end, of the bar and of anything clamped on it.

    Measure: the inside of the bar with the inside jaws of a caliper.

    Caution: never ride with an open bar end.
    """,
    place(plugs="bar_plugs", bar="handlebar"),
    safety=True,
)


@PLUGS_IN_BAR.test(
    "bore",
    by_hand=True,
    reasons={"bar-too-narrow": Verdict.NO_FIT, "plug-falls-out": Verdict.UNSAFE},
    holds=deciding("plugs.plug.bore_mm"),
    bore=deciding("bar.ends.bore_mm"),
)
def plug_bore(holds: SpanFigure, bore: Num) -> Outcome:
    """The inside of the bar lies in the range in which the plug holds."""
    if bore < holds.low:
        return no_fit("bar-too-narrow")
    return fits() if bore <= holds.high else unsafe("plug-falls-out")


FORK_LENGTH_IN_FRAME = joint(
    "front_end.fork-length-in-frame",
    "length of the fork in the frame",
    """
    What meets: the length and the travel of the fork, and what the maker of the frame allows.

    Why it matters: a longer fork is a longer lever on the head tube, and tilts the whole bicycle back; a shorter one
    steepens it and lowers the pedals.

    What to do: stay within the travel and the length that the frame's maker prints. Where he prints none, take a fork
    as long as the first one under load. Many forks can be set to less travel.

    Measure: from the middle of the axle in a straight line to the seat of the crown race, fork unloaded.

    Caution: a head tube that breaks away throws the rider without warning. Over a printed limit, never; in doubt ask
    the maker of the frame.
    """,
    place(fork="fork", frame="frame"),
    safety=True,
)


# A fork that states its travel is a suspension fork, and what the frame bears is then a safety limit: not stated,
# nobody knows. A fork that says nothing of travel or length is not asked about: rigid bicycles never print either.
@FORK_LENGTH_IN_FRAME.test(
    "travel",
    silent="feature",
    asked_if=("fork.length.travel_mm",),
    reasons={"too-much-travel": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    travel=deciding("fork.length.travel_mm"),
    most=limit("frame.fork_room.travel_max_mm", "safety"),
)
def fork_travel(travel: Num, most: LimitFigure) -> Outcome:
    """The fork has no more travel than the frame's maker prints; a rigid fork has none.

    Asked of a fork whose travel is stated.
    """
    if travel <= 0:
        return fits()
    if most.not_printed:
        return not_known("limit-not-printed")
    return fits() if travel <= most.number else unsafe("too-much-travel", gap_mm=travel - most.number)


@FORK_LENGTH_IN_FRAME.test(
    "length",
    silent="feature",
    asked_if=("fork.length.axle_to_crown_mm",),
    reasons={
        "longer-than-the-frame-bears": Verdict.UNSAFE,
        "shorter-than-the-frame-takes": Verdict.NO_FIT,
        "not-the-first-length": Verdict.NOT_KNOWN,
        "first-length-unknown": Verdict.NOT_KNOWN,
    },
    length=deciding("fork.length.axle_to_crown_mm"),
    least=limit("frame.fork_room.axle_to_crown_min_mm", "function"),
    most=limit("frame.fork_room.axle_to_crown_max_mm", "safety"),
    first=confirming("frame.fork_room.original_mm"),
    travel=confirming("fork.length.travel_mm"),
    first_travel=confirming("frame.fork_room.original_travel_mm"),
    usual=trade_figure("front-end.fork-length"),
    sag=trade_figure("front-end.sag"),
)
def fork_length(
    length: Num,
    least: LimitFigure,
    most: LimitFigure,
    first: Num | None,
    travel: Num | None,
    first_travel: Num | None,
    usual: Band,
    sag: Band,
) -> Outcome:
    """The fork is as long as the frame's maker prints; where he prints nothing, about as long as the first one.

    A rigid fork may be as long as the first one was under its rider. Asked of a fork whose length is stated.
    """
    if not most.not_printed and length > most.number:
        return unsafe("longer-than-the-frame-bears", gap_mm=length - most.number)
    if not least.not_printed and length < least.number:
        return no_fit("shorter-than-the-frame-takes", gap_mm=least.number - length)
    if not most.not_printed:
        return fits()
    if first is None:
        return not_known("first-length-unknown")
    if length.near(first, usual["within_mm"]):
        return fits("near-the-first-length")
    if travel is not None and first_travel is not None and travel <= 0:
        sunk = [first_travel * (sag[end] / 100) for end in ("to_percent", "from_percent")]
        if length.within(first - sunk[0] - usual["within_mm"], first - sunk[1] + usual["within_mm"]):
            return fits("near-the-first-length-loaded")
    return not_known("not-the-first-length")


HOSES_THROUGH_HEADSET = joint(
    "front_end.hoses-through-headset",
    "hoses through headset, spacers and stem",
    """
    What meets: a frame whose hoses come in at the top of the head tube, and the cover, spacers and stem on it.

    Why it matters: without a way through, the hoses have nowhere to go; pinched between parts of two makers they are
    cut when the bar is turned.

    What to do: take cover, centring ring, spacers and stem of one system. Covers that join two systems are sold for
    some pairs.

    Measure: look for openings in the cover, slots in the spacers, a channel in the stem; read their papers.

    Caution: a pinched hose is a brake that fails. Turn the bar fully both ways before the first ride and follow the
    makers.
    """,
    place(frame="frame", upper="headset_upper", spacers="spacers", stem="stem"),
    safety=True,
)

_WAY = "frame.hose_way.path"


# Hoses through the headset are a feature that stands in the name of a frame. One that says nothing of it has holes in
# its tubes, or hoses outside, and is not asked.
@HOSES_THROUGH_HEADSET.test(
    "cover",
    silent="feature",
    asked_if=(_WAY,),
    reasons={"no-way-through-the-headset": Verdict.NO_FIT},
    frame_way=deciding(_WAY),
    cover_way=deciding("upper.hose_way.path"),
)
def hoses_through_cover(frame_way: WordFigure, cover_way: WordFigure) -> Outcome:
    """The cover of the upper headset lets hoses through where the frame has no other way in for them."""
    if frame_way == "through" and cover_way != "through":
        return no_fit("no-way-through-the-headset")
    return fits()


@HOSES_THROUGH_HEADSET.test(
    "spacers",
    silent="feature",
    asked_if=("upper.hose_way.path", "spacers.hose_way.path"),
    reasons={"spacers-in-the-way": Verdict.NO_FIT},
    cover_way=deciding("upper.hose_way.path"),
    spacer_way=deciding("spacers.hose_way.path"),
    stem_way=confirming("stem.hose_way.path"),
)
def hoses_through_spacers(cover_way: WordFigure, spacer_way: WordFigure, stem_way: WordFigure | None) -> Outcome:
    """Spacers under a stem with a channel let the hoses through as well; asked where both ways are stated."""
    channel = stem_way is not None and stem_way == "through"
    if cover_way == "through" and channel and spacer_way != "through":
        return no_fit("spacers-in-the-way")
    return fits()


@HOSES_THROUGH_HEADSET.test(
    "system",
    silent="feature",
    asked_if=("upper.hose_way.system", "stem.hose_way.system"),
    reasons={"systems-differ": Verdict.NOT_KNOWN},
    cover_system=deciding("upper.hose_way.system"),
    stem_system=deciding("stem.hose_way.system"),
)
def hose_systems(cover_system: WordFigure, stem_system: WordFigure) -> Outcome:
    """Cover and stem are of one system; between two, only their makers know of a cover that joins them.

    Asked where both name one.
    """
    return fits() if cover_system == stem_system else not_known("systems-differ")
