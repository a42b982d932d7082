"""The parts of the voice that need no engine: choosing a voice, deleting abandoned folders, the tick."""

import errno
import fcntl
import os
import tempfile
from io import BytesIO
from pathlib import Path

import pytest

from benchmate.speech.error_output import LONGEST, last_line
from benchmate.speech.folders import PREFIX, Folder
from benchmate.speech.player import lead_with, seconds_of, write
from benchmate.speech.sounds import RATE, Sound, Sounds, samples
from benchmate.speech.voices import Voice, matching

CARIBBEAN = Voice("gmw/en-029", "English (Caribbean)", ("en-029",))
BRITISH = Voice("gmw/en", "English (Great Britain)", ("en-gb",))
AMERICAN = Voice("com.maker.voice.7", "Alba", ("en_US",))
GERMAN = Voice("gmw/de", "German", ("de",))
BELGIAN = Voice("roa/fr-be", "French (Belgium)", ("fr-be",))
FRENCH = Voice("roa/fr", "French (France)", ("fr-fr",))
NOBODY = Voice("x", "Nobody", ())
VOICES = [CARIBBEAN, BRITISH, AMERICAN, GERMAN, BELGIAN, FRENCH, NOBODY]


@pytest.mark.parametrize(
    ("language", "voices"),
    [
        ("en", [BRITISH, CARIBBEAN, AMERICAN]),
        ("en-us", [AMERICAN]),
        ("EN_GB", [BRITISH]),
        ("en-au", [BRITISH, CARIBBEAN, AMERICAN]),
        ("de-AT", [GERMAN]),
        ("fr", [FRENCH, BELGIAN]),
        ("e", []),
        ("", []),
        ("xx-yy", []),
    ],
)
def test_the_voices_that_speak_a_language(language: str, voices: list[Voice]) -> None:
    assert matching(VOICES, language) == voices


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The system's folder for temporary files."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def test_a_folder_of_a_dead_program_is_deleted(place: Path, tmp_path: Path) -> None:
    left, other, file = place / f"{PREFIX}left", place / "benchmate-other", place / f"{PREFIX}file"
    (left / "helper-1").mkdir(parents=True)
    (left / "helper-1" / "voice.wav").write_bytes(b"RIFF")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (place / f"{PREFIX}link").symlink_to(elsewhere)
    other.mkdir()
    file.touch()
    first, second = Folder(), Folder()
    assert not left.exists()
    assert elsewhere.exists()
    assert other.exists()
    assert file.exists()
    assert first.path.is_dir()
    assert second.path.is_dir()
    assert first.path.stat().st_mode & 0o777 == 0o700
    first.remove()
    second.remove()
    assert sorted(path.name for path in place.iterdir()) == ["benchmate-other", f"{PREFIX}file", f"{PREFIX}link"]


def test_without_locks_each_still_gets_its_own_folder(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tried = []

    def without_locks(file: int, operation: int) -> None:
        tried.append(operation)
        assert len(tried) < 10
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", without_locks)
    first, second = Folder(), Folder()
    assert {path.name for path in place.iterdir()} == {first.path.name, second.path.name}
    first.remove()
    second.remove()
    assert list(place.iterdir()) == []


def test_a_tick_is_short_and_soft_and_has_the_chosen_volume(tmp_path: Path) -> None:
    def tick(share: float) -> bytes:
        return samples(Sounds((Sound.TICK,), share), 1.0)

    def loudest(share: float) -> int:
        return max(map(abs, memoryview(tick(share)).cast("h")))

    assert 0 == loudest(0.0) < loudest(0.5) < loudest(1.0) < 32767 / 4
    assert loudest(0.5) == pytest.approx(loudest(1.0) / 2, abs=1)
    sound = tmp_path / "sound.wav"
    write(sound, bytes(2 * RATE))
    assert seconds_of(sound) == 1.0
    lead_with(tick(1.0), sound)
    assert seconds_of(sound) == pytest.approx(1.0 + len(tick(1.0)) / 2 / RATE)
    assert sound.read_bytes()[44:] == tick(1.0) + bytes(2 * RATE)


@pytest.mark.parametrize(
    ("written", "line"),
    [
        (b"", ""),
        (b"\n \n", ""),
        (b"one\naplay: main:831: audio open error: No such file or directory\n\n", None),
        (b"\x1b[31mred\x07\xff.\n", "[31mred\ufffd"),
        (b"y" * 5000, "y" * LONGEST),
    ],
)
def test_the_last_line_of_error_output(written: bytes, line: str | None) -> None:
    expected = "aplay: main:831: audio open error: No such file or directory" if line is None else line
    assert last_line(BytesIO(written)) == expected


def test_a_long_log_is_not_read_whole(tmp_path: Path) -> None:
    log = tmp_path / "log"
    with log.open("wb") as stream:
        os.truncate(stream.fileno(), 1 << 28)
        stream.seek(0, os.SEEK_END)
        stream.write(b"\nthe end\n")
    with log.open("rb") as stream:
        assert last_line(stream) == "the end"
