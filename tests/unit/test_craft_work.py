"""Designs unrolled into steps: bands, written steps, and pieces with start and finish."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.design import work_for
from benchmate.craft.knots import Knot
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.trouble.made_otherwise import token
from benchmate.craft.work import RowSpan, Work
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.families.steps.body import Instruction, Steps, WrittenStep
from benchmate.families.steps.work import StepsWork
from tests.charts import all_below, bands, bodies, chart, design, row, seeded, steps_of, trace, written

F, B, FB, BF = Knot.FORWARD, Knot.BACKWARD, Knot.FORWARD_BACKWARD, Knot.BACKWARD_FORWARD


# Bands


def test_a_band_follows_its_strings() -> None:
    band = DiagonalWork(chart(4, "f b", "bf", "fb f"), 1)
    assert list(steps_of(band)) == [
        DiagonalKnot(1, 1, F, 1, 2),
        DiagonalKnot(1, 3, B, 3, 4),
        DiagonalKnot(2, 2, BF, 1, 4),
        DiagonalKnot(3, 1, FB, 2, 1),
        DiagonalKnot(3, 3, F, 4, 3),
    ]
    assert [band.knotting(number) for number in range(5)] == [1, 4, 4, 2, 4]
    assert [band.passive(number) for number in range(5)] == [2, 3, 1, 1, 3]
    assert [band.swapped_at(number) for number in range(5)] == [1, 3, 0, 0, 3]
    assert [band.rests_on(number) for number in range(5)] == [(), (), (0, 1), (0, 2), (1, 2)]
    assert [band.carries(number) for number in range(5)] == [(2, 3), (2, 4), (3, 4), (), ()]


def test_rows_count_through_all_repeats() -> None:
    band = DiagonalWork(chart(3, "f", "b"), 3)
    assert (band.size, band.rows) == (6, 6)
    assert [band.step(number) for number in (2, 3, 5)] == [
        DiagonalKnot(3, 1, F, 2, 3),
        DiagonalKnot(4, 2, B, 2, 1),
        DiagonalKnot(6, 2, B, 3, 2),
    ]
    assert [band.row_of(number) for number in range(6)] == [1, 2, 3, 4, 5, 6]
    assert [band.span(number) for number in (1, 6)] == [RowSpan(0, 1), RowSpan(5, 6)]


def test_a_gap_is_not_a_step_but_its_row_counts() -> None:
    band = DiagonalWork(chart(5, "- f", "- -", "f -"), 1)
    assert list(steps_of(band)) == [DiagonalKnot(1, 3, F, 3, 4), DiagonalKnot(3, 1, F, 1, 2)]
    assert [band.span(number) for number in (1, 2, 3)] == [RowSpan(0, 1), RowSpan(1, 1), RowSpan(1, 2)]
    assert band.rests_on(1) == ()


def test_a_row_may_start_anywhere_and_may_be_empty() -> None:
    band = DiagonalWork(Diagonal(tuple("abcde"), (row("f", 4), row("", 5), row("b f", 1), row("fb", 3))), 1)
    assert list(steps_of(band)) == [
        DiagonalKnot(1, 4, F, 4, 5),
        DiagonalKnot(3, 1, B, 1, 2),
        DiagonalKnot(3, 3, F, 3, 5),
        DiagonalKnot(4, 3, FB, 5, 3),
    ]
    assert band.rests_on(3) == (2,), "two knots on the same two strings: the lower one is listed once"
    assert band.carries(2) == (3,)


@pytest.mark.parametrize("number", [-1, 2])
def test_a_step_outside_the_work_is_an_index_error(number: int) -> None:
    for work in (DiagonalWork(chart(4, "f f"), 1), StepsWork(written("Fold", "Knot"), 1)):
        with pytest.raises(IndexError):
            work.step(number)


@given(bodies(), st.integers(1, 3))
@seeded
def test_a_band_equals_tracing_the_strings_by_hand(body: Diagonal, repeats: int) -> None:
    band = DiagonalWork(body, repeats)
    found = []
    for number in range(band.size):
        knot = band.step(number)
        assert (knot.row, knot.knotting, knot.passive) == (
            band.row_of(number),
            band.knotting(number),
            band.passive(number),
        )
        assert band.swapped_at(number) == (knot.left if knot.knot and knot.knot.swaps else 0)
        found.append((knot.row, knot.left, token(knot.knot), knot.knotting, knot.passive))
    assert found == trace(body, repeats)
    assert band.rows == len(body.rows) * repeats
    assert [n for number in range(1, band.rows + 1) for n in range(*band.span(number))] == list(range(band.size))


@given(bodies(), st.integers(1, 3))
@seeded
def test_every_string_knots_or_carries_or_waits_in_every_row(body: Diagonal, repeats: int) -> None:
    # Common practice, derived: per string made + carried + waited = rows; over all strings made = carried = knots.
    band = DiagonalWork(body, repeats)
    made = Counter(band.knotting(number) for number in range(band.size))
    carried = Counter(band.passive(number) for number in range(band.size))
    busy = {(knot.row, string) for knot in trace(body, repeats) for string in (knot.knotting, knot.passive)}
    for string in range(1, len(body.strings) + 1):
        waited = sum((number, string) not in busy for number in range(1, band.rows + 1))
        assert made[string] + carried[string] + waited == band.rows
    assert made.total() == carried.total() == band.size


# Written steps


def test_a_counted_step_is_one_step_for_each_time() -> None:
    steps = StepsWork(Steps(("a", "b"), (Instruction("Fold", "Loosely", 1), Instruction("Braid", None, 3))), 2)
    assert (steps.size, steps.rows, steps.strings) == (8, 2, ("a", "b"))
    braids = [WrittenStep(2, "Braid", None, time, 3) for time in (1, 2, 3)]
    assert list(steps_of(steps))[4:] == [WrittenStep(2, "Fold", "Loosely", 1, 1), *braids]
    assert [steps.row_of(number) for number in range(8)] == [1, 1, 1, 1, 2, 2, 2, 2]
    assert [steps.span(number) for number in (1, 2)] == [RowSpan(0, 4), RowSpan(4, 8)]
    assert [steps.rests_on(number) for number in (0, 1, 7)] == [(), (0,), (6,)]
    assert [steps.carries(number) for number in (0, 6, 7)] == [(1,), (7,), ()]
    assert {steps.swapped_at(number) for number in range(8)} == {0}
    assert {steps.knotting(number) for number in range(8)} == {steps.passive(number) for number in range(8)} == {0}


# Pieces with start and finish


def whole_of(band: Diagonal, repeats: int = 1) -> WholePiece:
    """Three steps, a band, two steps."""
    start, finish = design(written("Fold", ("Pin", 2))), design(written("Part", "Trim"))
    return whole_piece(design(band, repeats), start, finish)


def test_a_piece_counts_through_its_parts() -> None:
    whole = whole_of(chart(4, "f b", "f"), 2)
    assert (whole.size, whole.rows, whole.strings) == (11, 6, tuple("abcd"))
    assert [(part.called, part.first) for part in whole.parts] == [("start", 0), ("band", 3), ("finish", 9)]
    assert whole.main is whole.parts[1]
    assert [whole.part_of(number).called[0] for number in range(11)] == list("sssbbbbbbff")
    assert [whole.row_of(number) for number in range(11)] == [1, 1, 1, 2, 2, 3, 4, 4, 5, 6, 6]
    assert [whole.span(number) for number in (1, 2, 5, 6)] == [(0, 3), (3, 5), (8, 9), (9, 11)]
    assert whole.step(2) == WrittenStep(1, "Pin", None, 2, 2)
    assert whole.step(5) == DiagonalKnot(2, 2, F, 1, 4)
    assert whole.step(10) == WrittenStep(1, "Trim", None, 1, 1)
    assert [whole.knotting(number) for number in (0, 4, 10)] == [0, 4, 0]
    assert [whole.passive(number) for number in (0, 4, 10)] == [0, 3, 0]
    assert [whole.swapped_at(number) for number in (2, 3, 4, 5, 10)] == [0, 1, 3, 2, 0]


def test_the_band_rests_on_the_start_and_the_finish_on_the_band() -> None:
    whole = whole_of(chart(6, "f b f", "f -"))
    below = [(), (0,), (1,), (2,), (2,), (2,), (3, 4), (5, 6), (7,)]
    above = [(1,), (2,), (3, 4, 5), (6,), (6,), (7,), (7,), (8,), ()]
    assert [whole.rests_on(number) for number in range(9)] == below
    assert [whole.carries(number) for number in range(9)] == above


def test_the_finish_rests_on_the_start_when_the_band_is_empty() -> None:
    whole = whole_of(chart(2, "-"))
    assert whole.rests_on(3) == (2,)
    assert whole.carries(2) == (3,)


@pytest.mark.parametrize("number", [-1, 8])
def test_a_step_outside_the_piece_is_an_index_error(number: int) -> None:
    with pytest.raises(IndexError):
        whole_of(chart(4, "f b", "f")).step(number)


def test_repeats_apply_to_the_band_alone() -> None:
    alone = whole_piece(design(chart(4, "f b", "f"), 3), None, None)
    assert (alone.size, len(alone.parts), alone.main.called) == (9, 1, "band")
    assert whole_piece(design(chart(4, "f b", "f"), 3), None, design(written("Trim"), 2), repeats=1).size == 3 + 2
    assert work_for(design(chart(4, "f b", "f"), 3), 2).size == 6
    assert work_for(design(written("Fold", "Knot"), 4)).size == 8


@given(bands().filter(lambda band: band.size > 0))
@seeded
def test_rests_on_and_carries_agree(band: DiagonalWork) -> None:
    start, finish = StepsWork(written("Fold", "Pin"), 1), StepsWork(written(("Braid", 3)), 1)
    any_design = design(chart(2, "f"))
    whole = WholePiece(
        [("start", any_design, start), ("band", any_design, band), ("finish", any_design, finish)], main=1
    )
    works: list[Work] = [band, start, whole]
    for work in works:
        for number in range(work.size):
            below, above = work.rests_on(number), work.carries(number)
            assert list(below) == sorted(set(below))
            assert list(above) == sorted(set(above))
            assert all(other < number for other in below)
            assert all(number in work.carries(other) for other in below)
            assert all(number in work.rests_on(other) for other in above)
    reached = all_below(whole)
    assert all(reached[number] & 3 == 3 for number in range(2, whole.size)), "everything rests on the start"
    assert reached[whole.size - 1] == (1 << whole.size - 1) - 1, "the last step rests on everything"
