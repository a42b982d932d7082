"""Which knot to ask a lost maker about, so that as few places as possible are left."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

from benchmate.craft.trouble.last_knots import MOST_TOLD, LastKnots
from benchmate.craft.trouble.trouble import Trouble, WrongKnot
from benchmate.craft.trouble.wrong_step import DoneInstead, OtherColour, OtherMove
from benchmate.craft.work import Work

MOST_COMPARED = 200
"""Up to so many places, single knots are asked about too."""
MOST_ASKED = 40
"""How many single knots are considered for a question at most."""
MOST_COUNTED_BACK = 100
"""So many knots back are asked about at most, and only where those up to `MOST_TOLD` tell nothing."""
MOST_LOOKED_AT = 200_000
"""So many knots are looked at for that in all, so that a press takes no time."""
CLEARLY_BETTER = 0.7
"""A knot that is harder to find is asked about only where it leaves so much less to look at."""


Told = Sequence[str | None]
"""The colours of the last knots as far as a maker named any, oldest first; None for one that is not known."""


class Candidate(NamedTuple):
    """A place that fits: so many steps of the band are done, and perhaps one of them was made in another way.

    `wrong` is that step of the band, None where there is none. `last` are the colours of the last knots there.
    """

    done: int
    wrong: int | None
    made: DoneInstead
    last: Sequence[str]


class Asked(NamedTuple):
    """A question about one knot: the last one or so many `back`, or (`back` is 0) a step of the band.

    `colours` are the answers, those that leave most places first; None: there is no such knot.
    """

    back: int
    step: int
    colours: Sequence[str | None]


class Answer(NamedTuple):
    """What the maker answered. It leaves the places that it `fits`; all where the maker could not tell.

    Either it is the colour of the knot that was `asked` about, or a number: `row`, or how many knots that row has.
    """

    fits: Callable[[Candidate], bool]
    asked: Asked | None = None
    colour: str | None = None
    row: int | None = None


class PlaceQuestions:
    """The questions about single knots, and what each knot shows at a place."""

    def __init__(self, work: Work, trouble: Trouble, sequence: Sequence[int]) -> None:
        self._work, self._trouble, self._sequence = work, trouble, sequence

    @cached_property
    def place(self) -> Sequence[int]:
        """Where in the sequence each step of the band is."""
        found = [0] * len(self._sequence)
        for at, step in enumerate(self._sequence):
            found[step] = at
        return found

    @cached_property
    def _last_knots(self) -> LastKnots:
        """The knots before every place, as charted."""
        return LastKnots(self._trouble.shown(self._work, self._sequence))

    def next(
        self, fitting: Sequence[Candidate], answers: Sequence[Answer], told: Told, *, first_that_tells: bool
    ) -> Asked | None:
        """The question that leaves fewest places on the average, or the first one that tells any apart; None for none.

        `told` are the last knots by which the places were found.
        """
        asked = {(answer.asked.back, answer.asked.step) for answer in answers if answer.asked is not None}
        best: Asked | None = None
        least = float("inf")
        for back, step, shown in self._knots(fitting, asked, told):
            counts = Counter(shown)
            if len(counts) < 2 or not _is_worth_asking(counts, back):
                continue
            left = sum(count * count for count in counts.values())
            if best is None or left < CLEARLY_BETTER * least:
                best, least = Asked(back, step, tuple(colour for colour, _ in counts.most_common())), left
            if first_that_tells:
                break
        return best or self._further_back(fitting, asked, told)

    def _further_back(self, fitting: Sequence[Candidate], asked: set[tuple[int, int]], told: Told) -> Asked | None:
        """The first knot further back that tells places apart, or whether there is a last one at all."""
        if len(fitting) < 2:
            return None
        backs = {back for back, _ in asked}
        unknown = any(place.wrong is not None and not isinstance(place.made, OtherColour) for place in fitting)
        most = 0 if unknown else min(MOST_COUNTED_BACK, MOST_TOLD + MOST_LOOKED_AT // len(fitting))
        for back in (*range(MOST_TOLD + 1, most + 1), 1):
            counts = Counter(self._last(place, back, told) for place in fitting)
            if back not in backs and len(counts) > 1 and (back == 1 or _is_worth_asking(counts, back)):
                return Asked(back, 0, tuple(colour for colour, _ in counts.most_common()))
        return None

    def _knots(
        self, fitting: Sequence[Candidate], asked: set[tuple[int, int]], told: Told
    ) -> Iterator[tuple[int, int, list[str | None]]]:
        """Every knot to ask about, with the colour it shows at each place; those that are easy to find come first."""
        if len(fitting) < 2:
            return
        for back in range(1, MOST_TOLD + 1):
            if (back, 0) not in asked:
                yield back, 0, [self._last(place, back, told) for place in fitting]
        if len(fitting) > MOST_COMPARED or not self._trouble.knows_ways:
            return
        least = min(place.done for place in fitting)
        steps = dict.fromkeys(place.wrong for place in fitting if place.wrong is not None)
        near = sorted((step for step in steps if self.place[step] < least), key=self.place.__getitem__, reverse=True)
        for step in near[:MOST_ASKED]:
            if (0, step) not in asked:
                yield 0, step, [self._shown(place, step) for place in fitting]

    def shows(self, place: Candidate, asked: Asked, told: Told) -> str | None:
        """The colour of the knot that is asked about, at a place; None: there is no such knot."""
        return self._last(place, asked.back, told) if asked.back else self._shown(place, asked.step)

    def _last(self, place: Candidate, back: int, told: Told) -> str | None:
        if back <= MOST_TOLD:
            return place.last[-back] if len(place.last) >= back else None
        if place.wrong is None:
            return self._last_knots.back(place.done, back)
        if isinstance(place.made, OtherColour):
            wrong_back = place.done - self.place[place.wrong]
            return place.made.colour if back == wrong_back else self._last_knots.back(place.done, back)
        # By what was said of knots so far back, the place was found.
        return told[-back] if len(told) >= back else None

    def _shown(self, place: Candidate, step: int) -> str | None:
        assert place.wrong is not None
        assert not isinstance(place.made, OtherColour | OtherMove)
        explained = (WrongKnot(place.wrong, (place.made,)),)
        return self._trouble.could_show(self._work, [explained], step)[0]


def _is_worth_asking(counts: Counter[str | None], back: int) -> bool:
    """False where nearly all places show one colour, and the others have not so many knots: a glance tells that."""
    return not back or len(counts) > 2 or None not in counts or (back == 1 and 4 * counts[None] >= counts.total())
