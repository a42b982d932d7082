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
        """`foam, 7 forward`, after how to pick foam up; within the stretch `forward` or only a number.

        The first knot of a picture comes after what to know before it.
        """
        run = context.run
        assert run is not None
        sparse = context.level is Level.SPARSE
        if not context.still_in_hand(step.leading) or run.at == 1:
            knots = _knots(step, run.of - run.at + 1)
            if sparse:
                return f"{_WORDS.in_brief(design, work, number, always=False)}, {knots}"
            full = context.level is Level.FULL
            know = _WORDS.before_first(work).rstrip(".") if full and number == 0 else ""
            first = _WORDS.pick_up(design, work, number, tails=full)
            return joined([know, f"{first}, then {knots}" if first else f"{design.say_of(step.leading)}, {knots}"])
        word = str(run.at) if sparse and not context.has_lead_in else step.knot.words
        last = run.at == run.of
        if sparse and last:
            word = ""
        return joined([word, "last" if last else ""])

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[AlphaKnot]) -> str:
        """`foam, 3 forward, new deep, 2 forward`: one count for each colour in a row.

        To read, with all there is to do before each: `bring deep from column 4 (1 knot); cut foam at column 7, then`.
        """
        work, always = context.work, context.level is not Level.SPARSE
        assert work is not None
        words = []
        numbered = zip(context.ahead, steps, strict=True)
        for _, same in groupby(numbered, key=lambda each: (each[1].row, each[1].leading)):
            (number, step), *more = same
            knots = _knots(step, 1 + len(more))
            first = _WORDS.pick_up(design, work, number, tails=False) if context.to_read else ""
            if first:
                words.append(f"{first}, then {knots}")
            else:
                words += [_WORDS.in_brief(design, work, number, always=always), knots]
        return joined(words)

    def take_out(self, design: DesignLike, step: AlphaKnot, level: Level) -> list[str]:
        """`take out forward, foam over 3`."""
        return [f"take out {step.knot.words}", _WORDS.crossed(design, step)]

    def undone(self, design: DesignLike, step: AlphaKnot, level: Level) -> list[str]:
        """`foam over 3`."""
        return [] if level is Level.SPARSE else [_WORDS.crossed(design, step)]


def _knots(knot: AlphaKnot, count: int) -> str:
    """A number of knots of one colour: `7 forward`."""
    return f"{count} {knot.knot.words}" if count > 1 else knot.knot.words
