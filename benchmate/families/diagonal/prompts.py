"""Spoken prompts for the knots of a diagonal band."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from benchmate.craft.family import DesignLike, Prompts
from benchmate.craft.wording.prompt_parts import (
    THEN,
    Detail,
    Level,
    PromptContext,
    alike_counted,
    details,
    joined,
    position,
)
from benchmate.craft.wording.trouble_words import WRONG_KNOT
from benchmate.craft.work import Work
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.families.diagonal.words import is_sure_of_both, leave_out

ALIKE = 2
"""After this many equal knots with one string, the prompt leaves out the passive colour too."""


class DiagonalPrompts(Prompts[DiagonalKnot]):
    """Names a string at its pick-up, and says less and less of equal knots."""

    def for_step(
        self, context: PromptContext, design: DesignLike, work: Work, number: int, step: DiagonalKnot
    ) -> Iterable[str]:
        """`deep, third from the left, forward`; with the string in hand `forward`, or only the knot's number.

        `leave out this knot: string 3 and string 4` where it is left out.
        """
        if step.knot is None:
            return [_leave_out(step, detail) for detail in details(context.level)]
        run = context.run
        assert run is not None
        level, name = context.level, context.names[step.knot]
        to_make = run.of - run.at + 1
        last = run.of > 1 and to_make == 1
        if not context.still_in_hand(step.knotting):
            return _picked_up(level, design, step, name, to_make, last=last)
        if level is Level.FULL:
            if _alike(context, step) < ALIKE:
                return [joined(_over(design, step, name, last=last))]
            return [joined([name, f"last with {design.say_of(step.knotting)}" if last else ""])]
        if level is Level.SHORT or not _only_kind_heard(context, step):
            return [joined([name, "last" if last else ""])]
        return ["last" if last else str(run.at)]

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[DiagonalKnot]) -> Iterable[str]:
        """`deep, third from the left, 3 forward, then backward`; with several strings as `_in_stretches` says."""
        wanted = details(context.level)
        if len({step.knotting for step in steps}) > 1 or not steps[0].knotting:
            return (_in_stretches(context, design, steps, detail) for detail in wanted)
        knots = _knots(context, steps)
        if context.still_in_hand(steps[0].knotting):
            return [knots]
        return (joined([_string(design, steps[0], detail), knots]) for detail in wanted)

    def take_out(self, context: PromptContext, design: DesignLike, step: DiagonalKnot) -> list[str]:
        """`take out forward, deep over foam, fourth from the left`; `take out the wrong knot, string 3 and string 4`.

        Without the colours where it is not certain which strings they are.
        """
        if step.unsure:
            left, right = step.pair
            short = f"take out {WRONG_KNOT}, {left} and {right}"
            return [f"take out {WRONG_KNOT}, string {left} and string {right}", short, f"take out {left} and {right}"]
        if step.knot is None:
            pair = f"string {step.left} and string {step.left + 1}"
            return [f"nothing to take out, {pair} have no knot", "no knot to take out", "no knot"]
        take_out = f"take out {context.names[step.knot]}"
        wordings = []
        for detail in details(context.level):
            at = position(step.knotting_to, len(design.strings), detail)
            if detail in (Detail.FULL, Detail.SHORT) and is_sure_of_both(step):
                both = f"{design.say_of(step.knotting)} over {design.say_of(step.passive)}"
                wordings.append(joined([take_out, both, at]))
            else:
                wordings += [joined([take_out, at]), f"take out {at}"]
        return wordings

    def undone(self, context: PromptContext, design: DesignLike, step: DiagonalKnot) -> list[str]:
        """`forward, deep over foam`, at full level with the position the string is back at."""
        if step.knot is None:
            return [f"the knot left out, string {step.left} and string {step.left + 1}", "the knot left out"]
        name, knotting = context.names[step.knot], design.say_of(step.knotting)
        if context.level is Level.SPARSE:
            return [name]
        words = [joined([name, f"{knotting} over {design.say_of(step.passive)}"]), name]
        if context.level is Level.FULL and step.knot.swaps:
            back = position(step.knotting_from, len(design.strings), Detail.FULL)
            words.insert(0, joined([words[0], f"{knotting} back", back]))
        return words


def _leave_out(step: DiagonalKnot, detail: Detail) -> str:
    """What not to do, the fullest wording first."""
    left, right = step.left, step.left + 1
    if detail is Detail.FULL:
        return leave_out(step)
    if detail is Detail.SHORT:
        return f"leave out this knot, {left} and {right}"
    return f"leave out {left} and {right}" if detail is not Detail.BARE else f"leave out {left}"


def _knots(context: PromptContext, steps: Sequence[DiagonalKnot]) -> str:
    """The kinds of knots, none left out, with a count for equal ones in a row."""
    return alike_counted(context.names[step.knot] for step in steps if step.knot is not None)


def _picked_up(
    level: Level, design: DesignLike, step: DiagonalKnot, name: str, to_make: int, *, last: bool
) -> Iterator[str]:
    """A knot with a new string in hand, which makes `to_make` knots now."""
    if level is Level.FULL:
        many = f"for {to_make} knots" if to_make > 1 else ""
        yield joined([_string(design, step, Detail.FULL), many, *_over(design, step, name, last=last)])
    for ends in ["last", ""] if last else [""]:
        for detail in details(level):
            yield joined([_string(design, step, detail), name, ends])


def _string(design: DesignLike, step: DiagonalKnot, detail: Detail) -> str:
    """The knotting string by its colour and where it hangs, or only by where it hangs."""
    at = position(step.knotting_from, len(design.strings), detail)
    return joined([design.say_of(step.knotting), at]) if detail in (Detail.FULL, Detail.SHORT) else at


def _over(design: DesignLike, step: DiagonalKnot, name: str, *, last: bool) -> list[str]:
    """The knot in full: `forward over foam`, `last with deep`."""
    over = f"{name} over {design.say_of(step.passive)}"
    return [over, f"last with {design.say_of(step.knotting)}"] if last else [over]


def _in_stretches(context: PromptContext, design: DesignLike, steps: Sequence[DiagonalKnot], detail: Detail) -> str:
    """`moss, first from the left, pairs to the right, 2 forward, then sand, second from the right, forward`."""
    stretches = []
    for stretch in _side_by_side(steps):
        if stretch[0].knot is None:
            stretches.append(_leave_out(stretch[0], detail))
            continue
        string, knots = _string(design, stretch[0], detail), _knots(context, stretch)
        if len(stretch) > 1:
            to_the = " to the" if detail is Detail.FULL else ""
            pairs = f"pairs{to_the} {'right' if stretch[1].left > stretch[0].left else 'left'}"
            own = detail in (Detail.FULL, Detail.SHORT, Detail.SPARSE)
            string = joined([string, pairs]) if own else f"{string} {pairs}"
        stretches.append(joined([string, knots]))
    return THEN.join(stretches)


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
    """The knots of a row, split where the next knot is not at the neighbouring pair, and around one left out."""
    found = [[knots[0]]]
    for before, knot in pairwise(knots):
        if abs(knot.left - before.left) != 2 or None in (before.knot, knot.knot):
            found.append([])
        found[-1].append(knot)
    return found
