"""Spoken prompts for written steps."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import Level, PromptContext, each_counted, sentences
from benchmate.craft.work import Work
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.words import StepsWords

_WORDS = StepsWords()


class StepsPrompts(Prompts[WrittenStep]):
    """Says an instruction once; after that, only the count of its further times."""

    def for_step(self, context: PromptContext, design: DesignLike, work: Work, number: int, step: WrittenStep) -> str:
        """The instruction with its count and hint, or the count alone: `2 of 3`. Lengths to cut are never left out."""
        full, sparse = context.level is Level.FULL, context.level is Level.SPARSE
        first_time = number - step.time + 1
        if step.time > 1 and context.numbers and min(context.numbers) >= first_time:
            if full:
                return f"{_WORDS.counted(step)}, {step.do}"
            if sparse:
                return "last" if step.time == step.of else str(step.time)
            return _WORDS.counted(step)
        times = f"{step.of} times" if sparse and step.time == 1 < step.of else _WORDS.counted(step)
        return sentences(step.do, times, step.lengths, "" if sparse else step.hint or "")

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[WrittenStep]) -> str:
        """`Fold. Braid, 12 times`."""
        return each_counted(step.do for step in steps)

    def take_out(self, design: DesignLike, step: WrittenStep, level: Level) -> list[str]:
        """`take back Braid, 3 of 12`."""
        return [f"take back {step.do.rstrip('.')}", _WORDS.counted(step)]

    def undone(self, design: DesignLike, step: WrittenStep, level: Level) -> list[str]:
        """`3 of 12`."""
        return [_WORDS.counted(step)]
