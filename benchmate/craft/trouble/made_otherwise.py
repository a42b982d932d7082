"""Knots made otherwise than charted."""

from collections.abc import Mapping

from benchmate.craft.knots import Knot

Made = Knot | None
"""How a knot was made; None: it was left out."""
MadeOtherwise = Mapping[int, Made]
"""Steps by their numbers, each with how it was made, which is not as charted."""
EVERY_KIND: tuple[Made, ...] = (*Knot, None)
"""Every kind of knot, in the order f, b, fb, bf, and None for one that is left out."""
LEFT_OUT = "-"
"""The token of a knot that is left out."""


def swaps(made: Made) -> bool:
    """Whether the two strings of a knot that is made so change places."""
    return made is not None and made.swaps


def token(made: Made) -> str:
    """The token of a way to make a knot."""
    return LEFT_OUT if made is None else made.value


def made_of(written: str) -> Made:
    """The way to make a knot that a token stands for. Raises ValueError."""
    return None if written == LEFT_OUT else Knot(written)
