"""The joint of a chain that was cut already with the largest ring and the largest cog."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.report import Verdict
from solver.rules.figures import Num, SpanFigure, WordFigure
from solver.rules.registry import Band, Outcome, deciding, fits, joint, not_known, place, trade_figure, unsafe

CHAIN_LENGTH = joint(
    "drivetrain.chain-length",
    "length of a chain that was cut already",
    """
    What meets: a chain that was cut for other gears, and the largest ring and cog of these.

    Why it matters: sooner or later somebody shifts to the largest ring and the largest cog. A chain that does not go
    round both jams there.

    What to do: take a new chain with larger cogs, as long as the way round the largest ring and cog and two links more.

    Measure: count the links, every half inch; the stay from the middle of the bracket to the middle of the axle.

    Caution: a chain that is too short tears the derailleur off and can lock the wheel.
    """,
    place(chain="chain", crank="crank", frame="frame", cassette="cassette"),
    place("freewheel", chain="chain", crank="crank", frame="frame", cassette="freewheel"),
    safety=True,
)

#: The remark that the length was reckoned for a rear end that does not move.
_FIRM: Final = "rear-end-not-sprung"
_REASONS: Final[Mapping[str, Verdict]] = {
    "chain-too-short": Verdict.UNSAFE,
    "chain-hardly-reaches": Verdict.NOT_KNOWN,
}


def _round_both(links: Num, stay: Num, ring: Num, cog: Num, spare: Band) -> Outcome:
    """Compare a chain with twice the stay and half of all teeth, which is never more than its way; lengths in mm.

    The slant of the two runs adds less than a link, so what is shorter than this does not reach in any case. Nothing
    here knows how much farther a sprung rear end draws the chain, so a yes says that.
    """
    link = spare["link_mm"]
    over = links * link - stay * Decimal(2) - (ring + cog) * (link / 2)
    if over < 0:
        return unsafe("chain-too-short")
    return fits(_FIRM) if over >= spare["least_links"] * link else not_known("chain-hardly-reaches")


# Before it is cut there is nothing to judge; the bench sheet then says how long it has to be.
@CHAIN_LENGTH.test(
    "links",
    silent="choice",
    asked_if=("chain.span.links",),
    asked_unless=("crank.rings.single_teeth",),
    reasons=_REASONS,
    cut_to=deciding("chain.span.links"),
    stay=deciding("frame.chain_stay.length_mm"),
    ring=deciding("crank.rings.largest_teeth"),
    cog=deciding("cassette.bore.largest_cog_teeth"),
    spare=trade_figure("shifting.chain-spare"),
)
def chain_links(cut_to: Num, stay: Num, ring: Num, cog: Num, spare: Band) -> Outcome:
    """The chain goes round the largest ring and the largest cog, with two links to spare; asked of a cut chain."""
    return _round_both(cut_to, stay, ring, cog, spare)


@CHAIN_LENGTH.test(
    "links-one-ring",
    silent="choice",
    asked_if=("chain.span.links", "crank.rings.single_teeth"),
    reasons=_REASONS,
    cut_to=deciding("chain.span.links"),
    stay=deciding("frame.chain_stay.length_mm"),
    ring=deciding("crank.rings.single_teeth"),
    cog=deciding("cassette.bore.largest_cog_teeth"),
    spare=trade_figure("shifting.chain-spare"),
)
def chain_links_one_ring(cut_to: Num, stay: Num, ring: Num, cog: Num, spare: Band) -> Outcome:
    """The same with one ring."""
    return _round_both(cut_to, stay, ring, cog, spare)


@CHAIN_LENGTH.test(
    "cut-for",
    silent="choice",
    asked_if=("chain.span.cut_for_teeth",),
    asked_unless=("chain.span.reach",),
    reasons=_REASONS,
    cut_for=deciding("chain.span.cut_for_teeth"),
    cog=deciding("cassette.bore.largest_cog_teeth"),
    spare=trade_figure("shifting.chain-spare"),
)
def chain_cut_for(cut_for: SpanFigure, cog: Num, spare: Band) -> Outcome:
    """A chain that was cut for smaller cogs has as much to spare as is usual, and each tooth more takes half a link.

    The rings and the frame are taken to be the same. Asked of a chain of which only that is told.
    """
    more = cog - cut_for.high
    if more <= 0:
        return fits(_FIRM, "same-rings-and-frame")
    return unsafe("chain-too-short") if more >= spare["most_links"] * 2 else not_known("chain-hardly-reaches")


@CHAIN_LENGTH.test(
    "seen",
    silent="choice",
    asked_if=("chain.span.reach",),
    beside=("cassette",),
    reasons={"chain-too-short": Verdict.UNSAFE},
    reach=deciding("chain.span.reach"),
)
def chain_seen(reach: WordFigure) -> Outcome:
    """Somebody tried it on the bicycle, by hand and slowly."""
    return unsafe("chain-too-short") if reach == "short" else fits()
