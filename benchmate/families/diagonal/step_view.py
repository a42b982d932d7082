"""The knots of a diagonal band as the bench shows them."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.progress import CurrentRun
from benchmate.craft.shown_step import ComingStep, Side
from benchmate.craft.trouble.made_otherwise import LEFT_OUT
from benchmate.craft.wording.trouble_words import NOT_KNOWN, WRONG_KNOT
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.families.diagonal.words import DiagonalWords, is_sure_of_both, outcome

_WORDS = DiagonalWords()


class DiagonalStepView(StepView[DiagonalKnot]):
    """The knot's name on the colour of its knotting string, with the pair below."""

    strings_move = True

    def word(self, step: DiagonalKnot) -> str:
        """The knot's name."""
        if step.unsure:
            return WRONG_KNOT
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
        """The pair as it hangs now; before an undo, where the knot left it.

        A string that is not known has no colour.
        """
        if step.unsure:
            one, other = (Side(at, "", NOT_KNOWN, False, at, (str(at), "wrong knot", "")) for at in step.pair)
            return one, other
        if step.knot is None:
            strings = ((step.left, step.left_string), (step.left + 1, step.right_string))
            left, right = (
                Side(at, *_seen(design, string), False, at, (str(at), "no knot", "stays")) for at, string in strings
            )
            return left, right
        before, after = (step.knotting_from, step.passive_from), (step.knotting_to, step.passive_to)
        hang, end = (after, before) if undone else (before, after)
        one, other = sorted(
            Side(at, *_seen(design, string), makes, ends)
            for string, at, ends, makes in zip((step.knotting, step.passive), hang, end, (True, False), strict=True)
        )
        return one, other

    def goes_back(self, design: DesignLike, step: DiagonalKnot) -> str:
        """Nothing, and nothing has to be untied, where the knot was left out."""
        if step.unsure:
            return "No knot is here if it was left out. "
        return "No knot is here. " if step.knot is None else ""

    def coming(self, design: DesignLike, step: DiagonalKnot, before: str) -> ComingStep:
        """`forward, 3 deep over 4 foam`, `f, 3 deep over 4 foam`, `f 3/4`; without colours where one is not known."""
        if step.unsure:
            words = f"{before}{self.word(step)}, {step.left} and {step.left + 1}"
            return ComingStep(words, words, f"{NOT_KNOWN} {step.left}/{step.left + 1}", ())
        sure = is_sure_of_both(step)
        if step.knot is None:
            pair = _WORDS.crossed(design, step) if sure else f"{step.left} and {step.left + 1}"
            at = f"{LEFT_OUT} {step.left}/{step.left + 1}"
            colours = _values(design, step.left_string, step.right_string)
            return ComingStep(f"{before}leave out {pair}", f"{before}{LEFT_OUT}, {pair}", at, colours)
        crossed = _WORDS.crossed(design, step) if sure else f"{step.knotting_from} over {step.passive_from}"
        token = step.knot.value
        return ComingStep(
            f"{before}{step.knot.words}, {crossed}",
            f"{before}{token}, {crossed}",
            f"{token} {step.knotting_from}/{step.passive_from}",
            _values(design, step.knotting, step.passive),
        )


def _values(design: DesignLike, *strings: int) -> tuple[str, ...]:
    """The colours of strings; none where one of them is not known."""
    return tuple(map(design.value_of, strings)) if all(strings) else ()


def _seen(design: DesignLike, string: int) -> tuple[str, str]:
    """The colour of a string and its label."""
    return (design.value_of(string), design.say_of(string)) if string else ("", NOT_KNOWN)
