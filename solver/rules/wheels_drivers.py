"""Joints of what a rear hub drives by: screwed-on freewheels, single sprockets, the lockring of a fixed sprocket."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from solver.report import Verdict
from solver.rules.figures import WordFigure
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
from solver.rules.work import notes

FREEWHEEL_THREAD: Final = "spline.freewheel-thread"
TRACK_THREAD: Final = "spline.track-thread"

FREEWHEEL_ON_HUB = joint(
    "wheels.freewheel-on-hub",
    "freewheel on hub",
    """
    What meets: the thread inside a freewheel, and the thread on the right side of the hub.

    Why it matters: every stroke of the pedals screws the freewheel tighter. On a thread of another nation it binds
    after a turn or two, or slides over the tips; then it strips the hub and lets go.

    What to do: a freewheel goes only on a hub with a thread, a cassette only on a freehub body. Match the nation of the
    thread; hubs and freewheels since about 1980 are nearly all ISO.

    Measure: a thread gauge tells 24 to the inch from 1 mm; the caliper over the tips tells 30 mm from 35.

    Caution: a freewheel that strips its thread lets the rider fall on the pedals. Never force one that turns stiffly.
    On a tandem, or under a strong rider, do not mix threads at all. If in doubt, ask a qualified mechanic.
    """,
    place(freewheel="freewheel", hub="rear_hub"),
    safety=True,
)

COG_ON_HUB = joint(
    "wheels.cog-on-hub",
    "sprocket on hub",
    """
    What meets: a single sprocket, and the thread, lobes or splines of the hub that carry it.

    Why it matters: a fixed sprocket is the rider's brake. Slowing down with the legs unscrews it, unless a left-hand
    lockring on a smaller step of the hub holds against it.

    What to do: a fixed sprocket goes on a track hub with its lockring; sprockets with three lobes go on most hub gears
    and coaster brakes and are held by a spring ring; others go on the body that they were cut for.

    Measure: look for two steps of thread on the hub, the outer one smaller; count lobes or splines; a thread gauge for
    the nation.

    Caution: a fixed sprocket on a freewheel thread comes off when it is needed most: never build it, with no glue and
    no other ring. Follow the makers and the local rules; if in doubt, ask a qualified mechanic.
    """,
    place(cog="cog", hub="rear_hub"),
    safety=True,
)

LOCKRING_ON_HUB = joint(
    "wheels.lockring-on-hub",
    "lockring of a fixed sprocket",
    """
    What meets: the lockring, and the left-hand step of thread outside the sprocket.

    Why it matters: it keeps the sprocket from unscrewing. Two sizes look alike: one does not go on, and the other way
    round the ring holds by the tips of its thread.

    What to do: take the ring that the maker of the hub names.

    Measure: over the tips of the step with a caliper: 32.8 or 33.5 mm.

    Caution: a fixed sprocket without its lockring unscrews, and the bicycle does not slow down. Tighten the ring with
    its tool, ride, and tighten it again. If in doubt, ask a qualified mechanic.
    """,
    place(lockring="cog_lockring", hub="rear_hub"),
    safety=True,
)


@FREEWHEEL_ON_HUB.test(
    "carrier",
    reasons={"no-thread": Verdict.NO_FIT},
    beside=("freewheel",),
    hub_shape=deciding("hub.driver.spline"),
)
def freewheel_carrier(hub_shape: WordFigure) -> Outcome:
    """The hub has a thread. That of a track hub will do: it is the same, with a step beside it."""
    if hub_shape.within((FREEWHEEL_THREAD, TRACK_THREAD)):
        return fits()
    return no_fit("no-thread")


@COG_ON_HUB.test(
    "seat",
    reasons={"no-lockring-step": Verdict.UNSAFE, "shapes-differ": Verdict.NO_FIT},
    cog_shape=deciding("cog.bore.spline"),
    hub_shape=deciding("hub.driver.spline"),
    practice=trade_figure("wheels.fixed-needs-step"),
)
def cog_seat(cog_shape: WordFigure, hub_shape: WordFigure, practice: Band) -> Outcome:
    """The sprocket sits on the shape that it was cut for; a fixed one never on a thread that has no step for a ring."""
    if cog_shape == hub_shape:
        return fits()
    if hub_shape == FREEWHEEL_THREAD and cog_shape == TRACK_THREAD:
        return unsafe("no-lockring-step")
    return no_fit("shapes-differ")


@COG_ON_HUB.test(
    "step",
    silent="feature",
    reasons={"no-lockring-step": Verdict.UNSAFE},
    asked_if=("hub.driver.lockring_thread",),
    step=deciding("hub.driver.lockring_thread"),
    cog_shape=deciding("cog.bore.spline"),
    practice=trade_figure("wheels.fixed-needs-step"),
)
def cog_step(step: WordFigure, cog_shape: WordFigure, practice: Band) -> Outcome:
    """A hub that is known to have no step for a lockring takes no fixed sprocket."""
    if step != "none":
        return fits()
    return unsafe("no-lockring-step") if cog_shape == TRACK_THREAD else fits()


@COG_ON_HUB.test(
    "thread",
    reasons={
        "threads-of-two-nations": Verdict.UNSAFE,
        "thread-of-another-size": Verdict.NO_FIT,
        "a-shade-apart": Verdict.NOT_KNOWN,
    },
    cog_shape=deciding("cog.bore.spline"),
    part_thread=deciding("cog.bore.thread"),
    hub_thread=deciding("hub.driver.thread"),
    threads=table("wheels.screw-threads"),
    gap=trade_figure("wheels.screw-thread-gap"),
)
def cog_thread(
    cog_shape: WordFigure, part_thread: WordFigure, hub_thread: WordFigure, threads: RowTable, gap: Band
) -> Outcome:
    """A screwed-on sprocket has the thread of the hub, as a freewheel does; others have none."""
    if cog_shape != TRACK_THREAD:
        return fits()
    return _screwed(part_thread, hub_thread, threads, gap)


@FREEWHEEL_ON_HUB.test(
    "thread",
    reasons={
        "threads-of-two-nations": Verdict.UNSAFE,
        "thread-of-another-size": Verdict.NO_FIT,
        "a-shade-apart": Verdict.NOT_KNOWN,
    },
    part_thread=deciding("freewheel.bore.thread"),
    hub_thread=deciding("hub.driver.thread"),
    hub_shape=confirming("hub.driver.spline"),
    threads=table("wheels.screw-threads"),
    gap=trade_figure("wheels.screw-thread-gap"),
)
def freewheel_thread(
    part_thread: WordFigure, hub_thread: WordFigure, hub_shape: WordFigure | None, threads: RowTable, gap: Band
) -> Outcome:
    """Freewheel and hub have one thread, or two that the trade interchanges.

    Threads of one pitch that differ by 0.15 mm go together, though not for tandems and strong riders. Of two pitches
    one binds or strips: unsafe, because it can be forced. A thread of 30 mm and one of 35 do not meet.
    """
    return _screwed(part_thread, hub_thread, threads, gap)


@LOCKRING_ON_HUB.test(
    "thread",
    reasons={
        "no-lockring-step": Verdict.UNSAFE,
        "ring-too-small": Verdict.NO_FIT,
        "holds-by-the-tips": Verdict.UNSAFE,
        "ring-far-too-large": Verdict.NO_FIT,
    },
    ring_thread=deciding("lockring.ring.thread"),
    hub_thread=deciding("hub.driver.lockring_thread"),
    rings=table("wheels.track-lockrings"),
    others=table("wheels.other-lockrings"),
    hold=trade_figure("wheels.lockring-hold"),
)
def lockring_thread(
    ring_thread: WordFigure, hub_thread: WordFigure, rings: RowTable, others: RowTable, hold: Band
) -> Outcome:
    """The ring has the left-hand thread of the step. A smaller ring does not go on, a slightly larger one strips."""
    if hub_thread == "none":
        return unsafe("no-lockring-step")
    if ring_thread == hub_thread:
        return fits()
    for ring in (*rings.dicts(), *others.dicts()):
        for step in rings.dicts():
            if ring_thread == str(ring["thread"]) and hub_thread == str(step["thread"]):
                over = _size(ring["dia_mm"]) - _size(step["dia_mm"])
                if over < 0:
                    return no_fit("ring-too-small")
                return unsafe("holds-by-the-tips") if over < hold["tips_mm"] else no_fit("ring-far-too-large")
    return no_fit("ring-too-small")


def _screwed(part: WordFigure, hub: WordFigure, threads: RowTable, gap: Band) -> Outcome:
    """Return what becomes of a part that is screwed on a hub, by the nations of their threads."""
    if part == hub:
        return fits()
    for inside in threads.dicts():
        for outside in threads.dicts():
            if part == str(inside["thread"]) and hub == str(outside["thread"]):
                apart = abs(_size(inside["dia_mm"]) - _size(outside["dia_mm"]))
                if apart > gap["ask_mm"]:
                    return no_fit("thread-of-another-size")
                if inside["pitch_mm"] != outside["pitch_mm"]:
                    return unsafe("threads-of-two-nations")
                if apart <= gap["interchange_mm"]:
                    return fits("not-for-tandems")
                return not_known("a-shade-apart")
    return no_fit("thread-of-another-size")


def _size(cell: Decimal | str | None) -> Decimal:
    if not isinstance(cell, Decimal):
        raise TypeError(f"the table has no size here: {cell!r}")
    return cell


# ------------------------------------------------------------------------------------------------------------ the work

FREEWHEEL_ON_HUB.step(
    "freewheel-on",
    before=("wheel-in",),
    uses=notes("use.grease-threads"),
    practice=("practice.freewheel-by-hand",),
)
COG_ON_HUB.step("cog-on", before=("cog-lockring", "wheel-in"), uses=notes("use.grease-threads"), tools=("chain-whip",))
LOCKRING_ON_HUB.step(
    "cog-lockring",
    before=("wheel-in",),
    tools=("lockring-hook",),
    practice=("practice.cog-lockring-left",),
)
