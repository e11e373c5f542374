"""One joint as a drawing to scale (SVG): two figures against each other, what they differ by, whose they are.

In: a ``Picture``. Out: the text of an SVG file, which shows the same everywhere: no scripts, no fonts or pictures from
elsewhere, no colour that says yes or no. What is open is drawn as an opening between jaws, or as a bore; where a
difference is too small to see, the edge is drawn once more, many times as large.
"""

from __future__ import annotations

from html import escape
from typing import Final

from solver.render import files, layout
from solver.render.terminal import harmless
from solver.wording.pictured import Picture, Side

_WIDE: Final = 760
_LEFT: Final = 40
_ROOM: Final = 560
_INK: Final = "#1f2933"
_SOFT: Final = "#d5dbe1"
_LINE: Final = "#5b6773"
_JAW: Final = "#2f5d8a"
_CAPTION_COLUMNS: Final = 84
_LEAST_SEEN: Final = 8.0


def svg(picture: Picture) -> str:
    """Return the drawing."""
    lines = layout.wrap(picture.caption, _CAPTION_COLUMNS)
    body = [_text(_LEFT, 40, picture.title, size=20, bold=True)]
    body += [_text(_LEFT, 68 + 22 * i, line, size=16) for i, line in enumerate(lines)]
    top = 68 + 22 * len(lines) + 16
    if not picture.sides:
        drawn, height = _words(picture, top)
    elif picture.meeting and picture.across:
        drawn, height = _circles(picture, top)
    elif picture.meeting:
        drawn, height = _against(picture, top)
    else:
        drawn, height = _bars(picture, top)
    return "\n".join([*_head(picture, height), *body, *drawn, "</svg>", ""])


def _head(picture: Picture, height: float) -> list[str]:
    return [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE}" height="{height:.0f}" '
        f'viewBox="0 0 {_WIDE} {height:.0f}" font-family="sans-serif" role="img">',
        files.SVG_MARK,
        f"<title>{_safe(picture.title)}</title>",
        f"<desc>{_safe(picture.caption)}</desc>",
        f'<defs><pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<line x1="0" y1="0" x2="0" y2="7" stroke="{_INK}" stroke-width="2"/></pattern></defs>',
        f'<rect width="{_WIDE}" height="{height:.0f}" fill="#ffffff"/>',
    ]


# -- two figures against each other -------------------------------------------------------------------------------


def _against(picture: Picture, top: float) -> tuple[list[str], float]:
    """Draw one part above the other, centred, the ends of the upper carried down."""
    upper, lower = _solid_first(picture.sides)
    scale = _ROOM * 0.8 / float(max(upper.high, lower.high))
    middle = _LEFT + _ROOM / 2 + 40
    half_a, half_b = float(upper.high) * scale / 2, float(lower.high) * scale / 2
    bar, jaws = top + 62, top + 170
    out = _dimension(middle - half_a, middle + half_a, top + 40, f"{upper.slot}: {upper.text}")
    out += [_text(middle, top + 10, upper.what, size=13, anchor="middle", colour=_LINE)]
    out += [_rect(middle - half_a, bar, 2 * half_a, 62, fill=_SOFT)]
    if lower.opening and not upper.opening:
        out += [_rect(middle - half_b - 46, jaws, 46, 62, fill=_JAW), _rect(middle + half_b, jaws, 46, 62, fill=_JAW)]
        out += [_segment(middle - half_b, jaws + 62, middle + half_b, jaws + 62, dashed=True)]
    else:
        out += [_rect(middle - half_b, jaws, 2 * half_b, 62, fill="#ffffff")]
    for edge in (middle - half_a, middle + half_a):
        out.append(_segment(edge, bar + 62, edge, jaws + 62, dashed=True))
    low, high = sorted((half_a, half_b))
    seen = high - low
    if picture.difference and seen > 0:
        for left in (middle - high, middle + low):
            out.append(_rect(left, bar + 66, seen, jaws - bar - 70, fill="url(#hatch)", line=False))
    out += _dimension(middle - half_b, middle + half_b, jaws + 92, f"{lower.slot}: {lower.text}", below=True)
    out += [_text(middle, jaws + 136, lower.what, size=13, anchor="middle", colour=_LINE)]
    bottom = jaws + 150
    if picture.difference:
        out.append(_text(middle, bottom + 22, picture.difference, size=16, anchor="middle", bold=True))
        bottom += 34
        if seen < _LEAST_SEEN:
            drawn, bottom = _enlarged(upper, lower, bottom)
            out += drawn
    return [*out, _text(_LEFT, bottom + 26, "Drawn to scale.", size=12, colour=_LINE)], bottom + 44


def _enlarged(upper: Side, lower: Side, top: float) -> tuple[list[str], float]:
    """Draw the right-hand edges once more, so much larger that their distance can be seen."""
    left, wide, tall = _WIDE / 2 - 150, 300, 78
    more = upper.high > lower.high
    far, near = left + wide * 0.62, left + wide * 0.42
    edge_a, edge_b = (far, near) if more else (near, far)
    out = [_rect(left, top + 8, wide, tall, fill="#ffffff")]
    out += [_rect(left + 1, top + 14, edge_a - left - 1, 28, fill=_SOFT)]
    if lower.opening and not upper.opening:
        out += [_rect(edge_b, top + 50, left + wide - edge_b - 1, 28, fill=_JAW)]
    else:
        out += [_rect(left + 1, top + 50, edge_b - left - 1, 28, fill="#ffffff")]
    out += [_segment(e, top + 10, e, top + 8 + tall, dashed=True) for e in (edge_a, edge_b)]
    note = "The edge on the right, much enlarged, not to scale."
    return [*out, _text(_WIDE / 2, top + tall + 28, note, size=12, anchor="middle", colour=_LINE)], top + tall + 34


def _circles(picture: Picture, top: float) -> tuple[list[str], float]:
    """Draw two diameters round one centre: what is open as the bore of a ring, the other as a disc over it."""
    disc, ring = _solid_first(picture.sides)
    scale = 230 / float(max(disc.high, ring.high))
    x, y = _LEFT + 160, top + 150
    radius_a, radius_b = float(disc.high) * scale / 2, float(ring.high) * scale / 2
    out = []
    if ring.opening and not disc.opening:
        out.append(_circle(x, y, radius_b + 26, fill=_JAW))
        out.append(_circle(x, y, radius_b, fill="#ffffff"))
    if not ring.opening or disc.opening:
        out += [_circle(x, y, radius_b, fill="none")]
    if picture.difference:
        low, high = sorted((radius_a, radius_b))
        out.append(_ring(x, y, low, high))
    out.append(_circle(x, y, radius_a, fill=_SOFT, see_through=radius_a > radius_b))
    right = _LEFT + 350
    rows = ((disc, radius_a, y - 46), (ring, radius_b, y + 46))
    for side, radius, at in rows:
        drop = at - y
        edge = x + max(0.0, radius**2 - drop**2) ** 0.5
        out.append(_segment(edge, at, right - 10, at, dashed=True))
        out.append(_text(right, at - 2, f"{side.slot}: {side.text} across", size=16))
        out.append(_text(right, at + 17, side.what, size=13, colour=_LINE))
    bottom = top + 310
    if picture.difference:
        out.append(_text(right, y + 116, picture.difference, size=16, bold=True))
        if abs(radius_a - radius_b) < _LEAST_SEEN:
            drawn, bottom = _enlarged(disc, ring, bottom)
            out += drawn
    return [*out, _text(_LEFT, bottom + 20, "Drawn to scale.", size=12, colour=_LINE)], bottom + 40


def _solid_first(sides: tuple[Side, ...]) -> tuple[Side, Side]:
    """Return the two sides, that of an opening last."""
    first, second = sides[0], sides[1]
    return (second, first) if first.opening and not second.opening else (first, second)


# -- several figures, and words -----------------------------------------------------------------------------------


def _bars(picture: Picture, top: float) -> tuple[list[str], float]:
    """Draw several figures as bars from one edge."""
    scale = _ROOM / float(max(s.high for s in picture.sides))
    out = []
    for at, side in enumerate(picture.sides):
        y = top + 62 * at
        out.append(_text(_LEFT, y + 14, f"{side.slot}: {side.text} ({side.what})", size=14))
        out.append(_rect(_LEFT, y + 20, float(side.high) * scale, 24, fill=_SOFT))
    bottom = top + 62 * len(picture.sides)
    return [*out, _text(_LEFT, bottom + 22, "Drawn to scale.", size=12, colour=_LINE)], bottom + 40


def _words(picture: Picture, top: float) -> tuple[list[str], float]:
    """Draw two words side by side where no number decides."""
    out = []
    for at, (slot, what, word) in enumerate(picture.named):
        x = _LEFT + 350 * at
        out.append(_rect(x, top, 320, 130, fill=_SOFT if not at else "#ffffff"))
        out.append(_text(x + 160, top + 34, slot, size=16, anchor="middle", bold=True))
        out.append(_text(x + 160, top + 76, word, size=18, anchor="middle"))
        out.append(_text(x + 160, top + 110, what, size=13, anchor="middle", colour=_LINE))
    return out, top + 160


# -- strokes ------------------------------------------------------------------------------------------------------


def _dimension(left: float, right: float, y: float, text: str, *, below: bool = False) -> list[str]:
    """Draw a line with an arrow at each end, and what it measures."""
    out = [_segment(left, y, right, y)]
    for x, turn in ((left, 1), (right, -1)):
        out.append(_segment(x, y - 7, x, y + 7))
        out.append(f'<path d="M{x:.1f} {y:.1f} l{9 * turn} -4 v8 z" fill="{_INK}"/>')
    middle = (left + right) / 2
    return [*out, _text(middle, y + 22 if below else y - 10, text, size=16, anchor="middle")]


def _text(
    x: float, y: float, text: str, *, size: int, anchor: str = "start", bold: bool = False, colour: str = _INK
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    place = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" fill="{colour}"{weight}'
    return f"<text {place}>{_safe(text)}</text>"


def _rect(x: float, y: float, wide: float, tall: float, *, fill: str, line: bool = True) -> str:
    stroke = f' stroke="{_INK}" stroke-width="1.5"' if line else ""
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(0.0, wide):.1f}" height="{tall:.1f}" fill="{fill}"{stroke}/>'


def _circle(x: float, y: float, radius: float, *, fill: str, see_through: bool = False) -> str:
    seen = ' fill-opacity="0.55" stroke-dasharray="6 4"' if see_through else ""
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}" stroke="{_INK}" stroke-width="1.5"{seen}/>'
    )


def _ring(x: float, y: float, low: float, high: float) -> str:
    """Return the hatched ring between two circles."""
    paths = " ".join(
        f"M{x - r:.1f} {y:.1f} a{r:.1f} {r:.1f} 0 1 0 {2 * r:.1f} 0 a{r:.1f} {r:.1f} 0 1 0 {-2 * r:.1f} 0 z"
        for r in (high, low)
    )
    return f'<path d="{paths}" fill="url(#hatch)" fill-rule="evenodd"/>'


def _segment(x1: float, y1: float, x2: float, y2: float, *, dashed: bool = False) -> str:
    dash = ' stroke-dasharray="5 4"' if dashed else ""
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    return f'<line {ends} stroke="{_LINE if dashed else _INK}" stroke-width="1.2"{dash}/>'


def _safe(text: str) -> str:
    return escape(harmless(text))
