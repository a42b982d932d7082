"""The places in a diagonal band that one wrong knot explains.

A wrong knot that swaps its strings where the chart keeps them in place, or the other way round, exchanges the two
strings in everything that follows. So it shows as two positions with each other's colours, and every knot between the
two strings before that place can be the wrong one. Any other wrong knot changes its own colour alone.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.trouble.last_knots import MOST_TOLD, Told, hanging_differs, to_tell
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.craft.trouble.trouble import PLACES_LISTED, Place, Places, WrongKnot
from benchmate.craft.work import ReportProgress
from benchmate.families.diagonal.trouble.shown_colours import colours_of_strings
from benchmate.families.diagonal.trouble.tied_knot import OTHER_SIDES, OTHER_WAYS, SAME_SIDES, tied_knots
from benchmate.families.diagonal.work import DiagonalWork

REPORTED = 256
"""Progress is reported whenever so many places are looked at."""


class _Match(NamedTuple):
    """A place that hangs right once two strings are exchanged, or right as it is (`one` and `other` are 0 then)."""

    done: int
    one: int
    other: int


def where_with_one_wrong(
    work: DiagonalWork,
    sequence: Sequence[int],
    seen: Sequence[str],
    knots: Sequence[str | None],
    report: ReportProgress | None = None,
    *,
    near: int = 0,
) -> Places:
    """As in `Trouble`."""
    return _Search(work, sequence, seen, knots).places(near, report)


class _Search:
    """One search: all knots in the order of work, and the places that can fit."""

    def __init__(
        self, work: DiagonalWork, sequence: Sequence[int], seen: Sequence[str], knots: Sequence[str | None]
    ) -> None:
        self._colours = colours_of_strings(work)
        self._told = list(knots)
        self._window = max(MOST_TOLD, len(knots)) + 1
        """How many of the last knots made a wrong knot among them changes: one more where it is left out."""
        self._steps, self._knots = sequence, tied_knots(work, sequence)
        self._made_at: list[int] = []
        self._made_before: list[int] = [0]
        self._between: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
        self._matches: list[_Match] = []
        colours = self._colours
        for done, differs, hanging in hanging_differs(work, sequence, colours, seen):
            if not differs:
                self._matches.append(_Match(done, 0, 0))
            elif len(differs) == 2:
                at, other_at = sorted(differs)
                one, other = hanging[at], hanging[other_at]
                if colours[one] == seen[other_at] and colours[other] == seen[at]:
                    self._matches.append(_Match(done, *sorted((one, other))))
            if done < len(sequence):
                self._take_in(done)

    def _take_in(self, at: int) -> None:
        way, left, right = self._knots[at]
        self._between[min(left, right), max(left, right)].append(at)
        if way is not None:
            self._made_at.append(at)
        self._made_before.append(len(self._made_at))

    def places(self, near: int, report: ReportProgress | None) -> Places:
        """The places that fit, the nearest first."""
        self._matches.sort(key=lambda match: (abs(match.done - near), match.done))
        listed: list[Place] = []
        ends: set[tuple[str, ...]] = set()
        total = 0
        for count, match in enumerate(self._matches):
            if report is not None and not count % REPORTED:
                report(count, len(self._matches))
            total += self._explained(match, listed, ends)
        return Places(listed[:PLACES_LISTED], to_tell(ends), total)

    def _explained(self, match: _Match, listed: list[Place], ends: set[tuple[str, ...]]) -> int:
        """Adds what explains a place; returns how many wrong knots do."""
        since = self._window_begins(match.done)
        if match.one:
            between = self._between[match.one, match.other]
            before, until = bisect_left(between, since), bisect_left(between, match.done)
            candidates: Sequence[int] = between[before:until]
        else:
            between, before, candidates = [], 0, range(since, match.done)
        total = sum(self._explained_by(match, since, at, listed, ends) for at in reversed(candidates))
        # A wrong knot further back changes the last knots in one way, whichever it is.
        last = self._last(match, since, -1, None) if before else []
        if before and self._fits(last):
            total += before
            end = last[-MOST_TOLD:]
            ends.add(tuple(end))
            for at in reversed(between[:before]):
                if len(listed) >= PLACES_LISTED:
                    break
                wrong = WrongKnot(self._steps[at], OTHER_SIDES[self._knots[at].way])
                listed.append(Place(match.done, wrong, end))
        return total

    def _explained_by(
        self, match: _Match, since: int, at: int, listed: list[Place], ends: set[tuple[str, ...]]
    ) -> bool:
        """Adds the ways in which one of the last knots explains a place; False where it does not."""
        knot = self._knots[at]
        ways = (OTHER_SIDES if match.one else SAME_SIDES)[knot.way]
        if not match.one and self._colours[knot.left] == self._colours[knot.right]:
            ways = OTHER_WAYS[knot.way]
        by_end: dict[tuple[str, ...], list[Made]] = {}
        for made in ways:
            last = self._last(match, since, at, made)
            if self._fits(last):
                by_end.setdefault(tuple(last[-MOST_TOLD:]), []).append(made)
        ends.update(by_end)
        listed += [Place(match.done, WrongKnot(self._steps[at], tuple(made)), end) for end, made in by_end.items()]
        return bool(by_end)

    def _window_begins(self, done: int) -> int:
        """The place in the order of work from which on a wrong knot can be among the last ones before `done`."""
        count = self._made_before[done]
        return self._made_at[count - self._window] if count >= self._window else 0

    def _last(self, match: _Match, since: int, wrong: int, made: Made) -> list[str]:
        """The colours of the knots made in the window, where the one at `wrong` was `made` so; it may be further back.

        The strings of the match are exchanged after it.
        """
        exchanged = {match.one: match.other, match.other: match.one}
        found: list[str] = []
        for at in range(since, match.done):
            knot = self._knots[at]
            string = knot.knotting(made if at == wrong else knot.way)
            if at > wrong:
                string = exchanged.get(string, string)
            if string:
                found.append(self._colours[string])
        return found

    def _fits(self, last: Told) -> bool:
        told = self._told
        if len(last) < len(told):
            return False
        shown = last[len(last) - len(told) :]
        return all(name is None or name == colour for name, colour in zip(told, shown, strict=True))
