"""The voice where something is missing or fails: it is told once, in words, and nothing else comes of it."""

import os
import shutil
import signal
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.speech.manager import MISHAPS
from benchmate.speech.speaker import Speaker
from tests.reference_voice import Asked, rendered
from tests.speaking import FAST, PROMPTS, Reports, Room, enter, heard, say, until

NO_LIBRARY = """
import ctypes, sys
sys.modules["espeakng_loader"] = None
class Without(ctypes.CDLL):
    def __init__(self, name, *more, **others):
        if name is not None and "espeak" in name:
            raise OSError(f"{name}: cannot open shared object file: No such file or directory")
        super().__init__(name, *more, **others)
ctypes.CDLL = ctypes.cdll._dlltype = Without
"""
NO_SPACE = """
import builtins, errno
real = builtins.open
def full(file, *more, **others):
    if str(file).endswith("voice.wav"):
        raise OSError(errno.ENOSPC, "No space left on device")
    return real(file, *more, **others)
builtins.open = full
"""
SMALL_FILES = "import resource\nresource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
DYING = """
import os, sys
if "speech.helper" in " ".join(sys.orig_argv):
    with open({count!r}, "r+") as file:
        left = int(file.read())
        file.seek(0)
        file.write(str(max(0, left - 1)))
    if left:
        os._exit(1)
"""
"""Ends as many helpers as the file says, one after the other, as they start."""
NO_BINDING = 'import sys\nsys.modules["pyttsx3"] = None\n'


@pytest.mark.parametrize(
    ("program", "kind", "says"),
    [
        (NO_LIBRARY, "plays", "pip install espeakng-loader"),
        (NO_BINDING, "plays", "pyttsx3 is missing"),
        ("", None, "alsa-utils"),
        ("", "no card", "audio open error: No such file or directory. Is there a sound card?"),
        ("", "too fast", "nothing was heard. Is there a sound card?"),
        ("", "dies", "signal 9"),
    ],
    ids=["no engine", "no binding", "no player", "no card", "nothing behind the player", "a player that dies"],
)
def test_what_is_not_there_is_reported_once_in_words(
    room: Room,
    speaker: Speaker,
    reports: Reports,
    monkeypatch: pytest.MonkeyPatch,
    program: str,
    kind: str | None,
    says: str,
) -> None:
    room.customise(program)
    if kind is None:
        monkeypatch.setenv("PATH", str(room.place))
    else:
        room.player.become(kind)
    for _ in range(6):
        say(speaker, PROMPTS[0])
    assert [says in report for report in reports] == [True], reports
    assert reports[0].isprintable()
    assert speaker.failed
    until(lambda: not room.processes(), "end of what is of no use")
    before = len(room.heard())
    say(speaker, "deep")
    assert len(room.heard()) == before
    # Once it is there, switching the voice on is enough.
    room.customise("")
    room.player.become("plays")
    monkeypatch.setenv("PATH", room.env["PATH"])
    speaker.on()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450))
    assert len(reports) == 1


def test_an_engine_that_ends_its_process_is_reported_with_its_last_words(
    room: Room, speaker: Speaker, reports: Reports, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "phontab").write_bytes(b"\x00")
    # The one is for the engine that came as a package, the other for one of the system's.
    room.customise(f"import espeakng_loader\nespeakng_loader.get_data_path = lambda: {str(broken)!r}\n")
    monkeypatch.setenv("ESPEAK_DATA_PATH", str(broken))
    say(speaker, "deep")
    assert len(reports) == 1
    assert "4 times in a row: Error" in reports[0]
    assert speaker.failed


@pytest.fixture
def deaths(room: Room, tmp_path: Path) -> Callable[[int], None]:
    """Called with a number it lets so many helpers die as they start, the next ones that do."""
    count = tmp_path / "deaths"
    count.write_text("0")
    room.customise(DYING.format(count=str(count)))

    def let_die(number: int) -> None:
        count.write_text(str(number))

    return let_die


def spares(room: Room) -> list[int]:
    """The helper that is ready for the next prompt, if there is one and no other."""
    ready = [int(path.parent.name.removeprefix("helper-")) for path in room.place.glob("*/*/espeak-ng-data")]
    return ready if ready == [process.pid for process in room.processes() if process.kind == "helper"] else []


def test_only_failures_in_a_row_count(
    room: Room, speaker: Speaker, reports: Reports, deaths: Callable[[int], None]
) -> None:
    deaths(MISHAPS - 1)
    say(speaker, "deep")
    for _ in range(2):
        until(lambda: spares(room), "spare")
        deaths(MISHAPS - 2)
        room.signal(spares(room), signal.SIGKILL)
        say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 3
    assert reports == []
    assert not speaker.failed


def test_switched_on_again_it_counts_anew(
    room: Room, speaker: Speaker, reports: Reports, deaths: Callable[[int], None]
) -> None:
    deaths(MISHAPS)
    say(speaker, "deep")
    assert speaker.failed
    deaths(MISHAPS - 1)
    speaker.on()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450))
    assert len(reports) == 1


def test_no_thread_for_the_voice_is_reported(
    room: Room, speaker: Speaker, reports: Reports, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    with monkeypatch.context() as context:
        context.setattr(threading.Thread, "start", full)
        speaker.say("deep", FAST)
        speaker.say("deep", FAST)
    assert reports == ["The voice does not work: can't start new thread."]
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450))


def test_a_tick_needs_no_engine(room: Room, speaker: Speaker, reports: Reports) -> None:
    room.customise(NO_LIBRARY)
    speaker.tick()
    until(lambda: not speaker.speaking, "end of the tick")
    assert len(heard(room)) == 1
    assert reports == []


@pytest.mark.parametrize("said", ["print('hello')", "print(1)", "print('{}')", "print('hello', end=' ', flush=True)"])
def test_what_python_prints_as_it_starts_is_no_event(room: Room, speaker: Speaker, reports: Reports, said: str) -> None:
    room.customise(said)
    say(speaker, "deep")
    room.customise("")
    assert heard(room) == rendered(Asked("deep", 450))
    assert reports == []


@pytest.mark.parametrize(
    ("program", "says"),
    [(SMALL_FILES, "File too large"), (NO_SPACE, "No space left on device")],
    ids=["small files", "no space"],
)
def test_no_room_for_the_sound_is_reported(
    room: Room, speaker: Speaker, reports: Reports, program: str, says: str
) -> None:
    room.customise(program)
    say(speaker, PROMPTS[0])
    assert len(reports) == 1
    assert speaker.failed
    assert says in reports[0]


def test_a_long_way_to_the_engine_and_to_temporary_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reports: Reports
) -> None:
    import espeakng_loader

    room = Room(tmp_path, "/".join(["temporary files that are deep down"] * 8))
    enter(room, monkeypatch)
    data = room.place.parent / ("a long name " * 15).strip() / "data"
    data.parent.mkdir()
    data.symlink_to(espeakng_loader.get_data_path())
    room.customise(f"import espeakng_loader\nespeakng_loader.get_data_path = lambda: {str(data)!r}\n")
    speaker = Speaker(reports.append)
    say(speaker, "deep")
    speaker.close()
    assert len(str(data)) > 400
    room.customise("")
    assert heard(room) == rendered(Asked("deep", 450))
    assert reports == []
    room.wait_until_nothing_is_left()


def test_names_of_folders_that_the_terminal_cannot_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reports: Reports
) -> None:
    room = Room(tmp_path, "ночь")
    enter(room, monkeypatch)
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    speaker = Speaker(reports.append)
    say(speaker, "deep")
    speaker.close()
    assert heard(room) == rendered(Asked("deep", 450))
    assert reports == []
    room.wait_until_nothing_is_left()


@pytest.mark.parametrize("which", ["*", "*/*"])
def test_temporary_files_taken_away_from_a_spare(room: Room, speaker: Speaker, reports: Reports, which: str) -> None:
    say(speaker, "deep")
    until(lambda: list(room.place.glob("*/*/espeak-ng-data")), "spare")
    for folder in room.place.glob(which):
        # The helper that has spoken takes its own away at the same time.
        shutil.rmtree(folder, ignore_errors=True)
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []


def test_a_system_that_signals_no_group_of_the_dead(
    room: Room, speaker: Speaker, reports: Reports, monkeypatch: pytest.MonkeyPatch
) -> None:
    killpg = os.killpg

    def refuses_for_the_dead(group: int, number: int) -> None:
        # What follows the name in brackets is the state.
        if Path(f"/proc/{group}/stat").read_text().rpartition(")")[2].split()[0] == "Z":
            raise PermissionError(1, "Operation not permitted")
        killpg(group, number)

    monkeypatch.setattr(os, "killpg", refuses_for_the_dead)
    for _ in range(2):
        say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []


def test_temporary_files_taken_away_meanwhile(room: Room, speaker: Speaker, reports: Reports) -> None:
    say(speaker, "deep")
    speaker.off()
    until(lambda: not any(room.place.glob("*/*")), "end")
    for folder in room.place.iterdir():
        folder.rmdir()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []
