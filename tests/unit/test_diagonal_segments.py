"""Segments: where a string can stay in hand, and the fewest pick-ups."""

import pytest
from hypothesis import given

from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.open_knots import OpenKnots
from benchmate.families.diagonal.segments import Segments, fewest_pickups
from benchmate.families.diagonal.work import DiagonalWork
from tests import charts
from tests.charts import all_below, bands, chart, full, pointed, seeded, stripe


@given(bands(most_strings=7, most_rows=7))
@seeded
def test_two_ranks_decide_which_knot_comes_first(band: DiagonalWork) -> None:
    below = all_below(band)
    for from_right in (False, True):
        knots = OpenKnots(band, from_right=from_right)
        left, right = knots.ranks(from_left=True), knots.ranks(from_left=False)
        for one in range(band.size):
            for other in range(band.size):
                both = left[one] < left[other] and right[one] < right[other]
                assert both == bool(below[other] >> one & 1)


@given(bands(most_strings=6, most_rows=5))
@seeded
def test_open_knots_leave_out_tied_ones(band: DiagonalWork) -> None:
    tied = range(band.size // 2)
    knots = OpenKnots(band, tied)
    assert list(knots.number) == list(range(len(tied), band.size))
    for knot, number in enumerate(knots.number):
        step = band.step(number)
        assert (knots.pair[knot], knots.row[knot]) == (step.left, step.row)
        assert (knots.knotting[knot], knots.passive[knot]) == (step.knotting, step.passive)
        assert knots.picked_at[knot] == step.knotting_from
    mirrored = OpenKnots(band, tied, from_right=True)
    strings = len(band.strings)
    assert [strings - pair for pair in mirrored.pair] == knots.pair
    assert [strings + 1 - position for position in mirrored.picked_at] == knots.picked_at


@given(bands(most_strings=6, most_rows=6).filter(lambda band: 0 < band.size <= 18))
@seeded
def test_the_fewest_pickups_equal_those_of_an_exhaustive_search(band: DiagonalWork) -> None:
    assert fewest_pickups(band) == charts.fewest_pickups(band)


@pytest.mark.parametrize(
    ("body", "fewest"),
    [
        pytest.param(chart(2, "f", "", "b"), 1, id="there and back with the same string"),
        pytest.param(chart(2, "f", "", "f"), 2, id="one string over the other, then under it"),
        pytest.param(chart(4, "fb fb", "-", "fb fb"), 2, id="two pairs that never meet"),
        pytest.param(chart(3, "b", "b", "b"), 2, id="the last goes over both others"),
        # a is over b, then c is over b, then a over b again: a has to be put down for the knot in between.
        pytest.param(chart(3, "fb", "bf", "fb"), 3, id="what comes in between is another's"),
        pytest.param(chart(3, "fb", "-", "fb"), 1, id="nothing comes in between"),
        pytest.param(chart(2, "-"), 0, id="no knot"),
    ],
)
def test_by_hand(body: Diagonal, fewest: int) -> None:
    assert fewest_pickups(DiagonalWork(body, 1)) == fewest


def test_a_string_is_put_down_as_late_as_possible() -> None:
    # String 1 goes over all the others in one segment, then 2, and so on: three of three knots each.
    band = DiagonalWork(stripe(4), 1)
    knots = OpenKnots(band)
    segments = Segments(knots)
    assert segments.fewest == 4
    first = [knot for knot in range(knots.size) if knots.knotting[knot] == 1]
    assert [segments.furthest[knot] for knot in first] == [first[-1]] * 3
    assert [segments.after[knot] for knot in first] == [*first[1:], knots.size]
    assert [segments.needed[knot] for knot in first] == [1, 1, 1]
    assert segments.needed[knots.size] == 0


def test_fewest_pickups_of_full_rows_and_pointed_bands() -> None:
    # Full rows of f over 4 strings: in the pointed band two segments meet in the middle.
    assert [fewest_pickups(DiagonalWork(full(n, 2 * n), 1)) for n in (4, 5, 6, 7, 8)] == [5, 6, 8, 9, 11]
    assert [fewest_pickups(DiagonalWork(pointed(n, 3), 1)) for n in (4, 6)] == [6, 6]


def test_a_string_stays_in_hand_across_repeats() -> None:
    once, twice = (DiagonalWork(chart(2, "f", "", "b", ""), repeats) for repeats in (1, 2))
    assert (fewest_pickups(once), fewest_pickups(twice)) == (1, 1)
