"""Joints of a hub with gears inside: the lever that shifts it, and the piece at the hub that the cable is held in."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.report import Verdict
from solver.rules.figures import LimitFigure, Num, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
    confirming,
    deciding,
    fits,
    joint,
    limit,
    no_fit,
    not_known,
    place,
    table,
    total,
    trade_figure,
)

_FRICTION: Final = "shift.friction"

HUB_GEAR_SHIFTER = joint(
    "drivetrain.hub-gear-shifter",
    "rear shifter and hub gear",
    """
    What meets: the clicks of the rear shifter, and the gears inside the hub.

    Why it matters: each click has to turn or push the hub's selector by exactly one gear. A hub gear has no limit
    screws: a click too many pulls against its stop, and a cable that stands between two gears lets the hub slip under
    load and wears it.

    What to do: take the shifter that the maker of the hub sells for this number of gears. Shifters for derailleurs pull
    other lengths of cable, and one maker's hub of eight gears is not another's.

    Measure: read make and number of gears on shifter and hub; count the cables that leave the shifter; look for a
    battery.

    Caution: shift through every gear on the stand and under load; a hub that slips throws the rider on the bar.
    """,
    place(shifter="rear_shifter", hub="rear_hub", cassette="cassette"),
)

# Only a hub with gears inside says how many there are; of a hub for a cassette or one sprocket there is nothing to ask.
_GEARS: Final = ("hub.gear.speeds",)


@HUB_GEAR_SHIFTER.test(
    "gears",
    silent="feature",
    asked_if=_GEARS,
    reasons={"too-few-clicks": Verdict.NO_FIT, "too-many-clicks": Verdict.NO_FIT},
    cogs=total(deciding("cassette.bore.speeds", optional=True)),
    lever=confirming("shifter.lever.family"),
    action=confirming("shifter.lever.action"),
    clicks=deciding("shifter.lever.speeds"),
    hub_gears=deciding("hub.gear.speeds"),
    stop=trade_figure("hub-gear.no-idle-click"),
)
def hub_gears(
    cogs: Num,
    lever: WordFigure | None,
    action: WordFigure | None,
    clicks: Num,
    hub_gears: Num,
    stop: Band,
) -> Outcome:
    """The shifter has as many gears as the hub, not one more or less.

    An electronic one leaves the counting to the hub's motor, and one without clicks counts nothing. Where a cassette
    is listed as well, the rear shifter is its derailleur's, and the hub has another.
    """
    if cogs > 1:
        return fits("shifter-of-the-derailleur")
    if (action is not None and action == "motor") or (lever is not None and lever == _FRICTION):
        return fits()
    if clicks < hub_gears:
        return no_fit("too-few-clicks")
    return fits() if clicks <= hub_gears else no_fit("too-many-clicks")


@HUB_GEAR_SHIFTER.test(
    "system",
    silent="feature",
    asked_if=_GEARS,
    reasons={
        "cable-and-motor": Verdict.NO_FIT,
        "cables-differ": Verdict.NO_FIT,
        "made-for-a-derailleur": Verdict.NO_FIT,
        "shifted-by-the-pedals": Verdict.NO_FIT,
        "without-clicks": Verdict.NOT_KNOWN,
        "pulls-not-told": Verdict.NOT_KNOWN,
    },
    cogs=total(deciding("cassette.bore.speeds", optional=True)),
    lever=deciding("shifter.lever.family"),
    lever_action=confirming("shifter.lever.action"),
    hub_family=deciding("hub.gear.family"),
    hub_action=confirming("hub.gear.action"),
    kinds=table("hub-gear.families"),
)
def hub_gear_system(
    cogs: Num,
    lever: WordFigure,
    lever_action: WordFigure | None,
    hub_family: WordFigure,
    hub_action: WordFigure | None,
    kinds: RowTable,
) -> Outcome:
    """Shifter and hub are of one family: the same pull, the same number of cables, or the same electronics.

    Between two families of one cable each nobody tells the pulls; a shifter for derailleurs does not go at all, and a
    hub that is shifted by pedalling backwards has nothing to pull at.
    """
    if cogs > 1:
        return fits("shifter-of-the-derailleur")
    if hub_action is not None and hub_action == "pedals":
        return no_fit("shifted-by-the-pedals")
    if lever_action is not None and hub_action is not None and lever_action != hub_action:
        return no_fit("cable-and-motor")
    if lever == hub_family:
        return fits()
    if lever == _FRICTION:
        return not_known("without-clicks")
    mine = _cables(lever, kinds)
    if mine is None:
        return no_fit("made-for-a-derailleur")
    other = _cables(hub_family, kinds)
    return not_known("pulls-not-told") if other is None or other == mine else no_fit("cables-differ")


def _cables(family: WordFigure, kinds: RowTable) -> Decimal | None:
    """Return how many cables a family of hub gears is pulled by (0: a motor), None if it is none of them."""
    for row in kinds.dicts():
        cables = row["cables"]
        if isinstance(cables, Decimal) and family == str(row["family"]):
            return cables
    return None


# Only a hub gear says whether its ratio goes in steps.
@HUB_GEAR_SHIFTER.test(
    "stepless",
    silent="feature",
    asked_if=("hub.gear.steps",),
    reasons={"clicks-for-a-stepless-hub": Verdict.NO_FIT},
    steps=deciding("hub.gear.steps"),
    lever=deciding("shifter.lever.family"),
    hub_family=deciding("hub.gear.family"),
)
def hub_gear_stepless(steps: WordFigure, lever: WordFigure, hub_family: WordFigure) -> Outcome:
    """A hub whose ratio glides has a controller of its own; one with steps is asked about in the other tests."""
    if steps != "stepless" or lever == hub_family:
        return fits()
    return no_fit("clicks-for-a-stepless-hub")


LEAST_RATIO = joint(
    "drivetrain.hub-gear-ratio",
    "chainring, sprocket and the least ratio of a hub gear",
    """
    What meets: the chainring, the sprocket of a hub gear, and what the gears inside can bear.

    Why it matters: the smaller the ring and the larger the sprocket, the harder the chain pulls at the gears inside;
    makers name the least ratio of ring to sprocket.

    What to do: a larger ring or a smaller sprocket. For tandems, load carriers, heavy riders and motors the makers ask
    for more; look it up in the hub's manual.

    Measure: count the teeth of ring and sprocket and divide.

    Caution: gears that break inside let the pedals drop through under load.
    """,
    place(hub="rear_hub", ring="chainring", crank="crank", cog="cog"),
)


def _borne(ring: Num, cog: Num, least: LimitFigure, sizes: RowTable) -> Outcome:
    """Say whether ring and sprocket reach the least ratio; ratios are compared a size of sprocket at a time."""
    if least.not_printed:
        return fits("least-ratio-not-printed")
    for row in sizes.dicts():
        teeth = row["teeth"]
        if isinstance(teeth, Decimal) and cog == teeth:
            return fits("for-a-lone-rider") if ring >= least.number * teeth else no_fit("ratio-too-low")
    return not_known("sprocket-of-no-hub-gear")


_RATIO_REASONS: Final[Mapping[str, Verdict]] = {
    "ratio-too-low": Verdict.NO_FIT,
    "sprocket-of-no-hub-gear": Verdict.NOT_KNOWN,
}


@LEAST_RATIO.test(
    "ring",
    silent="finer",
    asked_if=("hub.gear.least_ratio",),
    reasons=_RATIO_REASONS,
    ring_teeth=deciding("ring.ring.teeth"),
    cog_teeth=deciding("cog.bore.teeth"),
    least=limit("hub.gear.least_ratio", "function"),
    sizes=table("hub-gear.sprockets"),
)
def ratio_of_ring(ring_teeth: Num, cog_teeth: Num, least: LimitFigure, sizes: RowTable) -> Outcome:
    """Ring and sprocket reach the least ratio of the hub; asked of hubs that state it, or whose name does."""
    return _borne(ring_teeth, cog_teeth, least, sizes)


@LEAST_RATIO.test(
    "crank",
    silent="finer",
    asked_if=("hub.gear.least_ratio", "crank.rings.single_teeth"),
    asked_unless=("ring.ring.teeth",),
    reasons=_RATIO_REASONS,
    ring_teeth=deciding("crank.rings.single_teeth"),
    cog_teeth=deciding("cog.bore.teeth"),
    least=limit("hub.gear.least_ratio", "function"),
    sizes=table("hub-gear.sprockets"),
)
def ratio_of_crank(ring_teeth: Num, cog_teeth: Num, least: LimitFigure, sizes: RowTable) -> Outcome:
    """The ring that comes on the cranks and the sprocket reach the least ratio of the hub."""
    return _borne(ring_teeth, cog_teeth, least, sizes)


PIECE_ON_HUB_GEAR = joint(
    "drivetrain.cable-piece-on-hub-gear",
    "cable piece on the hub gear",
    """
    What meets: the piece that the shift cable is held in, and the right-hand end of the hub gear.

    Why it matters: on most hub gears that turn their selector the piece is bought apart, and there are several that
    look alike; on others a pin in the axle is pushed by a small box. The wrong one does not catch the hub.

    What to do: take the piece for the number of gears, and of the two that are sold the one that suits the way of the
    housing along the frame.

    Measure: read the number on the piece and in the hub's papers; look at the end of the axle for a pin.

    Caution: after every removal of the wheel the marks on the hub have to be brought in line again.
    """,
    place(hub="rear_hub", piece="hub_gear_piece"),
)


@PIECE_ON_HUB_GEAR.test(
    "piece",
    reasons={"piece-of-another-hub": Verdict.NO_FIT},
    hub_piece=deciding("hub.gear.piece"),
    piece_family=deciding("piece.seat.family"),
)
def piece_on_hub_gear(hub_piece: WordFigure, piece_family: WordFigure) -> Outcome:
    """The piece is of the kind that the hub asks for."""
    return fits() if hub_piece == piece_family else no_fit("piece-of-another-hub")


# ------------------------------------------------------------------------------------------------------------ the work

PIECE_ON_HUB_GEAR.step("hub-gear-piece-on", before=("wheel-in@rear",), tools=("screwdriver",))
HUB_GEAR_SHIFTER.step(
    "hub-gear-cable",
    where={"hub.gear.action": ("cable",)},
    stated=("hub.gear.action",),
    after=("shifters-on", "wheel-in@rear", "axle-in@rear", "chain-on"),
    tools=("cable-cutter", "hex-5"),
    practice=("practice.housing-square", "practice.hub-gear-marks"),
)
