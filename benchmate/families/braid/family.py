"""The family of braids on a slotted disk."""

from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.craft.effort import Effort
from benchmate.craft.family import DesignLike, Family, ImpossibleStep
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.craft.work import Work
from benchmate.families.braid.body import Braid, BraidMove, impossible_move
from benchmate.families.braid.work import BraidWork

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchmate.craft.drawing import Layout
    from benchmate.craft.laying_out import LayingOut
    from benchmate.craft.thread.counts import BandUse
    from benchmate.craft.thread.gauge import Gauge
    from benchmate.craft.thread.length_to_cut import Length, Wanted
    from benchmate.craft.thread.variegated.along import ThreadAlong
    from benchmate.families.braid.prompts import BraidPrompts
    from benchmate.families.braid.step_view import BraidStepView
    from benchmate.families.braid.words import BraidWords


class BraidFamily(Family[Braid, BraidMove]):
    """Braids worked by moving strands between the slots of a disk."""

    name = "braid"
    step_word = "move"
    string_word = "slot"
    called = "braids on a disk"

    # Imported inside: a command that neither says nor shows a step does not load this.

    @cached_property
    def words(self) -> "BraidWords":
        """Its steps in lines."""
        from benchmate.families.braid.words import BraidWords

        return BraidWords()

    @cached_property
    def prompts(self) -> "BraidPrompts":
        """Its spoken prompts."""
        from benchmate.families.braid.prompts import BraidPrompts

        return BraidPrompts()

    @cached_property
    def step_view(self) -> "BraidStepView":
        """Its steps at the bench."""
        from benchmate.families.braid.step_view import BraidStepView

        return BraidStepView()

    def steps_per_repeat(self, body: Braid) -> int:
        """The moves of a repeat."""
        return len(body.moves)

    def work(self, body: Braid, repeats: int) -> BraidWork:
        """The braid, unrolled into moves."""
        return BraidWork(body, repeats)

    def summary(self, body: Braid, repeats: int) -> list[str]:
        """Strands, slots and moves."""
        return [
            f"{counted(len(body.strands), 'strand')} in {body.slots} slots",
            counted(len(body.moves) * repeats, "move"),
        ]

    def kind(self, body: Braid) -> str:
        """How many strands."""
        return f"braid, {len(body.strands)} strands"

    def effort(self, body: Braid) -> Effort:
        """From its strands, the different distances of its moves, a pick-up a move, and the moves of a repeat."""
        distances = {_distance(move, body.slots) for move in body.moves}
        return Effort(len(body.strands), len(distances), 1.0, len(body.moves))

    def needs(self, body: Braid) -> str:
        """The disk."""
        return f"a disk with {body.slots} slots"

    def beginning(self, body: Braid, rows: int) -> Braid:
        """Its first moves."""
        return body._replace(moves=body.moves[:rows])

    def changes(self, old: Braid, new: Braid) -> list[str]:
        """Which moves differ, and changes to slots, shift and starting slots."""
        found = list_changes("move", old.moves, new.moves)
        for what, before, after in (("slots", old.slots, new.slots), ("shift", old.shift, new.shift)):
            if before != after:
                found.append(f"{what} {after} instead of {before}")
        if old.strands != new.strands and old.strings == new.strings:
            found.append("the strands start in other slots")
        return found

    def same_step(self, old: Braid, one: BraidMove, new: Braid, other: BraidMove) -> bool:
        """The same strand from and to the same slots."""
        return one._replace(row=other.row) == other

    def drawing(self, design: DesignLike, body: Braid, repeats: int, made: Work | None = None) -> "Layout":
        """The disk cut open and laid flat."""
        # Imported here: only `draw` needs it.
        from benchmate.families.braid.drawing import lay_out

        return lay_out(design, body, repeats)

    def laying_out(self, design: DesignLike, body: Braid, *, started: bool) -> "LayingOut":
        """The slots, one by one."""
        # Imported here: only a piece before its first knot needs it.
        from benchmate.families.braid.laying_out import laying_out

        return laying_out(design, body, started=started)

    def thread_use(self, body: Braid, repeats: int, gauge: "Gauge", made: Work | None = None) -> "BandUse":
        """What every strand does."""
        # Imported here: only a cut list needs it.
        from benchmate.families.braid.thread_use import thread_use

        return thread_use(body, repeats, gauge)

    def thread_along(self, design: DesignLike, body: Braid, work: Work) -> "ThreadAlong":
        """Each strand along the braid, in which all of them run on with every move."""
        # Imported here: only variegated threads need it.
        from benchmate.craft.thread.variegated.along import EvenlyAlong, parts_of
        from benchmate.families.braid.thread_use import thread_use

        assert isinstance(work, BraidWork)
        begins = design.beginnings
        strands = {}
        for use in thread_use(body, 1, begins.gauge).strings:
            parts = parts_of(design.colours[use.colour], use.string, begins)
            if parts is not None:
                assert use.needs_mm is not None
                strands[use.string] = parts, use.needs_mm / len(body.moves)
        return EvenlyAlong(begins.start_mm, lambda number: work.step(number).strand, strands)

    def lengths_wanted(self, work: Work, lengths: "Sequence[Length]") -> "list[Wanted]":
        """Strands by their slots."""
        # Imported here: only a cut list needs it.
        from benchmate.families.braid.laying_out import lengths_wanted

        return lengths_wanted(lengths)

    def step_document(self, design: DesignLike, body: Braid, step: BraidMove, run: int) -> dict[str, object]:
        """Repeat, slots and strand."""
        return {"row": step.row, "from": step.source, "to": step.target, "strand": step.strand}

    def strings_document(self, body: Braid) -> object:
        """The colour in every filled slot."""
        return {str(slot): name for slot, name in body.strands}

    def impossible_step(self, body: Braid, repeats: int) -> ImpossibleStep | None:
        """The first move from an empty slot or to a filled one."""
        return impossible_move(body, repeats)


BRAID = BraidFamily()
"""The family of braids."""


def _distance(move: tuple[int, int], slots: int) -> int:
    """The distance of a move in slots, the shorter way round the disk."""
    onwards = (move[1] - move[0]) % slots
    return min(onwards, slots - onwards)
