"""What to cut for a piece, worked out when it is first asked for."""

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.family import Family
from benchmate.craft.thread.cut_list import CutList, NothingToCut, cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.length_to_cut import Length

if TYPE_CHECKING:
    from benchmate.craft.design import Design
    from benchmate.craft.laying_out import LayingOut
    from benchmate.craft.thread.cutting_steps.length_steps import From
    from benchmate.craft.work import Work


class KnownThread(NamedTuple):
    """What is known of the thread of a piece, and the units for its lengths."""

    estimate: Estimate
    units: str = "cm"


class ToCut:
    """What to cut for a design with its start and finish. `repeats` as in a piece."""

    def __init__(
        self,
        thread: KnownThread,
        design: "Design",
        start: "Design | None",
        finish: "Design | None",
        repeats: int | None,
    ) -> None:
        self.thread = thread
        self._design = design
        self._ends = start, finish
        self._repeats = repeats

    def of_length(self, design: "Design", repeats: int) -> "ToCut":
        """What to cut for another length of the band, whose whole `design` is given; `repeats` as in a piece."""
        return ToCut(self.thread, design, *self._ends, repeats)

    @property
    def has_lengths(self) -> bool:
        """True when there is something to cut; told without working out what, which takes a while in a large design."""
        family = type(self._design.family)
        return bool(self._design.strings) and family.thread_use is not Family.thread_use

    @cached_property
    def cuts(self) -> CutList | None:
        """The cut list; None where there is nothing to cut."""
        start, finish = self._ends
        try:
            return cut_list(self._design, self.thread.estimate, start=start, finish=finish, repeats=self._repeats)
        except NothingToCut:
            return None

    def lengths(self) -> tuple[Length, ...]:
        """The lengths of its strings, leading strings aside; none where there is nothing to cut."""
        return () if self.cuts is None else self.cuts.pieces

    def steps(self, work: "Work", sources: "Mapping[int, From] | None" = None) -> "LayingOut | None":
        """The lengths one a step, for the `work` of the design; None where there is nothing to cut."""
        # Imported here: only a piece before its first knot needs it.
        from benchmate.craft.thread.cutting_steps.length_steps import cutting_out
        from benchmate.craft.thread.variegated.start_point import beginnings_of

        design, cuts, thread = self._design, self.cuts, self.thread
        if cuts is None:
            return None
        wanted = design.family.lengths_wanted(work, cuts.lengths)
        return cutting_out(
            cuts,
            design.strings,
            design.say,
            wanted,
            thread.units,
            caution=thread.estimate.caution,
            sources=sources,
            begins=beginnings_of(cuts.lengths, design, thread.units),
        )
