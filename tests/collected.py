"""The collected questions that stand in the repository: reading and writing them, judging them, the summary.

In: ``tests/cases/collected.toml``, made by ``tests/collect.py``. Out: for each question what its expert says, what we
say, and the counts that the promises are about.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from catalog_schema import bicycle
from catalog_schema.faults import InputFaults
from solver.report import NO, YES, Verdict
from tests import collector, collector_table

FILE = collector_table.FOLDER / "collected.toml"

HEAD = """\
# Questions that mechanics and riders asked in public, and cases that the literature of the trade settles, with the
# verdict that was given. Made by `python -m tests.collect --write`; only `argued` is written by hand. Facts are our
# slots and figures; the words of the sources are not copied.
# scope: A = judged now; B = joints still to come; E = figures of the bench sheet, no verdict.
# argued: where we differ from the expert, why, and the source that decides it; refutes: he is wrong by that source.

"""


class Argued(BaseModel):
    """Why we say something else than the expert. ``refutes``: a better source shows that he is wrong."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    verdict: str
    because: str
    title: str
    publisher: str = ""
    url: str = ""
    refutes: bool = True


class Entry(BaseModel):
    """One question in our words."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    scope: Literal["A", "B", "E"]
    topics: tuple[str, ...] = ()
    kind: str = ""
    joints: tuple[str, ...] = ()
    facts: str = ""
    slots: dict[str, Any] = {}
    as_they_stand: bool = False
    not_expressible: tuple[str, ...] = ()
    verdict: Literal["fits", "needs-adapter", "needs-work", "not-known", "no-fit", "unsafe"]
    confidence: str = ""
    basis: str = ""
    source: dict[str, str] = {}
    argued: Argued | None = None


@dataclass(frozen=True)
class Result:
    """What the expert and we say to one question; ``ours`` is None where we cannot express it."""

    entry: Entry
    ours: Verdict | None
    perhaps: Verdict | None = None
    reasons: str = ""
    whole: Verdict | None = None

    @property
    def expert(self) -> Verdict:
        """The expert's verdict."""
        return Verdict.of(self.entry.verdict)

    @property
    def agreed(self) -> bool:
        """Whether the word is the same."""
        return self.ours is self.expert

    @property
    def argued(self) -> bool:
        """Whether it is written down why we say this very word against the expert."""
        argued = self.entry.argued
        return argued is not None and self.ours is not None and argued.verdict == self.ours.word

    @property
    def refuted(self) -> bool:
        """Whether a better source shows that the expert is wrong and we are right."""
        return self.argued and self.entry.argued is not None and self.entry.argued.refutes


def load() -> list[Entry]:
    """Return the questions in the repository."""
    if not FILE.exists():
        return []
    raw = tomllib.loads(FILE.read_text(encoding="utf-8"), parse_float=Decimal)
    return [Entry.model_validate(e) for e in raw.get("collected", [])]


def judge(entries: Iterable[Entry]) -> list[Result]:
    """Judge every question of scope A."""
    found = []
    for entry in entries:
        if entry.scope != "A":
            continue
        if entry.not_expressible:
            found.append(Result(entry, None, reasons="; ".join(entry.not_expressible)))
            continue
        converted = collector.Converted(
            entry.id, "A", entry.topics, entry.slots, entry.kind, entry.joints, entry.verdict, (), entry.as_they_stand
        )
        try:
            said = collector.answer(converted)
        except InputFaults as faults:
            found.append(Result(entry, None, reasons=str(faults)))
            continue
        except collector.NothingAsked:
            found.append(Result(entry, None, reasons="no joint of ours is asked by these figures"))
            continue
        perhaps = Verdict.of(said.perhaps) if said.perhaps else None
        found.append(Result(entry, Verdict.of(said.verdict), perhaps, said.reasons, Verdict.of(said.whole)))
    return found


@dataclass(frozen=True)
class Count:
    """The numbers that the promises are about."""

    asked: int
    not_expressible: int
    judged: int
    not_known_against: int
    both_decided: int
    yes_no_agree: int
    yes_no_agree_or_refuted: int
    yes_against_no: int
    yes_against_no_open: int
    words_compared: int
    word_agree: int
    word_agree_or_refuted: int
    open_disagreements: int


def count(results: Sequence[Result]) -> Count:
    """Count agreement. A not-known of ours against a decided expert is counted apart and compared no further."""
    judged = [r for r in results if r.ours is not None]
    decided = YES | NO
    unknown = [r for r in judged if r.ours is Verdict.NOT_KNOWN and r.expert in decided]
    rest = [r for r in judged if r not in unknown]
    both = [r for r in rest if r.ours in decided and r.expert in decided]
    same = [r for r in both if (r.ours in YES) == (r.expert in YES)]
    wrong = [r for r in both if r.ours in YES and r.expert in NO]
    return Count(
        asked=len(results),
        not_expressible=len(results) - len(judged),
        judged=len(judged),
        not_known_against=len(unknown),
        both_decided=len(both),
        yes_no_agree=len(same),
        yes_no_agree_or_refuted=len([r for r in both if r in same or r.refuted]),
        yes_against_no=len(wrong),
        yes_against_no_open=len([r for r in wrong if not r.refuted]),
        words_compared=len(rest),
        word_agree=len([r for r in rest if r.agreed]),
        word_agree_or_refuted=len([r for r in rest if r.agreed or r.refuted]),
        open_disagreements=len([r for r in rest if not r.agreed and not r.argued]),
    )


def _part(some: int, whole: int) -> str:
    return f"{some} of {whole}" + (f" ({100 * some / whole:.1f} %)" if whole else "")


def summary(results: Sequence[Result]) -> str:
    """Return the counts as text, as they stand in the README."""
    c = count(results)
    lines = [
        ("questions about these joints", str(c.asked)),
        ("not expressible (at most 10 %)", _part(c.not_expressible, c.asked)),
        ("judged", str(c.judged)),
        ("not-known against a decided expert (at most 10 %)", _part(c.not_known_against, c.judged)),
        ("  if every test of a joint counted, asked or not", _part(_unknown_whole(results), c.judged)),
        ("yes or no agrees (97 %)", _part(c.yes_no_agree, c.both_decided)),
        ("  with experts refuted by a better source", _part(c.yes_no_agree_or_refuted, c.both_decided)),
        ("a yes where the expert says no", str(c.yes_against_no)),
        ("  not refuted by a better source (none)", str(c.yes_against_no_open)),
        ("the exact word agrees (90 %)", _part(c.word_agree, c.words_compared)),
        ("  with experts refuted by a better source", _part(c.word_agree_or_refuted, c.words_compared)),
        ("disagreements without an argument", str(c.open_disagreements)),
    ]
    width = max(len(a) for a, _ in lines)
    return "\n".join(f"{a:<{width}}  {b}" for a, b in lines) + "\n\n" + crosstab(results)


def _unknown_whole(results: Sequence[Result]) -> int:
    decided = YES | NO
    return sum(r.whole is Verdict.NOT_KNOWN and r.expert in decided for r in results)


def crosstab(results: Sequence[Result]) -> str:
    """Return a table of expert's words against ours."""
    words = [v.word for v in Verdict]
    pairs = Counter((r.expert.word, r.ours.word) for r in results if r.ours is not None)
    head = f"{'expert / ours':<14}" + "".join(f"{w:>14}" for w in words)
    rows = [f"{e:<14}" + "".join(f"{pairs[e, o] or '.':>14}" for o in words) for e in words]
    return "\n".join([head, *rows])


def details(results: Sequence[Result], *, every: bool = False) -> str:
    """Return each disagreement and each question that cannot be expressed, one a line."""
    lines: list[str] = []
    for title, chosen in (
        ("not expressible", [r for r in results if r.ours is None]),
        ("disagreements", [r for r in results if r.ours is not None and not r.agreed]),
        ("agreed", [r for r in results if r.agreed]),
    ):
        if title == "agreed" and not every:
            continue
        lines.append(f"\n{title}: {len(chosen)}")
        for r in chosen:
            ours = r.ours.word if r.ours is not None else "-"
            perhaps = f", perhaps {r.perhaps.word}" if r.perhaps is not None else ""
            argued = " [argued]" if r.argued else ""
            lines.append(f"  {r.entry.id}: expert {r.expert.word}, ours {ours}{perhaps}{argued}: {r.reasons}")
    return "\n".join(lines)


# ------------------------------------------------------------------------------------------------------------ writing


def facts_of(slots: Mapping[str, Any]) -> str:
    """Return in words what slots hold: "rear hub: axle width 142 mm; frame: dropout width 145 mm"."""
    words = {s.id: s.words for s in bicycle.load().slots}
    return "; ".join(f"{words.get(slot, slot)}: {_told(record)}" for slot, record in slots.items())


def _told(value: Any, name: str = "") -> str:
    if isinstance(value, Mapping):
        inner = ", ".join(_told(v, f"{name} {k}".strip()) for k, v in value.items() if k != "settings")
        also = ", or ".join(
            f"{o['offer']} {_told({k: v for k, v in o.items() if isinstance(v, Mapping)})}"
            for group in value.get("settings", [])
            for o in group["options"][1:]
        )
        return "; ".join(filter(None, [inner or ("" if also else "nothing stated"), also]))
    if isinstance(value, list | tuple) and any(isinstance(v, Mapping) for v in value):
        return " or ".join(_told(v) for v in value)
    between = ", " if name.endswith("standard") else " or "
    shown = between.join(map(str, value)) if isinstance(value, list | tuple) else str(value)
    plain = name.replace("_", " ").removesuffix(" standard").removeprefix("box").strip()
    for end, unit in ((" mm", " mm"), (" deg", " degrees"), (" teeth", " teeth"), (" bar", " bar")):
        if plain.endswith(end):
            return f"{plain.removesuffix(end)} {shown}{unit}"
    return f"{plain} {shown}".strip()


def toml_of(value: Any) -> str:
    """Return a value as one line of TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | Decimal):
        number = Decimal(value)
        return str(number.to_integral_value()) if number == number.to_integral_value() else f"{number.normalize():f}"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ") + '"'
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(k)} = {toml_of(v)}" for k, v in value.items())
        return "{ " + inner + " }" if inner else "{}"
    return "[" + ", ".join(toml_of(v) for v in value) + "]"


def _key(key: str) -> str:
    return key if key.replace("_", "").replace("-", "").isalnum() and key.isascii() else toml_of(key)


def text_of(entries: Iterable[Entry]) -> str:
    """Return the file."""
    blocks = []
    for entry in sorted(entries, key=lambda e: (e.scope, e.id)):
        lines = ["[[collected]]"]
        for name, value in entry:
            if value in ("", (), {}, None, False):
                continue
            plain = value.model_dump() if isinstance(value, BaseModel) else value
            lines.append(f"{name} = {toml_of(plain)}")
        blocks.append("\n".join(lines))
    return HEAD + "\n\n".join(blocks) + "\n"
