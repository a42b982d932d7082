"""The four knots, each two half hitches of a knotting string over a taut passive string."""

from enum import Enum


class Knot(Enum):
    """One of the four knots; the value is its token in a chart."""

    FORWARD = "f"
    BACKWARD = "b"
    FORWARD_BACKWARD = "fb"
    BACKWARD_FORWARD = "bf"

    # Each knot exists once, so its identity serves as the hash, which looks it up without running Python code.
    __hash__ = object.__hash__

    @property
    def words(self) -> str:
        """The trade's name for the knot, in lower case: `forward-backward`."""
        return self.name.lower().replace("_", "-")

    @property
    def from_left(self) -> bool:
        """True when the left string is the knotting string."""
        return self in (Knot.FORWARD, Knot.FORWARD_BACKWARD)

    @property
    def swaps(self) -> bool:
        """True when the two strings swap places; else each stays on its side."""
        return self in (Knot.FORWARD, Knot.BACKWARD)

    @property
    def halves(self) -> tuple[str, str]:
        """The side each half hitch goes to, first and second."""
        first = "right" if self.from_left else "left"
        other = "left" if self.from_left else "right"
        return (first, first if self.swaps else other)

    @property
    def mirrored(self) -> "Knot":
        """The mirror image of the knot, left and right exchanged."""
        return MIRRORED[self]


MIRRORED = {
    Knot.FORWARD: Knot.BACKWARD,
    Knot.BACKWARD: Knot.FORWARD,
    Knot.FORWARD_BACKWARD: Knot.BACKWARD_FORWARD,
    Knot.BACKWARD_FORWARD: Knot.FORWARD_BACKWARD,
}
"""The mirror image of every knot, left and right exchanged."""

NAMES = {
    "chart": {knot: knot.words for knot in Knot},
    "larks-head": {
        Knot.FORWARD: "forward",
        Knot.BACKWARD: "backward",
        Knot.FORWARD_BACKWARD: "lark's head forward",
        Knot.BACKWARD_FORWARD: "lark's head backward",
    },
}
"""The trade's names for the knots by ear, of which the maker chooses: as in the chart, or with the lark's head."""
