"""How the lines of the step screen are divided among its zones."""

from typing import NamedTuple

LOW = 16
"""Below this height, the next steps and the keys share one line."""
BEAT = ((48, 7), (32, 5), (20, 3), (0, 1))
"""Pairs of a least screen height and the number of lines the timer then takes."""
GROWN = 56
"""The least height at which the strings and the next steps stand in large type."""
LEAST_WORD = 6
"""The lines that the large field keeps while other zones can give way."""


class Room(NamedTuple):
    """How many lines each zone gets; `extra` are those for notices, the timer, and what comes before the knot."""

    word: int
    pair: int
    strings: int
    coming: int
    extra: int
    status: int


def room_for(
    height: int,
    *,
    strings_known: bool = True,
    drawn: bool = False,
    paired: bool = True,
    extra: int = 0,
    keeps_strings: bool = False,
) -> Room:
    """Divides a screen of `height` lines among the zones; the head takes one line.

    Where the instruction is `drawn`, the drawing shows the strings, and fewer next steps are listed. The `extra` lines
    come first from the next steps, of which one stays, then from the strings, then from the large field; with
    `keeps_strings`, from the large field before the last two lines of the strings.
    """
    strings, coming, status = _usual(height)
    if drawn:
        coming = min(coming, 3 if height >= GROWN else 2)
    if drawn or not strings_known:
        strings = 0
    # In the tiniest windows the knot's name comes first, then the pair.
    strings = max(0, min(strings, height - 2 - coming - status))
    left = height - 1 - strings - coming - status
    pair = max(0, min(_pair(left), left - 1)) if paired else 0
    word = max(1, left - pair)
    taken, coming = _give(extra, coming, min(coming, 1))
    taken, strings = _give(taken, strings, min(strings, 2 if height >= LOW or keeps_strings else 0))
    taken, word = _give(taken, word, min(word, 3 if keeps_strings else LEAST_WORD))
    taken, strings = _give(taken, strings, 0)
    taken, word = _give(taken, word, min(word, 3))
    taken, pair = _give(taken, pair, 0)
    return Room(word, pair, strings, coming, extra - taken, status)


def _usual(height: int) -> tuple[int, int, int]:
    """The lines of the strings, of the next steps, and of the last line by itself."""
    if height >= GROWN:
        return 10 + (height >= 80) * 4, 9 if height < 80 else 12, 1
    if height >= 20:
        return 5 + (height >= 32) + (height >= 48), 3, 1
    if height >= LOW:
        return 3, 3, 1
    return 2, 1, 0


def _pair(left: int) -> int:
    if left < 10:
        return 2
    if left < 24:
        return max(4, left // 4)
    return max(9, left // 3)


def _give(wanted: int, has: int, keeps: int) -> tuple[int, int]:
    """What is still wanted, and what is left, when a zone gives all it can."""
    given = min(wanted, has - keeps)
    return wanted - given, has - given
