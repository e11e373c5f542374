"""How the cost grows, as a picture: ``python -m tests.benchmarks.growth`` draws ``growth.svg`` from ``growth.json``.

In: what ``python -m tests.benchmarks`` stored. Out: an SVG of two panels, both axes in powers of ten or two: time
against the size of the catalogue, and against the number of slots.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
DATA, PICTURE = HERE / "growth.json", HERE / "growth.svg"
Points = Sequence[tuple[float, float]]
WIDTH, HEIGHT, LEFT, TOP, BOTTOM = 360, 250, 58, 40, 46


def store(
    made: Mapping[int, dict[str, Any]],
    slots: Sequence[dict[str, Any]],
    shops: Mapping[int, dict[str, Any]],
    narrow: Sequence[dict[str, Any]],
) -> None:
    """Keep the measured times, in milliseconds."""

    def searched(found: dict[str, Any]) -> float:
        return round(1000 * float(found["compile"] + found["count"]), 2)

    data = {
        "catalogue": {
            "made, 32 slots: compile and count": [
                (s, round(f["compile"] + f["count"], 2)) for s, f in made.items() if s
            ],
            "shop, 22 slots: compile and count": [(s, searched(f)) for s, f in shops.items()],
            "shop, 22 slots: ask the rules": [(s, round(1000 * f["judge and weave"], 2)) for s, f in shops.items()],
        },
        "slots": {
            "made, 500 a slot: compile and count": [(f["slots"], round(f["compile"] + f["count"], 2)) for f in slots],
            "shop, 100 a slot: compile and count": [(f["slots"], searched(f)) for f in narrow],
            "shop, 100 a slot: ask the rules": [(f["slots"], round(1000 * f["judge and weave"], 2)) for f in narrow],
        },
    }
    DATA.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


def panel(title: str, lines: Mapping[str, Points], left: int, ticks: Sequence[int]) -> list[str]:
    """One panel, drawn from ``left`` on."""
    every = [p for points in lines.values() for p in points]
    low_y, high_y = (
        10 ** math.floor(math.log10(min(y for _, y in every))),
        10 ** math.ceil(math.log10(max(y for _, y in every))),
    )
    low_x, high_x = min(ticks), max(ticks)

    def x(value: float) -> float:
        return left + LEFT + (WIDTH - LEFT - 16) * math.log(value / low_x) / math.log(high_x / low_x)

    def y(value: float) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM) * (1 - math.log(value / low_y) / math.log(high_y / low_y))

    out = [f'<text x="{left + LEFT}" y="20" font-weight="bold">{title}</text>']
    power = low_y
    while power <= high_y:
        words = f"{power:g} ms" if power < 1000 else f"{power / 1000:g} s"
        out.append(
            f'<line x1="{x(low_x):.1f}" x2="{x(high_x):.1f}" y1="{y(power):.1f}" y2="{y(power):.1f}" stroke="#ddd"/>'
        )
        out.append(f'<text x="{x(low_x) - 6:.1f}" y="{y(power) + 4:.1f}" text-anchor="end">{words}</text>')
        power *= 10
    under = HEIGHT - BOTTOM + 18
    out += [f'<text x="{x(tick):.1f}" y="{under}" text-anchor="middle">{tick:,}</text>' for tick in ticks]
    for (name, points), (dash, dot) in zip(lines.items(), (("", "#000"), ("", "#888"), ("5 4", "#888")), strict=False):
        path = " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in points)
        out.append(
            f'<polyline points="{path}" fill="none" stroke="{dot}" stroke-width="1.6" stroke-dasharray="{dash}"/>'
        )
        out += [
            f'<circle cx="{x(a):.1f}" cy="{y(b):.1f}" r="2.6" fill="{dot}"><title>{name}: {b:g} ms</title></circle>'
            for a, b in points
        ]
    return out


def picture(data: Mapping[str, Mapping[str, Points]]) -> str:
    """The whole picture."""
    body = panel("Parts a slot", data["catalogue"], 0, (20, 100, 500, 2000))
    body += panel("Slots", data["slots"], WIDTH, (4, 8, 16, 32, 64, 128))
    height = HEIGHT + 62
    for at, (words, dash, shade) in enumerate(
        (
            ("made instance: compile and count", "", "#000"),
            ("shop's catalogue: compile and count", "", "#888"),
            ("shop's catalogue: ask the rules", "5 4", "#888"),
        )
    ):
        line = HEIGHT + 4 + 18 * at
        pen = f'stroke="{shade}" stroke-width="1.6" stroke-dasharray="{dash}"'
        body.append(f'<line x1="{LEFT}" x2="{LEFT + 34}" y1="{line}" y2="{line}" {pen}/>')
        body.append(f'<text x="{LEFT + 42}" y="{line + 4}">{words}</text>')
    size = f'viewBox="0 0 {2 * WIDTH} {height}" width="{2 * WIDTH}" height="{height}"'
    style = 'font-family="sans-serif" font-size="12" fill="#000"'
    paper = f'<rect width="{2 * WIDTH}" height="{height}" fill="#fff"/>'
    return "\n".join([f'<svg xmlns="http://www.w3.org/2000/svg" {size} {style}>', paper, *body, "</svg>", ""])


def main() -> None:
    """Draw the picture."""
    PICTURE.write_text(picture(json.loads(DATA.read_text(encoding="utf-8"))), encoding="utf-8")


if __name__ == "__main__":
    main()
