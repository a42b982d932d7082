"""The moves of a braid for the ear."""

from collections.abc import Sequence

from benchmate.craft.family import Ear, Threads
from benchmate.craft.wording.ear import Heard, Level, each_counted
from benchmate.craft.work import Work
from benchmate.families.braid.body import BraidMove
from benchmate.families.braid.words import BraidWords

_WORDS = BraidWords()


class BraidEar(Ear[BraidMove]):
    """A strand from slot to slot."""

    def one(self, heard: Heard, design: Threads, work: Work, number: int, step: BraidMove) -> str:
        """`17 to 31`, and in full its colour."""
        words = _WORDS.name(step)
        return f"{words}, {design.said_of(step.strand)}" if heard.level is Level.FULL else words

    def several(self, heard: Heard, design: Threads, steps: Sequence[BraidMove]) -> str:
        """`17 to 31. 25 to 7`."""
        return each_counted(map(_WORDS.name, steps))

    def comes_out(self, design: Threads, step: BraidMove, level: Level) -> list[str]:
        """`move back 31 to 17, deep`."""
        return [f"move back {step.target} to {step.source}", design.said_of(step.strand)]

    def came_undone(self, design: Threads, step: BraidMove, level: Level) -> list[str]:
        """The strand."""
        return [] if level is Level.SPARSE else [design.said_of(step.strand)]
