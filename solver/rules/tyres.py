"""Joints of the tyre: on the rim, set up without a tube, over a tube."""

from __future__ import annotations

from decimal import Decimal

from solver.report import Verdict
from solver.rules.branching import Zero
from solver.rules.figures import LimitFigure, Num, SpanFigure, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
    confirming,
    deciding,
    fits,
    joint,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.tyres_inches import slack as slack_of

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

    Caution: a tyre that leaves the rim throws the rider. Follow the makers of tyre and rim in all of it.
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
        "inches-are-a-name": Verdict.NOT_KNOWN,
    },
    tyre_width=deciding("tyre.bead.width_mm"),
    named_in=confirming("tyre.bead.width_in"),
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
    inches=trade_figure("tyres.inch-names"),
    standard=table("tyres.width-etrto-2006"),
    gathered=table("tyres.width-gathered"),
)
def width(
    tyre_width: Num,
    named_in: Num | None,
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
    inches: Band,
    standard: RowTable,
    gathered: RowTable,
) -> Outcome:
    """The tyre's width suits the rim's inner width: by the range that either maker prints, else by the tables.

    A printed range takes the place of the tables on the side where it is printed. ETRTO 2006 and the gathered ranges
    are asked together: inside either it fits, and a remark says where the two differ. Outside both, the makers are to
    be asked; only beyond every published range it does not fit. Where the rim's papers go by one table, that one counts
    alone. A tyre hardly wider than the rim is always unsafe.
    A tyre that is named in inches is a little wider or narrower by its mark: inside a range it counts as its name,
    which the ranges go by as well; outside by no more than that, its mark decides.
    The table of 2006 is for rims with hooks. A sewn tyre lies on a bed and has no inner width to suit.
    """
    if kind is not None and kind == "tubular":
        return fits()
    if tyre_width - inner_width <= barely["over_rim_mm"]:
        return unsafe("barely-wider-than-rim")
    slack = slack_of(named_in, inches)
    open_edge = profile is not None and profile == "hookless"
    least, most = _printed(tyre_least), _printed(tyre_most)
    narrowest, widest = _printed(rim_least), _printed(rim_most)
    if least is not None and tyre_width + slack < least:
        return unsafe("outside-rim-makers-range") if open_edge else no_fit("outside-rim-makers-range")
    if widest is not None and inner_width > widest:
        return unsafe("outside-tyre-makers-range") if open_edge else no_fit("outside-tyre-makers-range")
    if most is not None and tyre_width - slack > most:
        return no_fit("outside-rim-makers-range")
    if narrowest is not None and inner_width < narrowest:
        return no_fit("outside-tyre-makers-range")
    if (least is not None and tyre_width < least) or (most is not None and tyre_width > most):
        return not_known("inches-are-a-name")
    drawn_for_it = design_rim is not None and inner_width == design_rim
    not_narrow = drawn_for_it or least is not None or widest is not None
    not_wide = drawn_for_it or most is not None or narrowest is not None
    if not_narrow and not_wide:
        return fits("by-makers-range")
    if named is not None and named == "etrto-2006":
        return _by_one_table(tyre_width, inner_width, slack, standard)
    if profile is not None and profile == "straight-side":
        return not_known("no-table")
    old = None if open_edge else _standard_band(inner_width, standard)
    return _by_tables(tyre_width, inner_width, slack, old, gathered, not_narrow=not_narrow, not_wide=not_wide)


def _by_one_table(tyre_width: Num, inner_width: Num, slack: Decimal, standard: RowTable) -> Outcome:
    """Return what the ETRTO table of 2006 says by itself."""
    band = _standard_band(inner_width, standard)
    if band is None:
        return not_known("no-table")
    if tyre_width.within(*band):
        return fits("by-etrto-2006-alone")
    near = tyre_width.within(band[0] - slack, band[1] + slack)
    return not_known("inches-are-a-name") if near else no_fit("outside-named-table")


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
    slack: Decimal,
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
    asked_from, asked_to = _length(row["ask_from_mm"]), _length(row["ask_to_mm"])
    if not not_narrow and tyre_width < asked_from:
        return no_fit("too-narrow") if tyre_width + slack < asked_from else not_known("inches-are-a-name")
    if not not_wide and tyre_width > asked_to:
        return no_fit("too-wide") if tyre_width - slack > asked_to else not_known("inches-are-a-name")
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

    What to do: take a tube whose box names the tyre's bead seat and holds its width; a little outside gets you home.

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
    tolerance=trade_figure("tyres.tube-seat"),
)
def tube_diameter(tube_seat: Num, tyre_seat: Num, tolerance: Band) -> Outcome:
    """The tyre's bead seat is one that the tube's box names, or near it; a tube stretches as from 26 inch to 27.5."""
    if tube_seat.near(tyre_seat, tolerance["either_way_mm"]):
        return fits()
    next_down = tube_seat < tyre_seat and tyre_seat - tube_seat <= tolerance["stretched_mm"]
    return fits("tube-of-the-next-size-down") if next_down else no_fit("other-diameter")


@TUBE_IN_TYRE.test(
    "width",
    reasons={
        "tube-too-small": Verdict.NO_FIT,
        "tube-too-big": Verdict.NO_FIT,
        "inches-are-a-name": Verdict.NOT_KNOWN,
    },
    tube_range=deciding("tube.body.tyre_width_mm"),
    range_in=confirming("tube.body.tyre_width_in"),
    tyre_width=deciding("tyre.bead.width_mm"),
    named_in=confirming("tyre.bead.width_in"),
    inches=trade_figure("tyres.inch-names"),
)
def tube_width(
    tube_range: SpanFigure, range_in: SpanFigure | None, tyre_width: Num, named_in: Num | None, inches: Band
) -> Outcome:
    """The tyre's width lies in the range on the tube's box; inches and millimetres beside each other only nearly."""
    slack = inches["either_way_mm"] if (named_in is None) is not (range_in is None) else Zero
    if tyre_width > tube_range.high:
        return no_fit("tube-too-small") if tyre_width - slack > tube_range.high else not_known("inches-are-a-name")
    if tyre_width >= tube_range.low:
        return fits()
    return no_fit("tube-too-big") if tyre_width + slack < tube_range.low else not_known("inches-are-a-name")


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
