"""Telling a press from a held key, a stuck pedal and things lying on the keyboard."""

from itertools import chain

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.bench.terminal.guard import DOUBLE_CLICK, FLOOD, QUIET, Guard, Press, Verdict
from benchmate.settings import DEFAULTS, GUARD
from tests.charts import seeded

COUNTS, REPEAT, FLOODS = Verdict.COUNTS, Verdict.REPEAT, Verdict.FLOOD
USUAL = GUARD / 1000

starts = st.floats(0, 1e9)
"""Seconds on a clock that may have run for thirty years."""
keys = st.sampled_from(["space", "enter", "pagedown", "a", "ctrl+x"])


def judged(guard: Guard, events: list[tuple[str, float]], start: float = 0.0) -> list[Verdict]:
    """The verdicts on keys that come so many seconds after one another."""
    found, at = [], start
    for key, gap in events:
        at += gap
        found.append(guard.judge(key, at))
    return found


def test_the_default_guard_is_100_ms() -> None:
    # The contract: presses under 0.1 s apart may be taken as a held key, 0.15 s apart they always count.
    assert DEFAULTS.guard == 100


@seeded
@given(starts, st.lists(st.floats(0.15, 5), max_size=60))
def test_presses_of_one_key_that_far_apart_always_count(start: float, gaps: list[float]) -> None:
    assert set(judged(Guard(USUAL), [("space", gap) for gap in gaps], start)) <= {COUNTS}


@seeded
@given(starts, st.lists(st.tuples(keys, st.floats(0.15, 5)), max_size=60))
def test_presses_of_any_keys_that_far_apart_always_count(start: float, events: list[tuple[str, float]]) -> None:
    assert set(judged(Guard(USUAL), events, start)) <= {COUNTS}


def test_hours_of_fast_work_are_no_flood() -> None:
    assert set(judged(Guard(USUAL), [("pagedown", 0.15)] * 20_000)) == {COUNTS}


@seeded
@given(starts, st.integers(1, FLOOD - 1), st.floats(0.001, 0.0999))
def test_repeats_under_the_guard_count_once(start: float, count: int, gap: float) -> None:
    assert judged(Guard(USUAL), [("space", gap)] * count, start) == [COUNTS] + [REPEAT] * (count - 1)


@seeded
@given(st.floats(0.02, 2), st.data())
def test_the_guard_is_the_one_chosen(guard: float, data: st.DataObject) -> None:
    under = data.draw(st.floats(0.001, guard * 0.99))
    over = data.draw(st.floats(guard * 1.01, guard * 50))
    assert judged(Guard(guard), [("space", 1.0), ("space", under), ("space", over)], 9) == [COUNTS, REPEAT, COUNTS]


@pytest.mark.parametrize("rate", [15, 25, 30, 40, 100, 1000])
def test_a_key_held_down_counts_once_and_becomes_a_flood(rate: int) -> None:
    verdicts = judged(Guard(USUAL), [("space", 1 / rate)] * 200, start=1000)
    assert verdicts == [COUNTS] + [REPEAT] * (FLOOD - 2) + [FLOODS] * (200 - FLOOD + 1)


def test_a_held_key_with_the_usual_pause_before_it_repeats_counts_twice_at_most() -> None:
    gaps = [1.0, 0.5, *[1 / 30] * 198]
    verdicts = judged(Guard(USUAL), [("space", gap) for gap in gaps])
    assert verdicts.count(COUNTS) == 2
    assert verdicts[:2] == [COUNTS, COUNTS]
    assert verdicts[-1] is FLOODS


def test_slow_uneven_repeats_are_a_flood_too() -> None:
    verdicts = judged(Guard(USUAL), [("space", (0.09, 0.13)[at % 2]) for at in range(200)])
    assert verdicts.index(FLOODS) == FLOOD - 1
    assert set(verdicts[FLOOD - 1 :]) == {FLOODS}


def test_two_hundred_events_at_once_count_once() -> None:
    verdicts = judged(Guard(USUAL), [("space", 1.0)] + [("space", 0.0)] * 199)
    assert verdicts.count(COUNTS) == 1
    assert verdicts[-1] is FLOODS


def test_different_keys_close_together_each_count() -> None:
    assert judged(Guard(USUAL), [("space", 1), ("b", 0.01), ("u", 0.01), ("space", 0.01)]) == [
        *(COUNTS, COUNTS, COUNTS, REPEAT)
    ]


def test_something_lying_on_the_keyboard_is_a_flood_of_many_keys() -> None:
    verdicts = judged(Guard(USUAL), [("abcdefgh"[at % 8], 0.02) for at in range(100)])
    assert set(verdicts[FLOOD - 1 :]) == {FLOODS}


def test_a_flood_is_many_close_together_and_nothing_else() -> None:
    floods = 0
    close, apart = st.floats(0.0, 1.3 * USUAL), st.floats(1.5 * USUAL, 0.5)
    bursts = st.tuples(apart, st.lists(close, max_size=2 * FLOOD)).map(lambda burst: [burst[0], *burst[1]])

    @seeded
    @given(st.lists(bursts, max_size=5).map(lambda found: list(chain(*found))), st.data())
    def look(gaps: list[float], data: st.DataObject) -> None:
        nonlocal floods
        verdicts = judged(Guard(USUAL), [(data.draw(keys), gap) for gap in gaps], start=50)
        streak = 0
        for gap, verdict in zip(gaps, verdicts, strict=True):
            streak = streak + 1 if gap < 1.4 * USUAL else 1
            assert (verdict is FLOODS) == (streak >= FLOOD)
        floods += verdicts.count(FLOODS)

    look()
    assert floods > 0


def test_after_a_flood_the_next_press_of_a_person_counts() -> None:
    guard = Guard(USUAL)
    assert judged(guard, [("space", 0.03)] * 50)[-1] is FLOODS
    assert judged(guard, [("space", 1.0), ("space", 0.15)], start=1.5) == [COUNTS, COUNTS]


def test_quiet_needs_a_moment_without_keys() -> None:
    guard = Guard(USUAL)
    assert guard.quiet_before(0.0)
    guard.judge("space", 10.0)
    assert not guard.quiet_before(10.0 + QUIET * 0.9)
    assert guard.quiet_before(10.0 + QUIET * 1.1)
    guard.judge("y", 10.5)
    assert not guard.quiet_before(10.0 + QUIET * 1.1)


def test_a_press_has_verdict_burst_and_calm() -> None:
    guard = Guard(USUAL)
    assert guard.press("a", 10.0) == Press("a", COUNTS, burst=False, calm=True)
    # Another key, but too soon after the first to be deliberate.
    assert guard.press("b", 10.0 + USUAL * 0.9) == Press("b", COUNTS, burst=True, calm=False)
    assert guard.press("b", 10.0 + USUAL * 1.7) == Press("b", REPEAT, burst=True, calm=False, same=True, typed=False)
    assert guard.press("b", 10.0 + USUAL * 2.8) == Press("b", COUNTS, burst=False, calm=False, same=True)
    assert guard.press("b", 11.0 + USUAL * 2.8) == Press("b", COUNTS, burst=False, calm=True, same=True)


@seeded
@given(starts, st.lists(st.tuples(keys, st.floats(0.0, 1.0)), max_size=60))
def test_press_and_judge_agree(start: float, events: list[tuple[str, float]]) -> None:
    guard, at, found = Guard(USUAL), start, []
    for key, gap in events:
        at += gap
        found.append(guard.press(key, at).verdict)
    assert found == judged(Guard(USUAL), events, start)


@seeded
@given(starts, st.floats(0.001, 5))
def test_what_the_terminal_calls_a_repeat_is_no_press(start: float, gap: float) -> None:
    guard = Guard(USUAL)
    assert guard.press("space", start).verdict is COUNTS
    for at in range(1, FLOOD - 1):
        held = guard.press("space", start + at * gap, held=True)
        assert (held.verdict, held.burst, held.calm) == (REPEAT, True, False)
    assert guard.press("space", start + FLOOD * gap + QUIET, held=False).verdict is COUNTS


def test_a_key_held_down_for_long_is_a_flood() -> None:
    guard = Guard(USUAL)
    found = [guard.press("space", at * 0.03, held=at > 0).verdict for at in range(FLOOD)]
    assert found == [COUNTS, *[REPEAT] * (FLOOD - 2), FLOODS]


# The mouse.


def test_a_double_click_counts_once() -> None:
    guard = Guard(USUAL)
    assert judged(guard, [("mouseleft", 1), ("mouseleft", DOUBLE_CLICK - 0.01)]) == [COUNTS, REPEAT]
    assert judged(guard, [("mouseleft", 10), ("mouseleft", 0.2), ("mouseleft", 0.2)], 5) == [COUNTS, REPEAT, REPEAT]
    assert judged(Guard(USUAL), [("mouseleft", 1), ("mouseleft", DOUBLE_CLICK)]) == [COUNTS, COUNTS]
    assert judged(Guard(2.0), [("mouseleft", 1), ("mouseleft", 1.9)]) == [COUNTS, REPEAT]


def test_two_buttons_are_two_keys() -> None:
    assert judged(Guard(USUAL), [("mouseleft", 1), ("mouseright", 0.2), ("space", 0.2)]) == [COUNTS] * 3


def test_clicks_in_a_steady_time_all_count_or_every_other_one_does() -> None:
    assert judged(Guard(USUAL), [("mouseright", 0.6)] * 6) == [COUNTS] * 6
    assert judged(Guard(USUAL), [("mouseright", 0.45)] * 6) == [COUNTS, REPEAT] * 3


def test_a_worn_button_is_no_flood_of_presses() -> None:
    guard = Guard(USUAL)
    found = judged(guard, [("mouseleft", 0.01)] * 30)
    assert found.count(COUNTS) == 1
    assert found[-1] is FLOODS


def typed(events: list[tuple[str, float]]) -> list[bool]:
    """Whether hands that type text fast can have made each of the keys."""
    guard, at, found = Guard(USUAL), 1.0, []
    for key, gap in events:
        at += gap
        found.append(guard.press(key, at).typed)
    return found


@pytest.mark.parametrize("gap", [0.01, USUAL * 0.9, USUAL * 1.1, 0.3])
def test_fast_hands_type_any_letters(gap: float) -> None:
    assert all(typed([(key, gap) for key in "plumstraw" * 4]))


def test_fast_hands_type_a_letter_twice() -> None:
    assert all(typed([(key, USUAL * 1.1) for key in "kkddffkk" * 5]))


@pytest.mark.parametrize("gap", [0.01, USUAL * 0.9])
def test_a_key_that_is_held_down_types_once(gap: float) -> None:
    assert typed([("k", gap)] * 40) == [True] + [False] * 39


def test_a_key_that_repeats_slowly_is_known_by_how_often() -> None:
    assert typed([("k", USUAL * 1.1)] * 40) == [True] * (FLOOD - 1) + [False] * (41 - FLOOD)
