"""How long words take to speak, so that a prompt is no longer than its level allows."""

import re

from benchmate.craft.wording.prompt_parts import Level

SECONDS = {Level.SHORT: 5.0, Level.SPARSE: 3.0}
"""The longest prompt of a level, in seconds at 150 words a minute; the full level has no such limit."""
OFF_BY = 0.4
"""Seconds that the estimate may be too low."""
_WORD, _LETTER, _DIGIT = re.compile(r"\w+"), re.compile(r"[^\W\d_]"), re.compile(r"\d")


def seconds(words: str) -> float:
    """About how long the words take at 150 words a minute.

    The weights are a least-squares fit to the lengths that espeak-ng gave 400 prompts of every kind.
    """
    pauses = sum(map(words.count, ",.;:"))
    letters, digits = len(_LETTER.findall(words)), len(_DIGIT.findall(words))
    return 0.07 + 0.09 * len(_WORD.findall(words)) + 0.044 * letters + 0.41 * pauses + 0.27 * digits


def is_short_enough(words: str, level: Level) -> bool:
    """True when the words surely fit into one prompt of that level."""
    return level not in SECONDS or seconds(words) + OFF_BY <= SECONDS[level]
