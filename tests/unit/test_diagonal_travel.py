"""The order by segments: the fewest pick-ups, then the least travel, then the most level edge; and replanning."""

from collections.abc import Sequence
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.orders import Order, by_rows, by_segments, fewest_left, pickups, runs, travel
from benchmate.families.diagonal.open_knots import OpenKnots
from benchmate.families.diagonal.segments import Segments, fewest_pickups
from benchmate.families.diagonal.travel import Search
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import all_below, bands, chart, full, ordered_bands, random_chart, seeded, stripe

Cost = tuple[int, int, int]
"""Pick-ups, travel of the hands, and the most rows that a string is ahead of its neighbour."""


class Edge:
    """The rows done at every position, from the tied steps."""

    def __init__(self, band: DiagonalWork) -> None:
        self._rows = [
            [number for number in range(band.size) if band.left(number) in (position - 1, position)]
            for position in range(1, len(band.strings) + 1)
        ]
        self._band = band

    def ahead(self, tied: int, number: int) -> int:
        """How many rows a knot just tied is ahead of the strings beside it."""
        band, left = self._band, self._band.left(number)
        worst = 0
        for position in (left - 1, left + 2):
            if 1 <= position <= len(band.strings):
                following = [other for other in self._rows[position - 1] if not tied >> other & 1]
                done = band.row_of(following[0]) - 1 if following else band.rows
                worst = max(worst, band.row_of(number) - done)
        return worst


def cost_of(band: DiagonalWork, sequence: Sequence[int]) -> Cost:
    """The cost of an order, counted knot by knot."""
    edge, tied = Edge(band), 0
    count = total = uneven = in_hand = hands = 0
    for number in sequence:
        knot = band.step(number)
        if knot.knotting != in_hand:
            count += 1
            total += abs(knot.knotting_from - hands) if hands else 0
            in_hand, hands = knot.knotting, knot.knotting_from
        tied |= 1 << number
        uneven = max(uneven, edge.ahead(tied, number))
    return count, total, uneven


def best(band: DiagonalWork, history: Sequence[int] = ()) -> Cost:
    """The least cost of all orders that begin with `history`, by dynamic programming over closed sets.

    Counts only the pick-ups, travel and edge after `history`.
    """
    below, edge = all_below(band), Edge(band)
    tied = in_hand = hands = 0
    for number in history:
        knot = band.step(number)
        tied |= 1 << number
        if knot.knotting != in_hand:
            in_hand, hands = knot.knotting, knot.knotting_from
    level: dict[tuple[int, int, int], Cost] = {(tied, in_hand, hands): (0, 0, 0)}
    for _ in range(band.size - len(history)):
        following: dict[tuple[int, int, int], Cost] = {}
        for (tied, in_hand, hands), (count, total, uneven) in level.items():
            for number in range(band.size):
                if tied >> number & 1 or below[number] & ~tied:
                    continue
                knot = band.step(number)
                after = tied | 1 << number
                worst = max(uneven, edge.ahead(after, number))
                if knot.knotting == in_hand:
                    key, value = (after, in_hand, hands), (count, total, worst)
                else:
                    moved = abs(knot.knotting_from - hands) if hands else 0
                    key, value = (after, knot.knotting, knot.knotting_from), (count + 1, total + moved, worst)
                following[key] = min(value, following.get(key, value))
        level = following
    return min(level.values())


def cost_after(band: DiagonalWork, sequence: Sequence[int], done: int) -> Cost:
    """The cost of an order after its first `done` steps."""
    whole, before = cost_of(band, sequence), cost_of(band, sequence[:done])
    edge, tied, uneven = Edge(band), 0, 0
    for at, number in enumerate(sequence):
        tied |= 1 << number
        if at >= done:
            uneven = max(uneven, edge.ahead(tied, number))
    return whole[0] - before[0], whole[1] - before[1], uneven


def is_order(band: DiagonalWork, order: Order) -> bool:
    """True when every knot is there once and none comes before one it rests on."""
    if sorted(order.sequence) != list(range(band.size)):
        return False
    return all(
        order.place[below] < order.place[number] for number in range(band.size) for below in band.rests_on(number)
    )


small = bands(most_strings=6, most_rows=6).filter(lambda band: 0 < band.size <= 16)


@given(small)
@seeded
def test_no_order_is_better(band: DiagonalWork) -> None:
    order = by_segments(band)
    assert order.settled
    assert is_order(band, order)
    assert cost_of(band, order.sequence) == best(band)
    assert travel(band, order) == cost_of(band, order.sequence)[1] == order.least_travel


def test_no_order_is_better_for_random_charts_of_more_strings() -> None:
    chance = Random(31)
    for trial in range(150):
        band = DiagonalWork(random_chart(chance, chance.randint(5, 9), chance.randint(2, 6)), 1)
        if 0 < band.size <= 20:
            assert cost_of(band, by_segments(band).sequence) == best(band), f"chart {trial} of seed 31"


@given(bands(most_strings=9, most_rows=12))
@seeded
def test_the_order_has_the_fewest_pickups(band: DiagonalWork) -> None:
    order = by_segments(band)
    assert is_order(band, order)
    found = list(runs(band, order))
    assert pickups(band, order) == (found[-1].run if found else 0) == fewest_pickups(band)
    assert fewest_left(band) == fewest_pickups(band) <= pickups(band, by_rows(band))


@given(bands(most_strings=7, most_rows=9))
@seeded
def test_a_segment_follows_its_string_knot_by_knot(band: DiagonalWork) -> None:
    order = by_segments(band)
    last: dict[int, int] = {}
    for before, number in zip([None, *order.sequence], order.sequence, strict=False):
        maker = band.knotting(number)
        if before is not None and band.knotting(before) == maker:
            # The next knot on the string in hand.
            assert last[maker] == before
            assert all(other in (before, number) or last.get(maker) != other for other in band.rests_on(number))
        last[maker] = last[band.passive(number)] = number


@given(ordered_bands(), st.data())
@seeded
def test_replanning_from_any_state(ordered: tuple[DiagonalWork, Order], data: st.DataObject) -> None:
    band, followed = ordered
    done = data.draw(st.integers(0, band.size))
    history = followed.sequence[:done]
    order = by_segments(band, history)
    assert is_order(band, order)
    assert list(order.sequence[:done]) == list(history)
    count = pickups(band, order, history)
    assert count == fewest_left(band, history) == cost_after(band, order.sequence, done)[0]
    assert count <= pickups(band, followed, history)
    if 0 < band.size - done <= 14:
        assert cost_after(band, order.sequence, done) == best(band, history)


@given(bands(most_strings=8, most_rows=9), st.data())
@seeded
def test_replanning_is_never_worse_than_continuing(band: DiagonalWork, data: st.DataObject) -> None:
    plan = by_segments(band)
    done = data.draw(st.integers(0, band.size))
    again = by_segments(band, plan.sequence[:done])
    assert pickups(band, again) == pickups(band, plan)
    if plan.settled and again.settled:
        assert travel(band, again) == travel(band, plan)


def test_the_string_in_hand_continues_where_possible() -> None:
    band = DiagonalWork(stripe(4), 1)
    plan = by_segments(band)
    for done in range(band.size):
        again = by_segments(band, plan.sequence[:done])
        assert list(again.sequence) == list(plan.sequence)
        to_come = pickups(band, plan, plan.sequence[:done])
        assert to_come == fewest_left(band, plan.sequence[:done]) == 4 - (done + 2) // 3


def test_beginning_from_the_right_is_as_good() -> None:
    chance = Random(8)
    for _ in range(60):
        band = DiagonalWork(random_chart(chance, chance.randint(2, 8), chance.randint(1, 8)), 1)
        left, right = by_segments(band), by_segments(band, from_right=True)
        assert is_order(band, right)
        assert cost_of(band, right.sequence) == cost_of(band, left.sequence)
    even = DiagonalWork(chart(4, "fb bf"), 1)
    assert list(by_segments(even).sequence) == [0, 1]
    assert list(by_segments(even, from_right=True).sequence) == [1, 0]


def test_an_order_of_a_large_band_is_not_settled() -> None:
    band = DiagonalWork(random_chart(Random(4), 20, 60), 1)
    order = by_segments(band)
    assert not order.settled
    assert is_order(band, order)
    assert pickups(band, order) == fewest_pickups(band)
    assert order.least_travel <= travel(band, order) < travel(band, by_rows(band))
    # The bound shows that it is close to the best: at most a tenth more travel.
    assert travel(band, order) <= 1.1 * order.least_travel


def test_planning_without_a_bound_on_the_travel_left(monkeypatch: pytest.MonkeyPatch) -> None:
    band = DiagonalWork(random_chart(Random(5), 20, 60), 1)
    guided = by_segments(band)
    monkeypatch.setattr("benchmate.families.diagonal.travel.BOUND_CELLS", 1)
    order = by_segments(band)
    assert is_order(band, order)
    assert pickups(band, order) == pickups(band, guided)
    assert (order.settled, order.least_travel) == (False, 0)
    assert travel(band, guided) < travel(band, order) < travel(band, by_rows(band))
    small = DiagonalWork(full(5, 8), 1)
    assert cost_of(small, by_segments(small).sequence) == best(small)


def test_the_search_reports_progress_and_can_be_cancelled() -> None:
    band = DiagonalWork(full(12, 140), 1)
    told: list[tuple[int, int]] = []
    order = by_segments(band, report=lambda laid, of: told.append((laid, of)))
    assert {of for _, of in told} == {fewest_pickups(band)}
    assert [laid for laid, _ in told[:3]] == [0, 32, 64]
    assert list(order.sequence) == list(by_segments(band).sequence)

    class Enough(Exception):
        pass

    def stop(laid: int, of: int) -> None:
        if laid >= 32:
            raise Enough

    with pytest.raises(Enough):
        by_segments(band, report=stop)


def test_a_blocked_string_continues_later() -> None:
    # String 1 has made its first knot out of turn; its next waits for the knot of 3 over 4.
    band = DiagonalWork(chart(4, "f b", "f"), 1)
    knots = OpenKnots(band, [0])
    assert Search(knots, Segments(knots)).pickups == 2
    assert fewest_left(band, [0]) == 2
    assert fewest_left(band, [1, 0]) == 0
    assert fewest_left(band, [0, 1]) == 1


def test_nothing_left_to_tie() -> None:
    band = DiagonalWork(chart(2, "-"), 1)
    assert list(by_segments(band).sequence) == []
    assert by_segments(band).settled
    done = DiagonalWork(chart(3, "f", "f"), 1)
    assert list(by_segments(done, [0, 1]).sequence) == [0, 1]
    assert fewest_left(done, [0, 1]) == 0
