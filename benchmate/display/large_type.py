"""Large type for the bench: bold capitals built from quadrant block characters, at any size that fits.

Sizes are in half-cells: half a character cell in each direction, twice as tall as wide.
"""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import ceil
from typing import Literal

from benchmate.display.letterforms import FORMS, form, letter_width, stroke_widths

MIN_ROWS = 2.5
"""The height of the smallest capitals, in cells (5 half-cells)."""
SMALLEST = int(2 * MIN_ROWS)
"""The same in half-cells."""

Align = Literal["left", "centre"]
"""How shorter lines are aligned to the longest."""

_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
_CELL = {tuple(f"{code:04b}"[::-1]): block for code, block in enumerate(_QUADRANTS)}
_QUARTERS = {block: "".join(cell) for cell, block in _CELL.items()}
_LETTERS = re.compile(r"\S{1,100}")
TIED = "\N{NO-BREAK SPACE}"
"""A space at which no line breaks, as within `1 m 88 cm`."""
_NARROWEST, _BROADEST = 0.8, 1.43
"""Limits for a standard capital's width divided by its height, in half-cells. Natural is 1.3 (0.65 to the eye): the
narrowest is stretched 1.6 times upwards, the broadest 1.1 times sideways. Chosen by eye."""


def _in_capitals(text: str) -> str:
    """The text in the characters that have letterforms."""
    return text.replace("\u2019", "'").upper()


def can_draw(text: str) -> bool:
    """Whether every character of `text` is a space or has a letterform (lower case is drawn as capitals)."""
    return all(character in (" ", TIED) or _in_capitals(character) in FORMS for character in text)


def _parts(text: str) -> list[tuple[str, bool]]:
    """The parts a line may break between, each with whether a space comes before it."""
    parts = []
    for word in text.split(" "):
        if not word.strip():
            continue
        start = 0
        for at in range(1, len(word)):
            if word[at - 1] == "-" != word[at] and word[start:at].strip("-"):
                parts.append((word[start:at], start == 0))
                start = at
        parts.append((word[start:], start == 0))
    return parts


def _may_fit(text: str, columns: int, rows: int) -> bool:
    """False when the text has more letters than fit even where all of them are the narrowest and lowest there are.

    No more of a longer text is looked at.
    """
    most = columns * ((2 * rows + _leading(SMALLEST)) // (SMALLEST + _leading(SMALLEST)))
    if len(text) <= most:
        return True
    letters = 0
    for found in _LETTERS.finditer(text):
        letters += found.end() - found.start()
        if letters > most:
            return False
    return True


class _TypeSize:
    """Capitals of one size, in half-cells: measures and draws a text in them."""

    __slots__ = ("_letters", "gap", "h", "space", "v", "w")

    def __init__(self, w: int, h: int) -> None:
        self.w, self.h = w, h
        self._letters: dict[str, int] = {}
        self.v, _ = stroke_widths(w, h)
        self.gap = max(1 if self.v < 3 else 2, (12 * w + 60) // 100)
        self.space = 2 * self.gap + (35 * w + 50) // 100
        """The gap between two words."""

    def width(self, part: str) -> int:
        """The width of a part, before kerning."""
        known = self._letters
        return sum([known.get(letter) or self._letter(letter) for letter in part]) + self.gap * (len(part) - 1)

    def _letter(self, letter: str) -> int:
        width = self.space - 2 * self.gap if letter == TIED else letter_width(letter, self.w, self.v)
        self._letters[letter] = width
        return width

    def may_hold(self, letters: Mapping[str, int], lines: int, limit: int) -> bool:
        """False when the letters (each with its number) are too wide for so many lines, wherever these break."""
        wide = sum([count * (self._letter(letter) + self.gap) for letter, count in letters.items()])
        return wide <= lines * (limit + self.gap)

    def lines(self, parts: list[tuple[str, bool]], limit: int) -> list[str] | None:
        """The fewest lines no wider than `limit`; None when a single part is wider."""
        lines: list[str] = []
        end = limit + 1
        for part, spaced in parts:
            width = self.width(part)
            if width > limit:
                return None
            before = self.space if spaced else self.gap
            if end + before + width <= limit:
                lines[-1] += " " * spaced + part
                end += before + width
            else:
                lines.append(part)
                end = width
        return lines

    def ink(self, line: str) -> tuple[int, list[int]]:
        """The width and the rows of a line."""
        rows = [0] * self.h
        x = 0
        before = ""
        for letter in line:
            if letter in (" ", TIED):
                x += self.space - self.gap
                before = ""
                continue
            width, ink = form(letter, self.w, self.h)
            if before:
                x -= _kerning(before, letter, self.w, self.h)
            for y, row in enumerate(ink):
                rows[y] |= row << x
            x += width + self.gap
            before = letter
        return x - self.gap, rows


@lru_cache(maxsize=1024)
def _kerning(left: str, right: str, w: int, h: int) -> int:
    """How far the right letter of a pair moves left into white space, as A does under W; at most w / 6."""
    (width, before), (across, after) = form(left, w, h), form(right, w, h)
    tail = [width - row.bit_length() for row in before]
    lead = [(row & -row).bit_length() - 1 if row else across for row in after]
    near = [min(lead[max(0, y - 1) : y + 2]) for y in range(h)]
    return min(w // 6, *map(int.__add__, tail, near))


@lru_cache(maxsize=512)
def _fit(text: str, columns: int, rows: int, tallest: int | None = None) -> tuple[_TypeSize, list[str]] | None:
    """The tallest capitals that fit, and the lines of text in them; None when none fit.

    They are no taller than `tallest`, in half-cells. Of several line breaks at that height, the one with the boldest
    stem, then the fewest lines, then the broadest letters.
    """
    parts = _parts(_in_capitals(text)) if _may_fit(text, columns, rows) and can_draw(text) else []
    if not parts:
        return None
    letters = Counter("".join([part for part, _ in parts]))
    for h in range(min(2 * rows, tallest or 2 * rows), SMALLEST - 1, -1):
        narrowest = max(ceil(h * _NARROWEST), 4 if h == SMALLEST else 6)
        most = (2 * rows + _leading(h)) // (h + _leading(h))
        best: tuple[int, int, int] | None = None
        found: tuple[_TypeSize, list[str]] | None = None
        for w in range(narrowest, int(h * _BROADEST) + 1):
            size = _TypeSize(w, h)
            if not size.may_hold(letters, most, 2 * columns):
                break
            lines = size.lines(parts, 2 * columns)
            if lines is None or len(lines) > most:
                break
            if best is None or (size.v, -len(lines), w) > best:
                best = (size.v, -len(lines), w)
                found = size, lines
        if found is not None:
            size, lines = found
            return size, _balanced(size, parts, lines, 2 * columns)
    return None


def _leading(h: int) -> int:
    """The smallest gap between two lines of capitals `h` high, in half-cells."""
    return max(1, h // 6)


def _balanced(size: _TypeSize, parts: list[tuple[str, bool]], lines: list[str], limit: int) -> list[str]:
    """The text in as many lines, the longest as short as possible."""
    low = 0
    while low < limit:
        middle = (low + limit) // 2
        shorter = size.lines(parts, middle)
        if shorter is not None and len(shorter) == len(lines):
            lines, limit = shorter, middle
        else:
            low = middle + 1
    return lines


@lru_cache(maxsize=512)
def draw(
    text: str, columns: int, rows: int, align: Align = "left", tallest: int | None = None
) -> tuple[str, ...] | None:
    """The text in the tallest type that fits into `columns` x `rows` character cells.

    With `tallest`, its capitals are at most so many half-cells high, and the drawing only as high as it needs.

    Lines break at spaces and after hyphens, never inside a word or at a `TIED` space, where that gives the tallest
    capitals. Of line breaks equally tall, the one with the bolder stem wins, then the one with fewer lines. A capital
    is stretched at most about 1.6 times upwards or 1.1 times sideways.

    Returns at most `rows` strings of quadrant block characters and spaces, all of one width of at most `columns`. They
    are trimmed to the ink at the sides, and run from the top to the foot of the capitals. None when a character has no
    letterform, when there is nothing to draw, or when the capitals would be lower than `MIN_ROWS` cells.
    """
    found = _fit(text, columns, rows, tallest)
    if found is None:
        return None
    size, lines = found
    inks = [size.ink(line) for line in lines]
    width = max(across for across, _ in inks)
    white = 0
    if len(lines) > 1:
        spare = (2 * rows - len(lines) * size.h) // (len(lines) - 1)
        white = min(spare, max(_leading(size.h), size.h // 4))
    page: list[int] = []
    for across, ink in inks:
        left = (width - across) // 2 if align == "centre" else 0
        page += [0] * white if page else []
        page += [row << left for row in ink]
    return quadrants(page)


def quadrants(page: list[int]) -> tuple[str, ...]:
    """Rows of half-cells as lines of quadrant block characters, trimmed to the ink at the sides."""
    inked = 0
    for row in page:
        inked |= row
    left = (inked & -inked).bit_length() - 1
    return blocks([row >> left for row in page], (inked.bit_length() - left + 1) // 2)


def blocks(page: list[int], width: int) -> tuple[str, ...]:
    """Rows of half-cells, the leftmost in bit 0, as lines of `width` quadrant block characters."""
    bits = [f"{row:0{2 * width}b}"[::-1] for row in [*page, 0]]
    return tuple(
        "".join([_CELL[cell] for cell in zip(top[::2], top[1::2], low[::2], low[1::2], strict=True)])
        for top, low in zip(bits[:-1:2], bits[1::2], strict=True)
    )


def lowered(drawing: Sequence[str]) -> tuple[str, ...]:
    """A drawing half a cell lower, where its lowest half-cells are free; otherwise as it is."""
    halves = [half for row in drawing for half in _halves(row)]
    if not drawing or halves[-1].strip("0"):
        return tuple(drawing)
    page = [int(half[::-1], 2) for half in ("0", *halves[:-1])]
    return blocks(page, len(drawing[0]))


def _halves(row: str) -> tuple[str, str]:
    """The upper and the lower half-cells of a line, the leftmost first."""
    cells = [_QUARTERS[cell] for cell in row]
    return "".join(cell[:2] for cell in cells), "".join(cell[2:] for cell in cells)


def capital_height(text: str, columns: int, rows: int, tallest: int | None = None) -> int:
    """The height of the capitals that `draw` gives, in cells, rounded down; 0 when `draw` gives None."""
    return half_cells_high(text, columns, rows, tallest) // 2


def half_cells_high(text: str, columns: int, rows: int, tallest: int | None = None) -> int:
    """The height of the capitals that `draw` gives, in half-cells; 0 when `draw` gives None."""
    found = _fit(text, columns, rows, tallest)
    return found[0].h if found else 0
