"""The bench sheet in words: figures with what to do, how they are worked out, and what has to be measured first.

In: records of ``report_bench``. Out: texts for a screen or a page. The sentences of a figure stand in
``bench_<area>.toml``: title, lines, remarks, caution, names of columns.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from catalog_schema.lean import dataclass, replace
from solver.report import NO, Verdict
from solver.report_bench import BenchFigure, BenchReport, Input, Result
from solver.wording import bench_work as work
from solver.wording import store, words
from solver.wording.finding import how_to_measure

#: Places that are told beside a name; others tell two kinds of the same part apart, of which a bicycle has one.
_SIDES: Final = ("front", "rear", "middle ring", "inner ring")
_ROUNDED: Final = {"nearest": "to the nearest", "up": "up to a full", "down": "down to a full"}


@dataclass(frozen=True, slots=True)
class Told:
    """A figure in words. ``big`` is what must be readable at arm's length, ``short`` what a step says of it.

    ``work`` tells how it came about.
    """

    title: str
    big: str
    lines: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    measure: tuple[str, ...] = ()
    grid: tuple[tuple[str, ...], ...] = ()
    caution: str = ""
    work: tuple[str, ...] = ()
    lasting: bool = False
    area: str = ""
    name: str = ""
    place: str = ""
    big_words: str = ""
    at: str = ""
    short: str = ""
    held: bool = False


def told(figure: BenchFigure, *, sources: bool = False) -> Told:
    """Return a figure in words."""
    table = sentences(figure.id)
    values = {r.key: words.value_text(r.value, r.key) for r in figure.results}
    if figure.state == "held":
        return _held(table, figure)
    known = figure.state == "known"
    remarks = tuple(_remark(table, r, values) for r in figure.remarks)
    lines = tuple(t for line in table.get("lines", ()) if (t := store.filled(str(line), values))) if known else ()
    return Told(
        _title(table, figure),
        _big(str(table.get("big", "")), values),
        (*lines, *remarks, *_taken(figure)),
        tuple(_remark(table, w, values) for w in figure.warnings),
        tuple(_measure(figure)),
        _grid(table, figure),
        str(table.get("caution", "")) if figure.caution else "",
        tuple(_work(figure, sources=sources)),
        figure.lasting,
        figure.area,
        _name(table, figure.id),
        figure.place if figure.place in _SIDES else "",
        str(table.get("big_words", "")),
        figure.at,
        _big(str(table.get("short", table.get("big", ""))), values) if known else "",
    )


def _held(table: dict[str, Any], figure: BenchFigure) -> Told:
    """Return a figure by which nothing is to be done yet: its place on the sheet, without the figure."""
    return Told(
        _title(table, figure),
        "",
        tuple(_why_held(figure)),
        caution=str(table.get("caution", "")) if figure.caution else "",
        lasting=True,
        held=True,
        area=figure.area,
        name=_name(table, figure.id),
        place=figure.place if figure.place in _SIDES else "",
        big_words=str(table.get("big_words", "")),
        at=figure.at,
    )


def _why_held(figure: BenchFigure) -> Iterable[str]:
    """Return why nothing is to be done by a figure: what is still to be named, chosen or found out."""
    sheet = store.common_bench("sheet")
    if figure.unsaid:
        yield str(sheet["unsaid"]).format(slots=words.listed([words.slot(s) for s in figure.unsaid]))
    if figure.to_choose:
        yield str(sheet["to_choose"]).format(slots=words.listed([words.slot(s) for s in figure.to_choose]))
    if figure.doubts:
        yield str(sheet["doubts"]).format(joints=_named(figure.doubts))
    if not (figure.unsettled or figure.doubts):
        yield str(sheet["held" if figure.lasting else "held_order"])


def _taken(figure: BenchFigure) -> Iterable[str]:
    """Return what was taken for granted where nothing can be undone."""
    taken = [f"{input_name(i)} {input_value(i)}" for i in figure.inputs if i.origin == "assumed"]
    if figure.lasting and figure.state == "known" and taken:
        yield f"Not stated and taken as: {words.listed(taken)}."


def _big(key: str, values: Mapping[str, str]) -> str:
    """Return what is to be read at arm's length: one result by its key, or several in a few words with holes."""
    return (store.filled(key, values) or "") if store.holes(key) else values.get(key, "")


def sentences(figure_id: str) -> dict[str, Any]:
    """Return what is written of a figure; an empty table if nothing is."""
    return dict(store.file(f"bench_{figure_id.partition('.')[0]}").get(figure_id, {}))


def _name(table: dict[str, Any], figure_id: str) -> str:
    return str(table.get("title", figure_id.partition(".")[2].replace("-", " ")))


def _title(table: dict[str, Any], figure: BenchFigure) -> str:
    name = _name(table, figure.id)
    return f"{figure.place} {name}" if figure.place in _SIDES else name


def _remark(table: dict[str, Any], remark: str, values: dict[str, str]) -> str:
    text = str(table.get("remark", {}).get(remark, remark.replace("-", " ")))
    return store.filled(text, values) or text


def _measure(figure: BenchFigure) -> Iterable[str]:
    for ref in figure.missing:
        contradicts = " Its name and its measurement contradict each other." if ref in figure.disagree else ""
        text = how_to_measure(ref)
        yield f"measure {text[0].lower()}{text[1:]}{contradicts}"


def _grid(table: dict[str, Any], figure: BenchFigure) -> tuple[tuple[str, ...], ...]:
    if figure.grid is None:
        return ()
    names = table.get("column", {})
    head = tuple(str(names.get(c, c)) for c in figure.grid.columns)
    lines = tuple(
        tuple(_cell(c, key) for c, key in zip(line, figure.grid.columns, strict=True)) for line in figure.grid.lines
    )
    return (head, *lines)


def _cell(value: Decimal | str | None, key: str) -> str:
    if value is None:
        return "-"
    return words.slot(value) if isinstance(value, str) else words.number(value or abs(value)) + words.unit(key)


def _work(figure: BenchFigure, *, sources: bool) -> Iterable[str]:
    """Return how a figure came about: the formula, each input with its origin, each rounding, the sources."""
    yield f"formula: {words.row_name(figure.formula)}"
    for given in figure.inputs:
        yield f"{input_name(given)}: {input_value(given)} ({origin(given)})"
    for result in figure.results:
        if result.rounding:
            yield rounding(result)
    if sources:
        for row in figure.rows:
            for line in words.grounds_of(row):
                yield f"source: {words.row_name(row)}: {line}"


def input_name(given: Input) -> str:
    """Return what an input is."""
    row, colon, key = given.ref.partition(":")
    if not colon:
        return words.figure_name(given.ref)
    key = key.rpartition("_")[0].replace("_", " ") or key
    return f"{words.row_name(row)}, {key}"


def input_value(given: Input) -> str:
    """Return the value of an input with its unit."""
    return words.value_text(given.value, given.ref.rpartition(":")[2].rpartition(".")[2])


def origin(given: Input) -> str:
    """Return where an input comes from."""
    if given.origin == "library":
        return f"library, {given.row}"
    if given.origin == "catalogue":
        return f"catalogue, {given.number}"
    return "the list" if given.origin == "list" else "assumed"


def rounding(result: Result) -> str:
    """Return how a result was rounded, from what."""
    how, _, step = result.rounding.partition(" ")
    exact = words.value_text(result.exact, result.key)
    return f"{result.key.rpartition('_')[0].replace('_', ' ')}: {exact}, rounded {_ROUNDED[how]} {step}"


def title(report: BenchReport) -> str:
    """Return what the sheet is called."""
    return f"Bench sheet ({words.clean(report.title)})" if report.title else "Bench sheet"


def state(report: BenchReport) -> str:
    """Return whether the list fits at all, what it lacks, and how many figures are still to be measured."""
    red = [f.id for f in report.check.judged if f.verdict in NO]
    unknown = [f.id for f in report.check.judged if f.verdict is Verdict.NOT_KNOWN]
    if red:
        first = f"Cut nothing yet: {words.counted(len(red), 'joint does', 'joints do')} not fit ({_named(red)})."
    elif any(f.warnings for f in report.figures):
        first = "Cut nothing yet: read the warning first."
    elif unknown:
        one = "it fits" if len(unknown) == 1 else "they fit"
        first = f"Of {words.counted(len(unknown), 'joint')} it is not known whether {one} ({_named(unknown)})."
    else:
        first = f"All {len(report.check.judged)} joints can be put together."
    missing = [words.slot(m.slot) for m in report.check.missing if not m.lacks]
    lacks = f"Missing: {words.listed(missing)}." if missing else ""
    open_ones = [f for f in report.figures if f.state == "measure"]
    todo = f"{words.counted(len(open_ones), 'figure waits', 'figures wait')} for a measurement." if open_ones else ""
    open_parts = [f for f in report.figures if f.state == "held" and f.unsettled]
    choose = f"{words.counted(len(open_parts), 'figure waits', 'figures wait')} for a choice." if open_parts else ""
    return words.joined([first, lacks, todo, choose])


def _named(joints: Sequence[str]) -> str:
    more = f" and {len(joints) - 2} more" if len(joints) > 2 else ""
    return f"{', '.join(joints[:2])}{more}; check says why"


def heading(section: str) -> str:
    """Return the heading of a section."""
    return str(store.common_bench("heading")[section])


def closing() -> str:
    """Return the last line: whose word goes before the sheet."""
    return words.sentence(str(store.common_bench("sheet")["closing"]))


def all_told(report: BenchReport, *, sources: bool = False, apart: bool = False) -> list[Told]:
    """Return every figure in words; front and rear as one where they say the same, unless ``apart``."""
    every = [told(f, sources=sources) for f in report.figures]
    return every if apart else _merged(every)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the sheet; one of a table is ``fixed``: its spaces stay. ``loud``: someone may be hurt."""

    text: str
    fixed: bool = False
    loud: bool = False


def big(every: Iterable[Told]) -> list[tuple[str, str]]:
    """Return what must be readable at arm's length: what is done, and the figure; what cannot be undone first.

    A figure that cannot be undone and waits keeps its line, to be filled in by hand.
    """
    shown = [t for t in every if (t.big and not t.measure) or (t.lasting and (t.measure or t.held))]
    sheet = store.common_bench("sheet")
    found = []
    for one in sorted(shown, key=lambda t: (not t.lasting, bool(t.measure))):
        doing = f"{one.place}: {one.big_words}" if one.place and one.big_words else one.big_words or one.title
        found.append((doing[0].upper() + doing[1:], one.big or str(sheet["not_yet" if one.held else "waits"])))
    return found


def lines(report: BenchReport, *, full: bool = False, sources: bool = False) -> list[Line]:
    """Return the sheet for a screen: what cannot be undone, what is to be measured, the other figures, the steps."""
    every = all_told(report, sources=sources, apart=full or sources)
    found = [
        Line(f"{title(report)}. {state(report)}", loud=report.exit_code == 1),
        *_loud(every),
        *_at_arms_length(every),
        *_not_asked(report),
    ]
    warned: set[str] = set()
    for at, chosen in (
        ("lasting", [t for t in every if t.lasting and not t.measure]),
        ("measure", [t for t in every if t.measure]),
        ("figures", [t for t in every if not t.lasting and not t.measure]),
    ):
        if chosen:
            found += [Line(""), Line(f"{heading(at)}:")]
            for one in chosen if full or sources or at != "measure" else _told_once(chosen):
                found += _block(one, warned, full=full or sources)
    if report.steps:
        found += [Line(""), Line(f"{heading('order')}:")]
        known = short(report)
        for step in work.told(report.steps):
            found += _step(step, known, full=full or sources)
    return [*found, Line(""), Line(closing())]


def _told_once(waiting: Iterable[Told]) -> Iterable[Told]:
    """Yield figures that wait, each measurement told where it is wanted first; later it is only counted."""
    told_of: set[str] = set()
    for one in waiting:
        new = tuple(t for t in one.measure if t not in told_of)
        again = words.counted(len(one.measure) - len(new), "figure")
        told_of.update(new)
        yield one if new == one.measure else replace(one, measure=(*new, f"{'and ' if new else ''}{again} named above"))


def _loud(every: Iterable[Told]) -> list[Line]:
    return [Line(f"  {w}", loud=True) for t in every for w in t.warnings]


def _at_arms_length(every: Iterable[Told]) -> list[Line]:
    table = big(every)
    return [Line(""), *(Line(f"  {t}", fixed=True) for t in columns(table))] if table else []


def _not_asked(report: BenchReport) -> Iterable[Line]:
    """Say which figures that cannot be undone lack one part to be on the sheet."""
    told_of = {_name(sentences(f.id), f.id) for f in report.figures}
    for one in report.not_asked:
        figure = one.at.partition("@")[0]
        name = _name(sentences(figure), figure)
        if one.lasting and len(one.lacks) == 1 and name not in told_of:
            told_of.add(name)
            yield Line(f"  Not on this sheet: {name}. No {words.slot(one.lacks[0])} on the list.")


def short(report: BenchReport) -> dict[str, str]:
    """Return what a step says of each figure that it needs; of one that waits, that it waits."""
    sheet = store.common_bench("sheet")
    found = {}
    for one in all_told(report, apart=True):
        waits = str(sheet["not_yet"]) if one.held else str(sheet["waits"]) if one.measure and one.big_words else ""
        if text := one.short or waits:
            found[one.at] = text
    return found


def figures_of(step: work.ToldStep, known: Mapping[str, str]) -> list[str]:
    """Return the figures of a step: those of the sheet, then how tight."""
    return [*dict.fromkeys(known[f] for f in step.figures if f in known), *step.torques]


def _step(step: work.ToldStep, known: Mapping[str, str], *, full: bool) -> list[Line]:
    figures = "; ".join(figures_of(step, known))
    found = [Line(f"{step.number:>3}. {step.do}" + (f" {figures}." if figures else ""))]
    more = [*((f"check: {step.check}",) if step.check else ()), *(step.uses and (f"use: {step.uses}",))]
    if full:
        more += [*(step.tools and (f"tools: {step.tools}",)), *step.practice]
    return found + [Line(f"     {t}") for t in more]


def _merged(every: Iterable[Told]) -> list[Told]:
    """Return figures of which front and rear say the same as one."""
    found: list[Told] = []
    for one in every:
        before = found[-1] if found else one
        if found and before.place and one.place and _said(before) == _said(one):
            both = f"{before.place} and {one.place}"
            found[-1] = replace(before, title=f"{both} {one.name}", place=both)
        else:
            found.append(one)
    return found


def _said(one: Told) -> Told:
    return replace(one, title="", place="", work=(), at="")


def _block(one: Told, warned: set[str], *, full: bool) -> list[Line]:
    """Return the lines of a figure; a caution that stands above already is not said again."""
    name = words.sentence(one.title).rstrip(".")
    texts = [*((t, True) for t in one.warnings), *((t, False) for t in (*one.lines, *one.measure))]
    found = [Line(f"  {name}: {t}" if not i else f"    {t}", loud=loud) for i, (t, loud) in enumerate(texts)]
    found = found or [Line(f"  {name}:")]
    if one.grid:
        found += [Line(f"    {t}", fixed=True) for t in columns(one.grid)]
    if one.caution and not one.measure and one.caution not in warned:
        warned.add(one.caution)
        found.append(Line(f"    Caution: {one.caution}"))
    if full:
        found += [Line(f"      {t}") for t in one.work]
    return found


def columns(grid: Sequence[Sequence[str]]) -> list[str]:
    """Return a table in columns, the first to the left, the others to the right."""
    wide = [max(len(line[i]) for line in grid) for i in range(len(grid[0]))]
    return [
        "  ".join(c.ljust(w) if not i else c.rjust(w) for i, (c, w) in enumerate(zip(line, wide, strict=True))).rstrip()
        for line in grid
    ]
