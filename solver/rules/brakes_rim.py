"""Joints of the rim brakes: on frame and fork, on the rim, over the tyre; arms of hub brakes."""

from __future__ import annotations

from solver.formulas import brake as formulas
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
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
from solver.rules.tyres_inches import slack
from solver.rules.work import Torque, notes

_BOSSES = ("cantilever-boss", "u-brake-boss")
_DIRECT = ("direct-mount-front", "direct-mount-seatstay", "direct-mount-chainstay")

# ------------------------------------------------------------------------------------------ rim brake on frame and fork

RIM_BRAKE_ON_MOUNT = joint(
    "brakes.rim-brake-on-mount",
    "rim brake on frame and fork",
    """
    What meets: a rim brake, its bolt or pivots on frame or fork, and the height at which the rim runs.

    When it fits: brake and frame have the same kind of fixing, and the pads land on the brake track of this rim.

    Why it matters: a pad that stands over the track cuts the tyre open; one that stands under it dives into the spokes.

    What to do: go by millimetres, never by short or long. A smaller rim asks for more reach, half of what the bead
    seat loses. Bosses stay where they are: another size of rim asks for another brake, or another frame.

    Measure: with the wheel in, from the middle of the bolt hole to the middle of the brake track; bosses from middle
    to middle. Look at the back of crown and bridge: an 8 mm recess, or a plain hole.

    Caution: brake bolts must hold with their full thread, pads must lie wholly on the track. Never drill alloy or
    carbon; after any work squeeze hard and try the brake at walking pace. Follow the makers of brake and frame.
    """,
    place(
        "front",
        adapter="front_rim_brake_adapter",
        mount="fork",
        brake="front_rim_brake",
        rim="front_rim",
        piece="front_rim_brake_adapter",
    ),
    place(
        "rear",
        adapter="rear_rim_brake_adapter",
        mount="frame",
        brake="rear_rim_brake",
        rim="rear_rim",
        piece="rear_rim_brake_adapter",
    ),
    safety=True,
    between=("mount", "brake"),
)


@RIM_BRAKE_ON_MOUNT.test(
    "form",
    reasons={
        "no-mount": Verdict.NO_FIT,
        "plain-hole": Verdict.NEEDS_WORK,
        "plain-hole-not-steel": Verdict.NO_FIT,
        "recess-open": Verdict.NEEDS_ADAPTER,
        "boss-place-differs": Verdict.NO_FIT,
        "direct-mount-place-differs": Verdict.NO_FIT,
        "form-differs": Verdict.NO_FIT,
    },
    mount_form=deciding("mount.rim_brake_mount.form"),
    brake_form=deciding("brake.foot.form"),
    material=deciding("mount.rim_brake_mount.material"),
    drilled=trade_figure("brakes.recess-drilled"),
    washers=adapter_kind("brakes.recess-washers"),
)
def brake_form(
    mount_form: WordFigure, brake_form: WordFigure, material: WordFigure, drilled: Band, washers: AdapterPairs
) -> Outcome:
    """Brake and frame have the same fixing: one bolt, cantilever bosses, U-brake bosses, or two bolts at one place.

    A recessed nut goes into a plain hole only after the back is drilled, and only steel is drilled; an ordinary nut
    needs washers over a recess. Bosses of cantilevers and U-brakes look alike and lie on different sides of the rim.
    """
    if mount_form == "none":
        return no_fit("no-mount")
    if mount_form == brake_form:
        return fits()
    if mount_form == "centre-nutted" and brake_form == "centre-recessed":
        if material == "steel":
            return needs_work("plain-hole", needs_mm=Num(drilled["needs_mm"]), old_mm=Num(drilled["old_mm"]))
        return no_fit("plain-hole-not-steel")
    if mount_form == "centre-recessed" and brake_form == "centre-nutted":
        return needs_adapter("recess-open", washers.row)
    if mount_form.within(_BOSSES) and brake_form.within(_BOSSES):
        return no_fit("boss-place-differs")
    if mount_form.within(_DIRECT) and brake_form.within(_DIRECT):
        return no_fit("direct-mount-place-differs")
    return no_fit("form-differs")


def _reach(need: Num, takes: SpanFigure) -> Outcome:
    """Say whether the pads of a caliper come as far down as the track lies; both ends of the slot are inside."""
    if need > takes.high:
        return no_fit("rim-too-far", gap_mm=need - takes.high, need_mm=need)
    if need < takes.low:
        return no_fit("rim-too-near", gap_mm=takes.low - need, need_mm=need)
    return fits(need_mm=need)


@RIM_BRAKE_ON_MOUNT.test(
    "reach",
    silent="instead",
    links=(),
    asked_if=("brake.foot.reach_mm",),
    asked_unless=("mount.rim_brake_mount.reach_bsd_mm",),
    reasons={"rim-too-far": Verdict.NO_FIT, "rim-too-near": Verdict.NO_FIT},
    measured=deciding("mount.rim_brake_mount.reach_mm"),
    takes=deciding("brake.foot.reach_mm"),
    drop=deciding("piece.foot.drop_mm", optional=True),
)
def reach(measured: Num, takes: SpanFigure, drop: Num) -> Outcome:
    """The distance from bolt to brake track lies within the reach of the caliper; a drop bolt takes its part off.

    Asked where the caliper's reach is stated.
    """
    return _reach(measured - drop, takes)


@RIM_BRAKE_ON_MOUNT.test(
    "reach-of-another-wheel",
    silent="instead",
    links=(),
    asked_if=("mount.rim_brake_mount.reach_bsd_mm",),
    reasons={"rim-too-far": Verdict.NO_FIT, "rim-too-near": Verdict.NO_FIT},
    measured=deciding("mount.rim_brake_mount.reach_mm"),
    measured_with=deciding("mount.rim_brake_mount.reach_bsd_mm"),
    rim_seat=deciding("rim.bead.bsd_mm"),
    takes=deciding("brake.foot.reach_mm"),
    drop=deciding("piece.foot.drop_mm", optional=True),
    halved=trade_figure("brakes.reach-change-by-rim"),
)
def reach_of_another_wheel(
    measured: Num, measured_with: Num, rim_seat: Num, takes: SpanFigure, drop: Num, halved: Band
) -> Outcome:
    """Measured with another wheel, the distance changes by half of the difference of the two bead seats.

    Asked where somebody stated with which rim he measured.
    """
    return _reach(formulas.reach_for(measured, measured_with, rim_seat) - drop, takes)


@RIM_BRAKE_ON_MOUNT.test(
    "reach-not-stated",
    links=(),
    beside=("mount",),
    asked_unless=("brake.foot.reach_mm",),
    reasons={"reach-decides": Verdict.NOT_KNOWN, "seen-to-miss": Verdict.NO_FIT},
    brake_form=deciding("brake.foot.form"),
    tried=confirming("brake.foot.tried"),
)
def reach_not_stated(brake_form: WordFigure, tried: WordFigure | None) -> Outcome:
    """A brake on a bolt, or on the two of a direct mount, has a reach that decides; one on bosses has none.

    Asked where the brake's reach is not stated. Where somebody bolted it on and looked, that is the answer.
    """
    if brake_form.within(_BOSSES):
        return fits()
    if tried is None:
        return not_known("reach-decides")
    return fits("reach-as-tried") if tried == "on-track" else no_fit("seen-to-miss")


@RIM_BRAKE_ON_MOUNT.test(
    "exchanged-bolt",
    silent="feature",
    links=(),
    asked_if=("piece.foot.bolt",),
    reasons={"bolt-not-exchangeable": Verdict.NO_FIT},
    takes_place_of=deciding("piece.foot.bolt"),
    brake_bolt=deciding("brake.foot.bolt"),
    practice=adapter_kind("brakes.drop-bolt"),
)
def exchanged_bolt(takes_place_of: WordFigure, brake_bolt: WordFigure, practice: AdapterPairs) -> Outcome:
    """A drop bolt takes the place of the brake's own bolt: only where two nuts hold the arms on it.

    Asked of pieces that are known to take its place; a plate between is none.
    """
    if takes_place_of == "fixed" or brake_bolt == "exchangeable":
        return fits()
    return no_fit("bolt-not-exchangeable")


@RIM_BRAKE_ON_MOUNT.test(
    "boss-spacing",
    silent="feature",
    links=(1,),
    asked_if=("mount.rim_brake_mount.boss_spacing_mm",),
    asked_unless=("brake.foot.boss_spacing_mm",),
    reasons={"bosses-unusually-narrow": Verdict.NOT_KNOWN, "bosses-unusually-wide": Verdict.NOT_KNOWN},
    spacing=deciding("mount.rim_brake_mount.boss_spacing_mm"),
    usual=trade_figure("brakes.boss-spacing"),
)
def boss_spacing(spacing: Num, usual: Band) -> Outcome:
    """Bosses of the usual distance take any brake; outside it, only the brake's maker can tell.

    Asked where the distance was measured and the brake prints no range.
    """
    if spacing < usual["from_mm"]:
        return not_known("bosses-unusually-narrow", from_mm=Num(usual["from_mm"]), to_mm=Num(usual["to_mm"]))
    if spacing > usual["to_mm"]:
        return not_known("bosses-unusually-wide", from_mm=Num(usual["from_mm"]), to_mm=Num(usual["to_mm"]))
    return fits()


@RIM_BRAKE_ON_MOUNT.test(
    "boss-spacing-printed",
    silent="feature",
    links=(1,),
    asked_if=("mount.rim_brake_mount.boss_spacing_mm", "brake.foot.boss_spacing_mm"),
    reasons={"bosses-too-narrow": Verdict.NO_FIT, "bosses-too-wide": Verdict.NO_FIT},
    spacing=deciding("mount.rim_brake_mount.boss_spacing_mm"),
    takes=deciding("brake.foot.boss_spacing_mm"),
)
def boss_spacing_printed(spacing: Num, takes: SpanFigure) -> Outcome:
    """The distance of the bosses lies within the range that the brake's maker prints.

    Asked where both are stated.
    """
    if spacing < takes.low:
        return no_fit("bosses-too-narrow")
    if spacing > takes.high:
        return no_fit("bosses-too-wide")
    return fits()


@RIM_BRAKE_ON_MOUNT.test(
    "boss-height",
    silent="feature",
    links=(),
    asked_if=("mount.rim_brake_mount.boss_bsd_mm",),
    reasons={
        "bosses-too-low": Verdict.NO_FIT,
        "bosses-too-high": Verdict.NO_FIT,
        "pad-slot-decides": Verdict.NOT_KNOWN,
    },
    made_for=deciding("mount.rim_brake_mount.boss_bsd_mm"),
    rim_seat=deciding("rim.bead.bsd_mm"),
    drop=deciding("piece.foot.drop_mm", optional=True),
    travel=trade_figure("brakes.pad-travel"),
)
def boss_height(made_for: Num, rim_seat: Num, drop: Num, travel: Band) -> Outcome:
    """Bosses are placed for one rim; on another the track lies half of the difference higher or lower.

    Pads give way a few millimetres either way. What is more than half a short slot, and not more than a long one,
    depends on the brake. Asked where somebody stated what the bosses are for.
    """
    lower = formulas.track_shift(made_for, rim_seat) - drop
    if lower < -travel["most_mm"]:
        return no_fit("bosses-too-low", gap_mm=-lower)
    if lower > travel["most_mm"]:
        return no_fit("bosses-too-high", gap_mm=lower)
    if lower.near(0, travel["sure_mm"]):
        return fits()
    return not_known("pad-slot-decides", gap_mm=lower)


# ------------------------------------------------------------------------------------------------ stop for the housing

CABLE_STOP = joint(
    "brakes.cable-stop",
    "housing stop above a centre-pull brake",
    """
    What meets: a brake that is pulled up in its middle, and the stop for the housing above it.

    Why it matters: the housing has to end at something fixed, or the brake does nothing.

    What to do: in front a hanger goes under the headset's locknut or spacers, on a drilled crown, or on the stem; at
    the rear on the seat collar. Linear-pull and side-pull brakes need none.

    Measure: look above the wheel for a braze-on that the housing ends in.
    """,
    place(
        "front",
        adapter="front_cable_hanger",
        brake="front_rim_brake",
        mount="fork",
        hanger="front_cable_hanger",
    ),
    place("rear", adapter="rear_cable_hanger", brake="rear_rim_brake", mount="frame", hanger="rear_cable_hanger"),
    between=("mount", "brake"),
)


@CABLE_STOP.test(
    "stop",
    silent="feature",
    links=(),
    asked_if=("brake.foot.cable",),
    reasons={"no-stop": Verdict.NEEDS_ADAPTER},
    cable=deciding("brake.foot.cable"),
    stop=deciding("mount.rim_brake_mount.cable_stop"),
    hanger_form=deciding("hanger.hanger.form", optional=True),
    kind=adapter_kind("brakes.cable-hanger"),
)
def cable_stop(cable: WordFigure, stop: WordFigure, hanger_form: WordFigure, kind: AdapterPairs) -> Outcome:
    """A centre-pull brake needs a stop: one of the frame or fork, or a hanger.

    Asked where it is known how the brake is pulled.
    """
    if cable == "side-pull":
        return fits()
    if hanger_form != "none":
        return fits()
    if stop == "present":
        return fits()
    return needs_adapter("no-stop", kind.row)


# ----------------------------------------------------------------------------------------------------- rim brake on rim

RIM_BRAKE_ON_RIM = joint(
    "brakes.rim-brake-on-rim",
    "rim brake on rim",
    """
    What meets: the pads of a rim brake, and the sides of the rim.

    When it fits: the rim has a brake track, flat and thick enough, that is not worn out.

    Why it matters: a rim made for disc brakes has no flat side and a thin wall; the pads find no hold and can cut the
    tyre or wear the rim through.

    What to do: look for a flat machined strip and its wear mark; a rim marked for disc brakes gets none.

    Measure: the wear mark, a groove or dimple in the track: gone means the rim is done.

    Caution: never brake on a rim without a track; a wall that is worn through bursts. Follow the rim's maker.
    """,
    place("front", brake="front_rim_brake", rim="front_rim"),
    place("rear", brake="rear_rim_brake", rim="rear_rim"),
    safety=True,
)


@RIM_BRAKE_ON_RIM.test(
    "track",
    beside=("brake",),
    reasons={"no-track": Verdict.UNSAFE},
    surface=deciding("rim.track.surface"),
    needed=trade_figure("brakes.track-needed"),
)
def track(surface: WordFigure, needed: Band) -> Outcome:
    """The rim has a brake track, of whatever material."""
    if surface == "none":
        return unsafe("no-track")
    return fits()


@RIM_BRAKE_ON_RIM.test(
    "wear",
    silent="choice",
    beside=("brake",),
    asked_if=("rim.track.wear",),
    reasons={"track-worn": Verdict.UNSAFE},
    wear=deciding("rim.track.wear"),
)
def track_wear(wear: WordFigure) -> Outcome:
    """The wear mark of the track is still there. Asked where somebody looked."""
    return unsafe("track-worn") if wear == "worn" else fits()


# ------------------------------------------------------------------------------------------------- tyre under the brake

TYRE_UNDER_BRAKE = joint(
    "brakes.tyre-under-rim-brake",
    "tyre under rim brake",
    """
    What meets: the tyre, and the arms of a rim brake that go round it.

    When it fits: the tyre is no wider than the brake's maker names.

    Why it matters: a tyre that touches the brake wears through; one that does not pass the pads has to be let down to
    take the wheel out.

    Measure: the width of the tyre as mounted; the figure of the brake stands in its papers.
    """,
    place("front", brake="front_rim_brake", tyre="front_tyre"),
    place("rear", brake="rear_rim_brake", tyre="rear_tyre"),
)


@TYRE_UNDER_BRAKE.test(
    "width",
    silent="regular",
    asked_if=("brake.foot.tyre_max_mm",),
    reasons={"tyre-too-wide": Verdict.NO_FIT, "inches-are-a-name": Verdict.NOT_KNOWN},
    tyre_width=deciding("tyre.bead.width_mm"),
    named_in=confirming("tyre.bead.width_in"),
    mounted=confirming("tyre.bead.measured_width_mm"),
    widest=limit("brake.foot.tyre_max_mm", "function"),
    inches=trade_figure("tyres.inch-names"),
)
def tyre_width(
    tyre_width: Num, named_in: Num | None, mounted: Num | None, widest: LimitFigure, inches: Band
) -> Outcome:
    """The tyre, as printed and as measured, is no wider than the brake takes. Asked where somebody looked it up.

    A tyre named in inches may be a little narrower by its mark.
    """
    if widest.not_printed:
        return fits("brake-room-not-printed")
    if tyre_width > widest.number:
        if mounted is None and tyre_width - slack(named_in, inches) <= widest.number:
            return not_known("inches-are-a-name")
        return no_fit("tyre-too-wide", over_mm=tyre_width - widest.number)
    if mounted is not None and mounted > widest.number:
        return no_fit("tyre-too-wide", over_mm=mounted - widest.number)
    return fits()


# --------------------------------------------------------------------------------------------------- arms of hub brakes

REACTION_ARM = joint(
    "brakes.reaction-arm",
    "reaction arm of a hub brake",
    """
    What meets: the arm of a coaster, drum, roller or band brake, and the clip or slot that holds it.

    When it fits: a clip of the right size holds the arm to the stay or fork leg, or the frame has a slot for it.

    Why it matters: when the brake bites, the arm keeps the hub's inside from turning with the wheel.

    What to do: bolt the clip tight, and look at it each time the wheel comes out.

    Measure: the thickness of the stay or leg where the clip goes.

    Caution: a loose arm turns over, winds up cable and axle nuts, and stops the wheel or leaves it without a brake.
    A front hub brake goes only on a fork made for one.
    """,
    place("front", hub="front_hub", holder="fork", clip="front_arm_clip"),
    place("rear", hub="rear_hub", holder="frame", clip="rear_arm_clip"),
    safety=True,
)


@REACTION_ARM.test(
    "held",
    silent="feature",
    asked_if=("hub.brake.form",),
    reasons={"arm-loose": Verdict.UNSAFE},
    hub_brake=deciding("hub.brake.form"),
    anchor=deciding("holder.arm_anchor.form"),
    clip_from=deciding("clip.clip.fitted", optional=True),
    practice=trade_figure("brakes.arm-held"),
)
def arm_held(hub_brake: WordFigure, anchor: WordFigure, clip_from: WordFigure, practice: Band) -> Outcome:
    """The arm of a hub brake is held by a clip on the list, or by a slot of the frame. Asked of hubs with a brake."""
    if hub_brake == "none":
        return fits()
    if clip_from != "none":
        return fits()
    if anchor == "slot":
        return fits()
    return unsafe("arm-loose")


@REACTION_ARM.test(
    "clip",
    silent="feature",
    asked_if=("holder.arm_anchor.tube_mm",),
    reasons={"clip-too-small": Verdict.NO_FIT, "clip-too-large": Verdict.UNSAFE},
    tube=deciding("holder.arm_anchor.tube_mm"),
    takes=deciding("clip.clip.tube_mm"),
)
def arm_clip(tube: Num, takes: SpanFigure) -> Outcome:
    """The clip goes round the tube and closes on it. Asked where the tube was measured."""
    if tube > takes.high:
        return no_fit("clip-too-small")
    if tube < takes.low:
        return unsafe("clip-too-large")
    return fits()


# ------------------------------------------------------------------------------------------------------------ the work

RIM_BRAKE_ON_MOUNT.step(
    "rim-brake-on",
    needs=("mount", "brake"),
    before=("lines-on", "pads-set"),
    uses=notes("use.grease-threads"),
    tools=("hex-5",),
)

RIM_BRAKE_ON_RIM.step(
    "rim-brake-cable",
    after=("levers-on", "wheel-in"),
    torques=(Torque("torque.brake-cable"),),
    tools=("cable-cutter", "hex-5", "torque-wrench"),
    practice=("practice.lever-test",),
)

REACTION_ARM.step(
    "arm-clip", needs=("hub", "holder", "clip"), after=("wheel-in", "axle-nuts"), practice=("practice.arm-clipped",)
)
