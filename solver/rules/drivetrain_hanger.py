"""Joints of the derailleur on its hanger and of the hanger on the frame."""

from __future__ import annotations

from solver.report import Verdict
from solver.rules.figures import WordFigure
from solver.rules.registry import (
    AdapterPairs,
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
)
from solver.rules.work import Torque, notes

# ----------------------------------------------------------------------------------------------- derailleur on hanger

ON_HANGER = joint(
    "drivetrain.derailleur-on-hanger",
    "rear derailleur on its hanger",
    """
    What meets: the rear derailleur and the lug of the frame that carries it.

    Why it matters: most derailleurs are screwed into a lug with an M10x1 thread. Derailleurs for direct mounting leave
    a link away where the lug is made for it, and full-mount derailleurs sit on the axle of a frame for the universal
    hanger.

    What to do: look at the lug and at the derailleur's upper end; keep the link that lies in the box.

    Measure: look at the shape of the lug; the thread with a gauge.

    Caution: a bent hanger puts the derailleur into the spokes. Steel may be bent back; a hanger of aluminium is
    replaced, and carbon is looked at by the frame's maker.
    """,
    place(adapter="hanger_link", derailleur="rear_derailleur", holder="frame"),
    between=("derailleur", "holder"),
)


@ON_HANGER.test(
    "mount",
    reasons={
        "mount-differs": Verdict.NO_FIT,
        "link-wanted": Verdict.NEEDS_ADAPTER,
        "no-lug": Verdict.NEEDS_ADAPTER,
        "hole-to-tap": Verdict.NEEDS_WORK,
        "stop-to-file": Verdict.NEEDS_WORK,
        "mounts-not-told": Verdict.NOT_KNOWN,
    },
    mount=deciding("derailleur.mount.form"),
    lug=deciding("holder.hanger.form"),
    pairs=table("shifting.hangers"),
    link=adapter_kind("rd.link"),
    claw=adapter_kind("rd.claw"),
)
def mount(mount: WordFigure, lug: WordFigure, pairs: RowTable, link: AdapterPairs, claw: AdapterPairs) -> Outcome:
    """The derailleur's upper end is made for the lug, or its own link makes it so; an old lug may be cut for it."""
    for row in pairs.dicts():
        if mount == str(row["derailleur"]) and lug == str(row["lug"]):
            said = {
                "yes": fits(),
                "link-off": fits("link-off"),
                "link": needs_adapter("link-wanted", link.row),
                "claw": needs_adapter("no-lug", claw.row),
                "tap": needs_work("hole-to-tap"),
                "notch": needs_work("stop-to-file"),
                "no": no_fit("mount-differs"),
            }
            return said[str(row["go"])]
    return not_known("mounts-not-told")


HANGER_ON_FRAME = joint(
    "drivetrain.hanger-on-frame",
    "replaceable hanger on the frame",
    """
    What meets: a hanger that is bolted on, and the seat for it on the frame.

    Why it matters: there are hundreds of outlines, and only the universal hanger has one for all frames built for it.

    What to do: order by the frame's make, model and year, or lay the old hanger on the picture.

    Measure: the outline and the bolt holes, on a photograph beside a ruler.

    Caution: a hanger that rocks on its seat lets the derailleur run into the spokes.
    """,
    place(piece="derailleur_hanger", holder="frame"),
)


@HANGER_ON_FRAME.test(
    "seat",
    reasons={
        "hanger-is-fixed": Verdict.NO_FIT,
        "seat-differs": Verdict.NO_FIT,
        "outline-not-told": Verdict.NOT_KNOWN,
    },
    piece_seat=deciding("piece.piece.seat"),
    frame_seat=deciding("holder.hanger.seat"),
)
def hanger_seat(piece_seat: WordFigure, frame_seat: WordFigure) -> Outcome:
    """A universal hanger goes on frames built for it; of any other only the outline tells."""
    if frame_seat == "fixed":
        return no_fit("hanger-is-fixed")
    if piece_seat != frame_seat:
        return no_fit("seat-differs")
    return fits() if piece_seat == "universal" else not_known("outline-not-told")


# ------------------------------------------------------------------------------------------------------------ the work

HANGER_ON_FRAME.step("hanger-on", before=("rd-on",), tools=("hex-4",))

ON_HANGER.step(
    "rd-on",
    before=("chain-on",),
    torques=(Torque("torque.rear-derailleur"),),
    tools=("hex-5", "hanger-gauge", "torque-wrench"),
    uses=notes("use.grease-threads"),
    practice=("practice.hanger-straight",),
)
