"""Twenty explanations as whole text, as a mechanic and as a customer read them.

The closing counts are left out: they grow with the joints. ``python -m tests.test_explanations`` writes the texts anew.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from catalog_schema.fitting_list import FittingList
from solver import reasons
from solver.remedies import WhyReport
from solver.report import NO, Verdict
from solver.wording import bridging, exchanging, measurements, remedies
from solver.wording.remedies import Told
from tests.reason_worlds import BICYCLE, a_list
from tests.small_questions import SAMPLE, read

FILE = Path(__file__).parent / "explanations.toml"

SHOP: dict[str, Any] = {
    "HB-142": {"price": "90.00 EUR", "stock": 1, "mass_g": 310, "fills": {"rear_hub": "12x142, splined"}},
    "HB-148": {"price": "80.00 EUR", "stock": 2, "mass_g": 300, "fills": {"rear_hub": "12x148, 6-bolt"}},
    "SP-272": {"price": "35.00 EUR", "lead_days": 4, "mass_g": 280, "fills": {"seatpost": "27.2"}},
    "SP-309": {"price": "30.00 EUR", "stock": 3, "mass_g": 290, "fills": {"seatpost": "30.9"}},
    "ST-318": {"price": "46.00 EUR", "stock": 1, "fills": {"stem": "31.8"}},
    "ST-35": {"price": "52.00 EUR", "stock": 1, "fills": {"stem": "35"}},
    "BAR-35": {"price": "62.00 EUR", "stock": 1, "fills": {"handlebar": "35"}},
}


def listed(slots: dict[str, Any], shop: dict[str, Any] | None = None) -> FittingList:
    return a_list(slots, SHOP if shop is None else shop)


def told_in_full(found: Told) -> list[str]:
    under = [f"    {tag:<9}{text}" for tag, text in found.lead.lines if tag != "also"]
    return [found.lead.head, *under, *found.lines, *(f.head for f in found.rest.findings)]


def why(slots: dict[str, Any], *, keep: tuple[str, ...] = (), shop: dict[str, Any] | None = None) -> list[str]:
    return told_in_full(remedies.why(reasons.why(listed(slots, shop), keep=keep)))


def to_customer(slots: dict[str, Any], *, shop: dict[str, Any] | None = None) -> list[str]:
    found = remedies.to_customer(reasons.why(listed(slots, shop)))
    return [*told_in_full(found), found.rest.closing]


def swap(slots: dict[str, Any], slot: str, *, plain: bool = False, shop: dict[str, Any] | None = None) -> list[str]:
    return exchanging.swap(reasons.swap(listed(slots, shop), slot), customer=plain)


def join(*sides: str, plain: bool = False) -> list[str]:
    return bridging.join(reasons.join(sides), customer=plain)


def measure(slots: dict[str, Any], *, plain: bool = False) -> list[str]:
    return measurements.measure(reasons.measure(listed(slots)), customer=plain)


def compare(first: dict[str, Any], second: dict[str, Any], *, plain: bool = False) -> list[str]:
    return measurements.compare(reasons.compare(listed(first), listed(second)), customer=plain)


FRAME = "12x142, 27.2, steel"
STACK: dict[str, Any] = {
    "frame": {"head_tube": {"length_mm": "110.2"}},
    "fork": {"steerer": {"length_mm": 150}},
    "headset_upper": {"stack": {"height_mm": "16.5"}},
    "headset_lower": {"stack": {"height_mm": "10.9"}},
    "stem": {"steerer_clamp": {"height_mm": "40.0"}},
}
SHARED = {
    "WS-A": {"fills": {"front_hub": "12x100", "rear_hub": "12x148"}},
    "WS-B": {"fills": {"front_hub": "15x110", "rear_hub": "12x142"}},
}
SP = {"SP-272": SHOP["SP-272"]}
ODD = {"SP-316": {"fills": {"seatpost": "31.6"}}, "SP-309": SHOP["SP-309"]}

STEEL = {"frame": FRAME, "rear_hub": "HB-148"}
CLIPS: dict[str, Any] = {
    "frame": {"head_tube": {"length_mm": "110.2"}},
    "fork": {"steerer": {"length_mm": 160}},
    "headset_upper": {"stack": {"height_mm": "16.5"}},
    "headset_lower": {"stack": {"height_mm": "10.9"}},
    "stem": "ST-40",
}
STEMS = {
    "ST-40": {"fills": {"stem": {"steerer_clamp": {"height_mm": "40.0"}}}},
    "ST-10": {"price": "9.00 EUR", "stock": 1, "fills": {"stem": {"steerer_clamp": {"height_mm": "20.0"}}}},
}

TOLD: dict[str, Callable[[], list[str]]] = {
    "a-hub-too-wide": lambda: why(STEEL),
    "a-hub-too-wide-for-the-customer": lambda: to_customer(STEEL),
    "two-parts-at-once": lambda: why({**STEEL, "seatpost": "SP-309"}),
    "two-parts-at-once-for-the-customer": lambda: to_customer({**STEEL, "seatpost": "SP-309"}),
    "a-bar-too-thick": lambda: why({"stem": "ST-318", "handlebar": "BAR-35"}),
    "a-bar-too-thick-for-the-customer": lambda: to_customer({"stem": "ST-318", "handlebar": "BAR-35"}),
    "nothing-on-the-shelf": lambda: why({"frame": FRAME, "seatpost": "SP-309"}, shop=ODD),
    "nothing-on-the-shelf-for-the-customer": lambda: to_customer({"frame": FRAME, "seatpost": "SP-309"}, shop=ODD),
    "no-catalogue": lambda: why({"frame": FRAME, "rear_hub": "12x148"}, shop={}),
    "the-kept-parts-clash": lambda: why(STEEL, keep=("frame", "rear hub")),
    "a-steerer-too-short": lambda: why(STACK, shop={}),
    "a-steerer-too-short-for-the-customer": lambda: to_customer(CLIPS, shop=STEMS),
    "one-hub-for-two-wants": lambda: why({"frame": "12x148, steel", "rear_rotor": "160, splined", "rear_hub": "any"}),
    "one-wheelset-for-two-wants": lambda: why(
        {"frame": FRAME, "fork": "12x100", "front_hub": "any", "rear_hub": "any"}, shop=SHARED
    ),
    "one-wheelset-for-two-wants-for-the-customer": lambda: to_customer(
        {"frame": FRAME, "fork": "12x100", "front_hub": "any", "rear_hub": "any"}, shop=SHARED
    ),
    "another-post": lambda: swap({"frame": FRAME, "seatpost": "27.2"}, "seatpost"),
    "another-post-for-the-customer": lambda: swap({"frame": FRAME, "seatpost": "27.2"}, "seatpost", plain=True),
    "no-other-post": lambda: swap({"frame": FRAME, "seatpost": "SP-272"}, "seatpost", shop={**SP, **ODD}),
    "no-other-post-for-the-customer": lambda: swap(
        {"frame": FRAME, "seatpost": "SP-272"}, "seatpost", shop={**SP, **ODD}, plain=True
    ),
    "a-sleeve-between": lambda: join("frame: 30.9, aluminium", "seatpost: 27.2"),
    "a-sleeve-between-for-the-customer": lambda: join("frame: 30.9, aluminium", "seatpost: 27.2", plain=True),
    "nothing-bridges": lambda: join("frame: 12x142, steel", "rear hub: 12x148"),
    "the-bore-of-the-seat-tube": lambda: measure({"frame": {"seat_tube": {"material": "steel"}}, "seatpost": "27.2"}),
    "the-bore-of-the-seat-tube-for-the-customer": lambda: measure(
        {"frame": {"seat_tube": {"material": "steel"}}, "seatpost": "27.2"}, plain=True
    ),
    "two-lists": lambda: compare({"frame": FRAME, "rear_hub": "HB-142"}, STEEL),
    "two-lists-for-the-customer": lambda: compare({"frame": FRAME, "rear_hub": "HB-142"}, STEEL, plain=True),
}

#: What a first sentence may tell to do.
TO_DO = re.compile(
    r"\b(take|put|change|give up|stay|measure|find|look|needed|has to|have to|ask|can take the place)\b", re.IGNORECASE
)


def written() -> dict[str, list[str]]:
    return {k: list(v) for k, v in tomllib.loads(FILE.read_text(encoding="utf-8"))["text"].items()}


def test_there_are_twenty() -> None:
    assert len(TOLD) >= 20
    assert set(written()) == set(TOLD)


@pytest.mark.parametrize("name", list(TOLD))
def test_the_whole_text(name: str) -> None:
    assert TOLD[name]() == written()[name]


@pytest.mark.parametrize("name", list(TOLD))
def test_the_first_sentence_stands_by_itself(name: str) -> None:
    """Which part, what is wrong or wanted, what to do; what may hurt someone opens with that."""
    lines = written()[name]
    first = lines[0]
    assert any(s.words in first or s.words.rpartition(" ")[2] in first for s in BICYCLE.slots) or "wheel" in first
    assert TO_DO.search(first), first
    if "unsafe" in " ".join(lines).lower():
        assert first.lower().startswith(("unsafe", "perhaps unsafe"))


@pytest.mark.parametrize("name", list(TOLD))
def test_no_word_of_ours_and_no_blame(name: str) -> None:
    text = " ".join(written()[name]).lower()
    for word in (
        *("constraint", "domain", "solver", "unsatisf", "incompatib", "invalid", "violat", "error", "clash"),
        *("you chose", "your mistake", "your fault", "wrongly", "should have", "you must"),
    ):
        assert word not in text


@pytest.mark.parametrize("name", [n for n in TOLD if n.endswith("customer")])
def test_the_customer_reads_plain_words_and_what_it_takes(name: str) -> None:
    lines = written()[name]
    text = " ".join(lines)
    assert not re.search(r"[a-z_]+\.[a-z-]+(@\w+)?", text.replace(".00", "")), "no names of joints or figures"
    assert not re.search(r"\d ?mm\b|\bcaliper|\bgauge|micrometer", text), "nothing that he would have to measure"
    assert not any(number in text for number in (*SHOP, *SHARED, *ODD, *STEMS)), "no numbers of a catalogue"
    assert "_" not in text
    if not name.startswith("two-lists"):
        assert sum("What it takes: " in line for line in lines) == 1
        assert "What it takes: " in lines[-1]


def exchanged(list_name: str, **slots: str) -> WhyReport:
    """Return why a list of the sample workshop with some parts exchanged does not go together."""
    raw = tomllib.loads((SAMPLE.parent / "lists" / f"{list_name}.toml").read_text(encoding="utf-8"))
    return reasons.why(read({"kind": raw["kind"], "catalogs": [str(SAMPLE)], "slots": {**raw["slots"], **slots}}))


def owner_reads(report: WhyReport) -> list[str]:
    found = remedies.to_customer(report)
    return [*told_in_full(found), found.rest.closing]


def test_one_change_that_cures_all_is_told_as_that() -> None:
    """A fork of another kind: the tyre, the hub, the rotor and the plug are not what has to go."""
    report = exchanged("fits-dredger", fork="WQ-F-TOWS")
    assert report.remedies.changes[0].edits == {"fork": "WQ-F-DRE"}
    mechanic, owner = told_in_full(remedies.why(report)), owner_reads(report)
    joints = sum(f.verdict in NO for f in report.check.judged) - 1
    assert f"{joints} more joints say no: take WQ-F-DRE in place of the fork" in mechanic[0]
    assert any("what helps above cures them as well" in line for line in mechanic)
    assert not any(tag == "do" for f in remedies.why(report).rest.findings if f.red for tag, _ in f.lines)
    assert f", and {joints} more things do not fit; another fork is needed." in owner[0]
    assert not any("needed" in line for line in owner[1:])
    assert owner[-1].startswith("What it takes: another fork, 190.00 EUR, in stock")


def test_what_a_change_cures_is_not_asked_for_beside_it() -> None:
    """The reducing race and the questions of the parts that go are no work any more; those of parts that stay are."""
    report = exchanged("fits-dredger", fork="WQ-F-TOWS")
    assert any(f.verdict is Verdict.NEEDS_ADAPTER for f in report.check.judged)
    assert report.remedies.changes[0].exit_code == 0
    assert "beside that" not in owner_reads(report)[-1]
    report = exchanged("fits-tug", bottom_bracket="TB-BB-USA19")
    assert any(f.verdict is Verdict.NOT_KNOWN for f in report.check.judged)
    assert report.remedies.changes[0].exit_code == 0
    assert "beside that" not in owner_reads(report)[-1]
    report = exchanged("adapter-straight-steerer-in-tapered-frame", saddle="OG-SA-8")
    assert report.remedies.changes[0].edits == {"saddle": report.remedies.changes[0].offers[0][1].number}
    assert "beside that, 1 small part in between" in owner_reads(report)[-1]


def test_several_reasons_do_not_pass_for_one() -> None:
    report = exchanged("fits-rapids", headset_upper="OG-HU-IS52", front_hub="PM-F-QR", front_brake_line="LM-LN-D")
    first = told_in_full(remedies.why(report))[0]
    assert "; 2 more joints say no: take OG-HU-44 for the upper headset, PM-F-15 for the front hub and" in first


def test_several_pieces_are_spoken_of_as_several() -> None:
    raw = tomllib.loads((SAMPLE.parent / "lists" / "fits-towpath.toml").read_text(encoding="utf-8"))
    listed = read({"kind": raw["kind"], "catalogs": [str(SAMPLE)], "slots": raw["slots"]})
    told = exchanging.swap(reasons.swap(listed, "pedals"), customer=True)
    assert told[0].startswith("Other pedals can take the place of these, all else left as it is")
    assert told[-1].startswith("What it takes: other pedals, 18.00 EUR")


def main() -> None:
    lines = ["# Explanations as whole text; written by `python -m tests.test_explanations`, read before they are kept."]
    lines += ["", "[text]"]
    for name, tell in TOLD.items():
        lines.append(f"{name} = [")
        lines += [f"  {_quoted(line)}," for line in tell()]
        lines.append("]")
    FILE.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _quoted(line: str) -> str:
    return '"' + line.replace("\\", "\\\\").replace('"', '\\"') + '"'


if __name__ == "__main__":
    main()
