"""Why a list does not go together, and what helps, in words.

In: a ``WhyReport``. Out: lines and what is left of the answer of ``check``. The first sentence stands by itself: which
part, what is wrong, what to do; what may hurt someone opens with that. The customer's register uses plain words, no
figure that he cannot take, and closes with what it takes, what it costs, when.
"""

from __future__ import annotations

from collections.abc import Sequence

from catalog_schema.lean import dataclass, replace
from solver.remedies import Change, Clash, WhyReport
from solver.report import NO, CheckReport, Finding, Verdict
from solver.wording import answer, changing, store, words
from solver.wording import customer as plain
from solver.wording.answer import Answer
from solver.wording.exchanging import misses
from solver.wording.finding import Said, Tag, fact_of, said, stated, values_of


@dataclass(frozen=True, slots=True)
class Told:
    """An answer: the first sentence and why, what helps, and the findings and counts that come after."""

    lead: Said
    lines: tuple[str, ...]
    rest: Answer


def why(report: WhyReport, *, full: bool = False, sources: bool = False, everything: bool = False) -> Told:
    """Return the answer in the mechanic's words.

    Args:
        report: the answer in records.
        full: everything, however long.
        sources: tell where the figures of each finding come from.
        everything: put what fits among the findings.
    """
    rest = answer.answer(report.check, sources=sources, everything=everything, full=full)
    if not report.clashes:
        return Told(_as_said(rest), (), rest)
    clash, first = _foremost(report)
    left = rest.findings
    under: list[tuple[Tag, str]] = []
    if first is not None:
        own = said(first, report.check, sources=sources)
        under = [(t, text) for t, text in own.lines if t in ("because", "note", "also", "source")]
        left = tuple(s for s in left if s.id != first.id)
    joints = [first.id] if first is not None else list(clash.joints)
    if joints:
        why_so = next((text for t, text in under if t == "because"), "")
        why_so = why_so or ("" if first is not None else "Each of them fails at one of these joints.")
        under = [
            ("because", words.joined([why_so, f"({', '.join(joints)})"])),
            *(u for u in under if u[0] != "because"),
        ]
    lines = [*_together(clash), *changing.ways(report.remedies, full=full)]
    for found in report.misses if full else report.misses[:1]:
        lines += misses(found, report.check)
    lines += _others(report, clash, full=full)
    lead = Said(first.id if first is not None else "", _lead(report, clash, first), tuple(under), rest.bold, red=True)
    cured = bool(report.remedies.changes)
    return Told(lead, tuple(lines), replace(rest, findings=tuple(_without_shelf(s, cured=cured) for s in left)))


def to_customer(report: WhyReport) -> Told:
    """Return the answer in the customer's words."""
    rest = plain.answer(report.check)
    if not report.clashes:
        return Told(_as_said(rest), (), rest)
    clash, first = _foremost(report)
    closing = _closing(report, clash)
    if first is None:
        lead = words.sentence(f"{_searched(clash, customer=True)}; one of them has to be another")
        return Told(Said("", lead, (), bold=False, red=True), (), replace(rest, findings=(), closing=closing))
    lead = words.sentence(plain.sentence_of(first, report.check))
    told = {first.id, *(f.id for f in report.check.judged if f.verdict is Verdict.NOT_KNOWN)}
    left = tuple(s for s in rest.findings if s.id not in told)
    others = _others_red(report, first)
    if report.remedies.changes:
        change = report.remedies.changes[0]
        still = dict(change.after)
        judged = {f.id: f for f in report.check.judged}
        left = tuple(
            plain.said(judged[s.id], report.check, wish=False) if s.red else s for s in left if s.red or s.id in still
        )
    if report.remedies.changes and others:
        lead = words.sentence(plain.sentence_of(first, report.check, wish=False))
        lead = f"{lead.removesuffix('.')}{_settles(change, clash, len(others))}."
    if _dangerous(first):
        lead = _warned(lead, first, report.check)
    return Told(Said(first.id, lead, (), rest.bold, red=True), (), replace(rest, findings=left, closing=closing))


def _others_red(report: WhyReport, first: Finding) -> list[Finding]:
    """Return the findings that say no beside the one that is told first."""
    return [f for f in report.check.judged if f.verdict in NO and f.id != first.id]


def _settles(change: Change, clash: Clash, others: int) -> str:
    """Return how much more there is, and the one change that all of it needs, to end the customer's sentence."""
    parts = changing.comes(change, customer=True, about=_mentioned(clash))
    one = len(parts) == 1 and len(change.left) == 1
    more = words.counted(others, "more thing does not fit", "more things do not fit")
    return f", and {more}; {words.listed(parts)} {'is' if one else 'are'} needed"


def _as_said(found: Answer) -> Said:
    return Said("", found.headline, (), found.bold, red=False)


def _dangerous(finding: Finding) -> bool:
    return finding.verdict is Verdict.UNSAFE or finding.perhaps is not None


def _warned(text: str, finding: Finding, report: CheckReport) -> str:
    """Return a sentence that opens with the warning; the caution of the joint comes after it."""
    opening = "Unsafe" if finding.verdict is Verdict.UNSAFE else "Perhaps unsafe"
    page = report.pages.get(finding.joint)
    caution = words.sentence(page.caution) if page is not None and page.caution else ""
    return words.joined([f"{opening}: {text[0].lower()}{text[1:]}", caution])


def _foremost(report: WhyReport) -> tuple[Clash, Finding | None]:
    """Return the clash and the finding to begin with: the worst, the first of equals; None: nothing listed is red."""
    best: tuple[Clash, Finding] | None = None
    for clash in report.clashes:
        for finding in clash.findings:
            if best is None or finding.rank > best[1].rank:
                best = (clash, finding)
    return best if best is not None else (report.clashes[0], None)


def _lead(report: WhyReport, clash: Clash, first: Finding | None) -> str:
    """Return the first sentence: which part, what is wrong, what to do."""
    if first is None:
        return words.sentence(f"{_searched(clash, customer=False)}: {_to_do(report, clash, None)}")
    fact = fact_of(first, report.check).removesuffix(".")
    others = len(_others_red(report, first)) if report.remedies.changes else 0
    if others:
        fact = f"{fact}; {words.counted(others, 'more joint')} {'says' if others == 1 else 'say'} no"
    text = words.sentence(f"{fact}{'; ' if ': ' in fact else ': '}{_to_do(report, clash, first)}")
    return _warned(text, first, report.check) if _dangerous(first) else text


def _to_do(report: WhyReport, clash: Clash, first: Finding | None) -> str:
    """Return what to do, opening with a verb where something can be done."""
    found = report.remedies
    if found.changes:
        return changing.action(found.changes[0])
    own = _own_advice(first, report.check) if first is not None else ""
    one_of = words.listed([_pick(clash, i, customer=True) for i in range(len(clash.picks))], "or")
    other = own or (f"take another part in place of {one_of}" if clash.picks else "look for one of them elsewhere")
    if first is None and clash.picks:
        other += f", or find a {words.listed([words.slot(s) for s in clash.open_slots], 'or')} elsewhere"
    kept = f" with the {words.listed([words.slot(s) for s in found.kept])} kept" if found.kept else ""
    match found.why_none:
        case "none-on-the-shelf":
            return f"{other}; nothing on the shelf helps{kept}, every part there was tried"
        case "kept-parts-clash":
            return f"give up one of them after all ({one_of}), no other part can help"
        case "too-wide":
            return f"{other}; what the shelf has for it could not be worked out, too many parts are in question"
        case "not-found":
            return f"{other}; on the shelf nothing was found for it, though there may be something"
    return other


def _own_advice(finding: Finding, report: CheckReport) -> str:
    """Return what the joint's own sentence says to do, as part of a sentence."""
    result = finding.deciding
    if result is None:
        return ""
    sentence = store.of_reason(finding.joint, result.test, result.reason)
    text = store.filled(sentence.get("do", ""), stated(values_of(finding, result, report))) or ""
    first = text.partition("; ")[0].partition(". ")[0].removesuffix(".")
    return first[:1].lower() + first[1:]


def _together(clash: Clash) -> list[str]:
    """Return which picks cannot all stay, where the first sentence does not say so."""
    if clash.searched or (len(clash.picks) <= 2 and len(clash.findings) <= 1):
        return []
    picks = words.listed([_pick(clash, i, customer=False) for i in range(len(clash.picks))])
    more = [f.id for f in clash.findings[1:]]
    joints = f" ({words.listed(more)} as well)" if more else ""
    return [f"These cannot all stay: {picks}{joints}. Another part in place of any one of them ends it."]


def _others(report: WhyReport, clash: Clash, *, full: bool) -> list[str]:
    """Return the other sets of picks that cannot stay together."""
    others = [c for c in report.clashes if c is not clash]
    beyond = "" if report.all_clashes else ", and perhaps more"
    if not others:
        return []
    if not full:
        number = words.counted(len(others), "other group of parts", "other groups of parts")
        them = "it" if len(others) == 1 else "them"
        cured = f"; what helps above cures {them} as well" if report.remedies.changes else ""
        return [f"Beside this, {number} cannot stay together{beyond}{cured}; --full shows all."]
    lines = []
    for other in others:
        picks = words.listed([_pick(other, i, customer=False) for i in range(len(other.picks))])
        joints = words.listed([f.id for f in other.findings] or list(other.joints))
        lines.append(f"Nor can these all stay: {picks}{f' ({joints})' if joints else ''}.")
    return lines


def _mentioned(clash: Clash) -> frozenset[str]:
    return frozenset(s for f in clash.findings for s in (*f.slots, *f.through))


def _pick(clash: Clash, at: int, *, customer: bool) -> str:
    mentioned = _mentioned(clash)
    fills = clash.fills[at] if clash.fills else clash.picks[at : at + 1]
    here = [s for s in fills if s in mentioned] or [clash.picks[at]]
    name = words.clean(clash.names[at]) if clash.names else ""
    text = f"the {words.listed([words.slot(s) for s in here])}"
    return f"{text} {name}" if name and not customer else text


def _searched(clash: Clash, *, customer: bool) -> str:
    empty = words.listed([words.slot(s) for s in clash.open_slots], "or")
    if not clash.picks:
        return f"on the shelf there are no parts for {empty} that go together, whatever else is on the list"
    picks = words.listed([_pick(clash, i, customer=customer) for i in range(len(clash.picks))])
    where = "we have" if customer else "on the shelf"
    return f"no {empty} {where} goes with {picks}{' at once' if len(clash.picks) > 1 else ''}"


def _without_shelf(found: Said, *, cured: bool) -> Said:
    """Return a finding without the parts of the shelf, which stand among the changes; one that is cured without advice.

    What its own sentence says to do may be the opposite of the change, which lets other parts go.
    """

    def stays(tag: Tag, text: str) -> bool:
        return not found.red or not (text.startswith("On the shelf in place of") or (cured and tag == "do"))

    lines = tuple(line for line in found.lines if stays(*line))
    return replace(found, lines=lines)


def _closing(report: WhyReport, clash: Clash) -> str:
    """Return the customer's last sentence: what it takes, what it costs, when."""
    changes = report.remedies.changes
    beside = plain.beside(report.check, changes[0] if changes else None)
    also = f"; beside that, {words.listed(beside)}" if beside else ""
    if changes:
        first = changes[0]
        parts = words.listed(changing.comes(first, customer=True, about=_mentioned(clash)))
        text = words.joined([f"What it takes: {parts}, {changing.terms(first)}{also}."])
        return words.joined([text, changing.brings(first, customer=True)])
    other = words.listed([words.slot(s) for s in _replaceable(clash, report.remedies.kept)], "or")
    if report.remedies.why_none == "none-on-the-shelf":
        what = f"another {other}, which we do not have" if other else "parts that we do not have"
    else:
        what = f"another {other}" if other else "other parts"
    return f"What it takes: {what}; what it costs and when it is here we have to ask{also}."


def _replaceable(clash: Clash, kept: Sequence[str]) -> list[str]:
    mentioned = _mentioned(clash)
    fills = clash.fills or tuple((p,) for p in clash.picks)
    homes = [next((s for s in f if s in mentioned), f[0]) for f in fills if not set(f) & set(kept)]
    return [h for h in homes if h != "frame"] or homes
