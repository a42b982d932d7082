"""How many there are, in words."""


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 knot`, `2 knots`; `many` where more than one is not just `one` and an s."""
    return f"{number} {one}" if number == 1 else f"{number} {one + 's' if many is None else many}"
