"""The knots of a diagonal band as the bench shows them."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.progress import CurrentRun
from benchmate.craft.shown_step import ComingStep, Side
from benchmate.craft.trouble.made_otherwise import LEFT_OUT
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.families.diagonal.words import DiagonalWords, outcome

_WORDS = DiagonalWords()


class DiagonalStepView(StepView[DiagonalKnot]):
    """The knot's name on the colour of its knotting string, with the pair below."""

    strings_move = True

    def word(self, step: DiagonalKnot) -> str:
        """The knot's name."""
        return "leave out" if step.knot is None else step.knot.words

    def note(self, design: DesignLike, step: DiagonalKnot) -> str:
        """Where both strings hang afterwards."""
        return outcome(design, step)

    def field(self, step: DiagonalKnot) -> int | None:
        """The knotting string; none where the knot is left out."""
        return step.knotting or None

    def sides(
        self, design: DesignLike, step: DiagonalKnot, run: CurrentRun | None, *, undone: bool
    ) -> tuple[Side, Side]:
        """The pair as it hangs now; before an undo, where the knot left it."""
        if step.knot is None:
            strings = ((step.left, step.left_string), (step.left + 1, step.right_string))
            left, right = (
                Side(at, design.value_of(string), design.say_of(string), False, at, (str(at), "no knot", "stays"))
                for at, string in strings
            )
            return left, right
        before, after = (step.knotting_from, step.passive_from), (step.knotting_to, step.passive_to)
        hang, end = (after, before) if undone else (before, after)
        one, other = sorted(
            Side(at, design.value_of(string), design.say_of(string), makes, ends)
            for string, at, ends, makes in zip((step.knotting, step.passive), hang, end, (True, False), strict=True)
        )
        return one, other

    def goes_back(self, design: DesignLike, step: DiagonalKnot) -> str:
        """Nothing, and nothing has to be untied, where the knot was left out."""
        return "No knot is here. " if step.knot is None else ""

    def coming(self, design: DesignLike, step: DiagonalKnot, before: str) -> ComingStep:
        """`forward, 3 deep over 4 foam`, `f, 3 deep over 4 foam`, `f 3/4`."""
        if step.knot is None:
            pair, strings = _WORDS.crossed(design, step), (step.left_string, step.right_string)
            left, right = map(design.value_of, strings)
            at = f"{LEFT_OUT} {step.left}/{step.left + 1}"
            return ComingStep(f"{before}leave out {pair}", f"{before}{LEFT_OUT}, {pair}", at, (left, right))
        crossed, token = _WORDS.crossed(design, step), step.knot.value
        return ComingStep(
            f"{before}{step.knot.words}, {crossed}",
            f"{before}{token}, {crossed}",
            f"{token} {step.knotting_from}/{step.passive_from}",
            (design.value_of(step.knotting), design.value_of(step.passive)),
        )
