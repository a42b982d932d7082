"""The voice when something is missing or fails: one message, and no other harm."""

import os
import shutil
import signal
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.speech.manager import MOST_CRASHES
from benchmate.speech.sounds import Sound, Sounds
from benchmate.speech.speaker import Speaker
from tests.reference_voice import Asked, rendered
from tests.speaking import FAST, PROMPTS, Reports, Room, enter, heard, say, until

TICK = Sounds((Sound.TICK,), 0.5)
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
"""Kills as many helpers as the file says, each as it starts."""
NO_BINDING = 'import sys\nsys.modules["pyttsx3"] = None\n'


@pytest.mark.parametrize(
    ("program", "kind", "message"),
    [
        (NO_LIBRARY, "plays", "benchmate help voice"),
        (NO_BINDING, "plays", "pyttsx3 is missing"),
        ("", None, "alsa-utils"),
        ("", "no card", "audio open error: No such file or directory. Is there a sound card?"),
        ("", "too fast", "nothing was heard. Is there a sound card?"),
        ("", "dies", "signal 9"),
    ],
    ids=["no engine", "no binding", "no player", "no card", "player without a device", "a player that dies"],
)
def test_a_missing_part_is_reported_once(
    room: Room,
    speaker: Speaker,
    reports: Reports,
    monkeypatch: pytest.MonkeyPatch,
    program: str,
    kind: str | None,
    message: str,
) -> None:
    room.customise(program)
    if kind is None:
        monkeypatch.setenv("PATH", str(room.place))
    else:
        room.player.become(kind)
    for _ in range(6):
        say(speaker, PROMPTS[0])
    assert [message in report for report in reports] == [True], reports
    assert reports[0].isprintable()
    assert speaker.failed
    until(lambda: not room.processes(), "end of the useless helpers")
    before = len(room.heard())
    say(speaker, "deep")
    assert len(room.heard()) == before
    # Once the part is there, switching the voice on is enough.
    room.customise("")
    room.player.become("plays")
    monkeypatch.setenv("PATH", room.env["PATH"])
    speaker.on()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450))
    assert len(reports) == 1


def test_an_engine_that_kills_its_process_is_reported_with_its_last_error(
    room: Room, speaker: Speaker, reports: Reports, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "phontab").write_bytes(b"\x00")
    # The first is for the packaged engine, the second for an engine of the system.
    room.customise(f"import espeakng_loader\nespeakng_loader.get_data_path = lambda: {str(broken)!r}\n")
    monkeypatch.setenv("ESPEAK_DATA_PATH", str(broken))
    say(speaker, "deep")
    assert len(reports) == 1
    assert "4 times in a row: Error" in reports[0]
    assert speaker.failed


@pytest.fixture
def deaths(room: Room, tmp_path: Path) -> Callable[[int], None]:
    """A function that makes the next so many helpers die as they start."""
    count = tmp_path / "deaths"
    count.write_text("0")
    room.customise(DYING.format(count=str(count)))

    def let_die(number: int) -> None:
        count.write_text(str(number))

    return let_die


def spares(room: Room) -> list[int]:
    """The helper that is ready for the next prompt, if it is the only helper."""
    ready = [int(path.parent.name.removeprefix("helper-")) for path in room.place.glob("*/*/espeak-ng-data")]
    return ready if ready == [process.pid for process in room.processes() if process.kind == "helper"] else []


def test_only_failures_in_a_row_count(
    room: Room, speaker: Speaker, reports: Reports, deaths: Callable[[int], None]
) -> None:
    deaths(MOST_CRASHES - 1)
    say(speaker, "deep")
    for _ in range(2):
        until(lambda: spares(room), "spare")
        deaths(MOST_CRASHES - 2)
        room.signal(spares(room), signal.SIGKILL)
        say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 3
    assert reports == []
    assert not speaker.failed


def test_switching_on_resets_the_count_of_failures(
    room: Room, speaker: Speaker, reports: Reports, deaths: Callable[[int], None]
) -> None:
    deaths(MOST_CRASHES)
    say(speaker, "deep")
    assert speaker.failed
    deaths(MOST_CRASHES - 1)
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
    speaker.say("", FAST, TICK)
    until(lambda: not speaker.speaking, "end of the tick")
    assert len(heard(room)) == 1
    assert reports == []


def test_sounds_go_on_where_words_fail(room: Room, speaker: Speaker, reports: Reports) -> None:
    room.customise(NO_LIBRARY)
    for number in (1, 2, 3):
        say(speaker, "deep", FAST, TICK)
        assert len(heard(room)) == number
    say(speaker, "deep")
    assert len(heard(room)) == 3
    assert speaker.failed
    assert reports == ["No speech engine found. See `benchmate help voice`."]
    # Without a player nothing can be heard, and one message says both.
    (room.player.folder / "aplay").unlink()
    speaker.on()
    say(speaker, "deep", FAST, TICK)
    assert reports[1:] == [f"{reports[0]} No sound player found. Install `aplay` (Debian: alsa-utils)."]
    room.player.become("plays")
    say(speaker, "deep", FAST, TICK)
    assert len(heard(room)) == 3


@pytest.mark.parametrize("output", ["print('hello')", "print(1)", "print('{}')", "print('hello', end=' ', flush=True)"])
def test_output_of_python_at_its_start_is_not_an_event(
    room: Room, speaker: Speaker, reports: Reports, output: str
) -> None:
    room.customise(output)
    say(speaker, "deep")
    room.customise("")
    assert heard(room) == rendered(Asked("deep", 450))
    assert reports == []


@pytest.mark.parametrize(
    ("program", "message"),
    [(SMALL_FILES, "File too large"), (NO_SPACE, "No space left on device")],
    ids=["small files", "no space"],
)
def test_a_full_disk_for_the_sound_is_reported(
    room: Room, speaker: Speaker, reports: Reports, program: str, message: str
) -> None:
    room.customise(program)
    say(speaker, PROMPTS[0])
    assert len(reports) == 1
    assert speaker.failed
    assert message in reports[0]


def test_a_failure_is_reported_before_the_prompt_counts_as_ended(room: Room) -> None:
    room.customise(NO_LIBRARY)
    spoke: list[tuple[bool, bool]] = []
    speaker = Speaker(lambda _: spoke.append((speaker.speaking, speaker.failed)))
    say(speaker, "deep")
    assert spoke == [(True, True)]
    speaker.close()


def test_long_paths_to_the_engine_and_to_temporary_files(
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


def test_folder_names_that_the_terminal_cannot_show(
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
def test_temporary_files_of_a_spare_that_are_deleted(
    room: Room, speaker: Speaker, reports: Reports, which: str
) -> None:
    say(speaker, "deep")
    until(lambda: list(room.place.glob("*/*/espeak-ng-data")), "spare")
    for folder in room.place.glob(which):
        # The helper that has spoken deletes its own at the same time.
        shutil.rmtree(folder, ignore_errors=True)
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []


def test_a_system_that_cannot_signal_a_group_of_ended_processes(
    room: Room, speaker: Speaker, reports: Reports, monkeypatch: pytest.MonkeyPatch
) -> None:
    killpg = os.killpg

    def refuses_for_ended_processes(group: int, number: int) -> None:
        # The state follows the name in brackets.
        if Path(f"/proc/{group}/stat").read_text().rpartition(")")[2].split()[0] == "Z":
            raise PermissionError(1, "Operation not permitted")
        killpg(group, number)

    monkeypatch.setattr(os, "killpg", refuses_for_ended_processes)
    for _ in range(2):
        say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []


def test_temporary_folder_deleted_while_the_voice_is_off(room: Room, speaker: Speaker, reports: Reports) -> None:
    say(speaker, "deep")
    speaker.off()
    until(lambda: not any(room.place.glob("*/*")), "end")
    for folder in room.place.iterdir():
        folder.rmdir()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []
