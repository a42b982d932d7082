"""How long words take to speak, so that a prompt is no longer than its level allows."""

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence

from benchmate.craft.wording.prompt_parts import Level

SECONDS = {Level.SHORT: 5.0, Level.SPARSE: 3.0}
"""The longest prompt of a level, in seconds at 150 words a minute; the full level has no such limit."""
MOST = 300
"""The most characters in a prompt; the voice drops the rest of a longer text."""
OFF_BY = 0.12
"""Seconds that the estimate may be too low for the words that prompts are made of."""
OFF_BY_A_WORD, WORDS_OFF = 0.1, 4
"""How many seconds more for each other word (a colour, a text), up to so many words: errors even out."""

# Least squares over the lengths that espeak-ng gave 9,000 prompts of all kinds, and 1,200 lengths to cut, without the
# pause it adds at the end.
_SECONDS_OF = {
    0.08: "a",
    0.12: "in",
    0.14: "the",
    0.16: "to of",
    0.18: "up",
    0.23: "eight out",
    0.24: "row",
    0.25: "eighths",
    0.27: "ten all",
    0.28: "from two three earlier hundred base quarter",
    0.29: "right one eighty then done bring back metre",
    0.3: "left another move hear",
    0.31: "middle cut",
    0.32: "four",
    0.33: "eighth more",
    0.34: "pairs lark's head third",
    0.35: "pick",
    0.36: "fourth fifth tenth start later undo and",
    0.37: "six nine eighteen last turn take quarters",
    0.38: "first ninth band across leading",
    0.39: "five slot",
    0.4: "finish metres strand",
    0.41: "thirty fifty ninety",
    0.42: "forty eighteenth repeat begin inches",
    0.43: "seven twelve string",
    0.44: "eleven",
    0.45: "sixth step",
    0.46: "twenty sixty jumped",
    0.48: "forward backward second",
    0.49: "twelfth",
    0.5: "fourteen fifteen seventh eleventh",
    0.51: "thirteen nineteen",
    0.53: "seventy",
    0.54: "sixteen nineteenth",
    0.55: "folded strings",
    0.56: "thirteenth",
    0.58: "thousand fourteenth",
    0.59: "fifteenth twentieth",
    0.62: "sixteenth",
    0.64: "seventeen",
    0.66: "centimetre",
    0.74: "seventeenth",
    0.8: "centimetres",
}
_KNOWN = {word: seconds for seconds, words in _SECONDS_OF.items() for word in words.split()}
_ONCE, _STOP, _PAUSE, _LETTER, _WORD = [0.114, 0.464, 0.276, 0.053, 0.087]
_WORDS = re.compile(r"\d+|[^\W\d_]+(?:'[^\W\d_]+)?")
_PAUSES, _STOPS = re.compile(r"[,;:](?=\s)"), re.compile(r"[.?!](?=\s)")
_SMALL = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS = ("ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_LARGE = ((1000, "thousand"), (100, "hundred"))


def seconds(words: str) -> float:
    """About how long the words take at 150 words a minute."""
    return _seconds(words, list(_spoken(words)))


def at_most(words: str) -> float:
    """How long the words take at most."""
    spoken = list(_spoken(words))
    unknown = sum(word not in _KNOWN for word in spoken)
    return _seconds(words, spoken) + OFF_BY + OFF_BY_A_WORD * min(WORDS_OFF, unknown)


def is_short_enough(words: str, level: Level) -> bool:
    """True when the words surely fit into one prompt of that level."""
    return level not in SECONDS or at_most(words) <= SECONDS[level]


def _seconds(words: str, spoken: list[str]) -> float:
    each = sum(_KNOWN[word] if word in _KNOWN else _WORD + _LETTER * len(word) for word in spoken)
    return _ONCE + each + _PAUSE * len(_PAUSES.findall(words)) + _STOP * len(_STOPS.findall(words))


def _spoken(words: str) -> Iterator[str]:
    """The words as they are spoken, numbers too."""
    for word in _WORDS.findall(words.lower()):
        yield from _number(word) if word.isdecimal() else (word,)


def _number(digits: str) -> list[str]:
    """The words of a number: `one hundred and four`; of a very long one its digits."""
    if len(digits) > 6:
        return [_SMALL[int(digit)] for digit in digits]
    number = int(digits)
    for unit, name in _LARGE:
        if number >= unit:
            rest = number % unit
            after = [*(["and"] if unit == 100 else []), *_number(str(rest))] if rest else []
            return [*_number(str(number // unit)), name, *after]
    if number < len(_SMALL):
        return [_SMALL[number]]
    return [_TENS[number // 10 - 1], *([_SMALL[number % 10]] if number % 10 else [])]


MORE = ", more to hear"
"""Ends a text that was cut."""
_ENDS = re.compile(r"(?<=\w)(?=\W|$)")
_PHRASE_ENDS = re.compile(r"(?<=\w)(?=[,.;:?!])")
_LEADS_ON = re.compile(r"(\W+(a|an|and|at|each|for|from|in|its|of|on|or|over|the|then|to|under|with|your))+$")


def cut(words: str, fits: Callable[[str], bool]) -> str:
    """As much of a text as fits, to the end of a phrase or a word, with `MORE` after it."""
    reach = _reach(words, range(1, len(words) + 1), fits)
    for ends in (_PHRASE_ENDS, _ENDS):
        at = _reach(words, [match.end() for match in ends.finditer(words)], fits)
        # A phrase that leaves most of the room empty gives way to words.
        if at and (ends is _ENDS or 2 * at >= reach):
            return _LEADS_ON.sub("", words[:at]) + MORE
    return words[:reach] + MORE


def _reach(words: str, places: Sequence[int], fits: Callable[[str], bool]) -> int:
    """The last of these places up to which the text fits with `MORE` after it; 0 for none."""
    at = bisect_right(places, 0, key=lambda place: 0 if fits(words[:place] + MORE) else 1)
    return places[at - 1] if at else 0
