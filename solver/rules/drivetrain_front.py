"""Joints of the front derailleur: on the frame, over the rings, between them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from solver.formulas import drivetrain as formulas
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
    limit,
    needs_adapter,
    needs_work,
    no_fit,
    not_known,
    place,
    table,
    trade_figure,
)
from solver.rules.work import Torque

# ---------------------------------------------------------------------------------------- front derailleur on the frame

FRONT_ON_FRAME = joint(
    "drivetrain.front-derailleur-on-frame",
    "front derailleur on the frame",
    """
    What meets: the front derailleur and the seat tube, by a band, a slotted lug or bolts.

    Why it matters: a band closes on one size of tube. Direct mounts have bolt holes of their own each, and cannot be
    moved.

    What to do: measure the tube where the band sits; a band that is a size too wide takes a sleeve, one that is too
    small takes nothing.

    Measure: the seat tube with a caliper: 28.6, 31.8 or 34.9 mm, paint included a little more.

    Caution: a band crushes a thin carbon tube. Tighten to the figure printed on the derailleur and ask the frame's
    maker where none of his frames has a band.
    """,
    place(adapter="front_derailleur_band", derailleur="front_derailleur", holder="frame"),
    between=("derailleur", "holder"),
)


def _banded(clamp: Num, tube: Num, play: Band, sleeve: AdapterPairs) -> Outcome:
    """Say how a band sits on a tube."""
    gap = clamp - tube
    if gap < -play["tighter_mm"]:
        return no_fit("band-too-tight", under_mm=-gap)
    if gap <= play["wider_mm"]:
        return fits()
    for pair in sleeve.pairs:
        if clamp.near(Decimal(pair["clamp_mm"]), play["wider_mm"]) and tube.near(
            Decimal(pair["tube_mm"]), play["wider_mm"]
        ):
            return needs_adapter("band-too-wide", sleeve.row, over_mm=gap)
    return no_fit("band-too-wide", over_mm=gap)


@FRONT_ON_FRAME.test(
    "mount",
    reasons={
        "band-too-tight": Verdict.NO_FIT,
        "band-too-wide": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "no-slot": (Verdict.NO_FIT, Verdict.NEEDS_ADAPTER),
        "mount-differs": Verdict.NO_FIT,
    },
    mount=deciding("derailleur.mount.form"),
    clamp=deciding("derailleur.mount.clamp_mm"),
    seat=deciding("holder.fd_mount.form"),
    tube=deciding("holder.seat_tube.outside_mm"),
    play=trade_figure("shifting.band-play"),
    sleeve=adapter_kind("fd.sleeve"),
    slotted_band=adapter_kind("fd.band-for-braze-on"),
)
def front_mount(
    mount: WordFigure,
    clamp: Num,
    seat: WordFigure,
    tube: Num,
    play: Band,
    sleeve: AdapterPairs,
    slotted_band: AdapterPairs,
) -> Outcome:
    """A band closes on the tube; any other mount finds its own counterpart on the frame."""
    if mount == "band":
        return _banded(clamp, tube, play, sleeve)
    if mount == seat:
        return fits()
    if mount == "braze-on" and seat == "round-tube":
        for pair in slotted_band.pairs:
            if tube.near(Decimal(pair["tube_mm"]), play["wider_mm"]):
                return needs_adapter("no-slot", slotted_band.row)
        return no_fit("no-slot")
    return no_fit("mount-differs")


@FRONT_ON_FRAME.test(
    "route",
    silent="finer",
    reasons={"cable-from-other-side": Verdict.NEEDS_ADAPTER},
    links=(),
    asked_if=("derailleur.drive.cable", "holder.fd_mount.cable"),
    cable=deciding("derailleur.drive.cable"),
    route=deciding("holder.fd_mount.cable"),
    pulley=adapter_kind("fd.pulley"),
)
def front_route(cable: WordFigure, route: WordFigure, pulley: AdapterPairs) -> Outcome:
    """The cable arrives from the side from which the derailleur is pulled; asked where both are stated."""
    if cable == "dual" or cable == route:
        return fits()
    return needs_adapter("cable-from-other-side", pulley.row)


SLOT_AND_RING = joint(
    "drivetrain.front-slot-and-ring",
    "slot of the front derailleur and the outer ring",
    """
    What meets: the slotted lug on the seat tube and the height at which the outer ring needs the cage.

    Why it matters: the lug is placed for one size of ring, and its slot is short. With a much smaller ring the cage
    stays too high and the chain falls beside the ring.

    What to do: take an outer ring near the one that the lug was placed for, or a band derailleur on a round tube.

    Measure: set the derailleur as low as the slot lets it, and measure from the ring's teeth to the cage.

    Caution: filing a slot longer weakens it; ask the frame's maker first.
    """,
    place(holder="frame", crank="crank"),
)

_SLOT_REASONS: Final[Mapping[str, Verdict | tuple[Verdict, ...]]] = {
    "cage-too-high": Verdict.NO_FIT,
    "cage-high": Verdict.NEEDS_WORK,
}


@SLOT_AND_RING.test(
    "teeth",
    silent="instead",
    reasons={**_SLOT_REASONS, "between-two-cases": Verdict.NOT_KNOWN},
    asked_if=("holder.fd_mount.slot_ring_teeth",),
    asked_unless=("holder.fd_mount.gap_mm",),
    slot_teeth=deciding("holder.fd_mount.slot_ring_teeth"),
    ring=deciding("crank.rings.largest_teeth"),
    bounds=trade_figure("shifting.braze-on-slot"),
)
def slot_teeth(slot_teeth: Num, ring: Num, bounds: Band) -> Outcome:
    """The outer ring is near the one that the slot was placed for; asked where that is stated.

    Up to two teeth smaller needs nothing, three a longer slot, six are out of reach; between these nobody says.
    """
    under = slot_teeth - ring
    lower = formulas.ring_lower_by(ring, slot_teeth)
    if under >= bounds["no_teeth"]:
        return no_fit("cage-too-high", lower_mm=lower)
    if under.near(0, bounds["fits_teeth"]):
        return fits()
    if under == bounds["work_teeth"]:
        return needs_work("cage-high", lower_mm=lower)
    return not_known("between-two-cases")


@SLOT_AND_RING.test(
    "gap",
    silent="choice",
    reasons=_SLOT_REASONS,
    asked_if=("holder.fd_mount.gap_mm",),
    gap=deciding("holder.fd_mount.gap_mm"),
    ring=confirming("crank.rings.largest_teeth"),
    bounds=trade_figure("shifting.braze-on-gap"),
)
def slot_gap(gap: Num, ring: Num | None, bounds: Band) -> Outcome:
    """At the lowest point of the slot the cage comes as near to the ring as it should; asked where it was measured."""
    if gap <= bounds["most_mm"]:
        return fits()
    lower = gap - bounds["most_mm"]
    if gap <= bounds["works_mm"]:
        return needs_work("cage-high", lower_mm=lower)
    return no_fit("cage-too-high", lower_mm=lower)


# ------------------------------------------------------------------------------------------ front derailleur and rings

FRONT_CAGE = joint(
    "drivetrain.front-cage-over-ring",
    "front derailleur over the outer ring",
    """
    What meets: the outer plate of the front derailleur's cage and the outer ring.

    Why it matters: the plate follows the curve of one size of ring. On a larger ring its tail is in the way, on a much
    smaller one the chain finds a gap.

    What to do: take a derailleur made for the outer ring.

    Measure: count the teeth; set the cage 1 to 3 mm over the outer ring.

    Caution: a chain that falls between cage and ring can jam and lock the crank.
    """,
    place(derailleur="front_derailleur", crank="crank"),
)

FRONT_DEPTH = joint(
    "drivetrain.front-cage-depth",
    "front derailleur and the inner ring",
    """
    What meets: the tail of the front derailleur's cage and the chain on the inner ring.

    Why it matters: the cage hangs low enough for one difference between outer and inner ring; over it the chain drags
    on the tail.

    What to do: take a derailleur made for that difference, or rings that lie closer together.

    Measure: count the teeth of outer and inner ring; the capacity stands in the derailleur's leaflet.

    Caution: try the smallest gear on the stand before anybody rides.
    """,
    place(derailleur="front_derailleur", crank="crank"),
)

FRONT_AND_RINGS = joint(
    "drivetrain.front-derailleur-and-rings",
    "front derailleur and the steps and line of the rings",
    """
    What meets: the plates of the front derailleur, and where the rings stand.

    Why it matters: of three rings the middle one needs its step; the screws move the cage only so far from its line;
    and a ring whose teeth hold the chain cannot be shifted at all.

    What to do: take rings and derailleur made for each other.

    Measure: count the teeth; the line of the rings with a caliper from the middle of the seat tube.

    Caution: set both limit screws; a chain thrown over the outer ring jams at the crank.
    """,
    place(derailleur="front_derailleur", crank="crank"),
)


@FRONT_CAGE.test(
    "outer-ring",
    reasons={"ring-too-large": Verdict.NO_FIT, "ring-far-below": Verdict.NOT_KNOWN},
    asked_unless=("crank.rings.single_teeth",),
    most=limit("derailleur.cage.largest_ring_teeth", "function"),
    least=confirming("derailleur.cage.least_ring_teeth"),
    ring=deciding("crank.rings.largest_teeth"),
    below=trade_figure("shifting.cage-under-ring"),
)
def outer_ring(most: LimitFigure, least: LimitFigure | None, ring: Num, below: Band) -> Outcome:
    """The outer ring is the one that the cage was made for, or up to four teeth smaller."""
    if most.not_printed:
        return fits("cage-size-not-printed")
    if ring > most.number:
        return no_fit("ring-too-large")
    if ring >= most.number:
        return fits()
    if least is not None and not least.not_printed and ring >= least.number:
        return fits()
    return fits("cage-above-ring") if ring >= most.number - below["teeth"] else not_known("ring-far-below")


@FRONT_DEPTH.test(
    "ring-difference",
    reasons={"rings-too-far-apart": Verdict.NO_FIT},
    asked_unless=("crank.rings.single_teeth",),
    most=limit("derailleur.cage.capacity_teeth", "function"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    smallest_ring=deciding("crank.rings.smallest_teeth"),
)
def front_capacity(most: LimitFigure, largest_ring: Num, smallest_ring: Num) -> Outcome:
    """Outer and inner ring are no further apart than the cage reaches down."""
    if most.not_printed:
        return fits("front-capacity-not-printed")
    apart = largest_ring - smallest_ring
    return fits() if apart <= most.number else no_fit("rings-too-far-apart", apart_teeth=apart)


@FRONT_AND_RINGS.test(
    "middle-ring",
    silent="feature",
    reasons={"middle-ring-too-large": Verdict.NO_FIT},
    asked_if=("crank.rings.middle_teeth",),
    least=limit("derailleur.cage.middle_gap_teeth", "function"),
    largest_ring=deciding("crank.rings.largest_teeth"),
    middle_ring=deciding("crank.rings.middle_teeth"),
)
def middle_ring(least: LimitFigure, largest_ring: Num, middle_ring: Num) -> Outcome:
    """Of three rings the middle one is smaller than the outer one by as much as the cage asks for."""
    if least.not_printed:
        return fits("middle-gap-not-printed")
    step = largest_ring - middle_ring
    return fits() if step >= least.number else no_fit("middle-ring-too-large", step_teeth=step)


@FRONT_AND_RINGS.test(
    "chainline",
    silent="finer",
    reasons={"rings-out-of-line": Verdict.NO_FIT, "line-at-the-screws": Verdict.NOT_KNOWN},
    asked_if=("derailleur.cage.chainline_mm", "crank.rings.chainline_mm"),
    cage_line=deciding("derailleur.cage.chainline_mm"),
    ring_line=deciding("crank.rings.chainline_mm"),
    reach=trade_figure("shifting.front-chainline"),
)
def front_chainline(cage_line: Num, ring_line: Num, reach: Band) -> Outcome:
    """The rings stand where the cage moves; asked where both lines are stated."""
    if cage_line.near(ring_line, reach["within_mm"]):
        return fits()
    if cage_line.near(ring_line, reach["beyond_mm"]):
        return not_known("line-at-the-screws")
    return no_fit("rings-out-of-line")


@FRONT_AND_RINGS.test(
    "profile",
    silent="feature",
    reasons={"ring-holds-chain": Verdict.NO_FIT},
    beside=("derailleur",),
    asked_if=("crank.rings.profile",),
    profile=deciding("crank.rings.profile"),
)
def ring_profile(profile: WordFigure) -> Outcome:
    """A ring whose teeth are thick and thin in turn does not let the chain go; asked where it is stated."""
    return no_fit("ring-holds-chain") if profile == "narrow-wide" else fits()


CHAIN_IN_CAGE = joint(
    "drivetrain.chain-in-front-cage",
    "chain in the cage of the front derailleur",
    """
    What meets: the outside of the chain, and the two plates of the front derailleur's cage.

    Why it matters: cages grow narrower with the chains. A chain that is too wide rubs in the outer gears; one that is
    too narrow moves late, and can fall between the rings.

    What to do: a front derailleur for the chain; one class beside it runs with careful trimming.

    Measure: the gears that each was sold for stand in its leaflet.

    Caution: try every pair of ring and cog on the stand before anybody rides.
    """,
    place(derailleur="front_derailleur", chain="chain"),
)


# Only who looked it up states the class of a front derailleur; cages are compared with rings and pulls in any case.
@CHAIN_IN_CAGE.test(
    "width",
    silent="finer",
    reasons={"cage-of-another-class": Verdict.NOT_KNOWN},
    asked_if=("derailleur.cage.speeds",),
    cage=deciding("derailleur.cage.speeds"),
    chain_speeds=deciding("chain.plates.speeds"),
    near=table("shifting.front-cage-chains"),
)
def chain_in_cage(cage: Num, chain_speeds: Num, near: RowTable) -> Outcome:
    """Cage and chain are of one class, or of two that are told to run together."""
    if cage == chain_speeds:
        return fits()
    for row in near.dicts():
        wide, chain = row["cage"], row["chain"]
        if isinstance(wide, Decimal) and isinstance(chain, Decimal) and cage == wide and chain_speeds == chain:
            return fits("cage-a-class-off")
    return not_known("cage-of-another-class")


FRONT_ON_FRAME.step(
    "fd-on",
    after=("crank-on",),
    before=("chain-on",),
    torques=(Torque("torque.front-derailleur"),),
    tools=("hex-5", "torque-wrench"),
    practice=("practice.cage-gap",),
)
