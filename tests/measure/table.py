"""The table of what was measured: each figure beside the floor it is held against."""

from collections.abc import Iterable, Sequence
from math import inf
from statistics import quantiles
from typing import NamedTuple


class Row(NamedTuple):
    """One figure: what was measured and in which unit, the floor it stands beside, and how many times that it may be.

    Without a floor it is only told; without a `most` its ratio is.
    """

    part: str
    what: str
    unit: str
    value: float
    floor: float | None = None
    most: float | None = None

    @property
    def ratio(self) -> float | None:
        """How many times the floor the figure is; without end where the floor is no more than nothing."""
        if self.floor is None:
            return None
        return self.value / self.floor if self.floor > 0 else inf

    @property
    def over(self) -> bool:
        """True when the figure is more times its floor than it may be."""
        return self.ratio is not None and self.most is not None and self.ratio > self.most

    @property
    def verdict(self) -> str:
        """`ok`, `over`, or nothing where nothing is asked."""
        return "" if self.ratio is None or self.most is None else "over" if self.over else "ok"


HEADS = ("part", "what", "unit", "measured", "floor", "ratio", "at most", "")


def as_text(rows: Iterable[Row]) -> str:
    """The table in columns, a line a figure; the name of a part stands at its first line only."""
    lines: list[Sequence[str]] = [HEADS]
    part = ""
    for row in rows:
        shown = row.part if row.part != part else ""
        part = row.part
        numbers = (_number(row.value), _number(row.floor), _number(row.ratio, 2), _number(row.most, 2))
        lines.append((shown, row.what, row.unit, *numbers, row.verdict))
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADS))]
    return "\n".join(_aligned(line, widths) for line in lines)


def _aligned(line: Sequence[str], widths: Sequence[int]) -> str:
    cells = [
        text.rjust(width) if 3 <= column <= 6 else text.ljust(width)
        for column, (text, width) in enumerate(zip(line, widths, strict=True))
    ]
    return "  ".join(cells).rstrip()


def _number(value: float | None, digits: int | None = None) -> str:
    if value is None:
        return ""
    return f"{value:.{(3 if value < 1 else 1) if digits is None else digits}f}"


def p95(samples: Sequence[float]) -> float:
    """The 95th percentile, between two samples where it falls between them; the sample itself when there is but one."""
    return quantiles(samples, n=20, method="inclusive")[-1] if len(samples) > 1 else samples[0]
