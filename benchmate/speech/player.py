"""Playing a file to its end, with the reason when it was not heard."""

import shutil
import subprocess
import sys
import time
import wave
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryFile

from benchmate.speech.error_output import last_line
from benchmate.speech.parent import dying_with_parent
from benchmate.speech.sounds import RATE

PLAYER = "afplay" if sys.platform == "darwin" else "aplay"
"""The program that plays a file; Windows needs none."""
NO_PLAYER = "No sound player found. Install `aplay` (Debian: alsa-utils)."
NO_SOUND = "Is there a sound card?"
SHORTEST_JUDGED = 0.5
"""Seconds; a shorter sound does not show by its playing time whether it was really played."""


class NotPlayed(Exception):
    """A sound was not played to its end; the message tells the user why.

    `lasting` is true when the next sound would fail too.
    """

    def __init__(self, message: str, lasting: bool = True) -> None:
        super().__init__(message)
        self.lasting = lasting


def missing_player() -> str:
    """Which player to install before anything can be played; empty when nothing is missing."""
    return NO_PLAYER if sys.platform != "win32" and shutil.which(PLAYER) is None else ""


def write(file: Path, samples: bytes) -> None:
    """Writes samples in the engine's own format as a WAV file. Raises OSError."""
    with wave.open(str(file), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes(samples)


def lead_with(samples: bytes, file: Path) -> None:
    """Puts samples before those of a WAV file with the same format. Raises OSError."""
    with wave.open(str(file), "rb") as sound:
        rest = sound.readframes(sound.getnframes())
    write(file, samples + rest)


def seconds_of(file: Path) -> float:
    """How long a WAV file plays."""
    with wave.open(str(file), "rb") as sound:
        return sound.getnframes() / sound.getframerate()


def play(file: Path, began: Callable[[float], None]) -> None:
    """Plays a WAV file to its end; calls `began` with its length in seconds when it starts.

    Raises NotPlayed, also when the player reports success far too soon: then it has no sound card.
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
        raise NotPlayed(NO_PLAYER)
    options = ["-q"] if PLAYER == "aplay" else []
    with TemporaryFile() as log:
        started = time.monotonic()
        try:
            playing = subprocess.Popen(
                [player, *options, str(file)],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=log,
                preexec_fn=dying_with_parent(),
            )
        except OSError as error:
            raise NotPlayed(f"`{player}` cannot be started: {error.strerror}.") from error
        began(seconds)
        status = playing.wait()
        took = time.monotonic() - started
        complaint = last_line(log)
    if status < 0:
        raise NotPlayed(f"`{PLAYER}` was killed by signal {-status}.", lasting=False)
    if status > 0:
        raise NotPlayed(f"`{PLAYER}` could not play: {complaint or f'exit status {status}'}. {NO_SOUND}")
    if seconds >= SHORTEST_JUDGED and took < seconds / 2:
        raise NotPlayed(
            f"`{PLAYER}` took only {took:.2f} s for {seconds:.1f} s of speech, so nothing was heard. {NO_SOUND}"
        )
