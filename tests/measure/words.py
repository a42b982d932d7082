"""Spoken words instead of presses: how many a recogniser hears, and how many it hears in what nobody meant.

`python -m tests.measure.words` prints the table. The program listens for no words, because of what it prints. The
recogniser, pocketsphinx, belongs to no extra of the project: install it first, `pip install pocketsphinx`.
"""

import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from tests.heard_prompts import VOICES, prompts, spoken, talk_nearby
from tests.table_sounds import RATE, Random, Sound, ambience, as_bytes, as_heard, table, talk

WORDS = ("done", "back", "again", "stop", "where")
THRESHOLDS = (1e-1, 1e-3, 1e-6, 1e-10, 1e-20)
"""How sure the recogniser must be, strictest first."""
SPEAKERS = tuple(f"{voice}+{each}" for voice in VOICES for each in ("f1", "f3", "m1", "m4", "m6"))
EACH, MINUTES = 20, 6
"""How often each word is said, and how long each of the other sounds lasts."""
ENOUGH, AT_MOST = 0.9, 1.0
"""The part of the words that must be heard, and the false ones in an hour."""
BLOCK = RATE // 50


class Heard(NamedTuple):
    """The words heard at one threshold: the part of those said, the wrong ones, and the false ones in an hour."""

    threshold: float
    words: float
    wrong: float
    false: dict[str, float]
    share: float

    @property
    def good(self) -> bool:
        """True when it would be good enough to press with."""
        return self.words >= ENOUGH and sum(self.false.values()) <= AT_MOST


class Recogniser:
    """Spots the words in a sound."""

    def __init__(self, folder: Path, threshold: float) -> None:
        from pocketsphinx import Config, Decoder

        listed = folder / "words"
        listed.write_text("".join(f"{word} /{threshold:g}/\n" for word in WORDS), encoding="utf-8")
        self._decoder: Any = Decoder(Config(kws=str(listed), lm=None, loglevel="FATAL"))

    def hears(self, sound: bytes) -> list[str]:
        """The words in a sound, one after another."""
        decoder, found = self._decoder, list[str]()
        decoder.start_utt()
        for start in range(0, len(sound), 2 * BLOCK):
            decoder.process_raw(sound[start : start + 2 * BLOCK], False, False)
            hypothesis = decoder.hyp()
            if hypothesis is not None:
                found.append(hypothesis.hypstr.split()[0])
                decoder.end_utt()
                decoder.start_utt()
        decoder.end_utt()
        return found


def said(random: Random) -> list[tuple[str, bytes]]:
    """Each word many times: several voices and rates, near or across the table, in a quiet or a noisy room."""
    texts = [word for word in WORDS for _ in range(EACH)]
    found = []
    for word, voice in zip(texts, spoken(random, texts, SPEAKERS), strict=True):
        heard = as_heard(random, voice, random.uniform(0.3, 1.0), random.uniform(-26, -8))
        quiet = RATE // 2
        whole = ambience(random, len(heard) / RATE + 1.5, -60, random.uniform(-72, -58))
        whole[quiet : quiet + len(heard)] += heard
        found.append((word, as_bytes(whole)))
    return found


def others(random: Random, seconds: float) -> dict[str, Sound]:
    """What nobody meant: the bench's own voice, the table, and talk nearby."""
    own = spoken(random, prompts(random, max(4, round(seconds / 2))))
    quiet = [ambience(random, seconds, -60, -68) for _ in range(2)]
    return {
        "own voice": quiet[0] + talk(random, seconds, own, 0.5, (-30, -10)),
        "table": table(random, seconds),
        "talk": quiet[1] + talk(random, seconds, talk_nearby(random), 2.0, (-38, -20)),
    }


def measure(thresholds: Iterable[float] = THRESHOLDS, minutes: float = MINUTES) -> list[Heard]:
    """What is heard at each threshold."""
    random = np.random.default_rng(1313)
    words = said(random)
    meant_by_nobody = {name: as_bytes(sound) for name, sound in others(random, 60 * minutes).items()}
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for threshold in thresholds:
            recogniser = Recogniser(Path(folder), threshold)
            right = wrong = 0
            for word, sound in words:
                heard = Counter(recogniser.hears(sound))
                right += heard[word] > 0 and len(heard) == 1
                wrong += any(each != word for each in heard)
            began = time.process_time()
            false = {name: len(recogniser.hears(sound)) * 60 / minutes for name, sound in meant_by_nobody.items()}
            share = (time.process_time() - began) / (60 * minutes * len(meant_by_nobody))
            found.append(Heard(threshold, right / len(words), wrong / len(words), false, share))
    return found


def as_table(found: Sequence[Heard]) -> str:
    """The table in Markdown."""
    names = list(found[0].false)
    lines = [f"| sure to | heard | wrong word | {' | '.join(f'false an hour: {name}' for name in names)} | of a core |"]
    lines.append("| ---: " * (len(names) + 4) + "|")
    for each in found:
        false = " | ".join(f"{each.false[name]:.0f}" for name in names)
        lines.append(f"| {each.threshold:g} | {each.words:.0%} | {each.wrong:.0%} | {false} | {each.share:.0%} |")
    good = [f"{each.threshold:g}" for each in found if each.good]
    lines.append(f"good enough: {', '.join(good) or 'none'}")
    return "\n".join(lines)


if __name__ == "__main__":
    try:
        import pocketsphinx  # noqa: F401
    except ImportError:
        sys.exit("install the recogniser first: pip install pocketsphinx")
    print(as_table(measure()))
