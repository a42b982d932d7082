"""When a rest is offered: by two clocks, over all pieces, once in a while."""

import time
from itertools import pairwise
from pathlib import Path

import pytest

from benchmate.craft.history.rests import AGAIN, WorkSinceRest
from benchmate.craft.pace import REST
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble.work_before import MOST_PIECES, times_of_work
from benchmate.store.errors import StoreError
from tests.screen.benches import CHEVRON, FOUR_KNOTS, begun, written_to

START, STEADY = 1_000_000.0, 50.0


def worked(*gaps: float) -> WorkSinceRest:
    """The work since the last rest after presses with these gaps, by both clocks."""
    work, at = WorkSinceRest([], START, STEADY), 0.0
    for gap in gaps:
        at += gap
        work.press(START + at, STEADY + at)
    return work


def test_a_rest_is_offered_after_fifty_minutes_of_work() -> None:
    # Published: HSE guidance on display-screen work, by analogy: a break of 5-10 minutes after 50-60.
    assert REST == 300
    assert not worked(*[60] * 49).offers(50)
    assert worked(*[60] * 50).offers(50)
    assert worked(*[60] * 30).offers(30)
    assert not worked(*[60] * 600).offers(0)


def test_fast_hands_are_offered_one_too() -> None:
    assert worked(*[2.0] * 1500).offers(50), "which are more presses than are remembered for the pace"


def test_only_a_long_pause_is_a_rest() -> None:
    assert worked(*[60] * 30, REST - 1, *[60] * 20).offers(50)
    assert not worked(*[60] * 30, REST, *[60] * 20).offers(50)
    assert worked(*[60] * 30, REST, *[60] * 50).offers(50)


def test_it_is_offered_again_after_ten_more_minutes_only() -> None:
    work, at, offered = WorkSinceRest([], START, STEADY), 0.0, []
    for _ in range(80):
        at += 60
        work.press(START + at, STEADY + at)
        if work.offers(50):
            offered.append(at)
    assert offered[0] == 3000
    assert {later - earlier for earlier, later in pairwise(offered)} == {AGAIN}
    at += REST
    assert work.press(START + at, STEADY + at)
    assert not work.offers(50)


def test_a_machine_that_slept_has_rested() -> None:
    work = worked(*[60] * 45)
    # The steady clock stood still meanwhile.
    assert work.press(START + 2700 + 3600, STEADY + 2700 + 1)
    assert work.seconds == 0


@pytest.mark.parametrize("set_by", [-86_400.0, -3_600.0, 200.0])
def test_a_clock_that_is_set_is_no_rest(set_by: float) -> None:
    work = worked(*[60] * 45)
    assert not work.press(START + 2700 + set_by, STEADY + 2700 + 60)
    assert work.seconds == 46 * 60


def test_work_before_the_piece_was_opened_counts() -> None:
    before = [START - 2700 + 60 * minute for minute in range(45)]
    work = WorkSinceRest(before, START, STEADY)
    assert work.seconds == 44 * 60
    assert not work.press(START + 60, STEADY + 60)
    assert work.seconds == 45 * 60
    rested = WorkSinceRest([at - REST for at in before], START, STEADY)
    assert rested.press(START, STEADY)
    assert rested.seconds == 0


def test_work_on_another_piece_is_work_too(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one = begun(kept, written_to(tmp_path, CHEVRON), done=4).held
    other = begun(kept, written_to(tmp_path, FOUR_KNOTS, "four.yaml"), done=3).held
    found = times_of_work(kept.pieces, one, time.time() + 1)
    assert len(found) == 7
    assert found == sorted(found)
    assert times_of_work(kept.pieces, other, found[0] - 1) == [], "later than asked about"
    assert times_of_work(kept.pieces, other, found[-1]) == found
    assert times_of_work(kept.pieces, one, time.time() + 6 * 3600) == [], "hours ago"
    for _ in range(MOST_PIECES):
        begun(kept, written_to(tmp_path, CHEVRON), done=1)
    looked_at = times_of_work(kept.pieces, one, time.time() + 1)
    assert len(looked_at) == MOST_PIECES, "those that were worked on last"
    assert looked_at[0] >= found[-1]

    def unreadable(*_: object) -> None:
        raise StoreError("damaged")

    monkeypatch.setattr(type(kept.pieces), "touched_since", unreadable)
    assert times_of_work(kept.pieces, one, time.time() + 1) == pytest.approx([press.at for press in one.presses])
