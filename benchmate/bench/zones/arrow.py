"""The arrow that shows the way of the knotting string: across to the other side, or there and back.

It is drawn in half-cells, which are twice as tall as wide. Its point is one row high, so every head has an odd number
of rows.
"""

from functools import lru_cache
from math import sqrt
from typing import NamedTuple

from benchmate.display.cells import Line, Span, line
from benchmate.display.large_type import blocks

LEAST_ACROSS, LEAST_THERE_AND_BACK = (12, 3), (13, 5)
"""The fewest cells, across and down, in which each kind of arrow is bold and its head has a shape."""
LONGEST_HEAD = 0.45
"""The most of the arrow's length that its head takes."""


class Shape(NamedTuple):
    """The measures of an arrow in rows of half-cells: the head from edge to edge, the shaft, the gap between two legs.

    `length` is the length of the head in half-cells across.
    """

    head: int
    shaft: int
    gap: int
    length: int


def shape_of(swaps: bool, width: int, height: int) -> Shape:
    """The boldest arrow in so many cells."""
    high = 2 * height - 1
    head = high if high % 2 else high - 1
    if not swaps:
        # The legs must stay apart: the gap is at least as high as half a leg.
        head = max(odd for odd in range(1, high + 1, 2) if odd == 1 or _shaft(odd) + _gap(odd) + odd <= high)
    longest = int(2 * width * LONGEST_HEAD)
    head = min(head, longest - 1 + longest % 2)
    return Shape(head, _shaft(head), _gap(head), min(2 * head + 2 - head // 5, longest))


def _shaft(head: int) -> int:
    """An odd number of rows, a little over a third of the head's, so that barbs stand out on both sides."""
    return max(3, 2 * round((0.38 * head - 1) / 2) + 1) if head > 3 else 1


def _gap(head: int) -> int:
    return max(1, head // 6)


@lru_cache(maxsize=64)
def arrow(from_left: bool, swaps: bool, width: int, height: int, ink: str, ground: str) -> tuple[Line, ...]:
    """Exactly `height` lines of `width` cells.

    When the strings change places, the arrow goes from the side of the knotting string to the other. Otherwise it turns
    there and comes back lower down, as the second half hitch does.
    """
    shape = shape_of(swaps, width, height)
    rows = _across(shape, 2 * width) if swaps else _there_and_back(shape, 2 * width)
    spare = 2 * height - len(rows)
    rows = [0] * ((spare + 1) // 2) + rows + [0] * (spare // 2)
    if not from_left:
        rows = [_mirrored(row, 2 * width) for row in rows]
    return tuple(line([Span(text, ink, ground, True)], width, ground) for text in blocks(rows, width))


def _across(shape: Shape, wide: int) -> list[int]:
    """From the left edge to the point at the right edge."""
    shaft = _span(0, wide - shape.length)
    edge = (shape.head - shape.shaft) // 2
    return [
        (shaft if edge <= row < edge + shape.shaft else 0) | _mirrored(_head_row(shape, row), wide)
        for row in range(shape.head)
    ]


def _there_and_back(shape: Shape, wide: int) -> list[int]:
    """From the left to the right edge, a round turn, and back lower down to the point at the left edge."""
    lower = shape.shaft + shape.gap
    high = lower + shape.head - (shape.head - shape.shaft) // 2
    middle, round_ = high / 2, min(float(high), wide / 3)
    rows = []
    for row in range(lower + shape.head):
        drawn = _head_row(shape, row - lower)
        if row < high:
            off = abs(row + 0.5 - middle)
            outer = round(round_ * sqrt(max(0.0, 1 - (off / middle) ** 2)))
            across = wide - round(round_) + outer
            hollow = middle - shape.shaft
            if off < hollow:
                inner = round((round_ - 2 * shape.shaft) * sqrt(1 - (off / hollow) ** 2))
                drawn |= _span(wide - round(round_) + max(0, inner), across)
            else:
                drawn |= _span(shape.length if row >= lower else shape.length // 2, across)
        rows.append(drawn)
    return rows


def _head_row(shape: Shape, row: int) -> int:
    """A row of a head that points to the left edge."""
    half = shape.head // 2
    if not 0 <= row < shape.head:
        return 0
    return _span(round(shape.length * abs(row - half) / (half + 1)), shape.length)


def _span(first: int, end: int) -> int:
    """A row with ink from `first` up to, but not including, `end`."""
    return (1 << end) - (1 << first) if end > first else 0


def _mirrored(row: int, width: int) -> int:
    return int(f"{row:0{width}b}"[::-1], 2)
