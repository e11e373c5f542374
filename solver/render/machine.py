"""Answers for programs: one JSON document.

In: reports. Out: text. Figures are JSON numbers, exact, under keys that end in the unit; ids of rows, joints and slots
are those of the data. Findings hold no sentences and no trade names, and parts only under ``labels``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Any, Final

from catalog_schema.faults import Fault
from catalog_schema.hints import Hint
from catalog_schema.interface import Reading, Row
from catalog_schema.quantity import NOT_PRINTED, Choice, Limit, Measure, Range, Series, Value
from catalog_schema.source import Source
from solver.report import (
    AdapterNeed,
    CardReport,
    CheckReport,
    Finding,
    JointPage,
    MissingPart,
    Offer,
    Overview,
    RowsReport,
    RuleReport,
    Shelf,
    ShownFigure,
    TestResult,
)
from solver.wording import words

#: 1 (2026-11): first form.
FORMAT_VERSION: Final = 1

Json = dict[str, Any]


def text(command: str, document: Json) -> str:
    """Return a whole document as text, with a line end."""
    whole = {"format_version": FORMAT_VERSION, "command": command, **document}
    return _written(whole, "") + "\n"


def _written(value: Any, indent: str) -> str:
    """Return JSON text; decimals stand as they are, which the standard writer cannot do."""
    deeper = indent + "  "
    if isinstance(value, Mapping):
        if not value:
            return "{}"
        items = [f"{deeper}{json.dumps(str(k))}: {_written(v, deeper)}" for k, v in value.items()]
        return "{\n" + ",\n".join(items) + f"\n{indent}}}"
    if isinstance(value, list | tuple):
        if not value:
            return "[]"
        if all(isinstance(v, str | int | Decimal) for v in value):
            return "[" + ", ".join(_written(v, deeper) for v in value) + "]"
        return "[\n" + ",\n".join(deeper + _written(v, deeper) for v in value) + f"\n{indent}]"
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, str) or value is None or isinstance(value, bool | int):
        return json.dumps(value)
    raise TypeError(f"no JSON for a {type(value).__name__}")


def check(report: CheckReport, *, sources: Mapping[str, Any] | None = None) -> Json:
    """Return the answer of ``check``, ``meet`` and ``why``."""
    worst = report.worst
    found: Json = {
        "title": report.title,
        "verdict": worst.verdict.word if worst is not None else None,
        "perhaps": worst.perhaps.word if worst is not None and worst.perhaps is not None else None,
        "exit_code": report.exit_code,
        "counts": {
            "judged": len(report.judged),
            **{k.replace("-", "_"): len(report.in_state(k)) for k in ("follows", "not-asked", "does-not-arise")},
        },
        "notices": [{"notice": n, "about": a} for n, a in report.notices],
        "findings": [finding(f) for f in report.findings],
        "missing": [_missing(m) for m in report.missing],
        "open": list(report.open_slots),
        "adapters_needed": [_need(n) for n in report.needs],
        "cures": [{"finding": c.finding, **_shelf(c.shelf)} for c in report.cures],
        "chosen": dict(report.chosen),
    }
    if sources is not None:
        found["rows"] = sources
    return found


def finding(found: Finding) -> Json:
    """Return one finding with everything in it."""
    return {
        "id": found.id,
        "joint": found.joint,
        "place": found.place,
        "state": found.state,
        "verdict": found.verdict.word if found.state == "judged" else None,
        "perhaps": found.perhaps.word if found.perhaps is not None and found.state == "judged" else None,
        "reason": found.reason if found.state == "judged" else "",
        "safety": found.safety,
        "slots": list(found.slots),
        "follows": found.follows,
        "through": list(found.through),
        "settings": [{"slot": s, "group": g, "option": o or None} for s, g, o in found.settings],
        "remarks": list(found.remarks),
        "tests": [_test(t) for t in found.tests],
        "labels": dict(found.labels),
    }


def _test(result: TestResult) -> Json:
    return {
        "test": result.test,
        "verdict": result.verdict.word,
        "perhaps": result.perhaps.word if result.perhaps is not None else None,
        "reason": result.reason,
        "possible": [v.word for v in result.possible],
        "figures": [figure(f) for f in result.figures],
        "missing": list(result.missing),
        "remarks": list(result.remarks),
        "adapters": list(result.adapters),
        "rows": list(result.rows),
    }


def figure(shown: ShownFigure) -> Json:
    """Return a figure: its value under a key that ends in its unit."""
    key = shown.ref.rpartition(".")[2] or shown.name
    found: Json = {"name": shown.name, "ref": shown.ref, key: value(shown.value)}
    if isinstance(shown.value, Measure) and shown.value.resolution is not None:
        found[f"resolution_{key.rpartition('_')[2]}"] = shown.value.resolution
    if shown.named is not None:
        found[f"named_{key}"] = value(shown.named)
    if shown.row:
        found["row"] = shown.row
    return found


def value(shown: Value | Decimal | None) -> Any:
    """Return a value as JSON holds it."""
    if isinstance(shown, Measure):
        return shown.value
    if isinstance(shown, Choice):
        return list(shown.options)
    if isinstance(shown, Series):
        return list(shown.values)
    if isinstance(shown, Range):
        return {"from": shown.low, "to": shown.high}
    if isinstance(shown, Limit):
        return NOT_PRINTED if shown.value is None else shown.value
    return shown


def _missing(part: MissingPart) -> Json:
    return {
        "slot": part.slot,
        "fastening": part.fastening,
        "because": part.because,
        "lacks": part.lacks,
        "said_none": part.said_none,
        "figures": [figure(f) for f in part.figures],
        "shelf": _shelf(part.shelf) if part.shelf is not None else None,
    }


def _need(need: AdapterNeed) -> Json:
    return {
        "finding": need.finding,
        "kinds": list(need.kinds),
        "shelf": _shelf(need.shelf) if need.shelf is not None else None,
    }


def _shelf(shelf: Shelf) -> Json:
    return {"slot": shelf.slot, "offers": [_offer(o) for o in shelf.offers], "untold": shelf.untold}


def _offer(offer: Offer) -> Json:
    price = None
    if offer.price_minor is not None:
        price = {"minor": offer.price_minor, "currency": offer.currency}
    return {"number": offer.number, "price": price, "stock": offer.stock, "lead_days": offer.lead_days}


def faults(found: Iterable[Fault]) -> Json:
    """Return what is wrong with the input."""
    return {"faults": [asdict(f) for f in found]}


def overview(report: Overview) -> Json:
    """Return what can be asked."""
    return {"count": report.count, "groups": [{"name": n, "items": list(items)} for n, items in report.groups]}


def rows(report: RowsReport) -> Json:
    """Return rows of the library."""
    return {"word": report.word, "rows": [row(r, report) for r in report.rows]}


def row(found: Row, report: RowsReport) -> Json:
    """Return one row of the library with its sources."""
    whole: Json = {"id": found.id, "type": type(found).__name__, "area": report.areas.get(found.id, "")}
    whole |= {k: _plain(v) for k, v in vars(found).items() if k not in ("id", "grounds")}
    whole |= {k: _plain(v) for k, v in vars(found.grounds).items() if k != "sources"}
    whole["sources"] = [_plain(s) for s in report.sources.get(found.id, ())]
    return whole


def _plain(found: Any) -> Any:
    if isinstance(found, Reading | Source):
        return {k: _plain(v) for k, v in vars(found).items()}
    if isinstance(found, Mapping):
        return {str(k): _plain(v) for k, v in found.items()}
    if isinstance(found, list | tuple):
        return [_plain(v) for v in found]
    return found


def rule(report: RuleReport) -> Json:
    """Return the page of a joint."""
    return {
        "joint": page(report.page),
        "adapters": [row(a, report.rows) for a in report.adapters],
        "rows": rows(report.rows)["rows"],
    }


def page(found: JointPage) -> Json:
    """Return what is written down of a joint."""
    return {
        "id": found.id,
        "title": found.title,
        "safety": found.safety,
        "page": [{"heading": h, "text": t} for h, t in found.sections],
        "places": [{"place": p.name, "roles": dict(p.roles), "adapter": p.adapter or None} for p in found.places],
        "presupposes": list(found.presupposes),
        "tests": [
            {
                "test": t.id,
                "page": t.page,
                "reads": [
                    {"name": r.parameter, "ref": r.ref, "role": r.role, "limit": r.limit_kind, "optional": r.optional}
                    for r in t.reads
                ],
                "asked_if": list(t.asked_if),
                "silent": t.silent,
                "asked_unless": list(t.asked_unless),
                "asked_anyway": list(t.asked_anyway),
                "rows": list(t.rows),
                "reasons": {reason: [v.word for v in verdicts] for reason, verdicts in t.reasons},
            }
            for t in found.tests
        ],
    }


def card(report: CardReport) -> Json:
    """Return a measuring card."""
    return {
        "kind": report.kind,
        "slots": list(report.slots),
        "question": report.question,
        "figures": [
            {"port": c.port, "figure": c.figure, "type": c.type, "accepts": list(c.accepts), **hint(c.hint)}
            for c in report.lines
        ],
    }


def hint(how: Hint) -> Json:
    """Return how a figure is measured."""
    return {
        "words": how.words,
        "tool": how.tool,
        "from": how.start,
        "to": how.end,
        "look": how.look,
        "safety": how.safety,
    }


def row_sources(report: CheckReport) -> Json:
    """Return why each row is believed that a finding rests on."""
    ids = sorted({r for f in report.findings for t in f.tests for r in t.rows})
    return {i: words.grounds_of(i) for i in ids}
