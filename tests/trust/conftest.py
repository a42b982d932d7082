"""A room to speak in, and a speaker in it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.speech.speaker import Speaker
from tests.speaking import Reports, Room, enter


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
