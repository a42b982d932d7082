"""Listening: how many taps and claps the pedal hears, how many it hears in what is none, and how much work it is.

`python -m tests.measure.listening` measures this alone.
"""

import time
from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np

from benchmate.listening.detector import RATE, Detector
from tests.heard_prompts import prompts, spoken, talk_nearby
from tests.measure.table import Row, as_text
from tests.table_sounds import NOISES, Random, Sound, ambience, as_bytes, clap, in_quiet, pair_of, table, talk, tap

MISSED = 5.0
"""Percent of the taps and claps that may be missed at a normal loudness, at the table, in a living room."""
FALSE = 1.0
"""Presses in an hour that nobody made."""
SHARE = 0.02
"""The part of one core that hearing may take."""
BLOCK = RATE // 50


class Extent(NamedTuple):
    """How many minutes of each sound to hear, how many presses of each kind, and how many of each single noise."""

    minutes: float
    presses: int
    noises: int


QUICK = Extent(minutes=4, presses=40, noises=20)
FULL = Extent(minutes=60, presses=500, noises=300)


class Situation(NamedTuple):
    """Where presses are made: metres from the microphone, decibels of their peak, and of the room's hiss."""

    name: str
    metres: tuple[float, float]
    loud: tuple[float, float]
    hiss: tuple[float, float]
    asked: bool = False


SITUATIONS = (
    Situation("normal", (0.3, 1.0), (-26, -6), (-74, -60), asked=True),
    Situation("soft", (0.3, 1.0), (-36, -26), (-74, -60)),
    Situation("in a noisy room", (0.3, 1.0), (-20, -4), (-60, -48)),
    Situation("across the room", (1.0, 2.5), (-26, -6), (-74, -60)),
)
PRESSES: tuple[tuple[str, Callable[[Random], Sound]], ...] = (("taps", tap), ("claps", clap))


class Heard(NamedTuple):
    """What the detector heard in a sound: single knocks, presses, and how many seconds of work that was."""

    knocks: int
    presses: int
    work: float


def hear(sound: Sound) -> Heard:
    """Has a new detector hear a sound."""
    detector, whole, began = Detector(), as_bytes(sound), time.process_time()
    presses = sum(len(detector.hear(whole[start : start + 2 * BLOCK])) for start in range(0, len(whole), 2 * BLOCK))
    return Heard(detector.knocks, presses, time.process_time() - began)


def missed(random: Random, make: Callable[[Random], Sound], where: Situation, count: int) -> float:
    """The percent of presses that are not heard as exactly one."""
    lost = 0
    for _ in range(count):
        metres, loud, hiss = (random.uniform(*each) for each in where[1:4])
        lost += hear(in_quiet(random, pair_of(random, make), metres, loud, hiss)).presses != 1
    return 100 * lost / count


def other_sounds(random: Random, minutes: float) -> Iterator[tuple[str, Iterator[Sound]]]:
    """The sounds that must not press, by name, each in parts of ten minutes."""
    own = spoken(random, prompts(random, max(4, round(20 * minutes))))
    nearby = talk_nearby(random)

    def parts(sound: Callable[[float], Sound]) -> Iterator[Sound]:
        whole = round(60 * minutes)
        return (sound(min(600, whole - start)) for start in range(0, whole, 600))

    def room(seconds: float) -> Sound:
        return ambience(random, seconds, random.uniform(-64, -54), random.uniform(-74, -60))

    yield "its own voice", parts(lambda seconds: room(seconds) + talk(random, seconds, own, 0.5, (-35, -8)))
    yield "talk nearby", parts(lambda seconds: room(seconds) + talk(random, seconds, nearby, 1.5, (-40, -18)))
    yield "table noise", parts(lambda seconds: table(random, seconds))
    yield "table noise, twice as busy", parts(lambda seconds: table(random, seconds, busy=2))


def measure(extent: Extent) -> list[Row]:
    """The rows of the table."""
    random = np.random.default_rng(2611)
    rows = []
    for kind, make in PRESSES:
        for where in SITUATIONS:
            part = missed(random, make, where, extent.presses)
            rows.append(Row(f"two {kind}, not heard", where.name, "%", part, MISSED, 1.0 if where.asked else None))
    work = sounded = 0.0
    knocks = []
    for name, parts in other_sounds(random, extent.minutes):
        heard = [hear(part) for part in parts]
        an_hour = 60 / extent.minutes
        false = sum(each.presses for each in heard) * an_hour
        # The bound is for the usual hour; the busy one shows how much is left.
        asked = 1.0 if "busy" not in name else None
        rows.append(Row("presses nobody made, in an hour", name, "", false, FALSE, asked))
        knocks.append(Row("single knocks in the same hour", name, "", sum(each.knocks for each in heard) * an_hour))
        work += sum(each.work for each in heard)
        sounded += 60 * extent.minutes
    rows += knocks
    for noise in NOISES:
        found = [
            hear(in_quiet(random, noise.make(random), noise.metres, random.uniform(*noise.loud), -66))
            for _ in range(extent.noises)
        ]
        for what, counts in (
            ("a knock", [each.knocks for each in found]),
            ("a press", [each.presses for each in found]),
        ):
            percent = 100 * sum(map(bool, counts)) / len(counts)
            rows.append(Row("one noise alone", f"{noise.name}: heard as {what}", "%", percent))
    rows.append(Row("hearing", "work : time it sounds", "s/h", 3600 * work / sounded, 3600.0, SHARE))
    return rows


if __name__ == "__main__":
    print(as_text(measure(FULL)))
