"""The family of diagonal bands."""

from functools import cached_property
from itertools import cycle, islice
from typing import TYPE_CHECKING

from benchmate.craft.effort import Effort, period
from benchmate.craft.family import DesignLike, Family
from benchmate.craft.trouble.made_otherwise import token
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.craft.work import Work
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot, Row
from benchmate.families.diagonal.work import DiagonalWork

if TYPE_CHECKING:
    from benchmate.craft.drawing import Layout
    from benchmate.craft.laying_out import LayingOut
    from benchmate.craft.thread.counts import BandUse
    from benchmate.craft.thread.gauge import Gauge
    from benchmate.craft.thread.variegated.along import ThreadAlong
    from benchmate.families.diagonal.prompts import DiagonalPrompts
    from benchmate.families.diagonal.step_view import DiagonalStepView
    from benchmate.families.diagonal.words import DiagonalWords


class DiagonalFamily(Family[Diagonal, DiagonalKnot]):
    """Bands in which neighbouring strings knot in pairs; after most knots the pair has swapped places."""

    name = "diagonal"
    called = "diagonal bands"
    step_word = "knot"
    row_word = "row"
    has_mirror_image = True

    # Imported inside: a command that neither says nor shows a step does not load this.

    @cached_property
    def words(self) -> "DiagonalWords":
        """Its steps in lines."""
        from benchmate.families.diagonal.words import DiagonalWords

        return DiagonalWords()

    @cached_property
    def prompts(self) -> "DiagonalPrompts":
        """Its spoken prompts."""
        from benchmate.families.diagonal.prompts import DiagonalPrompts

        return DiagonalPrompts()

    @cached_property
    def step_view(self) -> "DiagonalStepView":
        """Its steps at the bench."""
        from benchmate.families.diagonal.step_view import DiagonalStepView

        return DiagonalStepView()

    def steps_per_repeat(self, body: Diagonal) -> int:
        """The knots of all rows."""
        return sum(len(row.knots) - row.knots.count(None) for row in body.rows)

    def work(self, body: Diagonal, repeats: int) -> DiagonalWork:
        """The band, unrolled into knots."""
        return DiagonalWork(body, repeats)

    def summary(self, body: Diagonal, repeats: int) -> list[str]:
        """Strings, rows and knots."""
        rows, knots = len(body.rows) * repeats, self.steps_per_repeat(body) * repeats
        return [f"{len(body.strings)} strings", counted(rows, "row"), counted(knots, "knot")]

    def kind(self, body: Diagonal) -> str:
        """How many strings."""
        return f"{len(body.strings)} strings"

    def effort(self, body: Diagonal) -> Effort:
        """From its strings, kinds of knots, fewest pick-ups a row, and rows until the pattern repeats."""
        kinds = {knot for row in body.rows for knot in row.knots}
        pickups = DiagonalWork(body, 1).fewest_pickups() / len(body.rows)
        return Effort(len(body.strings), max(1, len(kinds)), pickups, period(body.rows))

    def beginning(self, body: Diagonal, rows: int) -> Diagonal:
        """Its first rows."""
        return body._replace(rows=body.rows[:rows])

    def changes(self, old: Diagonal, new: Diagonal) -> list[str]:
        """Which rows differ."""
        return list_changes("row", old.rows, new.rows)

    def same_step(self, old: Diagonal, one: DiagonalKnot, new: Diagonal, other: DiagonalKnot) -> bool:
        """The same knot on the same pair of the same strings."""
        return one._replace(row=other.row) == other

    def drawing(self, design: DesignLike, body: Diagonal, repeats: int, made: Work | None = None) -> "Layout":
        """The finished band."""
        # Imported here: only `draw` needs it.
        from benchmate.families.diagonal.drawing import lay_out

        assert made is None or isinstance(made, DiagonalWork)
        return lay_out(design, body, repeats, made)

    def laying_out(self, design: DesignLike, body: Diagonal, *, started: bool) -> "LayingOut":
        """The strings, left to right."""
        # Imported here: only a piece before its first knot needs it.
        from benchmate.families.diagonal.laying_out import laying_out

        return laying_out(design, body, started=started)

    def thread_use(self, body: Diagonal, repeats: int, gauge: "Gauge", made: Work | None = None) -> "BandUse":
        """What every string does."""
        # Imported here: only a cut list needs it.
        from benchmate.families.diagonal.thread_use import thread_use

        assert made is None or isinstance(made, DiagonalWork)
        return thread_use(body, repeats, gauge, made)

    def thread_along(self, design: DesignLike, body: Diagonal, work: Work) -> "ThreadAlong":
        """Each string along its knots and waits."""
        # Imported here: only variegated threads need it.
        from benchmate.craft.thread.variegated.along import TakenAlong, parts_of
        from benchmate.families.diagonal.thread_use import takes

        assert isinstance(work, DiagonalWork)
        begins = design.beginnings
        return TakenAlong(
            work,
            begins,
            lambda: takes(work, begins.gauge),
            lambda string: parts_of(design.colours[body.colour_of(string)], string, begins),
        )

    def step_document(self, design: DesignLike, body: Diagonal, step: DiagonalKnot, run: int) -> dict[str, object]:
        """Row, pair, knot, strings and pick-up."""
        return {
            "row": step.row,
            "pair": list(step.pair),
            "knot": token(step.knot),
            "knotting": step.knotting,
            "passive": step.passive,
            "run": run,
        }

    def rows_per_repeat(self, body: Diagonal) -> int:
        """The rows of the chart."""
        return len(body.rows)

    def row_mm(self, gauge: "Gauge") -> float:
        """The height of a row."""
        return gauge.row_mm

    def first_rows(self, body: Diagonal, rows: int) -> Diagonal:
        """The rows of the chart over and over."""
        return body._replace(rows=tuple(islice(cycle(body.rows), rows)))

    def mirrored(self, body: Diagonal) -> Diagonal:
        """Strings and pairs in reverse order, every knot as its mirror image."""
        strings = len(body.strings)
        rows = tuple(
            Row(
                strings + 2 - row.start - 2 * len(row.knots),
                tuple(knot and knot.mirrored for knot in reversed(row.knots)),
            )
            for row in body.rows
        )
        return Diagonal(body.strings[::-1], rows)

    def cannot_repeat(self, body: Diagonal) -> str | None:
        """Why not: the first and the last row start at the same position."""
        start = body.rows[0].start
        if start != body.rows[-1].start:
            return None
        return (
            f"row 1 and the last row both start at position {start}, so the rows cannot repeat; "
            "start them at different positions"
        )


DIAGONAL = DiagonalFamily()
"""The family of diagonal bands."""
