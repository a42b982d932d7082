"""Large type for the bench: bold capitals built from quadrant block characters, at any size that fits.

Sizes are in half-cells: half a character cell in both directions, twice as tall as wide.
"""

from functools import lru_cache
from math import ceil
from typing import Literal

from benchmate.display.letterforms import FORMS, form, letter_width, strokes

MIN_ROWS = 2.5
"""The lowest capitals that are drawn, in cells (5 half-cells)."""

Align = Literal["left", "centre"]
"""Where the shorter lines of a text stand under the longest."""

_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
_CELL = {tuple(f"{code:04b}"[::-1]): block for code, block in enumerate(_QUADRANTS)}
_MIN_HEIGHT = int(2 * MIN_ROWS)
_NARROWEST, _BROADEST = 0.8, 1.43
"""Width of a standard capital over its height, in half-cells. Natural is 1.3 (0.65 to the eye): at the
narrowest it is stretched 1.6 times upwards, at the broadest 1.1 times sideways. Chosen by eye."""


def _plain(text: str) -> str:
    """The text as the characters that have forms."""
    return text.replace("\u2019", "'").upper()


def can_draw(text: str) -> bool:
    """Whether every character of `text` is a space or has a letterform (lower case is drawn as capitals)."""
    return all(character == " " or _plain(character) in FORMS for character in text)


def _parts(text: str) -> list[tuple[str, bool]]:
    """The pieces between which a line may break, each with whether a space stands before it."""
    parts = []
    for word in text.split():
        start = 0
        for at in range(1, len(word)):
            if word[at - 1] == "-" != word[at] and word[start:at].strip("-"):
                parts.append((word[start:at], start == 0))
                start = at
        parts.append((word[start:], start == 0))
    return parts


class _Measure:
    """Capitals of one size, in half-cells: what a text set in them measures, and its drawing."""

    __slots__ = ("gap", "h", "space", "v", "w")

    def __init__(self, w: int, h: int) -> None:
        self.w, self.h = w, h
        self.v, _ = strokes(w, h)
        self.gap = max(1 if self.v < 3 else 2, (12 * w + 60) // 100)
        self.space = 2 * self.gap + (35 * w + 50) // 100
        """From the last letter of a word to the first of the next."""

    def width(self, part: str) -> int:
        """Width of a part, before any pair is moved together."""
        return sum([letter_width(letter, self.w, self.v) for letter in part]) + self.gap * (len(part) - 1)

    def lines(self, parts: list[tuple[str, bool]], limit: int) -> list[str] | None:
        """The fewest lines no wider than `limit`; None when a part alone is wider."""
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
        """Width and rows of a line."""
        rows = [0] * self.h
        x = 0
        before = ""
        for letter in line:
            if letter == " ":
                x += self.space - self.gap
                before = ""
                continue
            width, ink = form(letter, self.w, self.h)
            if before:
                x -= _slack(before, letter, self.w, self.h)
            for y, row in enumerate(ink):
                rows[y] |= row << x
            x += width + self.gap
            before = letter
        return x - self.gap, rows


@lru_cache(maxsize=1024)
def _slack(left: str, right: str, w: int, h: int) -> int:
    """How far the right letter of a pair moves into the white before it, as A does under W; at most w / 6."""
    (width, before), (across, after) = form(left, w, h), form(right, w, h)
    tail = [width - row.bit_length() for row in before]
    lead = [(row & -row).bit_length() - 1 if row else across for row in after]
    near = [min(lead[max(0, y - 1) : y + 2]) for y in range(h)]
    return min(w // 6, *map(int.__add__, tail, near))


@lru_cache(maxsize=256)
def _fit(text: str, columns: int, rows: int) -> tuple[_Measure, list[str]] | None:
    """The tallest capitals that go, and the lines they stand in; None when none do.

    Of several line breakings at that height, the one with the boldest stem; then the fewest lines; then the
    broadest letters.
    """
    parts = _parts(_plain(text)) if can_draw(text) else []
    if not parts:
        return None
    for h in range(2 * rows, _MIN_HEIGHT - 1, -1):
        narrowest = max(ceil(h * _NARROWEST), 4 if h == _MIN_HEIGHT else 6)
        most = (2 * rows + _leading(h)) // (h + _leading(h))
        best: tuple[int, int, int] | None = None
        found: tuple[_Measure, list[str]] | None = None
        for w in range(narrowest, int(h * _BROADEST) + 1):
            size = _Measure(w, h)
            lines = size.lines(parts, 2 * columns)
            if lines is None or len(lines) > most:
                break
            if best is None or (size.v, -len(lines), w) > best:
                best = (size.v, -len(lines), w)
                found = size, lines
        if found is not None:
            size, lines = found
            return size, _even(size, parts, lines, 2 * columns)
    return None


def _leading(h: int) -> int:
    """The least white between two lines of capitals `h` high, in half-cells."""
    return max(1, h // 6)


def _even(size: _Measure, parts: list[tuple[str, bool]], lines: list[str], limit: int) -> list[str]:
    """The same number of lines, the longest as short as it can be."""
    low = 0
    while low < limit:
        middle = (low + limit) // 2
        shorter = size.lines(parts, middle)
        if shorter is not None and len(shorter) == len(lines):
            lines, limit = shorter, middle
        else:
            low = middle + 1
    return lines


@lru_cache(maxsize=256)
def draw(text: str, columns: int, rows: int, align: Align = "left") -> tuple[str, ...] | None:
    """The text in the tallest type that fits into `columns` x `rows` character cells.

    Lines break at spaces and after hyphens, never inside a word, where the capitals come out tallest; of two
    ways equally tall, the one with the bolder stem, then the one with fewer lines. A capital is at most about
    1.6 times as tall, and at most 1.1 times as wide, as its natural proportion.

    Returns at most `rows` strings, all of one width of at most `columns`, of quadrant block characters and
    spaces: trimmed at the sides to the ink, and from the top to the foot of the capitals. None when a
    character has no letterform, when there is nothing to draw, or when the capitals would be lower than
    `MIN_ROWS` cells.
    """
    found = _fit(text, columns, rows)
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
    """Rows of half-cells as lines of quadrant block characters, trimmed at the sides to the ink."""
    inked = 0
    for row in page:
        inked |= row
    left = (inked & -inked).bit_length() - 1
    width = inked.bit_length() - left
    width += width % 2
    bits = [f"{row >> left:0{width}b}"[::-1] for row in [*page, 0]]
    return tuple(
        "".join([_CELL[cell] for cell in zip(top[::2], top[1::2], low[::2], low[1::2], strict=True)])
        for top, low in zip(bits[:-1:2], bits[1::2], strict=True)
    )


def heights(text: str, columns: int, rows: int) -> int:
    """Height of the capitals that `draw` gives, in whole cells (a half left out); 0 when that is None."""
    found = _fit(text, columns, rows)
    return found[0].h // 2 if found else 0
