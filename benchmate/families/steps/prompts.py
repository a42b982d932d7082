"""Spoken prompts for written steps."""

from collections.abc import Sequence

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import Level, PromptContext, each_counted, joined, sentences
from benchmate.craft.wording.spoken_length import cut
from benchmate.craft.work import Work
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.words import StepsWords

_WORDS = StepsWords()


class StepsPrompts(Prompts[WrittenStep]):
    """Says an instruction once; after that, only the count of its further times."""

    may_be_cut = True

    def for_step(
        self, context: PromptContext, design: DesignLike, work: Work, number: int, step: WrittenStep
    ) -> list[str]:
        """The instruction with its count and hint, or the count alone: `2 of 3`. Lengths to cut are never left out."""
        level = context.level
        first_time = number - step.time + 1
        if step.time > 1 and context.numbers and min(context.numbers) >= first_time:
            if level is Level.FULL:
                return [f"{_WORDS.counted(step)}, {step.do}"]
            if level is Level.SPARSE:
                return ["last" if step.time == step.of else str(step.time)]
            return [_WORDS.counted(step)]
        sparse = level is Level.SPARSE
        times = f"{step.of} times" if sparse and step.time == 1 < step.of else _WORDS.counted(step)
        must = sentences(step.do, times, step.lengths_aloud or step.lengths)
        whole = sentences(must, step.hint or "")
        wordings = {Level.FULL: [whole], Level.SHORT: [whole, must], Level.SPARSE: [must]}[level]
        if times and not context.fits(must):
            # The count stays whole, because the next prompts go on from it.
            wordings.append(joined([cut(step.do, lambda head: context.fits(joined([head, times]))), times]))
        return wordings

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[WrittenStep]) -> list[str]:
        """`Fold. Braid, 12 times`."""
        return [each_counted(step.do for step in steps)]

    def take_out(self, context: PromptContext, design: DesignLike, step: WrittenStep) -> list[str]:
        """`take back Braid, 3 of 12`."""
        words = f"take back {step.do.rstrip('.')}"
        return [joined([words, _WORDS.counted(step)]), words]

    def undone(self, context: PromptContext, design: DesignLike, step: WrittenStep) -> list[str]:
        """`Braid, 3 of 12`."""
        return [joined([step.do.rstrip("."), _WORDS.counted(step)])]
