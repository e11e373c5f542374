"""Joints of the cranks: on the bottom bracket, in the shell, their bolts, pedals in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    RowTable,
    adapter_kind,
    confirming,
    deciding,
    fits,
    joint,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
    unsafe,
)
from solver.rules.work import Torque, notes

Row = Mapping[str, Decimal | str | None]


def thickness(thread: WordFigure, sizes: RowTable) -> Decimal | None:
    """Return the outer diameter of a thread, or nothing if the table has none."""
    for row in sizes.dicts():
        dia = row["dia_mm"]
        if isinstance(dia, Decimal) and thread == str(row["thread"]):
            return dia
    return None


# ------------------------------------------------------------------------------------------- cranks on bottom bracket

CRANK_ON_BRACKET = joint(
    "drivetrain.crank-on-bottom-bracket",
    "cranks on bottom bracket",
    """
    What meets: the cranks, and either the bearings that their spindle runs in or the end of a spindle that they sit on.

    When it fits: the spindle is as thick as the bearings, on both sides; or hole and spindle end have the same shape.

    Why it matters: a spindle that is too thick does not go in; one that is too thin knocks itself loose. An arm that
    sits on a spline of another kind, or too far out, spoils itself and can come off.

    What to do: take the bottom bracket that is made for the spindle of the cranks. A thin spindle is sleeved in wider
    bearings; a thick one in narrow bearings never goes. On square ends go by the length that the cranks ask for.

    Measure: the spindle with a caliper on both sides; the bores likewise; splines by count and length; a square end
    across its flats at the tip (12.7 mm: JIS; less: ISO).

    Caution: an arm that works loose can come off under load. Tighten to the makers' figure, tighten again after the
    first ride, and never ride on with a loose arm.
    """,
    place(
        adapter="spindle_sleeve",
        frame="frame",
        bracket="bottom_bracket",
        crank="crank",
        sleeve="spindle_sleeve",
    ),
    safety=True,
    between=("bracket", "crank"),
)

_TURNING = ("through", "bmx")


@CRANK_ON_BRACKET.test(
    "spindle",
    reasons={
        "another-kind": Verdict.NO_FIT,
        "hole-too-narrow": Verdict.NEEDS_WORK,
        "hole-too-wide": Verdict.NEEDS_WORK,
        "spindle-too-thick": Verdict.NO_FIT,
        "spindle-too-thin": (Verdict.UNSAFE, Verdict.NEEDS_ADAPTER),
    },
    seat_form=deciding("bracket.seat.form"),
    crank_form=deciding("crank.spindle.form"),
    seat_drive=deciding("bracket.seat.drive_mm"),
    spindle_drive=deciding("crank.spindle.drive_mm"),
    seat_other=deciding("bracket.seat.non_drive_mm"),
    spindle_other=deciding("crank.spindle.non_drive_mm"),
    seat_length=confirming("bracket.seat.length_mm"),
    wanted_length=confirming("crank.spindle.length_mm"),
    play=trade_figure("drivetrain.spindle-play"),
    sleeve_30=adapter_kind("drivetrain.sleeve-30-24"),
    sleeve_2422=adapter_kind("drivetrain.sleeve-24-22"),
    sleeve_3029=adapter_kind("drivetrain.sleeve-30-29"),
)
def crank_spindle(
    seat_form: WordFigure,
    crank_form: WordFigure,
    seat_drive: Num,
    spindle_drive: Num,
    seat_other: Num,
    spindle_other: Num,
    seat_length: Num | None,
    wanted_length: Num | None,
    play: Band,
    sleeve_30: AdapterPairs,
    sleeve_2422: AdapterPairs,
    sleeve_3029: AdapterPairs,
) -> Outcome:
    """Spindle and bearings are of one kind and equally thick on both sides; ends with a shape have the same shape.

    The two square tapers are nearly alike: a pair of both is tried with a spindle of another length, and refused where
    the arm comes to a stop before it is tight. A spindle may be thinner than its bearings only with a sleeve.
    """
    if seat_form != crank_form:
        if seat_form == "spindle.jis" and crank_form == "spindle.iso":
            return needs_work("hole-too-narrow")
        if seat_form == "spindle.iso" and crank_form == "spindle.jis":
            return needs_work("hole-too-wide")
        return no_fit("another-kind")
    if not seat_form.within(_TURNING):
        other = seat_length is not None and wanted_length is not None and seat_length != wanted_length
        return fits("chainline-shifts") if other else fits()
    sides = ((seat_drive, spindle_drive), (seat_other, spindle_other))
    if any(spindle > seat + play["thicker_mm"] for seat, spindle in sides):
        return no_fit("spindle-too-thick")
    kinds: list[str] = []
    for seat, spindle in sides:
        if seat - spindle <= play["thinner_mm"]:
            continue
        kind = _sleeve(seat, spindle, (sleeve_30, sleeve_2422, sleeve_3029), play["thicker_mm"])
        if not kind:
            return unsafe("spindle-too-thin", gap_mm=seat - spindle)
        kinds.append(kind)
    return needs_adapter("spindle-too-thin", *dict.fromkeys(kinds)) if kinds else fits()


def _sleeve(seat: Num, spindle: Num, kinds: Iterable[AdapterPairs], slack: Decimal) -> str:
    """Return the kind of sleeve that fills a bearing up to a spindle, or nothing."""
    for kind in kinds:
        for pair in kind.pairs:
            if seat.near(Decimal(pair["bearing_mm"]), slack) and spindle.near(Decimal(pair["spindle_mm"]), slack):
                return kind.row
    return ""


@CRANK_ON_BRACKET.test(
    "reach",
    silent="instead",
    reasons={
        "spindle-too-short": Verdict.NO_FIT,
        "cups-packed-too-far": Verdict.UNSAFE,
        "spindle-too-long": Verdict.NEEDS_ADAPTER,
    },
    links=(),
    asked_if=("bracket.cups.out_mm", "crank.spindle.over_mm", "frame.bb_shell.width_mm"),
    over=deciding("crank.spindle.over_mm"),
    shell_width=deciding("frame.bb_shell.width_mm"),
    cups_out=deciding("bracket.cups.out_mm"),
    packing=deciding("bracket.cups.packing_mm"),
    form=deciding("bracket.cups.form"),
    slack=trade_figure("drivetrain.reach-slack"),
    spacers=adapter_kind("drivetrain.spindle-spacers"),
)
def crank_reach(
    over: Num,
    shell_width: Num,
    cups_out: Num,
    packing: Num,
    form: WordFigure,
    slack: Band,
    spacers: AdapterPairs,
) -> Outcome:
    """Between the arms there is room for shell and covers; what is left over is packed as the cups are made for.

    Up to 1 mm more than that is within what a preload ring takes up; for up to 2 mm a thin spacer goes on each side.
    More packing leaves screwed cups too few threads; beside pressed cups it is put on the spindle. Asked where the
    makers state the widths.
    """
    gap = over - shell_width - cups_out * 2
    if gap < -slack["shorter_mm"]:
        return no_fit("spindle-too-short", gap_mm=-gap)
    if gap <= slack["longer_mm"]:
        return fits()
    if gap <= packing + slack["thin_mm"]:
        return fits("spacers-behind-cups" if packing > 0 else "thin-spacers")
    if form == "threaded":
        return unsafe("cups-packed-too-far", gap_mm=gap)
    return needs_adapter("spindle-too-long", spacers.row, gap_mm=gap)


# ------------------------------------------------------------------------------------------------- cranks in the shell

CRANK_IN_SHELL = joint(
    "drivetrain.crank-in-shell",
    "cranks in frame",
    """
    What meets: the cranks with their spindle, and the shell of the frame that they have to pass.

    When it fits: for this shell there is a bottom bracket that carries this spindle, and the spindle reaches through
    shell and bearings.

    Why it matters: a thick spindle leaves no room for bearings in a narrow shell, and a short one ends in a wide one.

    What to do: where the spindle is not the one that the shell was made for, there is often a bottom bracket that steps
    the shell down; bearings between a thick spindle and a narrow shell have small balls and wear soon.

    Measure: the bore or the thread of the shell and its width; the thickness of the spindle on both sides and the room
    between the arms.
    """,
    place(frame="frame", crank="crank", bracket="bottom_bracket"),
)


def _spindle_class(form: WordFigure, drive: Num, other: Num, classes: RowTable, slack: Decimal) -> str:
    """Return the column of the table of bottom brackets that a spindle belongs to, or nothing."""
    for row in classes.dicts():
        drive_mm, other_mm = row["drive_mm"], row["non_drive_mm"]
        if form != str(row["form"]):
            continue
        if not isinstance(drive_mm, Decimal) or not isinstance(other_mm, Decimal):
            return str(row["class"])
        if drive.near(drive_mm, slack) and other.near(other_mm, slack):
            return str(row["class"])
    return ""


def _shell_row(thread: WordFigure, bore: Num, width: Num, shells: RowTable, slack: Decimal) -> Row | None:
    """Return the row of a table of shells that a shell belongs to; what the row leaves open is not looked at."""
    for row in shells.dicts():
        bore_mm, low, high = row["bore_mm"], row["from_mm"], row["to_mm"]
        if thread != str(row["thread"]):
            continue
        if isinstance(bore_mm, Decimal) and not bore.near(bore_mm, slack):
            continue
        if isinstance(low, Decimal) and isinstance(high, Decimal) and not width.within(low, high):
            continue
        return row
    return None


@CRANK_IN_SHELL.test(
    "bearings",
    reasons={
        "no-bottom-bracket-made": Verdict.NO_FIT,
        "steps-the-shell-down": Verdict.NEEDS_ADAPTER,
        "not-in-the-table": Verdict.NOT_KNOWN,
    },
    shell_thread=deciding("frame.bb_shell.thread"),
    shell_bore=deciding("frame.bb_shell.bore_mm"),
    shell_width=deciding("frame.bb_shell.width_mm"),
    crank_form=deciding("crank.spindle.form"),
    spindle_drive=deciding("crank.spindle.drive_mm"),
    spindle_other=deciding("crank.spindle.non_drive_mm"),
    listed_form=deciding("bracket.cups.form", optional=True),
    over=confirming("crank.spindle.over_mm"),
    classes=table("drivetrain.spindle-classes"),
    made=table("drivetrain.bottom-brackets-made"),
    play=trade_figure("drivetrain.shell-play"),
    spindle_play=trade_figure("drivetrain.spindle-play"),
    stepped=adapter_kind("drivetrain.stepping-bottom-bracket"),
)
def crank_bearings(
    shell_thread: WordFigure,
    shell_bore: Num,
    shell_width: Num,
    crank_form: WordFigure,
    spindle_drive: Num,
    spindle_other: Num,
    listed_form: WordFigure,
    over: Num | None,
    classes: RowTable,
    made: RowTable,
    play: Band,
    spindle_play: Band,
    stepped: AdapterPairs,
) -> Outcome:
    """A bottom bracket is made for this shell and this spindle; where only one that steps the shell down, that is said.

    A bottom bracket on the list is judged by itself, in the shell and under the cranks.
    """
    name = _spindle_class(crank_form, spindle_drive, spindle_other, classes, spindle_play["thicker_mm"])
    row = _shell_row(shell_thread, shell_bore, shell_width, made, play["bore_mm"]) if name else None
    cell = row[name] if row is not None else None
    if cell == "no":
        return no_fit("no-bottom-bracket-made")
    if cell not in ("own", "stepped"):
        return not_known("not-in-the-table")
    remarks = ("room-between-arms-not-stated",) if over is None and crank_form == "through" else ()
    if cell == "own" or listed_form != "none":
        return fits(*remarks)
    return needs_adapter("steps-the-shell-down", stepped.row, remarks=remarks)


@CRANK_IN_SHELL.test(
    "length",
    silent="instead",
    reasons={"spindle-too-short": Verdict.NO_FIT, "spindle-too-long": Verdict.NEEDS_ADAPTER},
    asked_if=("crank.spindle.over_mm", "frame.bb_shell.width_mm"),
    asked_unless=("bracket.cups.out_mm",),
    over=deciding("crank.spindle.over_mm"),
    shell_thread=deciding("frame.bb_shell.thread"),
    shell_bore=deciding("frame.bb_shell.bore_mm"),
    shell_width=deciding("frame.bb_shell.width_mm"),
    lengths=table("drivetrain.room-between-arms"),
    play=trade_figure("drivetrain.shell-play"),
    slack=trade_figure("drivetrain.reach-slack"),
    spacers=adapter_kind("drivetrain.spindle-spacers"),
)
def crank_length(
    over: Num,
    shell_thread: WordFigure,
    shell_bore: Num,
    shell_width: Num,
    lengths: RowTable,
    play: Band,
    slack: Band,
    spacers: AdapterPairs,
) -> Outcome:
    """Between the arms there is room for the shell and the least that bearings stand out of it.

    Asked where the room between the arms is stated and the bottom bracket does not say how far it stands out.
    """
    row = _shell_row(shell_thread, shell_bore, shell_width, lengths, play["bore_mm"])
    if row is None:
        return fits()
    least, most = row["least_mm"], row["most_mm"]
    room = over - shell_width
    if isinstance(least, Decimal) and room < least - slack["shorter_mm"]:
        return no_fit("spindle-too-short", gap_mm=least - room)
    if isinstance(most, Decimal) and room > most:
        return needs_adapter("spindle-too-long", spacers.row, gap_mm=room - most)
    return fits()


# ------------------------------------------------------------------------------------------------- bolts on the spindle

BOLTS_IN_SPINDLE = joint(
    "drivetrain.crank-bolts-in-spindle",
    "crank bolts in spindle",
    """
    What meets: the bolts or nuts of the cranks, and the thread at the ends of the spindle; or cotters, and the holes
    for them in the arms.

    Why it matters: only they press the arms home. A bolt of another thread strips before it is tight. A cotter that is
    too thick does not go in, a thin one works loose.

    Measure: a thread gauge and a caliper on the bolt; look whether the spindle ends in a stud (nut) or a hole (bolt).
    Of a cotter the round part, and the hole in the arm with the inside jaws.

    Caution: an arm that is not pressed home works loose and can come off. Tighten to the maker's figure.
    """,
    place(bracket="bottom_bracket", bolts="crank_bolts", crank="crank"),
    safety=True,
)


@BOLTS_IN_SPINDLE.test(
    "thread",
    asked_unless=("bolts.bolt.cotter_mm",),
    reasons={"thread-differs": Verdict.NO_FIT},
    spindle_thread=deciding("bracket.seat.bolt"),
    bolt_thread=deciding("bolts.bolt.thread"),
)
def bolt_thread(spindle_thread: WordFigure, bolt_thread: WordFigure) -> Outcome:
    """Bolts and spindle have the same thread."""
    return fits() if spindle_thread == bolt_thread else no_fit("thread-differs")


# Only a cotter has a thickness; of a bolt there is nothing to ask.
@BOLTS_IN_SPINDLE.test(
    "cotter",
    silent="feature",
    asked_if=("bolts.bolt.cotter_mm",),
    reasons={
        "no-hole-for-it": Verdict.NO_FIT,
        "cotter-too-thick": Verdict.NO_FIT,
        "cotter-too-thin": Verdict.NO_FIT,
    },
    crank_form=deciding("crank.spindle.form"),
    hole=deciding("crank.spindle.cotter_mm"),
    cotter=deciding("bolts.bolt.cotter_mm"),
    play=trade_figure("drivetrain.cotter-play"),
)
def cotter_in_crank(crank_form: WordFigure, hole: Num, cotter: Num, play: Band) -> Outcome:
    """A cotter goes into its hole by hand, without shake, before it is driven home."""
    if crank_form != "spindle.cottered":
        return no_fit("no-hole-for-it")
    if cotter - hole > play["thicker_mm"]:
        return no_fit("cotter-too-thick", gap_mm=cotter - hole)
    return no_fit("cotter-too-thin", gap_mm=hole - cotter) if hole - cotter > play["thinner_mm"] else fits()


# ------------------------------------------------------------------------------------------------- pedal in crank

PEDAL_IN_CRANK = joint(
    "drivetrain.pedal-in-crank",
    "pedals in cranks",
    """
    What meets: the axle end of a pedal, and the hole in the crank arm.

    When it fits: the same thread, and on each side the pedal of that side; the left one turns the other way.

    Why it matters: the rider's whole weight hangs on this thread, and two of the three sizes nearly go into each other.

    What to do: screw it in by hand for several turns. An old French arm of aluminium can be tapped out to 9/16 inch; a
    one-piece crank takes 1/2 inch pedals.

    Measure: a caliper over the thread of the pedal (14.3, 14.0 or 12.7 mm); the marks L and R, on old parts also G and
    D, or S and D.

    Caution: a pedal on a wrong or half-cut thread tears out under load. If it does not turn in freely by hand, stop.
    """,
    place(crank="crank", pedal="pedals"),
    safety=True,
)


@PEDAL_IN_CRANK.test(
    "thread",
    reasons={
        "pedal-too-thick": Verdict.NO_FIT,
        "pedal-too-thin": Verdict.NO_FIT,
        "hole-to-tap": Verdict.NEEDS_WORK,
        "thread-hardly-holds": Verdict.UNSAFE,
        "thread-differs": Verdict.NO_FIT,
    },
    eye_thread=deciding("crank.eye.thread"),
    axle_thread=deciding("pedal.axle.thread"),
    sizes=table("drivetrain.pedal-thread-sizes"),
    near=trade_figure("drivetrain.pedal-threads-near"),
)
def pedal_thread(eye_thread: WordFigure, axle_thread: WordFigure, sizes: RowTable, near: Band) -> Outcome:
    """Pedal and arm have the same thread.

    A pedal that is a little thicker than the hole needs the hole tapped out; one that is a little thinner screws in and
    holds by the tips of the thread.
    """
    if eye_thread == axle_thread:
        return fits()
    hole, axle = thickness(eye_thread, sizes), thickness(axle_thread, sizes)
    if hole is None or axle is None:
        return no_fit("thread-differs")
    if axle > hole:
        return needs_work("hole-to-tap") if axle - hole <= near["mm"] else no_fit("pedal-too-thick")
    return unsafe("thread-hardly-holds") if hole - axle <= near["mm"] else no_fit("pedal-too-thin")


@PEDAL_IN_CRANK.test(
    "side",
    silent="feature",
    reasons={"wrong-side": Verdict.UNSAFE},
    asked_if=("crank.eye.side", "pedal.axle.side"),
    arm_side=deciding("crank.eye.side"),
    pedal_side=deciding("pedal.axle.side"),
)
def pedal_side(arm_side: WordFigure, pedal_side: WordFigure) -> Outcome:
    """A single pedal is that of the side of the arm. Asked where one arm and one pedal are stated."""
    return fits() if arm_side == pedal_side else unsafe("wrong-side")


# ------------------------------------------------------------------------------------------------------------ the work

#: Spindles that an arm is pulled on by one bolt at its end.
ONE_BOLT = ("spindle.jis", "spindle.iso", "spindle.octalink-1", "spindle.octalink-2", "spindle.isis")

CRANK_ON_BRACKET.step(
    "crank-on",
    needs=("bracket", "crank"),
    before=("pedals-on",),
    torques=(
        Torque("torque.crank-taper", ("crank.arm.torque_nm",), where={"crank.spindle.form": ONE_BOLT}),
        Torque(
            "torque.crank-pinch", ("crank.arm.torque_nm",), "pinch_bolts", where={"crank.spindle.form": ("through",)}
        ),
    ),
    tools=("crank-key", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=("practice.crank-print", "practice.crank-no-play"),
)

PEDAL_IN_CRANK.step(
    "pedals-on",
    torques=(Torque("torque.pedals"),),
    tools=("pedal-wrench",),
    uses=notes("use.grease-threads"),
    practice=("practice.pedal-left",),
)
