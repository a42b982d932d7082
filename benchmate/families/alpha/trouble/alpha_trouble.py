"""What can be said when the place in a picture is lost."""

from collections.abc import Sequence

from benchmate.craft.trouble.last_knots import LastKnots, found
from benchmate.craft.trouble.trouble import Places, Trouble
from benchmate.craft.trouble.wrong_step import OtherColour, WrongStep
from benchmate.craft.work import ReportProgress, Work
from benchmate.families.alpha.work import AlphaWork


class AlphaTrouble(Trouble):
    """A picture's place is found from the colours of its last knots alone: its base strings never move."""

    finds_places = True

    def where(
        self, work: Work, sequence: Sequence[int], seen: Sequence[str] | None, knots: Sequence[str]
    ) -> Places | None:
        """As in `Trouble`; `seen` is not looked at."""
        return found(LastKnots(self.shown(work, sequence)), range(len(sequence) + 1), knots)

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
        """As in `Trouble`; `seen` is not looked at. The wrong knot is one of `knots`, in the colour it has there.

        A colour that no string has explains nothing.
        """
        from benchmate.families.alpha.trouble.one_other_colour import places_with_one_other_colour

        assert isinstance(work, AlphaWork)
        if any(colour is not None and not work.has_string_in(colour) for colour in knots):
            return Places([], None, 0)
        return places_with_one_other_colour(self.shown(work, sequence), sequence, knots, near)

    def as_done(self, work: Work, wrong: WrongStep) -> Work:
        """As in `Trouble`."""
        assert isinstance(work, AlphaWork)
        made = wrong.made[0]
        return work.in_colour(wrong.step, made.colour) if isinstance(made, OtherColour) else work

    def other_colours(self, work: Work, step: int) -> Sequence[str]:
        """As in `Trouble`: those of all strings, as any of them can make a knot."""
        assert isinstance(work, AlphaWork)
        return [colour for colour in work.string_colours if colour != work.colour(step)]

    def held_by(self, work: Work, tied: Sequence[int], wrong: WrongStep) -> Sequence[int]:
        """As in `Trouble`: the next knot in the colour it was made in, as the same leading string may make it."""
        made = wrong.made[0]
        if not isinstance(made, OtherColour):
            return ()
        assert isinstance(work, AlphaWork)
        later = tied[tied.index(wrong.step) + 1 :]
        return [number for number in later if work.colour(number) == made.colour][:1]

    def shown(self, work: Work, sequence: Sequence[int]) -> Sequence[str]:
        """As in `Trouble`."""
        assert isinstance(work, AlphaWork)
        return [work.colour(number) for number in sequence]
