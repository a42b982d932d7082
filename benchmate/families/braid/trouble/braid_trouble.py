"""What can be said when the place in a braid is lost."""

from collections.abc import Sequence

from benchmate.craft.trouble.last_knots import LastKnots, found, hanging_so
from benchmate.craft.trouble.trouble import Places, Trouble
from benchmate.craft.trouble.wrong_step import OtherMove, WrongStep
from benchmate.craft.work import ReportProgress, Work
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

    def where_with_one_wrong(
        self,
        work: Work,
        sequence: Sequence[int],
        seen: Sequence[str] | None,
        knots: Sequence[str | None],
        report: ReportProgress | None = None,
        *,
        near: int = 0,
    ) -> Places:
        """As in `Trouble`, with one wrong move."""
        from benchmate.families.braid.trouble.one_wrong_move import places_with_one_wrong_move

        assert isinstance(work, BraidWork)
        assert seen is not None
        return places_with_one_wrong_move(work, sequence, seen, knots, near)

    def lies_instead(self, work: Work, lies: Sequence[int], wrong: WrongStep) -> Sequence[int]:
        """As in `Trouble`."""
        from benchmate.families.braid.trouble.one_wrong_move import lies_instead

        assert isinstance(work, BraidWork)
        return lies_instead(work, lies, wrong)

    def puts_right(self, work: Work, lies: Sequence[int], wrong: WrongStep) -> OtherMove | None:
        """As in `Trouble`."""
        from benchmate.families.braid.trouble.one_wrong_move import puts_right

        assert isinstance(work, BraidWork)
        return puts_right(work, lies, wrong)

    def shown(self, work: Work, sequence: Sequence[int]) -> Sequence[str | None]:
        """As in `Trouble`."""
        assert isinstance(work, BraidWork)
        colours = work.colours
        return [colours[work.strand(number)] for number in sequence]
