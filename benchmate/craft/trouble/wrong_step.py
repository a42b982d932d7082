"""A step done otherwise than charted, in a family whose steps have no ways to be made: in pictures and braids."""

from typing import NamedTuple

from benchmate.craft.trouble.made_otherwise import Made, token


class OtherColour(NamedTuple):
    """A knot of a picture was made in this colour."""

    colour: str


class OtherMove(NamedTuple):
    """A move of a braid went from one slot to another."""

    source: int
    target: int


DoneInstead = Made | OtherColour | OtherMove
"""What was done in place of a step; None: it was left out."""


class WrongStep(NamedTuple):
    """A step that may have been done otherwise than charted, and every way it can have been done."""

    step: int
    made: tuple[DoneInstead, ...]


def written(done: DoneInstead) -> str:
    """What was done, as a design file has it: the token of a knot, a colour, `17 > 31`, or `-`."""
    if isinstance(done, OtherColour):
        return done.colour
    if isinstance(done, OtherMove):
        return f"{done.source} > {done.target}"
    return token(done)
