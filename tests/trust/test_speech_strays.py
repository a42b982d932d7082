"""Players that leave their process group, and a voice that hangs while prompts keep coming."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.speech import manager
from benchmate.speech.manager import HANGS
from benchmate.speech.speaker import Speaker
from tests.player import Played
from tests.reference_voice import Asked, rendered
from tests.running import ROOT
from tests.speaking import FAST, PROMPTS, Reports, Room, enter, heard, say, until
from tests.trust.test_speech_kills import Talker

NO_LOOP = """
import time
from pyttsx3.engine import Engine
Engine.startLoop = lambda *given: time.sleep(3600)
"""
"""An engine that never speaks."""


def running(pid: int) -> bool:
    """True until a process has ended; one that nobody waits for stays in the system's table."""
    try:
        return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0] not in "ZX"
    except FileNotFoundError:
        return False


def escaped(room: Room) -> int:
    """The process that plays outside of the helper's group, once it is there."""
    until(room.heard, "sound")
    played = room.heard()[-1]
    assert running(played.pid)
    assert os.getsid(played.pid) != os.getsid(played.helper)
    return played.pid


def cut_off_by_the_next(speaker: Speaker) -> None:
    """Another prompt."""
    speaker.say("deep", FAST)


ENDS: dict[str, Callable[[Speaker], None]] = {
    "next prompt": cut_off_by_the_next,
    "hush": Speaker.hush,
    "off": Speaker.off,
    "close": Speaker.close,
}


@pytest.mark.parametrize("kind", ["escapes", "hides"])
@pytest.mark.parametrize("end", ENDS)
def test_a_player_in_a_session_of_its_own_is_ended(room: Room, speaker: Speaker, kind: str, end: str) -> None:
    room.player.become(kind)
    speaker.say(PROMPTS[0], FAST)
    stray = escaped(room)
    room.player.become("plays")
    ENDS[end](speaker)
    until(lambda: not running(stray), "end of the stray player")
    speaker.close()
    room.wait_until_nothing_is_left()


@pytest.mark.parametrize("kind", ["escapes", "hides"])
def test_a_player_in_a_session_of_its_own_ends_with_a_program_that_is_killed(
    room: Room, tmp_path: Path, kind: str
) -> None:
    room.player.become(kind)
    talker = Talker(room, tmp_path)
    talker.say(PROMPTS[0])
    stray = escaped(room)
    talker.process.kill()
    talker.end()
    until(lambda: not running(stray), "end of the stray player")
    room.wait_until_nothing_is_left()


def test_a_helper_that_somebody_kills_leaves_no_player(room: Room, speaker: Speaker) -> None:
    room.player.become("escapes")
    speaker.say(PROMPTS[0], FAST)
    stray = escaped(room)
    room.player.become("plays")
    os.kill(room.heard()[-1].helper, signal.SIGKILL)
    until(lambda: not running(stray), "end of the stray player")


def test_what_a_killed_program_and_its_killed_helper_left_ends_when_somebody_speaks_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reports: Reports
) -> None:
    room = Room(tmp_path)
    enter(room, monkeypatch)
    room.player.become("escapes")
    talker = Talker(room, tmp_path)
    talker.say(PROMPTS[0])
    stray = escaped(room)
    room.player.become("plays")
    helpers = [process.pid for process in room.processes() if process.kind == "helper"]
    # Stopped, it cannot clean up after its helpers; they end first, as its death would wake them to clean up.
    room.signal([talker.process.pid, *helpers], signal.SIGSTOP)
    room.signal([*helpers, talker.process.pid], signal.SIGKILL)
    talker.end()
    assert running(stray)
    speaker = Speaker(reports.append)
    say(speaker, "deep")
    assert not running(stray)
    speaker.close()
    assert reports == []
    room.wait_until_nothing_is_left()


LEADER = """
import os, subprocess
from benchmate.speech.strays import kill_outside_group
beside = subprocess.Popen(["sleep", "60"])
kill_outside_group(os.getpid())
try:
    beside.wait(0.2)
except subprocess.TimeoutExpired:
    print("both are left")
beside.kill()
"""
"""The leader of a process group, with another process in it."""


def test_processes_of_the_group_and_above_are_left_alone() -> None:
    # In a process of its own: below this one are programs of other tests, in a group that this one does not lead.
    done = subprocess.run(
        [sys.executable, "-c", LEADER], check=True, capture_output=True, text=True, cwd=ROOT, process_group=0
    )
    assert done.stdout == "both are left\n"
    assert running(os.getpid())


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is late by tenths of a second counts, not only what is late by seconds."""
    for name, seconds in (("LATE", 0.1), ("VERY_LATE", 0.2), ("MOST_LATE", 0.6)):
        monkeypatch.setattr(manager, name, seconds)


def begin(room: Room, speaker: Speaker) -> Played:
    """Begins a prompt, which cuts off the one before, and waits for its sound."""
    before = len(room.heard())
    speaker.say("deep", FAST)
    until(lambda: len(room.heard()) > before, "sound")
    return room.heard()[-1]


@pytest.mark.usefixtures("impatient")
def test_a_player_that_hangs_is_reported_while_prompts_keep_coming(
    room: Room, speaker: Speaker, reports: Reports
) -> None:
    room.player.become("stuck")
    for _ in range(3):
        assert reports == []
        time.sleep(begin(room, speaker).seconds + 0.3)
    speaker.say("deep", FAST)
    until(lambda: reports, "report")
    assert reports == [HANGS]
    until(lambda: not speaker.speaking, "silence")
    assert speaker.failed
    room.player.become("plays")
    speaker.on()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450))
    assert reports == [HANGS]


@pytest.mark.usefixtures("impatient")
def test_an_engine_that_hangs_is_reported_while_prompts_keep_coming(
    room: Room, speaker: Speaker, reports: Reports
) -> None:
    room.customise(NO_LOOP)
    deadline = time.monotonic() + 30
    while not reports:
        assert time.monotonic() < deadline
        speaker.say("deep", FAST)
        time.sleep(0.4)
    assert reports == [HANGS]
    room.customise("")


@pytest.mark.usefixtures("impatient")
def test_a_prompt_cut_off_early_says_nothing_about_the_player_and_one_that_ends_clears_it(
    room: Room, speaker: Speaker, reports: Reports
) -> None:
    for _ in range(2):
        room.player.become("stuck")
        for late in (True, True, False):
            sound = begin(room, speaker)
            # Two that are late are not enough, and half of a prompt is too early to tell.
            time.sleep(sound.seconds + 0.15 if late else sound.seconds / 2)
        room.player.become("plays")
        say(speaker, "deep")
    assert reports == []
