"""The progress of a piece: which steps are tied, and how the strings hang as a result.

The tied steps are always closed: everything a tied step rests on is tied too. They are a set, not a count, so that the
maker can work in any order the knots allow, and undo knots in the middle to reach a wrong one.
"""

from array import array
from collections.abc import Callable, Iterable, Sequence
from itertools import takewhile
from typing import NamedTuple

from benchmate.craft.orders import Order
from benchmate.craft.work import Work


class NotPossible(ValueError):
    """The step cannot be tied or untied now."""


class CurrentRun(NamedTuple):
    """The run of knots with the string in hand: the string's number, and the current knot as number `at` of `of`.

    `following` is the step of the next pick-up; None when there is none or a written step follows.
    """

    string: int
    at: int
    of: int
    following: int | None


class Progress:
    """The tied steps of a piece in the order they were tied, and the strings as they hang.

    `hanging[p]` is the number of the string at position p + 1, 0 for none. `tie` and `untie` take the same time in any
    size of piece as long as they follow the working order.
    """

    def __init__(self, work: Work, order: Order) -> None:
        self.work = work
        self.order = order
        self.hanging = work.at_start()
        self._tied = bytearray(work.size)
        self._history = array("L")
        self._next_place = 0

    @classmethod
    def resume(cls, work: Work, order: Order, history: Sequence[int]) -> "Progress":
        """The progress after the steps of `history`, tied in that order. Raises NotPossible when they cannot be."""
        progress = cls(work, order)
        if list(history) != list(order.sequence[: len(history)]):
            for number in history:
                progress.tie(number)
            return progress
        progress._history = array("L", history)
        progress._next_place = len(history)
        for number in history:
            progress._tied[number] = 1
            work.change_places(number, progress.hanging)
        return progress

    @property
    def done(self) -> int:
        """How many steps are tied now."""
        return len(self._history)

    @property
    def finished(self) -> bool:
        """True when every step is tied."""
        return self.done == self.work.size

    @property
    def next(self) -> int | None:
        """The first step in working order that is not tied; None at the end."""
        return None if self.finished else self.order.sequence[self._next_place]

    @property
    def in_order(self) -> bool:
        """True when exactly the first steps of the working order are tied."""
        return self._next_place == self.done

    @property
    def last(self) -> int | None:
        """The last tied step; no tied step rests on it. None at the beginning."""
        return self._history[-1] if self._history else None

    @property
    def history(self) -> "array[int]":
        """The tied steps, in the order they were tied."""
        return self._history[:]

    def coming(self, count: int) -> list[int]:
        """Up to `count` next steps in working order, the current one first."""
        found: list[int] = []
        for place in range(self._next_place, len(self.order.sequence)):
            if len(found) == count:
                break
            number = self.order.sequence[place]
            if not self._tied[number]:
                found.append(number)
        return found

    def rest_of_row(self) -> list[int]:
        """The current step and the open ones of its row that directly follow in working order."""
        return self._rest_of(self.work.row_of)

    def rest_of_run(self) -> list[int]:
        """The current step and the open ones that follow in working order with the same string in hand.

        In an alpha band the run ends with its row. A written step or a move is a run of its own.
        """
        number = self.next
        if number is not None and not self.work.knotting(number):
            return [number]
        return self._rest_of(self.work.run_key)

    def _rest_of(self, kind: Callable[[int], int]) -> list[int]:
        number = self.next
        if number is None:
            return []
        sequence = self.order.sequence
        rest = takewhile(
            lambda other: self._tied[other] or kind(other) == kind(number),
            (sequence[place] for place in range(self._next_place, len(sequence))),
        )
        return [other for other in rest if not self._tied[other]]

    @property
    def current_run(self) -> "CurrentRun | None":
        """The run of the current step; None at the end, and where no string is known to be in hand."""
        number = self.next
        if number is None or not (knotting := self.work.knotting(number)):
            return None
        made, run_key = 0, self.work.run_key
        while made < self.done and run_key(self._history[-1 - made]) == run_key(number):
            made += 1
        rest = self.rest_of_run()
        following = self._after(rest[-1])
        picked_up = following is not None and self.work.knotting(following) != 0
        return CurrentRun(knotting, made + 1, made + len(rest), following if picked_up else None)

    def _after(self, number: int) -> int | None:
        """The first open step after this one in working order."""
        sequence = self.order.sequence
        places = range(self.order.place[number] + 1, len(sequence))
        return next((sequence[place] for place in places if not self._tied[sequence[place]]), None)

    def ready(self) -> list[int]:
        """Every step that can be tied now, lowest number first."""
        number = self._tied.find(0)
        if number < 0 or not self.work.takes(number):
            return [] if number < 0 else [number]
        found: list[int] = []
        waiting: set[int] = set()
        taken = self.work.resource_count
        while number >= 0 and len(waiting) < taken - 1 and (pair := set(self.work.takes(number))):
            if not pair & waiting:
                found.append(number)
            waiting |= pair
            number = self._tied.find(0, number + 1)
        return found

    def is_tied(self, number: int) -> bool:
        """True when the step is tied."""
        return bool(self._tied[number])

    def has_tied(self, number: int) -> bool:
        """The same of any number, also one that is of no step."""
        return 0 <= number < len(self._tied) and self.is_tied(number)

    def can_tie(self, number: int) -> bool:
        """True when the step is open and everything it rests on is tied."""
        return not self._tied[number] and (
            number == self.next or all(self._tied[below] for below in self.work.rests_on(number))
        )

    def can_untie(self, number: int) -> bool:
        """True when the step is tied and no tied step rests on it."""
        return bool(self._tied[number]) and (
            number == self.last or not any(self._tied[above] for above in self.work.carries(number))
        )

    def tie(self, number: int) -> None:
        """Ties a step. Raises NotPossible when it is tied already or rests on an open step."""
        if not 0 <= number < self.work.size or not self.can_tie(number):
            raise NotPossible(f"step {number} cannot be tied now")
        self._tied[number] = 1
        self._history.append(number)
        self.work.change_places(number, self.hanging)
        sequence = self.order.sequence
        while self._next_place < len(sequence) and self._tied[sequence[self._next_place]]:
            self._next_place += 1

    def check_can_tie(self, numbers: Sequence[int]) -> None:
        """Raises NotPossible when the steps cannot be tied in this order. Changes nothing."""
        sequence, place = self.order.sequence, self._next_place
        tied: set[int] = set()
        for number in numbers:
            # The next step in working order can always be tied, as in `can_tie`.
            while place < len(sequence) and (self._tied[sequence[place]] or sequence[place] in tied):
                place += 1
            open_step = 0 <= number < self.work.size and not self._tied[number] and number not in tied
            if not open_step or not (
                number == sequence[place]
                or all(self._tied[below] or below in tied for below in self.work.rests_on(number))
            ):
                raise NotPossible(f"step {number} cannot be tied now")
            tied.add(number)

    def untie(self, number: int) -> None:
        """Unties a step. Raises NotPossible when it is open or a tied step rests on it."""
        if not 0 <= number < self.work.size or not self.can_untie(number):
            raise NotPossible(f"step {number} cannot be untied now")
        self._tied[number] = 0
        if self._history[-1] == number:
            self._history.pop()
        else:
            self._history.remove(number)
        self.work.change_places(number, self.hanging)
        self._next_place = min(self._next_place, self.order.place[number])

    def must_come_out(self, *numbers: int) -> list[int]:
        """The fewest steps to untie to reach tied steps: these and every tied one that rests on them.

        They are in an order in which each can be untied; a single one comes last.
        """
        above = {*numbers}
        open_ends = [*numbers]
        while open_ends:
            for other in self.work.carries(open_ends.pop()):
                if self._tied[other] and other not in above:
                    above.add(other)
                    open_ends.append(other)
        return sorted(above, key=self.order.place.__getitem__, reverse=True)

    def jump(self, target: Sequence[int]) -> tuple[list[int], list[int]]:
        """The steps to untie, then the steps to tie, so that exactly the steps of `target` are tied.

        `target` is in an order in which its steps can be tied; so are both lists.
        """
        wanted = bytearray(self.work.size)
        for number in target:
            wanted[number] = 1
        extra = [number for number in self._history if not wanted[number]]
        out = sorted(extra, key=self.order.place.__getitem__, reverse=True)
        return out, [number for number in target if not self._tied[number]]


def hanging_after(work: Work, order: Order, tied: Iterable[int]) -> list[int]:
    """The string numbers, left to right, after a closed set of steps was tied in any order."""
    progress = Progress(work, order)
    for number in sorted(tied, key=order.place.__getitem__):
        progress.tie(number)
    return progress.hanging
