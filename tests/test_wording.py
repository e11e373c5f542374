"""Values, findings and answers in words: each shape of a sentence, told exactly."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from catalog_schema import hints
from catalog_schema.quantity import Choice, Limit, Measure, Range
from solver.report import (
    AdapterNeed,
    CheckReport,
    Cure,
    Finding,
    JointPage,
    JointPlace,
    MissingPart,
    Offer,
    ReadLine,
    Shelf,
    ShownFigure,
    TestPage,
    TestResult,
    Verdict,
)
from solver.wording import answer, customer, finding, store, words

# words for values


@pytest.mark.parametrize(
    ("value", "key", "text"),
    [
        (Measure(Decimal("28.60")), "dia_mm", "28.60 mm"),
        (Measure(Decimal(45)), "seat_angle_deg", "45°"),
        (Measure(Decimal(11)), "smallest_cog_teeth", "11 teeth"),
        (Measure(Decimal(32)), "holes", "32"),
        (Choice((Decimal(135), Decimal(142))), "width_mm", "135 or 142 mm"),
        (Range(None, Decimal(57)), "tyre_width_mm", "up to 57 mm"),
        (Range(Decimal(47), Decimal(57)), "tyre_width_mm", "47 to 57 mm"),
        (Limit(None), "rotor_max_mm", "no printed limit"),
        (Limit(Decimal(180)), "rotor_max_mm", "180 mm"),
        (Decimal("6.00"), "gap_mm", "6 mm"),
        (Decimal(100), "gap_mm", "100 mm"),
        (Decimal(1) / 3, "gap_mm", "0.33 mm"),
        (None, "width_mm", "not stated"),
    ],
)
def test_values_in_words(value: Any, key: str, text: str) -> None:
    assert words.value_text(value, key) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Basin 12", "Basin 12"),
        ("a\x1b[31mb\nc", "a?[31mb?c"),
        ("x" * 1_000_000, "x" * 57 + "..."),
        ("a\u202eb", "a?b"),
    ],
)
def test_user_text_is_made_harmless(text: str, shown: str) -> None:
    assert words.clean(text) == shown


# whole findings


def a_page(**changes: Any) -> JointPage:
    read = ReadLine("hub_width", "hub.axle.width_mm", "deciding")
    tests = (TestPage("width", "The hub is as wide as the opening.", (read,), (), ()),)
    places = (JointPlace("rear", (("hub", "rear_hub"), ("holder", "frame"))),)
    page = "What meets: hub and frame.\n\nCaution: A wheel that comes out can kill."
    return JointPage(**{
        "id": "wheels.example", "title": "hub in dropout", "page": page, "safety": True, "places": places,
        "presupposes": (), "tests": tests, **changes,
    })  # fmt: skip


WIDTH = ShownFigure("hub_width", "rear_hub.axle.width_mm", Measure(Decimal(142)))
OPENING = ShownFigure("opening", "frame.dropout.width_mm", Measure(Decimal(148)))


def a_report(result: TestResult, **changes: Any) -> CheckReport:
    settings = changes.pop("settings", ())
    through = changes.pop("through", ())
    found = Finding(
        "wheels.example", "rear", "judged", result.verdict, result.perhaps, result.reason, ("frame", "rear_hub"),
        (result,), settings=settings, through=through, safety=True,
    )  # fmt: skip
    return CheckReport(**{"title": "", "findings": (found,), "pages": {"wheels.example": a_page()}, **changes})


@pytest.fixture(autouse=True)
def example_sentences(monkeypatch: pytest.MonkeyPatch) -> None:
    example = {
        "wheels.example": {
            "width": {
                "too-wide": {
                    "fact": "The {hub} is {hub_width} wide; the {holder} takes {opening}.",
                    "because": "The clamp would bend the frame by {gap_mm}.",
                    "do": "Take a hub of {opening}.",
                    "customer": "This wheel does not go in this {holder}; another one is needed.",
                }
            }
        }
    }
    plain = store.file

    def with_example(name: str) -> dict[str, Any]:
        return {**plain(name), **example} if name == "wheels" else plain(name)

    monkeypatch.setattr(store, "file", with_example)
    measuring = {"hub_axle.width_mm": hints.Hint("width over the end faces", "caliper", "one end face", "the other")}
    plain_hint = hints.hint
    monkeypatch.setattr(words, "hint", lambda k, f: measuring.get(f"{k}.{f}") or plain_hint(k, f))


def lines_of(report: CheckReport, **options: Any) -> list[str]:
    told = finding.said(report.findings[0], report, **options)
    return [told.head, *(f"{tag}: {text}" for tag, text in told.lines)]


def result(verdict: Verdict, reason: str, *figures: ShownFigure, **more: Any) -> TestResult:
    return TestResult("width", verdict, reason, figures=figures, **more)


GAP = ShownFigure("gap_mm", "", Decimal("6.0"))


def test_a_no_says_fact_because_do() -> None:
    assert lines_of(a_report(result(Verdict.NO_FIT, "too-wide", WIDTH, OPENING, GAP))) == [
        "Does not fit. The rear hub is 142 mm wide; the frame takes 148 mm. (wheels.example@rear)",
        "because: The clamp would bend the frame by 6 mm.",
        "do: Take a hub of 148 mm.",
    ]


def test_unsafe_opens_with_the_caution() -> None:
    told = lines_of(a_report(result(Verdict.UNSAFE, "too-wide", WIDTH, OPENING, GAP)))
    assert told[0] == (
        "Unsafe: a wheel that comes out can kill. The rear hub is 142 mm wide; the frame takes 148 mm."
        " (wheels.example@rear)"
    )


def test_perhaps_unsafe_opens_with_the_caution_and_says_what_to_measure() -> None:
    found = result(
        Verdict.NO_FIT, "too-wide", WIDTH, OPENING, GAP, perhaps=Verdict.UNSAFE, missing=("rear_hub.axle.width_mm",)
    )
    told = lines_of(a_report(found))
    assert told[0].startswith("Does not fit, perhaps unsafe: a wheel that comes out can kill. The rear hub is")
    assert told[-1] == "measure: Rear hub, width over the end faces: caliper, from one end face to the other."


def test_a_missing_figure_names_tool_and_points() -> None:
    found = result(
        Verdict.NOT_KNOWN, "figure-missing", ShownFigure("hub_width", "rear_hub.axle.width_mm", None), OPENING,
        missing=("rear_hub.axle.width_mm",), possible=(Verdict.FITS, Verdict.NO_FIT),
    )  # fmt: skip
    assert lines_of(a_report(found)) == [
        "Not known, measure. Hub in dropout, rear: not stated, and it decides: rear hub, width over the end faces."
        " (wheels.example@rear)",
        "because: Still possible: it fits or it does not fit.",
        "measure: Rear hub, width over the end faces: caliper, from one end face to the other.",
    ]


def test_name_and_measurement_that_disagree_are_both_told() -> None:
    clash = ShownFigure(
        "hub_width", "rear_hub.axle.width_mm", Measure(Decimal(145), Decimal("0.1")), "", Measure(Decimal(142))
    )
    found = result(
        Verdict.NOT_KNOWN, "name-and-measurement-disagree", clash, OPENING, missing=("rear_hub.axle.width_mm",)
    )
    told = lines_of(a_report(found))
    assert "rear hub, width over the end faces, measured 145 mm, by its name 142 mm" in told[0]
    assert told[2] == "do: Measure again; if the measurement stands, leave the name off the list."


def test_a_figure_from_memory_is_no_promise() -> None:
    found = result(Verdict.NOT_KNOWN, "figure-from-memory", WIDTH, OPENING, rows=("no-such-row",))
    told = lines_of(a_report(found))
    assert told[0].startswith("Not known, ask the maker. ")
    assert "no-such-row" in told[0]


def test_a_limit_that_is_not_printed_sends_to_the_maker() -> None:
    limit = ShownFigure("most", "frame.brake_mount.rotor_max_mm", Limit(None))
    told = lines_of(a_report(result(Verdict.NOT_KNOWN, "limit-not-printed", limit)))
    assert told[0].startswith("Not known, ask the maker. ")
    assert told[-1].startswith("do: Ask the maker")


def test_a_setting_that_is_sold_apart_is_named_with_its_number() -> None:
    found = TestResult("setting", Verdict.NEEDS_ADAPTER, "setting-sold", adapters=("EC-12",))
    told = lines_of(a_report(found, settings=(("rear_hub", "end caps", "12x148"),)))
    assert told[0] == (
        "Fits with an adapter. Hub in dropout, rear: fits with the 12x148 for the rear hub (end caps),"
        " which is sold apart and is not on the list. (wheels.example@rear)"
    )
    assert "do: Add EC-12 to the list under extras." in told


def test_an_adapter_in_between_is_a_remark() -> None:
    found = result(Verdict.FITS, "as-listed", WIDTH, OPENING, remarks=("at-the-limit",))
    told = lines_of(a_report(found, through=("bar_shim",)))
    assert "note: Through the bar shim." in told
    assert "note: At the limit, measure again." in told


def test_a_sentence_that_lacks_a_figure_gives_way_to_the_figures() -> None:
    found = result(Verdict.NO_FIT, "too-wide", WIDTH, ShownFigure("opening", "frame.dropout.width_mm", None))
    assert lines_of(a_report(found)) == [
        "Does not fit. Hub in dropout, rear: too wide (rear hub, width over the end faces 142 mm)."
        " (wheels.example@rear)"
    ]


def test_what_the_shelf_has_is_told_by_number() -> None:
    found = result(Verdict.NO_FIT, "too-wide", WIDTH, OPENING, GAP)
    shelf = Shelf("rear_hub", tuple(Offer(f"HB-{i}") for i in range(6)))
    told = lines_of(a_report(found, cures=(Cure("wheels.example@rear", shelf),)))
    assert told[-1] == "do: On the shelf in place of the rear hub, judged again: HB-0, HB-1, HB-2, HB-3 and 2 more."


def test_a_missing_part_says_why_and_what_the_shelf_has() -> None:
    axle = ShownFigure("axle_dia_mm", "frame.dropout.axle_dia_mm", Measure(Decimal(12)))
    part = MissingPart("rear_axle", "thru-axle", "frame", figures=(axle,))
    text = answer.missing_text(part)
    assert text.startswith("Missing: rear axle. The frame takes a thru axle (")
    assert text.endswith("12 mm); none is listed.")
    text = answer.missing_text(MissingPart("rear_axle", "thru-axle", "frame", shelf=Shelf("rear_axle", (), 2)))
    assert text.endswith("Nothing on the shelf is known to fit. Of 2 parts there the figures do not decide.")


@pytest.mark.parametrize(
    ("verdicts", "line"),
    [
        ((Verdict.FITS, Verdict.FITS), "Fits: all 2 joints judged."),
        ((Verdict.FITS,), "Fits: the one joint judged."),
        ((Verdict.NO_FIT, Verdict.FITS), "Does not fit: 1 of 2 joints."),
        ((Verdict.UNSAFE, Verdict.NO_FIT), "Unsafe: 1 of 2 joints; 1 more is not a plain fit."),
        ((Verdict.NOT_KNOWN, Verdict.FITS), "Not known: 1 of 2 joints; no joint says no."),
        ((Verdict.NEEDS_ADAPTER, Verdict.FITS), "Fits with an adapter: 1 of 2 joints."),
        ((Verdict.NEEDS_WORK, Verdict.NEEDS_ADAPTER), "Fits with work: 1 of 2 joints; 1 more is not a plain fit."),
    ],
)
def test_the_first_line_answers(verdicts: tuple[Verdict, ...], line: str) -> None:
    found = tuple(Finding(f"a.b{i}", "", "judged", v) for i, v in enumerate(verdicts))
    assert answer.headline(CheckReport("", found)) == line


def test_the_last_line_counts() -> None:
    states = ("judged", "judged", "follows", "not-asked", "not-asked", "does-not-arise")
    found = tuple(Finding(f"a.b{i}", "", s) for i, s in enumerate(states))  # type: ignore[arg-type]
    assert answer.closing(CheckReport("", found)) == (
        "2 joints judged: 2 fit. Beside these: 1 follows, 2 not asked, 1 not arising."
    )


def test_the_customer_reads_plain_words_and_what_it_takes() -> None:
    found = result(Verdict.NO_FIT, "too-wide", WIDTH, OPENING, GAP)
    cheap = Offer("HB-1", "", 4590, "EUR", 0, 3)
    axle = Offer("AX-1", "", 1850, "EUR", 2, None)
    report = a_report(
        found,
        missing=(MissingPart("rear_axle", "thru-axle", "frame", shelf=Shelf("rear_axle", (axle,))),),
        cures=(Cure("wheels.example@rear", Shelf("rear_hub", (cheap,))),),
    )
    told = customer.answer(report)
    assert told.headline == "As listed, it does not go together."
    assert [s.head for s in told.findings] == ["This wheel does not go in this frame; another one is needed."]
    assert told.missing == ("Still to get: An axle that holds the wheel (rear axle).",)
    assert told.closing == (
        "What it takes: another choice of part in 1 place and 1 part still to get;"
        " 2 parts from the shelf from 64.40 EUR; here in 3 days."
    )


def test_a_price_that_is_not_known_is_not_nothing() -> None:
    found = result(Verdict.NEEDS_ADAPTER, "too-wide", WIDTH, OPENING, GAP, adapters=("x",))
    report = a_report(found, needs=(AdapterNeed("wheels.example@rear", ("x",), Shelf("bar_shim", (Offer("BS-1"),))),))
    assert customer.takes(report) == ("What it takes: 1 small part in between; the price of 1 part is not known.")


def test_prices_in_two_currencies_are_not_added() -> None:
    found = result(Verdict.NEEDS_ADAPTER, "too-wide", WIDTH, OPENING, GAP)
    offers = (Offer("A", "", 100, "EUR", 1), Offer("B", "", 100, "CHF", 1))
    needs = tuple(AdapterNeed("wheels.example@rear", ("x",), Shelf("bar_shim", (o,))) for o in offers)
    assert "several currencies" in customer.takes(a_report(found, needs=needs))
