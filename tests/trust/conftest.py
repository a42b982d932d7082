"""Folders on the disk, a room to speak in, and somebody who speaks there."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from benchmate.speech.speaker import Speaker
from tests.speaking import Reports, Room, enter


@pytest.fixture
def tmp_path() -> Iterator[Path]:
    """A folder on the disk, not in memory: programs are killed here in the middle of what they write."""
    with TemporaryDirectory(prefix="benchmate-tests-", ignore_cleanup_errors=True) as folder:
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
