"""The moves of a braid in lines."""

from benchmate.craft.family import Threads, Words
from benchmate.families.braid.body import BraidMove


class BraidWords(Words[BraidMove]):
    """Moves by their slots."""

    def name(self, step: BraidMove) -> str:
        """`17 to 31`."""
        return f"{step.source} to {step.target}"

    def spoken(self, design: Threads, step: BraidMove) -> str:
        """`17 to 31, deep; repeat 1`."""
        return f"{self.name(step)}, {design.said_of(step.strand)}; repeat {step.row}"

    def taken_out(self, design: Threads, step: BraidMove) -> str:
        """`move back 31 to 17, deep; repeat 1`."""
        return f"move back {step.target} to {step.source}, {design.said_of(step.strand)}; repeat {step.row}"

    def crossed(self, design: Threads, step: BraidMove) -> str:
        """Which strand is moved."""
        return design.said_of(step.strand)
