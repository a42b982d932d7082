"""The family of alpha bands: pictures and letters."""

from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.craft.effort import Effort, period
from benchmate.craft.family import DesignLike, Family
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.families.alpha.body import Alpha, AlphaKnot
from benchmate.families.alpha.work import AlphaWork

if TYPE_CHECKING:
    from benchmate.craft.drawing import Layout
    from benchmate.families.alpha.prompts import AlphaPrompts
    from benchmate.families.alpha.step_view import AlphaStepView
    from benchmate.families.alpha.words import AlphaWords


class AlphaFamily(Family[Alpha, AlphaKnot]):
    """Bands in which leading strings are knotted over base strings, row by row, back and forth."""

    name = "alpha"
    step_word = "knot"
    row_word = "row"

    # Imported inside: a command that neither says nor shows a step does not load this.

    @cached_property
    def words(self) -> "AlphaWords":
        """Its steps in lines."""
        from benchmate.families.alpha.words import AlphaWords

        return AlphaWords()

    @cached_property
    def prompts(self) -> "AlphaPrompts":
        """Its spoken prompts."""
        from benchmate.families.alpha.prompts import AlphaPrompts

        return AlphaPrompts()

    @cached_property
    def step_view(self) -> "AlphaStepView":
        """Its steps at the bench."""
        from benchmate.families.alpha.step_view import AlphaStepView

        return AlphaStepView()

    def steps_per_repeat(self, body: Alpha) -> int:
        """The knots of the chart."""
        return len(body.rows) * body.columns

    def work(self, body: Alpha, repeats: int) -> AlphaWork:
        """The band, unrolled into knots."""
        return AlphaWork(body, repeats)

    def summary(self, body: Alpha, repeats: int) -> list[str]:
        """Columns, rows and knots."""
        rows = len(body.rows) * repeats
        return [f"{body.columns} columns", counted(rows, "row"), counted(rows * body.columns, "knot")]

    def kind(self, body: Alpha) -> str:
        """How many columns."""
        return f"picture, {body.columns} columns"

    def effort(self, body: Alpha) -> Effort:
        """From its base and leading strings, kinds of knots, pick-ups a row, and rows until the pattern repeats."""
        work = AlphaWork(body, 1)
        return Effort(work.resource_count, min(2, work.rows), work.fewest_pickups() / work.rows, period(body.rows))

    def changes(self, old: Alpha, new: Alpha) -> list[str]:
        """Which rows differ, and the side row 1 starts from."""
        found = list_changes("row", old.rows, new.rows)
        if old.first != new.first:
            found.append(f"row 1 now starts from the {new.first}")
        return found

    def drawing(self, design: DesignLike, body: Alpha, repeats: int) -> "Layout":
        """The finished band."""
        # Imported here: only `draw` needs it.
        from benchmate.families.alpha.drawing import lay_out

        return lay_out(design, body, repeats)

    def step_document(self, design: DesignLike, body: Alpha, step: AlphaKnot, run: int) -> dict[str, object]:
        """Row, column, knot, the leading string's colour, the base string and the pick-up."""
        return {
            "row": step.row,
            "column": step.column,
            "knot": step.knot.value,
            "knotting": body.colour_of(step.leading),
            "passive": step.passive,
            "run": run,
        }

    def rows_per_repeat(self, body: Alpha) -> int:
        """The rows of the chart."""
        return len(body.rows)


ALPHA = AlphaFamily()
"""The family of alpha bands."""
