"""The log of a piece: its entries, the state of the piece after them, and how presses become entries."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.design import MOST_STEPS
from benchmate.craft.trouble.alterations import Alterations
from benchmate.craft.trouble.made_otherwise import EVERY_KIND

if TYPE_CHECKING:
    from benchmate.craft.history.carry_over import CarriedOver

TIES = ("tie", "jump-tie")
UNTIES = ("untie", "jump-untie")
ALTERS = ("made", "change")
SERVED_ALONE, SERVED_TOO = 100, 101
"""What an entry `made` has in place of the code of a way, where it says which mistakes the next changes serve."""
ACTS = (*TIES, *UNTIES, "wrong", "right", "copy", *ALTERS, "charted")
"""Everything an entry can say."""
MOST_NUMBERS = 3 * MOST_STEPS
"""Above every step number of a start, a band and a finish together."""


class Event(NamedTuple):
    """One entry of a piece's log: steps `first` to `last` were tied (counting up) or untied (counting down).

    `wrong` marks step `first` as wrong, and `right` removes the mark. Where `last` is another step, which is marked
    already, `first` is marked together with it: the maker is led to all of them, and the marks are gone once all are
    untied. `right` where nothing is marked says that the piece was begun with its thread, before its first step. `copy`
    changes the piece to its design copy number `first`. The `jump-` kinds were counted as tied or untied by a jump, not
    worked one by one.

    `made` says that the tied step `first` was really made in the way that `last` is the code of (in `EVERY_KIND`);
    `change` that the open step `first` will be. `charted` takes either back: step `first` is as in the chart. With
    `SERVED_ALONE` or `SERVED_TOO`, `made` says that the next changes serve the mistake `first`.
    """

    number: int
    act: str
    first: int
    last: int


Change = tuple[str, int, int]
"""An entry without its number: the act, the first step and the last."""


class LogEntry(NamedTuple):
    """An entry of a log without its number, but with its time in UTC, `2026-11-25T07:30:00.000Z`."""

    at: str
    act: str
    first: int
    last: int


class LogEnd(NamedTuple):
    """The last entry of a log that a window knows: its number, its checksum, and when it was made."""

    number: int
    sum: int
    at: str


class LogInMemory:
    """A whole log, packed to some forty bytes an entry, for when the database can no longer be read."""

    def __init__(self) -> None:
        self._lines = bytearray()

    def kept(self, entries: Iterable[LogEntry]) -> Iterator[Event]:
        """The entries as events; each is kept on its way."""
        for number, entry in enumerate(entries, 1):
            self.add(entry)
            yield Event(number, entry.act, entry.first, entry.last)

    def add(self, entry: LogEntry) -> None:
        """Adds an entry."""
        self._lines += f"{entry.at} {entry.act} {entry.first} {entry.last}\n".encode()

    def entries(self) -> list[LogEntry]:
        """All entries."""
        lines = map(str.split, self._lines.decode().splitlines())
        return [LogEntry(at, act, int(first), int(last)) for at, act, first, last in lines]


class PieceState(NamedTuple):
    """The state of a piece."""

    history: list[int]
    """The steps tied now, in the order they were tied."""
    marked: tuple[int, ...]
    """The steps marked wrong together, of which at least one is still tied; empty where none is."""
    taken_out: list[int]
    """The steps untied on the way to the wrong ones and not tied again, in the order they were untied."""
    altered: Alterations
    """What was made otherwise than charted, and what will be."""


def read_log(events: Iterable[Event]) -> PieceState:
    """The state of a piece after all its events. Raises ValueError when no piece can have this log."""
    history: list[int] = []
    marked: tuple[int, ...] = ()
    taken_out: list[int] = []
    altered = Alterations()
    for place, (entry, act, first, last) in enumerate(events, 1):
        if entry != place or not (0 <= first < MOST_NUMBERS and 0 <= last < MOST_NUMBERS):
            raise ValueError(f"entry {place} of the log is missing or damaged")
        if (act in TIES and first > last) or (act in UNTIES and first < last):
            raise ValueError(f"entry {place} of the log counts the wrong way")
        if len(history) > MOST_NUMBERS:
            raise ValueError(f"more is tied after entry {place} of the log than any piece has")
        if act in TIES:
            altered.settle()
            history.extend(range(first, last + 1))
            if taken_out:
                taken_out = [number for number in taken_out if not first <= number <= last]
        elif act in UNTIES:
            for number in range(first, last - 1, -1):
                if history and history[-1] == number:
                    history.pop()
                else:
                    history.remove(number)
                if marked:
                    taken_out.append(number)
                if number in marked and not any(step in history for step in marked):
                    marked, taken_out = (), []
                altered.untied(number, history.__contains__)
        elif act == "wrong":
            if first == last:
                marked, taken_out = (first,), []
            elif marked and last == marked[0] and first in history:
                marked = (*marked, first)
            else:
                raise ValueError(f"entry {place} of the log marks no tied step as wrong beside the one marked")
        elif act == "right":
            marked, taken_out = (), []
        elif act in ALTERS or act == "charted":
            _alter(altered, history, act, first, last)
        elif act == "copy":
            altered.settle()
        else:
            raise ValueError(f"unknown act in the log: {act}")
    if marked and not any(step in history for step in marked):
        raise ValueError(f"step {marked[0]} is marked wrong but is not tied")
    return PieceState(history, marked, taken_out, altered)


def _alter(altered: Alterations, history: Sequence[int], act: str, step: int, code: int) -> None:
    """What an entry says of how a step is made."""
    if act == "charted":
        if code != step or step not in altered.steps:
            raise ValueError(f"step {step} is as charted already")
        altered.is_charted(step, tied=step in history)
        return
    if act == "made" and code in (SERVED_ALONE, SERVED_TOO):
        altered.serve(step, alone=code == SERVED_ALONE)
        return
    if code >= len(EVERY_KIND):
        raise ValueError(f"no knot has the code {code}")
    # The step is mostly one of the last.
    if (step in reversed(history)) != (act == "made"):
        raise ValueError(f"step {step} is tied or open, which is not what the log says of it")
    if act == "made":
        altered.was_made(step, EVERY_KIND[code])
    else:
        altered.will_be_made(step, EVERY_KIND[code])


BEGUN = ("right", 0, 0)
"""The event with which a piece begins whose maker has told something before its first step."""


def as_ranges(act: str, numbers: Sequence[int]) -> list[Change]:
    """The events for doing `act` to each number in turn, one event for each run of consecutive numbers."""

    step = 1 if act in TIES else -1
    found: list[Change] = []
    for number in numbers:
        if found and found[-1][2] + step == number:
            found[-1] = (act, found[-1][1], number)
        else:
            found.append((act, number, number))
    return found


def renumbered(
    history: Sequence[int], carried: "CarriedOver", altered: Alterations
) -> tuple[list[Change], list[Change]]:
    """What the log gets before a changed design and after it: steps of the finish that come out, and new numbers.

    Where anything gets a new number, all that is made otherwise is said again with the new ones.
    """
    left = list(history[: len(history) - len(carried.come_out)])
    same = next(
        (at for at, (one, other) in enumerate(zip(left, carried.history, strict=False)) if one != other),
        min(len(left), len(carried.history)),
    )
    steps = altered.steps
    again = steps and (same < len(left) or any(carried.same[step] != step for step in steps))
    if again:
        same = min((at for at, step in enumerate(left[:same]) if step in steps), default=same)
    before = as_ranges("untie", carried.come_out) + as_ranges("jump-untie", left[same:][::-1])
    after = as_ranges("jump-tie", carried.history[same:])
    if not again:
        return before, after
    fresh = altered.renumbered(carried.same)
    tied = set(history)
    # Of a tied change it is said twice: it was not done, and is not to be.
    twice = [step for step in altered.changes if step in tied and step not in altered.not_done]
    as_charted = [("charted", step, step) for step in [*sorted(steps), *twice]]
    changes, made = (
        [(act, step, EVERY_KIND.index(how)) for step, how in steps.items()]
        for act, steps in (("change", fresh.changes), ("made", fresh.mistakes))
    )
    not_done = [("charted", step, step) for step in fresh.not_done]
    return as_charted + before, changes + after + made + not_done
