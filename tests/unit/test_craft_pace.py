"""The maker's pace, and when a rest is due."""

from itertools import accumulate

import pytest

from benchmate.craft.pace import (
    LAST_KNOTS,
    PAUSE,
    REST,
    WORK_BEFORE_REST,
    Press,
    briefly,
    in_words,
    rest_is_due,
    seconds_a_knot,
)


def presses(*gaps: float) -> list[Press]:
    """One knot a press, the gaps between them in seconds."""
    return [Press(at, 1) for at in accumulate(gaps, initial=1000.0)]


def test_the_pace_is_the_median_gap() -> None:
    assert seconds_a_knot(presses(5, 9, 4)) == 5
    assert seconds_a_knot(presses(5, 90, 4, 7)) == 6


def test_no_pace_before_three_gaps() -> None:
    assert seconds_a_knot([]) is None
    assert seconds_a_knot(presses(5, 5)) is None
    assert seconds_a_knot(presses(5, PAUSE + 1, 5)) is None


def test_pauses_are_left_out() -> None:
    assert seconds_a_knot(presses(4, PAUSE + 1, 5, 3600, 6)) == 5
    assert seconds_a_knot(presses(PAUSE, PAUSE, PAUSE)) == PAUSE


def test_only_the_last_knots_count() -> None:
    assert seconds_a_knot(presses(*[100] * 50, *[4] * LAST_KNOTS)) == 4


def test_a_press_that_counts_several_steps_shares_its_time_among_them() -> None:
    times = [Press(0, 1), Press(30, 3), Press(80, 5), Press(90, 1)]
    assert seconds_a_knot(times) == 10
    assert seconds_a_knot([*times, Press(91, 0)]) == 10


def steady(minutes: float, every: float = 60) -> list[Press]:
    return presses(*[every] * round(minutes * 60 / every))


def test_a_rest_is_due_after_fifty_minutes_of_work() -> None:
    # Published: HSE guidance on display-screen work, by analogy: a break of 5-10 minutes after 50-60.
    assert (WORK_BEFORE_REST, REST) == (3000, 300)
    work = steady(49)
    assert not rest_is_due(work, work[-1].at)
    assert rest_is_due(work, work[-1].at + 60)


def test_only_a_long_pause_is_a_rest() -> None:
    early, late = steady(30), steady(30)
    for gap, due in [(REST - 1, True), (REST, False)]:
        shift = early[-1].at + gap - late[0].at
        work = [*early, *(Press(press.at + shift, 1) for press in late)]
        assert rest_is_due(work, work[-1].at) is due


def test_no_rest_is_due_once_the_maker_has_stopped() -> None:
    work = steady(80)
    assert rest_is_due(work, work[-1].at + REST - 1)
    assert not rest_is_due(work, work[-1].at + REST)
    assert not rest_is_due([], 1000)


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


def test_durations_in_few_characters() -> None:
    expected = {0: "1m", 29: "1m", 40 * 60: "40m", 3599: "1h00", 130 * 60: "2h10", 125 * 3600: "125h00"}
    assert {seconds: briefly(seconds) for seconds in expected} == expected
