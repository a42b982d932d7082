"""The speech engine's own sound for a text, without any of our code or pyttsx3 in between.

`python -m tests.reference_voice` reads a JSON list of [text, words a minute, volume, voice] and prints a list of
[samples, checksum], each from a newly started engine.
"""

import ctypes
import json
import os
import subprocess
import sys
import zlib
from pathlib import Path
from typing import NamedTuple

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
    done = subprocess.run(
        [sys.executable, "-m", "tests.reference_voice"],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    return [Rendered(*each) for each in json.loads(done.stdout)]


def _library() -> ctypes.CDLL:
    try:
        return ctypes.CDLL("libespeak-ng.so.1")
    except OSError:
        import espeakng_loader

        os.environ["ESPEAK_DATA_PATH"] = os.path.relpath(espeakng_loader.get_data_path())
        return ctypes.CDLL(espeakng_loader.get_library_path())


def _render(asked: Asked) -> Rendered:
    library, sound = _library(), bytearray()

    def take(samples: int | None, count: int, events: object) -> int:
        if samples is not None and count > 0:
            sound.extend(ctypes.string_at(samples, 2 * count))
        return 0

    callback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)(take)
    assert library.espeak_Initialize(RETRIEVAL, 1000, None, 0) == 22050
    library.espeak_SetSynthCallback(callback)
    assert library.espeak_SetVoiceByName(asked.voice.encode()) == 0
    assert library.espeak_SetParameter(RATE, asked.rate, 0) == 0
    assert library.espeak_SetParameter(VOLUME, round(100 * asked.volume), 0) == 0
    said = asked.text.encode()
    assert library.espeak_Synth(said, len(said) + 1, 0, 1, 0, UTF8 | END_PAUSE, None, None) == 0
    assert library.espeak_Synchronize() == 0
    return Rendered(len(sound) // 2, zlib.crc32(sound))


def _render_in_child(asked: Asked) -> Rendered:
    # The engine can be started only once in a process.
    reading, writing = os.pipe()
    if (child := os.fork()) == 0:
        os.write(writing, json.dumps(_render(asked)).encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        found = json.loads(stream.read())
    os.waitpid(child, 0)
    return Rendered(*found)


if __name__ == "__main__":
    print(json.dumps([_render_in_child(Asked(*each)) for each in json.load(sys.stdin)]))
