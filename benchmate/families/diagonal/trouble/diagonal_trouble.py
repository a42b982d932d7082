"""What can be said when something went wrong in a diagonal band."""

from collections.abc import Collection, Mapping, Sequence

from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.craft.trouble.trouble import Lasting, Mending, Places, ThreadToCome, Trouble, Why, WrongKnot
from benchmate.craft.work import ReportProgress, Work
from benchmate.families.diagonal.work import DiagonalWork


class DiagonalTrouble(Trouble):
    """Every question about trouble has an answer. Each answer is a module of its own."""

    knows_ways = True
    finds_places = True
    hanging_tells = True

    def why(
        self,
        work: Work,
        tied: Sequence[int],
        seen: Sequence[str],
        shows: Mapping[int, str | None],
        report: ReportProgress | None = None,
        *,
        unasked: Collection[int] = (),
    ) -> Why | None:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble.why import why

        return why(_diagonal(work), tied, seen, shows, report, unasked=unasked)

    def could_show(self, work: Work, explanations: Sequence[tuple[WrongKnot, ...]], step: int) -> Sequence[str | None]:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble.could_show import could_show

        return could_show(_diagonal(work), explanations, step)

    def mend(
        self,
        work: Work,
        made: MadeOtherwise,
        sequence: Sequence[int],
        done: int,
        rows: int,
        report: ReportProgress | None = None,
    ) -> Mending | None:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble.mend import mend

        return mend(_diagonal(work), made, sequence, done, rows, report)

    def where(
        self, work: Work, sequence: Sequence[int], seen: Sequence[str] | None, knots: Sequence[str]
    ) -> Places | None:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble.where import where

        return where(_diagonal(work), sequence, seen, knots)

    def shown(self, work: Work, sequence: Sequence[int]) -> Sequence[str | None]:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble.shown_colours import shown_by

        return shown_by(_diagonal(work), sequence)

    def where_with_one_wrong(
        self,
        work: Work,
        sequence: Sequence[int],
        seen: Sequence[str] | None,
        knots: Sequence[str | None],
        report: ReportProgress | None = None,
        *,
        near: int = 0,
    ) -> Places | None:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble.where_with_one_wrong import where_with_one_wrong

        assert seen is not None
        return where_with_one_wrong(_diagonal(work), sequence, seen, knots, report, near=near)

    def lasts(
        self, work: Work, sequence: Sequence[int], done: int, string: int, remaining_mm: float, gauge: Gauge
    ) -> Lasting:
        """As in `Trouble`."""
        return self.thread_to_come(work, sequence).lasts(done, string, remaining_mm, gauge)

    def thread_to_come(self, work: Work, sequence: Sequence[int]) -> ThreadToCome:
        """As in `Trouble`."""
        from benchmate.families.diagonal.trouble import thread_to_come

        return thread_to_come.ThreadToCome(_diagonal(work), sequence)


def _diagonal(work: Work) -> DiagonalWork:
    assert isinstance(work, DiagonalWork)
    return work
