"""What every workshop knows and no page states: rows marked as common practice, which ``interfaces`` shows."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from catalog_schema import library
from catalog_schema.interface import TradeFigure
from solver.cli import app

LIBRARY = library.load()


def practices() -> dict[str, TradeFigure]:
    return {
        r.id: r
        for r in LIBRARY.rows.values()
        if isinstance(r, TradeFigure) and r.grounds.basis == "common practice" and not r.grounds.sources
    }


#: (words of the row's title or note, figures that it must hold)
KNOWN = [
    ("steerer", {2, 3}),
    ("spacers", {20, 25}),
    ("star nut", {10, 15}),
    ("clamp", {"31.8", 35}),
    ("rear", {135, 142, 148, 157}),
    ("front", {100, 110}),
    ("axle", {12, 15, 5}),
    ("face plate", {5}),
]


@pytest.mark.parametrize(("word", "figures"), KNOWN, ids=[w for w, _ in KNOWN])
def test_a_practice_with_figures_is_a_row(word: str, figures: set[object]) -> None:
    wanted = {str(f) for f in figures}
    found = [
        r
        for r in practices().values()
        if word in f"{r.title} {r.grounds.note} {' '.join(r.names)}".lower()
        and wanted <= {format(v.normalize(), "f") for v in r.values.values()}
    ]
    assert found, f"no common practice about {word} with {sorted(wanted)}"
    for row in found:
        shown = CliRunner().invoke(app, ["interfaces", row.id])
        assert shown.exit_code == 0
        assert "common practice" in shown.stdout


@pytest.mark.parametrize("words", [("front", "rear"), ("hub", "rotor"), ("body", "cassette")], ids="-".join)
def test_a_practice_in_words_is_a_row(words: tuple[str, ...]) -> None:
    texts = {i: f"{r.title} {r.grounds.note}".lower() for i, r in practices().items() if not r.values}
    assert [i for i, text in texts.items() if all(w in text for w in words)], texts


def test_the_cassette_lockring_takes_forty() -> None:
    row = LIBRARY.figure("torque.cassette-lockring")
    assert {format(v.normalize(), "f") for v in row.values.values()} == {"40"}
