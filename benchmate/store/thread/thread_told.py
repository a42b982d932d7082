"""What a maker said of the thread of a piece, and how two machines come to know all of it."""

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from benchmate.craft.thread.length_to_cut import Length
from benchmate.store.database import Database
from benchmate.store.errors import explained
from benchmate.store.thread.cuts import Cut, WasCut, cuts_in, ticked_in
from benchmate.store.thread.new_strings import NewString, as_it_hangs, new_strings_in, of_two_machines
from benchmate.store.thread.strings_left import MeasuredString, measured_in


class ThreadTold(NamedTuple):
    """What was cut, what is left of strings, and the new ones, those too that were taken back.

    `was_cut` is known once all was cut. `ticked` are the lengths ticked off until then, or those of another time: cut
    once more because they are to be longer by now. Of a length that is in both, the one ticked off counts.
    """

    was_cut: WasCut | None
    ticked: list[Cut]
    measured: dict[int, MeasuredString]
    new_strings: list[NewString]

    @property
    def lengths_cut(self) -> list[Cut]:
        """Every length that was cut, as it was cut last."""
        before = [] if self.was_cut is None else self.was_cut[1]
        again = {which(cut.length): cut for cut in self.ticked}
        known = [again.pop(which(cut.length), cut) for cut in before]
        return [*known, *again.values()]

    @property
    def without_threads(self) -> "ThreadTold":
        """The same where the box is another one, or where nothing is to be taken from it twice."""
        cut = None if self.was_cut is None else (self.was_cut[0], _without_threads(self.was_cut[1]))
        new_strings = [each.without_thread for each in self.new_strings]
        return self._replace(was_cut=cut, ticked=_without_threads(self.ticked), new_strings=new_strings)

    def with_lengths(self, lengths: Iterable[Length]) -> "ThreadTold":
        """What was cut of these lengths, for a piece that is to be cut so."""
        wanted = {which(length) for length in lengths}
        cut = [each for each in self.lengths_cut if which(each.length) in wanted]
        if self.was_cut is None or len(cut) < len(wanted):
            return ThreadTold(None, cut, {}, [])
        return ThreadTold((self.was_cut[0], cut), [], {}, [])

    def renumbered(self, step_of: Callable[[int], int], more: int) -> "ThreadTold":
        """The same in a changed design: `step_of` is the new number of a step; so many more are tied below the band."""
        measured = {string: each.with_more(more) for string, each in self.measured.items()}
        new_strings = [
            each._replace(after=step_of(each.after), before=each.before and each.before.with_more(more))
            for each in self.new_strings
        ]
        return self._replace(measured=measured, new_strings=new_strings)


def told_of(database: Database, piece: int) -> ThreadTold:
    """What is known of the thread of a piece. Raises StoreError."""
    with explained(database.home):
        return told_in(database.connection, piece)


def told_in(connection: sqlite3.Connection, piece: int) -> ThreadTold:
    """The same, over a connection."""
    return ThreadTold(
        cuts_in(connection, piece),
        ticked_in(connection, piece),
        measured_in(connection, piece),
        new_strings_in(connection, piece),
    )


def nothing_told() -> ThreadTold:
    """What is known of a new piece: nothing."""
    return ThreadTold(None, [], {}, [])


def which(length: Length) -> tuple[str, tuple[int, ...], int | None]:
    """Which of the lengths of a piece it is, however long it is."""
    return length.colour, length.strings, length.leading


def _without_threads(cuts: Sequence[Cut]) -> list[Cut]:
    return [Cut(each.length) for each in cuts]


def told_on_both(ours: ThreadTold, theirs: ThreadTold, *, newer: bool) -> ThreadTold:
    """What this machine and another one know, put together.

    With `newer`, steps are numbered as they are there. Which thread a length came from is known only at home.
    """
    known = {which(cut.length): cut for cut in ours.lengths_cut}
    for cut in theirs.lengths_cut:
        key = which(cut.length)
        known[key] = _longer(known.get(key, cut), cut)
    was_cut = _cut_last(ours.was_cut, theirs.was_cut)
    if was_cut is not None:
        was_cut = was_cut[0], [known.pop(which(cut.length), cut) for cut in was_cut[1]]
    still = list(known.values())
    new_strings = of_two_machines(ours.new_strings, theirs.new_strings, newer=newer)
    measured = {}
    for string in sorted({*ours.measured, *theirs.measured, *(each.string for each in new_strings)}):
        own = [each for each in new_strings if each.string == string]
        both = (theirs, ours) if newer else (ours, theirs)
        seen = [as_it_hangs(each.measured.get(string), own) for each in both]
        last = max((each for each in seen if each is not None), key=lambda each: each.at, default=None)
        if last is not None:
            measured[string] = last
    return ThreadTold(was_cut, still, measured, new_strings)


def _longer(one: Cut, other: Cut) -> Cut:
    """The longer one, the first of two that are the same: only what is to be longer is cut again."""
    return other if other.length.cut_mm > one.length.cut_mm else one


def _cut_last(ours: WasCut | None, theirs: WasCut | None) -> WasCut | None:
    """What was cut where all of it was, by whoever cut it last, as what is cut once more is longer."""
    both = [each for each in (ours, theirs) if each is not None]
    return max(both, key=lambda each: (sum(cut.length.cut_mm for cut in each[1]), each[0]), default=None)
