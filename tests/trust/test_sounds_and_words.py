"""A small piece of each family in real time: a real engine speaks it, after the sounds, and leaves nothing behind."""

import threading
from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from pathlib import Path

import pytest

from benchmate.craft.wording.prompts import Happened
from benchmate.piece_opening import Kept
from benchmate.piece_voice import PieceVoice
from benchmate.settings import DEFAULTS, Settings
from benchmate.speech.sounds import Sound, Sounds, samples
from benchmate.speech.speaker import Speaker
from tests.player import checksum
from tests.reference_voice import Asked, rendered
from tests.screen.benches import begun, written_to
from tests.speaking import FAST, Reports, Room, enter, until

DONE, ROW_END, STRING_CHANGE = Sound.DONE, Sound.ROW_END, Sound.STRING_CHANGE
BAND = """\
benchmate: 1
title: Two knots
family: diagonal
colours: {ink: "#14213d", sand: "#e5d3b3"}
strings: [ink, sand, sand]
rows: [f, f]
"""
PICTURE = """\
benchmate: 1
title: One corner
family: alpha
colours: {ink: "#14213d", sand: "#e5d3b3"}
base: ink
key: {".": ink, "#": sand}
chart: |
  .#
  ..
"""
BRAID = """\
benchmate: 1
title: Four strands
family: braid
colours: {ink: "#14213d", sand: "#e5d3b3"}
slots: 8
strands: {1: ink, 3: sand, 5: ink, 7: sand}
moves: [1 > 2, 3 > 4]
repeats: 1
"""
WRITTEN = """\
benchmate: 1
title: A pin
family: steps
colours: {ink: "#14213d"}
steps: [{do: Fold it}, {do: Twist it}]
"""
FAMILIES = {
    "diagonal": (BAND, [(), (ROW_END,), (ROW_END,)]),
    "alpha": (PICTURE, [(), (STRING_CHANGE,), (ROW_END, STRING_CHANGE), (DONE,), (ROW_END,)]),
    "braid": (BRAID, [(), (DONE,), (ROW_END,)]),
    "steps": (WRITTEN, [(), (DONE,), (DONE,)]),
}
"""A small design of each family, and the sounds before each of its prompts."""
SETTINGS = DEFAULTS._replace(sounds="on", rate=450, level="sparse")


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Room]:
    """A room in which no process, file or thread may be left at the end."""
    before = threading.active_count()
    room = Room(tmp_path / "room")
    enter(room, monkeypatch)
    yield room
    room.wait_until_nothing_is_left()
    until(lambda: threading.active_count() == before, "end of the threads")


def worked(kept: Kept, file: Path, settings: Settings, room: Room) -> None:
    """Ties a whole piece, and hears each prompt to its end; undoes the last step, and is refused another."""
    held, reports = begun(kept, file).held, Reports()
    voice = PieceVoice(settings, reports.append)
    voice.switch(on=settings.voice == "on")
    calls = 0

    def heard() -> None:
        nonlocal calls
        calls += 1
        until(lambda: not voice.speaking and len(room.heard()) == calls, "end of a prompt")
        assert (since := voice.quiet_since()) is not None
        assert since >= room.heard()[-1].began

    if voice.on:
        voice.say_step(held, Happened.RESUMED)
        heard()
    while held.progress.next is not None:
        step = held.progress.next
        held.finish_step()
        voice.say_step(held, Happened.TIED, [step])
        heard()
    if not voice.on:
        held.back()
        voice.say_step(held, Happened.UNDONE, [step])
        heard()
        voice.refused(held, "")
        heard()
    voice.close()
    assert reports == []


@pytest.mark.parametrize("family", FAMILIES)
def test_a_whole_piece_is_spoken_after_its_sounds(kept: Kept, tmp_path: Path, room: Room, family: str) -> None:
    text, sounds = FAMILIES[family]
    worked(kept, written_to(tmp_path, text), SETTINGS._replace(voice="on"), room)
    played, words = room.heard(), room.handed()
    leads = [len(samples(Sounds(each, 0.5), 1.0)) // 2 for each in sounds]
    said = [each.samples for each in rendered(*(Asked(each, 450) for each in words))]
    assert [each.samples for each in played] == [lead + word for lead, word in zip(leads, said, strict=True)]
    assert all(one.end is not None and one.end <= other.began for one, other in pairwise(played))


def test_sounds_alone(kept: Kept, tmp_path: Path, room: Room) -> None:
    text, sounds = FAMILIES["alpha"]
    worked(kept, written_to(tmp_path, text), SETTINGS._replace(volume=60, sounds_volume=80), room)
    expected = [*sounds[1:], (Sound.UNDONE,), (Sound.WRONG_WAY,)]
    assert [each.checksum for each in room.heard()] == [checksum(samples(Sounds(each, 0.8), 0.6)) for each in expected]
    assert room.handed() == []


def test_fast_hands_never_hear_two_sounds_at_once(room: Room) -> None:
    reports = Reports()
    speaker = Speaker(reports.append)
    both = Sounds((ROW_END, STRING_CHANGE), 0.5)
    playing: list[int] = []

    def heard(number: int) -> bool:
        # A player that was killed may still be waited for.
        playing.append(sum(each.kind == "player" and each.state not in "ZX" for each in room.processes()))
        return len(room.heard()) == number

    for number in range(1, 7):
        speaker.say("", FAST, both)
        until(partial(heard, number), "sound")
    speaker.close()
    assert max(playing) == 1
    assert reports == []
