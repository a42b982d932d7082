"""The colours of the last knots before every place in the order of work, and what they tell about the place."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import accumulate

from benchmate.craft.trouble.trouble import Place, Places
from benchmate.craft.work import Work

MOST_TOLD = 12
"""How many of the last knots a maker is asked about at most."""
Told = Sequence[str]
"""Colours of the last knots made, oldest first."""


class LastKnots:
    """The colours of the knots made before every place, oldest first. A step that is left out makes none."""

    def __init__(self, shown: Sequence[str | None]) -> None:
        """`shown` are the colours of all steps in the order of work; None for a step that is left out."""
        self._made = [colour for colour in shown if colour is not None]
        self._counts: Sequence[int] = range(len(shown) + 1)
        if len(self._made) < len(shown):
            self._counts = list(accumulate((colour is not None for colour in shown), initial=0))

    def before(self, done: int, most: int = MOST_TOLD) -> Told:
        """The last knots, at most so many, after `done` steps."""
        count = self._counts[done]
        return self._made[max(0, count - most) : count]

    def back(self, done: int, back: int) -> str | None:
        """The colour of the knot so many back from the place after `done` steps, the last being 1; None without one."""
        at = self._counts[done] - back
        return self._made[at] if at >= 0 else None

    def fits(self, done: int, knots: Told) -> bool:
        """True when the last knots after `done` steps have these colours."""
        count = self._counts[done]
        return count >= len(knots) and self._made[count - len(knots) : count] == list(knots)


def to_tell(ends: Iterable[Told]) -> int | None:
    """How many of the last knots have to be told, at least, to leave fewer of the places that end in these ways.

    A place with fewer knots tells itself apart from one with more. None where nothing tells any apart.
    """
    different = {tuple(end) for end in ends}
    for count in range(1, MOST_TOLD + 1):
        if len({end[-count:] for end in different}) > 1:
            return count
    return None


def found(last: LastKnots, fitting: Iterable[int], knots: Told) -> Places:
    """The places among those `fitting` otherwise that have these last knots."""
    places = [Place(done, None, last.before(done)) for done in fitting if last.fits(done, knots)]
    return Places(places, to_tell(place.last for place in places), len(places))


def hanging_differs(
    work: Work, sequence: Sequence[int], colours: Mapping[int, str], seen: Sequence[str]
) -> Iterator[tuple[int, set[int], list[int]]]:
    """For every place: its number, the positions from 0 that do not hang as `seen`, and the strings as they hang there.

    `colours` are those of the strings by their numbers. The set and the list change with the next place.
    """
    hanging = work.at_start()
    differs = {at for at, string in enumerate(hanging) if colours[string] != seen[at]}
    yield 0, differs, hanging
    for done, number in enumerate(sequence, 1):
        one = work.swapped_at(number)
        if one:
            work.change_places(number, hanging)
            for position in (one, work.swapped_with(number)):
                if colours[hanging[position - 1]] != seen[position - 1]:
                    differs.add(position - 1)
                else:
                    differs.discard(position - 1)
        yield done, differs, hanging


def hanging_so(work: Work, sequence: Sequence[int], colours: Mapping[int, str], seen: Sequence[str]) -> Iterator[int]:
    """Every place after which the strings hang in the colours `seen`."""
    return (done for done, differs, _ in hanging_differs(work, sequence, colours, seen) if not differs)
