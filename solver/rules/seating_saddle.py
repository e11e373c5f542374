"""The joint of the saddle on the seatpost."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    adapter_kind,
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
from solver.rules.work import Torque, notes

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
    reasons={
        "mounts-differ": Verdict.NO_FIT,
        "clip-missing": Verdict.NEEDS_ADAPTER,
        "two-pairs-of-rails": Verdict.NEEDS_ADAPTER,
    },
    saddle_form=deciding("saddle.mount.form"),
    head_form=deciding("post.head.form"),
    clip=adapter_kind("saddle.clip"),
    pairs=adapter_kind("saddle.two-pairs"),
)
def saddle_mount(saddle_form: WordFigure, head_form: WordFigure, clip: AdapterPairs, pairs: AdapterPairs) -> Outcome:
    """Saddle and post are of one kind: two rails, one rail, or a seat of its own; a plain top takes a clip.

    Old sprung saddles with two pairs of rails take an adapter or a clip of their own.
    """
    if saddle_form == head_form:
        return fits()
    if saddle_form == "four-rail" and head_form.within(("two-rail", "plain-pin")):
        return needs_adapter("two-pairs-of-rails", pairs.row)
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
        return unsafe("rail-crushed") if rail_height > jaw_height else no_fit("rail-of-another-height")
    if other.covers(rail_mm=rail_height, jaw_mm=jaw_height):
        return needs_adapter("rail-of-another-height", other.row)
    return no_fit("rail-of-another-height")


SADDLE_ON_SEATPOST.step(
    "saddle-on",
    before=("seat-torque",),
    torques=(Torque("torque.saddle-rails", ("post.head.torque_nm",)),),
    tools=("hex-5", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=("practice.saddle-level",),
)
