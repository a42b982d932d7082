"""A search that a word ends, typed while it runs."""

import time
from collections.abc import Callable

from benchmate.plain.answers import Answers

STOP_LOOKING = "keep"
"""The word that ends a search."""
LOOK_FOR_WORD = 0.2
"""Seconds between two looks for that word."""


class Stopped(Exception):
    """The search was cancelled."""


def looks_for_word(answers: Answers) -> Callable[[int, int], None]:
    """What a search calls: it raises Stopped when the word for that is the next answer."""
    looked = time.monotonic()

    def look(laid: int, of: int) -> None:
        nonlocal looked
        if time.monotonic() - looked >= LOOK_FOR_WORD:
            looked = time.monotonic()
            if answers.comes_next(STOP_LOOKING):
                raise Stopped

    return look
