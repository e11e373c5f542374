"""The README tells the truth: its commands run and print what it shows; every command is in it."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from solver.cli import app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
SHOWN = re.findall(r"```console\n\$ fitwright (.*?)\n(.*?)```", README, re.DOTALL)


@pytest.mark.parametrize(("command", "output"), SHOWN, ids=[c[:40] for c, _ in SHOWN])
def test_examples_print_what_the_readme_shows(command: str, output: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "100")
    result = CliRunner().invoke(app, shlex.split(command))
    assert result.exit_code != 70
    assert result.stdout.strip() == output.strip()


def test_there_are_examples() -> None:
    assert len(SHOWN) >= 3


def test_every_command_is_in_the_readme() -> None:
    names = [c.name or (c.callback.__name__ if c.callback is not None else "") for c in app.registered_commands]
    assert names
    for name in names:
        assert f"fitwright {name}" in README, name


def test_both_recipes_and_the_changes_are_for_contributors() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for heading in ("## Add an interface", "## Add a joint", "## Changes"):
        assert heading in text
