"""The knots of a diagonal band as the bench shows them."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.progress import CurrentRun
from benchmate.craft.shown_step import ComingStep, Side
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.families.diagonal.words import DiagonalWords, outcome

_WORDS = DiagonalWords()


class DiagonalStepView(StepView[DiagonalKnot]):
    """The knot's name on the colour of its knotting string, with the pair below."""

    strings_move = True

    def word(self, step: DiagonalKnot) -> str:
        """The knot's name."""
        return step.knot.words

    def note(self, design: DesignLike, step: DiagonalKnot) -> str:
        """Where both strings hang afterwards."""
        return outcome(design, step)

    def field(self, step: DiagonalKnot) -> int:
        """The knotting string."""
        return step.knotting

    def sides(
        self, design: DesignLike, step: DiagonalKnot, run: CurrentRun | None, *, undone: bool
    ) -> tuple[Side, Side]:
        """The pair as it hangs now; before an undo, where the knot left it."""
        before, after = (step.knotting_from, step.passive_from), (step.knotting_to, step.passive_to)
        hang, end = (after, before) if undone else (before, after)
        one, other = sorted(
            Side(at, design.value_of(string), design.say_of(string), makes, ends)
            for string, at, ends, makes in zip((step.knotting, step.passive), hang, end, (True, False), strict=True)
        )
        return one, other

    def coming(self, design: DesignLike, step: DiagonalKnot, before: str) -> ComingStep:
        """`forward, 3 deep over 4 foam`, `f, 3 deep over 4 foam`, `f 3/4`."""
        crossed, token = _WORDS.crossed(design, step), step.knot.value
        return ComingStep(
            f"{before}{step.knot.words}, {crossed}",
            f"{before}{token}, {crossed}",
            f"{token} {step.knotting_from}/{step.passive_from}",
            (design.value_of(step.knotting), design.value_of(step.passive)),
        )
