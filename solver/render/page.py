"""The bench sheet as a page to print: what cannot be undone large enough for arm's length, then the order of work.

In: a ``BenchReport``. Out: one HTML document that needs nothing else, no network and no scripts. The first page is A4:
warnings, large figures, the steps in two columns with a box for each. What is to be measured and the other figures
follow.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from html import escape
from typing import Final

from solver.render.terminal import harmless
from solver.report_bench import BenchReport
from solver.wording import bench, words
from solver.wording import bench_work as work
from solver.wording.bench import Told

#: What tells a page of ours from another file of the same name.
MARK: Final = '<meta name="generator" content="fitwright bench">'

#: Sizes of the type of the steps, in points; the largest with which the first page holds them all is taken.
_SIZES: Final = tuple(Decimal(n) / 2 for n in range(20, 12, -1))
#: The first page in points: its height without margins, a large figure, title and headings, a column's width.
_PAGE: Final = 775
_LARGE: Final = 44
_WIDE: Final = 33
_WIDE_FROM: Final = 12
_AROUND: Final = 104
_WARNING: Final = 54
_COLUMN: Final = 226
#: Height of a line and mean width of a letter, as parts of the size of the type.
_LINE: Final = Decimal("1.2")
_LETTER: Final = Decimal("0.5")
_GAP: Final = Decimal("1.5")

_STYLE: Final = """
@page { size: A4 portrait; margin: 11mm 12mm; }
* { box-sizing: border-box; }
body { font: 10pt/1.25 "DejaVu Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff; margin: 0 auto;
  max-width: 186mm; }
h1 { font-size: 14pt; margin: 0 0 1mm; }
h2 { font-size: 10.5pt; margin: 3mm 0 1mm; border-top: 0.6pt solid #000; padding-top: 1mm; }
p { margin: 0 0 1mm; }
.warn { font-weight: bold; font-size: 13pt; border: 2pt solid #000; padding: 2mm 3mm; margin: 2mm 0; }
.big { border-collapse: collapse; width: 100%; margin: 2mm 0 0; }
.big td { border-bottom: 0.6pt solid #000; padding: 0.5mm 0; vertical-align: middle; }
.big .what { font-size: 12pt; width: 43%; padding-right: 3mm; }
.big .size { font-size: 30pt; font-weight: bold; line-height: 1.05; text-align: right; }
.big .size.wide { font-size: 17pt; white-space: nowrap; }
ol { columns: 2; column-gap: 6mm; margin: 0; padding: 0; list-style: none; }
li { break-inside: avoid; padding-left: 10mm; text-indent: -10mm; margin: 0 0 0.5mm; }
li b { white-space: nowrap; }
li .box { display: inline-block; width: 2.6mm; height: 2.6mm; border: 0.6pt solid #000; margin: 0 1.4mm 0 0;
  text-indent: 0; }
li .no { display: inline-block; width: 6mm; text-align: right; padding-right: 1.2mm; text-indent: 0; }
.rest { break-before: page; }
.rest article { break-inside: avoid; margin: 0 0 2mm; }
.rest h3 { font-size: 10pt; margin: 0; display: inline; }
.caution { font-style: italic; }
table.grid { border-collapse: collapse; font-size: 8.5pt; }
table.grid td, table.grid th { padding: 0 3mm 0 0; text-align: right; font-weight: normal; }
table.grid td:first-child, table.grid th:first-child { text-align: left; }
.end { margin-top: 2mm; font-style: italic; font-size: 8.5pt; }
"""


def page(report: BenchReport) -> str:
    """Return the sheet as an HTML document."""
    every = bench.all_told(report)
    steps = work.told(report.steps)
    warnings = [w for t in every for w in t.warnings]
    figures = bench.short(report)
    large = bench.big(every)
    body = [
        f"<h1>{_text(bench.title(report))}</h1>",
        f'<div class="{"warn" if report.exit_code == 1 else "state"}">{_text(bench.state(report))}</div>',
        *(f'<div class="warn">{_text(w)}</div>' for w in warnings),
        _large(large),
        *_steps(steps, figures, _room(large, len(warnings) + (report.exit_code == 1))),
        f'<p class="end">{_text(bench.closing())}</p>',
        '<div class="rest">',
        *_to_measure(every),
        *_rest(every),
        *_practice(steps),
        "</div>",
    ]
    head = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"{MARK}<title>{_text(bench.title(report))}</title>\n<style>{_STYLE}</style></head>\n<body>\n"
    )
    return head + "\n".join(b for b in body if b) + "\n</body></html>\n"


def _room(large: Sequence[tuple[str, str]], warnings: int) -> int:
    """Return how many points of height the large figures and the warnings leave for the steps."""
    return _PAGE - _AROUND - warnings * _WARNING - sum(_WIDE if len(s) > _WIDE_FROM else _LARGE for _, s in large)


def _text(text: str) -> str:
    """Return a text as it may stand on a page: no markup of anybody's is obeyed."""
    return escape(harmless(text))


def _large(figures: Sequence[tuple[str, str]]) -> str:
    rows = []
    for what, size in figures:
        wide = " wide" if len(size) > _WIDE_FROM else ""
        rows.append(f'<tr><td class="what">{_text(what)}</td><td class="size{wide}">{_text(size)}</td></tr>')
    return f'<table class="big">{"".join(rows)}</table>' if rows else ""


def _to_measure(every: Iterable[Told]) -> Iterable[str]:
    waiting = [t for t in every if t.measure]
    if not waiting:
        return
    yield f"<h2>{_text(bench.heading('measure'))}</h2>"
    for one in waiting:
        yield f"<p>{_text(one.title[0].upper() + one.title[1:])}: {_text(' '.join(one.measure))}</p>"


def _steps(steps: Sequence[work.ToldStep], figures: dict[str, str], height: int) -> Iterable[str]:
    """Return the steps, in type of a size that lets them fit in so many points of height."""
    if not steps:
        return
    yield f"<h2>{_text(bench.heading('order'))}</h2>"
    texts = [(s, bench.figures_of(s, figures)) for s in steps]
    items = []
    for step, tight in texts:
        bold = "".join(f" <b>{_text(t)}</b>" for t in tight)
        seen = f"<br><i>{_text(step.check)}</i>" if step.check else ""
        number = f'<span class="box"></span><span class="no">{step.number}</span>'
        items.append(f"<li>{number}{_text(step.do)}{bold}{seen}</li>")
    blocks = [(f"{s.do} {' '.join(tight)}", s.check) for s, tight in texts]
    size = next((p for p in _SIZES if _height(blocks, p) <= height), _SIZES[-1])
    yield f'<ol style="font-size: {size}pt; line-height: {_LINE}">{"".join(items)}</ol>'


def _height(blocks: Sequence[tuple[str, ...]], size: Decimal) -> Decimal:
    """Return how high texts come to be in two columns, in type of this size; a little more rather than less."""
    letters = int(_COLUMN / (_LETTER * size))
    lines = sum(-(-len(text) // letters) for block in blocks for text in block)
    return (lines * _LINE * size + len(blocks) * _GAP) / 2


def _rest(every: Iterable[Told]) -> Iterable[str]:
    shown = [t for t in every if not t.measure]
    if not shown:
        return
    yield f"<h2>{_text(bench.heading('figures'))}</h2>"
    warned: set[str] = set()
    for one in shown:
        parts = [f"<h3>{_text(one.title[0].upper() + one.title[1:])}.</h3> {_text(' '.join(one.lines))}"]
        if one.grid:
            parts.append(_grid(one.grid))
        if one.caution and one.caution not in warned:
            warned.add(one.caution)
            parts.append(f'<p class="caution">{_text(one.caution)}</p>')
        yield f"<article>{''.join(parts)}</article>"


def _practice(steps: Sequence[work.ToldStep]) -> Iterable[str]:
    """Return what practice teaches, by the number of the step, each piece where it is first needed."""
    said: set[str] = set()
    rows = []
    for step in steps:
        new = [p for p in step.taught if p not in said]
        said.update(new)
        texts = [words.sentence(step.uses), *new, f"<i>{_text(step.tools)}</i>" if step.tools else ""]
        if any(texts):
            rows.append(f"<p>{step.number}. {' '.join(t if t[:3] == '<i>' else _text(t) for t in texts if t)}</p>")
    if rows:
        yield f"<h2>{_text(bench.heading('practice'))}</h2>"
        yield from rows


def _grid(grid: Sequence[Sequence[str]]) -> str:
    head = "".join(f"<th>{_text(c)}</th>" for c in grid[0])
    rows = "".join(f"<tr>{''.join(f'<td>{_text(c)}</td>' for c in line)}</tr>" for line in grid[1:])
    return f'<table class="grid"><tr>{head}</tr>{rows}</table>'
