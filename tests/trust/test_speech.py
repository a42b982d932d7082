"""The voice with a real engine: what is heard is what was meant, nobody waits for it, and what fails is told once."""

import json
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from benchmate.speech.manager import QUIET, Manner
from benchmate.speech.speaker import Speaker
from benchmate.speech.text import cleaned
from benchmate.speech.voices import Voice, matching
from tests.reference_voice import Asked, Rendered, rendered
from tests.running import PATIENCE, ROOT
from tests.speaking import Room, until

FAST = Manner(rate=450)
PROMPTS = (
    "forward, deep over foam",
    "back",
    "undo forward-backward, off white over deep",
    "row seven is done; take up string four, rust, hanging at the left edge of the band",
    "Stück für Stück: 'ночь' & \"$(x)\"",
)
SHORT_WORDS = "string over under left right deep foam row seven next knot band rust done"
SHORTER = 0.77
"""How long a short word is beside one that counts whole for the rate. Measured on this engine, from memory: rates count
words of about five letters and the space after.
"""


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Room]:
    """A room this process speaks in. Whatever was done there, nothing is left of it in the end."""
    room = Room(tmp_path)
    enter(room, monkeypatch)
    yield room
    room.wait_until_nothing_is_left()


def enter(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in room.env.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(tempfile, "tempdir", str(room.place))


class Reports(list[str]):
    """What was reported, in order."""


@pytest.fixture
def reports() -> Reports:
    return Reports()


@pytest.fixture
def speaker(room: Room, reports: Reports) -> Iterator[Speaker]:
    speaker = Speaker(reports.append)
    yield speaker
    speaker.close()


def say(speaker: Speaker, text: str, manner: Manner = FAST) -> None:
    """Says it to the end."""
    speaker.say(text, manner)
    until(lambda: not speaker.speaking, f"end of {text!r}")


def heard(room: Room) -> list[Rendered]:
    """What was played to its end."""
    return [Rendered(played.samples, played.checksum) for played in room.heard() if played.end is not None]


def begun(room: Room, number: int) -> bool:
    return len(room.heard()) == number


# What is heard


def test_the_words_heard_are_the_words_meant(room: Room, speaker: Speaker, reports: Reports) -> None:
    manners = [Manner(rate, volume) for rate, volume in ((300, 1.0), (175, 0.5), (450, 0.2), (450, 1.0), (400, 0.7))]
    for text, manner in zip(PROMPTS, manners, strict=True):
        say(speaker, text, manner)
    assert room.handed() == list(PROMPTS)
    meant = [Asked(text, manner.rate, manner.volume) for text, manner in zip(PROMPTS, manners, strict=True)]
    assert heard(room) == rendered(*meant)
    assert reports == []


def test_speech_is_as_long_as_its_words_and_its_rate_make_it(room: Room, speaker: Speaker) -> None:
    words = SHORT_WORDS.split()
    for rate in (350, 450):
        for text in (words[:3], words):
            say(speaker, " ".join(text), Manner(rate))
        few, all_of_them = (played.seconds for played in room.heard()[-2:])
        # The pause at the end is in both.
        assert (all_of_them - few) / (len(words) - 3) == pytest.approx(SHORTER * 60 / rate, rel=0.15)


def test_rate_and_loudness_stay_within_what_engines_can_do(room: Room, speaker: Speaker, reports: Reports) -> None:
    for manner in (Manner(10**9, 10**9), Manner(-5, 0.0), Manner(450, -3.0)):
        say(speaker, "deep", manner)
    assert heard(room) == rendered(Asked("deep", 450, 1.0), Asked("deep", 80, 0.0), Asked("deep", 450, 0.0))
    assert [played.loudest == 0 for played in room.heard()] == [False, True, True]
    assert reports == []


def test_a_voice_is_found_by_its_language(room: Room, speaker: Speaker, reports: Reports) -> None:
    found: list[list[Voice]] = []
    speaker.voices(found.append)
    until(lambda: found, "list of voices")
    assert {"en", "de", "fr"} <= {voice.languages[0].split("-")[0] for voice in found[0] if voice.languages}
    american = matching(found[0], "en-us")[0]
    for manner in (Manner(450, language="de-AT"), Manner(450, voice=american.id), Manner(450)):
        say(speaker, "eins zwei", manner)
    assert heard(room) == rendered(
        *(Asked("eins zwei", 450, voice=voice) for voice in ("gmw/de", american.id, "gmw/en"))
    )
    assert reports == []


@pytest.mark.parametrize(
    ("manner", "says"),
    [
        (Manner(450, voice="gmw/nobody"), "no voice `gmw/nobody`"),
        (Manner(450, language="xx"), "no voice for the language `xx`"),
        (Manner(450, voice="a" * 5000), "no voice `aaaa"),
        (Manner(450, voice="'; touch x\x1b[2J\ud800", language="../x\x00"), "no voice `'; touch x"),
    ],
    ids=["voice", "language", "long", "hostile"],
)
def test_a_voice_that_is_not_there_is_said_once_and_another_speaks(
    room: Room, speaker: Speaker, reports: Reports, manner: Manner, says: str
) -> None:
    for _ in range(2):
        say(speaker, "deep", manner)
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert len(reports) == 1
    assert says in reports[0]
    assert reports[0].isprintable()
    assert len(reports[0]) < 150
    assert not speaker.failed


def test_a_tick_alone_and_before_words(room: Room, speaker: Speaker, reports: Reports) -> None:
    speaker.tick(0.5)
    until(lambda: not speaker.speaking, "end of the tick")
    say(speaker, "deep")
    speaker.say("deep", FAST, tick=0.5)
    until(lambda: not speaker.speaking, "end of the prompt")
    tick, word, both = room.heard()
    assert both.samples == tick.samples + word.samples
    assert 0 < tick.loudest < word.loudest
    assert tick.seconds < 0.1
    assert reports == []


# Cutting off


def test_of_fifty_presses_only_the_last_is_spoken(room: Room, speaker: Speaker, reports: Reports) -> None:
    prompts = [f"press {number}, forward, deep over foam, string four" for number in range(50)]
    speaker.on()
    until(lambda: room.processes(), "spare")
    at = []
    for prompt in prompts:
        at.append(time.monotonic())
        speaker.say(prompt, Manner(300))
        time.sleep(0.02)
    until(lambda: not speaker.speaking, "end of the last")
    assert heard(room) == rendered(Asked(prompts[-1], 300))
    # What was begun before was cut off: the first, and what stood alone for a while as this test was held up.
    alone = [prompt for prompt, now, then in zip(prompts, at, at[1:], strict=False) if then - now >= QUIET]
    assert set(room.handed()) <= {prompts[0], *alone, prompts[-1]}
    assert reports == []


def test_a_prompt_is_cut_off_by_the_next_by_hushing_and_by_switching_off(room: Room, speaker: Speaker) -> None:
    cuts: list[Callable[[], None]] = [
        partial(speaker.say, ""),
        speaker.hush,
        speaker.off,
        partial(speaker.say, "back", FAST),
    ]
    for number, cut in enumerate(cuts, 1):
        speaker.say(PROMPTS[3], Manner(80))
        until(partial(begun, room, number), "sound")
        assert speaker.speaking
        cut()
        until(lambda: not speaker.speaking, "end")
    assert heard(room) == rendered(Asked("back", 450))


def test_nothing_runs_unless_it_is_used(room: Room, speaker: Speaker) -> None:
    speaker.hush()
    speaker.off()
    assert not speaker.speaking
    assert room.left() == []
    speaker.on()
    until(lambda: room.processes(), "spare")
    speaker.off()
    until(lambda: not room.processes(), "end")
    speaker.close()
    speaker.close()
    speaker.say("deep")
    speaker.on()
    speaker.tick()
    assert not speaker.speaking
    assert room.left() == []


def test_nobody_waits_for_what_is_stuck(room: Room, speaker: Speaker) -> None:
    room.player.become("stuck")
    speaker.say("deep", FAST)
    until(lambda: room.heard(), "sound")
    room.signal([process.pid for process in room.processes()], signal.SIGSTOP)
    room.player.become("plays")
    for number in range(2000):
        speaker.say(f"press {number}", FAST)
    until(lambda: not speaker.speaking, "end of the last")
    assert heard(room) == rendered(Asked("press 1999", 450))


# What fails

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


def test_no_room_for_the_sound_is_reported(room: Room, speaker: Speaker, reports: Reports) -> None:
    room.customise("import resource\nresource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n")
    say(speaker, PROMPTS[0])
    assert len(reports) == 1
    assert speaker.failed
    assert "File too large" in reports[0]


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


def test_temporary_files_taken_away_meanwhile(room: Room, speaker: Speaker, reports: Reports) -> None:
    say(speaker, "deep")
    speaker.off()
    until(lambda: not any(room.place.glob("*/*")), "end")
    for folder in room.place.iterdir():
        folder.rmdir()
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450)) * 2
    assert reports == []


# Text that is up to something


@pytest.mark.parametrize(
    "text",
    [
        "\x010A deep",
        "\x01100V\x01+50S deep",
        "deep\x00foam",
        "\ud800\udfff deep",
        "<speak><prosody volume='silent'>deep</prosody>",
        "<!DOCTYPE a [<!ENTITY b SYSTEM 'file:x'>]>&b;",
        "[[volm 0]] deep [[slnc 90000]]",
        "$(touch x) `touch x` ; touch x | x > x",
        "'; touch x; '\" && touch x \" \\",
        "-f /etc/passwd",
        "--help",
        '\n{"voices": true}\n',
        "%s%n {0} {deep}",
        "\u202e\u2066deep\u2069\u200b\ufeff",
        "deep " + "." * 100_000,
        "...,,,!!! \x7f\x80\x9b2J",
    ],
    ids=range(16),
)
def test_no_text_drives_anything(
    room: Room, speaker: Speaker, reports: Reports, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    monkeypatch.chdir(tmp_path)
    before = set(tmp_path.rglob("*"))
    say(speaker, text)
    say(speaker, "back")
    spoken = [words for words in (cleaned(text), "back") if words]
    assert room.handed() == spoken
    # Each as the engine speaks it when nothing was said before.
    assert heard(room) == rendered(*(Asked(words, 450) for words in spoken))
    assert reports == []
    speaker.close()
    assert {path.name for path in set(tmp_path.rglob("*")) - before} <= {"log", "record"}


def test_nothing_in_the_current_folder_is_run(
    room: Room, speaker: Speaker, reports: Reports, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trap = tmp_path / "trap"
    (trap / "benchmate" / "speech").mkdir(parents=True)
    for name in ("json.py", "pyttsx3.py", "wave.py", "sitecustomize.py", "benchmate/__init__.py", "aplay"):
        (trap / name).write_text("#!/bin/sh\nopen('/dev/null/trapped')\n")
        (trap / name).chmod(0o755)
    monkeypatch.chdir(trap)
    say(speaker, "deep")
    assert heard(room) == rendered(Asked("deep", 450))
    assert reports == []


TALKS = """
import sys
from benchmate.speech.speaker import Speaker
speaker = Speaker(print)
speaker.say(sys.argv[1])
input()
"""


def test_no_helper_outlives_who_uses_it(room: Room) -> None:
    with subprocess.Popen([sys.executable, "-c", TALKS, PROMPTS[3]], stdin=subprocess.PIPE, cwd=ROOT) as process:
        until(lambda: room.heard(), "sound")
        until(lambda: len(list(room.place.glob("*/helper-*"))) == 2, "spare")
        room.signal([each.pid for each in room.processes() if each.pid != process.pid], signal.SIGSTOP)
        process.kill()
    # Nobody starts anew to clear up: even what was stopped ends by itself, and takes its files with it.
    room.wait_until_nothing_is_left()
    assert heard(room) == []


def test_no_player_outlives_its_helper(room: Room, reports: Reports) -> None:
    with subprocess.Popen([sys.executable, "-c", TALKS, PROMPTS[3]], stdin=subprocess.PIPE, cwd=ROOT) as process:
        until(lambda: room.heard(), "sound")
        # Nobody can react any more.
        room.signal([process.pid], signal.SIGSTOP)
        room.signal([each.pid for each in room.processes() if each.kind == "helper"], signal.SIGKILL)
        until(lambda: all(each.kind != "player" for each in room.processes()), "silence")
        process.kill()
    assert heard(room) == []
    # All who could have cleared up are dead: the next start does it.
    assert room.left() != []
    speaker = Speaker(reports.append)
    say(speaker, "deep")
    speaker.close()
    assert reports == []


def test_what_a_helper_tells(room: Room) -> None:
    command = [sys.executable, "-m", "benchmate.speech.helper", str(room.place)]
    request = {"say": "deep", "tick": None, "rate": 450, "volume": 1, "voice": "nobody", "language": "en"}
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        assert json.loads(process.stdout.readline()) == {"event": "ready"}
        assert [path.name for path in room.place.iterdir()] == [f"helper-{process.pid}"]
        process.stdin.write(json.dumps(request).encode() + b"\n")
        process.stdin.flush()
        events = [json.loads(line) for line in process.stdout]
    assert [event["event"] for event in events] == ["missing", "began", "done"]
    assert events[1]["seconds"] == pytest.approx(room.heard()[0].seconds)


def test_a_helper_ends_with_its_input(room: Room) -> None:
    command = [sys.executable, "-m", "benchmate.speech.helper", str(room.place)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        process.stdout.readline()
        process.stdin.close()
        assert process.wait(PATIENCE) == -signal.SIGKILL
