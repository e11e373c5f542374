"""Run collected questions against the rules, or bring them into the repository.

    python -m tests.collect PATH [PATH ...]            judge the questions in files or folders, print the summary
    python -m tests.collect --write PATH [PATH ...]    write them to tests/cases/collected.toml as well

A path is a file, or a folder of files: ``*.toml`` with ``[[case]]`` (the questions) or ``[[bike]]`` (complete bicycles,
passed over here), ``*.json`` with ``checks`` and ``sources``. Without a path the environment variable
``FITWRIGHT_COLLECTED`` names one. What is in the repository already is compared: a question that the table now reads
in another way is named.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterable, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from tests import collected, collector
from tests.collected import Entry


def questions_in(paths: Iterable[Path]) -> list[collector.Question]:
    """Return the questions of all files, each id once."""
    found: dict[str, collector.Question] = {}
    for path in paths:
        files = sorted([*path.glob("*.toml"), *path.glob("*.json")]) if path.is_dir() else [path]
        for file in files:
            if file.suffix == ".json":
                raw = json.loads(file.read_text(encoding="utf-8"), parse_float=Decimal)
                read = collector.read_checks(raw) if isinstance(raw, Mapping) else []
            else:
                read = collector.read_cases(file)
            found.update({q.id: q for q in read})
    return list(found.values())


def entry_of(question: collector.Question, known: Mapping[str, Entry]) -> Entry:
    """Return the entry that a question becomes; what we say against its expert is kept."""
    made = collector.convert(question)
    told = made.scope == "A" and not made.missing
    before = known.get(question.id)
    source = {k: str(v) for k, v in question.source.items() if v}
    return Entry(
        id=question.id,
        scope=made.scope,
        topics=made.topics,
        kind=made.kind,
        joints=made.joints,
        facts=collected.facts_of(made.slots) if told else "",
        slots=dict(made.slots) if told else {},
        as_they_stand=made.as_they_stand,
        not_expressible=made.missing if made.scope == "A" else (),
        verdict=made.verdict,
        confidence=question.confidence,
        basis=question.basis,
        source=source,
        argued=before.argued if before is not None else None,
    )


def main(argv: list[str]) -> int:
    """Convert, compare, print; write if asked."""
    parser = argparse.ArgumentParser(description="Judge collected questions.")
    parser.add_argument("paths", nargs="*", type=Path)
    parser.add_argument("--write", action="store_true", help="write tests/cases/collected.toml")
    parser.add_argument("--all", action="store_true", help="print every question")
    asked = parser.parse_args(argv)
    named = os.environ.get("FITWRIGHT_COLLECTED", "")
    paths = asked.paths or ([Path(named)] if named else [])
    if not paths:
        parser.error("name a file or a folder of collected questions")
    known = {e.id: e for e in collected.load()}
    entries = [entry_of(q, known) for q in questions_in(paths)]
    if not entries:
        sys.stderr.write("no questions found\n")
        return 2
    if asked.write:
        collected.FILE.write_text(collected.text_of([*entries, *_kept(known, entries)]), encoding="utf-8")
    results = collected.judge(entries)
    print(collected.summary(results))
    print(collected.details(results, every=asked.all))
    moved = [e.id for e in entries if e.id in known and _read(e) != _read(known[e.id])]
    new = [e.id for e in entries if e.id not in known]
    print(f"\nnot in the repository: {len(new)}; read otherwise than in the repository: {len(moved)}")
    for i in moved:
        print(f"  {i}")
    return 0


def _read(entry: Entry) -> Any:
    return entry.slots, entry.kind, entry.verdict, entry.scope, entry.not_expressible


def _kept(known: Mapping[str, Entry], entries: Iterable[Entry]) -> list[Entry]:
    ids = {e.id for e in entries}
    return [e for e in known.values() if e.id not in ids]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
