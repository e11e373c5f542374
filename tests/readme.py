"""Write the outputs of the README's examples anew: ``python -m tests.readme``; ``--check`` says if they hold."""

from __future__ import annotations

import os
import re
import shlex
import sys
from pathlib import Path

from typer.testing import CliRunner

from solver.cli import app

README = Path(__file__).parent.parent / "README.md"
BLOCK = re.compile(r"```console\n\$ fitwright (.*?)\n(.*?)```", re.DOTALL)


def written_anew(text: str) -> str:
    """Return the text with each example's output as the program prints it now."""

    def run(match: re.Match[str]) -> str:
        result = CliRunner().invoke(app, shlex.split(match.group(1)))
        return f"```console\n$ fitwright {match.group(1)}\n{result.stdout.strip()}\n```"

    return BLOCK.sub(run, text)


def main() -> int:
    os.chdir(README.parent)
    os.environ.update(NO_COLOR="1", COLUMNS="100")
    text = README.read_text(encoding="utf-8")
    new = written_anew(text)
    if "--check" not in sys.argv:
        README.write_text(new, encoding="utf-8")
    return 0 if new == text else 1


if __name__ == "__main__":
    raise SystemExit(main())
