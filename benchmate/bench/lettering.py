"""Large type for the bench: bold capitals built from quadrant block characters, at any size that fits.

Units: the **half-cell**, half a character cell in both directions. A cell is taken to be twice as tall as
wide, so a half-cell is too; *x* counts half-cells to the right, *y* half-cells downwards, and a box is
``(x0, y0, x1, y1)`` with the last two exclusive.

Every letter is drawn for its own box with a stem of a whole number of half-cells across and a bar of a whole
number down, about half as many, so that both look equally heavy and no edge is blurred. A row of half-cells
is one integer, the leftmost half-cell in bit 0, so that a stroke is filled by spans and not point by point.

In order: the pen, the letterforms, the setting of a text in them.
"""

from collections.abc import Callable
from functools import lru_cache
from math import ceil, hypot, sqrt
from typing import Literal

MIN_ROWS = 2.5
"""The lowest capitals that are drawn, in cells (5 half-cells)."""

Align = Literal["left", "centre"]
"""Where the shorter lines of a text stand under the longest."""

_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
_CELL = {tuple(f"{code:04b}"[::-1]): block for code, block in enumerate(_QUADRANTS)}
_MIN_HEIGHT = int(2 * MIN_ROWS)
_NARROWEST, _BROADEST = 0.8, 1.43
"""Width of a standard capital over its height, in half-cells. Natural is 1.3 (0.65 to the eye): at the
narrowest it is stretched 1.6 times upwards, at the broadest 1.1 times sideways."""

_TL, _TR, _BL, _BR = 1, 2, 4, 8
_ROUND = _TL | _TR | _BL | _BR


@lru_cache(maxsize=512)
def _corner(rx: int, ry: int) -> tuple[int, ...]:
    """Inset of each row of a quarter ellipse of radii `rx`, `ry`, from its outermost row inwards."""
    if rx <= 0 or ry <= 0:
        return ()
    inset = [int(rx * (1 - sqrt(1 - ((ry - row - 0.4) / ry) ** 2)) + 0.5) for row in range(ry)]
    return (max(1, inset[0]), *inset[1:])


class _Pen:
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

    def ring(self, x0: int, y0: int, x1: int, y1: int, corners: int = _ROUND) -> None:
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
            for row, at_left, at_right in ((y - y0, _TL, _TR), (y1 - 1 - y, _BL, _BR)):
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

    def stamp(self, other: "_Pen", x: int, y: int) -> None:
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


def _a(p: _Pen) -> None:
    if p.small or p.w - 2 * p.v < 5:
        p.ring(0, 0, p.w, p.h, _TL | _TR)
        p.cut(p.v, p.h - p.b, p.w - p.v, p.h)
        p.bar(p.m + (p.h > 6))
        return
    p.slant(0, 0, (p.w + p.v) // 2 - p.v // 4, p.h)
    p.mirror()
    p.flip()
    bar = p.h - p.b - max(2, p.h // 5)
    p.join(bar, bar + p.b)


def _b(p: _Pen) -> None:
    p.ring(0, 0, p.w - (p.w - 2 * p.v > 4), p.m + p.b, _TR | _BR)
    p.ring(0, p.m, p.w, p.h, _TR | _BR)
    p.stem(0)


def _c(p: _Pen) -> None:
    end = p.b + 1 if p.small else p.end
    p.ring(0, 0, p.w, p.h)
    p.cut(p.w // 2, end, p.w, p.h - end)


def _d(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h, _TR | _BR)


def _e(p: _Pen) -> None:
    _f(p)
    p.bar(p.h - p.b)


def _f(p: _Pen) -> None:
    p.stem(0)
    p.bar(0)
    p.bar(p.m, 0, p.w - max(1, p.w // 8))


def _g(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h)
    p.cut(p.w // 2, p.end, p.w, p.m)
    p.bar(p.m, p.w // 2)


def _h(p: _Pen) -> None:
    p.stem(0)
    p.stem(p.w - p.v)
    p.bar(p.m)


def _i(p: _Pen) -> None:
    p.stem(0)


def _j(p: _Pen) -> None:
    _u(p)
    p.cut(0, 0, p.w - p.v, p.h - max(p.end, p.b + 1))


def _k(p: _Pen) -> None:
    fork = p.v if p.small or p.w < 3 * p.v else p.v * 3 // 4
    if p.v == 1:
        fork = max(fork, p.w - p.m - 1)
        p.bar(p.m, 0, fork)
    p.stem(0)
    p.slant(fork, 0, p.w, p.m + p.b, rising=True)
    p.slant(fork, p.h - p.m - p.b, p.w, p.h)


def _l(p: _Pen) -> None:
    p.stem(0)
    p.bar(p.h - p.b)


def _m(p: _Pen) -> None:
    middle = p.v - p.v // 5
    middle -= (p.w - middle) % 2
    p.slant(0, 0, (p.w + middle) // 2, p.h * 4 // 5 if p.v > 1 else (p.w + 1) // 2, weight=middle)
    p.mirror()
    p.stem(0)
    p.stem(p.w - p.v)


def _n(p: _Pen) -> None:
    p.slant(0, 0, p.w, p.h)
    p.stem(0)
    p.stem(p.w - p.v)


def _o(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h)


def _p(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.m + p.b + (p.h > 9), _TR | _BR)
    p.stem(0)


def _q(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h - (p.b + 1) // 2)
    if p.small:
        p.bar(p.h - p.b, p.w // 2)
    else:
        p.slant(p.w // 2, p.h - 2 * p.b - 1, p.w, p.h)


def _r(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.m + p.b, _TR | _BR)
    p.stem(0)
    knee = p.m + p.b
    foot = p.w - p.v
    p.slant(min(max(p.v + 1, p.w // 3, foot - p.v * (p.h - knee - 1)), foot - 1), knee, p.w, p.h)


def _s(p: _Pen) -> None:
    low = _Pen(p.w, p.h - p.m, p.v, p.b)
    low.ring(0, 0, low.w, low.h, _TR | p.curl(_BL) | _BR)
    low.cut(0, 0, low.w // 2, low.h - p.nib)
    p.ring(0, 0, p.w, p.m + p.b, _TL | p.curl(_TR) | _BL)
    p.cut(p.w // 2, p.nib, p.w, p.m + p.b)
    p.stamp(low, 0, p.m)


def _t(p: _Pen) -> None:
    p.bar(0)
    p.stem((p.w - p.v) // 2)


def _u(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h, _BL | _BR)
    p.cut(p.v, 0, p.w - p.v, p.b)


def _v(p: _Pen) -> None:
    p.slant(0, 0, (p.w + p.v) // 2, p.h)
    p.mirror()


def _w(p: _Pen) -> None:
    if p.w <= min(5 * p.v, 2 * p.v + 10):  # too narrow for four slopes with light between them
        knee = p.h - 2 * p.b
        p.stem(0, 0, knee)
        p.stem((p.w - p.v) // 2, p.b, knee)
        p.bar(knee, p.v // 2, p.w - p.v // 2)
        p.stem((p.w - p.v) // 4, knee + p.b)
        p.mirror()
        return
    middle = p.v - p.v // 5
    middle -= (p.w - middle) % 2
    foot = (p.w - p.v + 1) // 4
    p.slant(0, 0, foot + p.v, p.h)
    p.slant(foot + (p.v - middle + 1) // 2, p.h // 5, (p.w + middle) // 2, p.h, rising=True, weight=middle)
    p.mirror()


def _x(p: _Pen) -> None:
    p.slant(0, 0, p.w, p.h)
    p.mirror()


def _y(p: _Pen) -> None:
    p.slant(0, 0, (p.w + p.v) // 2, p.m + p.b)
    p.mirror()
    p.stem((p.w - p.v) // 2, p.m)


def _z(p: _Pen) -> None:
    p.bar(0)
    p.slant(0, p.b - 1, p.w, p.h - p.b + 1, rising=True)
    p.bar(p.h - p.b)


def _zero(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h)
    room = p.w - 2 * p.v
    if room < 3 or p.v == 1:  # no room for a dot that is seen, with light on both sides of it
        p.box(p.w - p.v - 1, p.b, p.w - p.v, p.m)
        p.box(p.v, p.h - p.m, p.v + 1, p.h - p.b)
        if room > 2:
            p.box(p.w // 2, p.m, p.w // 2 + 1, p.h - p.m)
        return
    side = 1 + (room > 5)
    p.box(p.v + side, p.m, p.w - p.v - side, p.h - p.m)


def _one(p: _Pen) -> None:
    x = (p.w - p.v) // 2
    flag = max(p.end, p.b + 1)
    p.slant(max(0, x - p.v * (flag - 1)), 0, x + p.v, flag, rising=True)
    p.stem(x)
    p.bar(p.h - p.b)


def _two(p: _Pen) -> None:
    p.ring(0, 0, p.w, 2 * p.m, _TL | _TR)
    p.cut(0, p.m, p.w, p.h)
    p.cut(0, p.b + 1 if p.small else p.end, p.w // 2, p.m)
    near = int(p.v == 1)  # so flat a slope in so thin a stroke would come apart
    p.slant(near * (p.w - 4), p.m, p.w - near, p.h - p.b + 1, rising=True)
    p.bar(p.h - p.b)


def _three(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.m + p.b, p.curl(_TL) | _TR | _BR)
    p.ring(0, p.m, p.w, p.h, _TR | p.curl(_BL) | _BR)
    p.cut(0, p.nib, max(p.v, p.w // 3), p.h - p.nib)


def _four(p: _Pen) -> None:
    bar = p.h * 5 // 8
    stem = p.w - p.v - p.w // 8
    if p.small:
        p.stem(0, 0, bar)
    else:
        p.slant(0, 0, stem + p.v, bar, rising=True)
    p.stem(stem)
    p.bar(bar)


def _five(p: _Pen) -> None:
    p.bar(0)
    p.stem(0, 0, p.m)
    p.ring(0, p.m, p.w, p.h, _TR | p.curl(_BL) | _BR)
    p.cut(0, p.m + p.b, p.w // 2, p.h - p.nib)
    p.box(0, p.m, p.v, p.m + p.b)


def _six(p: _Pen) -> None:
    p.ring(0, 0, p.w, p.h)
    p.cut(p.w // 2, p.end, p.w, p.h)
    p.ring(0, p.m, p.w, p.h, _TR | _BL | _BR)


def _seven(p: _Pen) -> None:
    p.bar(0)
    p.slant(p.w // 5, p.b, p.w, p.h, rising=True)


def _eight(p: _Pen) -> None:
    inset = int(p.w - 2 * p.v > 4)
    p.ring(inset, 0, p.w - inset, p.m + p.b)
    p.ring(0, p.m, p.w, p.h)


def _nine(p: _Pen) -> None:
    _six(p)
    p.turn()


def _hyphen(p: _Pen) -> None:
    p.bar(p.m)


def _stop(p: _Pen) -> None:
    p.bar(p.h - p.b)


def _comma(p: _Pen) -> None:
    p.box(p.w - p.v, p.h - 2 * p.b, p.w, p.h - p.b)
    p.slant(0, p.h - p.b, p.w - max(1, p.v // 2), p.h, rising=True, weight=(p.v + 1) // 2)


def _apostrophe(p: _Pen) -> None:
    p.stem(0, 0, p.b + (p.h - 2 * p.b) // 6 + (p.h < 9))


def _colon(p: _Pen) -> None:
    p.bar(p.h - p.b)
    p.bar(p.h // 4)


def _exclamation(p: _Pen) -> None:
    p.stem(0, 0, p.h - p.b - max(1, p.h // 8))
    p.bar(p.h - p.b)


def _question(p: _Pen) -> None:
    x, dot = (p.w - p.v) // 2, p.h - p.b
    p.ring(0, 0, p.w, p.m + p.b, _TL | _TR | _BR)
    p.cut(0, p.nib, p.w // 2, p.m + p.b)
    p.stem(x, p.m, dot - max(1, p.h // 8))
    p.stem(x, dot)


def _slash(p: _Pen) -> None:
    p.slant(0, 0, p.w, p.h, rising=True)


def _plus(p: _Pen) -> None:
    arm = max(1, (p.w - p.v + 2) // 4)
    p.bar(p.m)
    p.stem((p.w - p.v) // 2, max(0, p.m - arm), min(p.h, p.m + p.b + arm))


def _ampersand(p: _Pen) -> None:
    if p.h < 12 or p.w - 2 * p.v < 8:
        tick = p.w - (p.v + 1) // 2
        p.ring(0, 0, tick, p.m + p.b)
        p.ring(0, p.m, tick, p.h)
        p.bar(p.m, tick)
        p.bar(p.h - p.b, tick)
        return
    p.ring(0, p.m, p.w * 7 // 8, p.h, _TL | _BL)
    p.cut(p.w // 2, p.m, p.w, p.h - p.b)
    p.slant(p.w // 8, p.m - p.b, p.w, p.h)
    p.slant(p.w // 2, p.m + p.b, p.w, p.h, rising=True)
    p.ring(p.w // 8, 0, p.w * 3 // 4, p.m + p.b)


def _opening(p: _Pen) -> None:
    wide = _Pen(2 * p.w, p.h, p.v, p.b)
    wide.ring(0, 0, 2 * p.w, p.h)
    wide.cut(p.w, 0, 2 * p.w, p.h)
    p.stamp(wide, 0, 0)


def _closing(p: _Pen) -> None:
    _opening(p)
    p.turn()


def _percent(p: _Pen) -> None:
    w, h = p.w * 2 // 5, (p.h - 1) // 2
    loop = _Pen(w, h, max(1, min(p.v - p.v // 4, (w - 2) // 2)), max(1, min(p.b, h // 3)))
    loop.ring(0, 0, loop.w, loop.h)
    p.stamp(loop, 0, 0)
    p.stamp(loop, p.w - loop.w, p.h - loop.h)
    p.slant(p.w // 6, 0, p.w - p.w // 6, p.h, rising=True, weight=loop.v)


def _arrow(p: _Pen) -> None:
    p.bar(p.m)
    head = max(2, p.h // 4)
    slope = 2 if p.w > 2 * head + 3 else 1
    for step in range(1, head + 1):
        x0, x1 = p.w - slope * (head + 1), p.w - slope * step
        p.box(x0, p.m - step, x1, p.m - step + 1)
        p.box(x0, p.m + p.b + step - 1, x1, p.m + p.b + step)


# fmt: off
_FORMS: dict[str, tuple[float, Callable[[_Pen], None]]] = {
    "A": (1.12, _a), "B": (1, _b), "C": (0.96, _c), "D": (1, _d), "E": (0.9, _e), "F": (0.88, _f),
    "G": (1, _g), "H": (1, _h), "I": (0, _i), "J": (0.84, _j), "K": (1.04, _k), "L": (0.86, _l),
    "M": (1.34, _m), "N": (1.06, _n), "O": (1.04, _o), "P": (0.96, _p), "Q": (1.04, _q), "R": (1.02, _r),
    "S": (0.96, _s), "T": (1, _t), "U": (1, _u), "V": (1.1, _v), "W": (1.56, _w), "X": (1.08, _x),
    "Y": (1.08, _y), "Z": (0.96, _z),
    "0": (0.92, _zero), "1": (0.72, _one), "2": (0.92, _two), "3": (0.92, _three), "4": (0.96, _four),
    "5": (0.92, _five), "6": (0.92, _six), "7": (0.9, _seven), "8": (0.92, _eight), "9": (0.92, _nine),
    "-": (0.6, _hyphen), ".": (0, _stop), ",": (0.36, _comma), "'": (0, _apostrophe), ":": (0, _colon),
    "!": (0, _exclamation), "?": (0.9, _question), "/": (0.68, _slash), "+": (0.9, _plus),
    "&": (1.16, _ampersand), "(": (0.45, _opening), ")": (0.45, _closing), "%": (1.5, _percent),
    "→": (1.3, _arrow),
}
"""Character to its width, as a share of a standard capital's (never under one stem), and its form."""
# fmt: on

_CENTRED = frozenset("ATVWMXY1?+")
"""Forms with a stem or a point in the middle: box and stem must both be odd or both even."""


def _strokes(w: int, h: int) -> tuple[int, int]:
    """Widths of stem and bar, in half-cells, for capitals `w` x `h`: bold, but with open counters.

    A stem is about 0.3 of the letter's width and, where that leaves room for a counter, at least 1/8 of its
    height.
    """
    v = max(1, min(max((3 * w + 4) // 10, ceil(h / 4)), 2 * (h // 5) + 1, w // 2 - 1))
    b = 2 if v == 3 and h > 9 else max(1, v // 2)
    return v, min(b, h // 5)


def _width(letter: str, w: int, v: int) -> int:
    """Width of a letter, in half-cells, where a standard capital is `w` wide and a stem `v`."""
    share = _FORMS[letter][0]
    width = max(v, int(share * w + 0.5))
    if share > 0.8:
        width = max(width, 2 * v + 2)
    return width + (letter in _CENTRED and (width - v) % 2)


@lru_cache(maxsize=1024)
def _letter(letter: str, w: int, h: int) -> tuple[int, tuple[int, ...]]:
    """Width of a letter's ink, at most `_width`, and its rows."""
    v, b = _strokes(w, h)
    pen = _Pen(_width(letter, w, v), h, v, b)
    _FORMS[letter][1](pen)
    return max(row.bit_length() for row in pen.rows), tuple(pen.rows)


def _plain(text: str) -> str:
    """The text as the characters that have forms."""
    return text.replace("\u2019", "'").upper()


def can_draw(text: str) -> bool:
    """Whether every character of `text` is a space or has a letterform (lower case is drawn as capitals)."""
    return all(character == " " or _plain(character) in _FORMS for character in text)


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
        self.v, _ = _strokes(w, h)
        self.gap = max(1 if self.v < 3 else 2, (12 * w + 60) // 100)
        self.space = 2 * self.gap + (35 * w + 50) // 100
        """From the last letter of a word to the first of the next."""

    def width(self, part: str) -> int:
        """Width of a part, before any pair is moved together."""
        return sum([_width(letter, self.w, self.v) for letter in part]) + self.gap * (len(part) - 1)

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
            width, ink = _letter(letter, self.w, self.h)
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
    (width, before), (across, after) = _letter(left, w, h), _letter(right, w, h)
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
    return _cells(page)


def _cells(page: list[int]) -> tuple[str, ...]:
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
