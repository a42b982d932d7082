"""Hostile text, and helpers whose user dies."""

import json
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from benchmate.speech.speaker import Speaker
from benchmate.speech.text import cleaned
from tests.reference_voice import Asked, rendered
from tests.running import PATIENCE, ROOT
from tests.speaking import PROMPTS, Reports, Room, heard, say, until


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
def test_no_text_is_taken_for_a_command(
    room: Room, speaker: Speaker, reports: Reports, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    monkeypatch.chdir(tmp_path)
    before = set(tmp_path.rglob("*"))
    say(speaker, text)
    say(speaker, "back")
    spoken = [words for words in (cleaned(text), "back") if words]
    assert room.handed() == spoken
    # Each sounds as from a newly started engine.
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


NO_FORK = """
import os
def refuse():
    raise BlockingIOError(11, "Resource temporarily unavailable")
os.fork = refuse
"""
TALKS = """
import sys
from benchmate.speech.speaker import Speaker
speaker = Speaker(print)
speaker.say(sys.argv[1])
input()
"""


def test_no_helper_outlives_its_user(room: Room) -> None:
    with subprocess.Popen([sys.executable, "-c", TALKS, PROMPTS[3]], stdin=subprocess.PIPE, cwd=ROOT) as process:
        until(lambda: room.heard(), "sound")
        until(lambda: len(list(room.place.glob("*/helper-*"))) == 2, "spare")
        room.signal([each.pid for each in room.processes() if each.pid != process.pid], signal.SIGSTOP)
        process.kill()
    # No other program cleans up: even stopped helpers end and delete their files.
    room.wait_until_nothing_is_left()
    assert heard(room) == []


def test_no_player_outlives_its_helper(room: Room, reports: Reports) -> None:
    with subprocess.Popen([sys.executable, "-c", TALKS, PROMPTS[3]], stdin=subprocess.PIPE, cwd=ROOT) as process:
        until(lambda: room.heard(), "sound")
        # The user of the helpers can't react now.
        room.signal([process.pid], signal.SIGSTOP)
        room.signal([each.pid for each in room.processes() if each.kind == "helper"], signal.SIGKILL)
        until(lambda: all(each.kind != "player" for each in room.processes()), "silence")
        process.kill()
    assert heard(room) == []
    # Every process that could have cleaned up is dead, so the next start does it.
    assert room.left() != []
    speaker = Speaker(reports.append)
    say(speaker, "deep")
    speaker.close()
    assert reports == []


def test_the_events_of_a_helper(room: Room) -> None:
    command = [sys.executable, "-m", "benchmate.speech.helper", str(room.place)]
    request = {"say": "deep", "lead": "", "rate": 450, "volume": 1, "voice": "nobody", "language": "en"}
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


def test_a_helper_whose_folder_is_gone_says_nothing_about_voices(room: Room) -> None:
    command = [sys.executable, "-m", "benchmate.speech.helper", str(room.place)]
    request = {"say": "deep", "lead": "", "rate": 450, "volume": 1, "voice": "nobody", "language": "en"}
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        process.stdout.readline()
        shutil.rmtree(room.place / f"helper-{process.pid}")
        process.stdin.write(json.dumps(request).encode() + b"\n")
        process.stdin.flush()
        events = [json.loads(line) for line in process.stdout]
    assert [(event["event"], event.get("lasting")) for event in events] == [("failed", False)]


@pytest.mark.parametrize("program", ["", NO_FORK], ids=["", "no fork"])
def test_a_helper_ends_with_its_input(room: Room, program: str) -> None:
    room.customise(program)
    command = [sys.executable, "-m", "benchmate.speech.helper", str(room.place)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        process.stdout.readline()
        process.stdin.close()
        try:
            assert process.wait(PATIENCE) == -signal.SIGKILL
        finally:
            process.kill()
