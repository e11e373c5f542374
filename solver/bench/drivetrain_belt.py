"""Figures of a toothed belt: how many teeth go round, and where the belt on the list is tight."""

from __future__ import annotations

from decimal import Decimal

from solver.bench.registry import Worked, either, figure, nearest
from solver.formulas import belt as belts
from solver.rules.registry import Read, confirming, deciding, place


@figure(
    "drivetrain.belt-length",
    place(belt="belt", frame="frame", crank="crank", ring="chainring", cog="cog"),
    formula="formula.belt-length",
    gives={
        "around_teeth": nearest("0.01"),
        "belt_teeth": None,
        "tight_mm": nearest("0.1"),
        "back_mm": nearest("0.1"),
        "forward_mm": nearest("0.1"),
    },
    remarks=("whole-teeth", "belt-too-short"),
    where={"belt.strap.drives": ("wheel",)},
    caution=True,
    ordered=True,
    stay=deciding("frame.chain_stay.length_mm"),
    front=either(Read("ring.ring.teeth", optional=True), "crank.rings.single_teeth"),
    rear=deciding("cog.bore.teeth"),
    pitch=deciding("belt.strap.pitch_mm"),
    length=confirming("belt.strap.teeth"),
)
def belt_length(stay: Decimal, front: Decimal, rear: Decimal, pitch: Decimal, length: Decimal | None) -> Worked:
    """How many teeth of belt go round with the stay as stated, and where the axle sits with the belt on the list."""
    around = belts.teeth(stay, front, rear, pitch)
    if length is None:
        return Worked({"around_teeth": around}, ("whole-teeth",))
    tight = belts.distance(length, front, rear, pitch)
    if tight is None:
        return Worked({"around_teeth": around, "belt_teeth": length}, (), ("belt-too-short",))
    results = {"around_teeth": around, "belt_teeth": length, "tight_mm": tight}
    moved = tight - stay
    if moved:
        results["back_mm" if moved > 0 else "forward_mm"] = abs(moved)
    return Worked(results)
