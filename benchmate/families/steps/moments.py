"""Written steps at the bench."""

from benchmate.craft.family import Moments, Threads
from benchmate.craft.moment import Coming, Drawn
from benchmate.craft.work import Work
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.words import StepsWords

DRAWN = ("#e8a33d", "#8fd0e6")
"""The colours of the two strings of a drawing in a piece that has not two of its own."""
_WORDS = StepsWords()


class StepsMoments(Moments[WrittenStep]):
    """The instruction in large type, the hint under it, and a drawing where there is one."""

    at_the_end = ""

    def word(self, step: WrittenStep) -> str:
        """The instruction."""
        return step.do

    def note(self, design: Threads, step: WrittenStep) -> str:
        """Which time it is, and the hint."""
        return ". ".join(text for text in (_WORDS.counted(step), step.hint or "") if text)

    def coming(self, design: Threads, step: WrittenStep, before: str) -> Coming:
        """The instruction, and which time it is."""
        words = ", ".join(text for text in (before + step.do, _WORDS.counted(step)) if text)
        return Coming(words, words, words, ())

    def drawn(self, design: Threads, step: WrittenStep) -> Drawn | None:
        """The drawing the instruction names, in the piece's own colours where it has two."""
        if step.draw is None:
            return None
        own = [design.value_of(string) for string in range(1, len(design.strings) + 1)]
        left, right = own[:2] if len(own) > 1 else DRAWN
        return Drawn(step.draw, left, right)

    def takes_its_own_time(self, work: Work, number: int, step: WrittenStep) -> bool:
        """All but the further times of a counted instruction."""
        return step.time == 1
