"""The progress of a piece: tying, untying, jumping and resuming."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.orders import Order, by_rows, from_sequence
from benchmate.craft.progress import NotPossible, Progress, hanging_after
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.families.steps.work import StepsWork
from tests.charts import all_below, begun_bands, chart, full, ordered_bands, orders, seeded, state, written

BAND = DiagonalWork(chart(4, "f b", "f", "b f"), 1)
"""Knot 2 rests on 0 and 1, knot 3 on 0 and 2, knot 4 on 1 and 2. The strings end as 4 2 3 1."""


def begun(*numbers: int) -> Progress:
    """The band with these knots tied."""
    return Progress.resume(BAND, by_rows(BAND), numbers)


def test_nothing_is_tied_at_the_beginning() -> None:
    progress = begun()
    assert state(progress) == ([1, 2, 3, 4], [], 0, 0)
    assert (progress.last, progress.finished, list(progress.history)) == (None, False, [])


def test_tying_all_steps_in_order() -> None:
    progress = begun()
    hung = []
    while progress.next is not None:
        progress.tie(progress.next)
        hung.append(list(progress.hanging))
    assert hung == [[2, 1, 3, 4], [2, 1, 4, 3], [2, 4, 1, 3], [4, 2, 1, 3], [4, 2, 3, 1]]
    assert (progress.finished, progress.last, progress.done, progress.coming(3), progress.rest_of_row()) == (
        *(True, 4, 5),
        *([], []),
    )


def test_the_next_step_is_the_first_open_one_in_working_order() -> None:
    progress = begun(1)
    assert (progress.next, progress.last) == (0, 1)
    progress.tie(0)
    assert (progress.next, progress.last) == (2, 0)
    progress.untie(1)
    assert (progress.next, progress.last, list(progress.history)) == (1, 0, [0])


@pytest.mark.parametrize("number", [-1, 0, 2, 5])
def test_a_tied_or_blocked_or_unknown_step_cannot_be_tied(number: int) -> None:
    progress = begun(0)
    before = state(progress)
    with pytest.raises(NotPossible):
        progress.tie(number)
    assert state(progress) == before


@pytest.mark.parametrize("number", [-1, 0, 1, 2, 4, 5])
def test_an_open_or_covered_or_unknown_step_cannot_be_untied(number: int) -> None:
    progress = begun(0, 1, 2, 3)
    before = state(progress)
    with pytest.raises(NotPossible):
        progress.untie(number)
    assert state(progress) == before


def test_steps_that_can_be_tied_and_untied() -> None:
    progress = begun(0, 1, 2)
    assert [number for number in range(5) if progress.can_tie(number)] == [3, 4]
    assert [number for number in range(5) if progress.can_untie(number)] == [2]
    progress.tie(4)
    assert [number for number in range(5) if progress.can_tie(number)] == [3]
    assert [number for number in range(5) if progress.can_untie(number)] == [4]


def test_coming_steps_leave_out_tied_ones() -> None:
    progress = begun(1)
    assert progress.coming(0) == []
    assert progress.coming(2) == [0, 2]
    assert progress.coming(9) == [0, 2, 3, 4]


def test_the_rest_of_the_row() -> None:
    progress = Progress(band := DiagonalWork(full(6, 3), 1), by_rows(band))
    assert progress.rest_of_row() == [0, 1, 2]
    progress.tie(1)
    assert progress.rest_of_row() == [0, 2]
    progress.tie(0)
    progress.tie(2)
    assert progress.rest_of_row() == [3, 4]


def test_the_rest_of_the_row_ends_where_the_order_leaves_it() -> None:
    order = from_sequence("any", [0, 1, 3, 2, 4, 5, 6, 7])
    assert Progress(DiagonalWork(full(6, 3), 1), order).rest_of_row() == [0, 1]
    assert Progress.resume(DiagonalWork(full(6, 3), 1), order, [0, 1, 3]).rest_of_row() == [2]


def test_steps_to_untie_to_reach_a_knot() -> None:
    assert begun(0, 1, 2, 3, 4).must_come_out(0) == [4, 3, 2, 0]
    assert begun(0, 1, 2, 4).must_come_out(1) == [4, 2, 1]
    assert begun(0, 1).must_come_out(0) == [0]


def test_a_jump_lists_the_steps_to_untie_and_to_tie() -> None:
    assert begun(0, 1, 2, 4).jump(range(1)) == ([4, 2, 1], [])
    assert begun(1).jump(range(3)) == ([], [0, 2])
    assert begun(0, 1, 2, 4).jump(range(4)) == ([4], [3])
    assert begun(0, 1).jump(range(2)) == ([], [])


def test_an_impossible_history_is_refused() -> None:
    for history in ([2], [0, 0], [0, 1, 2, 3, 4, 4], [0, 7]):
        with pytest.raises(NotPossible):
            begun(*history)


def test_written_steps_come_one_after_the_other() -> None:
    steps = StepsWork(written("Fold", ("Braid", 2)), 1)
    progress = Progress(steps, by_rows(steps))
    progress.tie(0)
    progress.tie(1)
    assert [progress.can_tie(number) for number in range(3)] == [False, False, True]
    assert progress.must_come_out(0) == [1, 0]
    assert progress.hanging == []


# Any band, any order, any closed set of tied knots


@given(begun_bands())
@seeded
def test_progress_depends_only_on_the_set_of_tied_knots(progress: Progress) -> None:
    _, tied, following, done = state(progress)
    assert progress.hanging == hanging_after(progress.work, progress.order, tied)
    assert done == len(tied) == len(progress.history)
    assert sorted(progress.history) == tied
    assert following == next((number for number in progress.order.sequence if number not in tied), None)
    assert progress.coming(progress.work.size) == [n for n in progress.order.sequence if n not in tied]
    assert progress.last is None or progress.can_untie(progress.last)


@given(ordered_bands())
@seeded
def test_the_strings_end_the_same_in_any_order(ordered: tuple[DiagonalWork, Order]) -> None:
    band, order = ordered
    every = range(band.size)
    last = {tuple(hanging_after(band, each, every)) for each in (order, by_rows(band))}
    assert len(last) == 1


@given(begun_bands(least=1), st.data())
@seeded
def test_tying_an_untied_step_again_restores_the_state(progress: Progress, data: st.DataObject) -> None:
    before = state(progress)
    number = data.draw(st.sampled_from([n for n in range(progress.work.size) if progress.can_untie(n)]))
    progress.untie(number)
    assert not progress.is_tied(number)
    progress.tie(number)
    assert state(progress) == before


@given(begun_bands(), st.data())
@seeded
def test_untying_the_last_tied_step_restores_the_state(progress: Progress, data: st.DataObject) -> None:
    ready = [number for number in range(progress.work.size) if progress.can_tie(number)]
    assert bool(ready) != progress.finished
    if ready:
        before = state(progress), list(progress.history)
        number = data.draw(st.sampled_from(ready))
        progress.tie(number)
        progress.untie(number)
        assert (state(progress), list(progress.history)) == before


@given(begun_bands(least=1), st.data())
@seeded
def test_exactly_the_steps_that_rest_on_a_knot_must_come_out(progress: Progress, data: st.DataObject) -> None:
    below = all_below(progress.work)
    tied = state(progress)[1]
    number = data.draw(st.sampled_from(tied))
    out = progress.must_come_out(number)
    assert sorted(out) == [other for other in tied if other == number or below[other] >> number & 1]
    assert out[-1] == number
    for other in out:
        progress.untie(other)
    assert state(progress)[1] == [other for other in tied if other not in out]


@given(begun_bands(), st.data())
@seeded
def test_after_a_jump_exactly_its_target_is_tied(progress: Progress, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, progress.work.size))
    before = state(progress)[1]
    out, tied = progress.jump(progress.order.sequence[:place])
    assert state(progress)[1] == before, "asking for a jump changes nothing"
    for number in out:
        progress.untie(number)
    for number in tied:
        progress.tie(number)
    wanted = progress.order.sequence[:place]
    assert state(progress) == state(Progress.resume(progress.work, progress.order, wanted))
    assert state(progress)[1] == sorted(wanted)


@given(ordered_bands(), st.data())
@seeded
def test_resuming_equals_tying_one_by_one(ordered: tuple[DiagonalWork, Order], data: st.DataObject) -> None:
    band, order = ordered
    done = data.draw(st.integers(0, band.size))
    other = data.draw(orders(band))
    for history in (order.sequence[:done], other.sequence[:done]):
        one_by_one = Progress(band, order)
        for number in history:
            one_by_one.tie(number)
        resumed = Progress.resume(band, order, history)
        assert state(resumed) == state(one_by_one)
        assert list(resumed.history) == list(one_by_one.history) == list(history)


@given(begun_bands())
@seeded
def test_ready_lists_every_step_that_can_be_tied(progress: Progress) -> None:
    ready = [number for number in range(progress.work.size) if progress.can_tie(number)]
    assert progress.ready() == ready
    assert progress.next is None or progress.next in ready


def test_written_steps_are_ready_one_by_one() -> None:
    steps = StepsWork(written("Fold", ("Braid", 2)), 1)
    progress = Progress(steps, by_rows(steps))
    for number in range(3):
        assert progress.ready() == [number] == progress.rest_of_run()
        assert progress.current_run is None
        progress.tie(number)
    assert progress.ready() == progress.rest_of_run() == []


@given(begun_bands())
@seeded
def test_in_order_means_exactly_the_first_steps_are_tied(progress: Progress) -> None:
    first = {progress.order.sequence[place] for place in range(progress.done)}
    assert progress.in_order == (first == set(progress.history))


def test_the_current_run_and_the_next_pick_up() -> None:
    # By rows: 1 over 2, 4 over 3, 1 over 4, then 2's neighbours: 2 under 4, and 3 under 1.
    order = from_sequence("segments", [1, 0, 2, 3, 4])
    progress = Progress(BAND, order)
    seen = []
    while (number := progress.next) is not None:
        run = progress.current_run
        assert run is not None
        seen.append((run.string, run.at, run.of, run.following, progress.rest_of_run()))
        progress.tie(number)
    assert seen == [
        (BAND.knotting(1), 1, 1, 0, [1]),
        (BAND.knotting(0), 1, 2, 3, [0, 2]),
        (BAND.knotting(2), 2, 2, 3, [2]),
        (BAND.knotting(3), 1, 1, 4, [3]),
        (BAND.knotting(4), 1, 1, None, [4]),
    ]
    assert progress.current_run is None


def test_a_run_continues_past_a_knot_tied_out_of_turn() -> None:
    order = from_sequence("segments", [0, 1, 2, 3, 4])
    progress = Progress.resume(BAND, order, [1])
    run = progress.current_run
    # String 1 makes knots 0 and 2; knot 1 between them is tied already.
    assert run is not None
    assert (run.string, run.at, run.of, run.following) == (1, 1, 2, 3)
    assert progress.rest_of_run() == [0, 2]


@given(begun_bands(), st.data())
@seeded
def test_check_can_tie_refuses_exactly_the_impossible_sequences(progress: Progress, data: st.DataObject) -> None:
    steps = st.integers(-1, progress.work.size) | st.sampled_from([*progress.coming(9), -1])
    numbers = data.draw(st.lists(steps, max_size=6) | st.just(progress.coming(9)))
    before, trial = state(progress), Progress.resume(progress.work, progress.order, progress.history)

    def tie_all() -> None:
        for number in numbers:
            trial.tie(number)

    attempts: list[Callable[[], None]] = [lambda: progress.check_can_tie(numbers), tie_all]
    refused = []
    for attempt in attempts:
        try:
            attempt()
        except NotPossible as error:
            refused.append(str(error))
        else:
            refused.append("")
    assert refused[0] == refused[1]
    assert state(progress) == before
