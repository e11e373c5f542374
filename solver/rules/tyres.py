"""Joints of the tyres: tyre on rim, tubeless set-up, tube in tyre, room in frame and fork, valve in rim."""

from __future__ import annotations

from decimal import Decimal

from solver.formulas import tyre as formulas
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import AdapterPairs as Adapter
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
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
    table,
    trade_figure,
    unsafe,
)

Cells = dict[str, Decimal | str | None]

TYRE_ON_RIM = joint(
    "tyres.tyre-on-rim",
    "tyre on rim",
    """
    What meets: the beads of a tyre, and the seat, the width and the edges of a rim.

    Why it matters: the bead is a hoop that cannot stretch. It holds on a rim of the same bead seat, wide enough
    and not too wide, whose edge it is made for; on any other it can leave the rim.

    What to do: go by the ISO number on the sidewall (width-bead seat) and on the rim, never by inches; where
    tyre or rim prints a range of its own, that range counts.

    Measure: inner width between the hooks with a caliper; bead seat with a thin tape laid in the seat, divided
    by 3.1416. Run a finger nail over the inner edge: no undercut means no hooks.

    Caution: a tyre that leaves the rim throws the rider. Follow the makers of tyre and rim, in width, type and
    pressure.
    """,
    place("front", tyre="front_tyre", rim="front_rim"),
    place("rear", tyre="rear_tyre", rim="rear_rim"),
    safety=True,
)


@TYRE_ON_RIM.test(
    "bead-seat",
    reasons={
        "bead-seat-smaller": Verdict.NO_FIT,
        "bead-seat-larger": Verdict.UNSAFE,
        "bead-seat-far-larger": Verdict.NO_FIT,
        "sold-under-one-name": Verdict.NOT_KNOWN,
        "larger-yet-called-interchangeable": Verdict.NOT_KNOWN,
    },
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    rim_seat=deciding("rim.bead.bsd_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
    forced=trade_figure("tyres.bead-seat-forced"),
    as_one=table("tyres.bead-seats-sold-as-one"),
)
def bead_seat(tyre_seat: Num, rim_seat: Num, tolerance: Band, forced: Band, as_one: RowTable) -> Outcome:
    """Tyre and rim have the same bead seat diameter. A larger tyre can be put on, and comes off under pressure.

    Where a list calls two sizes interchangeable, that is enough for the smaller tyre; for the larger one it is asked.
    """
    over = tyre_seat - rim_seat
    slack = tolerance["either_way_mm"]
    if over.near(0, slack):
        return fits()
    for pair in as_one.dicts():
        if tyre_seat == _length(pair["tyre_mm"]) and rim_seat == _length(pair["rim_mm"]):
            if pair["said"] == "interchangeable":
                larger = over > 0
                return (
                    not_known("larger-yet-called-interchangeable")
                    if larger
                    else fits("bead-seats-called-interchangeable")
                )
            return not_known("sold-under-one-name")
    if over < 0:
        return no_fit("bead-seat-smaller", short_mm=-over)
    if over <= forced["to_mm"]:
        return unsafe("bead-seat-larger", over_mm=over)
    return no_fit("bead-seat-far-larger", over_mm=over)


@TYRE_ON_RIM.test(
    "make",
    reasons={
        "sewn-tyre-on-other-rim": Verdict.UNSAFE,
        "rim-for-other-tyres": Verdict.NO_FIT,
        "other-side-not-stated": Verdict.NOT_KNOWN,
    },
    kind=confirming("tyre.bead.type"),
    profile=confirming("rim.bead.profile"),
    practice=trade_figure("tyres.sewn-tyres"),
)
def make(kind: WordFigure | None, profile: WordFigure | None, practice: Band) -> Outcome:
    """A sewn tyre is glued on a rim made for it, a beaded-edge tyre sits on a beaded-edge rim; no other way round.

    Where neither side says so, both are of the usual make. Where one says so and the other is silent, nobody knows.
    """
    if kind is None or profile is None:
        stated = kind if kind is not None else profile
        special = stated is not None and stated.within(("tubular", "beaded-edge"))
        return not_known("other-side-not-stated") if special else fits()
    if profile == "tubular":
        return fits() if kind == "tubular" else no_fit("rim-for-other-tyres")
    if kind == "tubular":
        return unsafe("sewn-tyre-on-other-rim")
    if profile == "beaded-edge":
        return fits() if kind == "beaded-edge" else no_fit("rim-for-other-tyres")
    return no_fit("rim-for-other-tyres") if kind == "beaded-edge" else fits()


@TYRE_ON_RIM.test(
    "edge",
    silent="instead",
    reasons={
        "tube-type-on-hookless": Verdict.UNSAFE,
        "not-named-for-hookless": Verdict.UNSAFE,
        "folding-on-straight-side": Verdict.UNSAFE,
    },
    asked_if=("rim.bead.profile",),
    profile=deciding("rim.bead.profile"),
    kind=deciding("tyre.bead.type"),
    hookless=deciding("tyre.bead.hookless"),
    fold=deciding("tyre.bead.bead"),
    practice=trade_figure("tyres.hookless-tyres"),
    old_practice=trade_figure("tyres.straight-side-tyres"),
)
def edge(
    profile: WordFigure, kind: WordFigure, hookless: WordFigure, fold: WordFigure, practice: Band, old_practice: Band
) -> Outcome:
    """A rim without hooks takes only a tubeless-ready tyre allowed there; a plain steel rim only a rigid bead."""
    if profile == "hookless":
        if kind != "tubeless-ready":
            return unsafe("tube-type-on-hookless")
        return fits("look-at-rim-makers-list") if hookless == "hookless-allowed" else unsafe("not-named-for-hookless")
    if profile == "straight-side":
        return fits() if fold == "rigid" else unsafe("folding-on-straight-side")
    return fits()


@TYRE_ON_RIM.test(
    "tube-type-edge",
    silent="instead",
    reasons={"tube-type-on-hookless": Verdict.UNSAFE},
    asked_if=("tyre.bead.type",),
    kind=deciding("tyre.bead.type"),
    profile=deciding("rim.bead.profile"),
    practice=trade_figure("tyres.hookless-tyres"),
)
def tube_type_edge(kind: WordFigure, profile: WordFigure, practice: Band) -> Outcome:
    """A tyre that is known to be made for tubes wants a rim that is known to have hooks."""
    if kind != "tube-type":
        return fits()
    return unsafe("tube-type-on-hookless") if profile == "hookless" else fits()


@TYRE_ON_RIM.test(
    "width",
    reasons={
        "barely-wider-than-rim": Verdict.UNSAFE,
        "outside-rim-makers-range": (Verdict.NO_FIT, Verdict.UNSAFE),
        "outside-tyre-makers-range": (Verdict.NO_FIT, Verdict.UNSAFE),
        "too-narrow": Verdict.NO_FIT,
        "too-wide": Verdict.NO_FIT,
        "ask-the-makers": Verdict.NOT_KNOWN,
        "no-table": Verdict.NOT_KNOWN,
        "outside-named-table": Verdict.NO_FIT,
    },
    tyre_width=deciding("tyre.bead.width_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    kind=confirming("tyre.bead.type"),
    profile=confirming("rim.bead.profile"),
    tyre_least=confirming("rim.bead.tyre_min_mm"),
    tyre_most=confirming("rim.bead.tyre_max_mm"),
    rim_least=confirming("tyre.bead.rim_min_mm"),
    rim_most=confirming("tyre.bead.rim_max_mm"),
    design_rim=confirming("tyre.bead.design_rim_mm"),
    named=confirming("rim.bead.table"),
    barely=trade_figure("tyres.barely-wider"),
    standard=table("tyres.width-etrto-2006"),
    gathered=table("tyres.width-gathered"),
)
def width(
    tyre_width: Num,
    inner_width: Num,
    kind: WordFigure | None,
    profile: WordFigure | None,
    tyre_least: LimitFigure | None,
    tyre_most: LimitFigure | None,
    rim_least: LimitFigure | None,
    rim_most: LimitFigure | None,
    design_rim: Num | None,
    named: WordFigure | None,
    barely: Band,
    standard: RowTable,
    gathered: RowTable,
) -> Outcome:
    """The tyre's width suits the rim's inner width: by the range that either maker prints, else by the tables.

    A printed range takes the place of the tables on the side where it is printed. ETRTO 2006 and the gathered ranges
    are asked together: inside either it fits, and a remark says where the two differ. Outside both, the makers are to
    be asked; only beyond every published range it does not fit. Where the rim's papers go by one table, that one counts
    alone. A tyre hardly wider than the rim is always unsafe.
    The table of 2006 is for rims with hooks. A sewn tyre lies on a bed and has no inner width to suit.
    """
    if kind is not None and kind == "tubular":
        return fits()
    if tyre_width - inner_width <= barely["over_rim_mm"]:
        return unsafe("barely-wider-than-rim")
    open_edge = profile is not None and profile == "hookless"
    least, most = _printed(tyre_least), _printed(tyre_most)
    narrowest, widest = _printed(rim_least), _printed(rim_most)
    if least is not None and tyre_width < least:
        return unsafe("outside-rim-makers-range") if open_edge else no_fit("outside-rim-makers-range")
    if widest is not None and inner_width > widest:
        return unsafe("outside-tyre-makers-range") if open_edge else no_fit("outside-tyre-makers-range")
    if most is not None and tyre_width > most:
        return no_fit("outside-rim-makers-range")
    if narrowest is not None and inner_width < narrowest:
        return no_fit("outside-tyre-makers-range")
    drawn_for_it = design_rim is not None and inner_width == design_rim
    not_narrow = drawn_for_it or least is not None or widest is not None
    not_wide = drawn_for_it or most is not None or narrowest is not None
    if not_narrow and not_wide:
        return fits("by-makers-range")
    if named is not None and named == "etrto-2006":
        return _by_one_table(tyre_width, inner_width, standard)
    if profile is not None and profile == "straight-side":
        return not_known("no-table")
    old = None if open_edge else _standard_band(inner_width, standard)
    return _by_tables(tyre_width, inner_width, old, gathered, not_narrow=not_narrow, not_wide=not_wide)


def _by_one_table(tyre_width: Num, inner_width: Num, standard: RowTable) -> Outcome:
    """Return what the ETRTO table of 2006 says by itself."""
    band = _standard_band(inner_width, standard)
    if band is None:
        return not_known("no-table")
    return fits("by-etrto-2006-alone") if tyre_width.within(*band) else no_fit("outside-named-table")


def _standard_band(inner_width: Num, standard: RowTable) -> tuple[Decimal, Decimal] | None:
    """Return the tyres that the ETRTO table of 2006 lists for a rim; between two rows what both list."""
    found = _row_for(inner_width, standard, "rim_mm")
    if found is None:
        return None
    row, wider = found
    if inner_width == _length(row["rim_mm"]):
        return _length(row["tyre_min_mm"]), _length(row["tyre_max_mm"])
    return None if wider is None else (_length(wider["tyre_min_mm"]), _length(row["tyre_max_mm"]))


def _by_tables(
    tyre_width: Num,
    inner_width: Num,
    old: tuple[Decimal, Decimal] | None,
    gathered: RowTable,
    *,
    not_narrow: bool,
    not_wide: bool,
) -> Outcome:
    """Return what the tables say; ``old`` is the band of 2006. A side on which a maker's range holds is not asked."""
    found = _row_for(inner_width, gathered, "rim_from_mm")
    if found is None:
        return not_known("no-table")
    row = found[0]
    in_old = old is not None and (not_narrow or tyre_width >= old[0]) and (not_wide or tyre_width <= old[1])
    in_new = (
        row["fits_from_mm"] != ""
        and (not_narrow or tyre_width >= _length(row["fits_from_mm"]))
        and (not_wide or tyre_width <= _length(row["fits_to_mm"]))
    )
    if in_new:
        return fits() if in_old else fits("newer-than-etrto-2006") if old is not None else fits("no-standard-row")
    if in_old:
        return fits("other-sources-narrower")
    if not not_narrow and tyre_width < _length(row["ask_from_mm"]):
        return no_fit("too-narrow")
    if not not_wide and tyre_width > _length(row["ask_to_mm"]):
        return no_fit("too-wide")
    return not_known("ask-the-makers")


@TYRE_ON_RIM.test(
    "hookless-width",
    reasons={
        "too-narrow-for-hookless": Verdict.UNSAFE,
        "least-width-disputed": Verdict.NOT_KNOWN,
        "maker-below-standard": Verdict.NOT_KNOWN,
    },
    profile=deciding("rim.bead.profile"),
    tyre_width=deciding("tyre.bead.width_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    tyre_least=confirming("rim.bead.tyre_min_mm"),
    overlap=trade_figure("tyres.hookless-overlap"),
    named=table("tyres.hookless-least"),
    gathered=table("tyres.width-gathered"),
)
def hookless_width(
    profile: WordFigure,
    tyre_width: Num,
    inner_width: Num,
    tyre_least: LimitFigure | None,
    overlap: Band,
    named: RowTable,
    gathered: RowTable,
) -> Outcome:
    """On a rim without hooks the tyre is at least 4 mm wider than the rim inside; sure is the width that is named.

    The formula is used up to 25 mm. On wider rims a tyre narrower than every published range is unsafe. A rim maker
    who prints less than the standard is reported as such, never as a fit.
    """
    over = tyre_width - inner_width
    if over >= overlap["sure_mm"] and inner_width <= overlap["rim_to_mm"]:
        return fits()
    if inner_width <= overlap["rim_to_mm"]:
        if any(inner_width <= _length(r["rim_mm"]) and tyre_width >= _length(r["tyre_min_mm"]) for r in named.dicts()):
            return fits()
        if profile != "hookless":
            return fits()
        if over >= overlap["least_mm"]:
            return not_known("least-width-disputed", least_mm=Num(overlap["least_mm"]), sure_mm=Num(overlap["sure_mm"]))
        least = _printed(tyre_least)
        if least is not None and tyre_width >= least:
            return not_known("maker-below-standard")
        return unsafe("too-narrow-for-hookless")
    found = _row_for(inner_width, gathered, "rim_from_mm")
    least_cell = found[0]["hookless_least_mm"] if found is not None else ""
    if not isinstance(least_cell, Decimal) or tyre_width >= least_cell:
        return fits()
    return unsafe("too-narrow-for-hookless") if profile == "hookless" else fits()


TUBELESS = joint(
    "tyres.tubeless-set-up",
    "tubeless set-up",
    """
    What meets: tyre, rim and tubeless valve, with no tube to hold air and bead.

    Why it matters: without a tube the tyre's bead and the rim's seat have to hold by themselves; a bead that is
    not made for it stretches or creeps, and the tyre leaves the rim.

    What to do: take a tyre that says tubeless-ready, and a rim that says so; tape, valve and sealant after the
    rim's maker. A rim with double eyelets cannot be made airtight with tape.

    Measure: look for TLR, TLE or UST on the tyre, TC or TSS on the rim; inner width between the hooks.

    Caution: a tyre that comes off at once throws the rider. Follow the makers of tyre and rim.
    """,
    place("front", tyre="front_tyre", rim="front_rim", valve="front_valve"),
    place("rear", tyre="rear_tyre", rim="rear_rim", valve="rear_valve"),
    safety=True,
    presupposes=("tyres.tyre-on-rim",),
)


@TUBELESS.test(
    "tyre-type",
    reasons={"tyre-made-for-tube": Verdict.UNSAFE, "tyre-of-other-make": Verdict.NO_FIT},
    kind=deciding("tyre.bead.type"),
    valve_form=confirming("valve.valve.form"),
    practice=trade_figure("tyres.tubeless-tyres"),
)
def tubeless_tyre(kind: WordFigure, valve_form: WordFigure | None, practice: Band) -> Outcome:
    """With a tubeless valve on the list, the tyre is made to run without a tube."""
    if kind == "tubeless-ready":
        return fits()
    if kind == "tube-type":
        return unsafe("tyre-made-for-tube")
    return no_fit("tyre-of-other-make")


@TUBELESS.test(
    "rim-type",
    reasons={"rim-made-for-tubes": Verdict.UNSAFE},
    tubeless=deciding("rim.bead.tubeless"),
    valve_form=confirming("valve.valve.form"),
    practice=trade_figure("tyres.tubeless-rims"),
)
def tubeless_rim(tubeless: WordFigure, valve_form: WordFigure | None, practice: Band) -> Outcome:
    """With a tubeless valve on the list, the rim is made to hold a tyre without a tube."""
    return fits() if tubeless == "ready" else unsafe("rim-made-for-tubes")


@TUBELESS.test(
    "rim-width",
    reasons={"rim-too-narrow": Verdict.NO_FIT},
    inner_width=deciding("rim.bead.inner_width_mm"),
    valve_form=confirming("valve.valve.form"),
    least=trade_figure("tyres.tubeless-rim-least"),
)
def tubeless_rim_width(inner_width: Num, valve_form: WordFigure | None, least: Band) -> Outcome:
    """A rim for a tubeless tyre is at least as wide inside as the one tyre maker asks who prints a figure."""
    return fits() if inner_width >= least["inner_mm"] else no_fit("rim-too-narrow", least_mm=Num(least["inner_mm"]))


TUBE_IN_TYRE = joint(
    "tyres.tube-in-tyre",
    "tube in tyre",
    """
    What meets: an inner tube and the tyre that it fills.

    Why it matters: a tube too small is stretched thin, one too big folds and pinches; both fail early.

    What to do: take a tube whose box names the tyre's bead seat and holds its width. A few millimetres outside
    get you home.

    Measure: read both boxes, or the ISO number on the sidewall.
    """,
    place("front", tube="front_tube", tyre="front_tyre"),
    place("rear", tube="rear_tube", tyre="rear_tyre"),
)


@TUBE_IN_TYRE.test(
    "diameter",
    reasons={"other-diameter": Verdict.NO_FIT},
    tube_seat=deciding("tube.body.bsd_mm"),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
)
def tube_diameter(tube_seat: Num, tyre_seat: Num, tolerance: Band) -> Outcome:
    """The tyre's bead seat is one that the tube's box names."""
    return fits() if tube_seat.near(tyre_seat, tolerance["either_way_mm"]) else no_fit("other-diameter")


@TUBE_IN_TYRE.test(
    "width",
    reasons={"tube-too-small": Verdict.NO_FIT, "tube-too-big": Verdict.NO_FIT},
    tube_range=deciding("tube.body.tyre_width_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
)
def tube_width(tube_range: SpanFigure, tyre_width: Num) -> Outcome:
    """The tyre's width lies in the range on the tube's box."""
    if tyre_width > tube_range.high:
        return no_fit("tube-too-small")
    return fits() if tyre_width >= tube_range.low else no_fit("tube-too-big")


TYRE_IN_FRAME = joint(
    "tyres.tyre-in-frame",
    "room for the tyre",
    """
    What meets: the mounted tyre, and the blades, stays, crown and bridges beside and above it.

    Why it matters: mud, a stone or a wheel out of true closes a narrow gap and stops the wheel.

    What to do: go by the largest tyre that the maker of frame or fork prints; where he prints none, by the room
    that is left. With a suspension fork look at full travel too. A front mudguard and its bolts count as part
    of the fork.

    Measure: the gap with inside jaws where the tyre is widest; the tyre inflated, over its widest tread, after
    a day.

    Caution: a wheel that locks throws the rider. Follow the makers of frame and fork.
    """,
    place("front", tyre="front_tyre", holder="fork", rim="front_rim", bicycle="bicycle"),
    place("rear", tyre="rear_tyre", holder="frame", rim="rear_rim", bicycle="bicycle"),
    safety=True,
)

_MAKERS = "holder.tyre_room.tyre_max_mm"
_GAP = "holder.tyre_room.gap_mm"


@TYRE_IN_FRAME.test(
    "makers-limit",
    silent="instead",
    reasons={"over-makers-limit": Verdict.UNSAFE, "limit-not-printed": Verdict.NOT_KNOWN},
    asked_if=(_MAKERS,),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    most=limit(_MAKERS, "safety"),
    gap=confirming(_GAP),
    felt=confirming("holder.tyre_room.room_mm"),
)
def makers_limit(
    tyre_width: Num, measured: Num | None, most: LimitFigure, gap: Num | None, felt: Num | None
) -> Outcome:
    """The tyre is no wider than the largest that the maker prints; measured if somebody did, else as printed."""
    if most.not_printed:
        return not_known("limit-not-printed") if gap is None and felt is None else fits()
    actual = measured if measured is not None else tyre_width
    return fits() if actual <= most.number else unsafe("over-makers-limit")


@TYRE_IN_FRAME.test(
    "measured-gap",
    silent="instead",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_if=(_MAKERS, _GAP),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    felt=confirming("holder.tyre_room.room_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
@TYRE_IN_FRAME.test(
    "gap",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_unless=(_MAKERS,),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_width_mm"),
    felt=confirming("holder.tyre_room.room_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
def gap_beside(
    gap: Num, tyre_width: Num, measured: Num | None, felt: Num | None, use: WordFigure, clearance: Band
) -> Outcome:
    """Half of what the gap is wider than the tyre is the room on each side: 4 mm on racing bicycles, 6 on others.

    Where somebody felt the room beside this very tyre, that is the answer.
    """
    if felt is not None:
        return fits()
    actual = measured if measured is not None else tyre_width
    outcome = _room(formulas.side_room(gap, actual), use, clearance)
    if outcome is not None:
        return outcome
    return fits() if measured is not None else fits("width-as-printed")


@TYRE_IN_FRAME.test(
    "feeler",
    silent="choice",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE},
    asked_if=("holder.tyre_room.room_mm",),
    felt=deciding("holder.tyre_room.room_mm"),
    tyre_width=confirming("tyre.bead.width_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
)
def feeler(felt: Num, tyre_width: Num | None, use: WordFigure, clearance: Band) -> Outcome:
    """The room that was felt beside the mounted tyre is enough."""
    return _room(felt, use, clearance) or fits()


@TYRE_IN_FRAME.test(
    "gap-on-this-rim",
    silent="instead",
    reasons={"grows-on-this-rim": Verdict.NOT_KNOWN},
    asked_if=(_GAP, "tyre.bead.design_rim_mm", "rim.bead.inner_width_mm"),
    asked_unless=("tyre.bead.measured_width_mm",),
    gap=deciding(_GAP),
    tyre_width=deciding("tyre.bead.width_mm"),
    design_rim=deciding("tyre.bead.design_rim_mm"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
    growth=trade_figure("tyres.width-growth"),
)
def gap_on_this_rim(
    gap: Num, tyre_width: Num, design_rim: Num, inner_width: Num, use: WordFigure, clearance: Band, growth: Band
) -> Outcome:
    """A tyre stands wider on a rim wider than it was drawn for; where that could use up the room, it is measured."""
    if inner_width <= design_rim:
        return fits()
    widest = formulas.mounted_width(tyre_width, inner_width, design_rim, growth["most_mm"])
    usual = formulas.mounted_width(tyre_width, inner_width, design_rim, growth["usual_mm"])
    if _room(formulas.side_room(gap, widest), use, clearance) is None:
        return fits()
    return not_known("grows-on-this-rim", usual_mm=usual, widest_mm=widest)


@TYRE_IN_FRAME.test(
    "above",
    silent="choice",
    reasons={"touches": Verdict.NO_FIT, "too-little-room": Verdict.UNSAFE, "height-by-rule": Verdict.NOT_KNOWN},
    asked_if=("holder.tyre_room.height_mm",),
    height=deciding("holder.tyre_room.height_mm"),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    tyre_width=deciding("tyre.bead.width_mm"),
    measured=confirming("tyre.bead.measured_radius_mm"),
    use=deciding("bicycle.use"),
    clearance=trade_figure("tyres.clearance"),
    section=trade_figure("tyres.section-height"),
    reserve=trade_figure("tyres.height-reserve"),
)
def room_above(
    height: Num,
    tyre_seat: Num,
    tyre_width: Num,
    measured: Num | None,
    use: WordFigure,
    clearance: Band,
    section: Band,
    reserve: Band,
) -> Outcome:
    """Over the tyre there is as much room as beside it.

    A tyre that nobody measured counts as high as it is wide. That is so as a rule only, and the tread comes on top:
    such a tyre needs the room twice over, or has to be measured.
    """
    if measured is not None:
        return _room(height - measured, use, clearance) or fits()
    narrow = tyre_width < section["narrow_below_mm"]
    high = tyre_width + section["narrow_added_mm"] if narrow else tyre_width
    room = height - formulas.radius(tyre_seat, high)
    wrong = _room(room, use, clearance)
    if wrong is not None:
        return wrong
    if _room(room / reserve["times"], use, clearance) is not None:
        return not_known("height-by-rule", room_mm=room)
    return fits("radius-by-rule")


@TYRE_IN_FRAME.test(
    "rim-size",
    silent="feature",
    reasons={
        "larger-wheel": Verdict.NOT_KNOWN,
        "much-smaller-wheel": Verdict.NOT_KNOWN,
        "far-smaller-wheel": Verdict.NO_FIT,
    },
    asked_if=("holder.tyre_room.bsd_mm",),
    tyre_seat=deciding("rim.bead.bsd_mm"),
    made_for=deciding("holder.tyre_room.bsd_mm"),
    height=confirming("holder.tyre_room.height_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
    smaller=trade_figure("tyres.smaller-wheel"),
)
@TYRE_IN_FRAME.test(
    "wheel-size",
    silent="feature",
    reasons={
        "larger-wheel": Verdict.NOT_KNOWN,
        "much-smaller-wheel": Verdict.NOT_KNOWN,
        "far-smaller-wheel": Verdict.NO_FIT,
    },
    asked_if=("holder.tyre_room.bsd_mm",),
    tyre_seat=deciding("tyre.bead.bsd_mm"),
    made_for=deciding("holder.tyre_room.bsd_mm"),
    height=confirming("holder.tyre_room.height_mm"),
    tolerance=trade_figure("tyres.bead-seat-tolerance"),
    smaller=trade_figure("tyres.smaller-wheel"),
)
def wheel_size(tyre_seat: Num, made_for: Num, height: Num | None, tolerance: Band, smaller: Band) -> Outcome:
    """Frame and fork are made for this wheel size or one a little larger.

    The room above a larger wheel is measured; under a much smaller one the pedals come near the ground, under a far
    smaller one they touch it.
    """
    if tyre_seat > made_for + tolerance["either_way_mm"]:
        return fits() if height is not None else not_known("larger-wheel")
    if tyre_seat >= made_for - tolerance["either_way_mm"]:
        return fits()
    less = made_for - tyre_seat
    if less > smaller["most_mm"]:
        return no_fit("far-smaller-wheel", lower_mm=less / 2)
    return not_known("much-smaller-wheel", lower_mm=less / 2) if less > smaller["usual_mm"] else fits("smaller-wheel")


VALVE_IN_RIM = joint(
    "tyres.valve-in-rim",
    "valve in rim",
    """
    What meets: the valve of a tube, and the hole that is drilled for it in the rim.

    Why it matters: a thick valve does not pass a small hole; a thin one leaves a gap through which the tube
    bulges and is cut.

    What to do: take a tube with the valve that the rim is drilled for; a thin valve in a wide hole wants a
    sleeve.

    Measure: valve and hole with a caliper. 6 mm stands for Presta, 8 mm for Schrader and Dunlop.

    Caution: never drill a carbon rim, nor a narrow or strongly arched one. Follow the rim's maker.
    """,
    place("front", valve="front_tube", rim="front_rim", adapter="front_valve_sleeve"),
    place("rear", valve="rear_tube", rim="rear_rim", adapter="rear_valve_sleeve"),
    between=("valve", "rim"),
)

TUBELESS_VALVE = joint(
    "tyres.tubeless-valve-in-rim",
    "tubeless valve in rim",
    """
    What meets: a tubeless valve, and the hole in the rim that its foot has to seal.

    Why it matters: without a tube the valve's foot is the seal; in a hole too wide it leaks or is pulled
    through.

    What to do: take the valve that the rim's maker names.

    Measure: valve and hole with a caliper.

    Caution: never drill a carbon rim, nor a narrow or strongly arched one. Follow the rim's maker.
    """,
    place("front", valve="front_valve", rim="front_rim"),
    place("rear", valve="rear_valve", rim="rear_rim"),
)

VALVE_THROUGH_RIM = joint(
    "tyres.valve-through-rim",
    "valve through rim",
    """
    What meets: a valve, and the depth of the rim that it has to pass.

    Why it matters: a pump grips only what stands out of the rim.

    What to do: take a valve 15 mm longer than the rim is deep, or an extender.

    Measure: the rim at its valve hole, from the bed under the tape to the spoke side; the valve from its foot
    to its tip.
    """,
    place("front", valve="front_tube", rim="front_rim"),
    place("rear", valve="rear_tube", rim="rear_rim"),
    place("front-tubeless", valve="front_valve", rim="front_rim"),
    place("rear-tubeless", valve="rear_valve", rim="rear_rim"),
)


@VALVE_IN_RIM.test(
    "hole",
    reasons={"hole-too-wide": Verdict.NEEDS_ADAPTER},
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    play=trade_figure("tyres.valve-play"),
    sleeve=adapter_kind("tyres.valve-sleeve"),
)
def hole(valve_dia: Num, hole_dia: Num, play: Band, sleeve: Adapter) -> Outcome:
    """The hole is the one for this valve; a thin valve in a wide hole needs a sleeve."""
    loose = hole_dia - valve_dia
    if loose <= play["to_mm"]:
        return fits()
    return needs_adapter("hole-too-wide", sleeve.row, play_mm=loose)


@TUBELESS_VALVE.test(
    "seal",
    reasons={"hole-too-wide": Verdict.NOT_KNOWN},
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    play=trade_figure("tyres.valve-play"),
)
def seal(valve_dia: Num, hole_dia: Num, play: Band) -> Outcome:
    """The hole is the one for this valve; whether a wide foot seals a wide hole, its maker knows."""
    loose = hole_dia - valve_dia
    return fits() if loose <= play["to_mm"] else not_known("hole-too-wide", play_mm=loose)


@TUBELESS_VALVE.test(
    "passes",
    reasons={
        "drill-the-rim": Verdict.NEEDS_WORK,
        "hole-too-small": Verdict.NO_FIT,
        "hole-too-small-in-carbon": Verdict.UNSAFE,
    },
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    material=deciding("rim.material"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    rim_width=confirming("rim.valve_hole.rim_width"),
    wide=trade_figure("tyres.drilling-least"),
)
@VALVE_IN_RIM.test(
    "passes",
    links=(),
    reasons={
        "drill-the-rim": Verdict.NEEDS_WORK,
        "hole-too-small": Verdict.NO_FIT,
        "hole-too-small-in-carbon": Verdict.UNSAFE,
    },
    valve_dia=deciding("valve.valve.dia_mm"),
    hole_dia=deciding("rim.valve_hole.dia_mm"),
    material=deciding("rim.material"),
    inner_width=deciding("rim.bead.inner_width_mm"),
    rim_width=confirming("rim.valve_hole.rim_width"),
    wide=trade_figure("tyres.drilling-least"),
)
def passes(
    valve_dia: Num,
    hole_dia: Num,
    material: WordFigure,
    inner_width: Num,
    rim_width: WordFigure | None,
    wide: Band,
) -> Outcome:
    """The valve passes the hole. A wide aluminium rim can be drilled, carbon is weakened by it, others are left."""
    short = valve_dia - hole_dia
    if short <= 0:
        return fits()
    if material == "carbon":
        return unsafe("hole-too-small-in-carbon", short_mm=short)
    bears_it = rim_width == "wide" if rim_width is not None else inner_width >= wide["inner_mm"]
    if bears_it and material == "aluminium":
        return needs_work("drill-the-rim", short_mm=short)
    return no_fit("hole-too-small", short_mm=short)


@VALVE_THROUGH_RIM.test(
    "length",
    silent="finer",
    reasons={"too-short": (Verdict.NEEDS_ADAPTER, Verdict.NO_FIT)},
    asked_if=("valve.valve.length_mm",),
    valve_length=deciding("valve.valve.length_mm"),
    rim_depth=deciding("rim.valve_hole.rim_depth_mm"),
    form=deciding("valve.valve.form"),
    shows=trade_figure("tyres.valve-shows"),
    extender=adapter_kind("tyres.valve-extender"),
)
def valve_length(valve_length: Num, rim_depth: Num, form: WordFigure, shows: Band, extender: Adapter) -> Outcome:
    """The valve stands at least 15 mm out of the rim; a shorter Presta valve takes an extender."""
    out = formulas.valve_showing(valve_length, rim_depth)
    if out >= shows["least_mm"]:
        return fits()
    wanted = Num(shows["least_mm"])
    if form == "presta":
        return needs_adapter("too-short", extender.row, shows_mm=out, wanted_mm=wanted)
    return no_fit("too-short", shows_mm=out, wanted_mm=wanted)


def _length(cell: Decimal | str | None) -> Decimal:
    if not isinstance(cell, Decimal):
        raise TypeError(f"the table has no length here: {cell!r}")
    return cell


def _row_for(inner_width: Num, widths: RowTable, column: str) -> tuple[Cells, Cells | None] | None:
    """Return the last row that begins at or below a rim width, and the row after it; None below the first row."""
    at = widths.columns.index(column)
    low, high = -1, len(widths.cells)
    while high - low > 1:
        middle = (low + high) // 2
        if inner_width < _length(widths.cells[middle][at]):
            high = middle
        else:
            low = middle
    if low < 0:
        return None
    rows = [dict(zip(widths.columns, cells, strict=True)) for cells in widths.cells[low : low + 2]]
    return rows[0], rows[1] if len(rows) > 1 else None


def _printed(bound: LimitFigure | None) -> Num | None:
    """Return the figure of a limit that somebody stated; None if nobody did or none is printed."""
    return None if bound is None or bound.not_printed else bound.number


def _room(room: Num, use: WordFigure, clearance: Band) -> Outcome | None:
    """Return what is wrong with the room beside or above a tyre, or None if there is enough."""
    if room <= 0:
        return no_fit("touches", room_mm=room)
    if room >= clearance["other_mm"]:
        return None
    if room >= clearance["racing_mm"] and use == "racing":
        return None
    racing, other = Num(clearance["racing_mm"]), Num(clearance["other_mm"])
    return unsafe("too-little-room", room_mm=room, racing_mm=racing, other_mm=other)


# ------------------------------------------------------------------------------------------------------------ the work

TUBELESS_VALVE.step("valve-in", before=("tyre-on",), practice=("practice.valve-by-hand",))
TYRE_ON_RIM.step(
    "tyre-on",
    before=("sealant-in", "wheel-in"),
    tools=("tyre-levers", "pump"),
    practice=("practice.tyre-arrow", "practice.label-at-valve", "practice.bead-seated"),
    figures=("tyres.pressure-ceiling",),
)
TUBELESS.step(
    "sealant-in",
    before=("wheel-in",),
    tools=("core-key", "pump"),
    practice=("practice.sealant-turn",),
    figures=("tyres.sealant",),
)
