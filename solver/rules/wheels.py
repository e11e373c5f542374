"""Joints of the hubs in the dropouts."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import Num, WordFigure
from solver.rules.registry import (
    AdapterPairs,
    Band,
    Outcome,
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
    trade_figure,
    unsafe,
)

#: Remark of a no that the maker of some hubs can turn into a yes with other ends for the hub.
OTHER_ENDS = "other-ends-for-some-hubs"

HUB_IN_DROPOUT = joint(
    "wheels.hub-in-dropout",
    "hub in dropout",
    """
    What meets: the two ends of a hub, and the two faces of the frame or fork between which they sit.

    Why it matters: the hub must be as wide as the gap and made for that kind of axle. Otherwise the clamp bends the
    frame or the axle, or the wheel is held by less than its maker meant.

    What to do: the ends of a hub change only by what its own maker sells for it. Put end caps and spacing kits down as
    settings of the hub, or as a hub adapter on the list: without that a hub is judged as it stands. A narrow hub on
    slots takes spacers. Ordinary steel is spread and then set parallel; no other frame is.

    Measure: with inside jaws between the faces, into the recesses if there are any; over the end faces of the hub, not
    over the tips of the axle.

    Caution: a wheel that comes out on the road can kill. Never hold a quick-release hub in a thru dropout with sleeves,
    never drill or file a slot for a thicker axle, never spread aluminium, carbon, titanium or heat-treated steel.
    Follow the makers of frame, fork and hub and the local rules; if in doubt, ask a qualified mechanic.
    """,
    place("front", hub="front_hub", holder="fork", adapter="front_hub_adapter"),
    place("rear", hub="rear_hub", holder="frame", adapter="rear_hub_adapter"),
    safety=True,
    between=("hub", "holder"),
)


@HUB_IN_DROPOUT.test(
    "form",
    reasons={"axle-forms-differ": Verdict.NO_FIT, "one-makers-spindle": Verdict.NOT_KNOWN},
    hub_form=deciding("hub.axle.form"),
    dropout_form=deciding("holder.dropout.form"),
    bore=deciding("hub.axle.bore_mm"),
    slot=deciding("holder.dropout.slot_mm"),
    clearance=trade_figure("wheels.axle-clearance"),
)
def hub_form(hub_form: WordFigure, dropout_form: WordFigure, bore: Num, slot: Num, clearance: Band) -> Outcome:
    """Stubs and solid axles go in slots, thru hubs between closed dropouts.

    A thru hub goes in slots as well if they are as wide as its axle: it is then held by a bolt with its own nut.
    A hub for a single leg goes on the spindle that its maker made it for.
    """
    if dropout_form == "thru" and hub_form == "thru":
        return fits()
    if dropout_form == "slot":
        if hub_form.within(("quick-release", "nutted", "thru-bolt")):
            return fits()
        if hub_form == "thru" and bore <= slot + clearance["dia_mm"]:
            return fits("bolt-with-its-own-nut")
    if dropout_form == "single-sided" and hub_form == "single-sided":
        return not_known("one-makers-spindle")
    return no_fit("axle-forms-differ", OTHER_ENDS)


@HUB_IN_DROPOUT.test(
    "width",
    by_hand=True,
    reasons={
        "narrow-in-slots": Verdict.NEEDS_ADAPTER,
        "too-narrow": Verdict.NO_FIT,
        "too-wide": Verdict.NO_FIT,
        "forced-apart": Verdict.UNSAFE,
        "spread-forbidden": Verdict.UNSAFE,
        "wide-in-steel": Verdict.NEEDS_WORK,
        "wide-for-a-builder": Verdict.NEEDS_WORK,
    },
    hub_width=deciding("hub.axle.width_mm"),
    opening=deciding("holder.dropout.width_mm"),
    dropout_form=deciding("holder.dropout.form"),
    material=deciding("holder.material"),
    spreading=confirming("holder.dropout.spreading"),
    slot_play=trade_figure("wheels.slot-play"),
    thru_play=trade_figure("wheels.thru-play"),
    steel=trade_figure("wheels.steel-spreading"),
    forced=trade_figure("wheels.forced-apart"),
    spacers=trade_figure("wheels.spacers"),
    spacer_kind=adapter_kind("wheels.axle-spacers"),
    fold_ends=adapter_kind("wheels.fold-ends"),
    ends=adapter_kind("wheels.hub-ends"),
)
def hub_width(
    hub_width: Num,
    opening: Num,
    dropout_form: WordFigure,
    material: WordFigure,
    spreading: WordFigure | None,
    slot_play: Band,
    thru_play: Band,
    steel: Band,
    forced: Band,
    spacers: Band,
    spacer_kind: AdapterPairs,
    fold_ends: AdapterPairs,
    ends: AdapterPairs,
) -> Outcome:
    """The hub is as wide as the opening, within the play that the clamp takes up.

    Where it is narrower, spacers help in slots only, and for one pair of widths of folding bicycles ends are sold.
    Where it is wider, steel is spread by hand or by a frame builder; any other frame is not, and so far as it could be
    forced that is unsafe. Between closed dropouts nothing is spread.
    """
    over = hub_width - opening
    closed = dropout_form == "thru"
    play = thru_play["width_mm"] if closed else slot_play["width_mm"]
    if over < -play:
        if not closed and -over <= spacers["up_to_mm"]:
            return needs_adapter("narrow-in-slots", spacer_kind.row, gap_mm=-over)
        if not closed and fold_ends.covers(hub_mm=hub_width, holder_mm=opening):
            return needs_adapter("narrow-in-slots", fold_ends.row, gap_mm=-over)
        known = ends.covers(hub_mm=hub_width, holder_mm=opening)
        return no_fit("too-narrow", *([OTHER_ENDS] if known else []), gap_mm=-over)
    if over <= play:
        return fits()
    if closed:
        if over <= forced["up_to_mm"]:
            return unsafe("forced-apart", gap_mm=over)
        known = ends.covers(hub_mm=hub_width, holder_mm=opening)
        return no_fit("too-wide", *([OTHER_ENDS] if known else []), gap_mm=over)
    if over > steel["by_builder_mm"]:
        return no_fit("too-wide", gap_mm=over)
    if material == "steel":
        if spreading is not None and spreading == "forbidden":
            return unsafe("spread-forbidden", gap_mm=over)
        if over <= steel["by_hand_mm"]:
            return needs_work("wide-in-steel", gap_mm=over)
        return needs_work("wide-for-a-builder", gap_mm=over)
    if over <= forced["up_to_mm"]:
        return unsafe("spread-forbidden", gap_mm=over)
    return no_fit("too-wide", gap_mm=over)


@HUB_IN_DROPOUT.test(
    "bore",
    by_hand=True,
    reasons={
        "bore-too-small": Verdict.NO_FIT,
        "bore-too-wide": Verdict.NEEDS_ADAPTER,
        "bore-far-too-wide": Verdict.NO_FIT,
    },
    bore=deciding("hub.axle.bore_mm"),
    axle_dia=deciding("holder.dropout.axle_dia_mm"),
    dropout_form=deciding("holder.dropout.form"),
    clearance=trade_figure("wheels.axle-clearance"),
    sleeve=adapter_kind("wheels.bore-sleeve"),
)
def bore(bore: Num, axle_dia: Num, dropout_form: WordFigure, clearance: Band, sleeve: AdapterPairs) -> Outcome:
    """The axle of a thru dropout fills the bore of the hub. A thin axle in a wide bore moves and comes loose."""
    if dropout_form != "thru":
        return fits()
    if bore.near(axle_dia, clearance["dia_mm"]):
        return fits()
    if bore < axle_dia:
        return no_fit("bore-too-small")
    if sleeve.covers(hub_mm=bore, holder_mm=axle_dia):
        return needs_adapter("bore-too-wide", sleeve.row)
    return no_fit("bore-far-too-wide", OTHER_ENDS)


@HUB_IN_DROPOUT.test(
    "slot",
    by_hand=True,
    reasons={
        "axle-too-thick": Verdict.NO_FIT,
        "slot-tight": Verdict.NEEDS_WORK,
        "flats-on-the-axle": Verdict.NEEDS_WORK,
        "slot-too-wide": Verdict.NEEDS_ADAPTER,
        "slot-far-too-wide": Verdict.NO_FIT,
    },
    end_dia=deciding("hub.axle.end_dia_mm"),
    slot=deciding("holder.dropout.slot_mm"),
    hub_form=deciding("hub.axle.form"),
    dropout_form=deciding("holder.dropout.form"),
    material=deciding("holder.material"),
    slot_fit=trade_figure("wheels.slot-fit"),
    flats=trade_figure("wheels.axle-flats"),
    washers=adapter_kind("wheels.slot-washers"),
)
def slot(
    end_dia: Num,
    slot: Num,
    hub_form: WordFigure,
    dropout_form: WordFigure,
    material: WordFigure,
    slot_fit: Band,
    flats: Band,
    washers: AdapterPairs,
) -> Outcome:
    """What sits in a slot goes into it and is led by it.

    A solid axle gets small flats at its ends, which leaves frame and fork alone. For any other half a millimetre is
    filed out of steel, no other metal.
    """
    if dropout_form != "slot" or hub_form == "thru":
        return fits()
    over = end_dia - slot
    if over > slot_fit["tight_mm"] and over <= flats["most_mm"] and hub_form == "nutted":
        return needs_work("flats-on-the-axle", over_mm=over)
    if over > slot_fit["filed_mm"]:
        return no_fit("axle-too-thick")
    if over > slot_fit["tight_mm"]:
        return needs_work("slot-tight") if material == "steel" else no_fit("axle-too-thick")
    if -over <= slot_fit["loose_mm"]:
        return fits()
    if washers.covers(hub_mm=end_dia, holder_mm=slot):
        return needs_adapter("slot-too-wide", washers.row)
    return no_fit("slot-far-too-wide")


@HUB_IN_DROPOUT.test(
    "end-caps",
    silent="finer",
    by_hand=True,
    reasons={"cap-too-wide": Verdict.NO_FIT},
    asked_if=("hub.axle.end_cap_od_mm", "holder.dropout.recess_od_mm"),
    cap=deciding("hub.axle.end_cap_od_mm"),
    recess=deciding("holder.dropout.recess_od_mm"),
    clearance=trade_figure("wheels.axle-clearance"),
)
def end_caps(cap: Num, recess: Num, clearance: Band) -> Outcome:
    """An end cap goes into the recess of the dropout. A smaller one runs, and is only led less while fitting."""
    if cap.near(recess, clearance["dia_mm"]):
        return fits()
    return no_fit("cap-too-wide", OTHER_ENDS) if cap > recess else fits("cap-loose-in-recess")


@HUB_IN_DROPOUT.test(
    "stub",
    silent="finer",
    reasons={"stub-too-long": Verdict.NEEDS_WORK},
    asked_if=("hub.axle.stub_mm", "holder.dropout.thickness_mm"),
    stub=deciding("hub.axle.stub_mm"),
    thickness=deciding("holder.dropout.thickness_mm"),
    reach=trade_figure("wheels.stub-reach"),
)
def stub(stub: Num, thickness: Num, reach: Band) -> Outcome:
    """The stub ends in the dropout or the hollow of the nut. Otherwise the clamp squeezes the axle, not the frame."""
    if stub <= thickness + reach["past_mm"]:
        return fits()
    return needs_work("stub-too-long", past_mm=stub - thickness)


@HUB_IN_DROPOUT.test(
    "rotor-plane",
    silent="feature",
    reasons={"rotor-out-of-line": Verdict.NO_FIT},
    asked_if=("hub.axle.rotor_plane",),
    hub_plane=deciding("hub.axle.rotor_plane"),
    holder_plane=deciding("holder.dropout.rotor_plane"),
)
def rotor_plane(hub_plane: WordFigure, holder_plane: WordFigure) -> Outcome:
    """Hubs of one width can have the rotor in two places, 5 mm apart; it belongs where the caliper is."""
    return fits() if hub_plane == holder_plane else no_fit("rotor-out-of-line", OTHER_ENDS)


@HUB_IN_DROPOUT.test(
    "rotor-line",
    silent="finer",
    reasons={"rotor-out-of-line": Verdict.NO_FIT},
    asked_if=("hub.axle.rotor_offset_mm", "holder.dropout.rotor_offset_mm"),
    hub_offset=deciding("hub.axle.rotor_offset_mm"),
    holder_offset=deciding("holder.dropout.rotor_offset_mm"),
    line=trade_figure("wheels.rotor-line"),
)
def rotor_line(hub_offset: Num, holder_offset: Num, line: Band) -> Outcome:
    """The seat of the rotor is as far from the end face as the caliper wants it, within what the caliper follows."""
    if hub_offset.near(holder_offset, line["either_way_mm"]):
        return fits()
    return no_fit("rotor-out-of-line", OTHER_ENDS)


@HUB_IN_DROPOUT.test(
    "rim-centre",
    silent="feature",
    reasons={"rim-off-centre": Verdict.NEEDS_WORK},
    asked_if=("hub.axle.rim_shift_mm",),
    rim_shift=deciding("hub.axle.rim_shift_mm"),
)
def rim_centre(rim_shift: Num) -> Outcome:
    """Ends that add width on one side only leave the rim out of the middle; the wheel is dished again."""
    return fits() if rim_shift == 0 else needs_work("rim-off-centre")


# ------------------------------------------------------------------------------------------------------------ the work

HUB_IN_DROPOUT.step(
    "wheel-in",
    after=("fork-in",),
    practice=("practice.wheel-to-the-end",),
)
