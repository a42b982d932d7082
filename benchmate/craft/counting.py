"""How many there are, in words."""


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 knot`, `2 knots`; `many` for more than one where an s at the end does not do it, as in `2 twists to the left`."""
    return f"{number} {one}" if number == 1 else f"{number} {one + 's' if many is None else many}"
