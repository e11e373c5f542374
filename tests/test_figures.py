"""Numbers that fork: a rule written for known figures says all that is possible when some are missing."""

from __future__ import annotations

import itertools
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.rules.branching import Fork, Leaf, Tree, Zero, explore
from solver.rules.figures import LimitFigure, Num, WordFigure

HALF = Decimal("0.5")


def leaves(tree: Tree[str]) -> set[str]:
    return {tree.outcome} if isinstance(tree, Leaf) else leaves(tree.yes) | leaves(tree.no)


def band(bore: Num, post: Num) -> str:
    play = bore - post
    if play < 0:
        return "tight"
    if play <= HALF:
        return "fits"
    return "loose"


def test_known_numbers_do_not_fork() -> None:
    assert explore(lambda: band(Num(Decimal("27.2")), Num(Decimal("27.2")))) == Leaf("fits")


def test_a_missing_number_gives_every_side_of_every_edge() -> None:
    assert leaves(explore(lambda: band(Num.missing("bore"), Num(Decimal("27.2"))))) == {"tight", "fits", "loose"}


def test_a_branch_does_not_contradict_itself() -> None:
    bore = Num.missing("bore")

    def rule() -> str:
        if bore <= 5:
            return "impossible" if bore > 6 else "small"
        return "impossible" if bore < 4 or bore == 5 else "big"

    assert leaves(explore(rule)) == {"small", "big"}


def test_the_same_form_scaled_or_turned_round_is_one_question() -> None:
    a, b = Num.missing("a"), Num.missing("b")

    def rule() -> str:
        if (a - b) * 2 <= 4:
            return "impossible" if b - a < -2 else "near"
        return "impossible" if a - b <= 2 else "far"

    assert leaves(explore(rule)) == {"near", "far"}


def test_equality_is_a_question_of_its_own() -> None:
    a = Num.missing("a")

    def rule() -> str:
        if a == 559:
            return "559" if a < 560 else "impossible"
        return "impossible" if a == 559 else "other"

    assert leaves(explore(rule)) == {"559", "other"}


@pytest.mark.parametrize(("reading", "said"), [("27.2", {"fits"}), ("27.1", {"tight", "fits"}), ("26.9", {"tight"})])
def test_a_measurement_forks_only_within_its_resolution(reading: str, said: set[str]) -> None:
    bore = Num.measured("bore", Decimal(reading), Decimal("0.1"))
    tree = explore(lambda: band(bore, Num(Decimal("27.1")) if reading == "27.2" else Num(Decimal("27.15"))))
    assert leaves(tree) == said
    if isinstance(tree, Fork):
        assert tree.question.measured


def test_the_edge_of_a_question_is_the_figure_that_would_decide() -> None:
    tree = explore(lambda: "yes" if Num(Decimal(30)) - Num.missing("bore") * 2 >= 4 else "no")
    assert isinstance(tree, Fork)
    assert tree.question.edge == Decimal(13)
    assert tree.question.causes == ("bore",)


def test_a_missing_word_is_one_word_on_a_branch() -> None:
    form = WordFigure("form", None)

    def rule() -> str:
        if form == "thru":
            return "impossible" if form == "slot" else "thru"
        return "slot" if form == "slot" else "else"

    assert leaves(explore(rule)) == {"thru", "slot", "else"}


def test_two_missing_words_may_agree() -> None:
    assert leaves(explore(lambda: "same" if WordFigure("a", None) == WordFigure("b", None) else "other")) == {
        "same",
        "other",
    }


def test_a_limit_that_nobody_looked_for_may_be_unprinted() -> None:
    limit = LimitFigure("max", "not-stated", Num.missing("max"))

    def rule() -> str:
        if limit.not_printed:
            return "ask"
        return "inside" if Num(Decimal(160)) <= limit.number else "over"

    assert leaves(explore(rule)) == {"ask", "inside", "over"}


def test_comparing_a_missing_figure_outside_a_judgement_is_our_bug() -> None:
    with pytest.raises(RuntimeError):
        _ = Num.missing("bore") <= 1


NUMBERS = st.decimals(min_value=-50, max_value=50, places=1)


@given(NUMBERS, NUMBERS, NUMBERS, NUMBERS)
def test_arithmetic_is_that_of_decimals(a: Decimal, b: Decimal, c: Decimal, d: Decimal) -> None:
    form = (Num(a) + Num.missing("x") - b) * c - Num.missing("x") * c + d
    assert form.value == (a - b) * c + d


@given(st.lists(st.tuples(NUMBERS, st.booleans(), st.booleans()), min_size=1, max_size=6), NUMBERS)
def test_every_completion_is_among_the_branches(edges: list[tuple[Decimal, bool, bool]], x: Decimal) -> None:
    """What is said of any value is said of the missing one, and nothing else is."""

    def rule(n: Num) -> str:
        said = ""
        for edge, strict, turned in edges:
            if turned:
                said += "y" if (edge > n if strict else edge >= n) else "n"
            else:
                said += "y" if (n > edge if strict else n >= edge) else "n"
        return said

    possible = leaves(explore(lambda: rule(Num.missing("x"))))
    assert rule(Num(x)) in possible
    reached = {rule(Num(p)) for e, _, _ in edges for p in (e - Decimal("0.01"), e, e + Decimal("0.01"))}
    reached |= {rule(Num(p)) for p in (Decimal(-99), Decimal(99), Zero)}
    ordered = sorted({e for e, _, _ in edges})
    reached |= {rule(Num((a + b) / 2)) for a, b in itertools.pairwise(ordered)}
    assert possible == reached
