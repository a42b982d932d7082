"""The arrow of a move across the disk, in quarters of cells."""

from collections.abc import Iterator
from math import floor, hypot

_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Indexed by the inked quarters of a cell: 1 top left, 2 top right, 4 bottom left, 8 bottom right."""
SHAFT, HEAD, BARB = 1.0, 6.0, 3.2
"""The thickness of the arrow, the length of its head, and how far the head reaches to each side.

The unit is the width of a cell; a cell is twice as high.
"""


def arrow_cells(start: tuple[float, float], end: tuple[float, float]) -> Iterator[tuple[tuple[int, int], str]]:
    """The cells of an arrow between two places, each a row and a column, with the sign in each.

    Between two places too close for its head there is none.
    """
    cells: dict[tuple[int, int], int] = {}
    for down, right in _quarters(start, end):
        row, at = down // 2, right // 2
        cells[row, at] = cells.get((row, at), 0) | 1 << 2 * (down % 2) + right % 2
    return ((place, _QUARTERS[inked]) for place, inked in cells.items())


def _quarters(start: tuple[float, float], end: tuple[float, float]) -> Iterator[tuple[int, int]]:
    """The inked quarters, counted down and to the right."""
    # Measured as the eye sees it, from the middle of the first cell.
    (x0, y0), (x1, y1) = ((column + 0.5, 2 * row + 1) for row, column in (start, end))
    long = hypot(x1 - x0, y1 - y0)
    if long < HEAD:
        return
    ahead = ((x1 - x0) / long, (y1 - y0) / long)
    reach = BARB + 1
    for down in range(floor(min(y0, y1) - reach), floor(max(y0, y1) + reach) + 1):
        y = down + 0.5 - y0
        # Only quarters near the line: where it crosses this height, and as far aside as its slope and the head reach.
        near = [x0, x1] if abs(ahead[1]) < 0.3 else [x0 + (y + by) * ahead[0] / ahead[1] for by in (-reach, reach)]
        for right in range(floor(2 * (min(near) - reach)), floor(2 * (max(near) + reach)) + 1):
            x = (right + 0.5) / 2 - x0
            along, aside = x * ahead[0] + y * ahead[1], abs(x * ahead[1] - y * ahead[0])
            on_shaft = 0 <= along <= long - HEAD and aside <= SHAFT / 2
            if on_shaft or (long - HEAD <= along <= long and aside <= BARB * (long - along) / HEAD):
                yield down, right
