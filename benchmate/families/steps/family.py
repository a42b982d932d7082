"""The family of pieces, starts and finishes in written steps."""

from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.craft.effort import Effort
from benchmate.craft.family import DesignLike, Family
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.craft.work import Work
from benchmate.families.steps.body import Steps, WrittenStep
from benchmate.families.steps.work import StepsWork

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from benchmate.craft.drawing import Layout
    from benchmate.craft.laying_out import LayingOut
    from benchmate.craft.thread.length_to_cut import Length
    from benchmate.families.steps.prompts import StepsPrompts
    from benchmate.families.steps.step_view import StepsStepView
    from benchmate.families.steps.words import StepsWords


class StepsFamily(Family[Steps, WrittenStep]):
    """Pieces, starts and finishes in written steps."""

    name = "steps"
    called = "written steps"
    row_word = ""

    # Imported inside: a command that neither says nor shows a step does not load this.

    @cached_property
    def words(self) -> "StepsWords":
        """Its steps in lines."""
        from benchmate.families.steps.words import StepsWords

        return StepsWords()

    @cached_property
    def prompts(self) -> "StepsPrompts":
        """Its spoken prompts."""
        from benchmate.families.steps.prompts import StepsPrompts

        return StepsPrompts()

    @cached_property
    def step_view(self) -> "StepsStepView":
        """Its steps at the bench."""
        from benchmate.families.steps.step_view import StepsStepView

        return StepsStepView()

    def start_of(
        self, body: Steps, band: DesignLike, lengths: "Callable[[], Sequence[Length]]" = tuple, units: str = "cm"
    ) -> Steps:
        """A doubled start, with the lengths that the band takes in its first step, and how long they are if known."""
        if not body.doubled or not band.strings:
            return body
        # Imported here: a command that neither says nor shows a step does not load this.
        from benchmate.craft.wording.length_words import length_words, spoken_length_words
        from benchmate.families.steps.lengths import folded_lengths, how_long

        def say(name: str) -> str:
            return band.colours[name].say

        cut = lengths()
        long = how_long(cut, lambda mm: length_words(mm, units))
        said = how_long(cut, lambda mm: spoken_length_words(mm, units))
        words, aloud = folded_lengths(band.strings, say, long), folded_lengths(band.strings, say, said, aloud=True)
        first, *others = body.steps
        return body._replace(steps=(first._replace(lengths=words, lengths_aloud=aloud), *others))

    def folds_strings(self, body: Steps) -> bool:
        """As the body says."""
        return body.doubled

    def uses_mm(self, body: Steps) -> float | None:
        """As the body says."""
        return body.uses

    def steps_per_repeat(self, body: Steps) -> int:
        """The times of all instructions."""
        return sum(step.times for step in body.steps)

    def work(self, body: Steps, repeats: int) -> StepsWork:
        """The steps, unrolled."""
        return StepsWork(body, repeats)

    def summary(self, body: Steps, repeats: int) -> list[str]:
        """How many steps."""
        return [counted(self.steps_per_repeat(body) * repeats, "step")]

    def kind(self, body: Steps) -> str:
        """`written steps`."""
        return "written steps"

    def effort(self, body: Steps) -> Effort:
        """From the strings it names, the presses an instruction takes, and its instructions."""
        return Effort(len(body.strings), 1, self.steps_per_repeat(body) / len(body.steps), len(body.steps))

    def changes(self, old: Steps, new: Steps) -> list[str]:
        """Which instructions differ, whether the strings are folded, and the thread that it takes."""
        found = list_changes("step", old.steps, new.steps)
        if old.doubled != new.doubled:
            found.append("the strings are now folded" if new.doubled else "the strings are no longer folded")
        if old.uses != new.uses:
            found.append("it takes another length of each string")
        return found

    def same_step(self, old: Steps, one: WrittenStep, new: Steps, other: WrittenStep) -> bool:
        """The same instruction done as many times; its hint, and how many times are still to come, may differ."""
        return (one.do, one.time) == (other.do, other.time)

    def drawing(self, design: DesignLike, body: Steps, repeats: int, made: Work | None = None) -> "Layout":
        """Always raises CannotDraw."""
        from benchmate.craft.drawing import CannotDraw

        raise CannotDraw("a design in written steps has nothing to draw")

    def laying_out(self, design: DesignLike, body: Steps, *, started: bool) -> "LayingOut":
        """The strings, left to right, if it has any."""
        # Imported here: only a piece before its first knot needs it.
        from benchmate.families.steps.laying_out import laying_out

        return laying_out(design, body, started=started)

    def step_document(self, design: DesignLike, body: Steps, step: WrittenStep, run: int) -> dict[str, object]:
        """Repeat, instruction, hint and count."""
        return {"row": step.row, "do": step.do, "hint": step.hint, "time": step.time, "of": step.of}


STEPS = StepsFamily()
"""The family of pieces in written steps."""
