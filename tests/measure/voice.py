"""The voice and its sounds: how soon the old prompt stops and the new one starts, and what an hour leaves behind.

`python -m tests.measure.voice` is the measured program; it prints its results as JSON.
"""

import json
import os
import random
import select
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple

from benchmate.speech.manager import SpeechOptions
from benchmate.speech.sounds import Sound, Sounds
from benchmate.speech.speaker import Speaker
from tests.measure.table import Row, p95
from tests.player import Player
from tests.speaking import Room, until

SILENT = 20.0
"""Milliseconds (median) from a press until the old prompt is cut off."""
SOUNDING = 120.0
"""Milliseconds (median) from a press to the first sample of the new prompt."""
RETURNED = 1.0
"""Milliseconds (95th percentile) that a press may spend on passing on its prompt."""
ALONE, BEFORE_WORDS = 1.2, 1.4
"""The limits for the time (median) from a press to a sound alone, and to sounds before words, as multiples of that to
words alone.
"""
GROWTH = 1.05
"""The limit for the memory after an hour, as a multiple of that after its first tenth."""
PROMPTS = (
    "forward",
    "forward, deep over foam",
    "backward-forward, rust over off white",
    "row seven is done; up: string four",
)


class Extent(NamedTuple):
    """How many presses to time, and the prompts of an hour (720: one every five seconds, a fast maker's pace)."""

    presses: int
    hour: int


QUICK = Extent(presses=15, hour=40)
FULL = Extent(presses=100, hour=720)


def measure(folder: Path, extent: Extent) -> list[Row]:
    """Speaks in a separate program; returns the rows of the table."""
    room = Room(folder / "voice")
    room.customise("")
    done = subprocess.run(
        [sys.executable, "-m", "tests.measure.voice", str(room.player.folder), *map(str, extent)],
        env={**os.environ, **room.env},
        capture_output=True,
        check=True,
    )
    found = json.loads(done.stdout)
    part = f"the voice, {extent.presses} presses"
    rows = [
        *_distribution(part, "call returns", found["returned"], of_p95=RETURNED),
        *_distribution(part, "cut to silence", found["silent"], of_median=SILENT),
        *_distribution(part, "key to first sample", found["sounding"], of_median=SOUNDING),
    ]
    to_words = median(found["words alone"])
    rows += [
        Row(part, f"key to {what} : to words alone", "ms", 1000 * median(found[what]), 1000 * to_words, most)
        for what, most in (("a sound alone", ALONE), ("sounds before words", BEFORE_WORDS))
    ]
    part = f"an hour of {extent.hour} prompts : its first tenth"
    early, late = found["early"], found["late"]
    rows.append(Row(part, "memory", "MB", late.pop("memory"), early.pop("memory"), GROWTH))
    return rows + [Row(part, what, "", late[what], early[what], 1.0) for what in early]


def _distribution(
    part: str, what: str, seconds: Sequence[float], of_median: float | None = None, of_p95: float | None = None
) -> list[Row]:
    figures = {"least": min(seconds), "median": median(seconds), "p95": p95(seconds), "most": max(seconds)}
    limits = {"median": of_median, "p95": of_p95}
    return [
        Row(
            part,
            f"{what}, {name}",
            "ms",
            1000 * each,
            limit := limits.get(name),
            None if limit is None else 1.0,
        )
        for name, each in figures.items()
    ]


def _presses(speaker: Speaker, player: Player, count: int, chance: random.Random) -> dict[str, list[float]]:
    """Seconds until the call returns, until the old prompt stops, and until the new one starts."""
    found: dict[str, list[float]] = {"returned": [], "silent": [], "sounding": []}
    speaker.say(PROMPTS[-1], SpeechOptions(80))
    until(player.played, "sound")
    for _ in range(count):
        time.sleep(chance.uniform(0.15, 0.4))
        played = player.played()
        playing = os.pidfd_open(played[-1].pid)
        ends = select.poll()
        ends.register(playing, select.POLLIN)
        pressed = time.monotonic()
        speaker.say(PROMPTS[-1], SpeechOptions(80))
        found["returned"].append(time.monotonic() - pressed)
        ends.poll()
        found["silent"].append(time.monotonic() - pressed)
        os.close(playing)
        until(partial(_more_than, player, len(played)), "sound")
        found["sounding"].append(player.played()[-1].began - pressed)
    return found


def _with_sounds(speaker: Speaker, player: Player, count: int, chance: random.Random) -> dict[str, list[float]]:
    """Seconds until words, sounds, or sounds before words start."""
    both = Sounds((Sound.ROW_END, Sound.STRING_CHANGE), 0.5)
    kinds = {"words alone": (PROMPTS[0], None), "a sound alone": ("", both), "sounds before words": (PROMPTS[0], both)}
    found: dict[str, list[float]] = {what: [] for what in kinds}
    for _ in range(count):
        for what, (text, sounds) in kinds.items():
            time.sleep(chance.uniform(0.15, 0.4))
            played = len(player.played())
            pressed = time.monotonic()
            speaker.say(text, SpeechOptions(450), sounds)
            until(partial(_more_than, player, played), "sound")
            found[what].append(player.played()[-1].began - pressed)
    return found


def _more_than(player: Player, count: int) -> bool:
    return len(player.played()) > count


def _hour(speaker: Speaker, count: int, chance: random.Random) -> dict[str, dict[str, float]]:
    """The resources of the program after a tenth of the prompts, and at the end.

    Time is compressed: most prompts are cut off by the next one; in a real hour they would be spoken to the end.
    """
    found = {}
    for number in range(count):
        speaker.say(chance.choice(PROMPTS), SpeechOptions(450))
        if chance.random() < 0.1:
            until(lambda: not speaker.speaking, "end")
        else:
            time.sleep(chance.uniform(0.02, 0.16))
        if number == count // 10:
            found["early"] = _resources(speaker)
    return {**found, "late": _resources(speaker)}


def _resources(speaker: Speaker) -> dict[str, float]:
    """MB of memory, and the numbers of files, threads, processes and temporary files while nothing is spoken."""
    until(lambda: not speaker.speaking, "end")
    place = Path(os.environ["TMPDIR"])
    # Wait until the spare is ready and the helper that has spoken is gone.
    until(lambda: len(list(place.glob("*/*/espeak-ng-data"))) == len(list(place.glob("*/*"))) == 1, "rest")
    time.sleep(0.1)
    with open("/proc/self/status") as status:
        memory = next(int(line.split()[1]) for line in status if line.startswith("VmRSS:"))
    return {
        "memory": 1024 * memory / 1e6,
        "open files": len(os.listdir("/proc/self/fd")),
        "threads": threading.active_count(),
        "processes": len(Path(f"/proc/self/task/{_speaking_thread()}/children").read_text().split()),
        "temporary files": sum(1 for _ in place.rglob("*")),
    }


def _speaking_thread() -> int:
    """The system's id of the thread that starts the helpers."""
    return next(thread.native_id for thread in threading.enumerate() if thread.name == "voice" and thread.native_id)


def _main(player_folder: str, presses: str, hour: str) -> None:
    chance, reports = random.Random(1), list[str]()
    player = Player(Path(player_folder))
    speaker = Speaker(reports.append)
    found: dict[str, Any] = _presses(speaker, player, int(presses), chance)
    found |= _with_sounds(speaker, player, int(presses), chance)
    found |= _hour(speaker, int(hour), chance)
    speaker.close()
    assert not reports, reports
    print(json.dumps(found))


if __name__ == "__main__":
    _main(*sys.argv[1:])
