"""Folders, on the disk where it matters, a room to speak in, and somebody who speaks there."""

import os
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from benchmate.speech.speaker import Speaker
from tests.speaking import Reports, Room, enter

ON_DISK = {
    *("test_kills", "test_kills_left_over", "test_search_beside", "test_copies", "test_storage_faults"),
    *("test_two_windows", "test_reading_only", "test_no_hard_links"),
}
"""Where programs are killed in the middle of what they write, or the disk itself matters."""


@pytest.fixture
def tmp_path(request: pytest.FixtureRequest) -> Iterator[Path]:
    """A folder: on the disk, not in memory, for the modules that need one."""
    needs_disk = request.module.__name__.rpartition(".")[2] in ON_DISK
    place = None if needs_disk else os.environ.get("PYTEST_DEBUG_TEMPROOT")
    with TemporaryDirectory(prefix="benchmate-tests-", dir=place, ignore_cleanup_errors=True) as folder:
        yield Path(folder).resolve()


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Room]:
    """A room this process speaks in. In the end, no process and no file may be left in it."""
    room = Room(tmp_path)
    enter(room, monkeypatch)
    yield room
    room.wait_until_nothing_is_left()


@pytest.fixture
def reports() -> Reports:
    """The speaker's reports."""
    return Reports()


@pytest.fixture
def speaker(room: Room, reports: Reports) -> Iterator[Speaker]:
    """A speaker in the room."""
    speaker = Speaker(reports.append)
    yield speaker
    speaker.close()
