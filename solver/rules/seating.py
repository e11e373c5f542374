"""Joints of the seat: seatpost in seat tube, collar round it."""

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
    if consent == "forbidden":
        return unsafe("sleeve-forbidden")
    return fits() if consent == "allowed" else not_known("consent-not-printed")


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


SADDLE_ON_SEATPOST = joint(
    "seating.saddle-on-seatpost",
    "saddle on seatpost",
    """
    What meets: the underside of the saddle, mostly two rails, and the clamp at the head of the seatpost.

    Why it matters: the clamp has the shape of the rails. Jaws of another shape touch along an edge: metal rails slip or
    break there, carbon rails are crushed.

    What to do: look what the saddle is held by first, then measure a rail both ways. Clamp only the straight part,
    between the marks.

    Measure: with a caliper across one rail and up and down it, where the jaws sit; the jaws are marked, or told of in
    the papers of the post.

    Caution: a saddle that breaks loose throws the rider. Tighten to the figure on the clamp and follow the makers of
    saddle and post.
    """,
    place(saddle="saddle", post="seatpost"),
    safety=True,
)


@SADDLE_ON_SEATPOST.test(
    "mount",
    reasons={"mounts-differ": Verdict.NO_FIT, "clip-missing": Verdict.NEEDS_ADAPTER},
    saddle_form=deciding("saddle.mount.form"),
    head_form=deciding("post.head.form"),
    clip=adapter_kind("saddle.clip"),
)
def saddle_mount(saddle_form: WordFigure, head_form: WordFigure, clip: AdapterPairs) -> Outcome:
    """Saddle and post are of one kind: two rails, one rail, or a seat of its own; a plain top takes a clip."""
    if saddle_form == head_form:
        return fits()
    if head_form == "plain-pin" and saddle_form == "two-rail":
        return needs_adapter("clip-missing", clip.row)
    return no_fit("mounts-differ")


@SADDLE_ON_SEATPOST.test(
    "rails",
    reasons={
        "rail-of-another-width": Verdict.NO_FIT,
        "rail-of-another-height": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "rail-crushed": Verdict.UNSAFE,
        "ask-the-maker-of-the-post": Verdict.NOT_KNOWN,
    },
    saddle_form=deciding("saddle.mount.form"),
    head_form=deciding("post.head.form"),
    rail_width=deciding("saddle.mount.rail_width_mm"),
    rail_height=deciding("saddle.mount.rail_height_mm"),
    jaw_width=deciding("post.head.rail_width_mm"),
    jaw_height=deciding("post.head.rail_height_mm"),
    jaws=deciding("post.head.jaws"),
    material=deciding("saddle.mount.material"),
    fit=trade_figure("seating.rail-fit"),
    other=adapter_kind("saddle.jaws"),
)
def saddle_rails(
    saddle_form: WordFigure,
    head_form: WordFigure,
    rail_width: Num,
    rail_height: Num,
    jaw_width: Num,
    jaw_height: Num,
    jaws: WordFigure,
    material: WordFigure,
    fit: Band,
    other: AdapterPairs,
) -> Outcome:
    """The rails have the width and the height that the jaws are cut for; asked where two rails meet a clamp for two.

    A cradle that closes from above and below bears on the width alone; whether it may hold a rail of another height,
    its maker says. Jaws that close from the sides bear on the height: a carbon rail that is higher is crushed between
    them, any other wants jaws of its own.
    """
    if saddle_form != "two-rail" or head_form != "two-rail":
        return fits()
    if not rail_width.near(jaw_width, fit["within_mm"]):
        return no_fit("rail-of-another-width")
    if rail_height.near(jaw_height, fit["within_mm"]):
        return fits()
    if jaws == "cradle":
        return not_known("ask-the-maker-of-the-post")
    if material == "carbon":
        return unsafe("rail-crushed")
    if other.covers(rail_mm=rail_height, jaw_mm=jaw_height):
        return needs_adapter("rail-of-another-height", other.row)
    return no_fit("rail-of-another-height")


DROPPER_CABLE = joint(
    "seating.dropper-cable-in-frame",
    "cable of the dropper post",
    """
    What meets: the cable or hose of a dropper post, and the way that the frame has for it.

    Why it matters: a cable that leaves under the post has to come in through the frame.

    What to do: a post with the cable at its head, or one without a cable, for a frame without a port.

    Measure: look for a port, and whether the way past the bottom bracket is free.

    Caution: never drill a frame for a cable; it may break there.
    """,
    place(post="seatpost", frame="frame"),
)


# Only a post with a cable says where it leaves; of a rigid post there is nothing to ask.
@DROPPER_CABLE.test(
    "way",
    silent="feature",
    asked_if=("post.shaft.routing",),
    reasons={"no-port": Verdict.NO_FIT},
    routing=deciding("post.shaft.routing"),
    port=deciding("frame.seat_tube.cable_port"),
)
def dropper_way(routing: WordFigure, port: WordFigure) -> Outcome:
    """A cable that leaves under the post wants a port in the frame; asked of posts that say where it leaves."""
    return no_fit("no-port") if routing == "internal" and port != "present" else fits()


REMOTE_AND_POST = joint(
    "seating.remote-and-post",
    "remote and dropper post",
    """
    What meets: the lever of a dropper post, and the post that it works.

    Why it matters: cable, hose and battery do not mix, and a cable has one head: it sits in the lever or in the post.

    What to do: look where the head sits in the post, and take a lever that clamps the other end.

    Measure: nothing; look at both.

    Caution: a cable that slips leaves the saddle down. Try it before the first ride.
    """,
    place(remote="dropper_remote", post="seatpost"),
)


@REMOTE_AND_POST.test(
    "action",
    reasons={"actions-differ": Verdict.NO_FIT},
    remote_action=deciding("remote.drive.action"),
    post_action=deciding("post.shaft.action"),
)
def remote_action(remote_action: WordFigure, post_action: WordFigure) -> Outcome:
    """Lever and post work by the same: cable, hose or battery."""
    return fits() if remote_action == post_action else no_fit("actions-differ")


# Where the head sits is seldom printed and settled by turning the cable round on most posts of today; so it is asked of
# parts that state it, and not a question for each of the others.
@REMOTE_AND_POST.test(
    "head",
    silent="finer",
    asked_if=("remote.drive.cable_head", "post.shaft.cable_head"),
    reasons={"heads-differ": Verdict.NO_FIT},
    remote_head=deciding("remote.drive.cable_head"),
    post_head=deciding("post.shaft.cable_head"),
)
def cable_heads(remote_head: WordFigure, post_head: WordFigure) -> Outcome:
    """Lever and post agree at which end the head of the cable sits; asked where both state it."""
    return fits() if remote_head == post_head else no_fit("heads-differ")


REMOTE_ON_BAR = joint(
    "seating.remote-on-bar",
    "dropper remote on the handlebar",
    """
    What meets: the band of a dropper remote, the handlebar, and the shift lever that may sit there.

    Why it matters: a remote under the bar takes the place of the left shift lever; a band for flat bars does not close
    on a drop bar.

    What to do: with two or three rings take a remote over the bar; for drop bars one that is made for them.

    Measure: the bar where the remote sits, with a caliper: 22.2 mm on flat bars, about 23.8 on drop bars.

    Caution: a band that is forced open or overtightened cracks a carbon bar.
    """,
    place(remote="dropper_remote", bar="handlebar", shifter="front_shifter"),
)


@REMOTE_ON_BAR.test(
    "band",
    silent="regular",
    reasons={"band-too-tight": Verdict.NO_FIT, "band-too-wide": Verdict.NO_FIT},
    asked_if=("remote.mount.clamp_mm", "bar.controls.dia_mm"),
    clamp=deciding("remote.mount.clamp_mm"),
    bar_dia=deciding("bar.controls.dia_mm"),
    play=trade_figure("shifting.control-play"),
)
def remote_band(clamp: Num, bar_dia: Num, play: Band) -> Outcome:
    """The band is as wide as the bar; asked where both are stated, as of shift levers."""
    gap = clamp - bar_dia
    if gap < -play["either_mm"]:
        return no_fit("band-too-tight", under_mm=-gap)
    return fits() if gap <= play["either_mm"] else no_fit("band-too-wide", over_mm=gap)


@REMOTE_ON_BAR.test(
    "room",
    reasons={"place-taken": Verdict.NO_FIT},
    sits=deciding("remote.drive.sits"),
    shifter_form=deciding("shifter.mount.form"),
)
def remote_room(sits: WordFigure, shifter_form: WordFigure) -> Outcome:
    """Under the bar sits either the remote or a left shift lever; asked where a front shifter is listed."""
    if sits != "under-bar" or shifter_form == "bar-end":
        return fits()
    return no_fit("place-taken")


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
SADDLE_ON_SEATPOST.step(
    "saddle-on",
    before=("seat-torque",),
    torques=(Torque("torque.saddle-rails", ("post.head.torque_nm",)),),
    tools=("hex-5", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=("practice.saddle-level",),
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
