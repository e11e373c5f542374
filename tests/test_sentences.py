"""Every reason, remark, figure and row has its sentence; its holes can be filled; it blames nobody."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from catalog_schema import bicycle, fitting_list, hints, library
from catalog_schema.library import AREAS
from catalog_schema.ports.base import PORT_KINDS
from solver import questions
from solver.explain import pages
from solver.report import NO
from solver.rules import every
from solver.rules.judging import JUDGE_REASONS
from solver.rules.registry import FITS_REASON, Joint, Test
from solver.wording import finding, store, words
from tests import casefile

JOINTS = every.load()
ROOT = Path(__file__).parent.parent
#: Reasons for which the common sentence will do.
COMMON = {*JUDGE_REASONS, "limit-not-printed", "setting-sold", "setting-not-stated"}
OUTCOMES = {"fits", "needs_adapter", "needs_work", "not_known", "no_fit", "unsafe"}
BANNED = re.compile(
    r"\b(incompatib\w+|invalid|illegal|errors?|violat\w+|constraints?|unsatisfiab\w+|wrongly|you chose|mistaken)\b",
    re.IGNORECASE,
)
ORDERS = re.compile(r"\b(should|must)\b", re.IGNORECASE)

EACH_REASON = [(j, t, r) for j in JOINTS.values() for t in j.tests for r in t.reasons]


def name_of(value: object) -> str:
    return value.id if isinstance(value, Joint | Test) else str(value)


def own(joint: Joint, test: Test, reason: str) -> dict[str, str]:
    sentence: dict[str, str] = store.file(joint.area).get(joint.id, {}).get(test.id, {}).get(reason, {})
    return sentence


@pytest.mark.parametrize(("joint", "test", "reason"), EACH_REASON, ids=name_of)
def test_every_reason_has_a_sentence(joint: Joint, test: Test, reason: str) -> None:
    sentence = own(joint, test, reason)
    if reason in COMMON:
        assert store.common("generic", reason)
        return
    assert sentence, f'no ["{joint.id}".{test.id}.{reason}] in wording/{joint.area}.toml'
    assert set(sentence) <= store.SENTENCE_KEYS
    assert sentence.get("fact")
    if reason != FITS_REASON:
        assert sentence.get("customer"), "no words for the customer"
    texts = [words.sentence(t) for t in sentence.values()]
    assert all(len(t.split()) <= 40 for t in texts)
    assert len(sentence["fact"].split()) <= 22, "a fact is at most 20 words, with a little grace for the figures' units"


#: What a customer's sentence has that says what is to be done.
WANTED = re.compile(r"\b(needed|needs|has to|have to|must)\b")


@pytest.mark.parametrize(("joint", "test", "reason"), EACH_REASON, ids=name_of)
def test_a_no_says_to_the_customer_what_is_needed(joint: Joint, test: Test, reason: str) -> None:
    if reason not in COMMON and test.reasons[reason] & set(NO):
        sentence = own(joint, test, reason)
        assert sentence.get("wish") or WANTED.search(sentence["customer"])


@pytest.mark.parametrize(("joint", "test", "reason"), EACH_REASON, ids=name_of)
def test_a_wish_stands_alone(joint: Joint, test: Test, reason: str) -> None:
    """It is left out where something else is done, so it must not stand in the sentence of what is wrong."""
    sentence = own(joint, test, reason)
    if "wish" in sentence:
        assert WANTED.search(sentence["wish"])
        assert not sentence["wish"].endswith(".")
        assert not re.search(r"; (another|others) ", sentence["customer"])


@pytest.mark.parametrize(("joint", "test", "reason"), EACH_REASON, ids=name_of)
def test_every_hole_can_be_filled(joint: Joint, test: Test, reason: str) -> None:
    roles = {r for p in joint.places for r in p.roles}
    reads = {n for n, p in test.parameters.items() if type(p).__name__ == "Read"}
    known = roles | reads | computed_in(joint.area) | {"title"}
    for key, text in own(joint, test, reason).items():
        missing = set(store.holes(text)) - known
        assert not missing, f"{key}: nothing fills {missing}"
        assert not set(store.holes(text)) & roles & reads, f"{key}: a role and a figure share a name"


def rules_trees(area: str) -> list[ast.Module]:
    found = [p for p in sorted((ROOT / "solver" / "rules").glob("*.py")) if library.area_of_file(p.stem) == area]
    return [ast.parse(p.read_text(encoding="utf-8")) for p in found]


def outcome_calls(area: str) -> Iterator[tuple[str, ast.Call]]:
    for node in (n for tree in rules_trees(area) for n in ast.walk(tree)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in OUTCOMES:
            yield node.func.id, node


def computed_in(area: str) -> set[str]:
    return {k.arg for _, call in outcome_calls(area) for k in call.keywords if k.arg} - {"reason", "remarks"}


@pytest.mark.parametrize("area", AREAS)
def test_every_remark_has_a_sentence(area: str) -> None:
    remarks = {s for r in store.file(area).get("remark", {}) for s in (r,)} | set(store.common("remark"))
    used = set()
    for what, call in outcome_calls(area):
        texts = call.args if what == "fits" else [] if what == "needs_adapter" else call.args[1:]
        texts = [*texts, *(e for k in call.keywords if k.arg == "remarks" for e in getattr(k.value, "elts", []))]
        used |= {t.value for t in texts if isinstance(t, ast.Constant) and isinstance(t.value, str)}
    assert used <= remarks


@pytest.mark.parametrize("area", AREAS)
def test_no_sentence_is_left_over(area: str) -> None:
    for joint_id, tests in store.file(area).items():
        if joint_id == "remark":
            continue
        assert joint_id in JOINTS, f"{joint_id} is no joint"
        known = {t.id: set(t.reasons) for t in JOINTS[joint_id].tests}
        for test_id, reasons in tests.items():
            assert test_id in known, f"{joint_id} has no test {test_id}"
            assert set(reasons) <= known[test_id] | COMMON


def every_text(table: Any) -> Iterator[str]:
    if isinstance(table, dict):
        for value in table.values():
            yield from every_text(value)
    else:
        yield str(table)


@pytest.mark.parametrize("name", [*AREAS, "common"])
def test_sentences_blame_nobody(name: str) -> None:
    for text in every_text(store.file(name)):
        assert not BANNED.search(text), text


@pytest.mark.parametrize("name", AREAS)
def test_only_safety_gives_orders(name: str) -> None:
    for joint_id, tests in store.file(name).items():
        if joint_id in JOINTS and not JOINTS[joint_id].safety:
            for text in every_text(tests):
                assert not ORDERS.search(text), text


@pytest.mark.parametrize("joint", JOINTS.values(), ids=name_of)
def test_every_page_can_be_read(joint: Joint) -> None:
    page = pages.of_joint(joint)
    assert not BANNED.search(page.page), BANNED.findall(page.page)
    assert all(t.page for t in page.tests)
    if joint.safety:
        assert page.caution, "a joint where a mistake can hurt someone has a caution"


@pytest.mark.parametrize(
    "joint_test", [(j, t) for j in JOINTS.values() for t in j.tests], ids=lambda p: f"{p[0].id}.{p[1].id}"
)
def test_advice_starts_with_a_verb(joint_test: tuple[Joint, Test]) -> None:
    joint, test = joint_test
    for reason in test.reasons:
        advice = own(joint, test, reason).get("do", "")
        if advice:
            assert not re.match(r"(the|a|an|this|that|it|you|there|no|not|if|with)\b", advice, re.IGNORECASE), advice


# measuring


EACH_FIGURE = [(k, f) for k, p in sorted(PORT_KINDS.items()) for f in p.figure_names()] + [("record", "material")]


@pytest.mark.parametrize(("kind", "figure"), EACH_FIGURE, ids=str)
def test_every_figure_says_how_it_is_measured(kind: str, figure: str) -> None:
    hint = hints.find(kind, figure)
    assert hint, f'no ["{kind}.{figure}"] in measuring/'
    assert hint.words
    assert hint.tool
    assert hint.look or (hint.start and hint.end), "two points, or what to look for"
    for text in (hint.words, hint.tool, hint.start, hint.end, hint.look, hint.safety):
        assert not BANNED.search(text)


@pytest.mark.parametrize("area", AREAS)
def test_no_measuring_hint_is_left_over(area: str) -> None:
    for key in hints.of_area(area):
        kind, _, figure = key.partition(".")
        assert kind in PORT_KINDS, key
        assert figure in PORT_KINDS[kind].figure_names(), key


# the bicycle's own rows


def test_the_rows_of_the_bicycle_name_what_there_is() -> None:
    bike, known = bicycle.load(), library.load()
    for row in bike.fastenings:
        assert store.common("missing", row.id).get("fact"), row.id
        assert store.common("missing", row.id).get("customer"), row.id
        assert {row.slot, row.because, *row.present, *row.unless} <= set(bike.by_id)
        for path in (*(f"{row.because}.{s}" for s in row.show), *row.where):
            slot, port, figure = path.split(".")
            kind = bike.record_class(slot).ports()[port]
            assert figure in kind.figure_names(), path
            for word in row.where.get(path, ()):
                assert word == "none" or known.word(kind.kind, figure, word) == word, f"{path} is never {word}"
    for out in bike.ruled_out:
        assert {out.because, *out.slots} <= set(bike.by_id)
        for path, words_of in out.where.items():
            slot, port, figure = path.split(".")
            kind = bike.record_class(slot).ports()[port]
            for word in words_of:
                assert word == "none" or known.word(kind.kind, figure, word) == word, f"{path} is never {word}"
    for kind_of in bike.kinds:
        assert {s for entry in kind_of.slots for s in entry.split("|")} <= set(bike.by_id), kind_of.id
        assert kind_of.use in ("racing", "other")
    for side in bike.sides:
        assert {*side.slots, *side.front, *side.rear} <= set(bike.by_id)
    for question in bike.questions:
        assert {*question.about, *question.others} <= set(bike.by_id)


# in use

CASES = [c for f in casefile.files() for c in casefile.load(f)]


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.id)
def test_every_case_is_told_in_its_own_sentence(case: casefile.Case) -> None:
    listed = fitting_list.read({"slots": case.slots, "kind": case.kind}, case.id, library.load(), bicycle.load())
    report = questions.check(listed)
    for found in report.judged:
        for result in found.tests:
            sentence = store.of_reason(found.joint, result.test, result.reason)
            values = finding.values_of(found, result, report)
            if result.reason != FITS_REASON and found.joint == case.joint.partition("@")[0]:
                assert store.filled(sentence.get("fact", ""), values), f"{result.test}:{result.reason} has open holes"
