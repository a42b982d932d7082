"""The maker's pace, and when a rest is due."""

from itertools import accumulate
from random import Random
from re import fullmatch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.pace import (
    ENOUGH_KNOTS,
    LAST_KNOTS,
    PAUSE,
    Pace,
    Press,
    in_words,
    knot_times,
    pace_of,
    time_for,
    time_left,
)

KNOTS = range(1000)


def presses(*gaps: float) -> list[Press]:
    """One knot a press, the gaps between them in seconds."""
    return [Press(at, 1, number) for number, at in enumerate(accumulate(gaps, initial=1000.0))]


def seconds(*gaps: float) -> float | None:
    """The pace after these gaps, however few they are."""
    pace = pace_of(knot_times(presses(*gaps), KNOTS), least=1)
    return None if pace is None else pace.seconds


def test_the_pace_is_the_median_gap() -> None:
    assert seconds(5, 9, 4) == 5
    assert seconds(5, 90, 4, 7) == 6


def test_no_pace_before_there_are_enough_knots() -> None:
    assert pace_of([]) is None
    assert pace_of([], least=0) is None
    assert pace_of([5.0] * (ENOUGH_KNOTS - 1)) is None
    assert pace_of([5.0] * ENOUGH_KNOTS) == Pace(5, 5, 5)
    assert knot_times(presses(5, PAUSE + 1, 5), KNOTS) == [5, 5]


def test_pauses_are_left_out() -> None:
    assert seconds(4, PAUSE + 1, 5, 3600, 6) == 5
    assert seconds(PAUSE, PAUSE, PAUSE) == PAUSE


def test_only_the_last_knots_count() -> None:
    assert seconds(*[100] * 50, *[4] * LAST_KNOTS) == 4


def test_a_press_that_counts_several_steps_shares_its_time_among_them() -> None:
    times = [Press(0, 1), Press(30, 3), Press(80, 5), Press(90, 1)]
    assert knot_times(times, KNOTS) == [10, 10, 10]
    assert knot_times([*times, Press(91, 0)], KNOTS) == [10, 10, 10]


def test_the_entries_of_one_press_are_one_press() -> None:
    # A run of knots that do not follow one another in the chart takes several entries of the log.
    assert knot_times([Press(0, 1, 0), Press(30, 2, 4), Press(30, 1, 9)], KNOTS) == [10]


def test_steps_of_other_parts_do_not_count() -> None:
    start = [Press(10.0 * at, 1, at) for at in range(5)]
    band = [Press(100 + 2.0 * at, 1, 5 + at) for at in range(5)]
    finish = [Press(120 + 30.0 * at, 1, 10 + at) for at in range(4)]
    assert knot_times([*start, *band, *finish], range(5, 10)) == [60, 2, 2, 2, 2]


def test_the_bounds_of_a_pace_hold_the_true_median_four_times_in_five() -> None:
    drawn = Random(5)
    for count in (10, 15, 25, 40):
        held, trials = 0, 2000
        for _ in range(trials):
            # Uneven times, as of hands: the true median is e to the 0, 1.
            pace = pace_of([drawn.lognormvariate(0, 0.6) for _ in range(count)])
            assert pace is not None
            assert pace.quick <= pace.seconds <= pace.slow
            held += pace.quick <= 1 <= pace.slow
        # Order statistics of a median cover at least this much: any textbook on rank methods.
        assert 0.78 <= held / trials <= 0.93, count


@pytest.mark.parametrize(
    ("pace", "knots", "words"),
    [
        (Pace(15, 14, 16), 100, "about 25 min"),
        (Pace(15, 12, 21), 100, "about 20 to 35 min"),
        (Pace(15, 12, 16), 100, "about 20 to 25 min"),
        (Pace(15, 12, 16), 1, "under a minute"),
        (Pace(15, 12, 21), 12, "about 2 to 4 min"),
        (Pace(40, 30, 48), 100, "about 50 min to 1 h 20 min"),
        (Pace(40, 36, 72), 100, "about 1 to 2 h"),
        (Pace(40, 36, 75), 100, "about 1 h to 2 h 5 min"),
        (Pace(40, 30, 60), 1200, "about 10 to 20 h"),
        (Pace(15, 14, 16), 0, ""),
        (None, 100, ""),
    ],
)
def test_the_time_for_some_knots(pace: Pace | None, knots: int, words: str) -> None:
    assert time_for(pace, knots) == words
    assert time_left(pace, knots) == (f"{words} left" if words else "")


@given(st.floats(0.2, 180), st.floats(1, 8), st.integers(1, 200_000))
def test_a_time_is_never_more_than_a_few_words(quick: float, wide: float, knots: int) -> None:
    words = time_for(Pace(quick * wide**0.5, quick, quick * wide), knots)
    number = r"\d+"
    length = rf"({number} min|{number} h( {number} min)?)"
    assert fullmatch(rf"under a minute|about ({number} to )?{length}|about {length} to {length}", words)
    assert len(words) <= len("about 10 h 55 min to 11 h 55 min")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "under a minute"),
        (29, "under a minute"),
        (31, "about 1 min"),
        (40 * 60, "about 40 min"),
        (59.6 * 60, "about 1 h"),
        (62 * 60, "about 1 h"),
        (63 * 60, "about 1 h 5 min"),
        (130 * 60, "about 2 h 10 min"),
        (119 * 60, "about 2 h"),
        (10 * 3600, "about 10 h"),
        (12.25 * 3600, "about 12 h"),
    ],
)
def test_durations_in_words(seconds: float, words: str) -> None:
    assert in_words(seconds) == words


def test_long_durations_round_to_the_nearest_hour() -> None:
    assert in_words((10 * 60 + 55) * 60) == "about 11 h"
    assert in_words(9.96 * 3600) == "about 10 h"
