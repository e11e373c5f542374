"""What is written down, as records: joints, rows of the library, measuring cards.

In: registered joints, the library, the bicycle. Out: records of ``report``. It looks things up and judges nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from catalog_schema import hints, slot_words
from catalog_schema.bicycle import Bicycle, Question
from catalog_schema.deferred import Deferred
from catalog_schema.faults import Fault, FaultList, InputFaults, nearest
from catalog_schema.interface import AdapterKind, Row, Table, TradeFigure
from catalog_schema.library import AREAS, OPEN, Library
from catalog_schema.names import squeezed
from catalog_schema.quantity import shown
from catalog_schema.records import RECORD_KINDS
from solver.report import (
    CardLine,
    CardReport,
    Finding,
    JointPage,
    JointPlace,
    ReadLine,
    RowsReport,
    RuleReport,
    TestPage,
)
from solver.rules.judging import figure_type
from solver.rules.registry import JOINTS, Joint, Read, Test, Total

_WORDS: Final = re.compile(r"[^\s\-_./]+")


def of_joints(joints: Iterable[str]) -> Mapping[str, JointPage]:
    """Return joint -> its page, made when somebody reads it."""
    return Deferred(dict.fromkeys(joints), lambda joint, _: of_joint(JOINTS[joint]))


def of_joint(joint: Joint) -> JointPage:
    """Return the page of a joint."""
    places = tuple(JointPlace(p.name, tuple(p.roles.items()), p.adapter) for p in joint.places)
    tests = tuple(_test_page(t) for t in joint.tests)
    return JointPage(joint.id, joint.title, joint.page, joint.safety, places, joint.presupposes, tests)


def _test_page(test: Test) -> TestPage:
    reads: list[ReadLine] = []
    for name, parameter in test.parameters.items():
        if isinstance(parameter, Read):
            reads.append(_line(name, parameter))
        elif isinstance(parameter, Total):
            reads.extend(_line(name, r) for r in parameter.reads)
    reasons = tuple((reason, tuple(sorted(verdicts))) for reason, verdicts in test.reasons.items())
    return TestPage(
        test.id,
        test.page,
        tuple(reads),
        test.rows,
        reasons,
        test.asked_if,
        test.asked_unless,
        test.asked_anyway,
        test.silent or "",
    )


def _line(name: str, read: Read) -> ReadLine:
    return ReadLine(name, read.ref, read.role, read.limit_kind or "", read.optional)


def rule(joint_id: str, library: Library) -> RuleReport:
    """Return the page of a joint with the rows of the library that it reads and the adapters that bridge it.

    Raises:
        InputFaults: there is no such joint.
    """
    said = squeezed(joint_id)
    alike = [
        j.id for j in JOINTS.values() if said in (squeezed(j.id), squeezed(j.id.partition(".")[2]), squeezed(j.title))
    ]
    if len(alike) != 1:
        of_area = [
            j.partition(".")[2] for j in JOINTS if j.partition(".")[0] == joint_id.strip().casefold().replace(" ", "_")
        ]
        message = f"there is no joint {shown(joint_id)}" if not alike else f"several: {', '.join(alike)}"
        if of_area:
            message = f"{shown(joint_id)} is an area; its joints: {', '.join(of_area)}"
        near = "" if alike else nearest(joint_id, [*JOINTS, *(j.partition(".")[2] for j in JOINTS)])
        raise InputFaults([Fault("rule", "", "unknown-word", message, near)])
    joint = JOINTS[alike[0]]
    read = {r for t in joint.tests for r in t.rows}
    bridging = {r.id for r in library.rows.values() if isinstance(r, AdapterKind) and r.bridges == joint.id}
    adapters = [library.adapter(i) for i in sorted(bridging | {i for i in read if _is_adapter(i, library)})]
    told = {r.id for r in library.rows.values() if isinstance(r, TradeFigure | Table) and r.beside == joint.id}
    rows = [library.rows[i] for i in sorted(read | bridging | told) if i in library.rows]
    return RuleReport(of_joint(joint), tuple(adapters), _report("", rows, library))


def _is_adapter(row_id: str, library: Library) -> bool:
    return isinstance(library.rows.get(row_id), AdapterKind)


def rows(word: str, library: Library) -> RowsReport:
    """Return the rows that bear a word as a name, or else hold it in name, id or title; without a word, all rows.

    A word is held inside one word there, or from the beginning of one: "nope" is not in "an open slot".

    Raises:
        InputFaults: no row does.
    """
    text = squeezed(word)
    exact = [r for r in library.rows.values() if text in (squeezed(n) for n in (r.id, *r.names))]
    loose = exact or [r for r in library.rows.values() if any(_holds(n, text) for n in _texts(r))]
    found = loose if text else list(library.rows.values())
    if not found:
        near = nearest(word, [n for r in library.rows.values() for n in (r.id, *r.names)])
        raise InputFaults(
            [Fault("interfaces", "", "unknown-word", f"the library has nothing named {shown(word)}", near)]
        )
    return _report(word, found, library)


def _holds(name: str, text: str) -> bool:
    return any(
        text in squeezed(m.group()) or squeezed(name[m.start() :]).startswith(text) for m in _WORDS.finditer(name)
    )


def _texts(row: Row) -> Iterable[str]:
    title = row.title if isinstance(row, TradeFigure | Table | AdapterKind) else ""
    return (row.id, *row.names, title)


def _report(word: str, found: Sequence[Row], library: Library) -> RowsReport:
    ordered = sorted(found, key=lambda r: (AREAS.index(library.area(r.id)), r.id))
    areas = {r.id: library.area(r.id) for r in ordered}
    return RowsReport(word, tuple(ordered), areas, {r.id: tuple(library.sources_of(r)) for r in ordered})


def card(kind: str, question: str, library: Library, bicycle: Bicycle) -> CardReport:
    """Return what to measure on a part of a kind (or slot), or only what one question reads.

    Raises:
        InputFaults: the kind or the question is not known.
    """
    faults = FaultList("card")
    slots = _slots_of(kind, bicycle) or slot_words.slots_meant(kind, bicycle, faults)
    if len({bicycle.by_id[s].kind for s in slots}) > 1:
        named = ", ".join(bicycle.by_id[s].words for s in slots)
        faults.add("place-needed", "", f"{kind} means several parts; name one of: {named}")
    asked = bicycle.question(question) if question else None
    if question and asked is None:
        faults.unknown("--for-question", "question", question, [q.id for q in bicycle.questions])
    faults.raise_if_any()
    record_kind = bicycle.by_id[slots[0]].kind
    wanted = _read_at(slots, asked) if asked is not None else None
    record = RECORD_KINDS[record_kind]
    lines = []
    for path in [*record.scalars(), *(f"{n}.{f}" for n, p in record.ports().items() for f in p.figure_names())]:
        if wanted is not None and path not in wanted:
            continue
        port, _, figure = path.rpartition(".")
        port_kind = record.ports()[port].kind if port else hints.OTHERS
        accepts = tuple(sorted(set(library.words.get((port_kind, figure), {}).values()) - {OPEN}))
        lines.append(CardLine(port, figure, hints.hint(port_kind, figure), figure_type(record_kind, path), accepts))
    return CardReport(record_kind, slots, tuple(lines), question)


def _slots_of(kind: str, bicycle: Bicycle) -> tuple[str, ...]:
    """Return the slots that a word means: of a record kind, a slot, or the words for one."""
    text = squeezed(kind)
    if not text:
        return ()
    for slot in bicycle.slots:
        if text in (squeezed(slot.id), squeezed(slot.words)):
            return (slot.id,)
    found = [s.id for s in bicycle.slots if text == squeezed(s.kind)]
    found = found or [s.id for s in bicycle.slots if text == squeezed(s.words.partition(" ")[2])]
    return tuple(found)


def _read_at(slots: Sequence[str], question: Question) -> set[str]:
    """Return the figures that the joints of a question read at some slots."""
    about = set(question.about)
    asked = {*about, *question.others, "bicycle"}
    found = set()
    for joint in JOINTS.values():
        for place in joint.places:
            for test in joint.tests:
                there = {place.roles[r] for r in joint.roles_of(test)}
                if not there <= asked or not there & about:
                    continue
                for read in test.reads:
                    role, _, path = read.ref.partition(".")
                    if place.roles[role] in slots:
                        found |= {path, path.rpartition(".")[2]} if path.endswith(".material") else {path}
    return found


def adapter_slots(finding: Finding, kinds: Sequence[str], library: Library, bicycle: Bicycle) -> set[str]:
    """Return the slots in which an adapter for a finding goes."""
    joint = JOINTS[finding.joint]
    found = {p.adapter for p in joint.places if p.name == finding.place and p.adapter}
    for kind in kinds:
        slot = library.adapter(kind).slot
        if slot in bicycle.by_id:
            found.add(slot)
        else:
            found |= {s for s in bicycle.slots_of_kind(slot) if not finding.place or s.startswith(finding.place)}
    return found
