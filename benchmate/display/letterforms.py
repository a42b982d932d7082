"""The letterforms of the large type: capitals, digits and signs, each drawn for its own box.

Stems are a whole number of half-cells across and bars a whole number down, about half as many, so that both look
equally heavy and no edge is blurred.
"""

from collections.abc import Callable
from functools import lru_cache
from math import ceil

from benchmate.display.pen import BL, BR, TL, TR, Pen


def _a(p: Pen) -> None:
    if p.small or p.w - 2 * p.v < 5:
        p.ring(0, 0, p.w, p.h, TL | TR)
        p.cut(p.v, p.h - p.b, p.w - p.v, p.h)
        p.bar(p.m + (p.h > 6))
        return
    p.slant(0, 0, (p.w + p.v) // 2 - p.v // 4, p.h)
    p.mirror()
    p.flip()
    bar = p.h - p.b - max(2, p.h // 5)
    p.join(bar, bar + p.b)


def _b(p: Pen) -> None:
    p.ring(0, 0, p.w - (p.w - 2 * p.v > 4), p.m + p.b, TR | BR)
    p.ring(0, p.m, p.w, p.h, TR | BR)
    p.stem(0)


def _c(p: Pen) -> None:
    end = p.b + 1 if p.small else p.end
    p.ring(0, 0, p.w, p.h)
    p.cut(p.w // 2, end, p.w, p.h - end)


def _d(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h, TR | BR)


def _e(p: Pen) -> None:
    _f(p)
    p.bar(p.h - p.b)


def _f(p: Pen) -> None:
    p.stem(0)
    p.bar(0)
    p.bar(p.m, 0, p.w - max(1, p.w // 8))


def _g(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h)
    p.cut(p.w // 2, p.end, p.w, p.m)
    p.bar(p.m, p.w // 2)


def _h(p: Pen) -> None:
    p.stem(0)
    p.stem(p.w - p.v)
    p.bar(p.m)


def _i(p: Pen) -> None:
    p.stem(0)


def _j(p: Pen) -> None:
    _u(p)
    p.cut(0, 0, p.w - p.v, p.h - max(p.end, p.b + 1))


def _k(p: Pen) -> None:
    fork = p.v if p.small or p.w < 3 * p.v else p.v * 3 // 4
    if p.v == 1:
        fork = max(fork, p.w - p.m - 1)
        p.bar(p.m, 0, fork)
    p.stem(0)
    p.slant(fork, 0, p.w, p.m + p.b, rising=True)
    p.slant(fork, p.h - p.m - p.b, p.w, p.h)


def _l(p: Pen) -> None:
    p.stem(0)
    p.bar(p.h - p.b)


def _m(p: Pen) -> None:
    middle = p.v - p.v // 5
    middle -= (p.w - middle) % 2
    p.slant(0, 0, (p.w + middle) // 2, p.h * 4 // 5 if p.v > 1 else (p.w + 1) // 2, weight=middle)
    p.mirror()
    p.stem(0)
    p.stem(p.w - p.v)


def _n(p: Pen) -> None:
    p.slant(0, 0, p.w, p.h)
    p.stem(0)
    p.stem(p.w - p.v)


def _o(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h)


def _p(p: Pen) -> None:
    p.ring(0, 0, p.w, p.m + p.b + (p.h > 9), TR | BR)
    p.stem(0)


def _q(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h - (p.b + 1) // 2)
    if p.small:
        p.bar(p.h - p.b, p.w // 2)
    else:
        p.slant(p.w // 2, p.h - 2 * p.b - 1, p.w, p.h)


def _r(p: Pen) -> None:
    p.ring(0, 0, p.w, p.m + p.b, TR | BR)
    p.stem(0)
    knee = p.m + p.b
    foot = p.w - p.v
    p.slant(min(max(p.v + 1, p.w // 3, foot - p.v * (p.h - knee - 1)), foot - 1), knee, p.w, p.h)


def _s(p: Pen) -> None:
    low = Pen(p.w, p.h - p.m, p.v, p.b)
    low.ring(0, 0, low.w, low.h, TR | p.curl(BL) | BR)
    low.cut(0, 0, low.w // 2, low.h - p.nib)
    p.ring(0, 0, p.w, p.m + p.b, TL | p.curl(TR) | BL)
    p.cut(p.w // 2, p.nib, p.w, p.m + p.b)
    p.stamp(low, 0, p.m)


def _t(p: Pen) -> None:
    p.bar(0)
    p.stem((p.w - p.v) // 2)


def _u(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h, BL | BR)
    p.cut(p.v, 0, p.w - p.v, p.b)


def _v(p: Pen) -> None:
    p.slant(0, 0, (p.w + p.v) // 2, p.h)
    p.mirror()


def _w(p: Pen) -> None:
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


def _x(p: Pen) -> None:
    p.slant(0, 0, p.w, p.h)
    p.mirror()


def _y(p: Pen) -> None:
    p.slant(0, 0, (p.w + p.v) // 2, p.m + p.b)
    p.mirror()
    p.stem((p.w - p.v) // 2, p.m)


def _z(p: Pen) -> None:
    p.bar(0)
    p.slant(0, p.b - 1, p.w, p.h - p.b + 1, rising=True)
    p.bar(p.h - p.b)


def _zero(p: Pen) -> None:
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


def _one(p: Pen) -> None:
    x = (p.w - p.v) // 2
    flag = max(p.end, p.b + 1)
    p.slant(max(0, x - p.v * (flag - 1)), 0, x + p.v, flag, rising=True)
    p.stem(x)
    p.bar(p.h - p.b)


def _two(p: Pen) -> None:
    p.ring(0, 0, p.w, 2 * p.m, TL | TR)
    p.cut(0, p.m, p.w, p.h)
    p.cut(0, p.b + 1 if p.small else p.end, p.w // 2, p.m)
    near = int(p.v == 1)  # so flat a slope in so thin a stroke would come apart
    p.slant(near * (p.w - 4), p.m, p.w - near, p.h - p.b + 1, rising=True)
    p.bar(p.h - p.b)


def _three(p: Pen) -> None:
    p.ring(0, 0, p.w, p.m + p.b, p.curl(TL) | TR | BR)
    p.ring(0, p.m, p.w, p.h, TR | p.curl(BL) | BR)
    p.cut(0, p.nib, max(p.v, p.w // 3), p.h - p.nib)


def _four(p: Pen) -> None:
    bar = p.h * 5 // 8
    stem = p.w - p.v - p.w // 8
    if p.small:
        p.stem(0, 0, bar)
    else:
        p.slant(0, 0, stem + p.v, bar, rising=True)
    p.stem(stem)
    p.bar(bar)


def _five(p: Pen) -> None:
    p.bar(0)
    p.stem(0, 0, p.m)
    p.ring(0, p.m, p.w, p.h, TR | p.curl(BL) | BR)
    p.cut(0, p.m + p.b, p.w // 2, p.h - p.nib)
    p.box(0, p.m, p.v, p.m + p.b)


def _six(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h)
    p.cut(p.w // 2, p.end, p.w, p.h)
    p.ring(0, p.m, p.w, p.h, TR | BL | BR)


def _seven(p: Pen) -> None:
    p.bar(0)
    p.slant(p.w // 5, p.b, p.w, p.h, rising=True)


def _eight(p: Pen) -> None:
    inset = int(p.w - 2 * p.v > 4)
    p.ring(inset, 0, p.w - inset, p.m + p.b)
    p.ring(0, p.m, p.w, p.h)


def _nine(p: Pen) -> None:
    _six(p)
    p.turn()


def _hyphen(p: Pen) -> None:
    p.bar(p.m)


def _stop(p: Pen) -> None:
    p.bar(p.h - p.b)


def _comma(p: Pen) -> None:
    p.box(p.w - p.v, p.h - 2 * p.b, p.w, p.h - p.b)
    p.slant(0, p.h - p.b, p.w - max(1, p.v // 2), p.h, rising=True, weight=(p.v + 1) // 2)


def _apostrophe(p: Pen) -> None:
    p.stem(0, 0, p.b + (p.h - 2 * p.b) // 6 + (p.h < 9))


def _colon(p: Pen) -> None:
    p.bar(p.h - p.b)
    p.bar(p.h // 4)


def _exclamation(p: Pen) -> None:
    p.stem(0, 0, p.h - p.b - max(1, p.h // 8))
    p.bar(p.h - p.b)


def _question(p: Pen) -> None:
    x, dot = (p.w - p.v) // 2, p.h - p.b
    p.ring(0, 0, p.w, p.m + p.b, TL | TR | BR)
    p.cut(0, p.nib, p.w // 2, p.m + p.b)
    p.stem(x, p.m, dot - max(1, p.h // 8))
    p.stem(x, dot)


def _slash(p: Pen) -> None:
    p.slant(0, 0, p.w, p.h, rising=True)


def _plus(p: Pen) -> None:
    arm = max(1, (p.w - p.v + 2) // 4)
    p.bar(p.m)
    p.stem((p.w - p.v) // 2, max(0, p.m - arm), min(p.h, p.m + p.b + arm))


def _ampersand(p: Pen) -> None:
    if p.h < 12 or p.w - 2 * p.v < 8:
        tick = p.w - (p.v + 1) // 2
        p.ring(0, 0, tick, p.m + p.b)
        p.ring(0, p.m, tick, p.h)
        p.bar(p.m, tick)
        p.bar(p.h - p.b, tick)
        return
    p.ring(0, p.m, p.w * 7 // 8, p.h, TL | BL)
    p.cut(p.w // 2, p.m, p.w, p.h - p.b)
    p.slant(p.w // 8, p.m - p.b, p.w, p.h)
    p.slant(p.w // 2, p.m + p.b, p.w, p.h, rising=True)
    p.ring(p.w // 8, 0, p.w * 3 // 4, p.m + p.b)


def _opening(p: Pen) -> None:
    wide = Pen(2 * p.w, p.h, p.v, p.b)
    wide.ring(0, 0, 2 * p.w, p.h)
    wide.cut(p.w, 0, 2 * p.w, p.h)
    p.stamp(wide, 0, 0)


def _closing(p: Pen) -> None:
    _opening(p)
    p.turn()


def _percent(p: Pen) -> None:
    w, h = p.w * 2 // 5, (p.h - 1) // 2
    loop = Pen(w, h, max(1, min(p.v - p.v // 4, (w - 2) // 2)), max(1, min(p.b, h // 3)))
    loop.ring(0, 0, loop.w, loop.h)
    p.stamp(loop, 0, 0)
    p.stamp(loop, p.w - loop.w, p.h - loop.h)
    p.slant(p.w // 6, 0, p.w - p.w // 6, p.h, rising=True, weight=loop.v)


def _arrow(p: Pen) -> None:
    p.bar(p.m)
    head = max(2, p.h // 4)
    slope = 2 if p.w > 2 * head + 3 else 1
    for step in range(1, head + 1):
        x0, x1 = p.w - slope * (head + 1), p.w - slope * step
        p.box(x0, p.m - step, x1, p.m - step + 1)
        p.box(x0, p.m + p.b + step - 1, x1, p.m + p.b + step)


# fmt: off
FORMS: dict[str, tuple[float, Callable[[Pen], None]]] = {
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


def strokes(w: int, h: int) -> tuple[int, int]:
    """Widths of stem and bar, in half-cells, for capitals `w` x `h`: bold, but with open counters.

    A stem is about 0.3 of the letter's width and, where that leaves room for a counter, at least 1/8 of its
    height.
    """
    v = max(1, min(max((3 * w + 4) // 10, ceil(h / 4)), 2 * (h // 5) + 1, w // 2 - 1))
    b = 2 if v == 3 and h > 9 else max(1, v // 2)
    return v, min(b, h // 5)


def letter_width(letter: str, w: int, v: int) -> int:
    """Width of a letter, in half-cells, where a standard capital is `w` wide and a stem `v`."""
    share = FORMS[letter][0]
    width = max(v, int(share * w + 0.5))
    if share > 0.8:
        width = max(width, 2 * v + 2)
    return width + (letter in _CENTRED and (width - v) % 2)


@lru_cache(maxsize=1024)
def form(letter: str, w: int, h: int) -> tuple[int, tuple[int, ...]]:
    """Width of a letter's ink, at most `letter_width`, and its rows."""
    v, b = strokes(w, h)
    pen = Pen(letter_width(letter, w, v), h, v, b)
    FORMS[letter][1](pen)
    return max(row.bit_length() for row in pen.rows), tuple(pen.rows)
