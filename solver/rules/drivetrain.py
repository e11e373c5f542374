"""Joints of the drivetrain: cassette on freehub body."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
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
)
from solver.rules.work import Torque, notes

CASSETTE_ON_FREEHUB = joint(
    "drivetrain.cassette-on-freehub",
    "cassette on freehub body",
    """
    What meets: the inside of a cassette and the body on the rear hub that carries it, with the rings behind it.

    Why it matters: the splines must be of one shape, and the body as long as the cassette is made for. On a longer body
    the cassette rattles; on a shorter one the lockring does not clamp it.

    What to do: the body decides, not the number of speeds. A longer body is filled up with rings behind the cassette;
    the bodies of many hubs can be changed.

    Measure: count the splines and look whether one is narrower; with a caliper along a spline, from the shoulder to the
    outer end. On the cassette count the cogs and the teeth of the smallest and the largest.

    Caution: a cassette that is not clamped damages the body and may throw the chain. Tighten the lockring to the figure
    printed on it.
    """,
    place(adapter="cassette_spacer", cassette="cassette", hub="rear_hub", spacer="cassette_spacer"),
)

#: What a cassette may run into once its body is known, with the verdict of each.
_SEATED: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "spline-differs": Verdict.NO_FIT,
    "body-too-short": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
    "body-too-long": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
    "spacer-too-thick": Verdict.NO_FIT,
    "cog-left-out": Verdict.NEEDS_WORK,
    "splines-to-file": Verdict.NEEDS_WORK,
}

#: The shape of a body on which the smallest sprocket is screwed.
SCREWED_ON: Final = "spline.uniglide"

Row = dict[str, Decimal | str | None]


class _Rings:
    """What may lie between cassette and body: rings behind it, odd rings, and the ring that lengthens the body."""

    def __init__(self, rings: tuple[AdapterPairs, ...], other: AdapterPairs, longer: AdapterPairs, play: Band) -> None:
        self.rings, self.other, self.longer, self.play = rings, other, longer, play

    def behind(self, spline: str, gap: Num) -> str:
        """Return the kind of ring that fills a gap behind a cassette, or nothing."""
        for kind in self.rings:
            for height in _heights(kind, spline):
                if (gap - height).within(-self.play["shorter_mm"], self.play["longer_mm"]):
                    return kind.row
        odd = any(pair.get("spline") == spline for pair in self.other.pairs)
        return self.other.row if odd and gap <= self.play["rings_mm"] else ""

    def in_front(self, spline: str, gap: Num) -> str:
        """Return the kind of ring that makes a body longer by a gap, or nothing."""
        near = any(gap.near(height, self.play["shorter_mm"]) for height in _heights(self.longer, spline))
        return self.longer.row if near else ""


def _heights(kind: AdapterPairs, spline: str) -> list[Decimal]:
    found = [pair.get("gap_mm") for pair in kind.pairs if pair.get("spline") == spline]
    return [height for height in found if isinstance(height, Decimal)]


def _seated(row: Row, length: Num, height: Num, extends: Num, rings: _Rings) -> Outcome:
    """Say how a cassette sits on a body of its shape; ``row`` is the pair's row of the seats."""
    spline, made_for, longer, work = str(row["spline"]), row["length_mm"], row["longer_mm"], str(row["work"])
    gap = Num(Decimal(0))
    if isinstance(made_for, Decimal):
        gap = length - made_for
    elif isinstance(longer, Decimal):
        gap = Num(longer)
    if gap < -rings.play["shorter_mm"]:
        kind = rings.in_front(spline, -gap)
        if not kind:
            return no_fit("body-too-short", gap_mm=-gap)
        ringed = (gap + extends).near(0, rings.play["shorter_mm"])
        return fits() if ringed else needs_adapter("body-too-short", kind, gap_mm=-gap)
    if work:
        return needs_work(work)
    if spline == SCREWED_ON:
        return fits()  # how high cogs and rings may be there is a test of its own
    rest = gap - height
    if rest < -rings.play["shorter_mm"]:
        return no_fit("spacer-too-thick", over_mm=-rest)
    if rest <= rings.play["longer_mm"]:
        return fits()
    kind = rings.behind(spline, rest)
    return needs_adapter("body-too-long", kind, gap_mm=rest) if kind else no_fit("body-too-long", gap_mm=rest)


@CASSETTE_ON_FREEHUB.test(
    "seat",
    silent="instead",
    reasons=_SEATED,
    links=(),
    asked_if=("cassette.bore.seat",),
    seat=deciding("cassette.bore.seat"),
    body_spline=deciding("hub.driver.spline"),
    body_length=deciding("hub.driver.length_mm"),
    spacer_height=deciding("spacer.spacer.thickness_mm", optional=True),
    spacer_extends=deciding("spacer.spacer.extends_mm", optional=True),
    seats=table("drivetrain.cassette-seats"),
    play=trade_figure("drivetrain.body-play"),
    ring_1=adapter_kind("spacer.cassette-1.0"),
    ring_185=adapter_kind("spacer.cassette-1.85"),
    rings_285=adapter_kind("spacer.cassette-2.85"),
    ring_45=adapter_kind("spacer.cassette-4.5"),
    rings_635=adapter_kind("spacer.cassette-6.35"),
    rings_other=adapter_kind("spacer.cassette-other"),
    body_ring=adapter_kind("ring.body-4.4"),
)
def cassette_seat(
    seat: WordFigure,
    body_spline: WordFigure,
    body_length: Num,
    spacer_height: Num,
    spacer_extends: Num,
    seats: RowTable,
    play: Band,
    ring_1: AdapterPairs,
    ring_185: AdapterPairs,
    rings_285: AdapterPairs,
    ring_45: AdapterPairs,
    rings_635: AdapterPairs,
    rings_other: AdapterPairs,
    body_ring: AdapterPairs,
) -> Outcome:
    """The body is the one that the cassette is made for, or a longer one of the same splines filled up with rings.

    Asked where it is stated which body the cassette is made for. A body may be 0.7 mm longer without a ring and 0.3 mm
    shorter. A cassette less one cog sits on a body that is too short for the whole one; that is work.
    """
    rings = _Rings((ring_1, ring_185, rings_285, ring_45, rings_635), rings_other, body_ring, play)
    for row in seats.dicts():
        if seat == str(row["seat"]) and body_spline == str(row["body"]):
            return _seated(row, body_length, spacer_height, spacer_extends, rings)
    return no_fit("spline-differs")


@CASSETTE_ON_FREEHUB.test(
    "seat-by-cogs",
    reasons={
        **{r: v for r, v in _SEATED.items() if r != "cog-left-out"},
        "not-in-the-table": Verdict.NOT_KNOWN,
        "two-kinds-sold": Verdict.NOT_KNOWN,
    },
    links=(),
    asked_unless=("cassette.bore.seat",),
    cassette_spline=deciding("cassette.bore.spline"),
    speeds=deciding("cassette.bore.speeds"),
    largest=deciding("cassette.bore.largest_cog_teeth"),
    body_spline=deciding("hub.driver.spline"),
    body_length=deciding("hub.driver.length_mm"),
    spacer_height=deciding("spacer.spacer.thickness_mm", optional=True),
    spacer_extends=deciding("spacer.spacer.extends_mm", optional=True),
    cogs=table("drivetrain.seat-by-cogs"),
    seats=table("drivetrain.cassette-seats"),
    play=trade_figure("drivetrain.body-play"),
    ring_1=adapter_kind("spacer.cassette-1.0"),
    ring_185=adapter_kind("spacer.cassette-1.85"),
    rings_285=adapter_kind("spacer.cassette-2.85"),
    ring_45=adapter_kind("spacer.cassette-4.5"),
    rings_635=adapter_kind("spacer.cassette-6.35"),
    rings_other=adapter_kind("spacer.cassette-other"),
    body_ring=adapter_kind("ring.body-4.4"),
)
def cassette_seat_by_cogs(
    cassette_spline: WordFigure,
    speeds: Num,
    largest: Num,
    body_spline: WordFigure,
    body_length: Num,
    spacer_height: Num,
    spacer_extends: Num,
    cogs: RowTable,
    seats: RowTable,
    play: Band,
    ring_1: AdapterPairs,
    ring_185: AdapterPairs,
    rings_285: AdapterPairs,
    ring_45: AdapterPairs,
    rings_635: AdapterPairs,
    rings_other: AdapterPairs,
    body_ring: AdapterPairs,
) -> Outcome:
    """The same, where nobody states which body the cassette is made for: splines, speeds and largest cog tell.

    Where both kinds of a cassette are sold (a 10-speed with a narrow or a wide base, an 11-36 for either length) it is
    known only if both come out alike.
    """
    rings = _Rings((ring_1, ring_185, rings_285, ring_45, rings_635), rings_other, body_ring, play)
    alike = [r for r in seats.dicts() if cassette_spline == str(r["spline"]) and body_spline == str(r["body"])]
    if not alike:
        return no_fit("spline-differs")
    wanted = [str(c["seat"]) for c in cogs.dicts() if _meant(c, cassette_spline, speeds, largest)]
    if not wanted:
        return not_known("not-in-the-table")
    found = []
    for name in wanted:
        rows = [r for r in alike if r["seat"] == name]
        sits = [_seated(r, body_length, spacer_height, spacer_extends, rings) for r in rows]
        found.extend(sits or [no_fit("spline-differs")])
    if len({outcome.verdict for outcome in found}) > 1:
        return not_known("two-kinds-sold")
    return found[0]


def _meant(row: Row, spline: WordFigure, speeds: Num, largest: Num) -> bool:
    """Return whether a row of the table by cogs is about this cassette; only what the row names is looked at."""
    if spline != str(row["spline"]):
        return False
    if isinstance(row["speeds"], Decimal) and speeds != row["speeds"]:
        return False
    low, high = row["from_teeth"], row["to_teeth"]
    if isinstance(low, Decimal) and not largest >= low:
        return False
    return not isinstance(high, Decimal) or largest <= high


@CASSETTE_ON_FREEHUB.test(
    "smallest-cog",
    reasons={"cog-too-small": Verdict.NO_FIT},
    links=(),
    smallest=confirming("cassette.bore.smallest_cog_teeth"),
    body_least=confirming("hub.driver.smallest_cog_teeth"),
    body_spline=deciding("hub.driver.spline"),
    least_cogs=table("drivetrain.least-cogs"),
)
def smallest_cog(
    smallest: Num | None, body_least: LimitFigure | None, body_spline: WordFigure, least_cogs: RowTable
) -> Outcome:
    """The smallest sprocket is no smaller than the body allows.

    A sprocket smaller than 11 teeth has no room on the common splines; the bodies that are stepped or threaded at their
    outer end take 10 or 9.
    """
    if smallest is None:
        return fits()
    if body_least is not None and not body_least.not_printed and smallest < body_least.number:
        return no_fit("cog-too-small")
    for row in least_cogs.dicts():
        teeth = row["teeth"]
        if isinstance(teeth, Decimal) and smallest < teeth and body_spline == str(row["body"]):
            return no_fit("cog-too-small", least_teeth=Num(teeth))
    return fits()


@CASSETTE_ON_FREEHUB.test(
    "screwed-stack",
    silent="instead",
    reasons={
        "stack-too-tall": Verdict.NO_FIT,
        "stack-a-shade-tall": Verdict.NOT_KNOWN,
        "stack-short-of-the-body": Verdict.NOT_KNOWN,
    },
    links=(),
    asked_if=("cassette.bore.stack_mm",),
    cassette_spline=deciding("cassette.bore.spline"),
    body_spline=deciding("hub.driver.spline"),
    body_length=deciding("hub.driver.length_mm"),
    stack=deciding("cassette.bore.stack_mm"),
    spacer_height=deciding("spacer.spacer.thickness_mm", optional=True),
    bounds=trade_figure("drivetrain.screwed-stack"),
    play=trade_figure("drivetrain.body-play"),
)
def screwed_stack(
    cassette_spline: WordFigure,
    body_spline: WordFigure,
    body_length: Num,
    stack: Num,
    spacer_height: Num,
    bounds: Band,
    play: Band,
) -> Outcome:
    """Where the smallest sprocket is screwed on and holds the others, their stack is as high as the body is long.

    Higher, and the last one finds too little thread; lower, and it comes to its end before it clamps. On bodies with
    a lockring the sprockets may stand over, and the body that the cassette is made for decides. Asked where the height
    is stated.
    """
    if cassette_spline != SCREWED_ON or body_spline != SCREWED_ON:
        return fits()
    return _stacked(stack + spacer_height - body_length, bounds, play)


def _stacked(over: Num, bounds: Band, play: Band) -> Outcome:
    if over >= bounds["slips_mm"]:
        return no_fit("stack-too-tall", over_mm=over)
    if over > bounds["sure_mm"]:
        return not_known("stack-a-shade-tall", over_mm=over)
    if -over > play["longer_mm"]:
        return not_known("stack-short-of-the-body", gap_mm=-over)
    return fits()


@CASSETTE_ON_FREEHUB.test(
    "screwed-stack-by-cogs",
    reasons={
        "stack-too-tall": Verdict.NO_FIT,
        "stack-a-shade-tall": Verdict.NOT_KNOWN,
        "stack-short-of-the-body": Verdict.NOT_KNOWN,
        "stack-not-told": Verdict.NOT_KNOWN,
    },
    links=(),
    asked_unless=("cassette.bore.stack_mm",),
    cassette_spline=deciding("cassette.bore.spline"),
    body_spline=deciding("hub.driver.spline"),
    body_length=deciding("hub.driver.length_mm"),
    speeds=deciding("cassette.bore.speeds"),
    spacer_height=deciding("spacer.spacer.thickness_mm", optional=True),
    stacks=table("drivetrain.screwed-stacks"),
    bounds=trade_figure("drivetrain.screwed-stack"),
    play=trade_figure("drivetrain.body-play"),
)
def screwed_stack_by_cogs(
    cassette_spline: WordFigure,
    body_spline: WordFigure,
    body_length: Num,
    speeds: Num,
    spacer_height: Num,
    stacks: RowTable,
    bounds: Band,
    play: Band,
) -> Outcome:
    """The same, where nobody measured the stack: the number of sprockets tells how high it is."""
    if cassette_spline != SCREWED_ON or body_spline != SCREWED_ON:
        return fits()
    for row in stacks.dicts():
        height = row["stack_mm"]
        if isinstance(height, Decimal) and isinstance(row["speeds"], Decimal) and speeds == row["speeds"]:
            return _stacked(spacer_height + height - body_length, bounds, play)
    return not_known("stack-not-told")


LOCKRING_ON_CASSETTE = joint(
    "drivetrain.lockring-on-cassette",
    "lockring on cassette and freehub body",
    """
    What meets: the ring that clamps a cassette, the thread in the freehub body, and the smallest cog under the ring.

    Why it matters: the thread of another maker does not start, or strips. A ring that is wider than the smallest cog
    lifts the chain off its teeth.

    What to do: take the ring that comes with the cassette; a cassette that is screwed on its driver has none.

    Measure: lay the ring on the smallest cog and look along the bottoms of the teeth; thread with a gauge.

    Caution: a cassette that is not clamped rocks, damages the body and may throw the chain. Tighten to the figure on
    the ring.
    """,
    place(ring="cassette_lockring", cassette="cassette", hub="rear_hub"),
)


@LOCKRING_ON_CASSETTE.test(
    "thread",
    reasons={
        "no-thread-for-a-ring": Verdict.NO_FIT,
        "threads-differ": Verdict.NO_FIT,
        "ring-of-the-maker": Verdict.NOT_KNOWN,
    },
    ring_thread=deciding("ring.ring.thread"),
    body_spline=deciding("hub.driver.spline"),
    threads=table("drivetrain.lockring-threads"),
)
def lockring_thread(ring_thread: WordFigure, body_spline: WordFigure, threads: RowTable) -> Outcome:
    """The ring has the thread of the body. Bodies on which the cassette is screwed have none."""
    if body_spline.within(("spline.xd", "spline.xdr", "spline.one-piece")):
        return no_fit("no-thread-for-a-ring")
    for row in threads.dicts():
        if body_spline == str(row["body"]):
            return fits() if ring_thread == str(row["ring"]) else no_fit("threads-differ")
    return not_known("ring-of-the-maker")


# How wide a ring is stands on few rings; one that says nothing came with its cassette, and is not asked about.
@LOCKRING_ON_CASSETTE.test(
    "width",
    silent="feature",
    asked_if=("ring.ring.cog_teeth",),
    reasons={"ring-under-the-chain": Verdict.NO_FIT},
    ring_cog=deciding("ring.ring.cog_teeth"),
    smallest=deciding("cassette.bore.smallest_cog_teeth"),
)
def lockring_width(ring_cog: Num, smallest: Num) -> Outcome:
    """The ring is no wider than the smallest cog; asked of rings that say for which cog they are made."""
    return fits() if ring_cog <= smallest else no_fit("ring-under-the-chain")


# ------------------------------------------------------------------------------------------------------------ the work

CASSETTE_ON_FREEHUB.step(
    "cassette-on",
    needs=("cassette", "hub"),
    before=("wheel-in",),
    torques=(Torque("torque.cassette-lockring"),),
    tools=("cassette-tool", "chain-whip", "torque-wrench"),
    uses=notes("use.grease-freehub"),
    figures=("drivetrain.cassette-rings",),
)
