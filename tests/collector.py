"""Questions that others collected, with an expert's verdict: read as plain data, turned into our lists by one table.

In: a question as its collector wrote it (a topic perhaps, parts with figures under the collector's own field names, a
verdict word) and the table ``tests/cases/collector_fields.toml``. Out: the slots of a list of ours, the joints that
the question is about and the verdict in our words; or what is missing before the question can be expressed at all.

Nothing here knows a single question, and nothing here knows a bicycle: which field means which figure stands in the
table. A field that the table does not hold makes a question *not expressible*; it is never dropped in silence.
"""

from __future__ import annotations

import fnmatch
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from catalog_schema import bicycle, fitting_list, library
from catalog_schema.faults import InputFaults
from catalog_schema.fitting_list import FittingList
from solver import questions
from solver.report import Finding, Verdict
from solver.rules.registry import JOINTS
from tests import collector_ways
from tests.collector_table import (
    End,
    FieldRow,
    Found,
    Placed,
    Topic,
    Work,
    in_our_unit,
    matches,
    name_of,
    number_in,
    part_of,
    pattern_of,
    real_slots,
    table,
    words_of,
)

#: The end of the bicycle that a part belongs to by what it is.
_OWN_END: Mapping[str, End] = {"fork": "front", "frame": "rear"}


class Refusal(str):
    """Why a word that we understand cannot be expressed; no other way to read it is looked for."""


class NothingAsked(ValueError):
    """No joint of ours is judged on a question's figures."""


@dataclass(frozen=True)
class Question:
    """A question as it was collected."""

    id: str
    parts: Mapping[str, Any]
    verdict: str
    topic: str = ""
    kind: str = ""
    confidence: str = ""
    basis: str = ""
    source: Mapping[str, str] = field(default_factory=dict)
    doubted: bool = False


@dataclass(frozen=True)
class Converted:
    """A question in our words. ``missing`` says why it cannot be expressed; the slots are then of no use."""

    id: str
    scope: str
    topics: tuple[str, ...]
    slots: Mapping[str, Any]
    kind: str
    joints: tuple[str, ...]
    verdict: str
    missing: tuple[str, ...] = ()
    as_they_stand: bool = False


@dataclass(frozen=True)
class Answer:
    """What we say to a question: the worst of the joints that it is about."""

    verdict: str
    perhaps: str = ""
    findings: tuple[Finding, ...] = ()
    #: the verdict if all tests of these joints counted, those too that ask for what the question never mentions
    whole: str = ""

    @property
    def reasons(self) -> str:
        """The joints that say the verdict, with reason and missing figures."""
        worst = max((f.rank for f in self.findings), default=(0, 0))
        said = []
        for f in self.findings:
            if f.rank == worst:
                missing = ", ".join(dict.fromkeys(m for t in f.tests for m in t.missing))
                said.append(f"{f.id} {f.reason}" + (f" ({missing})" if missing else ""))
        return "; ".join(said)


# --------------------------------------------------------------------------------------------------- reading files


def read_cases(path: Path) -> list[Question]:
    """Return the questions of a TOML file of cases."""
    raw = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    found = []
    for case in raw.get("case", []):
        source = case.get("source", {})
        cited = {
            "title": source.get("title", ""),
            "publisher": source.get("site", source.get("publisher", "")),
            "url": source.get("url", ""),
        }
        found.append(
            Question(
                case["id"],
                case.get("parts", {}),
                case["verdict"],
                case.get("topic", ""),
                case.get("kind", ""),
                case.get("confidence", ""),
                "published",
                cited,
                bool(case.get("doubt")),
            )
        )
    return found


def read_checks(raw: Mapping[str, Any]) -> list[Question]:
    """Return the questions of a file of checks: ``checks`` with ``parts``, and ``sources`` by id."""
    sources = raw.get("sources", {})
    found = []
    for check in raw.get("checks", []):
        ids = check.get("source") or []
        ids = [ids] if isinstance(ids, str) else ids
        named = sources.get(ids[0], {}) if ids and isinstance(sources, Mapping) else {}
        cited = {k: str(named.get(k) or "") for k in ("title", "publisher", "url")} if named else {}
        parts = dict(check.get("parts", {}))
        for key in ("use", "setup", "table", "pressure_bar", "pressure_psi"):
            if key in check:
                parts.setdefault(key, check[key])
        if check.get("expect"):
            parts.setdefault("expect", True)
        found.append(
            Question(
                check["id"],
                parts,
                check["verdict"],
                check.get("topic", ""),
                "",
                check.get("confidence", ""),
                check.get("basis", ""),
                cited,
                bool(check.get("doubt")),
            )
        )
    return found


# --------------------------------------------------------------------------------------------------------- converting


def convert(question: Question, which: str = "collector_fields") -> Converted:
    """Return a question in our words."""
    t = table(which)
    work = Work(t, which)
    for found in _fields(question, work):
        _place(found, question.topic, work)
    work.placed = [p for p in work.placed if not (p.assumed and _told_otherwise(p, work))]
    slots = _slots(work)
    topics = _topics(question, work)
    if len(slots) > 1 and not work.missing:
        topics = [t for t in topics if t.scope != "E"]  # two parts that meet: the figure follows, the verdict is asked
    scopes = [s.scope for s in topics] or ["A"]
    scope = next((s for s in ("E", "B") if s in scopes), "A")
    about = {p.to: p.value for p in work.placed if p.to.startswith("@")}
    verdict = t.verdict.get(question.verdict, "")
    if not verdict:
        work.note(f"the verdict word {question.verdict!r}")
    converted = Converted(
        question.id,
        scope,
        tuple(s.id for s in topics),
        slots,
        str(about.get("@kind", question.kind)),
        tuple(j for s in topics for j in s.joints) if t.topic_of(question.topic) is not None else ("*",),
        verdict,
        tuple(work.missing),
        as_they_stand=about.get("@as-they-stand") is True,
    )
    return _completed(converted, topics, work) if scope == "A" and not converted.missing else converted


def _told_otherwise(placed: Placed, work: Work) -> bool:
    """Return whether the question states a figure that was only assumed, or a name of that side that excludes it."""
    side = placed.to.rpartition(".")[0]
    told = [p for p in work.placed if not p.assumed]
    names = [str(p.value) for p in told if p.to == f"{side}.standard"]
    return any(p.to == placed.to for p in told) or any(
        not collector_ways.may_be(placed.to, placed.value, name) for name in names
    )


def _completed(converted: Converted, topics: Sequence[Topic], work: Work) -> Converted:
    """Read the list as the program would; add what the topic takes for granted if no joint is judged without it."""
    try:
        if _counted(converted):
            return converted
        end = _end_of(work, converted.slots)
        for topic in topics or _by_figures(work):
            granted: dict[str, Any] = {s: {} for name in topic.there for s in real_slots(name, end)}
            _take(topic, converted.slots, granted)
            fuller = replace(converted, slots=_ordered({**granted, **converted.slots}))
            if granted and _counted(fuller):
                return fuller
    except InputFaults as faults:
        return replace(converted, missing=tuple(f.message + (f" [{f.place}]") for f in faults.faults))
    return replace(converted, missing=("no joint of ours is asked by these figures",))


def _take(topic: Topic, slots: Mapping[str, Any], granted: Mapping[str, dict[str, Any]]) -> None:
    """Give parts that nobody names the figures that go with the topic: as many cogs as the lever has clicks."""
    for to, source in topic.taken.items():
        slot, port, figure = source.split(".")
        value = slots.get(slot, {}).get(port, {}).get(figure) if isinstance(slots.get(slot), Mapping) else None
        slot, port, figure = to.split(".")
        if value is not None and slot in granted and slot not in slots:
            granted[slot].setdefault(port, {})[figure] = value


def _by_figures(work: Work) -> list[Topic]:
    """Return the topics that the figures of a question belong to."""
    placed = [_anywhere(p.to) for p in work.placed]
    return [t for t in work.t.topic if any(p.startswith(f) for f in t.figures for p in placed)]


def _topics(question: Question, work: Work) -> list[Topic]:
    """Return the topics of a question: the one named, if we know it, else those whose signs it shows.

    A topic that we do not know, of figures that belong to no joint of ours, is one that is still to come.
    """
    said = {p.value for p in work.placed if p.to == "@topic"}
    named = work.t.topic_of(question.topic)
    if named is not None:
        return [named, *(t for t in work.t.topic if t.id in said)]
    keys = {name_of(k, work.which).words for k in _keys(question.parts)}
    shown = [t for t in work.t.topic if t.id in said or any(_shows(s, keys, work) for s in t.signs)]
    if not question.topic or shown or _by_figures(work):
        return shown
    return [Topic(id=question.topic, scope="B")]


def _shows(sign: str, keys: Iterable[frozenset[str]], work: Work) -> bool:
    """Return whether a question's names show a sign: the name itself, or (``sign*``) any name with its words."""
    words = name_of(sign.removesuffix("*"), work.which).words
    return any(words <= k if sign.endswith("*") else words == k for k in keys)


def _keys(parts: Mapping[str, Any]) -> Iterator[str]:
    for key, value in parts.items():
        yield key
        if isinstance(value, Mapping):
            yield from (f"{key} {k}" for k in value)


def _fields(question: Question, work: Work) -> Iterator[Found]:
    for key, value in question.parts.items():
        part = part_of(key, work)
        if isinstance(value, Mapping):
            part = collector_ways.at_its_end(key, value, work) or part
        if part is None and isinstance(value, Mapping):
            part = collector_ways.part_by_other_name(key, work)
            if part is not None and any(part_of(k, work) == part for k in question.parts):
                part = None  # two of a kind: which of them is on the list is not said
        if part is not None and isinstance(value, Mapping):
            if not value:
                work.placed.extend(_named(part.id, part.end, work))
            for name, inner in value.items():
                yield Found(part.id, part.end, name, inner, f"{key}.{name}", {**question.parts, **value})
        elif part is not None:
            yield Found(part.id, part.end, "", value, key, question.parts)
        elif isinstance(value, Mapping):
            for name, inner in value.items() or [("", None)]:
                yield Found("question", None, f"{key} {name}".strip(), inner, f"{key}.{name}", question.parts)
        else:
            yield Found("question", None, key, value, key, question.parts)


def _named(part: str, end: End | None, work: Work) -> list[Placed]:
    """Return the slot of a part of which no figure is stated."""
    slot = next((p.slot for p in work.t.part if p.id == part and p.slot), part)
    return [Placed(f"{slot}.", None, end)]


def _there(found: Found, work: Work) -> list[Placed]:
    """Return the slot of the part that a field is of, where it is one of ours."""
    known = {s.id for s in bicycle.load().slots}
    named = _named(found.part, found.end, work)
    return [p for p in named if all(s in known for s in real_slots(p.to.partition(".")[0], found.end))]


def _rows(found: Found, work: Work) -> Iterator[FieldRow]:
    """Yield the rows for a field; one that nobody names so is read without a unit of teeth at its end."""
    wanted = name_of(found.name, work.which).words
    rows = [*_rows_named(wanted, found, work)]
    yield from rows or _rows_named(wanted - {"teeth"} or wanted, found, work)


def _rows_named(wanted: frozenset[str], found: Found, work: Work) -> Iterator[FieldRow]:
    """Yield the rows of this part with this name, after them those of any part."""
    for part in (found.part, "*"):
        for row in work.t.field:
            if part in row.of and (part != "*" or found.name):
                names = [name_of(n, work.which).words for n in row.names]
                if wanted in names or ("*" in row.names and found.name):
                    yield row


def _place(found: Found, topic: str, work: Work) -> None:
    """Note what one field means: by its name, by another way to read it, by our own words; else it is missing.

    What another way only knows to refuse or not to tell is told of the field as it stands.
    """
    work.parts.add(found.part)
    if found.value is None or (isinstance(found.value, str) and words_of(found.value) in map(words_of, work.t.untold)):
        if found.part != "question":
            work.placed.extend(_named(found.part, found.end, work))
        return
    refused = _settled(found, work)
    if refused is None:
        return
    if isinstance(refused, Refusal):
        work.note(f"{found.label}: {refused}")
        return
    split = collector_ways.split(found, work)
    if split is not None:
        _place(split, topic, work)
        return
    if any(_settled(way, work) is None for way in collector_ways.other_ways(found, work)):
        return
    ours = collector_ways.in_our_words(found, work)
    if ours is not None:
        work.placed.extend(ours)
        return
    if _settled_in_pieces(found, work) or collector_ways.says_nothing(found, work):
        return
    if any(_settled(way, work, last=True) is None for way in (found, *collector_ways.other_ways(found, work))):
        return
    work.note(f"{found.label}: {refused or 'no figure of ours'}")


def _settled_in_pieces(found: Found, work: Work) -> bool:
    """Place a text piece by piece, if one piece means a figure and none of the others a number or a "not" unread."""
    pieces = collector_ways.pieces_of(found)
    if len(pieces) < 2:
        return False
    before, read = len(work.placed), 0
    for piece in pieces:
        if _read(piece, work):
            read += 1
        elif not collector_ways.is_remark(piece, work):
            del work.placed[before:]
            return False
    return read > 0


def _read(found: Found, work: Work) -> bool:
    """Place a field by the table, by another way to read it or by our own words; return whether that could be done."""
    if any(_settled(way, work) is None for way in (found, *collector_ways.other_ways(found, work))):
        return True
    ours = collector_ways.in_our_words(found, work)
    work.placed.extend(ours or [])
    return ours is not None


def _settled(found: Found, work: Work, *, last: bool = False) -> str | None:
    """Place a field by the rows of the table and return None; or return why none of them takes it.

    ``last``: by those rows that wait until nothing else reads the field.
    """
    refused = ""
    for row in _rows(found, work):
        if row.last is not last:
            continue
        if not _stands(row.when, found, work, True) or not _stands(row.unless, found, work, False):
            continue
        if row.says and words_of(str(found.value)) not in map(words_of, row.says):
            continue
        if row.units and name_of(found.name, work.which).unit not in row.units:
            continue
        if row.ignore:
            work.placed.extend(_there(found, work) if row.there else ())
            return None
        if row.refuse:
            work.note(f"{found.label}: {row.refuse}")
            return None
        before = len(work.missing)
        placed = _placed(row, found, work)
        if isinstance(placed, list) and len(work.missing) == before:
            work.parts.add(found.part)
            work.placed.extend(placed)
            return None
        if isinstance(placed, Refusal):
            refused = placed
        elif not isinstance(refused, Refusal):
            refused = placed if isinstance(placed, str) and placed else "; ".join(work.missing[before:]) or refused
        del work.missing[before:]
    return refused


def _stands(condition: Mapping[str, Iterable[str]], found: Found, work: Work, wanted: bool) -> bool:
    """Return whether the fields beside this one say what a row asks; no words: whether the field is there at all."""
    for name, words in condition.items():
        beside = _beside(name, found.part, found.beside, work)
        plain = [words_of(str(v)) for v in beside if not isinstance(v, Mapping)]
        said = any(matches(pattern_of(w), v) is not None for v in plain for w in words) if words else bool(beside)
        if said is not wanted:
            return False
    return True


def _beside(name: str, part: str, fields: Mapping[str, Any], work: Work) -> list[Any]:
    """Return the values of the fields of this name; ``tyre.bsd`` is that of another part.

    Where no field has the name as it stands, those that say no more: ``nominal_type`` is a ``type``.
    """
    other, _, inner = name.rpartition(".")
    if other:
        found = [v for v in _beside(other, part, fields, work) if isinstance(v, Mapping)]
        return [v for nested in found for v in _beside(inner, other, nested, work)]
    key = name_of(name, work.which).words
    named = [(name_of(k, work.which).words, v) for k, v in fields.items()]
    idle = (set(work.t.spare) | collector_ways.own_words(part, work)) - key
    return [v for words, v in named if words == key] or [v for words, v in named if words - idle == key]


def _placed(row: FieldRow, found: Found, work: Work) -> list[Placed] | str:
    """Return the figures that a row makes of a value, or why it cannot."""
    end = row.end or found.end or _OWN_END.get(found.part)
    out = [Placed(to, value, end, assumed=row.assumed) for to, value in row.sets.items()]
    unit = "" if row.units else name_of(found.name, work.which).unit
    if isinstance(found.value, tuple) and not row.ranked and row.list != "span":
        return ""  # two numbers in one text are a span or go by their size; only the collector's list is a choice
    values = list(found.value) if isinstance(found.value, list | tuple) else [found.value]
    numbers = [number_in(v) for v in values]
    exact = [in_our_unit(n, unit) for n in numbers if n is not None]
    if row.phrase:
        made = _phrased(row, found, work, end)
        return made if isinstance(made, str) else [*out, *made]
    if row.ranked:
        order = row.ranked.get(str(len(exact)), ()) if len(exact) == len(values) else ()
        ranked = zip(order, sorted(exact, reverse=True), strict=False)
        return [*out, *(Placed(to, n, end) for to, n in ranked)] if order else ""
    if row.pairs:
        return [*out, *_by_pairs(row, found, work, end)]
    if row.option:
        return [*out, *_options(row, values, work, end)]
    if row.times:
        beside = [v for v in _beside(row.by, found.part, found.beside, work) if str(v) in row.times]
        times = row.times[str(beside[0])] if beside else None
        return [*out, *(Placed(to, exact[0] * times, end) for to in row.to)] if exact and times else ""
    if row.to and values and len(exact) == len(values):
        if any(row.above is not None and n < row.above for n in exact):
            return ""
        if any(row.below is not None and n >= row.below for n in exact):
            return ""
        if row.list == "span":
            return [*out, *(Placed(to, [min(exact), max(exact)], end) for to in row.to)]
        if len(exact) == 1:
            return [*out, *(Placed(to, exact[0], end) for to in row.to)]
        if row.list == "not-exact":
            return [*out, *(Placed(to, None, end) for to in row.to)]
        if row.list == "shortlist":
            return [*out, *(Placed(to, n, end, choice=i + 1) for to in row.to for i, n in enumerate(exact))]
        return [*out, *(Placed(to, list(exact), end) for to in row.to)]
    if row.words:
        said: dict[str, list[Any]] = {}
        for value in _alternatives(values, row.words, work):
            text = str(value).casefold() if isinstance(value, bool) else str(value)
            sets = _worded(row.words, text, work)
            if isinstance(sets, str):
                return sets
            for to, what in sets.items():
                said.setdefault(to, []).append(what)
        return [*out, *(Placed(to, w[0] if len(set(map(str, w))) == 1 else w, end) for to, w in said.items())]
    return out if row.sets and not row.to else ""


def _alternatives(values: Sequence[Any], words: str, work: Work) -> list[Any]:
    """Return ``"DOT 4 or DOT 5.1"`` as the two that it is, if each of them is a word of the table."""
    out: list[Any] = []
    for value in values:
        pieces = re.split(r"\s+or\s+", value) if isinstance(value, str) else [value]
        known = len(pieces) > 1 and all(not isinstance(_worded(words, p, work), str) for p in pieces)
        out.extend(pieces if known else [value])
    return out


def _worded(name: str, text: str, work: Work) -> dict[str, Any] | str:
    """Return what a text settles by a table of words, or that it says nothing known.

    Every number and every "no" in the text must belong to words that the table knows: what looks like a post mount
    may be one of another spacing.
    """
    have = tuple(w for w in words_of(text) if w not in work.t.noise)
    sets: dict[str, Any] = {}
    covered: set[int] = set()
    for row in work.t.word[name]:
        found = next((m for p in row.match if (m := matches(pattern_of(p), have)) is not None), None)
        if found is None or covered.issuperset(range(found.start, found.end)):
            continue
        if row.refuse:
            if covered:
                continue
            return Refusal(row.refuse)
        covered.update(range(found.start, found.end))
        settled = {_anywhere(to) for to in sets}
        caught = {**found.caught, "text": text, "word": have[found.start].upper()}
        sets |= {to: _with_holes(v, caught) for to, v in row.sets.items() if _anywhere(to) not in settled}
    if not covered:
        return f"the word {text!r}"
    left = [w for i, w in enumerate(have) if i not in covered and (w[0].isdigit() or w in collector_ways.NEGATIONS)]
    return f"the words {text!r}, of which {' '.join(left)!r}" if left else sets


def _anywhere(to: str) -> str:
    """Return a figure's name without the end that it is for: ``hub@front.axle.width_mm`` is one of the hub."""
    return re.sub(r"(?<=\w)@\w+", "", to)


def _with_holes(value: Any, caught: Mapping[str, str]) -> Any:
    if isinstance(value, list):
        return [_with_holes(v, caught) for v in value]
    if not isinstance(value, str) or "{" not in value:
        return value
    filled = value.format(**caught)
    inches = re.fullmatch(r"(\d+(?:\.\d+)?) in", filled)
    if inches is not None:
        return in_our_unit(Decimal(inches[1]), "in")
    return Decimal(filled) if re.fullmatch(r"\d+(?:\.\d+)?", filled) else filled


def _options(row: FieldRow, values: Sequence[Any], work: Work, end: End | None) -> list[Placed]:
    out: list[Placed] = []
    for number, value in enumerate(values, start=1):
        sets = _worded(row.words, str(value), work)
        if isinstance(sets, str):
            work.note(sets)
            continue
        out.extend(Placed(to, v, end, row.option, row.offer, number) for to, v in sets.items())
    return out


def _phrased(row: FieldRow, found: Found, work: Work, end: End | None) -> list[Placed] | str:
    """Return the names that a row makes of a field and of those beside it; a name that is none of ours is not made."""
    spare = set(work.t.spare)
    names = [(name_of(k, work.which).words, v) for k, v in found.beside.items()]
    beside = {"".join(sorted(words - spare)): v for words, v in names}
    beside |= {"".join(sorted(words)): v for words, v in names}
    out = []
    for to, phrase in row.phrase.items():
        wanted = re.findall(r"\{(\w+)\}", phrase)
        words = {**beside, "value": found.value}
        if all(w in words for w in wanted):
            made = phrase.format(**{w: words[w] for w in wanted})
            if "value" in wanted and not collector_ways.is_name(to, made):
                return f"the name {made!r}"
            out.append(Placed(to, made, end))
    return out


def _by_pairs(row: FieldRow, found: Found, work: Work, end: End | None) -> list[Placed]:
    """Return the figures of the one setting that the trade sells for a part with a certain figure."""
    if str(found.value).casefold() not in ("true", "yes"):
        return []
    wanted = name_of(row.by, work.which).words
    beside = next((v for k, v in found.beside.items() if name_of(k, work.which).words == wanted), None)
    sets = row.pairs.get(str(beside))
    if sets is None:
        work.note(f"{found.label}: no such setting known for {row.by} {beside}")
        return []
    return [Placed(to, v, end, row.option, row.offer, 1) for to, v in sets.items()]


# ------------------------------------------------------------------------------------------------------------- slots


def _end_of(work: Work, slots: Iterable[str]) -> End:
    """Return the end of the bicycle that a question is about."""
    for placed in work.placed:
        if placed.to == "@end":
            return placed.value  # type: ignore[no-any-return]
    named = [p.end for p in work.placed if p.end in ("front", "rear")]
    if named:
        return named[0]
    there = {p.to.partition(".")[0] for p in work.placed} | work.parts | set(slots)
    if "frame" in there and "fork" not in there:
        return "rear"
    if "fork" in there and "frame" not in there:
        return "front"
    return "rear" if {"cassette", "rear_hub"} & there else work.t.default_end


def _slots(work: Work) -> dict[str, Any]:
    """Return the slots with the figures in their ports."""
    end = _end_of(work, ())
    slots: dict[str, dict[str, Any]] = {}
    shortlists: dict[str, dict[int, list[tuple[str, Any]]]] = {}
    options: dict[str, dict[tuple[str, str], dict[int, dict[str, Any]]]] = {}
    for placed in work.placed:
        name, _, path = placed.to.partition(".")
        if name.startswith("@"):
            continue
        for slot in real_slots(name, placed.end or end):
            record = slots.setdefault(slot, {})
            if placed.option:
                group = options.setdefault(slot, {}).setdefault((placed.option, placed.offer), {})
                group.setdefault(placed.choice, {})[path] = placed.value
            elif placed.choice:
                shortlists.setdefault(slot, {}).setdefault(placed.choice, []).append((path, placed.value))
            elif path and placed.value is not None:
                _put(record, path, placed.value, f"{slot}.{path}", work)
    whole: dict[str, Any] = {}
    for slot, record in slots.items():
        if slot in options:
            record["settings"] = [_settings(slot, name, found, record) for name, found in options[slot].items()]
        whole[slot] = record
        if slot in shortlists:
            whole[slot] = []
            for figures in shortlists[slot].values():
                one = _copied(record)
                for path, value in figures:
                    _put(one, path, value, slot, work)
                whole[slot].append(one)
    return _ordered(whole)


def _settings(
    slot: str, name: tuple[str, str], found: Mapping[int, Mapping[str, Any]], record: Mapping[str, Any]
) -> dict[str, Any]:
    """Return a group of settings: the ports as they stand, and each other option with what it changes in them."""
    ports = sorted({p.partition(".")[0] for figures in found.values() for p in figures})
    listed: list[dict[str, Any]] = [
        {"name": "as it stands", "offer": "as-shipped", slot: {p: dict(record.get(p, {})) for p in ports}}
    ]
    for number, figures in found.items():
        changed: dict[str, Any] = {}
        for port in ports:
            kept = {k: v for k, v in record.get(port, {}).items() if k != "standard"}
            mine = {k.partition(".")[2]: v for k, v in figures.items() if k.partition(".")[0] == port}
            changed[port] = {**kept, **mine}
        listed.append({"name": f"other {number}", "offer": name[1], slot: changed})
    return {"name": name[0], "complete": True, "options": listed}


def _put(record: dict[str, Any], path: str, value: Any, label: str, work: Work) -> None:
    port, _, figure = path.rpartition(".")
    here = record.setdefault(port, {}) if port else record
    if figure in ("standard", "box"):
        names = value if isinstance(value, list) else [value]
        if figure == "box":
            here["box"] = ", ".join([*filter(None, [here.get("box", "")]), *map(str, names)])
        else:
            here["standard"] = [*here.get("standard", []), *(n for n in names if n not in here.get("standard", []))]
    elif figure in here and here[figure] != value:
        work.note(f"{label}: two values, {here[figure]} and {value}")
    else:
        here[figure] = value


def _copied(record: Mapping[str, Any]) -> dict[str, Any]:
    return {k: dict(v) if isinstance(v, Mapping) else v for k, v in record.items()}


def _ordered(slots: Mapping[str, Any]) -> dict[str, Any]:
    order = bicycle.load().order
    return dict(sorted(slots.items(), key=lambda item: order.get(item[0], 999)))


# ----------------------------------------------------------------------------------------------------------- judging


def listed(converted: Converted) -> FittingList:
    """Return the list that a question became, read as the program reads it.

    Raises:
        InputFaults: a name or figure in it means nothing to the library.
    """
    raw = {"slots": converted.slots, "kind": converted.kind}
    return fitting_list.read(raw, converted.id, library.load(), bicycle.load())


def _counted(converted: Converted, *, whole: bool = False) -> tuple[Finding, ...]:
    """Return the findings that count for a question, each with the tests that the question asks.

    A question with a topic is about the joints of its topic, one without about any joint; of these about those that
    read a stated figure of two sides, if there is none of one, if there is none of neither. A test none of whose
    figures the question states is not asked.
    """
    if not converted.slots:
        return ()
    fitting = listed(converted)
    judged = [f for f in questions.findings(fitting) if f.state == "judged"]
    named = [f for f in judged if any(fnmatch.fnmatchcase(f.joint, j) for j in converted.joints)]
    asked = [(f, _asked(f, fitting)) for f in named]
    for least in (2, 1):
        about = tuple(f if whole else _only(f, tests) for f, (tests, sides) in asked if tests and sides >= least)
        if about:
            return about
    return tuple(named)


def _asked(finding: Finding, fitting: FittingList) -> tuple[frozenset[str], int]:
    """Return the tests of a joint that read a stated figure, and of how many slots they read any."""
    joint = JOINTS[finding.joint]
    place = next(p for p in joint.places if p.name == finding.place)
    tests: set[str] = set()
    sides: set[str] = set()
    #: rim and tyre are one side, the wheel, of a joint where it meets frame or fork
    held = not {"frame", "fork"}.isdisjoint(place.roles.values())
    one = {s for s in place.roles.values() if held and s.partition("_")[2] in ("rim", "tyre")}
    for test in joint.tests:
        for read in test.reads:
            role, _, path = read.ref.partition(".")
            for slot in {place.roles.get(role, ""), place.adapter} - {""}:
                state = fitting.slots.get(slot)
                known = [v for part in state.parts for v in part.fills.get(slot, ())] if state is not None else []
                if any(path in v or (path.endswith(".material") and "material" in v) for v in known):
                    tests.add(test.id)
                    sides.add("wheel" if slot in one else slot)
    return frozenset(tests), len(sides)


def _only(finding: Finding, tests: frozenset[str]) -> Finding:
    """Return a finding as it is on some of its tests (what a setting does to it always counts)."""
    kept = tuple(t for t in finding.tests if t.test in tests or t.test == "setting")
    worst = max(kept, key=lambda t: t.rank, default=None)
    if worst is None:
        return finding
    return replace(finding, tests=kept, verdict=worst.verdict, perhaps=worst.perhaps, reason=worst.reason)


def answer(converted: Converted) -> Answer:
    """Return what we say to a question, in the sense of its collector.

    Where an adapter part is on the list we say ``fits`` ("through ..."); the collector's word for that is ``adapter``.
    A question about the parts *as they stand* has no other yes than ``fits``.
    """
    found = _counted(converted)
    if not found:
        raise NothingAsked(converted.id)
    worst = max(found, key=lambda f: f.rank)
    all_tests = max(_counted(converted, whole=True), key=lambda f: f.rank)
    verdict = worst.verdict
    if verdict is Verdict.FITS and any(f.through for f in found):
        verdict = Verdict.NEEDS_ADAPTER
    if converted.as_they_stand and verdict in (Verdict.NEEDS_ADAPTER, Verdict.NEEDS_WORK):
        verdict = Verdict.NO_FIT
    return Answer(verdict.word, worst.perhaps.word if worst.perhaps is not None else "", found, all_tests.verdict.word)
