"""Short sounds without words: each a few soft notes, made here from their pitches and lengths.

They differ in how many notes they have and whether these rise or fall, so that nobody needs an ear for pitch.
"""

import math
import sys
from array import array
from collections.abc import Sequence
from enum import Enum
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

RATE = 22050
"""Samples a second, in one 16-bit channel, as the engine makes them."""
LARGEST = 32767
"""The largest sample."""

VOICE = 0.083
"""The loudness of the engine's word `forward` at full volume: the root mean square, as a share of the largest sample.

It is that of the speed at which the word is softest.
"""
VOICE_CURVE = 1.1
"""The engine's loudness grows with this power of its volume."""
ATTACK = 0.008
"""Seconds in which a note swells, so that it does not click."""
SECOND_PARTIAL = 0.2
"""The octave above each note, as a share of it: small speakers give low notes only by their partials."""
APART = 0.05
"""Seconds of silence between two sounds."""

TICK_SECONDS = 0.03
TICK_TONE = 1200.0
TICK_LOUDNESS = 0.2
"""The largest sample of a tick at full volume, as a share of the largest possible."""


class Sound(Enum):
    """What a sound says. `TICK` only marks the end of a run."""

    DONE = "done"
    UNDONE = "undone"
    WRONG_WAY = "wrong way"
    ROW_END = "row end"
    STRING_CHANGE = "string change"
    TICK = "tick"


class Sounds(NamedTuple):
    """Sounds to play one after the other; `share` is their loudness as a share of the voice's, from 0 to 1."""

    which: tuple[Sound, ...]
    share: float


class Note(NamedTuple):
    """A note: its pitch at first and at last, in hertz, its length, and the silence after it, in seconds."""

    begins: float
    ends: float
    seconds: float
    rest: float = 0.0


NOTES = {
    Sound.DONE: [Note(620, 620, 0.055)],
    Sound.UNDONE: [Note(1250, 400, 0.12)],
    Sound.WRONG_WAY: [Note(330, 330, 0.036, 0.014)] * 2 + [Note(330, 330, 0.036)],
    Sound.ROW_END: [Note(400, 1250, 0.12)],
    Sound.STRING_CHANGE: [Note(990, 990, 0.042, 0.034), Note(990, 990, 0.042)],
}
"""One short note, one that falls, three low ones, one that rises, and two."""


@lru_cache(maxsize=64)
def samples(sounds: Sounds, volume: float) -> bytes:
    """The sounds in the engine's own format, beside a voice of that `volume`, from 0 to 1."""
    loudness = min(max(sounds.share, 0.0), 1.0) * min(max(volume, 0.0), 1.0) ** VOICE_CURVE
    silence = [0.0] * round(APART * RATE)
    wave: list[float] = []
    for number, sound in enumerate(sounds.which):
        wave += [*(silence if number else []), *(_tick() if sound is Sound.TICK else _wave(NOTES[sound]))]
    found = array("h", (round(LARGEST * loudness * each) for each in wave))
    if sys.byteorder == "big":
        found.byteswap()
    return found.tobytes()


def _wave(notes: Sequence[Note]) -> list[float]:
    """Notes as loud as the voice at full volume: their loudness counts from the first to the last, as a word's does."""
    wave = [each for note in notes for each in [*_note(note), *([0.0] * round(note.rest * RATE))]]
    loudness = math.sqrt(sum(each * each for each in wave) / len(wave))
    return [each * VOICE / loudness for each in wave]


def _note(note: Note) -> list[float]:
    count = round(note.seconds * RATE)
    pitches = (note.begins * (note.ends / note.begins) ** (at / count) for at in range(count - 1))
    turns = accumulate((pitch / RATE for pitch in pitches), initial=0.0)
    return [
        _swell(at, count) * (math.sin(2 * math.pi * turn) + SECOND_PARTIAL * math.sin(4 * math.pi * turn))
        for at, turn in enumerate(turns)
    ]


def _swell(at: int, count: int) -> float:
    """How loud a note is at a sample: it swells quickly and dies away slowly, without a corner."""
    attack = ATTACK * RATE
    through = at / attack if at < attack else (count - 1 - at) / (count - 1 - attack)
    return (1 - math.cos(math.pi * through)) / 2


def _tick() -> list[float]:
    count = int(RATE * TICK_SECONDS)
    return [
        TICK_LOUDNESS * math.exp(-6.0 * at / count) * math.sin(2 * math.pi * TICK_TONE * at / RATE)
        for at in range(count)
    ]
