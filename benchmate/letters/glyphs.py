"""Reads the drawings of the alphabet, and adds an accent or a hook to a letter."""

from collections.abc import Sequence
from typing import NamedTuple

GROUND, INK = ".", "#"

Lines = tuple[str, ...]
"""Lines of `.` and `#`, all of one width, top line first."""


class Glyph(NamedTuple):
    """A drawn letter: `above` of its lines are higher than a plain capital, `below` hang under the baseline."""

    lines: Lines
    above: int
    below: int

    @property
    def width(self) -> int:
        """The width in knots, in reading direction."""
        return len(self.lines[0])


def read_blocks(drawings: str) -> list[tuple[str, Lines]]:
    """Every name with its lines, in the order of the drawings.

    Empty lines separate the blocks. The first line of a block has the names. Each further line has one line of every
    drawing, in the same order, separated by spaces.
    """
    found: list[tuple[str, Lines]] = []
    for block in drawings.strip("\n").split("\n\n"):
        names, *lines = (line.split() for line in block.split("\n"))
        found += zip(names, zip(*lines, strict=True), strict=True)
    return found


def without_empty_rows(lines: Lines) -> Lines:
    """The lines without the empty ones at the bottom."""
    return lines[: max(number for number, line in enumerate(lines, 1) if INK in line)]


def as_glyph(lines: Lines, rows: int) -> Glyph:
    """A drawing as a letter: its first `rows` lines reach from the top of a plain capital to the baseline."""
    kept = lines[: max(rows, len(without_empty_rows(lines)))]
    return Glyph(kept, 0, len(kept) - rows)


def accented(letter: Glyph, accents: Sequence[Lines], leans_right: bool) -> Glyph:
    """The letter with a centred accent above it, one empty line between them.

    Of several accents, those centred exactly (odd width over odd, even over even) come first. Of these it is the widest
    no wider than the letter, or else the narrowest. An accent half a knot off centre goes to the right or to the left.
    """
    accent = _fitting(letter, accents)
    width = max(letter.width, len(accent[0]))
    top = next(number for number, line in enumerate(letter.lines) if INK in line) - letter.above
    above = max(letter.above, len(accent) + 1 - top)
    lines = [GROUND * width] * (above - letter.above)
    lines += [_centred(line, width, False) for line in letter.lines]
    first = above + top - 1 - len(accent)
    lines[first : first + len(accent)] = [_centred(line, width, leans_right) for line in accent]
    return Glyph(tuple(lines), above, letter.below)


def hooked(letter: Glyph, hook: Lines, at_the_right: bool) -> Glyph:
    """The letter with a hook that touches its foot: centred, or flush with its right edge.

    A hook wider than the letter is flush with its left edge.
    """
    width = max(letter.width, len(hook[0]))
    standing_on = [line.ljust(width, GROUND) for line in letter.lines]
    hanging = [line.rjust(width, GROUND) if at_the_right else _centred(line, width, False) for line in hook]
    return Glyph((*standing_on, *hanging), letter.above, letter.below + len(hook))


def _fitting(letter: Glyph, accents: Sequence[Lines]) -> Lines:
    same = [accent for accent in accents if (len(accent[0]) - letter.width) % 2 == 0] or accents
    widths = {len(accent[0]): accent for accent in same}
    return widths[max((width for width in widths if width <= letter.width), default=min(widths))]


def _centred(line: str, width: int, leans_right: bool) -> str:
    spare = width - len(line)
    left = (spare + leans_right) // 2
    return GROUND * left + line + GROUND * (spare - left)
