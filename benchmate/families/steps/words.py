"""Written steps in lines."""

from benchmate.craft.family import DesignLike, Words
from benchmate.families.steps.body import WrittenStep


class StepsWords(Words[WrittenStep]):
    """Instructions as they are written, with which time it is and the hint."""

    def name(self, step: WrittenStep) -> str:
        """The instruction."""
        return step.do

    def spoken(self, design: DesignLike, step: WrittenStep) -> str:
        """`Plait the loop. time 2 of 6. Keep it tight`."""
        pieces = [step.do, self.counted(step), step.hint or ""]
        return ". ".join(piece.rstrip(".") for piece in pieces if piece)

    def take_out(self, design: DesignLike, step: WrittenStep) -> str:
        """`take back: Plait the loop. time 2 of 6`."""
        return f"take back: {self.spoken(design, step)}"

    def counted(self, step: WrittenStep) -> str:
        """Which time of a counted instruction this is, or nothing: `time 2 of 5`."""
        return "" if step.of == 1 else f"time {step.time} of {step.of}"
