"""The lower bound on the travel left: never above the travel of the best order, and close to it."""

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.orders import Order, by_segments
from benchmate.families.diagonal.crossings import Crossings
from benchmate.families.diagonal.open_knots import OpenKnots
from benchmate.families.diagonal.segments import Segments
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import bands, chart, ordered_bands, random_chart, seeded, slanted, stripe
from tests.unit.test_diagonal_travel import best


def ready(knots: OpenKnots) -> list[int]:
    """The knots that can be tied first."""
    first = knots.first
    return [first[at] for at in range(1, knots.strings) if first[at - 1] > first[at] < first[at + 1]]


def least(band: DiagonalWork, tied: range | list[int] = range(0), in_hand: int = 0, hands: int = 0) -> int:
    """The bound on the travel left; the hands may be anywhere when `hands` is 0."""
    knots = OpenKnots(band, tied)
    return Crossings(knots, Segments(knots), in_hand).travel_left(ready(knots), hands)


@given(bands(most_strings=7, most_rows=6).filter(lambda band: 0 < band.size <= 15))
@seeded
def test_no_order_with_the_fewest_pickups_goes_below_the_bound(band: DiagonalWork) -> None:
    assert least(band) <= best(band)[1]


@given(ordered_bands().filter(lambda ordered: 0 < ordered[0].size <= 14), st.data())
@seeded
def test_no_continuation_goes_below_the_bound(ordered: tuple[DiagonalWork, Order], data: st.DataObject) -> None:
    band, followed = ordered
    history = list(followed.sequence[: data.draw(st.integers(0, band.size))])
    in_hand = hands = 0
    for number in history:
        knot = band.step(number)
        if knot.knotting != in_hand:
            in_hand, hands = knot.knotting, knot.knotting_from
    assert least(band, history, in_hand, hands) <= best(band, history)[1]


def test_by_hand() -> None:
    # Two pairs that never meet, with the outer strings as knotting strings: the hands cross every place from 1 to 4.
    # The bound misses that hands from the middle must turn, because it looks at each place alone.
    apart = DiagonalWork(chart(4, "f b"), 1)
    assert [least(apart, hands=hands) for hands in range(5)] == [3, 3, 3, 3, 3]
    assert best(apart)[1] == 3
    # Every pick-up is at the left edge, so the hands stay there.
    assert least(DiagonalWork(stripe(5), 1)) == 0
    assert least(DiagonalWork(stripe(5), 1), hands=4) == 3
    # 1 over 2, then 4 over what hangs in the middle, then from the left again: there and back.
    assert least(DiagonalWork(chart(4, "fb -", "-", "- bf"), 1)) == 3
    assert least(DiagonalWork(chart(4, "f b", "f", "f b"), 1)) == best(DiagonalWork(chart(4, "f b", "f", "f b"), 1))[1]
    assert least(DiagonalWork(chart(3, "-"), 1)) == 0


def test_the_bound_is_close_to_the_best() -> None:
    chance, total, bound = Random(12), 0, 0
    for _ in range(80):
        order = by_segments(band := DiagonalWork(random_chart(chance, chance.randint(3, 8), chance.randint(2, 9)), 1))
        assert order.settled
        total, bound = total + order.least_travel, bound + least(band)
    assert 0.8 * total < bound <= total


def test_a_string_that_may_be_put_down_early_or_late_counts_for_neither_part() -> None:
    band = DiagonalWork(slanted(5, [4, 3, 4, 2, 3, 4]), 1)
    assert least(band) <= by_segments(band).least_travel
