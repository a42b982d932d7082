"""Counts in words."""


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 knot`, `2 knots`; `many` is the plural where it is not `one` with an s."""
    return f"{number} {one}" if number == 1 else f"{number} {one + 's' if many is None else many}"
