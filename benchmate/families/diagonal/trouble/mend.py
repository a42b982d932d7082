"""The fewest later knots to change so that the strings come back to the chart.

A string that hangs where another should hang goes on in that one's place, and whatever is knotted later, the two stay
exchanged. So how a band is off its chart is an `Off`: every string that has one of another colour hang in its place,
and that colour. A knot whose strings change places although they should not (or the reverse) exchanges what hangs in
the places of its two strings. The search follows the open knots in the order of the chart. For every `Off` and number
of changes it keeps the changes that got there with the fewest knots of a wrong colour, and drops one that the changes
left cannot put right.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise, swaps
from benchmate.craft.trouble.trouble import Mending
from benchmate.craft.work import ReportProgress
from benchmate.families.diagonal.trouble.tied_knot import OTHER_SIDES
from benchmate.families.diagonal.work import DiagonalWork

MOST_CHANGES = 3
REPORT_EVERY = 100
"""How many knots are gone through between two reports of progress."""

Off = tuple[tuple[int, str], ...]
"""The strings in whose place one of another colour hangs, lowest number first, each with that colour."""


def mend(
    work: DiagonalWork,
    made: MadeOtherwise,
    sequence: Sequence[int],
    done: int,
    rows: int,
    report: ReportProgress | None = None,
) -> Mending:
    """As in `Trouble`. Every step in `made` must be done.

    Of equally good changes those are taken that come first in the chart, and of equally good ways to make a knot the
    first in the order of `WAYS`.
    """
    tied = sequence[:done]
    off = _off_the_chart(work, made, tied)
    if not off:
        return Mending({}, None, 0)
    last_touched = max(map(work.row_of, tied))
    is_tied = bytearray(work.size)
    for number in tied:
        is_tied[number] = 1
    end = work.span(min(work.rows, last_touched + rows)).end
    open_steps = [number for number in range(end) if not is_tied[number]]
    for count in range(1, MOST_CHANGES + 1):

        def tell(at: int, before: int = (count - 1) * len(open_steps)) -> None:
            if report is not None:
                report(before + at, MOST_CHANGES * len(open_steps))

        found = _Search(work, off, count).best(open_steps, last_touched, tell)
        if found is not None:
            return Mending(dict(_ways(work, off, found.steps)), found.row, found.shows)
    return Mending(None, None, None)


def _off_the_chart(work: DiagonalWork, made: MadeOtherwise, tied: Sequence[int]) -> Off:
    """How the strings are off the chart after the tied steps."""
    charted, really = work.at_start(), work.at_start()
    for number in tied:
        way = made[number] if number in made else work.how_made(number)
        at = work.left(number)
        for hanging, exchanges in ((charted, work.swapped_at(number)), (really, swaps(way))):
            if exchanges:
                hanging[at - 1], hanging[at] = hanging[at], hanging[at - 1]
    colours = ("", *work.strings)
    both = zip(charted, really, strict=True)
    return tuple(sorted((one, colours[other]) for one, other in both if colours[one] != colours[other]))


class _Found(NamedTuple):
    """Changes after which the strings hang right; the least is the best."""

    shows: int
    row: int
    steps: tuple[int, ...]


class _Tried:
    """The best changes after which the strings are `off` the chart in one way.

    Every string that is off shows a wrong colour in each knot it makes from then on. So `others` counts all the other
    knots of a wrong colour, less those that these strings had made before: with all that they have made so far, it is
    how many knots show a wrong colour.
    """

    __slots__ = ("off", "others", "steps")

    def __init__(self, off: Off, others: int, steps: tuple[int, ...]) -> None:
        self.off = off
        self.others = others
        self.steps = steps


class _Search:
    """The best changes of exactly so many knots, where no fewer are enough."""

    def __init__(self, work: DiagonalWork, off: Off, changes: int) -> None:
        self._work = work
        self._changes = changes
        self._colours = ("", *work.strings)
        self._made = [0] * len(self._colours)
        """How many open knots each string has made so far, as charted."""
        self._first = _Tried(off, 0, ())
        self._tried: dict[tuple[int, Off], _Tried] = {}
        self._waiting: defaultdict[tuple[int, int], list[_Tried]] = defaultdict(list)
        """Those with a change or more that go on with a knot of these two strings, the lower one first."""

    def best(self, open_steps: Sequence[int], last_touched: int, tell: Callable[[int], None]) -> _Found | None:
        """The best changes among these steps; None where none put the strings right."""
        if len(self._first.off) > 2 * self._changes:
            return None
        best: _Found | None = None
        row = last_touched
        for at, number in enumerate(open_steps):
            if not at % REPORT_EVERY:
                tell(at)
            here = self._work.row_of(number)
            if here > row:
                row = here
                if best is not None and self._fewest_shown() >= best.shows:
                    break
            for found in self._with_changed(number):
                if found.off:
                    self._keep(found)
                elif best is None or _Found(found.others, row, found.steps) < best:
                    best = _Found(found.others, row, found.steps)
        return best

    def _fewest_shown(self) -> int:
        """The fewest knots of a wrong colour so far, whatever was changed."""
        return min(map(self._shown, (self._first, *self._tried.values())))

    def _shown(self, tried: _Tried) -> int:
        """How many knots show a wrong colour so far."""
        return tried.others + sum(self._made[string] for string, _ in tried.off)

    def _with_changed(self, number: int) -> list[_Tried]:
        """What comes of a change of this knot. Counts the knot as made."""
        work = self._work
        pair = work.takes(number)
        chart = 0 if work.how_made(number) is None else work.knotting(number)
        went_on: list[tuple[Off, int, tuple[int, ...]]] = []
        for tried in (self._first, *self._waiting.get((min(pair), max(pair)), ())):
            hanging = _hanging_for(tried.off, pair, self._colours)
            left = self._changes - len(tried.steps) - 1
            off = _exchanged(tried.off, pair, hanging, self._colours)
            if len(off) <= 2 * left and bool(off) == bool(left) and off != tried.off:
                shows = not chart or self._colours[chart] not in hanging
                went_on.append((off, self._shown(tried) + shows, (*tried.steps, number)))
        self._made[chart] += 1
        return [
            _Tried(off, shown - sum(self._made[string] for string, _ in off), steps) for off, shown, steps in went_on
        ]

    def _keep(self, found: _Tried) -> None:
        """Keeps the changes where none as good leave the strings so."""
        key = len(found.steps), found.off
        known = self._tried.get(key)
        if known is None:
            self._tried[key] = found
            for pair in self._useful_next(found):
                self._waiting[pair].append(found)
        elif (found.others, found.steps) < (known.others, known.steps):
            known.others, known.steps = found.others, found.steps

    def _useful_next(self, tried: _Tried) -> Iterator[tuple[int, int]]:
        """The pairs of strings whose exchange can lead on from these changes, one or two changes before the last."""
        off = [string for string, _ in tried.off]
        yield from ((one, other) for at, one in enumerate(off) for other in off[at + 1 :])
        if len(off) == 2 and self._changes - len(tried.steps) == 2:
            # A string of the same colour may stand for one of the two.
            for one in off:
                for other in range(1, len(self._colours)):
                    if other not in off and self._colours[other] == self._colours[one]:
                        yield min(one, other), max(one, other)


def _hanging_for(off: Off, pair: tuple[int, int], colours: Sequence[str]) -> tuple[str, str]:
    """The colours that hang in the places of the two strings."""
    instead = dict(off)
    return instead.get(pair[0], colours[pair[0]]), instead.get(pair[1], colours[pair[1]])


def _exchanged(off: Off, pair: tuple[int, int], hanging: tuple[str, str], colours: Sequence[str]) -> Off:
    """How the strings are off when what hangs in the places of the two is exchanged."""
    instead = dict(off)
    for string, colour in zip(pair, reversed(hanging), strict=True):
        if colour == colours[string]:
            instead.pop(string, None)
        else:
            instead[string] = colour
    return tuple(sorted(instead.items()))


def _ways(work: DiagonalWork, off: Off, steps: Sequence[int]) -> Iterator[tuple[int, Made]]:
    """How to make each of the changed steps, so that it shows the colour of the chart where it can."""
    colours = ("", *work.strings)
    for number in steps:
        pair = work.takes(number)
        hanging = _hanging_for(off, pair, colours)
        off = _exchanged(off, pair, hanging, colours)
        charted = None if work.how_made(number) is None else colours[work.knotting(number)]
        other = OTHER_SIDES[work.how_made(number)]
        yield number, min(other, key=lambda way: _shown_by(way, hanging) != charted)


def _shown_by(way: Made, hanging: tuple[str, str]) -> str | None:
    """The colour that a knot on two strings of these colours shows."""
    return None if way is None else hanging[0] if way.from_left else hanging[1]
