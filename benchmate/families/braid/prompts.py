"""Spoken prompts for the moves of a braid."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import Level, PromptContext, each_counted
from benchmate.craft.work import Work
from benchmate.families.braid.body import BraidMove
from benchmate.families.braid.words import BraidWords

_WORDS = BraidWords()


class BraidPrompts(Prompts[BraidMove]):
    """A strand from slot to slot."""

    def for_step(self, context: PromptContext, design: DesignLike, work: Work, number: int, step: BraidMove) -> str:
        """`17 to 31`, at full level with the colour."""
        words = _WORDS.name(step)
        return f"{words}, {design.say_of(step.strand)}" if context.level is Level.FULL else words

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[BraidMove]) -> str:
        """`17 to 31. 25 to 7`."""
        return each_counted(map(_WORDS.name, steps))

    def take_out(self, design: DesignLike, step: BraidMove, level: Level) -> list[str]:
        """`move back 31 to 17, deep`."""
        return [f"move back {step.target} to {step.source}", design.say_of(step.strand)]

    def undone(self, design: DesignLike, step: BraidMove, level: Level) -> list[str]:
        """The colour of the strand."""
        return [] if level is Level.SPARSE else [design.say_of(step.strand)]
