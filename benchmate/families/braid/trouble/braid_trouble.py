"""What can be said when the place in a braid is lost."""

from collections.abc import Sequence

from benchmate.craft.trouble.last_knots import LastKnots, found, hanging_so
from benchmate.craft.trouble.trouble import Places, Trouble
from benchmate.craft.work import Work
from benchmate.families.braid.work import BraidWork


class BraidTrouble(Trouble):
    """A braid's place is found from the colours in its slots, and those of the strands moved last."""

    finds_places = True
    hanging_tells = True

    def where(
        self, work: Work, sequence: Sequence[int], seen: Sequence[str] | None, knots: Sequence[str]
    ) -> Places | None:
        """As in `Trouble`."""
        assert isinstance(work, BraidWork)
        last = LastKnots(self.shown(work, sequence))
        empty_too = {0: "", **work.colours}
        fitting = range(len(sequence) + 1)
        return found(last, fitting if seen is None else hanging_so(work, sequence, empty_too, seen), knots)

    def shown(self, work: Work, sequence: Sequence[int]) -> Sequence[str | None]:
        """As in `Trouble`."""
        assert isinstance(work, BraidWork)
        colours = work.colours
        return [colours[work.strand(number)] for number in sequence]
