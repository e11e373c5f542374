"""Arguments and options that several commands share, written once so that they read alike on every help page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

ListFile = Annotated[str, typer.Argument(metavar="LIST", help="A list in TOML or CSV; - reads standard input.")]
Slots = Annotated[list[str] | None, typer.Argument(metavar="[SLOT...]", help="Only what is about these.")]
Catalogs = Annotated[
    list[Path] | None, typer.Option("--catalog", metavar="FILE", help="A catalogue beside those the list names.")
]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON document.")]
Full = Annotated[bool, typer.Option("--full", help="Everything, however long: what fits, what follows, all reasons.")]
Sources = Annotated[bool, typer.Option("--sources", help="Where each figure comes from.")]
Customer = Annotated[bool, typer.Option("--customer", help="Plain words for the owner of the bicycle.")]
