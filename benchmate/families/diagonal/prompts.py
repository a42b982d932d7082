"""Spoken prompts for the knots of a diagonal band."""

from collections.abc import Sequence
from itertools import pairwise

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import Level, PromptContext, alike_counted, joined
from benchmate.craft.work import Work
from benchmate.families.diagonal.body import DiagonalKnot

ALIKE = 2
"""After this many equal knots with one string, the prompt leaves out the passive colour too."""


class DiagonalPrompts(Prompts[DiagonalKnot]):
    """Names a string at its pick-up, and says less and less of equal knots."""

    def for_step(self, context: PromptContext, design: DesignLike, work: Work, number: int, step: DiagonalKnot) -> str:
        """`deep at 3, forward`; with the string in hand `forward`, or only the knot's number in the run."""
        run = context.run
        assert run is not None
        full, sparse = context.level is Level.FULL, context.level is Level.SPARSE
        held, to_make = context.still_in_hand(step.knotting), run.of - run.at + 1
        last = run.of > 1 and to_make == 1
        # Right after `row done`, a number or `last` would seem to belong to the row.
        known = sparse and _only_kind_heard(context, step) and not (held and context.has_lead_in)
        words = []
        if not held:
            words.append(_at(design, step) + (f" for {to_make} knots" if full and to_make > 1 else ""))
        if full and not (held and _alike(context, step) >= ALIKE):
            words.append(f"{step.knot.words} over {design.say_of(step.passive)}")
        elif not known:
            words.append(step.knot.words)
        elif held and not last:
            words.append(str(run.at))
        if last:
            words.append(f"last with {design.say_of(step.knotting)}" if full else "last")
        return joined(words)

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[DiagonalKnot]) -> str:
        """`deep at 3, 3 forward, backward`; with several strings, `from moss at 1 to the right, 2 forward`."""
        if len({step.knotting for step in steps}) == 1:
            named = [] if context.still_in_hand(steps[0].knotting) else [_at(design, steps[0])]
            return joined([*named, *alike_counted(step.knot for step in steps)])
        words = []
        for stretch in _side_by_side(steps):
            first = _at(design, stretch[0])
            if len(stretch) > 1:
                side = "right" if stretch[1].left > stretch[0].left else "left"
                first = f"from {first} to the {side}"
            words += [first, *alike_counted(step.knot for step in stretch)]
        return joined(words)

    def take_out(self, design: DesignLike, step: DiagonalKnot, level: Level) -> list[str]:
        """`take out forward, deep at 4 over foam`."""
        over = "" if level is Level.SPARSE else f" over {design.say_of(step.passive)}"
        return [f"take out {step.knot.words}", f"{design.say_of(step.knotting)} at {step.knotting_to}{over}"]

    def undone(self, design: DesignLike, step: DiagonalKnot, level: Level) -> list[str]:
        """`deep over foam`, at full level with the position the string is back at."""
        knotting = design.say_of(step.knotting)
        words = [] if level is Level.SPARSE else [f"{knotting} over {design.say_of(step.passive)}"]
        if level is Level.FULL and step.knot.swaps:
            words.append(f"{knotting} back at {step.knotting_from}")
        return words


def _at(design: DesignLike, step: DiagonalKnot) -> str:
    return f"{design.say_of(step.knotting)} at {step.knotting_from}"


def _only_kind_heard(context: PromptContext, knot: DiagonalKnot) -> bool:
    """True when all steps since the last prompt heard are knots of this kind."""
    return bool(context.steps) and all(
        isinstance(step, DiagonalKnot) and step.knot is knot.knot for step in context.steps
    )


def _alike(context: PromptContext, knot: DiagonalKnot) -> int:
    """How many of the last `ALIKE` knots, counted back from the last, equal this one in kind and knotting string."""
    count = 0
    for step in reversed(context.last_steps[-ALIKE:]):
        if not isinstance(step, DiagonalKnot) or (step.knot, step.knotting) != (knot.knot, knot.knotting):
            break
        count += 1
    return count


def _side_by_side(knots: Sequence[DiagonalKnot]) -> list[list[DiagonalKnot]]:
    """The knots of a row, split where the next knot is not at the neighbouring pair."""
    found = [[knots[0]]]
    for before, knot in pairwise(knots):
        if abs(knot.left - before.left) != 2:
            found.append([])
        found[-1].append(knot)
    return found
