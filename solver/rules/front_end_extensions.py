"""Joints of what is clamped on a handlebar beside levers and grips: aero extensions and bar ends."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from solver.report import Verdict
from solver.rules.figures import Num, SpanFigure, WordFigure
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
from solver.rules.work import Note, Torque, notes

_CARBON: Final = "carbon"
_CONSENT: Final[Mapping[str, Verdict]] = {"maker-forbids": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN}


def _allowed(material: WordFigure, consent: WordFigure) -> Outcome:
    """Say whether something may be clamped on a bar of this material."""
    if material != _CARBON:
        return fits()
    if consent == "forbidden":
        return unsafe("maker-forbids")
    return fits() if consent == "allowed" else not_known("consent-not-printed")


EXTENSIONS_ON_BAR = joint(
    "front_end.extensions-on-bar",
    "aero extensions on the handlebar",
    """
    What meets: the clamps of clip-on bars, and the straight part of the handlebar on each side of the stem.

    Why it matters: the rider lies on them with his weight. A clamp that is too wide turns under him; on a flattened or
    bent bar it bears on its edges; carbon that was not made for it is crushed.

    What to do: most clamps are for 31.8 mm, older ones for 26.0. A thinner bar takes the shims that are sold with the
    clamps. A carbon bar only with its maker's word.

    Measure: the bar beside the stem with a caliper, up and down and to and fro: the two are alike on a round bar; how
    far it stays straight and as thick, from the stem outwards.

    Caution: extensions that turn or a bar that breaks throw the rider on his face. No foil, no tape; tighten to the
    lower of the figures printed on bar and clamp. In doubt ask the maker of the bar.
    """,
    place(extensions="bar_extensions", bar="handlebar"),
    safety=True,
)


@EXTENSIONS_ON_BAR.test(
    "clamp",
    reasons={
        "bar-forced-in": Verdict.UNSAFE,
        "bar-too-thick": Verdict.NO_FIT,
        "bar-too-thin": Verdict.NEEDS_ADAPTER,
        "gap-without-shim": Verdict.NO_FIT,
    },
    bar_dia=deciding("bar.tops.dia_mm"),
    clamp=deciding("extensions.clamp.dia_mm"),
    play=trade_figure("front-end.bar-clamp-play"),
    shims=adapter_kind("front-end.extension-shim"),
    shims_26=adapter_kind("front-end.extension-shim-26"),
)
def extension_clamp(bar_dia: Num, clamp: Num, play: Band, shims: AdapterPairs, shims_26: AdapterPairs) -> Outcome:
    """Clamp and bar have the same diameter at the place where the clamp sits; a thinner bar may take a shim."""
    over = bar_dia - clamp
    if over > play["forced_mm"]:
        return no_fit("bar-too-thick", over_mm=over)
    if over > play["equal_mm"]:
        return unsafe("bar-forced-in", over_mm=over)
    if over >= -play["equal_mm"]:
        return fits()
    for kind in (shims, shims_26):
        if kind.covers(bar_mm=bar_dia, clamp_mm=clamp):
            return needs_adapter("bar-too-thin", kind.row, gap_mm=-over)
    return no_fit("gap-without-shim", gap_mm=-over)


@EXTENSIONS_ON_BAR.test(
    "section",
    beside=("extensions",),
    reasons={"flattened-bar": Verdict.NO_FIT},
    section=deciding("bar.tops.section"),
)
def extension_section(section: WordFigure) -> Outcome:
    """The bar is round where the clamps sit; a flattened one touches a round clamp at two edges only."""
    return no_fit("flattened-bar") if section == "flattened" else fits()


@EXTENSIONS_ON_BAR.test(
    "room",
    silent="finer",
    asked_if=("bar.tops.straight_mm", "extensions.clamp.width_mm"),
    reasons={"clamp-on-bend": Verdict.NO_FIT},
    straight=deciding("bar.tops.straight_mm"),
    width=deciding("extensions.clamp.width_mm"),
)
def extension_room(straight: Num, width: Num) -> Outcome:
    """Beside the stem there is as much straight bar as a clamp is wide; asked where both are stated."""
    return fits() if width <= straight else no_fit("clamp-on-bend", over_mm=width - straight)


@EXTENSIONS_ON_BAR.test(
    "consent",
    beside=("extensions",),
    reasons=_CONSENT,
    material=deciding("bar.tops.material"),
    consent=deciding("bar.tops.extensions"),
    practice=trade_figure("front-end.carbon-clamp"),
)
def extension_consent(material: WordFigure, consent: WordFigure, practice: Band) -> Outcome:
    """A carbon bar bears clip-on bars only where its maker says so; a metal bar needs no permission."""
    return _allowed(material, consent)


BAR_ENDS_ON_BAR = joint(
    "front_end.bar-ends-on-bar",
    "bar ends on the handlebar",
    """
    What meets: the clamps, or the wedges, of a pair of bar ends, and the ends of a flat handlebar.

    Why it matters: the rider pulls on them standing. One that slips lets him fall; clamped on thin carbon it crushes
    the end of the bar.

    What to do: clamps for 22.2 mm go on flat bars once the grips are short enough to leave them room; they are not for
    drop bars. Bar ends never go on other bar ends. A carbon bar only with its maker's word, often with a plug in it.

    Measure: the end of the bar with a caliper, outside for a clamp, inside for a wedge.

    Caution: close the open ends with plugs. Push down hard on both before the first ride; they and the bar must not
    move. After a fall take them off and look at the ends of the bar.
    """,
    place(bar_ends="bar_ends", bar="handlebar"),
    safety=True,
)


@BAR_ENDS_ON_BAR.test(
    "clamp",
    reasons={"bar-too-thick": Verdict.NO_FIT, "bar-too-thin": Verdict.NO_FIT},
    by_hand=True,
    form=deciding("bar_ends.foot.form"),
    clamp=deciding("bar_ends.foot.dia_mm"),
    bar_dia=deciding("bar.controls.dia_mm"),
    play=trade_figure("shifting.control-play"),
)
def bar_end_clamp(form: WordFigure, clamp: Num, bar_dia: Num, play: Band) -> Outcome:
    """A clamp is made for a bar as thick as this one; a wedge is asked about in the next test."""
    if form == "inside":
        return fits()
    if bar_dia - clamp > play["either_mm"]:
        return no_fit("bar-too-thick", over_mm=bar_dia - clamp)
    return fits() if bar_dia - clamp >= -play["either_mm"] else no_fit("bar-too-thin", gap_mm=clamp - bar_dia)


@BAR_ENDS_ON_BAR.test(
    "wedge",
    reasons={"bar-too-narrow": Verdict.NO_FIT, "wedge-finds-no-wall": Verdict.UNSAFE},
    by_hand=True,
    form=deciding("bar_ends.foot.form"),
    holds=deciding("bar_ends.foot.bore_mm"),
    bore=deciding("bar.ends.bore_mm"),
)
def bar_end_wedge(form: WordFigure, holds: SpanFigure, bore: Num) -> Outcome:
    """A wedge spreads in a bore of the range that it is made for; a clamp asks for none."""
    if form == "outside":
        return fits()
    if bore < holds.low:
        return no_fit("bar-too-narrow")
    return fits() if bore <= holds.high else unsafe("wedge-finds-no-wall")


@BAR_ENDS_ON_BAR.test(
    "consent",
    beside=("bar_ends",),
    reasons=_CONSENT,
    material=deciding("bar.ends.material"),
    consent=deciding("bar.ends.bar_ends"),
    practice=trade_figure("front-end.carbon-clamp"),
)
def bar_end_consent(material: WordFigure, consent: WordFigure, practice: Band) -> Outcome:
    """A carbon bar bears bar ends only where its maker says so; a metal bar needs no permission."""
    return _allowed(material, consent)


# ------------------------------------------------------------------------------------------------------------ the work

EXTENSIONS_ON_BAR.step(
    "extensions-on",
    after=("bar-in", "stem-torque"),
    tools=("hex-4", "torque-wrench"),
    uses=notes(Note("use.carbon-paste", {"bar.tops.material": (_CARBON,)})),
    practice=("practice.extension-print",),
)
BAR_ENDS_ON_BAR.step(
    "bar-ends-on",
    after=("bar-in", "stem-torque"),
    torques=(Torque("torque.bar-end", printed=("bar_ends.foot.torque_nm",)),),
    tools=("hex-5", "torque-wrench"),
    uses=notes(Note("use.carbon-paste", {"bar.ends.material": (_CARBON,)})),
    practice=("practice.bar-end-push",),
)
