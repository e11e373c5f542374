"""Joints of the chain: on cassette and rings, and the link that closes it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.report import Verdict
from solver.rules.drivetrain_shifting import alike
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    Band,
    Outcome,
    RowTable,
    deciding,
    fits,
    joint,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
)

# ------------------------------------------------------------------------------------------------- chain on cassette

CHAIN_ON_CASSETTE = joint(
    "drivetrain.chain-on-cassette",
    "chain on cassette",
    """
    What meets: the chain and the cogs of the cassette.

    Why it matters: the more cogs, the closer they stand, and the thinner the chain has to be over its rivets. A chain
    that is too wide rubs on the next cog. From 12 gears on, makers also shape rollers and plates each in their own way.

    What to do: take the chain for the number of cogs. A chain for one or two gears more runs as well; one for fewer
    gears does not.

    Measure: with a caliper over the rivets. About 7.1 mm is for 8 gears, 6.6 for 9, 5.9 for 10, 5.6 for 11, 5.3 for 12.

    Caution: shift through every gear on the stand before anybody rides; a chain that climbs on the next cog jumps under
    load.
    """,
    place(chain="chain", cassette="cassette"),
    place("freewheel", chain="chain", cassette="freewheel"),
)


@CHAIN_ON_CASSETTE.test(
    "gears",
    reasons={"chain-too-wide": Verdict.NO_FIT, "steps-not-told": Verdict.NOT_KNOWN},
    chain_gears=deciding("chain.plates.speeds"),
    cogs=deciding("cassette.bore.speeds"),
    steps=trade_figure("shifting.chain-steps"),
)
def chain_gears_on_cassette(chain_gears: Num, cogs: Num, steps: Band) -> Outcome:
    """The chain is made for as many gears as there are cogs, or for up to two more.

    One chain serves five to eight cogs alike. A chain for fewer gears than there are cogs is too wide.
    """
    if chain_gears < cogs:
        return no_fit("chain-too-wide")
    if chain_gears <= steps["common_to"]:
        return fits()
    if chain_gears <= cogs:
        return fits()
    if chain_gears - cogs <= steps["steps"]:
        return fits("narrower-chain")
    return not_known("steps-not-told")


@CHAIN_ON_CASSETTE.test(
    "over-rivets",
    silent="instead",
    reasons={"chain-too-wide": Verdict.NO_FIT, "cogs-not-in-table": Verdict.NOT_KNOWN},
    asked_if=("chain.plates.outer_mm",),
    asked_unless=("chain.plates.speeds",),
    outer=deciding("chain.plates.outer_mm"),
    cogs=deciding("cassette.bore.speeds"),
    widths=table("shifting.chain-widths"),
)
def chain_over_rivets(outer: Num, cogs: Num, widths: RowTable) -> Outcome:
    """Where nobody states for how many gears a chain is made, its width over the rivets tells."""
    for row in widths.dicts():
        count, most = row["speeds"], row["outer_mm"]
        if isinstance(count, Decimal) and isinstance(most, Decimal) and cogs == count:
            return fits() if outer <= most else no_fit("chain-too-wide", room_mm=Num(most))
    return not_known("cogs-not-in-table")


@CHAIN_ON_CASSETTE.test(
    "between-plates",
    silent="finer",
    reasons={"cog-too-thick": Verdict.NO_FIT},
    asked_if=("chain.plates.inner_mm", "cassette.bore.cog_mm"),
    inner=deciding("chain.plates.inner_mm"),
    cog=deciding("cassette.bore.cog_mm"),
)
def cog_between_plates(inner: Num, cog: Num) -> Outcome:
    """A cog is thinner than the chain is wide inside; asked where both are stated."""
    return fits() if cog <= inner else no_fit("cog-too-thick", over_mm=cog - inner)


def _shapes(chain: WordFigure | str, teeth: WordFigure | str, where: str, pairs: RowTable) -> Outcome:
    """Say whether a chain of one shape sits on teeth of another."""
    if chain == teeth:
        return fits()
    for row in pairs.dicts():
        if row["where"] == where and chain == str(row["chain"]) and teeth == str(row["teeth"]):
            return fits() if row["go"] == "yes" else no_fit("shape-differs")
    return not_known("shapes-not-told")


_SHAPE_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "shape-differs": Verdict.NO_FIT,
    "shapes-not-told": Verdict.NOT_KNOWN,
}


@CHAIN_ON_CASSETTE.test(
    "shape",
    silent="instead",
    reasons=_SHAPE_REASONS,
    asked_if=("cassette.bore.tooth_shape",),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    teeth=deciding("cassette.bore.tooth_shape"),
    steps=trade_figure("shifting.chain-steps"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_on_cassette(
    chain_gears: Num, chain_shape: WordFigure, teeth: WordFigure, steps: Band, pairs: RowTable
) -> Outcome:
    """From 12 gears on, rollers and plates suit the teeth; chains for fewer gears all have one shape."""
    if chain_gears <= steps["plain_to"]:
        return fits()
    return _shapes(chain_shape, teeth, "cassette", pairs)


@CHAIN_ON_CASSETTE.test(
    "shape-by-splines",
    reasons={**_SHAPE_REASONS, "teeth-not-told": Verdict.NOT_KNOWN},
    asked_unless=("cassette.bore.tooth_shape",),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    cogs=deciding("cassette.bore.speeds"),
    spline=deciding("cassette.bore.spline"),
    steps=trade_figure("shifting.chain-steps"),
    kinds=table("shifting.teeth-by-splines"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_by_splines(
    chain_gears: Num,
    chain_shape: WordFigure,
    cogs: Num,
    spline: WordFigure,
    steps: Band,
    kinds: RowTable,
    pairs: RowTable,
) -> Outcome:
    """The same, where nobody states the shape of the teeth: up to 11 cogs they are ordinary, else the splines tell.

    Where splines carry teeth of several shapes it is known only if all come out alike.
    """
    if chain_gears <= steps["plain_to"]:
        return fits()
    if cogs <= steps["plain_to"]:
        return _shapes(chain_shape, "chain.standard", "older cassette", pairs)
    rows = [r for r in kinds.dicts() if isinstance(r["speeds"], Decimal) and cogs == r["speeds"]]
    possible = [str(r["teeth"]) for r in rows if spline == str(r["spline"])]
    if not possible:
        return not_known("teeth-not-told")
    return alike([_shapes(chain_shape, teeth, "cassette", pairs) for teeth in possible], "teeth-not-told")


# --------------------------------------------------------------------------------------------------- chain on rings

CHAIN_ON_RINGS = joint(
    "drivetrain.chain-on-rings",
    "chain on chainrings",
    """
    What meets: the chain and the teeth of the chainrings.

    Why it matters: a tooth has to go between the plates. The chain is as wide inside from 9 to 12 gears, so rings are
    patient; some makers of 12 gears have longer plates or larger rollers, and then only their own rings do.

    What to do: take rings made for the chain, or for one or two gears more or less.

    Measure: the thickness of a tooth with a caliper; the chain inside, between two plates that face each other.

    Caution: a worn ring with hooked teeth does not let go of a new chain; change both.
    """,
    place(chain="chain", crank="crank"),
)


@CHAIN_ON_RINGS.test(
    "gears",
    silent="finer",
    reasons={"tooth-too-thick": Verdict.NO_FIT, "steps-not-told": Verdict.NOT_KNOWN},
    asked_if=("chain.plates.speeds", "crank.rings.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    ring_gears=deciding("crank.rings.speeds"),
    steps=trade_figure("shifting.ring-steps"),
    classes=trade_figure("shifting.chain-steps"),
)
def chain_gears_on_rings(chain_gears: Num, ring_gears: Num, steps: Band, classes: Band) -> Outcome:
    """The rings are made for the gears of the chain, give or take two; asked where both are stated.

    A wide chain runs on thin teeth, with noise. A chain for several gears does not go on the teeth of a single-speed
    ring for wide chains.
    """
    if ring_gears <= 1:
        return fits() if chain_gears <= 1 else no_fit("tooth-too-thick")
    if chain_gears <= 1:
        return fits("wide-chain-noisy")
    if chain_gears == ring_gears:
        return fits()
    if chain_gears <= classes["common_to"] and ring_gears <= classes["common_to"]:
        return fits()
    if chain_gears.near(ring_gears, steps["steps"]):
        return fits("rings-for-other-gears")
    return not_known("steps-not-told")


@CHAIN_ON_RINGS.test(
    "between-plates",
    silent="finer",
    reasons={"tooth-too-thick": Verdict.NO_FIT},
    asked_if=("chain.plates.inner_mm", "crank.rings.tooth_mm"),
    inner=deciding("chain.plates.inner_mm"),
    tooth=deciding("crank.rings.tooth_mm"),
    room=trade_figure("shifting.ring-room"),
)
def tooth_between_plates(inner: Num, tooth: Num, room: Band) -> Outcome:
    """A tooth is thinner than the chain is wide inside; asked where both are stated. Much thinner is noisy."""
    if inner < tooth:
        return no_fit("tooth-too-thick", over_mm=tooth - inner)
    return fits("wide-chain-noisy") if inner - tooth >= room["noisy_mm"] else fits()


@CHAIN_ON_RINGS.test(
    "shape",
    silent="finer",
    reasons=_SHAPE_REASONS,
    asked_if=("chain.plates.speeds", "crank.rings.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    ring_gears=deciding("crank.rings.speeds"),
    teeth=deciding("crank.rings.tooth_shape"),
    steps=trade_figure("shifting.chain-steps"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_on_rings(
    chain_gears: Num, chain_shape: WordFigure, ring_gears: Num, teeth: WordFigure, steps: Band, pairs: RowTable
) -> Outcome:
    """Rollers and plates suit the teeth of the rings; up to 11 gears both have one shape.

    Asked where the gears of both are stated.
    """
    if chain_gears <= steps["plain_to"]:
        if ring_gears <= steps["plain_to"]:
            return fits()
        return _shapes("chain.standard", teeth, "ring", pairs)
    if ring_gears <= steps["plain_to"]:
        return _shapes(chain_shape, "chain.standard", "ring", pairs)
    return _shapes(chain_shape, teeth, "ring", pairs)


# ----------------------------------------------------------------------------------------------------- chain on teeth

CHAIN_ON_TEETH = joint(
    "drivetrain.chain-on-teeth",
    "chain on one chainring or one sprocket",
    """
    What meets: the chain and the teeth of a single chainring or a single sprocket.

    Why it matters: single sprockets are sold for wide chains (1/8) and for narrow ones (3/32), both on the same hubs. A
    narrow chain rides up on wide teeth; a wide chain runs on narrow ones, with more noise.

    What to do: take chain, ring and sprocket of one width, or the wide chain where the two differ.

    Measure: the thickness of a tooth with a caliper; the chain inside, between two plates that face each other.

    Caution: a chain that rides up comes off, and a fixed wheel locks with it.
    """,
    place("ring", chain="chain", toothed="chainring"),
    place("sprocket", chain="chain", toothed="cog"),
)


@CHAIN_ON_TEETH.test(
    "between-plates",
    silent="finer",
    reasons={"tooth-too-thick": Verdict.NO_FIT},
    # Most rings and sprockets have no width printed; of the crank's rings the joint above asks by their gears.
    asked_if=("chain.plates.inner_mm", "toothed.tooth.tooth_mm"),
    inner=deciding("chain.plates.inner_mm"),
    tooth=deciding("toothed.tooth.tooth_mm"),
    room=trade_figure("shifting.ring-room"),
)
def one_tooth_between_plates(inner: Num, tooth: Num, room: Band) -> Outcome:
    """A tooth is thinner than the chain is wide inside; asked where both are stated. Much thinner is noisy."""
    return tooth_between_plates(inner, tooth, room)


# Of a ring or sprocket for many gears its box tells the gears and the shape; most single ones tell neither.
@CHAIN_ON_TEETH.test(
    "gears",
    silent="feature",
    reasons={"tooth-too-thick": Verdict.NO_FIT, "steps-not-told": Verdict.NOT_KNOWN},
    asked_if=("chain.plates.speeds", "toothed.tooth.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    ring_gears=deciding("toothed.tooth.speeds"),
    steps=trade_figure("shifting.ring-steps"),
    classes=trade_figure("shifting.chain-steps"),
)
def chain_gears_on_teeth(chain_gears: Num, ring_gears: Num, steps: Band, classes: Band) -> Outcome:
    """The teeth are made for the gears of the chain, give or take two; asked where both are stated."""
    return chain_gears_on_rings(chain_gears, ring_gears, steps, classes)


@CHAIN_ON_TEETH.test(
    "shape",
    silent="feature",
    reasons=_SHAPE_REASONS,
    asked_if=("chain.plates.speeds", "toothed.tooth.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    chain_shape=deciding("chain.plates.shape"),
    ring_gears=deciding("toothed.tooth.speeds"),
    teeth=deciding("toothed.tooth.tooth_shape"),
    steps=trade_figure("shifting.chain-steps"),
    pairs=table("shifting.chain-on-teeth"),
)
def chain_shape_on_teeth(
    chain_gears: Num, chain_shape: WordFigure, ring_gears: Num, teeth: WordFigure, steps: Band, pairs: RowTable
) -> Outcome:
    """Rollers and plates suit the teeth; up to 11 gears both have one shape. Asked where the gears are stated."""
    return chain_shape_on_rings(chain_gears, chain_shape, ring_gears, teeth, steps, pairs)


# ----------------------------------------------------------------------------------------------------- link in chain

LINK_IN_CHAIN = joint(
    "drivetrain.link-in-chain",
    "link or pin in the chain",
    """
    What meets: the chain, and the link or pin that closes it.

    Why it matters: the rivets of a link are as long as the chain is wide. Too long, the plates have play and the link
    catches; too short, it cannot be closed safely.

    What to do: take the link or pin for the gears of the chain, from 12 gears on of the same shape. Many links and all
    pins are for one use.

    Measure: read the number on the link; with a caliper over the rivets, compare with the chain.

    Caution: a chain that opens under load throws the rider. Never use a pin twice, and check that a link has
    snapped in.
    """,
    place(link="chain_link", chain="chain"),
    safety=True,
)


@LINK_IN_CHAIN.test(
    "gears",
    reasons={"link-too-wide": Verdict.NO_FIT, "link-too-narrow": Verdict.NO_FIT},
    link_gears=deciding("link.joiner.speeds"),
    chain_gears=deciding("chain.plates.speeds"),
    steps=trade_figure("shifting.chain-steps"),
)
def link_gears(link_gears: Num, chain_gears: Num, steps: Band) -> Outcome:
    """Link and chain are made for the same gears; one link serves five to eight."""
    if link_gears.within(steps["common_from"], steps["common_to"]) and chain_gears.within(
        steps["common_from"], steps["common_to"]
    ):
        return fits()
    if link_gears < chain_gears:
        return no_fit("link-too-wide")
    return fits() if link_gears <= chain_gears else no_fit("link-too-narrow")


@LINK_IN_CHAIN.test(
    "shape",
    reasons={"shapes-not-told": Verdict.NOT_KNOWN},
    chain_gears=deciding("chain.plates.speeds"),
    link_shape=deciding("link.joiner.shape"),
    chain_shape=deciding("chain.plates.shape"),
    steps=trade_figure("shifting.chain-steps"),
)
def link_shape(chain_gears: Num, link_shape: WordFigure, chain_shape: WordFigure, steps: Band) -> Outcome:
    """From 12 gears on the link has the shape of the chain; of mixed shapes nobody at hand says that they hold."""
    if chain_gears <= steps["plain_to"]:
        return fits()
    return fits() if link_shape == chain_shape else not_known("shapes-not-told")


CHAIN_ON_RINGS.step(
    "chain-on",
    after=("crank-on", "wheel-in@rear", "axle-in@rear"),
    before=("gears-set",),
    tools=("chain-tool", "chain-hook"),
    practice=("practice.chain-around", "practice.chain-pin"),
    figures=("drivetrain.chain-length", "drivetrain.chain-length-one-cog"),
)
