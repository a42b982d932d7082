"""Spoken prompts for the knots of an alpha band."""

from collections.abc import Sequence
from itertools import groupby

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import Level, PromptContext, joined
from benchmate.craft.work import Work
from benchmate.families.alpha.body import AlphaKnot
from benchmate.families.alpha.words import AlphaWords

_WORDS = AlphaWords()


class AlphaPrompts(Prompts[AlphaKnot]):
    """Announces each stretch of one colour with its number of knots, then each knot."""

    def for_step(self, context: PromptContext, design: DesignLike, work: Work, number: int, step: AlphaKnot) -> str:
        """`foam, 7 forward`, after how to pick foam up; within the stretch `forward` or only a number."""
        run = context.run
        assert run is not None
        sparse = context.level is Level.SPARSE
        if not context.still_in_hand(step.leading) or run.at == 1:
            first = "" if sparse else _WORDS.pick_up(design, work, number, tails=context.level is Level.FULL)
            stretch = _stretch(design, step, run.of - run.at + 1)
            return f"{first}, then {stretch.partition(', ')[2]}" if first else stretch
        word = str(run.at) if sparse and not context.has_lead_in else step.knot.words
        last = run.at == run.of
        if sparse and last:
            word = ""
        return joined([word, "last" if last else ""])

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[AlphaKnot]) -> str:
        """`foam, 3 forward, deep, 2 forward`: one count for each colour in a row."""
        groups = [list(same) for _, same in groupby(steps, key=lambda step: (step.row, step.leading))]
        return joined(_stretch(design, same[0], len(same)) for same in groups)

    def take_out(self, design: DesignLike, step: AlphaKnot, level: Level) -> list[str]:
        """`take out forward, foam over 3`."""
        return [f"take out {step.knot.words}", _WORDS.crossed(design, step)]

    def undone(self, design: DesignLike, step: AlphaKnot, level: Level) -> list[str]:
        """`foam over 3`."""
        return [] if level is Level.SPARSE else [_WORDS.crossed(design, step)]


def _stretch(design: DesignLike, knot: AlphaKnot, count: int) -> str:
    """A number of knots of one colour: `foam, 7 forward`."""
    counted = f"{count} {knot.knot.words}" if count > 1 else knot.knot.words
    return f"{design.say_of(knot.leading)}, {counted}"
