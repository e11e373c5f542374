"""Builds, choices and compromises in words: lines of a fixed width, and tables of what differs.

In: records of ``builds``. Out: lines. Counts are printed whole, with commas.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Final

from solver.builds import (
    Added,
    Build,
    BuildsReport,
    Choice,
    ChoicesReport,
    Counts,
    Hindrance,
    Purchase,
    Refused,
    TradeoffReport,
)
from solver.report import CheckReport, JointPage, Verdict
from solver.wording import store, words
from solver.wording.finding import said, title

#: A table of so many lines, the sums included, keeps an answer on a screen.
ROWS_AT_MOST: Final = 14
_LABEL: Final = 20
_NAMED_AT_MOST: Final = 6
#: More digits than this are told by their number as well.
_LONG: Final = 24


def _text(*path: str, **values: str) -> str:
    table = store.file("builds")
    for step in path:
        table = table[step]
    return store.filled(str(table), values) or str(table)


def number(count: int) -> str:
    """Return a count, whole.

    >>> number(21644129719296)
    '21,644,129,719,296'
    """
    text = f"{count:,}"
    digits = len(str(count))
    return f"{text} ({digits} digits)" if digits > _LONG else text


def hindrance(found: Hindrance, currency: str) -> str:
    """Return what was asked that leaves no build."""
    if found.conditions == ("budget",) and found.budget_minor is not None:
        budget = money(found.budget_minor, currency)
        if found.cheapest_minor is None:
            return _text("hindrance", "budget-only", budget=budget)
        return _text("hindrance", "budget", budget=budget, cheapest=money(found.cheapest_minor, currency))
    days, where = words.counted(found.within_days or 0, "day"), words.listed(list(found.where), "and")
    asked = [_text("hindrance", c, days=days, where=where) for c in found.conditions]
    return _text("hindrance", "others", asked=words.listed(asked, "and"))


def counts(
    found: Counts, *, allowed: int = 0, if_known: bool = False, without: Hindrance | None = None, currency: str = ""
) -> str:
    """Return how many builds there are; where there is none, what was asked that leaves none."""
    if without is not None:
        return hindrance(without, currency)
    if not found.known and not found.unknown:
        return _text("count", "if_known" if if_known else "nothing")
    first = {0: _text("count", "none"), 1: _text("count", "one")}.get(found.fits)
    beside = []
    if found.adapter > found.fits:
        beside.append(_text("count", "adapter", adapter=number(found.adapter)))
    if found.work > found.adapter:
        beside.append(_text("count", "work", work=number(found.work)))
    if found.unknown is not None and found.unknown > found.work:
        joints = words.counted(allowed, "joint")
        beside.append(_text("count", "unknown", allowed=joints, unknown=number(found.unknown)))
    line = first or _text("count", "many", fits=number(found.fits))
    return words.joined([line, words.sentence("; ".join(beside)) if beside else ""])


def money(minor: int, currency: str) -> str:
    """Return an amount.

    >>> money(123450, "EUR")
    '1,234.50 EUR'
    """
    return f"{minor / Decimal(100):,.2f} {currency}".rstrip()


def _price(build: Build, currency: str) -> str:
    if build.unpriced and not build.price_minor:
        return "not stated"
    return money(build.price_minor, currency) + ("+" if build.unpriced else "")


def _mass(build: Build) -> str:
    if build.unweighed and not build.mass_g:
        return "not stated"
    return f"{words.computed(build.mass_g)} g" + ("+" if build.unweighed else "")


def _lead(build: Build) -> str:
    if build.undated:
        return "not stated"
    return "in stock" if build.lead_days == 0 else words.counted(build.lead_days, "day")


def added(found: Added) -> str:
    """Return what a build needs beside its parts."""
    names = [words.clean(p.name) for p in found.purchases] or [words.clean(n) for n in found.numbers]
    slot = words.slot(found.slot) if "@" not in found.slot else "adapter"
    return words.listed(names) if names else f"{slot}, none in stock here"


def builds(report: BuildsReport, width: int) -> list[str]:
    """Return the answer of ``builds``."""
    lines = [
        counts(
            report.counts,
            allowed=report.allow_unknown,
            if_known=report.if_known,
            without=report.hindrance,
            currency=report.currency,
        )
    ]
    if report.title:
        lines[0] = f"{lines[0]} ({words.clean(report.title)})"
    lines = words_wrapped(lines, width)
    if report.shown:
        by = _text("by", report.by if report.by in ("price", "mass", "soonest") else "weighed")
        how = _text("level", report.level.word)
        lines += [
            "",
            f"The {by}, {how}:",
        ]
        lines += table(report, width)
    notes = []
    if any(b.unpriced for b in report.shown):
        notes.append(_text("note", "unpriced"))
    if report.empty:
        notes.append(_text("note", "empty", slots=words.listed([words.slot(s) for s in report.empty])))
    if report.budget_minor is not None and not report.budget_counted:
        notes.append(_text("note", "budget"))
    if report.left_out and (report.counts.known or report.if_known):
        notes.append(_text("note", "left_out", parts=words.counted(report.left_out, "part")))
    notes.append(_text("note", "judged", judged=f"{report.judged:,}"))
    return [*lines, "", *words_wrapped(notes, width)]


def table(report: BuildsReport, width: int) -> list[str]:
    """Return what differs between the shown builds, one column a build, and what each comes to."""
    shown = report.shown
    slots = report.differing if len(shown) > 1 else tuple(report.open_slots)
    sums = [
        ("price", [_price(b, report.currency) for b in shown]),
        ("mass", [_mass(b) for b in shown]),
        ("there in", [_lead(b) for b in shown]),
    ]
    if any(b.added for b in shown):
        sums.insert(0, ("to add", [words.listed([added(a) for a in b.added]) or "nothing" for b in shown]))
    if any(v is not Verdict.FITS for b in shown for _, v in b.open_joints):
        sums.insert(0, ("no plain fit", [words.counted(len(b.open_joints), "joint") for b in shown]))
    room = ROWS_AT_MOST - len(sums)
    kept = slots if len(slots) <= room else slots[: room - 1]
    rows = [(words.slot(s), [words.clean(p.name) if (p := b.by_slot.get(s)) else "none" for b in shown]) for s in kept]
    lines = grid([*rows, *sums], width)
    if len(shown) > 1 and len(kept) < len(slots):
        lines.insert(len(kept), f"  {_text('note', 'more', slots=words.counted(len(slots) - len(kept), 'more slot'))}")
    beside = [s for s in report.open_slots if s not in slots] if len(shown) > 1 else list(slots[len(kept) :])
    if beside:
        note = _text("note", "common" if len(shown) > 1 else "rest", parts=_bought(shown[0], beside))
        lines += words_wrapped([f"  {note}"], width)
    return lines


def _bought(build: Build, slots: Sequence[str]) -> str:
    """Return what fills some slots of a build; a purchase that fills several is told once."""
    grouped: dict[str, list[str]] = {}
    for slot in slots:
        if slot in build.by_slot:
            grouped.setdefault(words.clean(build.by_slot[slot].name), []).append(words.slot(slot))
    return ", ".join(f"{words.listed(names)} {number}" for number, names in grouped.items())


def grid(rows: Sequence[tuple[str, Sequence[str]]], width: int) -> list[str]:
    """Return rows of a label and cells, in columns as wide as their widest cell; what does not fit is cut."""
    columns = max((len(cells) for _, cells in rows), default=0)
    label = min(_LABEL, max((len(name) for name, _ in rows), default=0))
    most = max(8, (width - 2 - label) // max(columns, 1) - 2)
    wide = [min(most, max(len(cells[i]) for _, cells in rows)) for i in range(columns)]
    lines = []
    for name, cells in rows:
        texts = [_cut(c, w).ljust(w) for c, w in zip(cells, wide, strict=True)]
        lines.append(f"  {_cut(name, label).ljust(label)}  {'  '.join(texts)}".rstrip())
    return lines


def _cut(text: str, wide: int) -> str:
    return text if len(text) <= wide else text[: max(wide - 2, 1)] + ".."


def words_wrapped(lines: Iterable[str], width: int) -> list[str]:
    """Return lines wrapped at words; numbers of parts stay whole, and what goes on stands further in."""
    out: list[str] = []
    for line in lines:
        inner = " " * (len(line) - len(line.lstrip()) + 2)
        out += textwrap.wrap(line, width, subsequent_indent=inner, break_on_hyphens=False) or [""]
    return out


def _counted(report: ChoicesReport | TradeoffReport) -> str:
    return counts(report.counts, if_known=report.if_known, without=report.hindrance, currency=report.currency)


def choices(report: ChoicesReport, width: int, *, full: bool) -> list[str]:
    """Return the answer of ``choices``; ``full`` names every part and every reason."""
    lines = words_wrapped([_counted(report)], width)
    for choice in report.choices:
        lines += ["", *words_wrapped(_choice(choice, report, full=full), width)]
    if not report.choices:
        lines += ["", "Nothing is to be chosen on this list."]
    return lines


def _choice(choice: Choice, report: ChoicesReport, *, full: bool) -> list[str]:
    total = len(choice.possible) + len(choice.refused)
    head = f"{words.slot(choice.slot)}: {len(choice.possible)} of {words.counted(total, 'part')} possible"
    if not full:
        named = [_named(p, v) for p, v in choice.possible[:_NAMED_AT_MOST]]
        more = len(choice.possible) - len(named)
        listed = ", ".join(named) + (f" and {more} more" if more else "")
        return [words.sentence(f"{head}{': ' if listed else ''}{listed}")]
    lines = [words.sentence(head)]
    for purchase, verdict in choice.possible:
        price = money(purchase.price_minor, report.currency) if purchase.price_minor is not None else "no price"
        lines.append(f"  {_named(purchase, verdict)}: {words.clean(purchase.label)}, {price}")
    reasons: dict[str, list[str]] = {}
    for refused in choice.refused:
        reasons.setdefault(why(refused, report.pages), []).append(words.clean(refused.purchase.name))
    lines += [f"  Not {', '.join(names)}: {reason}" for reason, names in reasons.items()]
    return lines


def _named(purchase: Purchase, verdict: Verdict) -> str:
    mark = {Verdict.NEEDS_ADAPTER: " (with something to add)", Verdict.NEEDS_WORK: " (with work)"}.get(verdict, "")
    return words.clean(purchase.name) + mark


def why(refused: Refused, pages: Mapping[str, JointPage]) -> str:
    """Return why a part is in no build."""
    found = refused.finding
    report = CheckReport("", (found,) if found is not None else (), pages=pages)
    if refused.why == "joint" and found is not None:
        return said(found, report).head
    if refused.why == "no-partner" and found is not None:
        partners = words.listed([words.slot(s) for s in refused.partners], "and")
        return _text("why", "no-partner", joint=words.sentence(title(found, report))[:-1], partners=partners)
    if refused.why == "figures" and found is not None and found.deciding is not None and found.deciding.missing:
        missing = words.listed([words.figure_name(m) for m in found.deciding.missing])
        return _text("why", "figures-named", missing=missing)
    return _text("why", refused.why)


def tradeoff(report: TradeoffReport, width: int) -> list[str]:
    """Return the answer of ``tradeoff``: a plot, and a line for each build on it."""
    lines = words_wrapped([_counted(report)], width)
    points = report.points
    if not points:
        return [*lines, "", "No build has all its prices and masses stated."] if report.counts.known else lines
    lines += ["", f"{words.counted(len(points), 'build')} beaten by no other in both price and mass, by rising price:"]
    if len(points) > 1:
        lines += plot(report, min(width, 76))
    before: Build | None = None
    kept = _spread(len(points), ROWS_AT_MOST - 4)
    for place in kept:
        build = points[place]
        changed = [] if before is None else _changes(before, build)
        text = f"  {_letter(place)}  {money(build.price_minor, report.currency)}, {words.computed(build.mass_g)} g"
        line = text + (f": {', '.join(changed)}" if changed else "")
        lines.append(line if len(line) <= width else line[: width - 4] + " ...")
        before = build
    if len(kept) < len(points):
        lines.append(f"  {len(points) - len(kept)} more between them (--json holds all).")
    return lines


def _spread(count: int, most: int) -> list[int]:
    """Return at most so many places, from the first to the last, evenly spread."""
    if count <= most:
        return list(range(count))
    return [i * (count - 1) // (most - 1) for i in range(most)]


def _changes(before: Build, build: Build) -> list[str]:
    old = before.by_slot
    seen: dict[str, None] = {}
    for slot, purchase in build.by_slot.items():
        if slot not in old or old[slot].name != purchase.name:
            seen[f"{words.slot(purchase.slots[0])} {words.clean(purchase.name)}"] = None
    return list(seen)


def _letter(place: int) -> str:
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    return alphabet[place] if place < len(alphabet) else "*"


def plot(report: TradeoffReport, width: int, height: int = 10) -> list[str]:
    """Return the points as letters on a field: price to the right, mass upward."""
    points = report.points
    low, high = points[0].price_minor, points[-1].price_minor
    light, heavy = points[-1].mass_g, points[0].mass_g
    margin = max(len(f"{words.computed(m)} g") for m in (light, heavy)) + 1
    wide = width - margin - 4
    field = [[" "] * (wide + 1) for _ in range(height)]
    for place, build in enumerate(points):
        x = (build.price_minor - low) * wide // max(high - low, 1)
        y = int((heavy - build.mass_g) * (height - 1) / max(heavy - light, Decimal(1)))
        if field[y][x] == " ":
            field[y][x] = _letter(place)
    names = {0: f"{words.computed(heavy)} g", height - 1: f"{words.computed(light)} g"}
    lines = [f"  {names.get(i, '').rjust(margin)} |{''.join(row)}".rstrip() for i, row in enumerate(field)]
    first, last = money(low, report.currency), money(high, report.currency)
    lines.append(f"  {' ' * margin} +{'-' * wide}")
    lines.append(f"  {' ' * margin}  {first}{last.rjust(max(wide - len(first), len(last) + 1))}")
    return lines
