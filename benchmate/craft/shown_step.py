"""Plain values of a step as the bench shows it, before layout."""

from typing import NamedTuple

from benchmate.craft.knots import Knot

PHASES = ("over", "under", "pull")
"""The stages of a half hitch: the knotting string over the passive one, under it and out of the loop, pulled up."""


class KnotDrawing(NamedTuple):
    """The drawing of a knot at one stage of tying it.

    `phase` is one of `PHASES` of half hitch `half`, 1 or 2; with `half` 0 it is `hold`, before the first half hitch, or
    `done`, after the second.
    """

    knot: Knot
    half: int
    phase: str


class Side(NamedTuple):
    """One of the two strings of a step: its position, colour and label, whether it makes the knot, and where it ends.

    The colour is an empty text where it is not known. A leading string has no position (0). Then `labels` has the text
    in large figures, the text for its part in the knot, and a further text.
    """

    position: int
    colour: str
    say: str
    makes: bool
    ends: int
    labels: tuple[str, str, str] | None = None


class ColouredDrawing(NamedTuple):
    """The drawing of an instruction with the colours of its left and right string."""

    drawing: KnotDrawing
    left: str
    right: str


class ComingStep(NamedTuple):
    """A step ahead, in full, brief and short words, with the colours of its strings (none for a written step)."""

    words: str
    brief: str
    short: str
    colours: tuple[str, ...]
