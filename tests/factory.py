"""Complete bicycles as their makers sold them: each must come out without a red joint.

    python -m tests.factory FILE [FILE ...]            judge the bicycles of a file
    python -m tests.factory --write FILE [FILE ...]    write them to tests/cases/factory_bikes.toml as well

A specification prints little, so a field that says nothing to us is passed over (and named), never a mismatch: what is
not printed is unknown. Where the body of a hub was inferred from a named cassette, both are of that kind.
``FITWRIGHT_FACTORY`` may name the file.
"""

from __future__ import annotations

import argparse
import os
import sys
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.faults import InputFaults
from solver import questions
from solver.report import NO, Finding, Verdict
from tests import collector, collector_table
from tests.collected import toml_of

FILE = collector_table.FOLDER / "factory_bikes.toml"
PRINTED = collector_table.FOLDER / "factory_printed.toml"
TABLE = "factory_fields"

HEAD = """\
# Complete bicycles as their makers sold them, in our slots. Made by `python -m tests.factory --write`; `accepted` is
# written by hand: joints where the printed list itself is wrong, and how we know.

"""


class Bike(BaseModel):
    """A bicycle in our words. ``unread``: fields of the specification that say nothing to a joint of ours."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    kind: str = ""
    slots: dict[str, Any]
    unread: tuple[str, ...] = ()
    source: dict[str, str] = {}
    accepted: dict[str, str] = {}


@dataclass(frozen=True)
class Judged:
    """What we say to one bicycle."""

    bike: Bike
    findings: tuple[Finding, ...]

    @property
    def red(self) -> tuple[Finding, ...]:
        """Joints judged no-fit or unsafe that are not the list's own misprint."""
        return tuple(f for f in self.findings if f.verdict in NO and f.id not in self.bike.accepted)

    @property
    def decided(self) -> tuple[Finding, ...]:
        """Joints with another verdict than not-known."""
        return tuple(f for f in self.findings if f.verdict is not Verdict.NOT_KNOWN)

    def number(self, verdict: Verdict) -> int:
        """How many joints have this verdict."""
        return sum(f.verdict is verdict for f in self.findings)


def plain(parts: Mapping[str, Any]) -> dict[str, Any]:
    """Return parts without the marks that tell how each value is known."""
    out: dict[str, Any] = {}
    for key, value in parts.items():
        if isinstance(value, Mapping):
            out[key] = value["value"] if "value" in value else plain(value)
        else:
            out[key] = value
    return out


def read(path: Path, known: Mapping[str, Bike]) -> list[Bike]:
    """Return the bicycles of a file that others collected, in our words."""
    raw = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    found = []
    for bike in raw.get("bike", []):
        parts = {**plain(bike.get("parts", {})), "kind of bike": bike.get("kind", "")}
        if "inferred" in str(bike.get("parts", {}).get("freehub", {}).get("mark", "")):
            parts["cassette for body"] = parts["freehub"]
        made = collector.convert(collector.Question(bike["id"], parts, "fits"), TABLE)
        source = bike.get("source", {})
        cited = {"title": str(source.get("title", "")), "publisher": str(source.get("site", ""))}
        if str(source.get("url", "")).startswith("http"):
            cited["url"] = str(source["url"])
        accepted = known[bike["id"]].accepted if bike["id"] in known else {}
        slots, strange = understood(made.slots, bike["id"])
        unread = tuple(dict.fromkeys([*(m.partition(":")[0] for m in made.missing), *strange]))
        found.append(Bike(id=bike["id"], kind=made.kind, slots=slots, unread=unread, source=cited, accepted=accepted))
    return found


def understood(slots: Mapping[str, Any], name: str) -> tuple[dict[str, Any], list[str]]:
    """Return slots without the figures and sides that mean nothing to the library, and the names of these.

    A word that a maker made up is passed over like a field that we have no figure for: what it says is then unknown.
    """
    kept = {slot: dict(record) if isinstance(record, Mapping) else record for slot, record in slots.items()}
    strange: list[str] = []
    while True:
        try:
            fitting_list.read({"slots": kept}, name, library.load(), bicycle.load())
        except InputFaults as faults:
            places = [f.place.split(".") for f in faults.faults]
            known = [p for p in places if len(p) > 2 and p[0] == "slots" and p[2] in kept.get(p[1], {})]
            if not known:
                raise
            for _, slot, port, *figure in known:
                there = kept[slot].get(port)
                if figure and isinstance(there, Mapping) and figure[0] in there:
                    kept[slot][port] = {k: v for k, v in there.items() if k != figure[0]}
                else:
                    kept[slot].pop(port, None)
                strange.append(".".join([slot, port, *figure]))
        else:
            return kept, strange


def load() -> list[Bike]:
    """Return the bicycles in the repository."""
    if not FILE.exists():
        return []
    raw = tomllib.loads(FILE.read_text(encoding="utf-8"), parse_float=Decimal)
    return [Bike.model_validate(b) for b in raw.get("bike", [])]


def judge(bike: Bike) -> Judged:
    """Judge every joint of a bicycle.

    Raises:
        InputFaults: a name or figure means nothing to the library.
    """
    raw = {"slots": bike.slots, "kind": bike.kind}
    fitting = fitting_list.read(raw, bike.id, library.load(), bicycle.load())
    return Judged(bike, tuple(f for f in questions.findings(fitting) if f.state == "judged"))


def summary(judged: Sequence[Judged]) -> str:
    """Return one line for each bicycle, and the sum."""
    words = list(Verdict)
    head = f"{'bicycle':<20}{'judged':>8}" + "".join(f"{v.word:>14}" for v in words)
    rows = [
        f"{j.bike.id:<20}{len(j.findings):>8}" + "".join(f"{j.number(v) or '.':>14}" for v in words) for j in judged
    ]
    total = f"{'all':<20}{sum(len(j.findings) for j in judged):>8}" + "".join(
        f"{sum(j.number(v) for j in judged) or '.':>14}" for v in words
    )
    return "\n".join([head, *rows, total])


@dataclass(frozen=True)
class Printed:
    """What a person found decided by the printed list, and whether we decide it: a joint, or one question of it."""

    bike: str
    joint: str
    question: str
    words: str
    judged: bool


def printed(judged: Iterable[Judged]) -> list[Printed]:
    """Return what the lists suffice to decide, read by hand, beside what we decided."""
    raw = tomllib.loads(PRINTED.read_text(encoding="utf-8"))
    found = {j.bike.id: {f.id: f for f in j.findings} for j in judged}
    out = []
    for group in ("whole", "part"):
        for bike, items in raw[group].items():
            for key, words in items.items():
                joint, _, question = key.partition(": ") if group == "part" else (key, "", "")
                finding = found[bike].get(joint)
                tests = [] if finding is None else [t for t in finding.tests if t.test == question]
                said = [t.verdict for t in tests] if question else [finding.verdict] if finding else []
                decided = bool(said) and Verdict.NOT_KNOWN not in said
                out.append(Printed(bike, joint, question, words, decided))
    return out


def not_decided_by_its_words() -> list[tuple[str, str]]:
    """Return bicycle and joint where a set that does not fit is sold under the words that the list prints."""
    other = tomllib.loads(PRINTED.read_text(encoding="utf-8"))["other"]
    return [(bike, joint) for bike, items in other.items() for joint in items]


def printed_summary(items: Sequence[Printed]) -> str:
    """Return judged/printed for each bicycle, whole joints and single questions, and what is not judged."""
    lines = [f"{'bicycle':<20}{'joints':>10}{'questions':>12}"]
    for bike in (*dict.fromkeys(i.bike for i in items), "all"):
        mine = [i for i in items if bike in (i.bike, "all")]
        whole, part = ([i for i in mine if bool(i.question) is q] for q in (False, True))
        shares = [f"{sum(i.judged for i in g)}/{len(g)}" if g else "." for g in (whole, part)]
        lines.append(f"{bike:<20}{shares[0]:>10}{shares[1]:>12}")
    lines += [f"  open {i.bike}: {i.joint} {i.question} ({i.words})" for i in items if not i.judged]
    return "\n".join(lines)


def text_of(bikes: Iterable[Bike]) -> str:
    """Return the file."""
    blocks = []
    for bike in sorted(bikes, key=lambda b: b.id):
        lines = ["[[bike]]", *(f"{n} = {toml_of(v)}" for n, v in bike if v not in ("", (), {}))]
        blocks.append("\n".join(lines))
    return HEAD + "\n\n".join(blocks) + "\n"


def main(argv: list[str]) -> int:
    """Convert, judge, print; write if asked."""
    parser = argparse.ArgumentParser(description="Judge complete bicycles.")
    parser.add_argument("paths", nargs="*", type=Path)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args(argv)
    named = os.environ.get("FITWRIGHT_FACTORY", "")
    paths = asked.paths or ([Path(named)] if named else [])
    if not paths:
        parser.error("name a file of complete bicycles")
    known = {b.id: b for b in load()}
    bikes = [b for p in paths for b in read(p, known)]
    if asked.write:
        FILE.write_text(text_of(bikes), encoding="utf-8")
    judged = [judge(b) for b in bikes]
    print(summary(judged))
    for j in judged:
        for f in j.red:
            print(f"  RED {j.bike.id}: {f.id} {f.verdict.word} {f.reason}")
        for field in j.bike.unread:
            print(f"  unread {j.bike.id}: {field}")
    return 1 if any(j.red for j in judged) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
