"""What a piece took, in time and in steps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.history.what_it_took import WhatItTook, in_a_line, time_at_work
from benchmate.craft.pace import PAUSE
from tests.charts import seeded


@pytest.mark.parametrize(
    ("times", "seconds"),
    [
        ([], 0),
        ([5], 0),
        ([0, 10, 25], 25),
        ([0, PAUSE, PAUSE + 1], PAUSE + 1),
        ([0, PAUSE + 1, PAUSE + 3], 2),
        # A clock that was set back.
        ([100, 40, 50], 10),
    ],
)
def test_time_at_work(times: list[float], seconds: float) -> None:
    assert time_at_work(times) == seconds


@seeded
@given(st.lists(st.floats(0, 1e6), max_size=30))
def test_work_is_never_longer_than_the_time_that_passed(times: list[float]) -> None:
    times.sort()
    work = time_at_work(times)
    assert 0 <= work <= (times[-1] - times[0] if times else 0) + 1e-6


def test_in_a_line() -> None:
    assert in_a_line(WhatItTook(4200, 7), 264, "knot") == "264 knots, about 1 h 10 min at work, 7 undone"
    assert in_a_line(WhatItTook(0, 0), 1, "move") == "1 move, nothing undone"
