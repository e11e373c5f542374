"""The page to print: one document, nothing from elsewhere, large figures first, nobody's markup obeyed."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from catalog_schema import bicycle, fitting_list, library
from solver import questions_bench
from solver.cli import app
from solver.render import page
from solver.report_bench import BenchReport
from solver.wording import bench_work as work

LISTS = Path(__file__).parent.parent / "sample_catalogs" / "lists"
LIBRARY = library.load()
BICYCLE = bicycle.load()


def sheet(name: str, title: str = "", **slots: Any) -> BenchReport:
    raw = tomllib.loads((LISTS / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)
    raw["slots"] |= slots
    raw["title"] = title or raw["title"]
    raw["catalogs"] = [str((LISTS / c).resolve()) for c in raw["catalogs"]]
    return questions_bench.bench(fitting_list.read(raw, "list", LIBRARY, BICYCLE))


class Reader(HTMLParser):
    """Collects tags, and the texts of elements by class."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, str]] = []
        self.texts: list[tuple[str, str]] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not {"src", "href", "onload", "onclick"} & {n for n, _ in attrs}, tag
        if tag not in ("meta", "br"):
            self.open.append((tag, dict(attrs).get("class") or ""))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        if self.open and data.strip():
            self.texts.append((self.open[-1][1] or self.open[-1][0], data))


def read(report: BenchReport) -> Reader:
    reader = Reader()
    reader.feed(page.page(report))
    assert not reader.open
    return reader


def test_large_figures_come_before_the_steps() -> None:
    texts = read(sheet("fits-towpath")).texts
    kinds = [k for k, _ in texts]
    large = [t for k, t in texts if k.startswith("size")]
    assert large[0] == "206 mm"
    assert any("links" in t for t in large)
    assert kinds.index("size") < kinds.index("li")


def test_every_step_is_on_the_page_with_its_torque() -> None:
    report = sheet("fits-rapids")
    reader = read(report)
    steps = work.told(report.steps)
    numbers = [t for k, t in reader.texts if k == "no"]
    assert numbers == [str(s.number) for s in steps]
    bold = {t for k, t in reader.texts if k == "b"}
    assert {t for s in steps for t in s.torques} <= bold


def test_what_cannot_be_undone_and_is_not_known_keeps_its_line() -> None:
    stem = {"steerer_clamp": {"form": "clamp", "bore_mm": "28.6"}, "bar_clamp": {"dia_mm": "31.8"}}
    texts = read(sheet("fits-towpath", stem=stem)).texts
    assert ("what", "Cut the steerer, crown seat to end") in texts
    assert "measure first" in [t for k, t in texts if k.startswith("size")]


def test_a_list_that_does_not_fit_says_so_in_large_type() -> None:
    texts = read(sheet("fails-148-wheel-in-142-frame")).texts
    kinds = [k for k, _ in texts]
    assert kinds.index("warn") == kinds.index("h1") + 1
    assert "Cut nothing yet" in dict(texts)["warn"]


def test_a_warning_stands_before_all_figures() -> None:
    texts = read(sheet("fits-towpath", fork={"number": "WQ-F-TOW", "steerer": {"length_mm": 150}})).texts
    kinds = [k for k, _ in texts]
    assert "too short by 34 mm" in dict(texts)["warn"]
    assert kinds.index("warn") < kinds.index("what")


def test_nothing_is_fetched_and_no_markup_of_a_user_is_obeyed() -> None:
    text = page.page(sheet("fits-towpath", title="<script>alert(1)</script><img src=x>\u202e"))
    assert "<script" not in text
    assert "<img" not in text
    assert "\u202e" not in text
    assert not re.search(r"(?:https?:)?//|url\(|@import", text)
    assert "&lt;script&gt;" in text


@pytest.mark.parametrize("name", ["fits-tug", "fits-gantry", "fits-barge"])
def test_the_steps_are_given_type_that_fits_the_first_page(name: str) -> None:
    report = sheet(name)
    size = Decimal(re.search(r'<ol style="font-size: ([\d.]+)pt', page.page(report)).group(1))  # type: ignore[union-attr]
    assert Decimal("6.5") <= size <= 10


def test_the_page_is_written_beside_the_answer(tmp_path: Path) -> None:
    out = tmp_path / "sheet.html"
    path = str(LISTS / "fits-towpath.toml")
    result = CliRunner().invoke(app, ["bench", path, "--out", str(out)])
    assert result.exit_code in (0, 3)
    assert result.stdout.startswith("Bench sheet (Towpath")
    assert out.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.html"]


def test_a_page_that_cannot_be_written_is_a_fault_of_the_input(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["bench", str(LISTS / "fits-towpath.toml"), "--out", str(tmp_path / "no" / "x")])
    assert result.exit_code == 2
    assert "x" in result.stderr
    assert "Traceback" not in result.stderr


def test_nobody_elses_page_is_written_over(tmp_path: Path) -> None:
    """A list may have any name, and so may the page: neither is lost."""
    listed = tmp_path / "list.html"
    text = (LISTS / "fits-towpath.toml").read_text(encoding="utf-8")
    listed.write_text(text.replace("../basin.toml", str(LISTS.parent / "basin.toml")), encoding="utf-8")
    before = listed.read_bytes()
    over = CliRunner().invoke(app, ["bench", str(listed), "--out", str(listed)])
    assert over.exit_code == 2
    assert "none of ours" in over.output
    assert listed.read_bytes() == before
    sheet = tmp_path / "sheet.html"
    for _ in range(2):
        assert CliRunner().invoke(app, ["bench", str(listed), "--out", str(sheet)]).exit_code == 3
    assert sheet.read_text(encoding="utf-8").startswith("<!doctype html>")
