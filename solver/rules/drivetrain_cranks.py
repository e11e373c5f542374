"""Joints of the cranks: bottom bracket in its shell, cranks on it and in the shell, pedals."""

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
from solver.rules.work import Note, Torque, notes

Row = Mapping[str, Decimal | str | None]

# -------------------------------------------------------------------------------------------- bottom bracket in shell

BRACKET_IN_SHELL = joint(
    "drivetrain.bottom-bracket-in-shell",
    "bottom bracket in frame",
    """
    What meets: the shell of the frame, and the cups, bearings or cartridge of the bottom bracket.

    When it fits: the thread is the same in diameter, pitch and hand on both sides, or the bore is the same; the width
    is one that the bottom bracket is made for; and a shell that is wider on one side takes bearings made for that.

    Why it matters: several threads differ so little that a cup starts in the wrong one. It cuts across, and the frame
    is spoiled.

    What to do: go by the frame. Screw a cup in by hand first; if it does not turn freely for several turns, it is the
    wrong one. A wide shell without thread takes a threaded insert; a spoiled thread takes a unit that clamps itself.

    Measure: the width with a caliper over the faces; the bore with its inside jaws; the pitch with a thread gauge (24
    or 26 to the inch, 1 mm); the hand by trying a cup on the chain's side.

    Caution: a cup that is forced or that holds by few threads comes loose while riding and can spoil the frame. Press
    cups and bearings in with a press, never with a hammer, and follow the makers of frame and bottom bracket.
    """,
    place(adapter="shell_insert", frame="frame", bracket="bottom_bracket", insert="shell_insert"),
    safety=True,
    between=("frame", "bracket"),
)


def _thickness(thread: WordFigure, sizes: RowTable) -> Decimal | None:
    """Return the outer diameter of a thread, or nothing if the table has none."""
    for row in sizes.dicts():
        dia = row["dia_mm"]
        if isinstance(dia, Decimal) and thread == str(row["thread"]):
            return dia
    return None


def _clamped(
    form: WordFigure, thread: WordFigure, width: Num, made_for: Num, span: Band, shim: AdapterPairs
) -> Outcome:
    """Say whether a unit that clamps itself goes in a shell: it needs a bore of its size, not its thread."""
    narrow = thread.within(("bb-thread.bsa", "bb-thread.35x1", "bb-thread.26-tpi"))
    shimmed = any(thread == str(pair["thread"]) for pair in shim.pairs)
    if form == "bevel":
        if not narrow:
            return not_known("bore-to-ask") if shimmed else no_fit("bore-differs")
        if not width.within(span["from_mm"], span["to_mm"]):
            return no_fit("width-differs")
        return needs_work("shell-to-chamfer")
    if not narrow and not shimmed:
        return no_fit("bore-differs")
    if width > made_for + span["play_mm"] and width <= made_for + span["faced_mm"]:
        return needs_work("shell-to-face")
    if not width.near(made_for, span["play_mm"]):
        return no_fit("width-differs")
    return fits() if narrow else needs_adapter("sleeve-too-thin", shim.row)


@BRACKET_IN_SHELL.test(
    "seat",
    reasons={
        "threads-cross": Verdict.UNSAFE,
        "hand-differs": Verdict.NO_FIT,
        "cups-too-thick": Verdict.NO_FIT,
        "cups-too-thin": Verdict.NO_FIT,
        "thread-differs": Verdict.NO_FIT,
        "shell-without-thread": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "shell-with-thread": Verdict.NO_FIT,
        "bore-differs": Verdict.NO_FIT,
        "width-differs": Verdict.NO_FIT,
        "shell-to-chamfer": Verdict.NEEDS_WORK,
        "shell-to-face": Verdict.NEEDS_WORK,
        "bore-to-ask": Verdict.NOT_KNOWN,
        "sleeve-too-thin": Verdict.NEEDS_ADAPTER,
    },
    form=deciding("bracket.cups.form"),
    shell_thread=deciding("frame.bb_shell.thread"),
    cup_thread=deciding("bracket.cups.thread"),
    shell_hand=deciding("frame.bb_shell.drive_hand"),
    cup_hand=deciding("bracket.cups.drive_hand"),
    shell_bore=deciding("frame.bb_shell.bore_mm"),
    cup_bore=deciding("bracket.cups.bore_mm"),
    shell_width=deciding("frame.bb_shell.width_mm"),
    made_for=deciding("bracket.cups.width_mm"),
    sizes=table("drivetrain.bb-thread-sizes"),
    play=trade_figure("drivetrain.shell-play"),
    clamping=trade_figure("drivetrain.clamping-units"),
    insert_41=adapter_kind("drivetrain.insert-41-bsa"),
    insert_42=adapter_kind("drivetrain.insert-42-bsa"),
    insert_46=adapter_kind("drivetrain.insert-46-bsa"),
    insert_51=adapter_kind("drivetrain.insert-51-bsa"),
    shim=adapter_kind("drivetrain.expander-shim"),
)
def bracket_in_shell(
    form: WordFigure,
    shell_thread: WordFigure,
    cup_thread: WordFigure,
    shell_hand: WordFigure,
    cup_hand: WordFigure,
    shell_bore: Num,
    cup_bore: Num,
    shell_width: Num,
    made_for: Num,
    sizes: RowTable,
    play: Band,
    clamping: Band,
    insert_41: AdapterPairs,
    insert_42: AdapterPairs,
    insert_46: AdapterPairs,
    insert_51: AdapterPairs,
    shim: AdapterPairs,
) -> Outcome:
    """Thread, hand and width are the same; or, in a shell without thread, bore and width.

    Threads whose diameters lie within half a millimetre of each other start in each other and are then forced across:
    unsafe. Units that clamp themselves need only a shell of their bore.
    """
    if form.within(("bevel", "expander")):
        return _clamped(form, shell_thread, shell_width, made_for, clamping, shim)
    if form == "press":
        if shell_thread != "none":
            return no_fit("shell-with-thread")
        if not shell_bore.near(cup_bore, play["bore_mm"]):
            return no_fit("bore-differs")
    elif shell_thread == "none":
        for kind in (insert_41, insert_42, insert_46, insert_51):
            for pair in kind.pairs:
                if cup_thread == str(pair["thread"]) and shell_bore.near(Decimal(pair["bore_mm"]), play["bore_mm"]):
                    return needs_adapter("shell-without-thread", kind.row)
        return no_fit("shell-without-thread")
    elif cup_thread != shell_thread:
        return _other_thread(_thickness(shell_thread, sizes), _thickness(cup_thread, sizes), play)
    elif cup_hand != shell_hand:
        return no_fit("hand-differs")
    if not shell_width.near(made_for, play["width_mm"]):
        return no_fit("width-differs")
    return fits()


def _other_thread(shell: Decimal | None, cup: Decimal | None, play: Band) -> Outcome:
    """Say what happens to a cup in a shell of another thread; without a diameter it is a no in any case."""
    if shell is None or cup is None:
        return no_fit("thread-differs")
    if abs(cup - shell) <= play["crossing_mm"]:
        return unsafe("threads-cross", cup_mm=Num(cup), shell_mm=Num(shell))
    reason = "cups-too-thick" if cup > shell else "cups-too-thin"
    return no_fit(reason, cup_mm=Num(cup), shell_mm=Num(shell))


@BRACKET_IN_SHELL.test(
    "centre",
    silent="feature",
    reasons={"off-centre": Verdict.NO_FIT},
    asked_if=("frame.bb_shell.drive_mm", "bracket.cups.drive_mm"),
    shell_drive=deciding("frame.bb_shell.drive_mm"),
    cup_drive=deciding("bracket.cups.drive_mm"),
    play=trade_figure("drivetrain.shell-play"),
)
def bracket_centre(shell_drive: Num, cup_drive: Num, play: Band) -> Outcome:
    """A shell that is wider on one side takes bearings made for it. Asked where both state the chain's side."""
    return fits() if shell_drive.near(cup_drive, play["width_mm"]) else no_fit("off-centre")


@BRACKET_IN_SHELL.test(
    "loose-spindle",
    silent="feature",
    reasons={"spindle-for-another-shell": Verdict.NEEDS_WORK, "spindle-far-off": Verdict.NO_FIT},
    links=(),
    asked_if=("bracket.seat.for_width_mm",),
    shell_width=deciding("frame.bb_shell.width_mm"),
    for_width=deciding("bracket.seat.for_width_mm"),
    play=trade_figure("drivetrain.loose-spindle"),
)
def loose_spindle(shell_width: Num, for_width: Num, play: Band) -> Outcome:
    """A loose spindle is made for the width of the shell; one for a little more or less runs with cups of another wall.

    Up to 3 mm more or less is a matter of trying. Asked where it is stated which shell a loose spindle is made for.
    """
    if shell_width.near(for_width, play["same_mm"]):
        return fits()
    if shell_width.near(for_width, play["tried_mm"]):
        return needs_work("spindle-for-another-shell")
    return no_fit("spindle-far-off")


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

_PULLED_ON = ("spindle.jis", "spindle.iso")
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
    What meets: the bolts or nuts of the cranks, and the thread at the ends of the spindle.

    Why it matters: only they press the arms home. A bolt of another thread strips before it is tight.

    Measure: a thread gauge and a caliper on the bolt; look whether the spindle ends in a stud (nut) or a hole (bolt).

    Caution: an arm that is not pressed home works loose and can come off. Tighten to the maker's figure.
    """,
    place(bracket="bottom_bracket", bolts="crank_bolts"),
    safety=True,
)


@BOLTS_IN_SPINDLE.test(
    "thread",
    reasons={"thread-differs": Verdict.NO_FIT},
    spindle_thread=deciding("bracket.seat.bolt"),
    bolt_thread=deciding("bolts.bolt.thread"),
)
def bolt_thread(spindle_thread: WordFigure, bolt_thread: WordFigure) -> Outcome:
    """Bolts and spindle have the same thread."""
    return fits() if spindle_thread == bolt_thread else no_fit("thread-differs")


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
    hole, axle = _thickness(eye_thread, sizes), _thickness(axle_thread, sizes)
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
_ONE_BOLT = ("spindle.jis", "spindle.iso", "spindle.octalink-1", "spindle.octalink-2", "spindle.isis")

BRACKET_IN_SHELL.step(
    "bb-in",
    needs=("frame", "bracket"),
    before=("crank-on",),
    torques=(
        Torque(
            "torque.bottom-bracket-cups",
            where={"bracket.cups.form": ("threaded",), "bracket.seat.form": ("through", "bmx")},
        ),
        Torque(
            "torque.bottom-bracket-cartridge",
            where={"bracket.cups.form": ("threaded",), "bracket.seat.form": _ONE_BOLT},
        ),
    ),
    tools=("bb-tool", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=(Note("practice.bb-left-thread", {"frame.bb_shell.drive_hand": ("left",)}),),
)

CRANK_ON_BRACKET.step(
    "crank-on",
    needs=("bracket", "crank"),
    before=("pedals-on",),
    torques=(
        Torque("torque.crank-taper", ("crank.arm.torque_nm",), where={"crank.spindle.form": _ONE_BOLT}),
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
