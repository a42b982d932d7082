"""The moves of a braid in printed lines."""

from benchmate.craft.family import DesignLike, Words
from benchmate.families.braid.body import BraidMove


class BraidWords(Words[BraidMove]):
    """Moves by their slots."""

    def name(self, step: BraidMove) -> str:
        """`17 to 31`."""
        return f"{step.source} to {step.target}"

    def spoken(self, design: DesignLike, step: BraidMove) -> str:
        """`17 to 31, deep; repeat 1`."""
        return f"{self.name(step)}, {design.say_of(step.strand)}; repeat {step.row}"

    def take_out(self, design: DesignLike, step: BraidMove) -> str:
        """`move back 31 to 17, deep; repeat 1`."""
        return f"move back {step.target} to {step.source}, {design.say_of(step.strand)}; repeat {step.row}"

    def crossed(self, design: DesignLike, step: BraidMove) -> str:
        """The colour of the strand that moves."""
        return design.say_of(step.strand)
