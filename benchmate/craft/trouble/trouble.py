"""What a family can say when something went wrong, and the answers as values.

Steps are numbers of the chart, from 0, in the family's own work. `tied` are the tied steps in the order of work and
`sequence` is the whole order of work.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple, Protocol

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise
from benchmate.craft.trouble.wrong_step import OtherMove, WrongStep
from benchmate.craft.work import ReportProgress, Work

MOST_LISTED = 200
"""So many explanations, or places, are listed for a maker; all are counted."""
PLACES_LISTED = 2_000
"""So many places that one wrong step explains are listed, the nearest ones, for what is asked next to choose among."""
PAIRS_AMONG = 3_000
"""Two wrong knots are looked for among the last so many tied steps."""
MENDED_WITHIN = 20
"""Later knots are changed up to so many rows past the last row touched, where nothing else is wanted."""


class WrongKnot(NamedTuple):
    """A knot that may have been made otherwise than charted, and every way it can have been made."""

    step: int
    made: tuple[Made, ...]


class Why(NamedTuple):
    """What explains how the strings hang, and the colours that knots show.

    `mistakes` are the likeliest explanations, at most `MOST_LISTED`, each of one wrong knot or of two; `total` is how
    many there are in all. `ask` is the tied step whose colour tells them apart best; None where no colour tells any
    apart. `answers` are the colours it can show then, that of the most candidates first, and last None for no knot.
    """

    as_charted: bool
    mistakes: Sequence[tuple[WrongKnot, ...]]
    total: int
    ask: int | None
    answers: Sequence[str | None] = ()


class Mending(NamedTuple):
    """The fewest later knots to make otherwise, so that the strings hang as charted again.

    `changes` is None where no such change is small enough, empty where they hang right already. `from_row` is the row
    after which they hang right, `shows` how many later knots show another colour than charted.
    """

    changes: Mapping[int, Made] | None
    from_row: int | None
    shows: int | None


class Place(NamedTuple):
    """So many steps are done; `wrong` is the one knot or move made otherwise then, where the place needs one.

    `last` are the colours of the last knots made there, at most 12, oldest first.
    """

    done: int
    wrong: WrongKnot | WrongStep | None = None
    last: Sequence[str] = ()


class Places(NamedTuple):
    """Every place that fits. `tell` is how many of the last knots to look at next; None where that tells nothing.

    `total` counts the places; where it is more than `places` holds, those are the nearest ones.
    """

    places: Sequence[Place]
    tell: int | None
    total: int


class Lasting(NamedTuple):
    """What a string still needs; the step in which it gives out, and the last step before it in which it is passive."""

    needs_mm: float
    gives_out: int | None
    lay_in: int | None


class ThreadToCome(Protocol):
    """What the strings still do after so many steps of an order of work."""

    def still_does(self, done: int) -> Sequence[Counts]:
        """What each string does then, in the order of their numbers."""

    def lasts(self, done: int, string: int, remaining_mm: float, gauge: Gauge) -> Lasting:
        """Whether a string of which so much is left lasts for what is to come."""


class Trouble:
    """What a family can say when something went wrong. None: it has no answer to that."""

    knows_ways = False
    """Whether a knot can be made in several ways, so that `why`, `mend` and `lasts` have answers."""
    finds_places = False
    """Whether `where` has an answer."""
    hanging_tells = False
    """Whether how the strings hang, or lie in their slots, tells something about the place."""

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
        """What explains the colours of the strings as they hang, `seen`, left to right, and those of knots in `shows`.

        A knot that shows None is not there. An exception that `report` raises ends the search. The knots in `unasked`
        are not asked about, because the maker cannot tell their colour.
        """
        return None

    def could_show(self, work: Work, explanations: Sequence[tuple[WrongKnot, ...]], step: int) -> Sequence[str | None]:
        """The colours that a step can show, if one of the explanations is what happened; None: it is not there."""
        return ()

    def mend(
        self,
        work: Work,
        made: MadeOtherwise,
        sequence: Sequence[int],
        done: int,
        rows: int,
        report: ReportProgress | None = None,
    ) -> Mending | None:
        """What to change after `done` steps of `sequence`, where those in `made` were made otherwise than in `work`."""
        return None

    def where(
        self, work: Work, sequence: Sequence[int], seen: Sequence[str] | None, knots: Sequence[str]
    ) -> Places | None:
        """Every place where the strings hang as `seen` (None: not looked at) after the last `knots`, oldest first.

        In a braid `seen` are the colours of all slots, an empty text for an empty one.
        """
        return None

    def shown(self, work: Work, sequence: Sequence[int]) -> Sequence[str | None]:
        """The colours that the steps of `sequence` show, or of the strands they move; None for one left out."""
        return ()

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
        """The places that one wrong knot explains, for when none fits without: those nearest to `near` first.

        A knot in `knots` that is None was made, in a colour that nobody can tell. Of one place, the latest wrong knot
        comes first. One whose ways to be made show different colours is listed for each, one after the other; `total`
        counts it once.
        """
        return None

    def as_done(self, work: Work, wrong: WrongStep) -> Work:
        """The steps as they were done with a wrong one, to be drawn; its first way counts."""
        return work

    def lies_instead(self, work: Work, lies: Sequence[int], wrong: WrongStep) -> Sequence[int]:
        """The string at every position, or in every slot, with a wrong step; `lies` is what is there by the chart."""
        return lies

    def puts_right(self, work: Work, lies: Sequence[int], wrong: WrongStep) -> OtherMove | None:
        """The one move that puts a wrong step right later, where nothing rests on it; None where it has to come out."""
        return None

    def other_colours(self, work: Work, step: int) -> Sequence[str]:
        """The colours in which a step can have been made instead of its own, where that tells what it holds.

        None in a family whose steps have no other colour, or where a colour leaves open how a step was made.
        """
        return ()

    def held_by(self, work: Work, tied: Sequence[int], wrong: WrongStep) -> Sequence[int]:
        """The tied steps that a wrong step may hold as it was really done, though they do not rest on it by the chart.

        Only those that rest on no other of them are given.
        """
        return ()

    def lasts(
        self, work: Work, sequence: Sequence[int], done: int, string: int, remaining_mm: float, gauge: Gauge
    ) -> Lasting | None:
        """Whether a string of which so much is left lasts for what is to come after `done` steps of `sequence`."""
        return None

    def thread_to_come(self, work: Work, sequence: Sequence[int]) -> ThreadToCome | None:
        """What the strings do, for many questions about one order of work."""
        return None
