"""Joints of the derailleur's cage: the chain it takes up, and the cog it passes under."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.formulas import drivetrain as formulas
from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Outcome,
    RowTable,
    adapter_kind,
    deciding,
    fits,
    joint,
    limit,
    needs_adapter,
    no_fit,
    not_known,
    place,
    table,
)

# ---------------------------------------------------------------------------------------- derailleur, slack and cogs

SLACK = joint(
    "drivetrain.derailleur-slack",
    "rear derailleur and the slack of the chain",
    """
    What meets: the cage of the rear derailleur, and the slack that rings and cogs leave in the chain.

    Why it matters: the cage takes up the difference between the longest and the shortest way of the chain. If it
    cannot, the chain is either too short for the largest ring and cog, or hangs down on the smallest.

    What to do: count the teeth. Largest ring less smallest, plus largest cog less smallest, is the capacity that is
    needed.

    Measure: count teeth, or read them on ring and cog; the capacity stands in the derailleur's leaflet.

    Caution: size the chain on the largest ring and the largest cog, on a sprung frame at its longest travel. A chain
    that is too short tears the derailleur off and can lock the wheel.
    """,
    place(derailleur="rear_derailleur", cassette="cassette", crank="crank"),
    place("freewheel", derailleur="rear_derailleur", cassette="freewheel", crank="crank"),
)

UNDER_COGS = joint(
    "drivetrain.derailleur-under-cogs",
    "rear derailleur under the cogs",
    """
    What meets: the upper pulley of the rear derailleur and the cogs.

    Why it matters: the pulley needs room under the largest cog; far from the smallest one it shifts badly.

    What to do: keep within the cogs that the derailleur's maker prints. A hanger extension lowers the derailleur for
    some larger cogs, and does not change the slack that it takes up.

    Measure: count the teeth of the smallest and the largest cog; the limits stand in the derailleur's leaflet.

    Caution: a pulley that runs into the cog bends the hanger, and a bent hanger puts the derailleur into the spokes.
    """,
    place(adapter="hanger_link", derailleur="rear_derailleur", cassette="cassette", extender="hanger_link"),
    place(
        "freewheel",
        adapter="hanger_link",
        derailleur="rear_derailleur",
        cassette="freewheel",
        extender="hanger_link",
    ),
)

_CAPACITY_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "over-capacity": Verdict.NO_FIT,
    "capacity-by-cage": Verdict.NOT_KNOWN,
}


def _taken_up(needed: Num, capacity: LimitFigure, cage: WordFigure, classes: RowTable) -> Outcome:
    """Say whether a derailleur takes up so many teeth; without a printed capacity the length of the cage tells."""
    if not capacity.not_printed:
        return fits() if needed <= capacity.number else no_fit("over-capacity", needed_teeth=needed)
    for row in classes.dicts():
        least, most = row["least_teeth"], row["most_teeth"]
        if isinstance(least, Decimal) and isinstance(most, Decimal) and cage == str(row["length"]):
            if needed <= least:
                return fits("capacity-by-cage")
            return not_known("capacity-by-cage") if needed <= most else no_fit("over-capacity", needed_teeth=needed)
    return not_known("capacity-by-cage")


@SLACK.test(
    "slack",
    reasons=_CAPACITY_REASONS,
    asked_unless=("crank.rings.single_teeth",),
    capacity=limit("derailleur.cage.capacity_teeth", "function"),
    cage=deciding("derailleur.cage.length"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    smallest_ring=deciding("crank.rings.smallest_teeth"),
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
    classes=table("shifting.cage-classes"),
)
def slack(
    capacity: LimitFigure,
    cage: WordFigure,
    largest_ring: Num,
    smallest_ring: Num,
    largest_cog: Num,
    smallest_cog: Num,
    classes: RowTable,
) -> Outcome:
    """The difference of the rings plus that of the cogs is no more than the derailleur takes up."""
    return _taken_up(
        formulas.capacity_needed(largest_ring, smallest_ring, largest_cog, smallest_cog), capacity, cage, classes
    )


@SLACK.test(
    "slack-one-ring",
    silent="instead",
    reasons=_CAPACITY_REASONS,
    asked_if=("crank.rings.single_teeth",),
    ring=deciding("crank.rings.single_teeth"),
    capacity=limit("derailleur.cage.capacity_teeth", "function"),
    cage=deciding("derailleur.cage.length"),
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
    classes=table("shifting.cage-classes"),
)
def slack_one_ring(
    ring: Num, capacity: LimitFigure, cage: WordFigure, largest_cog: Num, smallest_cog: Num, classes: RowTable
) -> Outcome:
    """With one ring only the cogs differ."""
    return _taken_up(formulas.capacity_needed(ring, ring, largest_cog, smallest_cog), capacity, cage, classes)


@UNDER_COGS.test(
    "largest-cog",
    reasons={"cog-too-large": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER)},
    links=(),
    most=limit("derailleur.cage.largest_cog_teeth", "function"),
    largest_cog=deciding("cassette.bore.largest_cog_teeth"),
    reach=deciding("extender.reach.largest_cog_teeth", optional=True),
    extension=adapter_kind("rd.extender"),
)
def largest_cog(most: LimitFigure, largest_cog: Num, reach: Num, extension: AdapterPairs) -> Outcome:
    """The largest cog is no larger than the derailleur's maker allows, or than the hanger extension on the list."""
    if most.not_printed:
        return fits("largest-cog-not-printed")
    if largest_cog <= most.number:
        return fits()
    if largest_cog <= reach:
        return fits("through-extension")
    if extension.covers(rated_teeth=most.number, cog_teeth=largest_cog):
        return needs_adapter("cog-too-large", extension.row)
    return no_fit("cog-too-large")


@UNDER_COGS.test(
    "smallest-cog",
    silent="finer",
    reasons={"cog-too-small": Verdict.NO_FIT},
    links=(),
    asked_if=("derailleur.cage.smallest_cog_teeth",),
    least=limit("derailleur.cage.smallest_cog_teeth", "function"),
    smallest_cog=deciding("cassette.bore.smallest_cog_teeth"),
)
def smallest_cog_under_cage(least: LimitFigure, smallest_cog: Num) -> Outcome:
    """The smallest cog is no smaller than the derailleur's maker allows; asked where he prints one."""
    if least.not_printed or smallest_cog >= least.number:
        return fits()
    return no_fit("cog-too-small")


@SLACK.test(
    "ring-difference",
    silent="finer",
    reasons={"rings-too-far-apart": Verdict.NO_FIT},
    asked_if=("derailleur.cage.front_difference_teeth",),
    asked_unless=("crank.rings.single_teeth",),
    most=limit("derailleur.cage.front_difference_teeth", "function"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    smallest_ring=deciding("crank.rings.smallest_teeth"),
)
def ring_difference(most: LimitFigure, largest_ring: Num, smallest_ring: Num) -> Outcome:
    """The rings are no further apart than the derailleur's maker allows; asked where he prints a figure."""
    if most.not_printed or largest_ring - smallest_ring <= most.number:
        return fits()
    return no_fit("rings-too-far-apart", apart_teeth=largest_ring - smallest_ring)
