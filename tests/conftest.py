"""How the tests are spread over workers, and what many begin with: a home to keep things in, a design to follow."""

import gc
import importlib
import os
import shutil
import signal
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from benchmate.piece_opening import Kept
from tests.running import CHART, ROOT

if TYPE_CHECKING:
    from tests.stand_in_microphone import StandIn

WORKERS_PER_CORE = 2
"""Many tests wait most of their time: for a voice to end, for a program to start, for a guard to be content."""
MOST_WORKERS = 8
"""Each loads all the libraries; and where only a part of the machine is ours, all its cores are counted."""

LONGEST = (
    "test_every_figure_is_measured_and_in_the_table",
    "test_types_and_style",
    "test_an_erring_maker_is_led_on_through_kills",
    "test_killed_and_stopped_at_random_moments",
    "test_nothing_is_lost_or_told_wrongly",
    "test_kills_during_the_search",
    "test_the_installed_program_runs_on_its_own",
    "test_kills_in_plain_mode",
    "test_kills_on_the_full_screen",
    "test_the_program_ends_with_its_terminal",
    "test_every_press_counts_during_the_search",
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
    if "PYTEST_XDIST_WORKER" in os.environ:
        # Else every worker, and every program that a test starts, compiles all it loads for itself.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        sys.dont_write_bytecode = False


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """Each worker first loads its own share of the test modules, so that each is compiled once and not by every worker.

    Preparing all the assertions of the tests takes longer than anything else before the first test.
    """
    worker: dict[str, Any] | None = getattr(session.config, "workerinput", None)
    if worker is None:
        return
    # What is made until the first test stays to the end: it is not searched for garbage again and again.
    gc.disable()
    number, workers = int(worker["workerid"].removeprefix("gw")), worker["workercount"]
    files = sorted(file for each in session.config.args for file in Path(each).resolve().rglob("test_*.py"))
    for file in files[number::workers]:
        # What is wrong with a module is reported when it is collected.
        with suppress(Exception):
            importlib.import_module(".".join(file.relative_to(ROOT).with_suffix("").parts))


def pytest_collection_finish() -> None:
    """Begins to look for garbage, in what the tests make."""
    gc.freeze()
    gc.enable()


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


@pytest.fixture
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> "StandIn":
    """Stands in for the microphone: only for tests that listen, which need its numbers."""
    from tests.stand_in_microphone import StandIn

    return StandIn(tmp_path, monkeypatch)
