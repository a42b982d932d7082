"""The lengths of prompts against the speech engine itself (espeak-ng at 150 words a minute)."""

import pytest

from benchmate.craft.laying_out import aloud
from benchmate.craft.thread.cutting_steps.to_cut import KnownThread
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.ways import Way
from benchmate.craft.wording.length_words import UNITS
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.spoken_length import SECONDS, at_most
from benchmate.design_files.load import load
from benchmate.piece_opening import whole_of
from tests.measure.prompts import RATE, longest, prompts_of
from tests.reference_voice import Asked, lengths

SAMPLES = [
    ("moth-at-the-window", "segments", "run"),
    ("framed-quince", "rows", "row"),
    ("knot-by-knot", "rows", "run"),
    ("street-at-dusk", "rows", "row"),
    ("mooring-line", "rows", "row"),
    ("wrapped-cord-end", "rows", "knot"),
]
"""Designs with many strings, many pick-ups, moves and long texts: each a way of working and what one press counts."""
FEW = 4
"""How many of the longest prompts of each are spoken."""


@pytest.mark.parametrize("level", list(SECONDS), ids=lambda level: level.value)
def test_no_prompt_is_longer_than_its_level_allows(level: Level) -> None:
    said: list[str] = []
    for name, by, press in SAMPLES:
        way = Way(by)
        found = {words for _, words in prompts_of(whole_of(load(name), 1, way), way, level, press, "larks-head")}
        assert found
        said += longest(found, FEW)
    taken = dict(zip(said, lengths([Asked(words, RATE) for words in said]), strict=True))
    assert {words: seconds for words, seconds in taken.items() if seconds > SECONDS[level]} == {}
    # The estimate errs on the long side.
    assert {words: seconds for words, seconds in taken.items() if seconds > at_most(words)} == {}
    assert max(taken.values()) > SECONDS[level] - 0.5


def test_the_estimate_is_close() -> None:
    texts = [
        "forward",
        "turn, cut deep, bring foam across, second from the right, 7 forward",
        "rust, nineteenth from the left, lark's head backward",
        "off white, first from the right, going left, 3 backward, then backward-forward",
        "take out forward-backward, moss over sand, fourth from the left, 12 more",
        "jumped to row 128, eleventh from right, backward",
        "17 to 31, then 25 to 7",
        "repeat 12 done, turn, 24 forward",
    ]
    for words, seconds in zip(texts, lengths([Asked(words, RATE) for words in texts]), strict=True):
        assert seconds <= at_most(words) <= seconds + 0.8, words


TO_CUT = ("bud-and-leaf", "hearts-in-the-drawer", "mooring-line")
"""Designs with folded lengths, base strings and leading strings, and strands."""


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("level", list(SECONDS), ids=lambda level: level.value)
def test_no_length_to_cut_takes_longer_to_say_than_its_level_allows(level: Level, units: str) -> None:
    said: set[str] = set()
    for name in TO_CUT:
        file = load(name)
        cutting = whole_of(file, file.design.repeats, Way(), thread=KnownThread(Estimate(), units)).cutting_out()
        assert cutting is not None
        said |= set(longest({aloud(step, level, "cut the lengths") for step in cutting.steps}, FEW))
    taken = dict(zip(said, lengths([Asked(words, RATE) for words in said]), strict=True))
    assert {words: seconds for words, seconds in taken.items() if seconds > min(SECONDS[level], at_most(words))} == {}
    assert max(taken.values()) > SECONDS[level] / 2
