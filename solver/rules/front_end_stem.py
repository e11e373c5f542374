"""Joints of the stem: on the steerer, and the bar in it."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.front_end import CARBON, CLAMP_STEPS
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

# --------------------------------------------------------------------------------------------------- stem and steerer

STEM = joint(
    "front_end.stem-on-steerer",
    "stem on steerer",
    """
    What meets: the stem, a clamp round the steerer or a quill inside it, and the steerer.

    Why it matters: this is all that holds the handlebar to the fork. It must grip a plain round tube over its whole
    height.

    What to do: a stem that is larger by a size that the trade knows takes a split shim made for it, and nothing else.

    Measure: the steerer's outside and the bore of the stem with a caliper; for a quill, the inside of the steerer
    below the thread, and whether the mark is out of sight.

    Caution: a stem that slips or a steerer that cracks throws the rider; follow the makers of fork and stem, and
    use a torque wrench.
    """,
    place(stem="stem", fork="fork", shim="stem_shim", adapter="stem_shim"),
    safety=True,
    presupposes=("front_end.steerer-in-upper-end",),
    between=("stem", "fork"),
)


@STEM.test(
    "clamp",
    reasons={
        "holds-inside": Verdict.FITS,
        "thread-decides": Verdict.FITS,
        "stem-too-narrow": Verdict.NO_FIT,
        "stem-too-wide": Verdict.NEEDS_ADAPTER,
        "gap-without-shim": Verdict.NO_FIT,
    },
    asked_unless=("stem.steerer_clamp.quill_dia_mm",),
    form=confirming("stem.steerer_clamp.form"),
    steerer_form=confirming("fork.steerer.form"),
    bore=deciding("stem.steerer_clamp.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
    shim=adapter_kind("front-end.stem-shim"),
    oversize=adapter_kind("front-end.stem-shim-oversize"),
)
def stem_clamp(
    form: WordFigure | None,
    steerer_form: WordFigure | None,
    bore: Num,
    top: Num,
    play: Band,
    shim: AdapterPairs,
    oversize: AdapterPairs,
) -> Outcome:
    """The bore of the stem is the outside of the steerer; one size larger takes a split shim, but never on a thread."""
    if form is not None and form == "quill":
        return fits(reason="holds-inside")
    if steerer_form is not None and steerer_form == "threaded":
        return fits(reason="thread-decides")
    over = bore - top
    if over < -play["slack_mm"]:
        return no_fit("stem-too-narrow", gap_mm=-over)
    if over <= play["slack_mm"]:
        return fits()
    for kind in (shim, oversize):
        if kind.near(play["slack_mm"], steerer_mm=top, stem_mm=bore):
            return needs_adapter("stem-too-wide", kind.row, gap_mm=over)
    return no_fit("gap-without-shim", gap_mm=over)


@STEM.test(
    "quill",
    reasons={
        "holds-outside": Verdict.FITS,
        "quill-too-thick": Verdict.NEEDS_WORK,
        "quill-far-too-thick": Verdict.NO_FIT,
        "quill-too-thin": Verdict.NEEDS_ADAPTER,
        "gap-without-sleeve": Verdict.NO_FIT,
    },
    asked_unless=("stem.steerer_clamp.bore_mm",),
    form=confirming("stem.steerer_clamp.form"),
    quill_dia=deciding("stem.steerer_clamp.quill_dia_mm"),
    bore=deciding("fork.steerer.bore_mm"),
    play=trade_figure("front-end.quill-play"),
    sleeve=adapter_kind("front-end.quill-sleeve"),
)
def stem_quill(form: WordFigure | None, quill_dia: Num, bore: Num, play: Band, sleeve: AdapterPairs) -> Outcome:
    """The quill slides into the steerer by hand without play. A quill 0.2 mm too thick is dressed, the fork never."""
    if form is not None and form != "quill":
        return fits(reason="holds-outside")
    gap = bore - quill_dia
    if gap < -play["dress_mm"]:
        return no_fit("quill-far-too-thick", over_mm=-gap)
    if gap < -play["tight_mm"]:
        return needs_work("quill-too-thick", over_mm=-gap)
    if gap <= play["loose_mm"]:
        return fits()
    if sleeve.near(play["tight_mm"], quill_mm=quill_dia, bore_mm=bore):
        return needs_adapter("quill-too-thin", sleeve.row, gap_mm=gap)
    return no_fit("gap-without-sleeve", gap_mm=gap)


@STEM.test(
    "form",
    silent="instead",
    reasons={
        "clamp-over-thread": Verdict.NEEDS_ADAPTER,
        "clamp-on-thread": Verdict.UNSAFE,
        "quill-in-threadless": Verdict.NO_FIT,
    },
    asked_if=("stem.steerer_clamp.form",),
    stem_form=deciding("stem.steerer_clamp.form"),
    steerer_form=deciding("fork.steerer.form"),
    bore=deciding("stem.steerer_clamp.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
    adapter=adapter_kind("front-end.quill-adapter"),
)
def stem_form(
    stem_form: WordFigure, steerer_form: WordFigure, bore: Num, top: Num, play: Band, adapter: AdapterPairs
) -> Outcome:
    """A clamp goes round a threadless steerer, a quill into a threaded one; a clamp on a thread bites its crests.

    A clamp too wide to close on the thread goes on the plain top of an adapter quill.
    """
    if stem_form == "quill":
        return fits() if steerer_form == "threaded" else no_fit("quill-in-threadless")
    if steerer_form != "threaded":
        return fits()
    if bore > top + play["slack_mm"] and adapter.near(play["slack_mm"], thread_mm=top, stem_mm=bore):
        return needs_adapter("clamp-over-thread", adapter.row)
    return unsafe("clamp-on-thread")


@STEM.test(
    "wall",
    silent="feature",
    reasons={"quill-in-carbon": Verdict.UNSAFE},
    asked_if=("stem.steerer_clamp.form", "fork.steerer.material"),
    stem_form=deciding("stem.steerer_clamp.form"),
    fork_material=confirming("fork.material"),
    known_material=confirming("fork.steerer.material", own=True),
    material=deciding("fork.steerer.material", own=True),
)
def quill_wall(
    stem_form: WordFigure, fork_material: WordFigure | None, known_material: WordFigure | None, material: WordFigure
) -> Outcome:
    """The wedge of a quill spreads against the wall of the steerer; carbon splits.

    Carbon forks were sold with steerers of metal as well as of carbon, so that the word on the fork does not tell.
    """
    if known_material is None and fork_material is not None and fork_material != CARBON:
        return fits()
    return unsafe("quill-in-carbon") if stem_form == "quill" and material == CARBON else fits()


@STEM.test(
    "insertion",
    silent="choice",
    reasons={"mark-showing": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("stem.steerer_clamp.inserted_mm",),
    inserted=deciding("stem.steerer_clamp.inserted_mm"),
    mark=limit("stem.steerer_clamp.mark_mm", "safety"),
    steerer_form=confirming("fork.steerer.form"),
)
def quill_insertion(inserted: Num, mark: LimitFigure, steerer_form: WordFigure | None) -> Outcome:
    """A quill sits at least as deep as its mark asks for."""
    if steerer_form is not None and steerer_form == "threadless":
        return fits()
    if mark.not_printed:
        return not_known("limit-not-printed")
    return fits() if inserted >= mark.number else unsafe("mark-showing", short_mm=mark.number - inserted)


# Carbon is what a steerer is named for; one of which nothing is said is metal for this question.
@STEM.test(
    "consent",
    silent="feature",
    reasons={"shim-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("fork.steerer.material",),
    material=deciding("fork.steerer.material"),
    consent=deciding("fork.steerer.shim"),
    shim_bore=confirming("shim.steerer_clamp.bore_mm"),
)
def steerer_shim_consent(material: WordFigure, consent: WordFigure, shim_bore: Num | None) -> Outcome:
    """A carbon steerer is clamped through a shim only where the fork's maker says so; a metal one needs no permission.

    Asked of a steerer whose material is stated.
    """
    if material != CARBON:
        return fits()
    return _consented(consent)


# As long as no shim is listed the gap alone calls for one; what its maker says of a carbon steerer counts from then on.
@STEM.test(
    "shim-to-come",
    silent="feature",
    reasons={"shim-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("fork.steerer.material",),
    asked_unless=("shim.steerer_clamp.bore_mm",),
    material=deciding("fork.steerer.material"),
    consent=deciding("fork.steerer.shim"),
    form=confirming("stem.steerer_clamp.form"),
    bore=deciding("stem.steerer_clamp.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
    shim=adapter_kind("front-end.stem-shim"),
    oversize=adapter_kind("front-end.stem-shim-oversize"),
)
def steerer_shim_to_come(
    material: WordFigure,
    consent: WordFigure,
    form: WordFigure | None,
    bore: Num,
    top: Num,
    play: Band,
    shim: AdapterPairs,
    oversize: AdapterPairs,
) -> Outcome:
    """A stem that only a shim brings down to a carbon steerer waits for the word of the fork's maker.

    Asked of a steerer whose material is stated, while no shim is listed.
    """
    if material != CARBON or (form is not None and form == "quill"):
        return fits()
    if not any(kind.near(play["slack_mm"], steerer_mm=top, stem_mm=bore) for kind in (shim, oversize)):
        return fits()
    return _consented(consent)


def _consented(consent: WordFigure) -> Outcome:
    """Judge a shim on carbon by the word of the maker of what it presses on."""
    if consent == "forbidden":
        return unsafe("shim-forbidden")
    return fits() if consent == "allowed" else not_known("consent-not-printed")


@STEM.test(
    "section",
    silent="feature",
    reasons={"round-stem-on-flat-steerer": Verdict.UNSAFE},
    asked_if=("fork.steerer.section",),
    section=deciding("fork.steerer.section"),
    stem_section=deciding("stem.steerer_clamp.section"),
)
def steerer_section(section: WordFigure, stem_section: WordFigure) -> Outcome:
    """A steerer with a flat side wants the stem that is made for it; a round stem grips it on its corners only."""
    if section != "flat-sided":
        return fits()
    return fits() if stem_section == "flat-sided" else unsafe("round-stem-on-flat-steerer")


# -------------------------------------------------------------------------------------------------------- bar in stem

BAR = joint(
    "front_end.bar-in-stem",
    "handlebar in stem",
    """
    What meets: the middle of the handlebar, and the clamp of the stem.

    Why it matters: half a millimetre too loose and the bar turns under the rider; too tight and the clamp dents it.

    What to do: match the two numbers. A thinner bar takes a shim that is sold for the pair; a thicker one never fits.

    Measure: the bar in its middle with a caliper; read the face of the stem.

    Caution: a bar that turns or breaks throws the rider. No foil, no tape, and no shim on carbon without its
    maker's word; tighten to the lower of the figures printed on bar and stem.
    """,
    place(bar="handlebar", stem="stem", shim="bar_shim", adapter="bar_shim"),
    safety=True,
    between=("bar", "stem"),
)


@BAR.test(
    "diameter",
    reasons={
        "bar-forced-in": Verdict.UNSAFE,
        "bar-too-thick": Verdict.NO_FIT,
        "bar-too-thin": Verdict.NEEDS_ADAPTER,
        "gap-without-shim": Verdict.NO_FIT,
    },
    bar_dia=deciding("bar.centre.dia_mm"),
    clamp=deciding("stem.bar_clamp.dia_mm"),
    opening=deciding("stem.bar_clamp.opening"),
    material=deciding("bar.centre.material"),
    play=trade_figure("front-end.bar-clamp-play"),
    narrow=adapter_kind("front-end.bar-shim"),
    oversize=adapter_kind("front-end.bar-shim-oversize"),
)
def bar_diameter(
    bar_dia: Num,
    clamp: Num,
    opening: WordFigure,
    material: WordFigure,
    play: Band,
    narrow: AdapterPairs,
    oversize: AdapterPairs,
) -> Outcome:
    """Bar and clamp have the same diameter.

    0.2 mm under is accepted for a metal bar in a clamp with a face plate. A bar that is thicker by up to half a
    millimetre goes in by force, and that is what makes it dangerous. A thinner bar may take a shim.
    """
    over = bar_dia - clamp
    if over > play["forced_mm"]:
        return no_fit("bar-too-thick", over_mm=over)
    if over > play["equal_mm"]:
        return unsafe("bar-forced-in", over_mm=over)
    if over >= -play["equal_mm"]:
        return fits()
    if over >= -play["plate_mm"]:
        if opening == "face-plate" and material != CARBON:
            return fits("metal-bar-in-face-plate")
        return no_fit("gap-without-shim", gap_mm=-over)
    for kind in (narrow, oversize):
        if kind.near(play["equal_mm"], bar_mm=bar_dia, stem_mm=clamp):
            return needs_adapter("bar-too-thin", kind.row, gap_mm=-over)
    return no_fit("gap-without-shim", gap_mm=-over)


@BAR.test(
    "width",
    silent="finer",
    reasons={"clamp-on-bend": Verdict.NO_FIT},
    links=(),
    asked_if=("bar.centre.straight_width_mm", "stem.bar_clamp.width_mm"),
    straight=deciding("bar.centre.straight_width_mm"),
    clamp_width=deciding("stem.bar_clamp.width_mm"),
)
def bar_width(straight: Num, clamp_width: Num) -> Outcome:
    """The clamp is no wider than the straight middle of the bar."""
    return fits() if clamp_width <= straight else no_fit("clamp-on-bend", over_mm=clamp_width - straight)


@BAR.test(
    "consent",
    reasons={"shim-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    material=deciding("bar.centre.material"),
    consent=deciding("bar.centre.shim"),
    shim_bore=confirming("shim.bar_clamp.dia_mm"),
)
def shim_consent(material: WordFigure, consent: WordFigure, shim_bore: Num | None) -> Outcome:
    """A carbon bar goes in a shim only where its maker says so; a metal bar needs no permission."""
    if material != CARBON:
        return fits()
    return _consented(consent)


@BAR.test(
    "shim-to-come",
    silent="feature",
    reasons={"shim-forbidden": Verdict.UNSAFE, "consent-not-printed": Verdict.NOT_KNOWN},
    links=(),
    asked_if=("bar.centre.material",),
    asked_unless=("shim.bar_clamp.dia_mm",),
    material=deciding("bar.centre.material"),
    consent=deciding("bar.centre.shim"),
    bar_dia=deciding("bar.centre.dia_mm"),
    clamp=deciding("stem.bar_clamp.dia_mm"),
    play=trade_figure("front-end.bar-clamp-play"),
    narrow=adapter_kind("front-end.bar-shim"),
    oversize=adapter_kind("front-end.bar-shim-oversize"),
)
def bar_shim_to_come(
    material: WordFigure,
    consent: WordFigure,
    bar_dia: Num,
    clamp: Num,
    play: Band,
    narrow: AdapterPairs,
    oversize: AdapterPairs,
) -> Outcome:
    """A carbon bar that only a shim brings up to its stem waits for the word of its maker.

    Asked of a bar whose material is stated, while no shim is listed.
    """
    if material != CARBON:
        return fits()
    if not any(kind.near(play["equal_mm"], bar_mm=bar_dia, stem_mm=clamp) for kind in (narrow, oversize)):
        return fits()
    return _consented(consent)


STEM.step(
    "stem-on",
    where=CLAMP_STEPS,
    after=("fork-in",),
    before=("bar-in",),
    tools=("hex-4",),
    uses=notes(Note("use.carbon-paste", {"fork.steerer.material": (CARBON,)})),
    practice=("practice.snug-first", "practice.four-mm-key"),
)

STEM.step(
    "quill-in",
    where={"stem.steerer_clamp.form": ("quill",)},
    after=("fork-in",),
    before=("bar-in", "quill-torque"),
    uses=notes("use.grease"),
    practice=("practice.quill-mark",),
)

STEM.step(
    "stem-torque",
    where=CLAMP_STEPS,
    after=("levers-on", *ON_THE_FLOOR),
    torques=(Torque("front-end.stem-clamp-torque", ("stem.steerer_clamp.torque_nm", "fork.steerer.torque_nm")),),
    tools=("hex-4", "torque-wrench"),
    practice=("practice.torque-on-floor", "practice.turn-about"),
)

STEM.step(
    "quill-torque",
    where={"stem.steerer_clamp.form": ("quill",)},
    after=ON_THE_FLOOR,
    torques=(Torque("front-end.quill-torque", ("stem.steerer_clamp.torque_nm",)),),
    tools=("hex-6", "torque-wrench"),
    practice=("practice.torque-on-floor",),
)

BAR.step(
    "bar-in",
    needs=("bar", "stem"),
    before=("levers-on", "shifters-on", "face-plate"),
    tools=("hex-4",),
    uses=notes(Note("use.carbon-paste", {"bar.centre.material": (CARBON,)})),
    practice=("practice.bar-middle", "practice.snug-first"),
)

BAR.step(
    "bar-trim",
    needs=("bar",),
    stated=("bar.span.wanted_mm",),
    before=("bar-in", "levers-on", "shifters-on", "grips-on"),
    tools=("saw-guide", "hacksaw", "file", "marker"),
    practice=("practice.trim-even", Note("practice.carbon-cut", {"bar.centre.material": (CARBON,)})),
    figures=("front_end.bar-trim",),
)

BAR.step(
    "face-plate",
    needs=("bar", "stem"),
    after=("stem-torque", "quill-torque"),
    before=("grips-on",),
    torques=(Torque("front-end.face-plate-torque", ("stem.bar_clamp.torque_nm", "bar.centre.torque_nm")),),
    tools=("hex-4", "torque-wrench"),
    practice=("practice.face-plate-gap", "practice.cross-pattern", "practice.torque-on-floor"),
)

BAR.step(
    "grips-on",
    needs=("bar", "grips"),
    after=("levers-on", "shifters-on", "lines-on", "shift-cables"),
    practice=("practice.wrap-last",),
)
