"""Pairs, starts, sizes and repeats of a design."""

import pytest
from hypothesis import given

from benchmate.craft.design import MOST_STEPS, repeats_fault, steps_in
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import hanging_after
from benchmate.families.diagonal.body import Diagonal, pairs_that_fit, usual_start
from benchmate.families.diagonal.work import DiagonalWork, order_after_one_repeat
from tests.charts import bodies, chart, design, row, seeded, written


@pytest.mark.parametrize("strings", range(2, 9))
def test_pairs_that_fit_in_a_row(strings: int) -> None:
    for start in range(1, strings + 1):
        assert pairs_that_fit(strings, start) == len(range(start, strings, 2))


def test_rows_usually_start_at_positions_1_and_2_in_turn() -> None:
    assert [usual_start(number) for number in range(1, 6)] == [1, 2, 1, 2, 1]


def test_the_number_of_steps_leaves_out_gaps_and_includes_repeats() -> None:
    assert steps_in(design(chart(4, "f -", "b", "- -"))) == 2
    assert steps_in(design(chart(4, "f -", "b"), repeats=5)) == 10
    assert steps_in(design(chart(4, "f -", "b"), repeats=5), 3) == 6
    assert steps_in(design(written("Fold", ("Braid", 4)), repeats=2)) == 10


def test_rows_repeat_only_when_the_first_and_last_start_at_different_positions() -> None:
    odd = design(chart(4, "f f", "f", "b b"))
    assert repeats_fault(odd, 1) is None
    assert "both start at position 1" in (repeats_fault(odd, 2) or "")
    assert repeats_fault(design(chart(4, "f f", "f")), 2) is None
    own = design(Diagonal(("a",) * 4, (row("f f"), row("f", 2), row("b", 3))))
    assert repeats_fault(own, 2) is None
    assert repeats_fault(design(written("Fold")), 2) is None


def test_repeats_are_limited_by_the_most_steps() -> None:
    three = design(chart(4, "f f", "f"))
    assert repeats_fault(three, MOST_STEPS // 3) is None
    assert f"at most {MOST_STEPS // 3} repeats fit" in (repeats_fault(three, MOST_STEPS // 3 + 1) or "")


@given(bodies())
@seeded
def test_colours_after_one_repeat(body: Diagonal) -> None:
    band = DiagonalWork(body, 1)
    hanging = hanging_after(band, by_rows(band), range(band.size))
    assert order_after_one_repeat(body) == tuple(body.strings[string - 1] for string in hanging)
