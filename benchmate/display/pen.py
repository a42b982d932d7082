"""The pen that draws the large letters: boxes, rings and diagonals of whole half-cells.

The unit is the half-cell: half a character cell in each direction, twice as tall as wide. x counts to the right, y
down. A box is `(x0, y0, x1, y1)`, the last two exclusive.

A row of half-cells is one integer with the leftmost half-cell in bit 0, so a stroke is filled row by row instead of
point by point.
"""

from collections.abc import Callable
from functools import lru_cache
from math import ceil, hypot, sqrt

TL, TR, BL, BR = 1, 2, 4, 8
ROUND = TL | TR | BL | BR


@lru_cache(maxsize=512)
def _corner(rx: int, ry: int) -> tuple[int, ...]:
    """The inset of each row of a quarter ellipse of radii `rx`, `ry`, outermost row first."""
    if rx <= 0 or ry <= 0:
        return ()
    inset = [int(rx * (1 - sqrt(1 - ((ry - row - 0.4) / ry) ** 2)) + 0.5) for row in range(ry)]
    return (max(1, inset[0]), *inset[1:])


class Pen:
    """Draws one letter in a box of `w` x `h` half-cells, with stems `v` wide and bars `b` high."""

    __slots__ = ("b", "h", "m", "rows", "v", "w")

    def __init__(self, w: int, h: int, v: int, b: int) -> None:
        self.w, self.h, self.v, self.b = w, h, v, b
        self.m = (h - b) // 2
        """The top of the middle bar."""
        self.rows = [0] * h

    def box(self, x0: int, y0: int, x1: int, y1: int) -> None:
        """Fill a rectangle."""
        span = ((1 << max(0, x1 - x0)) - 1) << x0
        for y in range(y0, y1):
            self.rows[y] |= span

    def cut(self, x0: int, y0: int, x1: int, y1: int) -> None:
        """Clear a rectangle."""
        span = ~(((1 << max(0, x1 - x0)) - 1) << x0)
        for y in range(y0, y1):
            self.rows[y] &= span

    def stem(self, x0: int, y0: int = 0, y1: int | None = None) -> None:
        """Draw a vertical stroke with its left edge at `x0`."""
        self.box(x0, y0, x0 + self.v, self.h if y1 is None else y1)

    def bar(self, y0: int, x0: int = 0, x1: int | None = None) -> None:
        """Draw a horizontal stroke with its top at `y0`."""
        self.box(x0, y0, self.w if x1 is None else x1, y0 + self.b)

    def ring(self, x0: int, y0: int, x1: int, y1: int, corners: int = ROUND) -> None:
        """Draw a closed bowl that fills a box, with the given corners rounded; solid if no counter fits."""
        v, b = self.v, self.b
        ry = max(1, min((y1 - y0) * 2 // 5, (x1 - x0) // 4))
        rx = min(2 * ry, (x1 - x0) // 2)
        if v == 1 or y1 - y0 < 4:
            rx = ry = 1
        if min(x1 - x0, y1 - y0) < 3:
            rx = ry = 0
        outer = _corner(rx, ry)
        inner = _corner(rx - v, ry - b) if x1 - x0 - 2 * v > 3 else ()
        self._rounded(x0, y0, x1, y1, corners, outer, erase=False)
        self._rounded(x0 + v, y0 + b, x1 - v, y1 - b, corners, inner, erase=True)

    def _rounded(
        self, x0: int, y0: int, x1: int, y1: int, corners: int, inset: tuple[int, ...], *, erase: bool
    ) -> None:
        for y in range(y0, y1):
            left = right = 0
            for row, at_left, at_right in ((y - y0, TL, TR), (y1 - 1 - y, BL, BR)):
                if row < len(inset):
                    left = max(left, inset[row] if corners & at_left else 0)
                    right = max(right, inset[row] if corners & at_right else 0)
            span = ((1 << max(0, x1 - x0 - left - right)) - 1) << (x0 + left)
            self.rows[y] = self.rows[y] & ~span if erase else self.rows[y] | span

    def slant(self, x0: int, y0: int, x1: int, y1: int, *, rising: bool = False, weight: int = 0) -> None:
        """Draw a diagonal through a box from top left to bottom right, or `rising` from bottom left to top right.

        `weight` is its thickness across the stroke, a stem's unless given.
        """
        across = weight = weight or self.v
        steps = max(1, y1 - y0 - 1)
        if steps > 3:  # a shorter one looks as heavy as a stem already
            for _ in range(3):
                run = x1 - x0 - across
                across = int(weight * hypot(run, 2 * steps) / (2 * steps) + 0.5)
        across = min(across, x1 - x0)
        run, span = x1 - x0 - across, (1 << across) - 1
        for step, y in enumerate(range(y0, y1)):
            x = x0 + (run - ceil(run * step / steps - 0.5) if rising else ceil(run * step / steps - 0.5))
            self.rows[y] |= span << x

    def mirror(self) -> None:
        """Add the mirror image, left to right, of what is drawn."""
        for y, row in enumerate(self.rows):
            self.rows[y] = row | int(f"{row:0{self.w}b}"[::-1], 2)

    def turn(self) -> None:
        """Rotate what is drawn by half a turn."""
        self.rows = [int(f"{row:0{self.w}b}"[::-1], 2) for row in reversed(self.rows)]

    def flip(self) -> None:
        """Flip what is drawn upside down."""
        self.rows.reverse()

    def stamp(self, other: "Pen", x: int, y: int) -> None:
        """Add another pen's drawing, its top left corner at `x`, `y`."""
        for row, ink in enumerate(other.rows, y):
            self.rows[row] |= ink << x

    def join(self, y0: int, y1: int) -> None:
        """Fill each row from its leftmost to its rightmost ink."""
        for y in range(y0, y1):
            row = self.rows[y]
            self.rows[y] = (1 << row.bit_length()) - (row & -row)

    @property
    def small(self) -> bool:
        """Whether the letter is too low for full curves and slopes, so a simpler form is drawn."""
        return self.h < 9

    @property
    def end(self) -> int:
        """Where the arm of an open bowl of full height ends, from its top."""
        return min(max(self.b + 1, self.h * 3 // 10), max(self.b, self.m - 1))

    @property
    def nib(self) -> int:
        """Where the arm of an open bowl of half height ends, from its top."""
        return self.b + (self.m - self.b) // 2

    def curl(self, corner: int) -> int:
        """The rounded corner of an open bowl of half height, or none when its arm is too short to curl."""
        return corner if self.nib > self.b else 0


Form = tuple[float, Callable[[Pen], None]]
"""A letterform: its width relative to a standard capital (at least one stem), and the function that draws it."""
