"""The family of braids on a slotted disk."""

from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.craft.effort import Effort
from benchmate.craft.family import DesignLike, Family, ImpossibleStep
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.families.braid.body import Braid, BraidMove, impossible_move
from benchmate.families.braid.work import BraidWork

if TYPE_CHECKING:
    from benchmate.craft.drawing import Layout
    from benchmate.craft.laying_out import LayingOut
    from benchmate.families.braid.prompts import BraidPrompts
    from benchmate.families.braid.step_view import BraidStepView
    from benchmate.families.braid.words import BraidWords


class BraidFamily(Family[Braid, BraidMove]):
    """Braids worked by moving strands between the slots of a disk."""

    name = "braid"
    step_word = "move"
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

    def drawing(self, design: DesignLike, body: Braid, repeats: int) -> "Layout":
        """The disk cut open and laid flat."""
        # Imported here: only `draw` needs it.
        from benchmate.families.braid.drawing import lay_out

        return lay_out(design, body, repeats)

    def laying_out(self, design: DesignLike, body: Braid, *, started: bool) -> "LayingOut":
        """The slots, one by one."""
        # Imported here: only a piece before its first knot needs it.
        from benchmate.families.braid.laying_out import laying_out

        return laying_out(design, body, started=started)

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
