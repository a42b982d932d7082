"""Spoken prompts for the moves of a braid."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import THEN, Level, PromptContext
from benchmate.craft.work import Work
from benchmate.families.braid.body import BraidMove
from benchmate.families.braid.words import WRONG_MOVE, BraidWords

_WORDS = BraidWords()


class BraidPrompts(Prompts[BraidMove]):
    """A strand from slot to slot."""

    def for_step(
        self, context: PromptContext, design: DesignLike, work: Work, number: int, step: BraidMove
    ) -> list[str]:
        """`17 to 31`, at full level with the colour."""
        return self.for_steps(context, design, [step])

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[BraidMove]) -> list[str]:
        """`17 to 31, then 25 to 7`."""
        words = [THEN.join(map(_WORDS.name, steps))]
        if context.level is Level.FULL:
            words.insert(0, THEN.join(_WORDS.with_colour(design, step, _WORDS.name(step)) for step in steps))
        return words

    def take_out(self, context: PromptContext, design: DesignLike, step: BraidMove) -> list[str]:
        """`move back 31 to 17, deep`; `take back the wrong move, in the chart 17 to 31`."""
        if step.unsure:
            return [f"take back {_WORDS.in_chart(step)}", f"take back {WRONG_MOVE}"]
        words = f"move back {step.target} to {step.source}"
        return [_WORDS.with_colour(design, step, words), words]

    def undone(self, context: PromptContext, design: DesignLike, step: BraidMove) -> list[str]:
        """`17 to 31, deep`."""
        name = _WORDS.name(step)
        return [name] if context.level is Level.SPARSE else [_WORDS.with_colour(design, step, name), name]
