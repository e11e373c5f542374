"""Rule pages, rows of the library and measuring cards in words.

In: ``RuleReport``, ``RowsReport``, ``CardReport``. Out: plain lines. Nothing is shortened here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

from catalog_schema.hints import hint
from catalog_schema.interface import AdapterKind, Family, Interface, Row, Table, TradeFigure
from solver.report import CardLine, CardReport, Overview, ReadLine, RowsReport, RuleReport, TestPage
from solver.wording import store, words

_ROLES: Final = {
    "deciding": "decides",
    "confirming": "only adds certainty",
    "limit": "a limit that the maker may print",
}
#: Past so many rows only ids and names are listed.
_ROWS_IN_FULL: Final = 12
#: So many of them fit on a screen.
_ROWS_LISTED: Final = 21


def overview(report: Overview) -> list[str]:
    """Return what can be asked, a line a group."""
    before, after = store.common("overview")[report.of].split("|")
    lines = [before.strip().replace("{count}", str(report.count))]
    lines += [f"  {name}: {', '.join(items)}" for name, items in report.groups]
    return [*lines, after.strip()]


def rule(report: RuleReport, *, full: bool = True) -> list[str]:
    """Return the page of a joint; in short, without what is read, the adapters and the rows of the library."""
    page = report.page
    lines = [f"{page.id}: {page.title}", ""]
    for heading, text in page.sections:
        lines.append(f"{heading}: {text}" if heading else text)
    if page.safety:
        lines.append("A mistake here can hurt someone: figures from memory never make this a fit.")
    lines.append("")
    for place in page.places:
        roles = ", ".join(f"{words.slot(s)}" for r, s in place.roles if r != "bicycle")
        between = f"; an adapter may lie between: {words.slot(place.adapter)}" if place.adapter else ""
        lines.append(f"Where: {place.name + ': ' if place.name else ''}{roles}{between}")
    lines += [f"Follows {wanted}: where that does not fit, this is not counted." for wanted in page.presupposes]
    if not full:
        return [*lines, "", *_in_short(report)]
    for test in page.tests:
        lines += ["", *_test(test, report)]
    if report.adapters:
        lines += ["", "Adapters:"]
        for kind in report.adapters:
            lines += [f"  {t}" for t in row_lines(kind, report.rows)]
    others = [r for r in report.rows.rows if not isinstance(r, AdapterKind)]
    if others:
        lines += ["", "From the library:"]
        for row in others:
            lines += [f"  {t}" for t in row_lines(row, report.rows)]
    return lines


def _in_short(report: RuleReport) -> list[str]:
    """Return the tests of a page, a line each, and a line that counts what is left out."""
    lines = [
        f"Test: {t.id}. {' '.join(t.page.split()).partition('. ')[0].removesuffix('.')}." for t in report.page.tests
    ]
    reads = len({r.ref for t in report.page.tests for r in t.reads})
    reasons = sum(len(t.reasons) for t in report.page.tests)
    left = [words.counted(reads, "figure that is read", "figures that are read"), words.counted(reasons, "answer")]
    if report.adapters:
        left.append(words.counted(len(report.adapters), "kind of adapter", "kinds of adapter"))
    if others := sum(not isinstance(r, AdapterKind) for r in report.rows.rows):
        left.append(words.counted(others, "row of the library", "rows of the library"))
    return [*lines, f"{words.sentence(words.listed(left)).removesuffix('.')}, with their sources: --full."]


def _test(test: TestPage, report: RuleReport) -> list[str]:
    lines = [f"Test: {test.id}. {' '.join(test.page.split())}"]
    slots = dict(report.page.places[0].roles) if report.page.places else {}
    lines += [f"  reads: {_read(read, slots)}" for read in test.reads]
    if test.asked_if:
        why = f" ({store.common('silence').get(test.silent, '')})" if test.silent else ""
        lines.append(f"  asked only if stated: {'; '.join(_named(ref, slots) for ref in test.asked_if)}{why}")
    if test.asked_unless:
        lines.append(f"  asked only if not all stated: {'; '.join(_named(r, slots) for r in test.asked_unless)}")
    if test.asked_anyway:
        lines.append(f"  and where all are stated: {'; '.join(_named(r, slots) for r in test.asked_anyway)}")
    labels = store.common("verdict")
    for reason, verdicts in test.reasons:
        lines.append(f"  says: {reason}: {words.listed([labels[v.word] for v in verdicts], 'or')}")
    return lines


def _read(read: ReadLine, slots: Mapping[str, str]) -> str:
    kind = f" ({read.limit_kind} limit)" if read.limit_kind else ""
    return f"{_named(read.ref, slots)}: {_ROLES[read.role]}{kind}"


def _named(ref: str, slots: Mapping[str, str]) -> str:
    """Return the words for a figure of a role, such as ``hub.axle.width_mm``."""
    role, _, path = ref.partition(".")
    return f"{role}, {words.hint_of(f'{slots.get(role, role)}.{path}').words}"


def rows(report: RowsReport, *, full: bool = True) -> list[str]:
    """Return rows of the library: in full if they are few, else one line each, as many as a screen holds."""
    if len(report.rows) > _ROWS_IN_FULL:
        lines = []
        for row in report.rows:
            named = words.row_name(row.id)
            lines.append(f"{row.id}  {named}" if named != row.id else row.id)
        if not full and len(lines) > _ROWS_LISTED:
            lines = [*lines[:_ROWS_LISTED], f"{len(lines) - _ROWS_LISTED} more; --full lists all."]
        return [*lines, f"{words.counted(len(report.rows), 'row')}. A narrower word shows figures and sources."]
    lines = []
    for row in report.rows:
        lines += [*row_lines(row, report), ""]
    return lines[:-1]


def row_lines(row: Row, report: RowsReport) -> list[str]:
    """Return one row: names, figures, why it is believed, readings that differ."""
    title = row.title if isinstance(row, TradeFigure | Table | AdapterKind) else ""
    lines = [f"{row.id}{': ' + title if title else ''}"]
    if row.names:
        lines.append(f"  names: {', '.join(row.names)}")
    lines += [f"  {text}" for text in _body(row)]
    lines += [f"  source: {text}" for text in words.grounds(row)]
    if row.grounds.confidence != "high":
        lines.append(f"  confidence: {row.grounds.confidence}")
    if row.grounds.note:
        lines.append(f"  note: {row.grounds.note}")
    return lines


def _body(row: Row) -> Iterable[str]:
    if isinstance(row, Interface):
        for kind, figures in row.sides.items():
            shown = [f"{_name(kind, k)} {_plain(v, k)}" for k, v in figures.items()]
            yield f"{kind.replace('_', ' ')}: {', '.join(shown)}"
        for name, slack in row.tolerance.items():
            yield f"tolerance: {name} {words.number(slack)}"
        for reading in row.readings:
            named = ", ".join(reading.sources)
            yield f"another source gives: {reading.figure} {reading.value}{f' ({named})' if named else ''}"
    elif isinstance(row, Family):
        yield f"a word for: {', '.join(row.of)}"
    elif isinstance(row, TradeFigure):
        yield ", ".join(f"{_stem(k)} {words.number(v)}{words.unit(k)}" for k, v in row.values.items())
    elif isinstance(row, Table):
        yield " | ".join(row.columns)
        for cells in row.cells:
            yield " | ".join(_plain(c, "") for c in cells)
    elif isinstance(row, AdapterKind):
        yield f"bridges: {row.bridges}"
        for text in (row.limits, row.caution):
            if text:
                yield text


def _stem(key: str) -> str:
    return (key.rpartition("_")[0] if words.unit(key) else key).replace("_", " ")


def _name(kind: str, figure: str) -> str:
    return hint(kind, figure).words


def _plain(value: object, key: str) -> str:
    after = words.unit(key)
    if value is None:
        return "-"
    if isinstance(value, list | tuple):
        return words.listed([_plain(v, "") for v in value], "or") + after
    if isinstance(value, Decimal | int):
        return f"{words.number(Decimal(value))}{after}"
    return words.word(str(value))


def card(report: CardReport) -> list[str]:
    """Return a card in plain words: each figure with tool and points."""
    lines = [f"What to measure on a {report.kind.replace('_', ' ')}{_for(report)}:", ""]
    port = None
    for line in report.lines:
        if line.port != port:
            port = line.port
            lines.append(f"{(port or 'the part itself').replace('_', ' ')}:")
        lines.append(f"  {line.hint.words}: {_how(line)}")
        if line.hint.safety:
            lines.append(f"    {words.sentence(line.hint.safety)}")
    if not report.lines:
        lines.append("Nothing: no joint of this question reads a figure of this part.")
    return lines


def _for(report: CardReport) -> str:
    return f", for the question {report.question}" if report.question else ""


def _how(line: CardLine) -> str:
    points = line.hint
    if points.look:
        how = f"look: {points.look}"
    elif points.start and points.end:
        how = f"{points.tool}, from {points.start} to {points.end}"
    else:
        how = points.tool or "as printed on the part"
    return f"{how}; one of {', '.join(line.accepts)}" if line.accepts and not points.look else how


def card_toml(report: CardReport) -> list[str]:
    """Return a card as TOML: filled in, it is a part record; as it is, every figure is not stated."""
    lines = [
        f"# {report.kind.replace('_', ' ')}{_for(report)}: put figures in place of not-stated, or leave them.",
        "# A measured figure names its tool, as in '27.1 caliper'; 'none' for a side says that the part has none.",
        '[parts."YOUR-NUMBER"]',
        'maker = ""',
        'model = ""',
    ]
    home = f'[parts."YOUR-NUMBER".fills.{report.slots[0] if len(report.slots) == 1 else report.kind}'
    port: str | None = None
    for line in report.lines:
        if line.port != port:
            port = line.port
            lines += ["", f"{home}.{port}]" if port else f"{home}]"]
        lines += [f"# {text}" for text in _comment(line)]
        lines.append(f'{line.figure} = "not-stated"')
    if not report.lines:
        lines += ["", f"{home}]"]
    return lines


def _comment(line: CardLine) -> list[str]:
    texts = [f"{line.hint.words}: {_how(line)}"]
    if line.accepts:
        texts.append(f"one of: {', '.join(line.accepts)}")
    elif line.type == "range":
        texts.append("two ends, as in [47, 57]")
    elif line.type == "limit":
        texts.append('a number, or "not-printed" if you looked and found none')
    if line.hint.safety:
        texts.append(line.hint.safety)
    return [" ".join(t.split()) for t in texts]
