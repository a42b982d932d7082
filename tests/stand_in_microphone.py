"""A stand-in for the library that hears the microphone, which plays a sound of the test's own."""

from pathlib import Path

import pytest

from tests.table_sounds import RATE, Sound, as_bytes

STAND_IN = """
import os, threading, time

def query_devices(kind):
    if os.environ["SOUND"] == "none":
        raise ValueError("Error querying device -1")

class RawInputStream:
    latency = 0.02

    def __init__(self, samplerate, blocksize, channels, dtype, callback):
        assert (channels, dtype) == (1, "int16")
        if samplerate != int(os.environ["RATE"]):
            raise ValueError("Invalid sample rate [PaErrorCode -9997]")
        self.size, self.seconds, self.callback = 2 * blocksize, blocksize / samplerate, callback
        print("a driver prints something")
        os.write(2, b"and so does its library")

    def start(self):
        threading.Thread(target=self.play, daemon=True).start()

    def play(self):
        with open(os.environ["SOUND"], "rb") as file:
            while block := file.read(self.size):
                self.callback(memoryview(block), len(block) // 2, None, None)
                time.sleep(self.seconds / 4)
"""
"""Stands in for the library: a microphone that hears a file, four times as fast as it sounds."""


class StandIn:
    """Puts the stand-in where the microphone's process finds it."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self._folder, self._monkeypatch = folder, monkeypatch
        (folder / "sounddevice.py").write_text(STAND_IN, encoding="utf-8")
        monkeypatch.setenv("PYTHONPATH", str(folder))

    def hears(self, sound: Sound | None, rate: int = RATE) -> None:
        """Has it hear a sound, at the only rate it knows; with None there is no microphone."""
        if sound is not None:
            (self._folder / "sound").write_bytes(as_bytes(sound))
        self._monkeypatch.setenv("SOUND", "none" if sound is None else str(self._folder / "sound"))
        self._monkeypatch.setenv("RATE", str(rate))
