"""Joints along the steerer: its length against the stack, the spacers on it, what takes up the play."""

from __future__ import annotations

from typing import Final

from solver.formulas import steerer as lengths
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.front_end import CARBON, CLAMP_STEPS
from solver.rules.registry import (
    Band,
    Outcome,
    Read,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    no_fit,
    not_known,
    place,
    total,
    trade_figure,
    unsafe,
)
from solver.rules.work import Note, Torque, notes

# ---------------------------------------------------------------------------------------------- length of the steerer

LENGTH = joint(
    "front_end.steerer-length",
    "length of the steerer",
    """
    What meets: the steerer, and all that it carries: lower headset, head tube, upper headset, spacers, stem.

    Why it matters: the stem must grip the tube almost to its own top, and the tube must end a little below, so that
    the cap can take up the play of the bearings.

    What to do: put everything together dry, measure twice, cut once: 2 to 3 mm below the top of the stem, or of a
    spacer on it. Leave 20 to 25 mm of spacers at first; what is cut off does not come back.

    Measure: the steerer from the crown seat to its end with a steel rule; stem and headset with a caliper.

    Caution: a stem that holds too little tube lets go, and too tall a stack breaks a carbon steerer. Only the fork
    maker knows what a carbon steerer bears; follow the maker's instructions.
    """,
    place(
        fork="fork",
        frame="frame",
        upper="headset_upper",
        lower="headset_lower",
        spacers="spacers",
        stem="stem",
    ),
    safety=True,
    presupposes=(
        "front_end.steerer-in-upper-end",
        "front_end.steerer-in-lower-end",
        "front_end.steerer-in-upper-headset",
        "front_end.stem-on-steerer",
    ),
)


@LENGTH.test(
    "length",
    reasons={"threaded": Verdict.FITS, "too-short": Verdict.NO_FIT, "too-little-held": Verdict.UNSAFE},
    asked_unless=("fork.steerer.below_stem_top_mm",),
    form=confirming("fork.steerer.form"),
    steerer=deciding("fork.steerer.length_mm"),
    bare=total("frame.head_tube.length_mm", "lower.stack.height_mm", "upper.stack.height_mm"),
    stem_height=deciding("stem.steerer_clamp.height_mm"),
    below=deciding("spacers.stack.below_mm", optional=True),
    above=Read("spacers.stack.above_mm", "confirming", optional=True),
    gap=trade_figure("front-end.steerer-gap"),
    most=trade_figure("front-end.steerer-gap-limit"),
)
def steerer_length(
    form: WordFigure | None,
    steerer: Num,
    bare: Num,
    stem_height: Num,
    below: Num,
    above: Num | None,
    gap: Band,
    most: Band,
) -> Outcome:
    """A threadless steerer reaches to at most 5 mm below the top of the stem, or of the spacers on it.

    A longer one is cut; a shorter one may do once spacers are taken away. If it stays shorter, the stem holds too
    little of it, or does not reach it at all.
    """
    if form is not None and form == "threaded":
        return fits(reason="threaded")
    loose = below if above is None else below + above
    height = bare + loose + stem_height
    missing = lengths.below_top(steerer, height)
    cut = lengths.cut_off(steerer, height, Num(gap["to_mm"]))
    if missing <= 0:
        return fits("to-be-cut", cut_by_mm=cut)
    if missing <= most["most_mm"]:
        return fits()
    if missing - loose <= most["most_mm"]:
        return fits("take-spacers-away", take_away_mm=-cut)
    if missing - loose >= stem_height:
        return no_fit("too-short", short_mm=missing - loose)
    return unsafe("too-little-held", below_top_mm=missing - loose)


@LENGTH.test(
    "held",
    silent="choice",
    reasons={"held-by-quill": Verdict.FITS, "too-little-held": Verdict.UNSAFE},
    asked_if=("fork.steerer.below_stem_top_mm",),
    below_top=deciding("fork.steerer.below_stem_top_mm"),
    form=confirming("stem.steerer_clamp.form"),
    gap=trade_figure("front-end.steerer-gap"),
    most=trade_figure("front-end.steerer-gap-limit"),
)
def steerer_held(below_top: Num, form: WordFigure | None, gap: Band, most: Band) -> Outcome:
    """Measured on the bicycle, the steerer ends at most 5 mm below the top of the stem, or of the spacer on it.

    Flush or proud it has to be cut, or to get a spacer on top, before the cap can take up play.
    """
    if form is not None and form == "quill":
        return fits(reason="held-by-quill")
    if below_top > most["most_mm"]:
        return unsafe("too-little-held", below_top_mm=below_top)
    if below_top <= 0:
        return fits("to-be-cut", cut_by_mm=Num(gap["to_mm"]) - below_top)
    return fits()


@LENGTH.test(
    "thread",
    silent="instead",
    reasons={"threadless": Verdict.FITS, "locknut-short-of-thread": Verdict.UNSAFE},
    asked_if=("fork.steerer.form",),
    form=deciding("fork.steerer.form"),
    steerer=deciding("fork.steerer.length_mm"),
    bare=total("frame.head_tube.length_mm", "lower.stack.height_mm", "upper.stack.height_mm"),
    washers=deciding("spacers.stack.below_mm", optional=True),
    stack=trade_figure("front-end.threaded-stack"),
)
def threaded_length(form: WordFigure, steerer: Num, bare: Num, washers: Num, stack: Band) -> Outcome:
    """A threaded steerer reaches almost to the top of the locknut; what is too long is taken up by washers."""
    if form != "threaded":
        return fits(reason="threadless")
    missing = lengths.below_top(steerer, bare + washers)
    if missing > stack["most_mm"]:
        return unsafe("locknut-short-of-thread", short_mm=missing - stack["most_mm"])
    if missing < 0:
        return fits("washers-under-locknut", washers_mm=-missing)
    return fits()


@LENGTH.test(
    "between-clamps",
    silent="feature",
    reasons={"head-too-long-for-clamps": Verdict.NO_FIT},
    asked_if=("fork.steerer.between_clamps_mm",),
    between=deciding("fork.steerer.between_clamps_mm"),
    bare=total("frame.head_tube.length_mm", "lower.stack.height_mm", "upper.stack.height_mm"),
)
def room_between_clamps(between: Num, bare: Num) -> Outcome:
    """Head tube and headset go between the clamps of a fork that has its own; asked of a fork that states the room."""
    return fits() if bare <= between else no_fit("head-too-long-for-clamps", over_mm=bare - between)


SPACERS = joint(
    "front_end.spacers-on-steerer",
    "spacers on steerer",
    """
    What meets: the loose rings under the stem, and the steerer that they sit on.

    Why it matters: a tall stack makes a lever of the stem that can snap a carbon steerer; some makers ask for a
    ring under the stem, so that its edge does not press on the tube at the height of the bearing.

    What to do: keep within what the fork maker prints, least and most; makers differ from 20 to 55 mm. Height
    beyond that comes from a stem or bar with more rise.

    Measure: from the cover of the headset to the lower edge of the stem with a caliper.

    Caution: a carbon steerer that breaks throws the rider. Only its maker knows what it bears; follow the maker's
    instructions.
    """,
    place(fork="fork", spacers="spacers"),
    safety=True,
)


@SPACERS.test(
    "bore",
    silent="finer",
    by_hand=True,
    reasons={"rings-too-narrow": Verdict.NO_FIT, "rings-too-wide": Verdict.NO_FIT},
    asked_if=("spacers.stack.bore_mm",),
    rings=deciding("spacers.stack.bore_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
)
def spacer_bore(rings: Num, top: Num, play: Band) -> Outcome:
    """The rings have the steerer's outside diameter, so that they lie flat and centred under the stem."""
    if rings - top < -play["slack_mm"]:
        return no_fit("rings-too-narrow")
    return fits() if rings - top <= play["slack_mm"] else no_fit("rings-too-wide")


@SPACERS.test(
    "height",
    reasons={
        "spacers-over-limit": Verdict.UNSAFE,
        "spacers-under-limit": Verdict.UNSAFE,
        "limit-not-printed": Verdict.NOT_KNOWN,
    },
    material=deciding("fork.steerer.material"),
    under_stem=deciding("spacers.stack.below_mm"),
    least=confirming("fork.steerer.spacers_below_min_mm"),
    most_spacers=limit("fork.steerer.spacers_below_max_mm", "safety"),
)
def carbon_spacers(
    material: WordFigure, under_stem: Num, least: LimitFigure | None, most_spacers: LimitFigure
) -> Outcome:
    """On a carbon steerer the spacers under the stem keep within what the fork maker prints, least and most."""
    if material != CARBON:
        return fits()
    if least is not None and not least.not_printed and under_stem < least.number:
        return unsafe("spacers-under-limit", short_mm=least.number - under_stem)
    if under_stem <= 0:
        return fits()
    if most_spacers.not_printed:
        return not_known("limit-not-printed")
    if under_stem > most_spacers.number:
        return unsafe("spacers-over-limit", over_mm=under_stem - most_spacers.number)
    return fits()


@SPACERS.test(
    "above-least",
    silent="feature",
    reasons={"too-few-above": Verdict.UNSAFE},
    asked_if=("fork.steerer.spacers_above_min_mm",),
    over_stem=deciding("spacers.stack.above_mm"),
    least=limit("fork.steerer.spacers_above_min_mm", "safety"),
)
def least_spacers_above(over_stem: Num, least: LimitFigure) -> Outcome:
    """Over the stem there is as much of a spacer as the fork's maker asks for, so that the clamp grips a whole tube.

    Makers differ: some ask for a ring there, some forbid it. Asked of a fork that states it.
    """
    if least.not_printed or over_stem >= least.number:
        return fits()
    return unsafe("too-few-above", short_mm=least.number - over_stem)


@SPACERS.test(
    "above-most",
    silent="feature",
    reasons={"too-many-above": Verdict.UNSAFE},
    asked_if=("fork.steerer.spacers_above_max_mm",),
    over_stem=deciding("spacers.stack.above_mm"),
    most_above=limit("fork.steerer.spacers_above_max_mm", "safety"),
)
def most_spacers_above(over_stem: Num, most_above: LimitFigure) -> Outcome:
    """Over the stem there is no more of a spacer than the fork's maker allows: the plug has to back up the clamp.

    Asked of a fork that states it.
    """
    if most_above.not_printed or over_stem <= most_above.number:
        return fits()
    return unsafe("too-many-above", over_mm=over_stem - most_above.number)


# ----------------------------------------------------------------------------------------------------- preload anchor

ANCHOR = joint(
    "front_end.preload-anchor-in-steerer",
    "preload anchor in steerer",
    """
    What meets: the star nut or expander that the bolt of the top cap pulls on, and the inside of the steerer.

    Why it matters: a star nut bites into metal, and cuts carbon. In a carbon steerer the expander also keeps the
    stem clamp from crushing the tube.

    What to do: star nut 10 to 15 mm below the top in steel and aluminium; in carbon an expander that reaches past
    the lower bolt of the stem, spacers over the stem counted. The cap takes up play, it does not hold the fork.

    Measure: the inside of the steerer with the inside jaws of a caliper; look for the weave of carbon.

    Caution: a carbon steerer that a star nut has cut is scrap. A few makers use a star nut in a sleeve of their
    own: follow the fork maker.
    """,
    place(anchor="preload_anchor", fork="fork", stem="stem", spacers="spacers"),
    safety=True,
)


@ANCHOR.test(
    "material",
    reasons={"star-nut-in-carbon": Verdict.UNSAFE, "no-support-inside": Verdict.NOT_KNOWN},
    form=deciding("anchor.anchor.form"),
    material=deciding("fork.steerer.material"),
    ground=trade_figure("front-end.star-nut-materials"),
)
def anchor_material(form: WordFigure, material: WordFigure, ground: Band) -> Outcome:
    """A star nut goes in a metal steerer only; a carbon steerer takes an expander."""
    if form == "expander" or material != CARBON:
        return fits()
    if form == "star-nut":
        return unsafe("star-nut-in-carbon")
    return not_known("no-support-inside")


@ANCHOR.test(
    "bore",
    silent="feature",
    reasons={"steerer-too-narrow": Verdict.NO_FIT, "steerer-too-wide": Verdict.NO_FIT},
    asked_if=("anchor.anchor.steerer_bore_mm",),
    grips=deciding("anchor.anchor.steerer_bore_mm"),
    bore=deciding("fork.steerer.bore_mm"),
)
def anchor_bore(grips: SpanFigure, bore: Num) -> Outcome:
    """An expander is made for the inside diameter of the steerer."""
    if bore < grips.low:
        return no_fit("steerer-too-narrow")
    return fits() if bore <= grips.high else no_fit("steerer-too-wide")


@ANCHOR.test(
    "size",
    silent="feature",
    reasons={"other-steerer-size": Verdict.NO_FIT},
    asked_if=("anchor.anchor.for_steerer_mm",),
    sold_for=deciding("anchor.anchor.for_steerer_mm"),
    top=deciding("fork.steerer.top_dia_mm"),
    play=trade_figure("front-end.stem-clamp-play"),
)
def anchor_size(sold_for: Num, top: Num, play: Band) -> Outcome:
    """A star nut is sold for a steerer of this outside diameter."""
    return fits() if sold_for.near(top, play["slack_mm"]) else no_fit("other-steerer-size")


@ANCHOR.test(
    "support",
    silent="feature",
    reasons={"plug-shorter-than-clamp": Verdict.NOT_KNOWN},
    asked_if=("anchor.anchor.length_mm",),
    material=deciding("fork.steerer.material"),
    plug_length=deciding("anchor.anchor.length_mm"),
    stem_height=deciding("stem.steerer_clamp.height_mm"),
)
def anchor_support(material: WordFigure, plug_length: Num, stem_height: Num) -> Outcome:
    """In a carbon steerer the plug is at least as long as the clamp of the stem that it backs up."""
    if material != CARBON or plug_length >= stem_height:
        return fits()
    return not_known("plug-shorter-than-clamp", short_mm=stem_height - plug_length)


@ANCHOR.test(
    "reach",
    silent="choice",
    reasons={"plug-above-clamp": Verdict.NOT_KNOWN},
    asked_if=("anchor.anchor.length_mm", "spacers.stack.above_mm"),
    material=deciding("fork.steerer.material"),
    plug_length=deciding("anchor.anchor.length_mm"),
    stem_height=deciding("stem.steerer_clamp.height_mm"),
    above=deciding("spacers.stack.above_mm"),
    gap=trade_figure("front-end.steerer-gap"),
)
def anchor_reach(material: WordFigure, plug_length: Num, stem_height: Num, above: Num, gap: Band) -> Outcome:
    """Spacers over the stem move its clamp down a carbon steerer, and the plug stays at the top: it is as long as both.

    Less what the tube has to end below the top of all, or the cap could not take up the play.

    Asked where it is stated what goes over the stem: that is the mechanic's to choose.
    """
    needed = above + stem_height - gap["from_mm"]
    if material != CARBON or plug_length >= needed:
        return fits()
    return not_known("plug-above-clamp", short_mm=needed - plug_length)


_UNCUT: Final = {"fork.steerer.form": ("threadless",), "stem.steerer_clamp.form": ("clamp",)}

LENGTH.step(
    "dry-fit",
    needs=("fork", "frame", "upper", "lower", "stem"),
    where=_UNCUT,
    before=("cut-steerer",),
    tools=("steel-rule", "marker"),
    practice=("practice.dry-fit-first", "practice.measure-twice"),
    figures=("front_end.steerer-cut",),
)

LENGTH.step(
    "cut-steerer",
    needs=("fork", "frame", "upper", "lower", "stem"),
    where=_UNCUT,
    before=("star-nut-in", "fork-in"),
    tools=("saw-guide", "hacksaw", "file"),
    practice=("practice.cut-along-guide", Note("practice.carbon-cut", {"fork.steerer.material": (CARBON,)})),
    figures=("front_end.steerer-cut",),
)

ANCHOR.step(
    "star-nut-in",
    needs=("anchor", "fork"),
    where={"anchor.anchor.form": ("star-nut",)},
    never={"fork.steerer.material": (CARBON,)},
    before=("fork-in", "preload"),
    tools=("star-nut-setter",),
    practice=("practice.star-nut-square",),
    figures=("front_end.star-nut-depth",),
)

ANCHOR.step(
    "expander-in",
    needs=("anchor", "fork"),
    where={"anchor.anchor.form": ("expander",)},
    after=("stem-on", "cut-steerer"),
    before=("preload",),
    tools=("hex-6", "torque-wrench"),
    practice=("practice.expander-print",),
)

ANCHOR.step(
    "preload",
    needs=("anchor", "fork", "stem"),
    where=CLAMP_STEPS,
    after=("stem-on",),
    before=("stem-torque",),
    torques=(Torque("front-end.top-cap-torque"),),
    tools=("hex-5",),
    uses=notes("use.grease"),
    practice=("practice.preload-only",),
)
