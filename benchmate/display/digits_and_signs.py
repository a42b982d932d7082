"""The digits and signs of the large type, each drawn to fill its box."""

from benchmate.display.pen import BL, BR, TL, TR, Form, Pen


def _zero(p: Pen) -> None:
    p.ring(0, 0, p.w, p.h)
    room = p.w - 2 * p.v
    if room < 3 or p.v == 1:  # no room for a visible dot with a gap on both sides
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
    near = int(p.v == 1)  # so flat and thin a slope would break up
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


def _arrow_left(p: Pen) -> None:
    _arrow(p)
    p.rows = [int(f"{row:0{p.w}b}"[::-1], 2) for row in p.rows]


def _semicolon(p: Pen) -> None:
    _comma(p)
    p.box(p.w - p.v, p.h // 4, p.w, p.h // 4 + p.b)


def _square_opening(p: Pen) -> None:
    p.stem(0)
    p.bar(0)
    p.bar(p.h - p.b)


def _square_closing(p: Pen) -> None:
    _square_opening(p)
    p.turn()


def _pointing_left(p: Pen) -> None:
    slope = p.w - p.v
    starts = [slope * abs(2 * y + 1 - p.h) // max(1, p.h - 1) for y in range(p.h)]
    for y, start in enumerate(starts):
        # So flat a slope would break up unless each row reaches the next one out.
        outer = max(starts[max(0, y - 1) : y + 2])
        p.box(start, y, max(start + p.v, min(outer, p.w)), y + 1)


def _pointing_right(p: Pen) -> None:
    _pointing_left(p)
    p.turn()


# fmt: off
DIGITS_AND_SIGNS: dict[str, Form] = {
    "0": (0.92, _zero), "1": (0.72, _one), "2": (0.92, _two), "3": (0.92, _three), "4": (0.96, _four),
    "5": (0.92, _five), "6": (0.92, _six), "7": (0.9, _seven), "8": (0.92, _eight), "9": (0.92, _nine),
    "-": (0.6, _hyphen), ".": (0, _stop), ",": (0.36, _comma), "'": (0, _apostrophe), ":": (0, _colon),
    "!": (0, _exclamation), "?": (0.9, _question), "/": (0.68, _slash), "+": (0.9, _plus),
    "&": (1.16, _ampersand), "(": (0.45, _opening), ")": (0.45, _closing), "%": (1.5, _percent),
    "→": (1.3, _arrow), "←": (1.3, _arrow_left), ";": (0.36, _semicolon),
    "[": (0.5, _square_opening), "]": (0.5, _square_closing),
    "<": (0.7, _pointing_left), ">": (0.7, _pointing_right),
}
# fmt: on
"""Every digit and sign with its letterform."""
