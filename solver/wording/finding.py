"""One finding in words: caution, fact, because, do, measure, in that order.

In: a finding and the report it stands in. Out: a ``Said``, short texts that a renderer lays out. The sentences come
from ``store``; what a sentence needs and a finding does not hold leads to the plain list of figures, never to a guess.
"""

from __future__ import annotations

from typing import Final, Literal

from catalog_schema import library as libraries
from catalog_schema.interface import AdapterKind
from catalog_schema.lean import dataclass
from catalog_schema.quantity import Limit, Measure
from solver.report import NO, CheckReport, Finding, Shelf, ShownFigure, TestResult, Verdict
from solver.wording import store, words

Tag = Literal["because", "do", "measure", "note", "also", "source"]

_MEASURED_AT_MOST: Final = 3
_OFFERED_AT_MOST: Final = 4


@dataclass(frozen=True, slots=True)
class Said:
    """One finding in words. ``head`` opens with the verdict; ``bold`` marks what may hurt someone."""

    id: str
    head: str
    lines: tuple[tuple[Tag, str], ...]
    bold: bool
    red: bool


def label(finding: Finding, sentence: dict[str, str] | None = None) -> str:
    """Return the verdict in words."""
    labels = store.common("verdict")
    if finding.perhaps is not None:
        return str(labels["perhaps"])
    if sentence and "label" in sentence and finding.verdict is Verdict.NOT_KNOWN:
        return sentence["label"]
    return str(labels[finding.verdict.word])


def title(finding: Finding, report: CheckReport) -> str:
    """Return what meets, and where: ``hub in dropout, rear``."""
    page = report.pages.get(finding.joint)
    name = page.title if page is not None else finding.joint
    return f"{name}, {finding.place}" if finding.place else name


def said(finding: Finding, report: CheckReport, *, sources: bool = False) -> Said:
    """Return a judged finding in the mechanic's words."""
    result = finding.deciding
    if result is None:
        return Said(finding.id, words.sentence(label(finding)), (), bold=False, red=False)
    sentence = store.of_reason(finding.joint, result.test, result.reason)
    values = values_of(finding, result, report)
    head = [f"{words.sentence(label(finding, sentence))}"]
    dangerous = finding.verdict is Verdict.UNSAFE or finding.perhaps is not None
    page = report.pages.get(finding.joint)
    if dangerous and page is not None and page.caution:
        caution = words.sentence(page.caution)
        head = [f"{words.sentence(label(finding)).removesuffix('.')}: {caution[0].lower()}{caution[1:]}"]
    head.append(words.sentence(fact(finding, result, sentence, values, report)))
    lines: list[tuple[Tag, str]] = []
    for tag in ("because", "do"):
        text = store.filled(sentence.get(tag, ""), stated(values))
        if text:
            lines.append(("because" if tag == "because" else "do", words.sentence(text)))
    lines += [("do", t) for t in _needed(finding, report)]
    lines += [("measure", t) for t in _measured(finding, result)]
    lines += [("note", t) for t in _notes(finding)]
    lines += [("also", t) for t in _other_tests(finding, result, report)]
    if sources:
        lines += [("source", t) for t in _sources(result)]
    text = f"{words.joined(head)} ({finding.id})"
    return Said(finding.id, text, tuple(lines), bold=dangerous, red=finding.verdict in NO)


def fact(
    finding: Finding, result: TestResult, sentence: dict[str, str], values: dict[str, str], report: CheckReport
) -> str:
    """Return the fact of a finding; without a sentence for it, the figures as they are."""
    text = store.filled(sentence.get("fact", ""), stated(values))
    if text:
        return text
    shown = [f"{words.figure_name(f.ref)} {words.figure(f)}" for f in result.figures if f.ref and f.value is not None]
    reason = result.reason.replace("-", " ")
    return f"{title(finding, report)}: {reason}" + (f" ({'; '.join(shown)})" if shown else "")


def fact_of(finding: Finding, report: CheckReport) -> str:
    """Return what a finding says, both figures with their units."""
    result = finding.deciding
    if result is None:
        return words.sentence(title(finding, report))
    sentence = store.of_reason(finding.joint, result.test, result.reason)
    return words.sentence(fact(finding, result, sentence, values_of(finding, result, report), report))


def fact_line(finding: Finding, report: CheckReport) -> str:
    """Return what a finding says, and its id."""
    return f"{fact_of(finding, report)} ({finding.id})"


def stated(values: dict[str, str]) -> dict[str, str]:
    """Return the values that are known, so that no sentence speaks of a figure that nobody stated."""
    return {k: v for k, v in values.items() if v != words.NOT_STATED}


def values_of(finding: Finding, result: TestResult, report: CheckReport) -> dict[str, str]:
    """Return what the holes of a sentence may be filled with: roles, figures, and what the judge's reasons tell."""
    values = {role: words.slot(slot) for role, slot in roles_of(finding, result, report).items()}
    values.update((f.name, words.figure(f)) for f in result.figures)
    values["title"] = title(finding, report)
    values["missing"] = "; ".join(words.figure_name(m) for m in result.missing)
    values["possible"] = words.listed([store.common("possible")[v.word] for v in result.possible], "or")
    values["clashes"] = "; ".join(_clash(f) for f in result.figures if f.named is not None)
    values["rows"] = words.listed([words.row_name(r) for r in result.rows])
    unprinted = [f for f in result.figures if isinstance(f.value, Limit) and f.value.value is None]
    values["unprinted"] = "; ".join(words.figure_name(f.ref) for f in unprinted)
    values["numbers"] = words.listed([words.clean(a) for a in result.adapters]) or "it"
    if finding.settings:
        slot, group, option = finding.settings[0]
        values |= {"holder": words.slot(slot), "group": words.clean(group), "option": words.clean(option)}
    return values


def roles_of(finding: Finding, result: TestResult, report: CheckReport) -> dict[str, str]:
    """Return the slot of each role, as the test was asked: where an adapter lies between, it plays one of the roles."""
    page = report.pages.get(finding.joint)
    if page is None:
        return {}
    roles = {r: s for p in page.places if p.name == finding.place for r, s in p.roles}
    refs = {f.name: f.ref for f in result.figures if f.ref}
    for test in page.tests:
        if test.id == result.test:
            for line in test.reads:
                if line.parameter in refs:
                    roles[line.ref.partition(".")[0]] = refs[line.parameter].partition(".")[0]
    return roles


def _clash(shown: ShownFigure) -> str:
    key = shown.ref.rpartition(".")[2]
    how = "measured" if isinstance(shown.value, Measure) and shown.value.measured else "stated"
    return (
        f"{words.figure_name(shown.ref)}, {how} {words.value_text(shown.value, key)},"
        f" by its name {words.value_text(shown.named, key)}"
    )


def _measured(finding: Finding, result: TestResult) -> list[str]:
    """Return how to find the figures that would decide: tool and two points for each."""
    if finding.verdict is not Verdict.NOT_KNOWN and finding.perhaps is None:
        return []
    refs: dict[str, None] = {}
    for test in (result, *(t for t in finding.tests if t.rank == result.rank)):
        for missing in test.missing:
            path = missing.partition(":")[0]
            if path.endswith(".box"):
                slot = path.removesuffix("box")
                refs.update((f.ref, None) for f in test.figures if f.ref.startswith(slot) and f.row and f.value is None)
            else:
                refs[path] = None
    texts = [how_to_measure(ref) for ref in refs]
    texts = list(dict.fromkeys(t for t in texts if t))
    if len(texts) > _MEASURED_AT_MOST:
        rest = len(texts) - _MEASURED_AT_MOST
        texts = [*texts[:_MEASURED_AT_MOST], f"{words.counted(rest, 'more figure')} (card says how)."]
    return texts


def how_to_measure(ref: str) -> str:
    """Return tool and points for the figure ``slot.port.figure``."""
    hint = words.hint_of(ref)
    name = words.figure_name(ref)
    if hint.look:
        return words.sentence(f"{name}: {hint.look}")
    if hint.start and hint.end:
        return words.sentence(f"{name}: {hint.tool}, from {hint.start} to {hint.end}")
    return words.sentence(f"{name}: {hint.tool}" if hint.tool else name)


def _needed(finding: Finding, report: CheckReport) -> list[str]:
    """Return the adapters that close the gap and the parts that were tried in place of a listed one."""
    texts = []
    for need in report.needs:
        if need.finding == finding.id:
            named = words.listed([words.row_name(k) for k in need.kinds], "or")
            texts.append(words.joined([words.sentence(f"add: {named}"), shelf_text(need.shelf)]))
    for cure in report.cures:
        if cure.finding == finding.id:
            numbers = offered(cure.shelf)
            texts.append(f"On the shelf in place of the {words.slot(cure.shelf.slot)}, judged again: {numbers}.")
    return texts


def offered(shelf: Shelf) -> str:
    """Return the numbers of the parts that a shelf offers, cheapest first."""
    numbers = [words.clean(o.number) for o in shelf.offers[:_OFFERED_AT_MOST]]
    more = len(shelf.offers) - len(numbers)
    return ", ".join(numbers) + (f" and {more} more" if more else "")


def shelf_text(shelf: Shelf | None) -> str:
    """Return what the shelf has for a need; without a catalogue nothing is said."""
    if shelf is None:
        return ""
    untold = f"Of {words.counted(shelf.untold, 'part')} there the figures do not decide." if shelf.untold else ""
    if shelf.offers:
        return words.joined([f"On the shelf: {offered(shelf)}.", untold])
    return words.joined(["Nothing on the shelf is known to fit.", untold])


def _notes(finding: Finding) -> list[str]:
    """Return what goes with the verdict: settings, adapters in between, remarks, limits of adapter kinds."""
    texts = []
    if finding.settings:
        chosen = [f"{words.clean(g)} {words.clean(o)}" for _, g, o in finding.settings if o]
        if chosen:
            texts.append(words.sentence(f"with {words.listed(chosen)}"))
    if finding.through:
        texts.append(words.sentence(f"through the {words.listed([words.slot(s) for s in finding.through])}"))
    texts += [words.sentence(_remark(finding, r)) for r in finding.remarks]
    for kind in dict.fromkeys(a for t in finding.tests for a in t.adapters):
        row = libraries.load().rows.get(kind)
        if isinstance(row, AdapterKind):
            texts += [words.sentence(t) for t in (row.limits, row.caution) if t]
    return texts


def _remark(finding: Finding, remark: str) -> str:
    """Return the sentence of a remark, with the figures of the test that makes it; without them, the remark's name."""
    template = store.remark(finding.joint, remark)
    result = next(t for t in finding.tests if remark in t.remarks)
    values = {f.name: words.figure(f) for f in result.figures}
    return store.filled(template, stated(values)) or remark.replace("-", " ")


def _other_tests(finding: Finding, deciding: TestResult, report: CheckReport) -> list[str]:
    """Return what the other tests of a joint say, worst first."""
    texts = []
    for result in sorted(finding.tests, key=lambda t: t.rank, reverse=True):
        if result is not deciding:
            sentence = store.of_reason(finding.joint, result.test, result.reason)
            values = values_of(finding, result, report)
            texts.append(words.sentence(fact(finding, result, sentence, values, report)))
    return list(dict.fromkeys(texts))


def _sources(result: TestResult) -> list[str]:
    """Return why each row is believed that a test rests on; adapters only if it asks for them."""
    rows = libraries.load().rows
    texts = []
    for row_id in result.rows:
        if row_id in result.adapters or not isinstance(rows.get(row_id), AdapterKind):
            texts += [f"{words.row_name(row_id)}: {g}" for g in words.grounds_of(row_id)]
    if any(f.ref and f.value is not None and not f.row for f in result.figures):
        texts.append("the other figures: as stated on the list or in the catalogue")
    return texts
