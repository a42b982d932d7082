"""Counts and lists in words."""

from collections.abc import Iterable


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 knot`, `2 knots`; `many` is the plural where it is not `one` with an s."""
    return f"{number} {one}" if number == 1 else f"{number} {one + 's' if many is None else many}"


def listed(items: Iterable[object]) -> str:
    """`a`, `a and b`, `a, b and c`; empty for none."""
    *before, last = [str(item) for item in items] or [""]
    return f"{', '.join(before)} and {last}" if before else last
