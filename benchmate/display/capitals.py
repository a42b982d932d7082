"""The capitals of the large type, each drawn to fill its box."""

from benchmate.display.pen import BL, BR, TL, TR, Form, Pen


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
    if p.w <= min(5 * p.v, 2 * p.v + 10):  # too narrow for four slopes with gaps between them
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


# fmt: off
CAPITALS: dict[str, Form] = {
    "A": (1.12, _a), "B": (1, _b), "C": (0.96, _c), "D": (1, _d), "E": (0.9, _e), "F": (0.88, _f),
    "G": (1, _g), "H": (1, _h), "I": (0, _i), "J": (0.84, _j), "K": (1.04, _k), "L": (0.86, _l),
    "M": (1.34, _m), "N": (1.06, _n), "O": (1.04, _o), "P": (0.96, _p), "Q": (1.04, _q), "R": (1.02, _r),
    "S": (0.96, _s), "T": (1, _t), "U": (1, _u), "V": (1.1, _v), "W": (1.56, _w), "X": (1.08, _x),
    "Y": (1.08, _y), "Z": (0.96, _z),
}
# fmt: on
"""Every capital with its letterform."""
