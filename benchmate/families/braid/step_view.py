"""The moves of a braid as the bench shows them."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.shown_step import ComingStep
from benchmate.families.braid.body import BraidMove
from benchmate.families.braid.words import BraidWords

_WORDS = BraidWords()


class BraidStepView(StepView[BraidMove]):
    """The slots of the move on the colour of its strand."""

    # The strands lie in the slots of the disk, which has a zone of its own.
    strings_hang = False

    def word(self, step: BraidMove) -> str:
        """`17 → 31`."""
        return f"{step.source} → {step.target}"

    def way_back(self, step: BraidMove) -> BraidMove:
        """The strand goes from its target to its source."""
        return step._replace(source=step.target, target=step.source)

    def note(self, design: DesignLike, step: BraidMove) -> str:
        """The strand's colour; with the first move, also what the two numbers mean."""
        say = design.say_of(step.strand)
        if not step.is_first:
            return say
        return f"{say}: lift it out of slot {step.source} and lay it in slot {step.target}"

    def field(self, step: BraidMove) -> int:
        """The strand."""
        return step.strand

    def coming(self, design: DesignLike, step: BraidMove, before: str) -> ComingStep:
        """`17 to 31, deep`, and `17>31`."""
        words = f"{before}{_WORDS.name(step)}, {design.say_of(step.strand)}"
        return ComingStep(words, words, f"{step.source}>{step.target}", (design.value_of(step.strand),))

    def goes_back(self, design: DesignLike, step: BraidMove) -> str:
        """The slot the strand goes back to."""
        return f"{design.say_of(step.strand)}, back from slot {step.target} to slot {step.source}. "
