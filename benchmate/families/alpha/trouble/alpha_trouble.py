"""What can be said when the place in a picture is lost."""

from collections.abc import Sequence

from benchmate.craft.trouble.last_knots import LastKnots, found
from benchmate.craft.trouble.trouble import Places, Trouble
from benchmate.craft.work import Work
from benchmate.families.alpha.work import AlphaWork


class AlphaTrouble(Trouble):
    """A picture's place is found from the colours of its last knots alone: its base strings never move."""

    finds_places = True

    def where(
        self, work: Work, sequence: Sequence[int], seen: Sequence[str] | None, knots: Sequence[str]
    ) -> Places | None:
        """As in `Trouble`; `seen` is not looked at."""
        return found(LastKnots(self.shown(work, sequence)), range(len(sequence) + 1), knots)

    def shown(self, work: Work, sequence: Sequence[int]) -> Sequence[str | None]:
        """As in `Trouble`."""
        assert isinstance(work, AlphaWork)
        return [work.colour(number) for number in sequence]
