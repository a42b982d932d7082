"""The knots of an alpha band as the bench shows them."""

from collections.abc import Sequence
from itertools import groupby

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.progress import CurrentRun
from benchmate.craft.shown_step import ComingStep, Side
from benchmate.craft.wording.trouble_words import NOT_KNOWN, WRONG_KNOT
from benchmate.craft.work import Work
from benchmate.families.alpha.body import AlphaKnot
from benchmate.families.alpha.words import AlphaWords, needs_scissors

_WORDS = AlphaWords()


class AlphaStepView(StepView[AlphaKnot]):
    """The knot's name on the colour of the leading string, with the leading string and the base string below."""

    always_shows_run = True
    when_done = "Hide the ends on the back. Tie it on with room to move, never tight."

    def word(self, step: AlphaKnot) -> str:
        """The knot's name."""
        return _WORDS.name(step)

    def note(self, design: DesignLike, step: AlphaKnot) -> str:
        """Which leading string goes over which base string."""
        return _WORDS.crossed(design, step)

    def field(self, step: AlphaKnot) -> int | None:
        """The leading string; none where that is not known."""
        return step.leading or None

    def sides(self, design: DesignLike, step: AlphaKnot, run: CurrentRun | None, *, undone: bool) -> tuple[Side, Side]:
        """The leading string and the base string of the knot, from left to right."""
        count = "leads" if run is None else f"leads: knot {run.at} of {run.of}"
        base = design.value_of(step.column)
        if step.unsure:
            leading = Side(0, "", NOT_KNOWN, True, step.column, ("", WRONG_KNOT, ""))
        else:
            colour = design.value_of(step.leading)
            leading = Side(0, colour, design.say_of(step.leading), True, step.column, ("", count, ""))
        column = (str(step.column), "base string", "passive")
        passive = Side(step.column, base, design.say_of(step.column), False, step.column, column)
        return (leading, passive) if step.knot.from_left else (passive, leading)

    def coming(self, design: DesignLike, step: AlphaKnot, before: str) -> ComingStep:
        """`forward, foam over 3`, `f, foam over 3`, `f 3`."""
        if step.unsure:
            words = f"{before}{WRONG_KNOT} over {step.column}"
            return ComingStep(words, words, f"{NOT_KNOWN} {step.column}", ())
        crossed, token = _WORDS.crossed(design, step), step.knot.value
        return ComingStep(
            f"{before}{step.knot.words}, {crossed}",
            f"{before}{token}, {crossed}",
            f"{token} {step.column}",
            (design.value_of(step.leading), design.value_of(step.column)),
        )

    def press(self, design: DesignLike, steps: Sequence[AlphaKnot]) -> tuple[str, ...]:
        """`foam 3`, `deep 2`: one count for each colour in a row, at its first knot."""
        groups = [list(same) for _, same in groupby(steps, key=lambda step: (step.row, step.leading))]
        words: list[str] = []
        for same in groups:
            words += [f"{design.say_of(same[0].leading)} {len(same)}", *[""] * (len(same) - 1)]
        return tuple(words)

    def is_untimed(self, work: Work, number: int, step: AlphaKnot) -> bool:
        """A knot before which a string is cut or started."""
        return needs_scissors(work, number)
