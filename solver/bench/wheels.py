"""Figures of the wheels: spoke lengths, where the rim stands, the rotor's line, how much thread holds the axle."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.bench.registry import Parameter, Worked, assumed, down, either, figure, nearest
from solver.formulas import axle as axles
from solver.formulas import dish, spoke
from solver.rules.registry import confirming, deciding, place

_WHEELS: Final = (
    place("front", spokes="front_spokes", hub="front_hub", rim="front_rim", holder="fork"),
    place("rear", spokes="rear_spokes", hub="rear_hub", rim="rear_rim", holder="frame"),
)
_HELD: Final = (
    place("front", axle="front_axle", hub="front_hub", holder="fork"),
    place("rear", axle="rear_axle", hub="rear_hub", holder="frame"),
)
_BENT: Final = {"hub.flanges.spoke_head": ("j-bend", "slotted")}
#: What the triangle of a spoke is made of.
_LACED: Final[Mapping[str, Parameter]] = {
    "rim": deciding("rim.bed.erd_mm"),
    "left_circle": deciding("hub.flanges.left_circle_mm"),
    "right_circle": deciding("hub.flanges.right_circle_mm"),
    "left_offset": deciding("hub.flanges.left_offset_mm"),
    "right_offset": deciding("hub.flanges.right_offset_mm"),
    "hole": deciding("hub.flanges.hole_mm"),
    "holes": deciding("hub.flanges.holes"),
    "left_crosses": either("spokes.lacing.left_crosses", "spokes.lacing.crosses"),
    "right_crosses": either("spokes.lacing.right_crosses", "spokes.lacing.crosses"),
    "laced": confirming("spokes.lacing.rim_left_mm"),
    "wanted": assumed("holder.dropout.rim_left_mm", "0", optional=True),
    "moved": assumed("hub.axle.rim_shift_mm", "0"),
}


@figure(
    "wheels.spoke-length",
    *_WHEELS,
    formula="formula.spoke-length",
    gives={
        "left_mm": nearest("1"),
        "right_mm": nearest("1"),
        "exact_left_mm": nearest("0.1"),
        "exact_right_mm": nearest("0.1"),
        "rim_mm": None,
        "seat_mm": None,
    },
    remarks=("rim-aside", "over-the-bead-seat", "flange-under-the-rim"),
    where=_BENT,
    apart=("spokes", "hub", "rim"),
    caution=True,
    ordered=True,
    reads=_LACED,
    seat=confirming("rim.bead.bsd_mm"),
)
def spoke_length(
    rim: Decimal,
    left_circle: Decimal,
    right_circle: Decimal,
    left_offset: Decimal,
    right_offset: Decimal,
    hole: Decimal,
    holes: Decimal,
    left_crosses: Decimal,
    right_crosses: Decimal,
    laced: Decimal | None,
    wanted: Decimal,
    moved: Decimal,
    seat: Decimal | None,
) -> Worked:
    """How long the spokes of each side have to be, to the nearest millimetre.

    The rim is measured where a spoke should end, at the bottom of the nipple's slot: half a millimetre to either side
    still ends in the head of the nipple. Nipples sit under the seat of the bead, never outside it.
    """
    if seat is not None and rim >= seat:
        return Worked({"rim_mm": rim, "seat_mm": seat}, warnings=("over-the-bead-seat",))
    aside = (wanted if laced is None else laced) + moved
    offsets = (left_offset - aside, right_offset + aside)
    if min(offsets) <= 0:
        return Worked(warnings=("flange-under-the-rim",))
    left, right = _both(rim, (left_circle, right_circle), offsets, hole, holes, (left_crosses, right_crosses))
    results = {"left_mm": left, "right_mm": right, "exact_left_mm": left, "exact_right_mm": right}
    return Worked(results, ("rim-aside",) if aside else ())


def _both(
    rim: Decimal,
    circles: tuple[Decimal, Decimal],
    offsets: tuple[Decimal, Decimal],
    hole: Decimal,
    holes: Decimal,
    crosses: tuple[Decimal, Decimal],
) -> tuple[Decimal, Decimal]:
    left, right = (spoke.unrounded(rim, circles[i], offsets[i], hole, holes, crosses[i]) for i in (0, 1))
    return left, right


@figure(
    "wheels.dish",
    *_WHEELS,
    formula="formula.dish",
    gives={
        "aside_mm": nearest("0.5"),
        "gauge_mm": nearest("0.5"),
        "side": None,
        "slack_side": None,
        "pull_percent": nearest("1"),
        "moved_mm": nearest("0.5"),
        "moved_side": None,
    },
    remarks=("in-the-middle", "pulls-alike", "flange-under-the-rim"),
    where=_BENT,
    apart=("spokes", "hub", "rim"),
    reads=_LACED,
)
def rim_stands(
    rim: Decimal,
    left_circle: Decimal,
    right_circle: Decimal,
    left_offset: Decimal,
    right_offset: Decimal,
    hole: Decimal,
    holes: Decimal,
    left_crosses: Decimal,
    right_crosses: Decimal,
    laced: Decimal | None,
    wanted: Decimal,
    moved: Decimal,
) -> Worked:
    """Where the rim stands between the hub's ends, what the gauge shows, and how the pulls of both sides compare.

    Spokes of a flange that stands under the rim, or beyond it, pull the rim to no side or the same: nothing to compare.
    """
    aside = wanted if laced is None else laced
    offsets = (left_offset - aside - moved, right_offset + aside + moved)
    lengths = _both(rim, (left_circle, right_circle), offsets, hole, holes, (left_crosses, right_crosses))
    results: dict[str, Decimal | str] = {}
    remarks = []
    if aside:
        results |= {
            "aside_mm": abs(aside),
            "gauge_mm": dish.at_the_gauge(abs(aside)),
            "side": "left" if aside > 0 else "right",
        }
    else:
        remarks.append("in-the-middle")
    if moved:
        results |= {"moved_mm": abs(moved), "moved_side": "left" if moved > 0 else "right"}
    if min(offsets) <= 0:
        return Worked(results, (*remarks, "flange-under-the-rim"))
    left = dish.share_of_the_pull(*offsets, *lengths)
    share = min(left, 1 / left) * 100
    if round(share) == 100:
        remarks.append("pulls-alike")
    else:
        results |= {"slack_side": "left" if left < 1 else "right", "pull_percent": share}
    return Worked(results, tuple(remarks))


@figure(
    "wheels.rotor-line",
    place("front", hub="front_hub", holder="fork", rotor="front_rotor"),
    place("rear", hub="rear_hub", holder="frame", rotor="rear_rotor"),
    formula="formula.rotor-line",
    gives={"spacer_mm": nearest("0.1"), "out_mm": nearest("0.1")},
    remarks=("in-line", "too-far-out"),
    stated=("hub.axle.rotor_offset_mm", "holder.dropout.rotor_offset_mm"),
    beside=("rotor",),
    hub=deciding("hub.axle.rotor_offset_mm"),
    holder=deciding("holder.dropout.rotor_offset_mm"),
)
def rotor_line(hub: Decimal, holder: Decimal) -> Worked:
    """What lies between hub and rotor so that the rotor turns where frame or fork want it.

    Both distances are from the end face of the hub, so a hub that has its seat further in takes a spacer.
    """
    further_in = hub - holder
    if not further_in:
        return Worked({}, ("in-line",))
    if further_in > 0:
        return Worked({"spacer_mm": further_in})
    return Worked({"out_mm": -further_in}, (), ("too-far-out",))


@figure(
    "wheels.thru-axle",
    *_HELD,
    formula="formula.thread-engaged",
    gives={
        "engaged_mm": down("0.1"),
        "held_turns": down("0.5"),
        "short_mm": nearest("0.1"),
        "long_mm": nearest("0.1"),
    },
    remarks=("thread-full", "thread-in-part", "threads-not-stated", "axle-short", "axle-long"),
    where={"axle.rod.form": ("thru",)},
    beside=("hub",),
    caution=True,
    length=deciding("axle.rod.length_mm"),
    wanted=deciding("holder.dropout.axle_length_mm"),
    pitch=deciding("axle.rod.pitch_mm"),
    hole_thread=confirming("holder.dropout.thread_length_mm"),
    axle_thread=confirming("axle.rod.thread_length_mm"),
)
def thru_axle(
    length: Decimal, wanted: Decimal, pitch: Decimal, hole_thread: Decimal | None, axle_thread: Decimal | None
) -> Worked:
    """How long the axle is against what frame or fork ask for, and how many turns of its thread hold."""
    results: dict[str, Decimal | str] = {}
    remarks = []
    if length < wanted:
        results["short_mm"] = wanted - length
        remarks.append("axle-short")
    elif length > wanted:
        results["long_mm"] = length - wanted
        remarks.append("axle-long")
    if hole_thread is None or axle_thread is None:
        return Worked(results, (*remarks, "threads-not-stated"))
    held = axles.engaged(length, wanted, hole_thread, axle_thread)
    results |= {"engaged_mm": held, "held_turns": axles.turns(held, pitch)}
    return Worked(results, (*remarks, "thread-full" if held >= hole_thread else "thread-in-part"))


@figure(
    "wheels.axle-stub",
    *_HELD,
    formula="formula.axle-stub",
    gives={"room_mm": nearest("0.1"), "over_mm": nearest("0.1")},
    remarks=("stub-too-long",),
    where={"axle.rod.form": ("skewer",)},
    stated=("hub.axle.stub_mm", "holder.dropout.thickness_mm"),
    beside=("axle",),
    stub=deciding("hub.axle.stub_mm"),
    thickness=deciding("holder.dropout.thickness_mm"),
)
def axle_stub(stub: Decimal, thickness: Decimal) -> Worked:
    """How much room the hollow axle leaves in each dropout for the skewer to clamp."""
    room = thickness - stub
    return Worked({"room_mm": room}) if room > 0 else Worked({"over_mm": -room}, (), ("stub-too-long",))
