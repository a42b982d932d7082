"""The moves of a braid in printed lines."""

from benchmate.craft.family import DesignLike, Words
from benchmate.families.braid.body import BraidMove

WRONG_MOVE = "the wrong move"
"""The name of a move of which nobody knows what was done instead."""


class BraidWords(Words[BraidMove]):
    """Moves by their slots."""

    def name(self, step: BraidMove) -> str:
        """`17 to 31`."""
        return WRONG_MOVE if step.unsure else f"{step.source} to {step.target}"

    def spoken(self, design: DesignLike, step: BraidMove) -> str:
        """`17 to 31, deep; repeat 1`."""
        return f"{self.with_colour(design, step, self.name(step))}; repeat {step.row}"

    def take_out(self, design: DesignLike, step: BraidMove) -> str:
        """`move back 31 to 17, deep; repeat 1`, `take back the wrong move, in the chart 17 to 31; repeat 1`."""
        if step.unsure:
            return f"take back {self.in_chart(step)}; repeat {step.row}"
        return f"{self.with_colour(design, step, f'move back {step.target} to {step.source}')}; repeat {step.row}"

    def crossed(self, design: DesignLike, step: BraidMove) -> str:
        """The colour of the strand that moves; empty where that is not known."""
        return design.say_of(step.strand) if step.strand else ""

    def with_colour(self, design: DesignLike, step: BraidMove, words: str) -> str:
        """The words, and the colour of the strand where that is known."""
        return f"{words}, {design.say_of(step.strand)}" if step.strand else words

    def in_chart(self, step: BraidMove) -> str:
        """`the wrong move, in the chart 17 to 31`."""
        return f"{WRONG_MOVE}, in the chart {step.source} to {step.target}"
