"""The log of a piece: what an entry says, how a piece stands after all of them, and how presses become entries."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from benchmate.craft.design import MOST_STEPS

TIES = ("tie", "jump-tie")
UNTIES = ("untie", "jump-untie")
MOST_NUMBERS = 3 * MOST_STEPS
"""No step of a start, a band and a finish has a number as high as this."""


class Event(NamedTuple):
    """One entry of a piece's log: steps `first` to `last` were tied (upwards) or came out (downwards).

    `wrong` marks the step `first` as wrong, `right` takes that back; a `copy` says that from here on the piece goes by
    its copy number `first`. The `jump-` kinds are ties and unties that were counted, not made, at that moment.
    """

    number: int
    act: str
    first: int
    last: int


class Standing(NamedTuple):
    """How a piece stands: the steps tied now, in the order they were tied; the step marked wrong and not out yet, or
    None; and what has come out on the way to that one and has not been tied again, the last one out last."""

    history: list[int]
    wrong: int | None
    taken_out: list[int]


def read_log(events: Iterable[Event]) -> Standing:
    """How a piece stands after all its events. Raises ValueError when they are no log that a piece can have."""
    history: list[int] = []
    wrong: int | None = None
    taken_out: list[int] = []
    for place, (entry, act, first, last) in enumerate(events, 1):
        if entry != place or not (0 <= first < MOST_NUMBERS and 0 <= last < MOST_NUMBERS):
            raise ValueError(f"entry {place} of the log is lost or spoilt")
        if act in TIES:
            history.extend(range(first, last + 1))
            if taken_out:
                taken_out = [number for number in taken_out if not first <= number <= last]
        elif act in UNTIES:
            for number in range(first, last - 1, -1):
                if history and history[-1] == number:
                    history.pop()
                else:
                    history.remove(number)
                if wrong is not None:
                    taken_out.append(number)
                if number == wrong:
                    wrong = None
        elif act == "wrong":
            wrong, taken_out = first, []
        elif act == "right":
            wrong = None
        elif act != "copy":
            raise ValueError(f"the log does not know what {act} is")
    if wrong is not None and wrong not in history:
        raise ValueError(f"step {wrong} is marked wrong and is not tied")
    return Standing(history, wrong, [] if wrong is None else taken_out)


def as_ranges(act: str, numbers: Sequence[int]) -> list[tuple[str, int, int]]:
    """Events that say the same as `act` for each number in turn: unbroken series of steps in one event each."""
    step = 1 if act in TIES else -1
    found: list[tuple[str, int, int]] = []
    for number in numbers:
        if found and found[-1][2] + step == number:
            found[-1] = (act, found[-1][1], number)
        else:
            found.append((act, number, number))
    return found
