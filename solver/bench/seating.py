"""Figures of the seat: how deep the post goes, and how low and high that lets the saddle be."""

from __future__ import annotations

from decimal import Decimal

from catalog_schema.quantity import Limit
from solver.bench.registry import Worked, down, figure, nearest, up
from solver.formulas import seating as lengths
from solver.rules.registry import Band, Read, confirming, deciding, place, trade_figure

_SEAT = place(post="seatpost", tube="frame", saddle="saddle")


def _least_depth(mark: Limit, frame_least: Limit | None, joint: Decimal, practice: Band) -> Decimal:
    """Return the greatest depth that anybody asks for at least: mark, frame, top tube joint, the trade."""
    asked = [practice["least_mm"], joint + practice["below_joint_mm"]]
    asked += [v.value for v in (mark, frame_least) if v is not None and v.value is not None]
    return max(asked)


@figure(
    "seating.saddle-height",
    _SEAT,
    formula="formula.saddle-height",
    gives={
        "least_depth_mm": up("1"),
        "most_out_mm": down("1"),
        "most_depth_mm": down("1"),
        "least_out_mm": up("1"),
        "greatest_height_mm": down("1"),
        "least_height_mm": up("1"),
    },
    remarks=("no-mark", "frame-depth-not-known", "post-too-short"),
    caution=True,
    post=deciding("post.shaft.length_mm"),
    mark=deciding("post.shaft.mark_mm"),
    joint=deciding("tube.seat_tube.joint_depth_mm"),
    frame_least=confirming("tube.seat_tube.insertion_min_mm"),
    frame_most=confirming("tube.seat_tube.insertion_max_mm"),
    always_out=confirming("post.shaft.least_out_mm"),
    tube=confirming("tube.seat_tube.length_mm"),
    saddle=Read("saddle.mount.height_mm", "confirming", optional=True),
    practice=trade_figure("seating.insertion"),
)
def saddle_heights(
    post: Decimal,
    mark: Limit,
    joint: Decimal,
    frame_least: Limit | None,
    frame_most: Limit | None,
    always_out: Decimal | None,
    tube: Decimal | None,
    saddle: Decimal | None,
    practice: Band,
) -> Worked:
    """How far the post may come out and go in, and the saddle heights that follow."""
    least = _least_depth(mark, frame_least, joint, practice)
    if least > post:
        return Worked({"least_depth_mm": least}, warnings=("post-too-short",))
    results = {"least_depth_mm": least, "most_out_mm": post - least}
    remarks = [] if mark.value is not None else ["no-mark"]
    limits = [post - always_out] if always_out is not None else []
    if frame_most is not None and frame_most.value is not None:
        limits += [frame_most.value, post]
        results |= {"most_depth_mm": min(limits), "least_out_mm": post - min(limits)}
    else:
        remarks.append("frame-depth-not-known")
    if tube is not None and saddle is not None:
        results["greatest_height_mm"] = lengths.saddle_height(tube, post, least, saddle)
        if "most_depth_mm" in results:
            results["least_height_mm"] = lengths.saddle_height(tube, post, results["most_depth_mm"], saddle)
    return Worked(results, tuple(remarks))


@figure(
    "seating.post-depth",
    _SEAT,
    formula="formula.post-depth",
    gives={
        "depth_mm": nearest("1"),
        "out_mm": nearest("1"),
        "low_mm": nearest("1"),
        "short_by_mm": up("1"),
        "over_by_mm": up("1"),
    },
    remarks=("too-high", "too-deep-for-frame", "dropper-too-long"),
    asked_if=("saddle.mount.wanted_mm",),
    caution=True,
    wanted=deciding("saddle.mount.wanted_mm"),
    tube=deciding("tube.seat_tube.length_mm"),
    post=deciding("post.shaft.length_mm"),
    saddle=deciding("saddle.mount.height_mm"),
    mark=deciding("post.shaft.mark_mm"),
    joint=deciding("tube.seat_tube.joint_depth_mm"),
    frame_least=confirming("tube.seat_tube.insertion_min_mm"),
    frame_most=confirming("tube.seat_tube.insertion_max_mm"),
    travel=confirming("post.shaft.travel_mm"),
    always_out=confirming("post.shaft.least_out_mm"),
    practice=trade_figure("seating.insertion"),
)
def post_depth(
    wanted: Decimal,
    tube: Decimal,
    post: Decimal,
    saddle: Decimal,
    mark: Limit,
    joint: Decimal,
    frame_least: Limit | None,
    frame_most: Limit | None,
    travel: Decimal | None,
    always_out: Decimal | None,
    practice: Band,
) -> Worked:
    """How deep the post is set for the saddle height that the rider wants; of a dropper, fully out."""
    depth = lengths.depth_for(wanted, tube, post, saddle)
    least = _least_depth(mark, frame_least, joint, practice)
    results = {"depth_mm": depth, "out_mm": post - depth}
    if travel is not None:
        results["low_mm"] = wanted - travel
    if depth < least:
        return Worked({"depth_mm": depth, "short_by_mm": least - depth}, warnings=("too-high",))
    if always_out is not None and post - depth < always_out:
        return Worked({"over_by_mm": always_out - (post - depth)}, warnings=("dropper-too-long",))
    if frame_most is not None and frame_most.value is not None and depth > frame_most.value:
        return Worked({"depth_mm": depth, "over_by_mm": depth - frame_most.value}, warnings=("too-deep-for-frame",))
    return Worked(results)
