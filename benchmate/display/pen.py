"""The pen that the large letters are drawn with: spans, boxes, rings and diagonals of whole half-cells.

Units: the **half-cell**, half a character cell in both directions. A cell is taken to be twice as tall as
wide, so a half-cell is too; *x* counts half-cells to the right, *y* half-cells downwards, and a box is
``(x0, y0, x1, y1)`` with the last two exclusive.

A row of half-cells is one integer, the leftmost half-cell in bit 0, so that a stroke is filled by spans and not
point by point.
"""

from collections.abc import Callable
from functools import lru_cache
from math import ceil, hypot, sqrt

TL, TR, BL, BR = 1, 2, 4, 8
ROUND = TL | TR | BL | BR


@lru_cache(maxsize=512)
def _corner(rx: int, ry: int) -> tuple[int, ...]:
    """Inset of each row of a quarter ellipse of radii `rx`, `ry`, from its outermost row inwards."""
    if rx <= 0 or ry <= 0:
        return ()
    inset = [int(rx * (1 - sqrt(1 - ((ry - row - 0.4) / ry) ** 2)) + 0.5) for row in range(ry)]
    return (max(1, inset[0]), *inset[1:])


class Pen:
    """Draws one letter in a box `w` x `h` with stems `v` wide and bars `b` high, all in half-cells."""

    __slots__ = ("b", "h", "m", "rows", "v", "w")

    def __init__(self, w: int, h: int, v: int, b: int) -> None:
        self.w, self.h, self.v, self.b = w, h, v, b
        self.m = (h - b) // 2
        """Top of the middle bar."""
        self.rows = [0] * h

    def box(self, x0: int, y0: int, x1: int, y1: int) -> None:
        """Fill a rectangle."""
        span = ((1 << max(0, x1 - x0)) - 1) << x0
        for y in range(y0, y1):
            self.rows[y] |= span

    def cut(self, x0: int, y0: int, x1: int, y1: int) -> None:
        """Empty a rectangle."""
        span = ~(((1 << max(0, x1 - x0)) - 1) << x0)
        for y in range(y0, y1):
            self.rows[y] &= span

    def stem(self, x0: int, y0: int = 0, y1: int | None = None) -> None:
        """A vertical stroke with its left edge at `x0`."""
        self.box(x0, y0, x0 + self.v, self.h if y1 is None else y1)

    def bar(self, y0: int, x0: int = 0, x1: int | None = None) -> None:
        """A horizontal stroke with its top at `y0`."""
        self.box(x0, y0, self.w if x1 is None else x1, y0 + self.b)

    def ring(self, x0: int, y0: int, x1: int, y1: int, corners: int = ROUND) -> None:
        """A closed bowl filling a box, the given corners rounded; solid where a counter has no room."""
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
        """A diagonal filling a box from top left to bottom right, or `rising` from bottom left to top right.

        Its width along the row is such that it measures `weight` (the stem, unless given) across the stroke.
        """
        across = weight = weight or self.v
        steps = max(1, y1 - y0 - 1)
        if steps > 3:  # a shorter one does not look lighter than a stem
            for _ in range(3):
                run = x1 - x0 - across
                across = int(weight * hypot(run, 2 * steps) / (2 * steps) + 0.5)
        across = min(across, x1 - x0)
        run, span = x1 - x0 - across, (1 << across) - 1
        for step, y in enumerate(range(y0, y1)):
            x = x0 + (run - ceil(run * step / steps - 0.5) if rising else ceil(run * step / steps - 0.5))
            self.rows[y] |= span << x

    def mirror(self) -> None:
        """Add the left-to-right reflection of what is drawn."""
        for y, row in enumerate(self.rows):
            self.rows[y] = row | int(f"{row:0{self.w}b}"[::-1], 2)

    def turn(self) -> None:
        """Turn what is drawn by half a turn."""
        self.rows = [int(f"{row:0{self.w}b}"[::-1], 2) for row in reversed(self.rows)]

    def flip(self) -> None:
        """Turn what is drawn upside down."""
        self.rows.reverse()

    def stamp(self, other: "Pen", x: int, y: int) -> None:
        """Add what another pen has drawn, its top left corner at `x`, `y`."""
        for row, ink in enumerate(other.rows, y):
            self.rows[row] |= ink << x

    def join(self, y0: int, y1: int) -> None:
        """Fill each row from its leftmost to its rightmost ink."""
        for y in range(y0, y1):
            row = self.rows[y]
            self.rows[y] = (1 << row.bit_length()) - (row & -row)

    @property
    def small(self) -> bool:
        """Too low for the curves and slopes of the full form: a simpler one is drawn."""
        return self.h < 9

    @property
    def end(self) -> int:
        """Where the arm of an open bowl as high as the letter ends, from its top."""
        return min(max(self.b + 1, self.h * 3 // 10), max(self.b, self.m - 1))

    @property
    def nib(self) -> int:
        """Where the arm of an open bowl half as high ends, from its top."""
        return self.b + (self.m - self.b) // 2

    def curl(self, corner: int) -> int:
        """The corner of an open bowl half as high, or none when its arm is too short to turn."""
        return corner if self.nib > self.b else 0


Form = tuple[float, Callable[[Pen], None]]
"""A letterform: its width as a share of a standard capital's (never under one stem), and what draws it."""
