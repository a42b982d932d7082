"""Written steps as the bench shows them."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.shown_step import ColouredDrawing, ComingStep
from benchmate.craft.work import Work
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.words import StepsWords

DRAWN = ("#e8a33d", "#8fd0e6")
"""The two string colours of a drawing, for a piece with fewer than two strings."""
_WORDS = StepsWords()


class StepsStepView(StepView[WrittenStep]):
    """The instruction in large type, the hint below, and the drawing if there is one."""

    when_done = ""

    def word(self, step: WrittenStep) -> str:
        """The instruction."""
        return step.do

    def note(self, design: DesignLike, step: WrittenStep) -> str:
        """The count, the lengths to cut, and the hint."""
        return ". ".join(text for text in (_WORDS.counted(step), *step.notes) if text)

    def coming(self, design: DesignLike, step: WrittenStep, before: str) -> ComingStep:
        """The instruction and the count."""
        words = ", ".join(text for text in (before + step.do, _WORDS.counted(step)) if text)
        return ComingStep(words, words, words, ())

    def drawn(self, design: DesignLike, step: WrittenStep) -> ColouredDrawing | None:
        """The drawing of the instruction, in the piece's own colours if it has two strings, each where it hangs now."""
        if step.draw is None:
            return None
        own = [design.value_of(string) for string in range(1, len(design.strings) + 1)]
        left, right = own[:2] if len(own) > 1 else DRAWN
        return ColouredDrawing(step.draw, *((right, left) if step.swapped else (left, right)))

    def is_untimed(self, work: Work, number: int, step: WrittenStep) -> bool:
        """True except for the further times of a counted instruction."""
        return step.time == 1
