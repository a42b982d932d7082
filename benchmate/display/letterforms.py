"""The letterforms of the large type, and how to draw one at a size.

Stems and bars are a whole number of half-cells thick, so no edge is blurred. Bars have about half as many as stems,
so that both look equally heavy.
"""

from functools import lru_cache
from math import ceil

from benchmate.display.capitals import CAPITALS
from benchmate.display.digits_and_signs import DIGITS_AND_SIGNS
from benchmate.display.pen import Form, Pen

FORMS: dict[str, Form] = {**CAPITALS, **DIGITS_AND_SIGNS}
"""Every character that can be drawn, with its letterform."""

_CENTRED = frozenset("ATVWMXY1?+")
"""Characters with a stem or a point in the middle: box and stem must both be odd or both even."""


def stroke_widths(w: int, h: int) -> tuple[int, int]:
    """The thickness of stem and bar, in half-cells, for capitals `w` x `h`: bold, but with open counters.

    A stem is about 0.3 of the letter's width, and at least 1/8 of its height where a counter still fits.
    """
    v = max(1, min(max((3 * w + 4) // 10, ceil(h / 4)), 2 * (h // 5) + 1, w // 2 - 1))
    b = 2 if v == 3 and h > 9 else max(1, v // 2)
    return v, min(b, h // 5)


def letter_width(letter: str, w: int, v: int) -> int:
    """The width of a letter, in half-cells, when a standard capital is `w` wide and a stem `v`."""
    share = FORMS[letter][0]
    width = max(v, int(share * w + 0.5))
    if share > 0.8:
        width = max(width, 2 * v + 2)
    return width + (letter in _CENTRED and (width - v) % 2)


@lru_cache(maxsize=1024)
def form(letter: str, w: int, h: int) -> tuple[int, tuple[int, ...]]:
    """The width of a letter's ink, at most `letter_width`, and its rows."""
    v, b = stroke_widths(w, h)
    pen = Pen(letter_width(letter, w, v), h, v, b)
    FORMS[letter][1](pen)
    return max(row.bit_length() for row in pen.rows), tuple(pen.rows)
