"""Reading the drawings of the alphabet, and putting an accent or a hook on a letter that has been read."""

from collections.abc import Sequence
from typing import NamedTuple

GROUND, INK = ".", "#"

Lines = tuple[str, ...]
"""Lines of `.` and `#`, all of one width, top line first."""


class Glyph(NamedTuple):
    """A letter as it is drawn: `above` of its lines stand over a plain capital, `below` hang under its foot."""

    lines: Lines
    above: int
    below: int

    @property
    def width(self) -> int:
        """Knots across, in the direction of reading."""
        return len(self.lines[0])


def read_blocks(drawings: str) -> list[tuple[str, Lines]]:
    """Every name with its lines, in the order of the drawings.

    Blocks are parted by an empty line. The first line of a block has the names; each line after it has one line of
    every drawing, in the same order, parted by spaces.
    """
    found: list[tuple[str, Lines]] = []
    for block in drawings.strip("\n").split("\n\n"):
        names, *lines = (line.split() for line in block.split("\n"))
        found += zip(names, zip(*lines, strict=True), strict=True)
    return found


def inked(lines: Lines) -> Lines:
    """The lines without the empty ones below the last ink."""
    return lines[: max(number for number, line in enumerate(lines, 1) if INK in line)]


def standing(lines: Lines, rows: int) -> Glyph:
    """A drawing as a letter: its first `rows` lines are those of a plain capital, and ink below them hangs."""
    kept = lines[: max(rows, len(inked(lines)))]
    return Glyph(kept, 0, len(kept) - rows)


def accented(letter: Glyph, accents: Sequence[Lines], leans_right: bool) -> Glyph:
    """The letter under an accent, one empty line between them and both over one middle.

    Of several accents it is the widest of those no wider than the letter (else the narrowest), and only of those with
    a middle in the same place if there are any: odd over odd, even over even. Where the middles are half a knot
    apart, the accent goes to the right or to the left.
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
    """The letter with a hook hung from its foot, which it touches: from its middle, or so that both end at the right.

    Where the hook is the wider one, both begin at the left.
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
