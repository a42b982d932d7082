"""The arrow that shows the way of the knotting string: across to the other side, or there and back."""

from functools import lru_cache

from benchmate.display.cells import Line, Span, line
from benchmate.display.large_type import quadrants


@lru_cache(maxsize=64)
def arrow(from_left: bool, swaps: bool, width: int, height: int, ink: str, ground: str) -> tuple[Line, ...]:
    """`height` lines (3 or more) of `width` cells; half a line at the top stays free.

    The arrow starts over the middle of the string's own half. When the strings change places, it ends over the middle
    of the other half; otherwise it turns there and comes back, as the second half hitch does.
    """
    first, last = width // 2, 2 * width - width // 2
    high = 2 * height - 1
    rows = [0, *(_across(first, last, high) if swaps else _and_back(first, last, high))]
    if not from_left:
        rows = [_mirrored(row, 2 * width) for row in rows]
    drawn = quadrants(rows)
    # Quadrants come trimmed to their ink, which is centred to within half a cell.
    before = min(_low(row) for row in rows if row) // 2
    return tuple(line([Span(" " * before + text, ink, ground, True)], width, ground) for text in drawn)


def _across(first: int, last: int, high: int) -> list[int]:
    middle, half = (high - 1) / 2, high / 2
    head = _head_length(high)
    shaft = _span(first, last - head)
    return [
        _head_row(last, -head, int(abs(row - middle)) / half) | (shaft if abs(row - middle) < 1 else 0)
        for row in range(high)
    ]


def _and_back(first: int, last: int, high: int) -> list[int]:
    middle, half = high // 2, high // 2
    head = _head_length(high)
    rows = [0] * high
    rows[0] = _span(first + head + 2, last)
    for row in range(1, middle + 1):
        rows[row] |= _span(last - 2, last)
    rows[middle] |= _span(first + head, last)
    for row in range(middle - half + 1, middle + half):
        rows[row] |= _head_row(first, head, abs(row - middle) / half)
    return rows


def _head_length(high: int) -> int:
    return 2 * high + 2


def _head_row(tip: int, length: int, off: float) -> int:
    """A row of the arrowhead, `off` (0 to 1) from its middle; `length`, from tip to base, is negative to the left."""
    base, edge = tip + length, tip + round(length * off)
    return _span(min(base, edge), max(base, edge))


def _span(first: int, end: int) -> int:
    """A row with ink from `first` up to, but not including, `end`."""
    return (1 << end) - (1 << first) if end > first else 0


def _mirrored(row: int, width: int) -> int:
    return int(f"{row:0{width}b}"[::-1], 2)


def _low(row: int) -> int:
    return (row & -row).bit_length() - 1
