"""What was read again against its source still stands as it was read."""

from __future__ import annotations

from decimal import Decimal

import pytest

from catalog_schema import library
from tests import reread

READ = reread.load()
FIRST = [r for r in READ if not r.draw]
SECOND = [r for r in READ if r.draw]
LIBRARY = library.load()
TESTS = set(reread.tests())


def test_print_summary() -> None:
    print("\n" + reread.summary(READ))
    by_lot = [r for r in FIRST if r.lot]
    assert sum(not r.rule for r in by_lot) >= reread.ROWS
    assert sum(r.rule for r in by_lot) >= reread.RULES


def test_the_second_draw_is_what_its_seed_drew() -> None:
    """Nothing was left out of it: of all that was read the seed draws these, but for places that later rows took."""
    assert {r.draw for r in SECOND} == {reread.SECOND}
    for rule, number in ((False, reread.ROWS), (True, reread.RULES)):
        drawn = reread.drawn(reread.SECOND, [r.id for r in READ if r.rule is rule], number)
        recorded = {r.id for r in SECOND if r.rule is rule}
        assert len(recorded) == number
        assert len(set(drawn) - recorded) <= number // 10


def test_the_second_draw_stands_on_a_line_of_its_own() -> None:
    """It changes none of the lines of the first reading, which say how much was wrong before."""
    whole, before = reread.summary(READ).splitlines(), reread.summary(FIRST).splitlines()
    line = next(text for text in whole if text.startswith("drawn again after the corrections"))
    wrong, could = (sum(r.outcome in kinds for r in SECOND) for kinds in (("wrong",), ("right", "wrong")))
    low, high = reread.interval(wrong, could)
    assert line.split()[5:9] == [str(len(SECOND)), str(could - wrong), str(wrong), str(len(SECOND) - could)]
    assert line.endswith(f"{100 * low:.1f} to {100 * high:.1f} %")
    of_the_first = [text for text in before if not text.startswith(("drawn again", "  rows ", "  rules "))]
    assert [text for text in of_the_first if text not in whole] == []


@pytest.mark.parametrize("record", READ, ids=lambda r: f"{r.id}-{r.draw}" if r.draw else r.id)
def test_what_was_read_again_still_stands(record: reread.Reread) -> None:
    """A figure that a source confirmed is not changed without reading the source once more."""
    if record.rule:
        assert record.id in TESTS
        return
    assert record.id in LIBRARY.rows
    if record.outcome != "closed":
        assert record.figures == reread.figures(LIBRARY.rows[record.id])


def test_each_is_read_once_in_a_draw_and_what_was_wrong_is_put_right() -> None:
    assert len({(r.id, r.draw) for r in READ}) == len(READ)
    assert [r.id for r in READ if (r.outcome == "wrong") is not bool(r.put_right)] == []


def test_an_area_with_errors_is_read_further() -> None:
    """Where more than three in a hundred of the lot were wrong, the area was read in full (rows added since apart)."""
    for area in {r.area for r in FIRST if r.lot}:
        lot = [r for r in FIRST if r.lot and r.area == area and r.outcome != "closed"]
        wrong = sum(r.outcome == "wrong" for r in lot)
        if wrong > reread.FULL_READING_ABOVE * len(lot):
            mine = [i for i in reread.rows(LIBRARY) if LIBRARY.area(i) == area]
            unread = set(mine) - {r.id for r in READ}
            assert len(unread) <= len(mine) // 10, sorted(unread)


def test_the_lot_is_the_same_each_time() -> None:
    ids = [f"row-{n}" for n in range(500)]
    assert reread.drawn(7, ids, 20) == reread.drawn(7, reversed(ids), 20)
    assert reread.drawn(7, ids, 20) != reread.drawn(8, ids, 20)
    assert len(set(reread.drawn(7, [*ids, "new"], 20)) - set(reread.drawn(7, ids, 20))) <= 1


def test_interval() -> None:
    """Wilson's interval, as worked out by hand: 1 of 10 is 1.8 to 40.4 %, none of 20 is 0 to 16.1 %."""
    low, high = reread.interval(1, 10)
    assert (round(low, 3), round(high, 3)) == (0.018, 0.404)
    low, high = reread.interval(0, 20)
    assert (low, round(high, 3)) == (0.0, 0.161)
    assert reread.interval(0, 0) == (0.0, 1.0)


def test_a_changed_figure_is_noticed() -> None:
    record = next(r for r in READ if r.id == "freehub.hg-l")
    assert record.figures == {"freehub_body.length_mm": Decimal("36.75")}
