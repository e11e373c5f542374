"""Joints of the caliper: on its mount with the adapter, and round the rotor."""

from __future__ import annotations

from decimal import Decimal

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    Read,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    needs_adapter,
    no_fit,
    not_known,
    place,
    total,
    trade_figure,
    unsafe,
)
from solver.rules.work import Torque

# -------------------------------------------------------------------------------------------------- caliper on mount

CALIPER_ON_MOUNT = joint(
    "brakes.caliper-on-mount",
    "caliper on mount",
    """
    What meets: the mount of fork or frame, a bracket if there is one, the caliper, and the rotor it must reach.

    When it fits: the bolt patterns agree, and mount and bracket together set the caliper at the radius of this rotor.

    Why it matters: pads that sit too high or too low run off the rotor; a rotor larger than the mount is tested for
    can break it.

    What to do: no rotor smaller than the mount's own; a larger one with the one bracket for that step, up to the
    maximum that the maker of fork or frame prints.

    Measure: the distance of the bolts (51 mm across the bicycle: IS; 74 mm along it: post mount), the rotor over its
    edge; the mount's own rotor and its maximum stand on fork or frame, or in their manual.

    Caution: never a rotor over the printed maximum, never two brackets, never loose washers to make up height. Follow
    the makers of brake, fork and frame; after any work squeeze the brake hard and try it at walking pace.
    """,
    place(
        "front",
        adapter="front_mount_adapter",
        mount="fork",
        caliper="front_caliper",
        rotor="front_rotor",
        bracket="front_mount_adapter",
    ),
    place(
        "rear",
        adapter="rear_mount_adapter",
        mount="frame",
        caliper="rear_caliper",
        rotor="rear_rotor",
        bracket="rear_mount_adapter",
    ),
    safety=True,
    between=("mount", "caliper"),
)


@CALIPER_ON_MOUNT.test(
    "smallest",
    links=(),
    reasons={"rotor-too-small": Verdict.NO_FIT},
    rotor_dia=deciding("rotor.disc.dia_mm"),
    native=deciding("mount.brake_mount.native_rotor_mm"),
    play=trade_figure("brakes.rotor-size-play"),
)
def smallest_rotor(rotor_dia: Num, native: Num, play: Band) -> Outcome:
    """No rotor is smaller than the one that the mount is for: brackets raise a caliper, nothing lowers it."""
    if rotor_dia < native - play["dia_mm"]:
        return no_fit("rotor-too-small", gap_mm=native - rotor_dia)
    return fits()


def _own_size(rotor: Num, native: Num, pattern: WordFigure, own: Band, slack: Decimal) -> bool:
    """Return whether the mount is for this rotor by itself, so that it takes no printed maximum to know."""
    if rotor <= native + slack:
        return True
    if pattern == "is-tab":
        return rotor <= own["is_mm"] + slack
    return pattern == "flat-mount-fork" and rotor <= own["flat_fork_mm"] + slack


@CALIPER_ON_MOUNT.test(
    "maximum",
    silent="instead",
    links=(),
    asked_if=("mount.brake_mount.rotor_max_mm",),
    reasons={"rotor-over-maximum": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    rotor_dia=deciding("rotor.disc.dia_mm"),
    maximum=limit("mount.brake_mount.rotor_max_mm", "safety"),
    native=deciding("mount.brake_mount.native_rotor_mm"),
    mount_pattern=deciding("mount.brake_mount.pattern"),
    own=trade_figure("brakes.sizes-of-the-mount"),
    play=trade_figure("brakes.rotor-size-play"),
)
def printed_maximum(
    rotor_dia: Num, maximum: LimitFigure, native: Num, mount_pattern: WordFigure, own: Band, play: Band
) -> Outcome:
    """No rotor is larger than the maker of fork or frame prints.

    Where he prints nothing, only the sizes that the mount is for by itself are taken as right. Asked where somebody
    looked for the maximum.
    """
    if not maximum.not_printed:
        if rotor_dia > maximum.number + play["dia_mm"]:
            return unsafe("rotor-over-maximum")
        return fits()
    if _own_size(rotor_dia, native, mount_pattern, own, play["dia_mm"]):
        return fits()
    return not_known("limit-not-printed")


@CALIPER_ON_MOUNT.test(
    "largest",
    links=(),
    asked_unless=("mount.brake_mount.rotor_max_mm",),
    reasons={"rotor-over-maximum": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    rotor_dia=deciding("rotor.disc.dia_mm"),
    native=deciding("mount.brake_mount.native_rotor_mm"),
    mount_pattern=deciding("mount.brake_mount.pattern"),
    maximum=limit("mount.brake_mount.rotor_max_mm", "safety"),
    own=trade_figure("brakes.sizes-of-the-mount"),
    play=trade_figure("brakes.rotor-size-play"),
)
def largest_rotor(
    rotor_dia: Num, native: Num, mount_pattern: WordFigure, maximum: LimitFigure, own: Band, play: Band
) -> Outcome:
    """The sizes that a mount is for by itself need no printed maximum; a larger rotor is not known until one is stated.

    Its own are: the size of the posts or of a frame's flat mount; 160 on IS tabs; 140 and 160 on a fork's flat mount.
    Asked where nobody looked for the maximum.
    """
    if _own_size(rotor_dia, native, mount_pattern, own, play["dia_mm"]):
        return fits()
    if maximum.not_printed:
        return not_known("limit-not-printed")
    if rotor_dia > maximum.number + play["dia_mm"]:
        return unsafe("rotor-over-maximum")
    return fits()


@CALIPER_ON_MOUNT.test(
    "pattern",
    reasons={
        "no-mount": Verdict.NO_FIT,
        "made-for-another-size": Verdict.NOT_KNOWN,
        "bracket-of-another-pattern": Verdict.NO_FIT,
        "bracket-missing": Verdict.NEEDS_ADAPTER,
        "pattern-differs": Verdict.NO_FIT,
    },
    mount_pattern=deciding("mount.brake_mount.pattern"),
    foot_pattern=deciding("caliper.foot.pattern"),
    bracket_pattern=deciding("bracket.foot.pattern", optional=True),
    mount_size=confirming("mount.brake_mount.native_rotor_mm"),
    made_for=confirming("caliper.foot.native_rotor_mm"),
    is_bracket=adapter_kind("brakes.is-bracket"),
    plate=adapter_kind("brakes.flat-fork-plate"),
    is_caliper=adapter_kind("brakes.is-caliper-on-post"),
    flat_on_post=adapter_kind("brakes.flat-caliper-on-post"),
    flat_on_is=adapter_kind("brakes.flat-caliper-on-is"),
    post_on_fork=adapter_kind("brakes.post-caliper-on-flat-fork"),
    post_on_frame=adapter_kind("brakes.post-caliper-on-flat-frame"),
)
def mount_pattern(
    mount_pattern: WordFigure,
    foot_pattern: WordFigure,
    bracket_pattern: WordFigure,
    mount_size: Num | None,
    made_for: Num | None,
    is_bracket: AdapterPairs,
    plate: AdapterPairs,
    is_caliper: AdapterPairs,
    flat_on_post: AdapterPairs,
    flat_on_is: AdapterPairs,
    post_on_fork: AdapterPairs,
    post_on_frame: AdapterPairs,
) -> Outcome:
    """The bolts of caliper and mount are the same; where they differ, one bracket joins some pairs and none the rest.

    Flat mounts for 140 and 160 look alike and differ: a foot that names the other one is not taken as right.
    """
    if mount_pattern == "none":
        return no_fit("no-mount")
    if mount_pattern == foot_pattern:
        flat = mount_size is not None and made_for is not None and foot_pattern.within(_FLAT)
        return not_known("made-for-another-size") if flat and mount_size != made_for else fits()
    if bracket_pattern != "none":
        return no_fit("bracket-of-another-pattern")
    for mount, foot, kind in (
        ("is-tab", "post-mount", is_bracket),
        ("flat-mount-fork", "flat-mount", plate),
        ("post-mount", "is-tab", is_caliper),
        ("post-mount", "flat-mount", flat_on_post),
        ("is-tab", "flat-mount", flat_on_is),
        ("flat-mount-fork", "post-mount", post_on_fork),
        ("flat-mount", "post-mount", post_on_frame),
    ):
        if mount_pattern == mount and foot_pattern == foot:
            return needs_adapter("bracket-missing", kind.row)
    return no_fit("pattern-differs")


_FLAT = ("flat-mount", "flat-mount-fork")


def _covers(kind: AdapterPairs, native: Num, rotor: Num, slack: Decimal) -> bool:
    """Return whether a kind of bracket bridges mount and rotor: by their sizes, or by the step between them."""
    for pair in kind.pairs:
        if "step_mm" in pair:
            if (rotor - native).near(Decimal(pair["step_mm"]), slack):
                return True
        elif native == Decimal(pair["native_mm"]) and rotor.near(Decimal(pair["rotor_mm"]), slack):
            return True
    return False


@CALIPER_ON_MOUNT.test(
    "radius",
    links=(),
    reasons={
        "bracket-for-another-rotor": Verdict.NO_FIT,
        "plate-beyond-its-sizes": Verdict.NOT_KNOWN,
        "bracket-missing": Verdict.NEEDS_ADAPTER,
        "no-bracket-for-rotor": Verdict.NO_FIT,
        "no-bracket-for-bolts": Verdict.NO_FIT,
        "caliper-for-another-rotor": Verdict.NO_FIT,
    },
    rotor_dia=deciding("rotor.disc.dia_mm"),
    seat=total("mount.brake_mount.native_rotor_mm", deciding("bracket.foot.step_mm", optional=True)),
    native=deciding("mount.brake_mount.native_rotor_mm"),
    bracket_pattern=deciding("bracket.foot.pattern", optional=True),
    bracket_rotor=Read("bracket.brake_mount.native_rotor_mm", "confirming", optional=True),
    mount_pattern=deciding("mount.brake_mount.pattern"),
    foot_pattern=deciding("caliper.foot.pattern"),
    foot_step=deciding("caliper.foot.step_mm"),
    foot_made_for=confirming("caliper.foot.native_rotor_mm"),
    plate_made_for=Read("bracket.foot.native_rotor_mm", "confirming", optional=True),
    own=trade_figure("brakes.sizes-of-the-mount"),
    play=trade_figure("brakes.rotor-size-play"),
    turned=trade_figure("brakes.flat-fork-plate-step"),
    post=adapter_kind("brakes.post-bracket"),
    post_rarer=adapter_kind("brakes.post-bracket-rarer"),
    washers=adapter_kind("brakes.washers-200-203"),
    washers_183=adapter_kind("brakes.washers-180-183"),
    is_bracket=adapter_kind("brakes.is-bracket"),
    plate=adapter_kind("brakes.flat-fork-plate"),
    plate_180=adapter_kind("brakes.flat-fork-plate-180"),
    rear_plate=adapter_kind("brakes.flat-frame-plate"),
    rear_plate_180=adapter_kind("brakes.flat-frame-plate-180"),
    is_caliper=adapter_kind("brakes.is-caliper-on-post"),
    flat_on_post=adapter_kind("brakes.flat-caliper-on-post"),
    flat_on_is=adapter_kind("brakes.flat-caliper-on-is"),
    post_on_fork=adapter_kind("brakes.post-caliper-on-flat-fork"),
    post_on_fork_160=adapter_kind("brakes.post-caliper-on-flat-fork-160"),
    post_on_frame=adapter_kind("brakes.post-caliper-on-flat-frame"),
)
def caliper_radius(
    rotor_dia: Num,
    seat: Num,
    native: Num,
    bracket_pattern: WordFigure,
    bracket_rotor: Num | None,
    mount_pattern: WordFigure,
    foot_pattern: WordFigure,
    foot_step: Num,
    foot_made_for: Num | None,
    plate_made_for: Num | None,
    own: Band,
    play: Band,
    turned: Band,
    post: AdapterPairs,
    post_rarer: AdapterPairs,
    washers: AdapterPairs,
    washers_183: AdapterPairs,
    is_bracket: AdapterPairs,
    plate: AdapterPairs,
    plate_180: AdapterPairs,
    rear_plate: AdapterPairs,
    rear_plate_180: AdapterPairs,
    is_caliper: AdapterPairs,
    flat_on_post: AdapterPairs,
    flat_on_is: AdapterPairs,
    post_on_fork: AdapterPairs,
    post_on_fork_160: AdapterPairs,
    post_on_frame: AdapterPairs,
) -> Outcome:
    """Mount and bracket set the caliper for this rotor and no other.

    The rotor is the mount's own, plus the step of the bracket. A plate on a fork's flat mount that names its rotor is
    for that one, if the fork is for it or for the next smaller. An IS caliper, and one that is made for a fork's flat
    mount, has a step of its own. A plate that can be turned is for 140 and 160: what it makes of a fork that starts at
    160 is known only where its maker names that fork. Without a bracket on the list, a larger rotor needs the kind of
    bracket that is made for this step; steps that nobody makes do not fit.
    """
    slack = play["dia_mm"]
    reached = seat + foot_step if foot_pattern.within(("is-tab", "flat-mount-fork")) else seat
    if bracket_pattern != "none":
        if bracket_rotor is not None and bracket_pattern == "flat-mount-fork":
            both_ways = native == bracket_rotor or native + turned["mm"] == bracket_rotor
            reached = bracket_rotor if both_ways else reached
        turns = bracket_pattern == "flat-mount-fork" and foot_pattern == "flat-mount" and bracket_rotor is None
        if rotor_dia.near(reached, slack):
            beyond = turns and plate_made_for is None and rotor_dia > own["flat_fork_mm"] + slack
            return not_known("plate-beyond-its-sizes") if beyond else fits()
        return no_fit("bracket-for-another-rotor", reached_mm=reached)
    if mount_pattern == foot_pattern and rotor_dia.near(reached, slack):
        turns = foot_pattern == "flat-mount-fork" and foot_made_for is None
        beyond = turns and rotor_dia > own["flat_fork_mm"] + slack
        return not_known("plate-beyond-its-sizes") if beyond else fits()
    for mount, foot, kinds in (
        ("post-mount", "post-mount", (post, washers, post_rarer, washers_183)),
        ("is-tab", "post-mount", (is_bracket,)),
        ("flat-mount-fork", "flat-mount", (plate, plate_180)),
        ("flat-mount", "flat-mount", (rear_plate, rear_plate_180)),
        ("post-mount", "is-tab", (is_caliper,)),
        ("post-mount", "flat-mount", (flat_on_post,)),
        ("is-tab", "flat-mount", (flat_on_is,)),
        ("flat-mount-fork", "post-mount", (post_on_fork, post_on_fork_160)),
        ("flat-mount", "post-mount", (post_on_frame,)),
    ):
        if mount_pattern == mount and foot_pattern == foot:
            for kind in kinds:
                if _covers(kind, seat, rotor_dia, slack):
                    return needs_adapter("bracket-missing", kind.row, step_mm=rotor_dia - seat)
            return no_fit("no-bracket-for-rotor")
    if mount_pattern == foot_pattern:
        return no_fit("caliper-for-another-rotor", reached_mm=reached)
    return no_fit("no-bracket-for-bolts")


@CALIPER_ON_MOUNT.test(
    "bracket",
    silent="feature",
    links=(),
    asked_if=("bracket.brake_mount.native_rotor_mm",),
    reasons={"bracket-for-another-rotor": Verdict.NO_FIT},
    bracket_rotor=deciding("bracket.brake_mount.native_rotor_mm"),
    rotor_dia=deciding("rotor.disc.dia_mm"),
    play=trade_figure("brakes.rotor-size-play"),
)
def bracket_rotor(bracket_rotor: Num, rotor_dia: Num, play: Band) -> Outcome:
    """A bracket that names its rotor is for that one."""
    if bracket_rotor.near(rotor_dia, play["dia_mm"]):
        return fits()
    return no_fit("bracket-for-another-rotor", reached_mm=bracket_rotor)


@CALIPER_ON_MOUNT.test(
    "bolt",
    silent="feature",
    links=(),
    asked_if=("mount.brake_mount.stay_thickness_mm", "caliper.foot.bolt_mark_mm"),
    reasons={"bolt-too-long": Verdict.UNSAFE, "bolt-too-short": Verdict.UNSAFE},
    stay=deciding("mount.brake_mount.stay_thickness_mm"),
    bolt_mark=deciding("caliper.foot.bolt_mark_mm"),
    play=trade_figure("brakes.flat-bolt-play"),
)
def flat_mount_bolt(stay: Num, bolt_mark: Num, play: Band) -> Outcome:
    """The number on a flat-mount bolt is the thickness of the stay it is for; a longer one meets the end of its hole.

    Asked where somebody stated the stay and the bolt.
    """
    if bolt_mark > stay + play["mm"]:
        return unsafe("bolt-too-long", over_mm=bolt_mark - stay)
    if bolt_mark < stay - play["mm"]:
        return unsafe("bolt-too-short", under_mm=stay - bolt_mark)
    return fits()


@CALIPER_ON_MOUNT.test(
    "bolts-sold",
    silent="feature",
    links=(),
    asked_if=("mount.brake_mount.stay_thickness_mm", "caliper.foot.bolts_sold_mm"),
    reasons={"no-bolt-for-stay": Verdict.NO_FIT},
    stay=deciding("mount.brake_mount.stay_thickness_mm"),
    bolts_sold=deciding("caliper.foot.bolts_sold_mm"),
    play=trade_figure("brakes.flat-bolt-play"),
)
def flat_mount_bolts_sold(stay: Num, bolts_sold: Num, play: Band) -> Outcome:
    """One of the bolts that the caliper's maker sells has the thickness of the stay as its mark.

    Asked where somebody stated the stay and the bolts.
    """
    if bolts_sold.near(stay, play["mm"]):
        return fits()
    return no_fit("no-bolt-for-stay")


# -------------------------------------------------------------------------------------------------- rotor in caliper

ROTOR_IN_CALIPER = joint(
    "brakes.rotor-in-caliper",
    "rotor between the pads",
    """
    What meets: the braking ring of a rotor, and the slot of the caliper with its pads.

    When it fits: the rotor is no thicker than the caliper takes, and not worn below the least thickness printed on it.

    Why it matters: too thick a rotor drags; one worn too thin overheats, lets the pistons come too far out and may
    crack.

    Measure: with a micrometer on the braking track, at three places or more; the least thickness stands on the rotor.

    Caution: a rotor below its least thickness is replaced before the next ride.
    """,
    place("front", rotor="front_rotor", caliper="front_caliper"),
    place("rear", rotor="rear_rotor", caliper="rear_caliper"),
    safety=True,
)


@ROTOR_IN_CALIPER.test(
    "wear",
    silent="choice",
    asked_if=("rotor.disc.worn_mm",),
    reasons={"worn-below-least": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    worn=deciding("rotor.disc.worn_mm"),
    least=limit("rotor.disc.least_thickness_mm", "safety"),
    lowest=trade_figure("brakes.rotor-least-anywhere"),
)
def rotor_wear(worn: Num, least: LimitFigure, lowest: Band) -> Outcome:
    """What is left of the rotor is not below the least thickness printed on it, nor below what any maker allows.

    Asked where somebody measured the rotor.
    """
    if worn < lowest["mm"]:
        return unsafe("worn-below-least", least_mm=Num(lowest["mm"]))
    if least.not_printed:
        return not_known("limit-not-printed")
    if worn < least.number:
        return unsafe("worn-below-least", least_mm=least.number)
    return fits()


@ROTOR_IN_CALIPER.test(
    "least-thickness",
    silent="instead",
    asked_if=("rotor.disc.thickness_mm", "rotor.disc.least_thickness_mm"),
    asked_unless=("rotor.disc.worn_mm",),
    reasons={"worn-below-least": Verdict.UNSAFE},
    worn=deciding("rotor.disc.thickness_mm"),
    least=limit("rotor.disc.least_thickness_mm", "safety"),
)
def rotor_least_thickness(worn: Num, least: LimitFigure) -> Outcome:
    """The thickness stated for the rotor is not below the least that is printed on it.

    Asked where both are stated and nobody measured what is left.
    """
    if least.not_printed or worn >= least.number:
        return fits()
    return unsafe("worn-below-least", least_mm=least.number)


@ROTOR_IN_CALIPER.test(
    "thickness",
    silent="regular",
    asked_if=("rotor.disc.thickness_mm",),
    reasons={"rotor-too-thick": Verdict.NO_FIT},
    thickness=deciding("rotor.disc.thickness_mm"),
    takes=limit("caliper.slot.rotor_thickness_mm", "function"),
    usual=trade_figure("brakes.rotor-thickness-usual"),
)
def rotor_thickness(thickness: Num, takes: SpanFigure, usual: Band) -> Outcome:
    """Rotors of the usual thickness go in any caliper; a thicker one needs a caliper that is made for it.

    Asked where the rotor's thickness is stated.
    """
    if thickness <= usual["up_to_mm"] or thickness <= takes.high:
        return fits()
    return no_fit("rotor-too-thick", most_mm=takes.high)


CALIPER_ON_MOUNT.step(
    "caliper-on",
    needs=("mount", "caliper"),
    before=("lines-on", "caliper-centred"),
    tools=("hex-5",),
    practice=("practice.snug-first",),
    figures=("brakes.flat-mount-bolt",),
)

CALIPER_ON_MOUNT.step(
    "caliper-centred",
    needs=("mount", "caliper", "rotor"),
    after=("wheel-in", "axle-in", "lines-on", "pads-in"),
    before=("bed-in",),
    torques=(Torque("brakes.torque-caliper-bolts", ("caliper.foot.torque_nm",)),),
    tools=("hex-5", "torque-wrench"),
    practice=("practice.caliper-squeeze",),
)

ROTOR_IN_CALIPER.step(
    "bed-in",
    after=("stem-torque", "quill-torque", "face-plate", "seat-torque", "gears-set", "grips-on", "pedals-on"),
    practice=("practice.bed-in", "practice.bigger-front-rotor"),
    figures=("brakes.bedding-in",),
)
