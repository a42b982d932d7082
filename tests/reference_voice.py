"""The speech engine's own sound for a text, without any of our code or pyttsx3 in between.

`python -m tests.reference_voice` reads a JSON list of [text, words a minute, volume, voice] and prints a list of
[samples, checksum], each from a newly started engine. With `lengths` one engine speaks all of them, which is quick.
With `in full` it prints the samples themselves, in hexadecimal.
"""

import ctypes
import json
import os
import subprocess
import sys
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[1]
RETRIEVAL, RATE, VOLUME, UTF8, END_PAUSE = 1, 1, 2, 1, 0x1000
"""Constants from the engine's own header, speak_lib.h."""


class Asked(NamedTuple):
    """What to say, at how many words a minute, at which volume (0 to 1), in which voice."""

    text: str
    rate: int = 175
    volume: float = 1.0
    voice: str = "gmw/en"


class Rendered(NamedTuple):
    """Speech: the number of samples (22,050 a second) and their checksum."""

    samples: int
    checksum: int


def rendered(*asked: Asked) -> list[Rendered]:
    """The engine's sound for each. Raises CalledProcessError where there is no engine."""
    return [Rendered(*each) for each in _asked(asked)]


def spoken(*asked: Asked) -> list[bytes]:
    """The samples of the engine's sound for each. Raises CalledProcessError where there is no engine."""
    return [bytes.fromhex(each) for each in _asked(asked, "in full")]


SAMPLES_A_SECOND = 22_050


def lengths(asked: Sequence[Asked]) -> list[float]:
    """The seconds each takes to say, without the pause after it; one engine speaks all, in the voice of the first."""
    return [samples / SAMPLES_A_SECOND for samples, _ in _asked(asked, "lengths")]


def _asked(asked: Sequence[Asked], *how: str) -> list[Any]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.reference_voice", *how],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    found: list[Any] = json.loads(done.stdout)
    return found


def _library() -> ctypes.CDLL:
    try:
        return ctypes.CDLL("libespeak-ng.so.1")
    except OSError:
        import espeakng_loader

        os.environ["ESPEAK_DATA_PATH"] = os.path.relpath(espeakng_loader.get_data_path())
        return ctypes.CDLL(espeakng_loader.get_library_path())


def _render(asked: Asked) -> bytes:
    return next(_spoken([asked], UTF8 | END_PAUSE))


def _spoken(asked: Sequence[Asked], flags: int) -> Iterator[bytes]:
    """The sound of each, one after the other from one engine, in the voice of the first."""
    library, sound = _library(), bytearray()

    def take(samples: int | None, count: int, events: object) -> int:
        if samples is not None and count > 0:
            sound.extend(ctypes.string_at(samples, 2 * count))
        return 0

    callback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)(take)
    assert library.espeak_Initialize(RETRIEVAL, 1000, None, 0) == SAMPLES_A_SECOND
    library.espeak_SetSynthCallback(callback)
    assert library.espeak_SetVoiceByName(asked[0].voice.encode()) == 0
    for each in asked:
        assert library.espeak_SetParameter(RATE, each.rate, 0) == 0
        assert library.espeak_SetParameter(VOLUME, round(100 * each.volume), 0) == 0
        said = each.text.encode()
        sound.clear()
        assert library.espeak_Synth(said, len(said) + 1, 0, 1, 0, flags, None, None) == 0
        assert library.espeak_Synchronize() == 0
        yield bytes(sound)


def _summary(sound: bytes) -> Rendered:
    return Rendered(len(sound) // 2, zlib.crc32(sound))


def _render_in_child(asked: Asked) -> bytes:
    # The engine can be started only once in a process.
    reading, writing = os.pipe()
    if (child := os.fork()) == 0:
        with os.fdopen(writing, "wb") as to:
            to.write(_render(asked))
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        found = stream.read()
    os.waitpid(child, 0)
    return found


if __name__ == "__main__":
    _all = [Asked(*each) for each in json.load(sys.stdin)]
    _sounds = _spoken(_all, UTF8) if "lengths" in sys.argv else map(_render_in_child, _all)
    print(json.dumps([sound.hex() if "in full" in sys.argv else _summary(sound) for sound in _sounds]))
