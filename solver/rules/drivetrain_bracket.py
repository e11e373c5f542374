"""The joint of the bottom bracket in its shell."""

from __future__ import annotations

from decimal import Decimal

from solver.report import Verdict
from solver.rules.drivetrain_cranks import ONE_BOLT, thickness
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
    RowTable,
    adapter_kind,
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
        return _other_thread(thickness(shell_thread, sizes), thickness(cup_thread, sizes), play)
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
            where={"bracket.cups.form": ("threaded",), "bracket.seat.form": ONE_BOLT},
        ),
    ),
    tools=("bb-tool", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=(Note("practice.bb-left-thread", {"frame.bb_shell.drive_hand": ("left",)}),),
)
