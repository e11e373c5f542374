"""Joints of the dropper seatpost: its cable in the frame, its lever, and the lever on the bar."""

from __future__ import annotations

from solver.report import Verdict
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
)

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
