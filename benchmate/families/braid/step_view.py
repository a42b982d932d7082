"""The moves of a braid as the bench shows them."""

from benchmate.craft.family import DesignLike, StepView
from benchmate.craft.shown_step import ComingStep
from benchmate.craft.wording.trouble_words import NOT_KNOWN
from benchmate.families.braid.body import BraidMove
from benchmate.families.braid.words import WRONG_MOVE, BraidWords

_WORDS = BraidWords()


class BraidStepView(StepView[BraidMove]):
    """The slots of the move on the colour of its strand."""

    # The strands lie in the slots of the disk, which has a zone of its own.
    strings_hang = False

    def word(self, step: BraidMove) -> str:
        """`17 → 31`."""
        return WRONG_MOVE if step.unsure else f"{step.source} → {step.target}"

    def way_back(self, step: BraidMove) -> BraidMove:
        """The strand goes from its target to its source; of a move in doubt nobody knows."""
        if step.unsure:
            return step
        return step._replace(source=step.target, target=step.source)

    def note(self, design: DesignLike, step: BraidMove) -> str:
        """The strand's colour; with the first move, also what the two numbers mean."""
        say = _WORDS.crossed(design, step)
        if not step.is_first:
            return say
        return f"{say}: lift it out of slot {step.source} and lay it in slot {step.target}"

    def field(self, step: BraidMove) -> int | None:
        """The strand; none where that is not known."""
        return step.strand or None

    def coming(self, design: DesignLike, step: BraidMove, before: str) -> ComingStep:
        """`17 to 31, deep`, and `17>31`."""
        if step.unsure:
            words = f"{before}{_WORDS.in_chart(step)}"
            return ComingStep(words, words, f"{NOT_KNOWN} {step.source}>{step.target}", ())
        words = f"{before}{_WORDS.with_colour(design, step, _WORDS.name(step))}"
        colours = (design.value_of(step.strand),) if step.strand else ()
        return ComingStep(words, words, f"{step.source}>{step.target}", colours)

    def goes_back(self, design: DesignLike, step: BraidMove) -> str:
        """The slot the strand goes back to."""
        if step.unsure:
            return f"Lay all as before that move; in the chart {step.source} to {step.target}. "
        back = f"back from slot {step.target} to slot {step.source}. "
        return f"{_WORDS.crossed(design, step)}, {back}" if step.strand else back.capitalize()
