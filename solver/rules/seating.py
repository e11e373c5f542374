"""Joints of the seatpost: in the seat tube, and the collar that holds it."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
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
    trade_figure,
    unsafe,
)
from solver.rules.work import ON_THE_FLOOR, Note, Torque, notes

SEATPOST_IN_SEAT_TUBE = joint(
    "seating.seatpost-in-seat-tube",
    "seatpost in seat tube",
    """
    What meets: the outside of the seatpost and the inside of the frame's seat tube, or of a sleeve in it.

    Why it matters: the post must slide in by hand without play. A thicker one jams; a thinner one slips, and the clamp
    cracks the tube round it. Too little post in the frame breaks the post or the frame.

    What to do: go by the size that is stamped on the old post. A thinner post can be brought up with a sleeve; a
    thicker one never goes in.

    Measure: the size stamped near the lower end of the post. A caliper's inside jaws do not tell one size from the
    next in a seat tube: try a post, a stepped gauge or an inside micrometer, 40 mm down and as deep as the post goes.

    Caution: a seatpost that breaks or slips throws the rider. Follow the makers of frame and post, and never ride with
    the mark showing.
    """,
    place(adapter="seatpost_sleeve", sleeve="seatpost_sleeve", post="seatpost", tube="frame"),
    safety=True,
    between=("post", "tube"),
)


@SEATPOST_IN_SEAT_TUBE.test(
    "diameter",
    reasons={
        "sections-differ": Verdict.NO_FIT,
        "frame-maker-only": Verdict.NOT_KNOWN,
        "too-thick": Verdict.NO_FIT,
        "tight-in-steel": Verdict.NEEDS_WORK,
        "too-thin": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "loose-in-carbon": Verdict.UNSAFE,
    },
    post_dia=deciding("post.shaft.dia_mm"),
    bore=deciding("tube.seat_tube.bore_mm"),
    material=deciding("tube.seat_tube.material"),
    post_section=confirming("post.shaft.section"),
    tube_section=confirming("tube.seat_tube.section"),
    metal=trade_figure("seating.post-play-metal"),
    carbon=trade_figure("seating.post-play-carbon"),
    step=trade_figure("seating.post-size-step"),
    tight=trade_figure("seating.post-tight"),
    wall=trade_figure("seating.sleeve-least-gap"),
    reported=adapter_kind("sleeve.seatpost-reported"),
    usual=adapter_kind("sleeve.seatpost-usual"),
    other=adapter_kind("sleeve.seatpost-other"),
)
def post_diameter(
    post_dia: Num,
    bore: Num,
    material: WordFigure,
    post_section: WordFigure | None,
    tube_section: WordFigure | None,
    metal: Band,
    carbon: Band,
    step: Band,
    tight: Band,
    wall: Band,
    reported: AdapterPairs,
    usual: AdapterPairs,
    other: AdapterPairs,
) -> Outcome:
    """The post goes in by hand and has no play: the same size as the tube.

    A steel tube that is tight by less than a size step can be honed or reamed; a post that is a step too thick, or
    thicker at all in another material, does not go in. A thinner post needs a sleeve. Without one it slips, and a
    carbon tube cracks when it is clamped on it. A shaped post goes only into the frame it was made for.
    """
    if post_section is not None and tube_section is not None:
        shaped = [section == "shaped" for section in (post_section, tube_section)]
        if shaped[0] is not shaped[1]:
            return no_fit("sections-differ")
        if shaped[0]:
            return not_known("frame-maker-only")
    play = bore - post_dia
    if play <= -tight["below_mm"]:
        return no_fit("too-thick", gap_mm=-play)
    if play < 0:
        return needs_work("tight-in-steel", gap_mm=-play) if material == "steel" else no_fit("too-thick", gap_mm=-play)
    if play <= metal["to_mm"]:
        return fits()
    if play < step["mm"]:
        roomy = play <= carbon["to_mm"] and material == "carbon"
        return fits() if roomy else no_fit("too-thin", gap_mm=play)
    for kind in (reported, usual):
        if kind.covers(post_mm=post_dia, bore_mm=bore):
            return needs_adapter("too-thin", kind.row, gap_mm=play)
    if play >= wall["mm"]:
        return needs_adapter("too-thin", other.row, gap_mm=play)
    if play <= step["mm"]:
        return no_fit("too-thin", gap_mm=play)
    return unsafe("loose-in-carbon", gap_mm=play) if material == "carbon" else no_fit("too-thin", gap_mm=play)


@SEATPOST_IN_SEAT_TUBE.test(
    "consent",
    reasons={"sleeve-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    material=confirming("tube.seat_tube.material"),
    consent=deciding("tube.seat_tube.sleeve"),
    sleeve_bore=confirming("sleeve.seat_tube.bore_mm"),
)
def sleeve_consent(material: WordFigure | None, consent: WordFigure, sleeve_bore: Num | None) -> Outcome:
    """A carbon frame takes a sleeve only where its maker says so; a metal one needs no permission.

    Carbon is what a frame is named for: a seat tube of which nothing is said is not asked about.
    """
    if material is None or material != "carbon":
        return fits()
    return _consented(consent)


def _consented(consent: WordFigure) -> Outcome:
    """Judge a sleeve in carbon by the word of the frame's maker."""
    if consent == "forbidden":
        return unsafe("sleeve-forbidden")
    return fits() if consent == "allowed" else not_known("consent-not-printed")


@SEATPOST_IN_SEAT_TUBE.test(
    "sleeve-to-come",
    silent="feature",
    reasons={"sleeve-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("tube.seat_tube.material",),
    asked_unless=("sleeve.seat_tube.bore_mm",),
    material=deciding("tube.seat_tube.material"),
    consent=deciding("tube.seat_tube.sleeve"),
    post_dia=deciding("post.shaft.dia_mm"),
    bore=deciding("tube.seat_tube.bore_mm"),
    wall=trade_figure("seating.sleeve-least-gap"),
    reported=adapter_kind("sleeve.seatpost-reported"),
    usual=adapter_kind("sleeve.seatpost-usual"),
)
def sleeve_to_come(
    material: WordFigure,
    consent: WordFigure,
    post_dia: Num,
    bore: Num,
    wall: Band,
    reported: AdapterPairs,
    usual: AdapterPairs,
) -> Outcome:
    """A post that only a sleeve brings up to a carbon seat tube waits for the word of the frame's maker.

    Asked of a seat tube whose material is stated, while no sleeve is listed.
    """
    if material != "carbon":
        return fits()
    known = any(kind.covers(post_mm=post_dia, bore_mm=bore) for kind in (reported, usual))
    if not known and bore - post_dia < wall["mm"]:
        return fits()
    return _consented(consent)


@SEATPOST_IN_SEAT_TUBE.test(
    "depth",
    silent="choice",
    reasons={
        "not-deep-enough": Verdict.UNSAFE,
        "mark-showing": Verdict.UNSAFE,
        "frame-asks-more": Verdict.UNSAFE,
        "short-of-joint": Verdict.UNSAFE,
        "deeper-than-frame": Verdict.NO_FIT,
        "limit-not-printed": Verdict.NOT_KNOWN,
    },
    links=(),
    asked_if=("post.shaft.inserted_mm",),
    inserted=deciding("post.shaft.inserted_mm"),
    mark=limit("post.shaft.mark_mm", "safety"),
    frame_least=limit("tube.seat_tube.insertion_min_mm", "function"),
    frame_most=limit("tube.seat_tube.insertion_max_mm", "function"),
    joint_depth=deciding("tube.seat_tube.joint_depth_mm"),
    practice=trade_figure("seating.insertion"),
)
def post_depth(
    inserted: Num,
    mark: LimitFigure,
    frame_least: LimitFigure,
    frame_most: LimitFigure,
    joint_depth: Num,
    practice: Band,
) -> Outcome:
    """The post sits as deep as mark, frame and top tube joint ask, and no deeper than the frame takes.

    It is asked only of a depth that is stated, for that is the mechanic's choice. The greatest of these counts: the
    mark on the post; what the frame's maker prints; 25 mm below the lowest edge of the top tube joint; 90 mm in any
    case.
    """
    if inserted < practice["least_mm"]:
        return unsafe("not-deep-enough", least_mm=Num(practice["least_mm"]))
    if inserted < joint_depth + practice["below_joint_mm"]:
        return unsafe("short-of-joint", least_mm=joint_depth + practice["below_joint_mm"])
    if not frame_least.not_printed and inserted < frame_least.number:
        return unsafe("frame-asks-more")
    if not mark.not_printed and inserted < mark.number:
        return unsafe("mark-showing")
    if not frame_most.not_printed and inserted > frame_most.number:
        return no_fit("deeper-than-frame")
    if mark.not_printed:
        return not_known("limit-not-printed")
    remarks = []
    if frame_least.not_printed:
        remarks.append("frame-prints-no-least-depth")
    if frame_most.not_printed:
        remarks.append("frame-prints-no-greatest-depth")
    return fits(*remarks)


@SEATPOST_IN_SEAT_TUBE.test(
    "room",
    silent="finer",
    reasons={"frame-too-shallow": Verdict.NO_FIT},
    links=(),
    asked_if=("post.shaft.mark_mm", "tube.seat_tube.insertion_max_mm"),
    mark=limit("post.shaft.mark_mm", "function"),
    frame_most=limit("tube.seat_tube.insertion_max_mm", "function"),
)
def post_room(mark: LimitFigure, frame_most: LimitFigure) -> Outcome:
    """The frame takes the post as deep as the post's own mark asks; asked only where both figures are stated."""
    if mark.not_printed or frame_most.not_printed:
        return fits()
    if mark.number > frame_most.number:
        return no_fit("frame-too-shallow", gap_mm=mark.number - frame_most.number)
    return fits()


@SEATPOST_IN_SEAT_TUBE.test(
    "below",
    silent="choice",
    reasons={"runs-into-the-frame": Verdict.NO_FIT},
    links=(),
    asked_if=("post.shaft.inserted_mm", "post.shaft.below_mm"),
    inserted=deciding("post.shaft.inserted_mm"),
    below=deciding("post.shaft.below_mm"),
    frame_most=limit("tube.seat_tube.insertion_max_mm", "function"),
)
def post_below(inserted: Num, below: Num, frame_most: LimitFigure) -> Outcome:
    """What hangs under a dropper post goes into the frame as well; asked where the depth and that are stated."""
    if frame_most.not_printed:
        return fits("frame-prints-no-greatest-depth")
    over = inserted + below - frame_most.number
    return fits() if over <= 0 else no_fit("runs-into-the-frame", gap_mm=over)


@SEATPOST_IN_SEAT_TUBE.test(
    "dropper-depth",
    silent="feature",
    reasons={"stands-too-high": Verdict.NO_FIT},
    links=(),
    asked_if=("post.shaft.travel_mm",),
    asked_unless=("post.shaft.inserted_mm",),
    length=deciding("post.shaft.length_mm"),
    stack=deciding("post.shaft.least_out_mm"),
    below=deciding("post.shaft.below_mm"),
    wanted=deciding("post.shaft.wanted_out_mm"),
    frame_most=limit("tube.seat_tube.insertion_max_mm", "function"),
)
def dropper_depth(length: Num, stack: Num, below: Num, wanted: Num, frame_most: LimitFigure) -> Outcome:
    """A dropper goes in up to its own collar with all that hangs under it, or far enough for the rider's height.

    Asked of a post that states its travel, as long as nobody has measured how deep it sits: droppers of long travel are
    the posts that frames are too shallow for.
    """
    if frame_most.not_printed:
        return fits("frame-prints-no-greatest-depth")
    proud = length - stack + below - frame_most.number
    if proud <= 0 or stack + proud <= wanted:
        return fits()
    return no_fit("stands-too-high", gap_mm=stack + proud - wanted)


@SEATPOST_IN_SEAT_TUBE.test(
    "height",
    silent="choice",
    reasons={"too-tall-for-the-rider": Verdict.NO_FIT},
    links=(),
    asked_if=("post.shaft.wanted_out_mm", "post.shaft.least_out_mm"),
    beside=("tube",),
    wanted=deciding("post.shaft.wanted_out_mm"),
    stack=deciding("post.shaft.least_out_mm"),
)
def post_height(wanted: Num, stack: Num) -> Outcome:
    """Pushed in as far as it goes, a dropper post stands no higher than the rider sits; asked where both are stated."""
    return fits() if stack <= wanted else no_fit("too-tall-for-the-rider", gap_mm=stack - wanted)


@SEATPOST_IN_SEAT_TUBE.test(
    "height-and-mark",
    silent="choice",
    reasons={"mark-shows-at-this-height": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("post.shaft.wanted_out_mm", "post.shaft.length_mm"),
    asked_unless=("post.shaft.inserted_mm",),
    beside=("tube",),
    wanted=deciding("post.shaft.wanted_out_mm"),
    length=deciding("post.shaft.length_mm"),
    mark=limit("post.shaft.mark_mm", "safety"),
    practice=trade_figure("seating.insertion"),
)
def height_and_mark(wanted: Num, length: Num, mark: LimitFigure, practice: Band) -> Outcome:
    """At the rider's height enough of the post is left in the frame: what its mark asks, and 90 mm in any case.

    Asked where height and length are stated and nobody has measured the depth.
    """
    left = length - wanted
    if left < practice["least_mm"]:
        return unsafe("mark-shows-at-this-height", left_mm=left)
    if mark.not_printed:
        return not_known("limit-not-printed")
    return fits() if left >= mark.number else unsafe("mark-shows-at-this-height", left_mm=left)


COLLAR_ON_SEAT_TUBE = joint(
    "seating.collar-on-seat-tube",
    "collar on seat tube",
    """
    What meets: the inside of the seat collar and the outside of the seat tube at its top.

    Why it matters: the collar goes round the frame, not round the post. One that is too small does not go on; one that
    is too large closes before it clamps.

    What to do: choose it by the outside of the tube, never by the size of the post. Look whether its lip and its height
    suit the tube.

    Measure: with a caliper over the bare tube, just below the slot.

    Caution: a collar that is tightened beyond its figure cracks a carbon tube; the figure printed on it goes first.
    """,
    place(adapter="seat_collar_liner", collar="seat_collar", tube="frame"),
    between=("collar", "tube"),
)


@COLLAR_ON_SEAT_TUBE.test(
    "size",
    reasons={
        "too-small": Verdict.NO_FIT,
        "too-large": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "between-sizes": Verdict.NOT_KNOWN,
    },
    collar_bore=deciding("collar.band.bore_mm"),
    outside=deciding("tube.seat_tube.outside_mm"),
    band=trade_figure("seating.collar-band"),
    liner=adapter_kind("liner.seat-collar"),
)
def collar_size(collar_bore: Num, outside: Num, band: Band, liner: AdapterPairs) -> Outcome:
    """The collar is as large as the tube is outside, within the 0.2 mm that closing the slot takes up.

    From 0.6 mm on it is another size. Between the two, try it on: no source says.
    """
    over = collar_bore - outside
    if over.within(-band["within_mm"], band["within_mm"]):
        return fits()
    if liner.covers(outside_mm=outside, collar_mm=collar_bore):
        return needs_adapter("too-large", liner.row, gap_mm=over)
    if over >= band["apart_mm"]:
        return no_fit("too-large", gap_mm=over)
    if over <= -band["apart_mm"]:
        return no_fit("too-small", gap_mm=-over)
    return not_known("between-sizes")


# ------------------------------------------------------------------------------------------------------------ the work

_SEAT_PRINTS = ("collar.band.torque_nm", "seatpost.shaft.torque_nm")
_METAL = ("steel", "aluminium", "titanium")

COLLAR_ON_SEAT_TUBE.step("collar-on", before=("post-in",), practice=("practice.collar-slot",))

SEATPOST_IN_SEAT_TUBE.step(
    "post-in",
    before=("saddle-on", "seat-torque"),
    tools=("steel-rule",),
    uses=notes(
        Note("use.grease-post", {"post.shaft.material": _METAL, "tube.seat_tube.material": _METAL}),
        Note("use.carbon-paste", {"post.shaft.material": ("carbon",)}),
        Note("use.carbon-paste", {"tube.seat_tube.material": ("carbon",)}),
    ),
    practice=("practice.post-mark",),
    figures=("seating.saddle-height",),
)

COLLAR_ON_SEAT_TUBE.step(
    "seat-torque",
    needs=("collar", "tube", "seatpost"),
    where={"collar.band.closing": ("bolt", "two-bolt")},
    after=ON_THE_FLOOR,
    torques=(
        Torque("torque.seat-collar", _SEAT_PRINTS, "one_bolt", {"collar.band.closing": ("bolt",)}),
        Torque("torque.seat-collar", _SEAT_PRINTS, "two_bolts", {"collar.band.closing": ("two-bolt",)}),
    ),
    tools=("hex-4", "hex-5", "torque-wrench"),
    figures=("seating.post-depth",),
    uses=notes("use.grease-threads"),
    practice=("practice.torque-on-floor",),
)
