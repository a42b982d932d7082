"""How the tests are spread over workers, and what many begin with: a home to keep things in, a design to follow."""

import os
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.piece_opening import Kept
from tests.running import CHART

WORKERS_PER_CORE = 2
"""Many tests wait most of their time: for a voice to end, for a program to start, for a guard to be content."""
MOST_WORKERS = 8
"""Each loads all the libraries; and where only a part of the machine is ours, all its cores are counted."""

LONGEST = (
    "test_every_figure_is_measured_and_in_the_table",
    "test_killed_and_stopped_at_random_moments",
    "test_nothing_is_lost_or_told_wrongly",
    "test_kills_during_the_search",
    "test_the_installed_program_runs_on_its_own",
    "test_kills_in_plain_mode",
    "test_kills_on_the_full_screen",
    "test_the_program_ends_with_its_terminal",
    "test_every_press_counts_during_the_search",
    "test_types_and_style",
    "test_kills_at_the_very_first_start",
    "test_a_stopped_bench_counts_no_beat",
)
"""Tests of many seconds each, longest first. Begun last, one would keep the other workers waiting for its end."""


MEMORY = Path("/dev/shm")
ENOUGH = 1 << 30
"""Bytes free in memory from which on the tests keep their files there."""


def pytest_configure() -> None:
    """Makes the tests depend less on how they are run, and on the disk.

    Temporary folders are made in memory where it has room, so that thousands of tests do not wait for a disk; the kills
    of tests/trust have theirs on it.
    """
    for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGHUP):
        if signal.getsignal(number) is signal.SIG_IGN:
            # A shell has what it runs in the background ignore these, and every program started there in turn. What
            # has a handler, if only one that does nothing, is not handed on.
            signal.signal(number, lambda *_: None)
    if os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free >= ENOUGH:
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Several workers for whole folders; none for a file or a test that is named, which then runs in this process."""
    if not all(Path(each).is_dir() for each in config.args):
        return 0
    return min(MOST_WORKERS, WORKERS_PER_CORE * len(os.sched_getaffinity(0)))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Puts the longest tests first; all others stay as they come."""
    place = {name: at for at, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.name.split("[")[0], len(LONGEST)))


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder everything is kept in; it is not there yet."""
    folder = tmp_path / "home"
    monkeypatch.setenv("BENCHMATE_HOME", str(folder))
    return folder


@pytest.fixture
def band(tmp_path: Path) -> Path:
    """The file of a diagonal design with 12 knots."""
    file = tmp_path / "rain.yaml"
    file.write_text(CHART, encoding="utf-8")
    return file


@pytest.fixture
def kept(home: Path) -> Iterator[Kept]:
    """All that is kept in the home, open in this process."""
    kept = Kept()
    yield kept
    kept.close()
