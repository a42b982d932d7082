"""Written steps in printed lines."""

from benchmate.craft.family import DesignLike, Words
from benchmate.craft.wording.prompt_parts import sentences
from benchmate.families.steps.body import WrittenStep


class StepsWords(Words[WrittenStep]):
    """Instructions as written, with their count and hint."""

    def name(self, step: WrittenStep) -> str:
        """The instruction."""
        return step.do

    def spoken(self, design: DesignLike, step: WrittenStep) -> str:
        """`Plait the loop. 2 of 6. Keep it tight`."""
        return sentences(step.do, self.counted(step), *step.notes)

    def take_out(self, design: DesignLike, step: WrittenStep) -> str:
        """`take back: Plait the loop. 2 of 6`."""
        return f"take back: {self.spoken(design, step)}"

    def counted(self, step: WrittenStep) -> str:
        """The count of an instruction done several times, else empty: `2 of 5`."""
        return "" if step.of == 1 else f"{step.time} of {step.of}"
