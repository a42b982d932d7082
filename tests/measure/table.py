"""The table of results: each figure with its baseline."""

from collections.abc import Iterable, Sequence
from math import inf
from statistics import quantiles
from typing import NamedTuple


class Row(NamedTuple):
    """One figure: what was measured, its unit, its baseline, and the most its ratio to the baseline may be.

    Without a baseline there is no ratio; without a `most` the ratio has no limit.
    """

    part: str
    what: str
    unit: str
    value: float
    baseline: float | None = None
    most: float | None = None

    @property
    def ratio(self) -> float | None:
        """The figure divided by its baseline; infinite when the baseline is not above 0."""
        if self.baseline is None:
            return None
        return self.value / self.baseline if self.baseline > 0 else inf

    @property
    def over(self) -> bool:
        """True when the ratio is over its limit."""
        return self.ratio is not None and self.most is not None and self.ratio > self.most

    @property
    def verdict(self) -> str:
        """`ok`, `over`, or empty without a limit."""
        return "" if self.ratio is None or self.most is None else "over" if self.over else "ok"


HEADS = ("part", "what", "unit", "measured", "baseline", "ratio", "at most", "")


def as_text(rows: Iterable[Row]) -> str:
    """The table in columns, one line for each figure; a part's name appears only on its first line."""
    lines: list[Sequence[str]] = [HEADS]
    part = ""
    for row in rows:
        shown = row.part if row.part != part else ""
        part = row.part
        numbers = (_number(row.value), _number(row.baseline), _number(row.ratio, 2), _number(row.most, 2))
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
    """The 95th percentile, interpolated between samples; the sample itself when there is only one."""
    return quantiles(samples, n=20, method="inclusive")[-1] if len(samples) > 1 else samples[0]
