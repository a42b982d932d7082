"""How the tests are spread over workers, and what many begin with: a home to keep things in, a design to follow."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.piece_opening import Kept
from tests.running import CHART

WORKERS_PER_CORE = 2
"""Many tests wait most of their time: for a voice to end, for a program to start, for a guard to be content."""

LONGEST = (
    "test_killed_and_stopped_at_random_moments",
    "test_killed_meanwhile",
    "test_every_figure_is_taken_and_told",
    "test_killed_on_the_full_screen",
    "test_killed_while_it_follows_line_by_line",
    "test_every_press_counts_meanwhile",
    "test_types_and_style",
    "test_the_words_heard_are_the_words_meant",
    "test_a_stopped_bench_counts_no_beat",
    "test_prompts_of_a_run_get_shorter",
    "test_without_its_terminal_it_ends",
)
"""Tests of many seconds each, longest first. Begun last, one would keep the other workers waiting for its end."""


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Several workers for whole folders; none for a file or a test that is named, which then runs in this process."""
    if not all(Path(each).is_dir() for each in config.args):
        return 0
    return WORKERS_PER_CORE * len(os.sched_getaffinity(0))


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
