"""Sounds: a soft tick, and playing a file to the end, with the reason in words when nobody can have heard it."""

import math
import shutil
import subprocess
import sys
import time
import wave
from array import array
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryFile

from benchmate.speech.last_words import last_words
from benchmate.speech.parent import bound_to_this

PLAYER = "afplay" if sys.platform == "darwin" else "aplay"
"""The program that plays a file; on Windows the system does that itself."""
NO_PLAYER = "There is no player for sounds on this machine: install `aplay` (Debian: alsa-utils)."
NO_SOUND = "Is there a sound card?"
JUDGED = 0.5
"""Seconds from which on a sound is long enough to tell by its length whether it was played at all."""

RATE = 22050
"""Samples a second, in one channel of 16 bits: what the engine makes too."""
TICK_SECONDS = 0.03
TICK_TONE = 1200.0
TICK_LOUDNESS = 0.2
"""Of the loudest there can be."""


class NotHeard(Exception):
    """A sound was not played, or not to its end; the message says why, for people.

    `lasting` is true when the next one would not be heard either.
    """

    def __init__(self, message: str, lasting: bool = True) -> None:
        super().__init__(message)
        self.lasting = lasting


def lacking() -> str:
    """What has to be installed before anything can be played; empty when nothing has to."""
    return NO_PLAYER if sys.platform != "win32" and shutil.which(PLAYER) is None else ""


def tick(volume: float) -> bytes:
    """The samples of a soft short tick; `volume` from 0 to 1."""
    count = int(RATE * TICK_SECONDS)
    loudest = 32767 * TICK_LOUDNESS * volume
    samples = array(
        "h",
        (
            round(loudest * math.exp(-6.0 * at / count) * math.sin(2 * math.pi * TICK_TONE * at / RATE))
            for at in range(count)
        ),
    )
    if sys.byteorder == "big":
        samples.byteswap()
    return samples.tobytes()


def write(file: Path, samples: bytes) -> None:
    """Writes samples of the engine's own kind as a WAV file. Raises OSError."""
    with wave.open(str(file), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes(samples)


def lead_with(samples: bytes, file: Path) -> None:
    """Puts samples in front of those of a WAV file of the same kind. Raises OSError."""
    with wave.open(str(file), "rb") as sound:
        rest = sound.readframes(sound.getnframes())
    write(file, samples + rest)


def seconds_of(file: Path) -> float:
    """How long a WAV file plays."""
    with wave.open(str(file), "rb") as sound:
        return sound.getnframes() / sound.getframerate()


def play(file: Path, began: Callable[[float], None]) -> None:
    """Plays a WAV file to its end; `began` is called with its length in seconds once it plays.

    Raises NotHeard. A player that says all is well far too soon has no sound card to play to.
    """
    seconds = seconds_of(file)
    if not seconds:
        began(seconds)
        return
    if sys.platform == "win32":
        import winsound

        began(seconds)
        winsound.PlaySound(str(file), winsound.SND_FILENAME)
        return
    player = shutil.which(PLAYER)
    if player is None:
        raise NotHeard(NO_PLAYER)
    options = ["-q"] if PLAYER == "aplay" else []
    with TemporaryFile() as log:
        started = time.monotonic()
        try:
            playing = subprocess.Popen(
                [player, *options, str(file)],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=log,
                preexec_fn=bound_to_this(),
            )
        except OSError as error:
            raise NotHeard(f"`{player}` cannot be started: {error.strerror}.") from error
        began(seconds)
        status = playing.wait()
        took = time.monotonic() - started
        complaint = last_words(log)
    if status < 0:
        raise NotHeard(f"`{PLAYER}` was ended by signal {-status}.", lasting=False)
    if status > 0:
        raise NotHeard(f"`{PLAYER}` could not play: {complaint or f'exit status {status}'}. {NO_SOUND}")
    if seconds >= JUDGED and took < seconds / 2:
        raise NotHeard(f"`{PLAYER}` took {took:.2f} s for {seconds:.1f} s of speech: nothing was heard. {NO_SOUND}")
