"""Reasons and remedies for programs, and fitting them on a screen.

In: records of ``remedies``. Out: JSON documents; rows of text.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any, TextIO

from catalog_schema.lean import replace
from solver.remedies import (
    Bridge,
    Change,
    Clash,
    CompareReport,
    JoinReport,
    MeasureReport,
    Misses,
    Remedies,
    SwapReport,
    WhyReport,
)
from solver.render import layout, machine, terminal
from solver.render.layout import LINES, Row
from solver.report import Offer
from solver.wording.remedies import Told

Json = dict[str, Any]


def why(report: WhyReport, *, sources: Any = None) -> Json:
    """Return the answer of ``why``: that of ``check``, with clashes and changes."""
    found = machine.check(report.check, sources=sources)
    found["exit_code"] = report.exit_code
    found["clashes"] = [_clash(c) for c in report.clashes]
    found["all_clashes"] = report.all_clashes
    found["changes"] = _remedies(report.remedies)
    found["near_misses"] = [_misses(m) for m in report.misses]
    return found


def _clash(clash: Clash) -> Json:
    return {
        "picks": list(clash.picks),
        "numbers": list(clash.names),
        "fills": [list(f) for f in clash.fills],
        "joints": list(clash.joints) or [f.id for f in clash.findings],
        "searched": clash.searched,
        "open": list(clash.open_slots),
        "findings": [machine.finding(f) for f in clash.findings],
    }


def _remedies(found: Remedies) -> Json:
    return {
        "size": found.size if found.changes else None,
        "proven": found.proven,
        "why_none": found.why_none or None,
        "keep": list(found.kept),
        "ways": [change(c) for c in found.changes],
    }


def change(found: Change) -> Json:
    """Return a change: its edits can be written into the list as they are."""
    brought = found.consequences
    return {
        "given_up": list(found.given_up),
        "edits": dict(found.edits),
        "added": list(found.added),
        "extras": list(found.extras),
        "exit_code": found.exit_code,
        "standing": list(found.standing),
        "parts": [{"slot": s, **_offer(o)} for s, o in found.offers],
        "price_minor": found.price_minor,
        "saved_minor": brought.saved_minor,
        "currency": brought.currency,
        "mass_difference_g": brought.mass_g,
        "missing": [{"slot": m.slot, "lacks": m.lacks} for m in brought.missing],
        "idle": list(brought.idle),
        "work": [f.id for f in brought.work],
        "adapters_needed": [f.id for f in brought.adapters],
    }


def _offer(offer: Offer) -> Json:
    price = None
    if offer.price_minor is not None:
        price = {"minor": offer.price_minor, "currency": offer.currency}
    return {"number": offer.number, "price": price, "stock": offer.stock, "lead_days": offer.lead_days}


def _misses(misses: Misses) -> Json:
    return {
        "slot": misses.slot,
        "tried": misses.tried,
        "fallen": [{"finding": f.finding, "reason": f.reason, "count": f.count} for f in misses.fallen],
        "nearest": [{**_offer(n.offer), "findings": [machine.finding(f) for f in n.findings]} for n in misses.nearest],
    }


def swap(report: SwapReport) -> Json:
    """Return the answer of ``swap``."""
    return {
        "title": report.title,
        "slot": report.slot,
        "now": _offer(report.now),
        "by": report.by,
        "exit_code": report.exit_code,
        "substitutes": [change(c) for c in report.substitutes],
        "with_adapter": [change(c) for c in report.with_adapter],
        "changes": _remedies(report.remedies),
        "near_misses": _misses(report.misses) if report.misses is not None else None,
        "standing": [machine.finding(f) for f in report.standing],
        "not_in_stock": report.unstocked,
        "untold": len(report.undecided),
        "undecided": [
            {**_offer(m.offer), "findings": [machine.finding(f) for f in m.findings]} for m in report.undecided
        ],
    }


def join(report: JoinReport) -> Json:
    """Return the answer of ``join``."""
    found = machine.check(report.check)
    found["bridges"] = [_bridge(b) for b in report.bridges]
    found["other_adapters"] = [_bridge(b) for b in report.others]
    return found


def _bridge(bridge: Bridge) -> Json:
    kind = bridge.kind
    return {
        "finding": bridge.finding,
        "adapter": kind.id,
        "slots": list(bridge.slots),
        "limits": kind.limits,
        "caution": kind.caution,
        "effects": list(kind.effects),
        "basis": kind.grounds.basis,
        "sources": [dict(vars(s)) for s in bridge.sources],
        "offers": [_offer(o) for o in bridge.offers],
        "untold": bridge.untold,
    }


def measure(report: MeasureReport) -> Json:
    """Return the answer of ``measure``."""
    worst = report.check.worst
    return {
        "title": report.check.title,
        "verdict": worst.verdict.word if worst is not None else None,
        "exit_code": report.exit_code,
        "at_most": report.worst,
        "exact": report.exact,
        "measurements": [
            {
                "ref": m.ref,
                **machine.hint(m.hint),
                "findings": list(m.findings),
                "outcomes": [
                    {
                        "from": o.low,
                        "from_is_inside": not o.low_open,
                        "to": o.high,
                        "to_is_inside": not o.high_open,
                        "word": o.word or None,
                        "verdict": o.verdict.word if o.verdict is not None else None,
                    }
                    for o in m.meanings
                ],
            }
            for m in report.measurements
        ],
        "ask_the_maker": [f.id for f in report.asking],
    }


def compare(report: CompareReport) -> Json:
    """Return the answer of ``compare``."""
    return {
        "exit_code": report.exit_code,
        "before": report.before.title,
        "after": report.after.title,
        "slots": [{"slot": s, "before": a or None, "after": b or None} for s, a, b in report.slots],
        "unchanged": report.same,
        "joints": [
            {
                "id": s.id,
                "direction": s.direction,
                "before": machine.finding(s.before) if s.before is not None else None,
                "after": machine.finding(s.after) if s.after is not None else None,
            }
            for s in report.shifts
        ],
    }


def rows(lines: Sequence[str], width: int) -> list[Row]:
    """Return lines wrapped; what a line is pushed in by is kept."""
    found = []
    for line in lines:
        indent = len(line) - len(line.lstrip(" "))
        found += [Row(t) for t in layout.wrap(line, width, indent, 2)]
    return found


def show_why(told: Told, *, full: bool, stream: TextIO | None = None) -> None:
    """Print the first sentence and why, what helps, then the findings as far as the screen goes."""
    out = stream or sys.stdout
    width = terminal.width_of(out)
    answer = replace(told.rest, headline=told.lead.head)
    top = len(layout.wrap(told.lead.head, width))
    mine = [*layout.under(told.lead, width, full=full), *rows(told.lines, width)]
    if full:
        rest = layout.everything(answer, width)
    else:
        mine = mine[: LINES // 2 + 2]
        rest = layout.fitted(answer, width, LINES - len(mine))
    terminal.show([*rest[:top], *mine, *rest[top:]], out)


def show(lines: Sequence[str], *, full: bool, stream: TextIO | None = None) -> None:
    """Print lines; not in full, what is beyond the screen is one counted line."""
    out = stream or sys.stdout
    found = rows(lines, terminal.width_of(out))
    if not full and len(found) > LINES:
        left = len(found) - LINES + 1
        found = [*found[: LINES - 1], Row(f"{left} more lines; --full shows all.")]
    terminal.show(found, out)
