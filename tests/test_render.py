"""Screens and documents: what fits in 24 lines, what is never left out, and what hostile text cannot do."""

from __future__ import annotations

import io
import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_schema.quantity import Choice, Limit, Measure, Range
from solver.render import layout, machine, terminal
from solver.report import CheckReport, Finding, ShownFigure, TestResult, Verdict
from solver.wording.answer import Answer
from solver.wording.finding import Said, Tag


class Tty(io.StringIO):
    def isatty(self) -> bool:
        return True


def said(name: str, *, red: bool = False, words: int = 20, lines: int = 3) -> Said:
    text = " ".join(["word"] * words)
    tags: tuple[Tag, ...] = ("because", "do", "measure", "note")
    return Said(name, f"Does not fit. {text} ({name})", tuple((t, text) for t in tags[:lines]), bold=False, red=red)


def answer(*findings: Said, missing: int = 0, notes: int = 0) -> Answer:
    return Answer(
        "Does not fit: 1 of 12 joints.",
        findings,
        tuple(
            f"Missing: part {i}. The frame takes one of these, and none is listed on this list." for i in range(missing)
        ),
        tuple(f"Judged with setting {i}." for i in range(notes)),
        "12 joints judged: 11 fits, 1 does not fit. Beside these: 0 follow, 3 not asked, 0 not arising.",
    )


@given(
    st.integers(0, 60), st.integers(0, 40), st.integers(0, 20), st.integers(0, 3), st.integers(1, 60), st.integers(0, 4)
)
def test_an_answer_fits_24_lines_and_names_every_no(
    reds: int, others: int, missing: int, notes: int, words: int, lines: int
) -> None:
    found = [said(f"a.b{i}@x", red=True, words=words, lines=lines) for i in range(reds)]
    found += [said(f"c.d{i}", words=words, lines=lines) for i in range(others)]
    rows = layout.fitted(answer(*found, missing=missing, notes=notes))
    text = "\n".join(r.text for r in rows)
    assert len(rows) <= 24
    assert all(layout.cells(r.text) <= 100 for r in rows)
    flat = " ".join(text.split())
    for i in range(reds):
        assert f"a.b{i}@x" in flat
    hidden = sum(f"(c.d{i})" not in flat for i in range(others))
    if hidden:
        assert f"{hidden} more joint" in flat


def test_what_there_is_room_for_is_shown() -> None:
    rows = layout.fitted(answer(said("a.b", red=True), missing=2))
    text = "\n".join(r.text for r in rows)
    assert "because" in text
    assert "measure" in text
    assert "Missing: part 1. The frame takes" in text


def test_missing_parts_are_named_in_one_line_when_there_is_no_room() -> None:
    rows = layout.fitted(answer(*(said(f"a.b{i}", words=25) for i in range(8)), missing=9))
    text = " ".join(r.text for r in rows)
    assert "Missing: part 0, part 1," in text


def test_the_full_answer_leaves_nothing_out() -> None:
    found = answer(*(said(f"a.b{i}", red=True) for i in range(40)), missing=30)
    text = "\n".join(r.text for r in layout.everything(found))
    assert text.count("because") == 40
    assert text.count("Missing: part") == 30


def test_wrapping_keeps_wide_and_endless_words_inside() -> None:
    for text in ("x" * 1000, "日本語" * 200, "a\u0301" * 300, " ".join(["日本"] * 200)):
        assert all(layout.cells(line) <= 100 for line in layout.wrap(text))


@given(st.lists(st.text("abcdefgh", min_size=1, max_size=30)), st.integers(0, 8), st.integers(40, 120))
def test_wrapping_loses_no_word(found: list[str], indent: int, width: int) -> None:
    lines = layout.wrap(" ".join(found), width, indent, 2)
    assert " ".join(lines).split() == found
    assert all(layout.cells(line) <= width for line in lines)


def test_bold_is_for_danger_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    plain, loud = Tty(), Tty()
    terminal.show([layout.Row("calm")], plain)
    terminal.show([layout.Row("unsafe", bold=True)], loud)
    assert "\x1b" not in plain.getvalue()
    assert "\x1b[1m" in loud.getvalue()


def test_no_color_means_no_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm")
    stream = Tty()
    terminal.show([layout.Row("unsafe", bold=True), layout.Row("calm")], stream)
    assert "\x1b[3" not in stream.getvalue()


def test_a_file_gets_plain_text(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    stream = io.StringIO()
    terminal.show([layout.Row("unsafe", bold=True)], stream)
    assert stream.getvalue() == "unsafe\n"


@pytest.mark.parametrize("text", ["[bold red]x[/]", "\x1b[31mred", "a\rb", "x\u202ey", ":warning:", "[link=file:///]"])
def test_nobodys_text_is_obeyed(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    for stream in (io.StringIO(), Tty()):
        terminal.show([layout.Row(text)], stream)
        shown = stream.getvalue()
        assert shown == "".join(c if c.isprintable() else "?" for c in text) + "\n"


def finding(*figures: ShownFigure) -> Finding:
    result = TestResult("width", Verdict.NO_FIT, "too-wide", figures=figures, possible=(Verdict.NO_FIT,))
    return Finding("wheels.x", "rear", "judged", Verdict.NO_FIT, None, "too-wide", ("frame", "rear_hub"), (result,))


def test_figures_are_exact_numbers_with_the_unit_in_the_key() -> None:
    report = CheckReport(
        "t",
        (
            finding(
                ShownFigure("hub_width", "rear_hub.axle.width_mm", Measure(Decimal("142.10"), Decimal("0.1")), "row.a"),
                ShownFigure("opening", "frame.dropout.width_mm", Choice((Decimal(135), Decimal(142)))),
                ShownFigure("most", "frame.tyre_room.tyre_max_mm", Limit(None)),
                ShownFigure("span", "rear_tube.body.tyre_width_mm", Range(None, Decimal(47))),
                ShownFigure("form", "frame.dropout.form", None),
                ShownFigure("gap_mm", "", Decimal("0.1") + Decimal("0.2")),
            ),
        ),
    )
    text = machine.text("check", machine.check(report))
    document = json.loads(text, parse_float=Decimal)
    figures = document["findings"][0]["tests"][0]["figures"]
    assert figures[0] == {
        "name": "hub_width",
        "ref": "rear_hub.axle.width_mm",
        "width_mm": Decimal("142.10"),
        "resolution_mm": Decimal("0.1"),
        "row": "row.a",
    }
    assert figures[1]["width_mm"] == [135, 142]
    assert figures[2]["tyre_max_mm"] == "not-printed"
    assert figures[3]["tyre_width_mm"] == {"from": None, "to": 47}
    assert figures[4]["form"] is None
    assert figures[5]["gap_mm"] == Decimal("0.3")
    assert "142.10" in text


def test_the_document_names_its_format() -> None:
    document = json.loads(machine.text("check", machine.check(CheckReport("", (finding(),)))))
    assert document["format_version"] == 1
    assert document["exit_code"] == 1
    assert document["verdict"] == "no-fit"


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(), lambda x: st.lists(x) | st.dictionaries(st.text(), x)
    )
)
def test_our_writer_writes_json(value: object) -> None:
    assert json.loads(machine.text("x", {"value": value}))["value"] == value
