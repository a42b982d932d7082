"""Plain values of one moment at the bench: what a step looks like before anybody lays it out."""

from typing import NamedTuple

from benchmate.craft.knots import Knot

PHASES = ("over", "under", "pull")
"""A half hitch: the knotting string over the passive one, under it and out through the loop, pulled up."""


class KnotDrawing(NamedTuple):
    """Which drawing goes with an instruction: a knot, and a moment in the tying of it.

    `phase` is one of `PHASES` of half hitch `half`, 1 or 2; or, with `half` 0, `hold` before the first or `done` after
    the second.
    """

    knot: Knot
    half: int
    phase: str


class Side(NamedTuple):
    """One of the two strings of the pair: where it hangs, its colour, its part in the knot, and where it ends.

    A leading string has no position among the strings: its `position` is 0, and `labels` gives the text in large
    figures, its part in the knot, and a further word.
    """

    position: int
    colour: str
    say: str
    makes: bool
    ends: int
    labels: tuple[str, str, str] | None = None


class ColouredDrawing(NamedTuple):
    """The drawing that goes with an instruction, and the colours of its left and its right string."""

    drawing: KnotDrawing
    left: str
    right: str


class ComingStep(NamedTuple):
    """A step ahead: in words, in fewer, in its shortest form; the colours of its strings (none for a written step)."""

    words: str
    brief: str
    short: str
    colours: tuple[str, ...]
