"""Builds for programs: JSON documents, JSON lines, and a picture of compromises.

In: records of ``builds``. Out: text. Prices are whole minor units, masses exact numbers; a figure that is not stated is
null, and a sum tells beside it how many are.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from html import escape
from typing import Any, Final

from solver.builds import (
    Added,
    Build,
    BuildsReport,
    ChoicesReport,
    Counts,
    Hindrance,
    Purchase,
    Refused,
    TradeoffReport,
)
from solver.render import files, machine
from solver.wording import builds as told

Json = dict[str, Any]


def builds(report: BuildsReport) -> Json:
    """Return the answer of ``builds``."""
    return {
        "title": report.title,
        "exit_code": report.exit_code,
        "counts": _counts(report.counts),
        "hindrance": _hindrance(report.hindrance),
        "counts_keep_budget": report.budget_counted,
        "by": report.by,
        "accept": report.level.word,
        "currency": report.currency or None,
        "open": list(report.open_slots),
        "empty": list(report.empty),
        "left_out_for_missing_figures": report.left_out,
        "some_if_known": report.if_known,
        "judged": report.judged,
        "differing": list(report.differing),
        "builds": [build(b) for b in report.shown],
    }


def _counts(counts: Counts) -> Json:
    found: Json = {"fits": counts.fits, "needs_adapter": counts.adapter, "needs_work": counts.work}
    if counts.unknown is not None:
        found["not_known"] = counts.unknown
    return found


def _hindrance(found: Hindrance | None) -> Json | None:
    if found is None:
        return None
    return {
        "conditions": list(found.conditions),
        "within_days": found.within_days,
        "where": list(found.where),
        "budget_minor": found.budget_minor,
        "cheapest_minor": found.cheapest_minor,
    }


def build(found: Build) -> Json:
    """Return one build."""
    return {
        "level": found.level.word,
        "price_minor": found.price_minor,
        "unpriced": found.unpriced,
        "mass_g": found.mass_g,
        "unweighed": found.unweighed,
        "lead_days": found.lead_days,
        "undated": found.undated,
        "parts": [_purchase(p) for p in found.purchases],
        "to_add": [_added(a) for a in found.added],
        "no_plain_fit": {i: v.word for i, v in found.open_joints},
    }


def _purchase(found: Purchase) -> Json:
    return {
        "number": found.number or None,
        "slots": list(found.slots),
        "price_minor": found.price_minor,
        "mass_g": found.mass_g,
        "stock": found.stock,
        "lead_days": found.lead_days,
        "given": found.given,
    }


def _added(found: Added) -> Json:
    return {
        "slot": found.slot,
        "setting": found.setting,
        "numbers": list(found.numbers) or [p.number for p in found.purchases],
        "parts": [_purchase(p) for p in found.purchases],
    }


def line(number: int, found: Build) -> str:
    """Return one build as one line."""
    document = {"format_version": machine.FORMAT_VERSION, "command": "builds", "build": number, **build(found)}
    return _compact(document) + "\n"


def _compact(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{json.dumps(str(k))}: {_compact(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_compact(v) for v in value) + "]"
    return format(value, "f") if isinstance(value, Decimal) else json.dumps(value)


def choices(report: ChoicesReport) -> Json:
    """Return the answer of ``choices``."""
    return {
        "title": report.title,
        "exit_code": report.exit_code,
        "counts": _counts(report.counts),
        "hindrance": _hindrance(report.hindrance),
        "currency": report.currency or None,
        "choices": [
            {
                "slot": c.slot,
                "possible": [{**_purchase(p), "verdict": v.word} for p, v in c.possible],
                "refused": [_refused(r) for r in c.refused],
            }
            for c in report.choices
        ],
    }


def _refused(found: Refused) -> Json:
    return {
        "number": found.purchase.number or None,
        "why": found.why,
        "partners": list(found.partners),
        "finding": machine.finding(found.finding) if found.finding is not None else None,
    }


def tradeoff(report: TradeoffReport) -> Json:
    """Return the answer of ``tradeoff``."""
    return {
        "title": report.title,
        "exit_code": report.exit_code,
        "counts": _counts(report.counts),
        "hindrance": _hindrance(report.hindrance),
        "by": ["price", "mass"],
        "accept": report.level.word,
        "currency": report.currency or None,
        "builds": [build(b) for b in report.points],
    }


_WIDE: Final = 640
_HIGH: Final = 400
_EDGE: Final = 70


def picture(report: TradeoffReport) -> str:
    """Return the compromises as SVG: price to the right, mass upward; each point is named by its figures."""
    points = report.points
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}" font-family="sans-serif" '
        'font-size="12">',
        files.SVG_MARK,
        f"<title>{escape(report.title or 'Price and mass')}</title>",
        f'<rect width="{_WIDE}" height="{_HIGH}" fill="white"/>',
        f'<path d="M{_EDGE} 20V{_HIGH - 40}H{_WIDE - 20}" fill="none" stroke="black"/>',
        f'<text x="{_WIDE // 2}" y="{_HIGH - 8}" text-anchor="middle">price</text>',
        f'<text x="14" y="{_HIGH // 2}" transform="rotate(-90 14 {_HIGH // 2})" text-anchor="middle">mass</text>',
    ]
    if points:
        low, high = points[0].price_minor, points[-1].price_minor
        light, heavy = points[-1].mass_g, points[0].mass_g
        at = []
        for found in points:
            x = _EDGE + 15 + int((found.price_minor - low) * (_WIDE - _EDGE - 60) / max(high - low, 1))
            y = 30 + int((heavy - found.mass_g) * (_HIGH - 90) / max(heavy - light, Decimal(1)))
            at.append((x, y))
        path = " ".join(f"{x},{y}" for x, y in at)
        out.append(f'<polyline points="{path}" fill="none" stroke="#888"/>')
        for (x, y), found in zip(at, points, strict=True):
            name = f"{told.money(found.price_minor, report.currency)}, {format(found.mass_g.normalize(), 'f')} g"
            out.append(f'<circle cx="{x}" cy="{y}" r="4"><title>{escape(name)}</title></circle>')
        for text, x, y, anchor in (
            (told.money(low, report.currency), _EDGE + 15, _HIGH - 24, "start"),
            (told.money(high, report.currency), _WIDE - 20, _HIGH - 24, "end"),
            (f"{format(heavy.normalize(), 'f')} g", _EDGE - 6, 34, "end"),
            (f"{format(light.normalize(), 'f')} g", _EDGE - 6, _HIGH - 56, "end"),
        ):
            out.append(f'<text x="{x}" y="{y}" text-anchor="{anchor}">{escape(text)}</text>')
    return "\n".join([*out, "</svg>"]) + "\n"
