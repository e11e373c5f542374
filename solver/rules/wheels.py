"""Joints of the wheels: hubs in dropouts, axles, freehub bodies."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import Band, Outcome, deciding, fits, joint, needs_work, no_fit, place, trade_figure, unsafe

HUB_IN_DROPOUT = joint(
    "wheels.hub-in-dropout",
    "hub in dropout",
    """
    What meets: the two end faces of a hub, and the two faces of the frame or fork between which they sit.

    Why it matters: the wheel must be exactly as wide as the gap it sits in, or the clamp bends the frame or the axle.

    Measure: with inside jaws between the dropout faces, into the recesses if there are any; over the hub's end faces,
    not over the axle tips.

    Caution: a wheel that comes out on the road can kill. Follow the makers of fork, frame and hub.
    """,
    place("front", hub="front_hub", holder="fork"),
    place("rear", hub="rear_hub", holder="frame"),
    safety=True,
)


@HUB_IN_DROPOUT.test(
    "width",
    reasons={
        "too-narrow": Verdict.NO_FIT,
        "too-wide": Verdict.NO_FIT,
        "spread-forbidden": Verdict.UNSAFE,
        "respace-frame": Verdict.NEEDS_WORK,
    },
    hub=deciding("hub.axle.width_mm"),
    opening=deciding("holder.dropout.width_mm"),
    form=deciding("holder.dropout.form"),
    material=deciding("holder.material"),
    play=trade_figure("wheels.dropout-play"),
)
def hub_width(hub: Num, opening: Num, form: WordFigure, material: WordFigure, play: Band) -> Outcome:
    """The hub is as wide over its end faces as the opening, within the play that the clamp takes up."""
    over = hub - opening
    slack = play["thru_mm"] if form == "thru" else play["slot_mm"]
    if over < -slack:
        return no_fit("too-narrow", gap_mm=-over)
    if over <= slack:
        return fits()
    if form == "thru":
        return no_fit("too-wide", gap_mm=over)
    if material == "steel":
        return needs_work("respace-frame", gap_mm=over)
    return unsafe("spread-forbidden", gap_mm=over)
