"""Written steps at the bench."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.shown_step import ColouredDrawing, ComingStep
from benchmate.craft.work import Work
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.words import StepsWords

DRAWN = ("#e8a33d", "#8fd0e6")
"""The colours of the two strings of a drawing in a piece that has not two of its own."""
_WORDS = StepsWords()


class StepsStepView(StepView[WrittenStep]):
    """The instruction in large type, the hint under it, and a drawing where there is one."""

    when_done = ""

    def word(self, step: WrittenStep) -> str:
        """The instruction."""
        return step.do

    def note(self, design: DesignLike, step: WrittenStep) -> str:
        """Which time it is, and the hint."""
        return ". ".join(text for text in (_WORDS.counted(step), step.hint or "") if text)

    def coming(self, design: DesignLike, step: WrittenStep, before: str) -> ComingStep:
        """The instruction, and which time it is."""
        words = ", ".join(text for text in (before + step.do, _WORDS.counted(step)) if text)
        return ComingStep(words, words, words, ())

    def drawn(self, design: DesignLike, step: WrittenStep) -> ColouredDrawing | None:
        """The drawing the instruction names, in the piece's own colours where it has two."""
        if step.draw is None:
            return None
        own = [design.value_of(string) for string in range(1, len(design.strings) + 1)]
        left, right = own[:2] if len(own) > 1 else DRAWN
        return ColouredDrawing(step.draw, left, right)

    def is_untimed(self, work: Work, number: int, step: WrittenStep) -> bool:
        """All but the further times of a counted instruction."""
        return step.time == 1
