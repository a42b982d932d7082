"""How long a design takes: sittings with breaks, days until it is to be ready, and the maker's own pace."""

import json
from datetime import UTC, date, datetime, timedelta
from itertools import count
from math import ceil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.history.sittings import (
    BREAK,
    LONGEST_DAY,
    MOST_AT_A_STRETCH,
    Duration,
    breaks_in,
    minutes_a_day,
    sittings,
    work_in,
)
from benchmate.piece_opening import Kept
from benchmate.settings import DEFAULTS, write_settings
from tests.charts import seeded
from tests.loaded import run
from tests.running import CHART, WRITTEN
from tests.screen.benches import begun, written_to


@pytest.mark.parametrize(
    ("minutes", "breaks", "work"), [(5, 0, 5), (40, 0, 40), (60, 0, 60), (61, 1, 51), (90, 1, 80), (130, 1, 120)]
)
def test_a_sitting_of_over_an_hour_has_breaks(minutes: int, breaks: int, work: int) -> None:
    assert (breaks_in(minutes), work_in(minutes)) == (breaks, work)


@seeded
@given(minutes=st.integers(5, LONGEST_DAY))
def test_no_stretch_of_work_is_over_an_hour_and_no_break_too_many(minutes: int) -> None:
    breaks = breaks_in(minutes)
    assert work_in(minutes) / (breaks + 1) <= MOST_AT_A_STRETCH
    if breaks:
        assert (minutes - BREAK * (breaks - 1)) / breaks > MOST_AT_A_STRETCH


@seeded
@given(work=st.integers(1, 20_000), minutes=st.integers(5, LONGEST_DAY))
def test_so_many_sittings_are_enough_and_one_fewer_is_not(work: int, minutes: int) -> None:
    found = sittings(Duration(work, work, work), minutes)
    assert found.fewest == found.most
    assert (found.fewest - 1) * work_in(minutes) < work <= found.fewest * work_in(minutes)


@seeded
@given(work=st.integers(1, 20_000), days=st.integers(1, 400))
def test_a_sitting_a_day_does_it_and_a_minute_less_does_not(work: int, days: int) -> None:
    minutes = minutes_a_day(work, days)
    if minutes is None:
        assert work_in(LONGEST_DAY) * days < work
        return
    assert work_in(minutes) * days >= work
    # The minute less is one of work, not one in which a break would begin.
    assert (ceil(work / days) - 1) * days < work
    assert work_in(minutes) == ceil(work / days)


@pytest.mark.parametrize(
    ("quick", "slow", "minutes", "words", "short"),
    [
        (150, 150, 40, "4 evenings of 40 minutes", "4 of 40 min"),
        (150, 230, 40, "4 to 6 evenings of 40 minutes", "4 to 6 of 40 min"),
        (20, 30, 40, "1 evening of 40 minutes is enough", "1 of 40 min"),
        (70, 70, 90, "1 evening of 90 minutes, with 1 break of 10 minutes", "1 of 90 min"),
        (160, 160, 90, "2 evenings of 90 minutes, each with 1 break of 10 minutes", "2 of 90 min"),
    ],
)
def test_sittings_in_words(quick: float, slow: float, minutes: int, words: str, short: str) -> None:
    found = sittings(Duration((quick + slow) / 2, quick, slow), minutes)
    assert (found.words, found.short) == (words, short)


# time


@pytest.fixture
def ten_seconds_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every press is ten seconds after the one before."""
    seconds = count(1)

    def moment() -> str:
        at = datetime(2026, 11, 1, 18, tzinfo=UTC) + timedelta(seconds=10 * next(seconds))
        return at.strftime("%Y-%m-%dT%H:%M:%S.000Z")

    monkeypatch.setattr("benchmate.store.pieces.utc_now", moment)
    monkeypatch.setattr("benchmate.store.saved_piece.utc_now", moment)


@pytest.fixture
def band(tmp_path: Path) -> Path:
    """240 knots."""
    return written_to(tmp_path, CHART.replace("repeats: 4", "repeats: 80"))


def test_without_a_pace_of_ones_own_it_says_which_it_takes(band: Path, home: Path) -> None:
    done = run("time", band, "--minutes", "10", home=home)
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines() == [
        "Rain on slate: about 24 min at the usual 6 seconds a knot",
        "3 evenings of 10 minutes.",
        "Your own pace is known after ten such knots.",
    ]
    assert not home.exists()
    found = json.loads(run("time", band, "--repeats", "40", "--minutes", "10", "--json", home=home).out)
    assert (found["own_pace"], found["minutes"], found["sittings"], found["steps"]) == (False, 12.0, 2, 120)


def test_the_sitting_is_that_of_the_settings(band: Path, home: Path) -> None:
    home.mkdir()
    write_settings(home / "settings.yaml", DEFAULTS._replace(sitting=8))
    assert "3 evenings of 8 minutes." in run("time", band, home=home).out


def test_ready_before_a_day(band: Path, home: Path) -> None:
    today = date.today()
    in_three = (today + timedelta(days=3)).isoformat()
    found = json.loads(run("time", band, "--ready", in_three, "--json", home=home).out)
    # The day may change between the two.
    assert (found["ready"], found["minutes_a_day"]) in ((in_three, ceil(24 / 3)), (in_three, ceil(24 / 2)))
    assert "8 minutes a day." in run("time", band, "--ready", in_three, home=home).out or date.today() != today
    large = written_to(band.parent, CHART.replace("repeats: 4", "repeats: 60000"), "large.yaml")
    tomorrow = (date.today() + timedelta(days=1)).isoformat()
    assert "not possible, even at 10 hours a day." in run("time", large, "--ready", tomorrow, home=home).out


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--ready", "2020-01-01"), "must be a day after today"),
        (("--ready", "2031-02-30"), "must be a day such as"),
        (("--ready", "20310203"), "must be a day such as"),
        (("--minutes", "4"), "--minutes must be from 5 to 600 (found 4)"),
        (("--repeats", "100000"), "--repeats: 100000 repeats make"),
    ],
)
def test_a_faulty_command_line(band: Path, home: Path, options: tuple[str, ...], message: str) -> None:
    done = run("time", band, *options, home=home)
    assert (done.status, done.out) == (2, "")
    assert message in done.err


def test_written_steps_have_no_usual_pace(tmp_path: Path, home: Path) -> None:
    done = run("time", written_to(tmp_path, WRITTEN), home=home)
    assert (done.status, done.out) == (1, "")
    assert "known after ten such steps" in done.err


@pytest.mark.usefixtures("ten_seconds_apart")
def test_start_and_finish_come_on_top_until_such_steps_were_timed(kept: Kept, tmp_path: Path, band: Path) -> None:
    written_to(tmp_path, WRITTEN, "pin.yaml")
    band.write_text(band.read_text(encoding="utf-8") + "start: pin\n", encoding="utf-8")
    said = run("time", band, home=kept.home.folder).out
    assert "Start and finish (3 steps) are extra; no times for them yet." in said
    assert not json.loads(run("time", band, "--json", home=kept.home.folder).out)["start_and_finish"]
    loop = written_to(tmp_path, WRITTEN.replace("times: 2", "times: 11"), "loop.yaml")
    begun(kept, loop, done=12).held.let_go()
    found = json.loads(run("time", band, "--json", home=kept.home.folder).out)
    # Ten seconds a step: three of them are half a minute.
    assert (found["start_and_finish"], found["steps"], found["minutes"]) == (True, 243, 24.5)
    assert ", and under a minute for start and finish" in run("time", band, home=kept.home.folder).out


@pytest.mark.usefixtures("ten_seconds_apart")
def test_at_the_makers_own_pace(kept: Kept, band: Path) -> None:
    begun(kept, band, done=30).held.let_go()
    found = json.loads(run("time", band, "--json", home=kept.home.folder).out)
    # 240 knots of ten seconds.
    assert (found["own_pace"], found["minutes"], found["slow_minutes"], found["sittings"]) == (True, 40.0, 40.0, 1)
    assert run("time", band, "--minutes", "15", home=kept.home.folder).out.splitlines() == [
        "Rain on slate: about 40 min at your pace",
        "3 evenings of 15 minutes.",
    ]
