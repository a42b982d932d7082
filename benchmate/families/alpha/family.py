"""The family of alpha bands: pictures and letters."""

from functools import cached_property
from itertools import cycle, islice
from typing import TYPE_CHECKING

from benchmate.craft.effort import Effort, period
from benchmate.craft.family import DesignLike, Family
from benchmate.craft.float_rules import FloatRules
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.craft.work import Work
from benchmate.families.alpha.body import Alpha, AlphaKnot, alpha
from benchmate.families.alpha.work import AlphaWork

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchmate.craft.drawing import Layout
    from benchmate.craft.laying_out import LayingOut
    from benchmate.craft.thread.counts import BandUse
    from benchmate.craft.thread.gauge import Gauge
    from benchmate.craft.thread.length_to_cut import Length, Wanted
    from benchmate.craft.thread.variegated.along import ThreadAlong
    from benchmate.families.alpha.prompts import AlphaPrompts
    from benchmate.families.alpha.step_view import AlphaStepView
    from benchmate.families.alpha.words import AlphaWords


class AlphaFamily(Family[Alpha, AlphaKnot]):
    """Bands in which leading strings are knotted over base strings, row by row, back and forth."""

    name = "alpha"
    called = "alpha bands (pictures, letters)"
    step_word = "knot"
    row_word = "row"
    string_word = "base string"
    rows_measured = "alpha rows"

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

    def threads(self, body: Alpha) -> set[str]:
        """The base strings' colour and those of the leading strings."""
        return {body.base, *body.leading}

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

    def beginning(self, body: Alpha, rows: int) -> Alpha:
        """Its first rows."""
        return body._replace(rows=body.rows[:rows])

    def changes(self, old: Alpha, new: Alpha) -> list[str]:
        """Which rows differ, and the side row 1 starts from."""
        found = list_changes("row", old.rows, new.rows)
        if old.first != new.first:
            found.append(f"row 1 now starts from the {new.first}")
        return found

    def same_step(self, old: Alpha, one: AlphaKnot, new: Alpha, other: AlphaKnot) -> bool:
        """The same knot of the same colour in the same column."""
        same_colour = old.colour_of(one.leading) == new.colour_of(other.leading)
        return same_colour and (one.column, one.knot) == (other.column, other.knot)

    def drawing(self, design: DesignLike, body: Alpha, repeats: int, made: Work | None = None) -> "Layout":
        """The finished band."""
        # Imported here: only `draw` needs it.
        from benchmate.families.alpha.drawing import lay_out

        return lay_out(design, body, repeats)

    def laying_out(self, design: DesignLike, body: Alpha, *, started: bool) -> "LayingOut":
        """The base strings, left to right, and the first leading string."""
        # Imported here: only a piece before its first knot needs it.
        from benchmate.families.alpha.laying_out import laying_out

        return laying_out(design, body, started=started)

    def thread_use(self, body: Alpha, repeats: int, gauge: "Gauge", made: Work | None = None) -> "BandUse":
        """What every string does."""
        # Imported here: only a cut list needs it.
        from benchmate.families.alpha.thread_use import thread_use

        return thread_use(body, repeats, gauge)

    def thread_along(self, design: DesignLike, body: Alpha, work: Work) -> "ThreadAlong":
        """Each leading string along its knots and floats, each base string along its rows."""
        # Imported here: only variegated threads need it.
        from benchmate.craft.thread.variegated.along import TakenAlong, parts_of
        from benchmate.families.alpha.thread_use import takes

        assert isinstance(work, AlphaWork)
        begins = design.beginnings
        return TakenAlong(
            work,
            begins,
            lambda: takes(body, work, begins.gauge),
            lambda string: parts_of(design.colours[body.colour_of(string)], string, begins),
        )

    def lengths_wanted(self, work: Work, lengths: "Sequence[Length]") -> "list[Wanted]":
        """Base strings by their columns, leading strings by their numbers."""
        # Imported here: only a cut list needs it.
        from benchmate.families.alpha.laying_out import lengths_wanted

        assert isinstance(work, AlphaWork)
        return lengths_wanted(work, lengths)

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

    def plan_document(self, work: Work, number: int) -> dict[str, object]:
        """The leading string that makes the knot."""
        assert isinstance(work, AlphaWork)
        return {"leading": work.plan.leading(number)}

    def float_rules(self, body: Alpha) -> FloatRules:
        """The rules of the band."""
        return body.rules

    def with_float_rules(self, body: Alpha, rules: FloatRules) -> Alpha:
        """The band with the maker's rules."""
        return body._replace(rules=rules)

    def rows_per_repeat(self, body: Alpha) -> int:
        """The rows of the chart."""
        return len(body.rows)

    def row_mm(self, gauge: "Gauge") -> float:
        """The height of a row, which is what it takes of a base string."""
        return gauge.base_mm

    def first_rows(self, body: Alpha, rows: int) -> Alpha:
        """The rows of the chart over and over."""
        chart = tuple(islice(cycle(body.rows), rows))
        return body._replace(rows=chart, leading=alpha(body.base, chart, body.first).leading)


ALPHA = AlphaFamily()
"""The family of alpha bands."""
