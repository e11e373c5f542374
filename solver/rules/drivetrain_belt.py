"""Joints of a toothed belt in place of a chain: on its sprockets, in the frame, and what it leaves no place for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from solver.report import Verdict
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

# ------------------------------------------------------------------------------------------------ belt on sprockets

ON_SPROCKETS = joint(
    "drivetrain.belt-on-sprockets",
    "belt on its sprockets",
    """
    What meets: the teeth of a belt, and those of the front and the rear sprocket.

    When it fits: belt and sprockets are of one profile, or their maker says that the two go together. A newer belt has
    a channel along its middle, in which a ridge round the sprocket runs; an older or cheaper one has none and is kept
    on by rims at the side of the sprockets.

    Why it matters: on a sprocket of another pitch no second tooth meets its gap. A belt without a channel lies on top
    of the ridge. A belt of another profile wears itself and the sprocket, and jumps under load.

    What to do: change belt and sprockets as a set, or take what the maker of the sprockets names. The name on its own
    does not settle it: one maker used the same three letters for a profile with rims, and later for one with a ridge.

    Measure: the name and the number of teeth are printed on the back of the belt. Over ten teeth, from one edge to the
    same edge of the tenth on, a belt of 11 mm pitch has 110 mm. Look for the channel, and for the ridge.

    Caution: a belt that jumps or breaks while somebody stands on the pedals throws him. Front and rear sprocket have to
    stand in one plane: lay a straight edge along both. How much they may be out only the maker of the belt says.
    """,
    place(belt="belt", crank="crank", ring="chainring", cog="cog"),
    safety=True,
)

_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "toothed-for-a-chain": Verdict.NO_FIT,
    "pitches-differ": Verdict.NO_FIT,
    "no-channel-for-the-ridge": Verdict.NO_FIT,
    "pair-not-told": Verdict.NOT_KNOWN,
}


def _runs(
    belt: WordFigure,
    belt_guide: WordFigure,
    belt_pitch: Num,
    profile: WordFigure,
    guide: WordFigure,
    pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """Say whether a belt runs on a sprocket: what cannot mesh first, then like on like, then what the makers name."""
    if guide == "none":
        return no_fit("toothed-for-a-chain")
    if not belt_pitch.near(pitch, same["mm"]):
        return no_fit("pitches-differ")
    if belt_guide == "flange" and guide == "centre":
        return no_fit("no-channel-for-the-ridge")
    if belt == profile:
        return fits()
    for row in pairs.dicts():
        if belt == str(row["belt"]) and profile == str(row["sprocket"]):
            return fits("named-by-the-maker") if row["go"] == "yes" else not_known("pair-not-told")
    return not_known("pair-not-told")


@ON_SPROCKETS.test(
    "rear",
    reasons=_REASONS,
    belt_profile=deciding("belt.strap.profile"),
    belt_guide=deciding("belt.strap.guide"),
    belt_pitch=deciding("belt.strap.pitch_mm"),
    profile=deciding("cog.belt_track.profile"),
    guide=deciding("cog.belt_track.guide"),
    pitch=deciding("cog.belt_track.pitch_mm"),
    pairs=table("belt.on-sprocket"),
    same=trade_figure("belt.pitch-play"),
)
def belt_on_rear(
    belt_profile: WordFigure,
    belt_guide: WordFigure,
    belt_pitch: Num,
    profile: WordFigure,
    guide: WordFigure,
    pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """The belt runs on the rear sprocket."""
    return _runs(belt_profile, belt_guide, belt_pitch, profile, guide, pitch, pairs, same)


@ON_SPROCKETS.test(
    "ring",
    reasons=_REASONS,
    belt_profile=deciding("belt.strap.profile"),
    belt_guide=deciding("belt.strap.guide"),
    belt_pitch=deciding("belt.strap.pitch_mm"),
    profile=deciding("ring.belt_track.profile"),
    guide=deciding("ring.belt_track.guide"),
    pitch=deciding("ring.belt_track.pitch_mm"),
    pairs=table("belt.on-sprocket"),
    same=trade_figure("belt.pitch-play"),
)
def belt_on_ring(
    belt_profile: WordFigure,
    belt_guide: WordFigure,
    belt_pitch: Num,
    profile: WordFigure,
    guide: WordFigure,
    pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """The belt runs on a front sprocket that was bought for itself."""
    return _runs(belt_profile, belt_guide, belt_pitch, profile, guide, pitch, pairs, same)


@ON_SPROCKETS.test(
    "crank",
    reasons=_REASONS,
    asked_unless=("ring.belt_track.profile",),
    belt_profile=deciding("belt.strap.profile"),
    belt_guide=deciding("belt.strap.guide"),
    belt_pitch=deciding("belt.strap.pitch_mm"),
    profile=deciding("crank.belt_track.profile"),
    guide=deciding("crank.belt_track.guide"),
    pitch=deciding("crank.belt_track.pitch_mm"),
    pairs=table("belt.on-sprocket"),
    same=trade_figure("belt.pitch-play"),
)
def belt_on_crank(
    belt_profile: WordFigure,
    belt_guide: WordFigure,
    belt_pitch: Num,
    profile: WordFigure,
    guide: WordFigure,
    pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """The belt runs on the front sprocket that the cranks come with."""
    return _runs(belt_profile, belt_guide, belt_pitch, profile, guide, pitch, pairs, same)


_PAIR: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "toothed-for-a-chain": Verdict.NO_FIT,
    "pitches-differ": Verdict.NO_FIT,
    "no-belt-for-both": Verdict.NOT_KNOWN,
}


def _one_belt(
    front: WordFigure,
    front_pitch: Num,
    rear: WordFigure,
    guide: WordFigure,
    rear_pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """Say whether a belt is sold that runs on both sprockets."""
    if guide == "none":
        return no_fit("toothed-for-a-chain")
    if not front_pitch.near(rear_pitch, same["mm"]):
        return no_fit("pitches-differ")
    if front == rear:
        return fits()
    for row in pairs.dicts():
        # Like goes on like, so a belt of the one's own profile that is named for the other runs on both.
        belt, sprocket, go = str(row["belt"]), str(row["sprocket"]), row["go"]
        if go == "yes" and ((front == belt and rear == sprocket) or (rear == belt and front == sprocket)):
            return fits("named-by-the-maker")
    return not_known("no-belt-for-both")


# Only a sprocket for a belt has a profile; of all others there is nothing to ask. With a belt on the list, each is
# judged with the belt; this one is for a list on which the belt is still to choose.
@ON_SPROCKETS.test(
    "front-and-rear",
    silent="feature",
    asked_if=("crank.belt_track.profile",),
    asked_unless=("ring.belt_track.profile",),
    reasons=_PAIR,
    front=deciding("crank.belt_track.profile"),
    front_pitch=deciding("crank.belt_track.pitch_mm"),
    rear=deciding("cog.belt_track.profile"),
    guide=deciding("cog.belt_track.guide"),
    rear_pitch=deciding("cog.belt_track.pitch_mm"),
    pairs=table("belt.on-sprocket"),
    same=trade_figure("belt.pitch-play"),
)
def one_belt_on_crank_and_cog(
    front: WordFigure,
    front_pitch: Num,
    rear: WordFigure,
    guide: WordFigure,
    rear_pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """One belt runs on the sprocket of the cranks and on the rear one; asked of cranks that name a profile."""
    return _one_belt(front, front_pitch, rear, guide, rear_pitch, pairs, same)


@ON_SPROCKETS.test(
    "ring-and-rear",
    silent="feature",
    asked_if=("ring.belt_track.profile",),
    reasons=_PAIR,
    front=deciding("ring.belt_track.profile"),
    front_pitch=deciding("ring.belt_track.pitch_mm"),
    rear=deciding("cog.belt_track.profile"),
    guide=deciding("cog.belt_track.guide"),
    rear_pitch=deciding("cog.belt_track.pitch_mm"),
    pairs=table("belt.on-sprocket"),
    same=trade_figure("belt.pitch-play"),
)
def one_belt_on_ring_and_cog(
    front: WordFigure,
    front_pitch: Num,
    rear: WordFigure,
    guide: WordFigure,
    rear_pitch: Num,
    pairs: RowTable,
    same: Band,
) -> Outcome:
    """One belt runs on a front sprocket bought for itself and on the rear one; asked of fronts with a profile."""
    return _one_belt(front, front_pitch, rear, guide, rear_pitch, pairs, same)


# ------------------------------------------------------------------------------------------------ belt in the frame

IN_FRAME = joint(
    "drivetrain.belt-in-frame",
    "belt in the frame",
    """
    What meets: a belt to the rear wheel, and the rear triangle of the frame that it runs through.

    When it fits: a stay or the dropout on that side opens, or the chain stay passes above the belt, or the belt itself
    is one that can be opened; and wheel or cranks can be moved until the belt is tight.

    Why it matters: a belt is a closed loop and cannot be cut and joined as a chain can. Slack, it jumps over the teeth
    of the rear sprocket; its length comes in whole teeth and cannot be altered.

    What to do: take a frame that is made for belts, a belt that opens, or a chain. A maker of frames can build a joint
    into a stay of steel. A frame with one place for the wheel wants an eccentric bottom bracket or other dropouts.

    Measure: look for a bolted joint in the right seat stay, near the dropout, or in the dropout itself; see where the
    right chain stay runs. Then see whether the dropouts slide, face the rear, or whether the bottom bracket is
    eccentric.

    Caution: never cut a stay of carbon or aluminium for a belt. Ask the maker of the frame whether its rear end is
    stiff enough: what bends lets a tight belt jump.
    """,
    place(belt="belt", frame="frame"),
    safety=True,
)


@IN_FRAME.test(
    "way-in",
    reasons={"no-way-in": Verdict.NO_FIT},
    drives=deciding("belt.strap.drives"),
    loop=deciding("belt.strap.loop"),
    way=deciding("frame.belt_way.form"),
)
def way_in(drives: WordFigure, loop: WordFigure, way: WordFigure) -> Outcome:
    """An endless belt to the rear wheel needs a rear triangle that opens, or a chain stay above it."""
    if drives == "timing" or loop == "joined" or way != "none":
        return fits()
    return no_fit("no-way-in")


@IN_FRAME.test(
    "tight",
    reasons={"no-way-to-tighten": Verdict.NO_FIT},
    drives=deciding("belt.strap.drives"),
    adjuster=deciding("frame.chain_adjuster.form"),
)
def belt_tight(drives: WordFigure, adjuster: WordFigure) -> Outcome:
    """The wheel or the cranks can be moved until the belt is tight; nothing else takes up its slack."""
    return fits() if drives == "timing" or adjuster != "none" else no_fit("no-way-to-tighten")


# ----------------------------------------------------------------------------------------- what the belt stands for

IN_PLACE_OF_CHAIN = joint(
    "drivetrain.belt-in-place-of-chain",
    "belt in place of chain and derailleurs",
    """
    What meets: a belt to the rear wheel, and a chain, derailleurs or a cassette on the same list.

    Why it matters: a belt runs in one plane, on one sprocket in front and one behind. No derailleur can push it from
    one sprocket to the next.

    What to do: gears inside the rear hub, a gearbox at the cranks, or none.

    Measure: look where the belt runs: from the cranks to the rear wheel, or between the two pairs of cranks of a
    tandem, which leaves the chain to the rear wheel as it is.

    Caution: a belt that is pushed aside is damaged inside, where nobody sees it, and may break later.
    """,
    place(
        belt="belt",
        chain="chain",
        derailleur="rear_derailleur",
        front="front_derailleur",
        cassette="cassette",
    ),
)


def _alone(drives: WordFigure, reason: str) -> Outcome:
    """Say no where the belt drives the wheel; a belt between two pairs of cranks leaves the rest as it is."""
    return fits() if drives == "timing" else no_fit(reason)


@IN_PLACE_OF_CHAIN.test(
    "chain", beside=("chain",), reasons={"belt-and-chain": Verdict.NO_FIT}, drives=deciding("belt.strap.drives")
)
def belt_or_chain(drives: WordFigure) -> Outcome:
    """A wheel is driven by a belt or by a chain; asked where both are listed."""
    return _alone(drives, "belt-and-chain")


@IN_PLACE_OF_CHAIN.test(
    "derailleur",
    beside=("derailleur",),
    reasons={"belt-is-not-shifted": Verdict.NO_FIT},
    drives=deciding("belt.strap.drives"),
)
def belt_or_derailleur(drives: WordFigure) -> Outcome:
    """No rear derailleur shifts a belt; asked where both are listed."""
    return _alone(drives, "belt-is-not-shifted")


@IN_PLACE_OF_CHAIN.test(
    "front-derailleur",
    beside=("front",),
    reasons={"belt-is-not-shifted": Verdict.NO_FIT},
    drives=deciding("belt.strap.drives"),
)
def belt_or_front_derailleur(drives: WordFigure) -> Outcome:
    """No front derailleur shifts a belt; asked where both are listed."""
    return _alone(drives, "belt-is-not-shifted")


@IN_PLACE_OF_CHAIN.test(
    "cassette",
    beside=("cassette",),
    reasons={"cogs-are-for-a-chain": Verdict.NO_FIT},
    drives=deciding("belt.strap.drives"),
)
def belt_or_cassette(drives: WordFigure) -> Outcome:
    """The cogs of a cassette are for a chain; asked where both are listed."""
    return _alone(drives, "cogs-are-for-a-chain")


# ------------------------------------------------------------------------------------------------------------ the work

IN_FRAME.step("belt-in", before=("wheel-in@rear",), practice=("practice.belt-handling",))
ON_SPROCKETS.step(
    "belt-on",
    needs=("belt", "cog"),
    after=("belt-in", "crank-on", "wheel-in@rear", "axle-in@rear"),
    before=("hub-gear-cable",),
    tools=("belt-gauge",),
    practice=("practice.belt-handling", "practice.belt-tension"),
    figures=("drivetrain.belt-length",),
)
