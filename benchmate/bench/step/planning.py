"""The search for the order with the fewest pick-ups: at once where it is short, else beside the screen."""

import time
from array import array
from collections.abc import Callable
from typing import Protocol

from textual.message import Message
from textual.timer import Timer

from benchmate.bench.terminal.unforeseen import in_one_line
from benchmate.craft.orders import Order, fewest_to_come
from benchmate.craft.ways import order_of
from benchmate.plain import PLAN_NOT_SAVED
from benchmate.store.database import StoreError
from benchmate.store.held import Held
from benchmate.store.pieces import TakenOver

SWAP = 1.0
"""Seconds in which no press counts after the step on the screen has become another one by itself."""
TICK = 0.25
"""Seconds between looks how far a search is."""


class Stopped(Exception):
    """The search is not wanted any more."""


class Search:
    """One search, run in a thread of its own while the bench goes on."""

    def __init__(self, held: Held) -> None:
        """Everything the search needs is taken now: the piece may be worked on meanwhile.

        Once a piece is begun, the step that is shown stays the next one where that costs no pick-up: it may be in the
        maker's hands.
        """
        self._whole, self._way, self._history = held.whole, held.way, held.progress.history
        self._shown = held.progress.next if held.progress.done else None
        self._stopped = False
        self.share = 0
        """How many hundredths of the segments are laid."""

    def _tell(self, laid: int, of: int) -> None:
        if self._stopped:
            raise Stopped
        self.share = 100 * laid // of if of else 100

    def stop(self) -> None:
        """Ends the search soon."""
        self._stopped = True

    def run(self) -> Order | None:
        """Searches; None when stopped."""
        whole, history = self._whole, self._history
        if self._shown is not None:
            with_it = array("L", [*history, self._shown])
            picked_up = whole.maker(self._shown) not in (0, whole.maker(history[-1]))
            if picked_up + fewest_to_come(whole, with_it) == fewest_to_come(whole, history):
                history = with_it
        try:
            return order_of(whole, self._way, history, self._tell)
        except Stopped:
            return None


class Planned(Message):
    """A search has come to its end: it found an order, or failed, or was stopped (None)."""

    def __init__(self, search: Search, found: Order | Exception | None) -> None:
        super().__init__()
        self.search = search
        self.found = found


class NeedsOrder(Protocol):
    """The screen with the piece whose order is looked for."""

    notice: str

    @property
    def held(self) -> Held:
        """The piece."""

    @property
    def in_front(self) -> bool:
        """True while no other screen lies over it."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def show(self) -> None:
        """Shows what there is to do now."""

    def lost(self, taken: TakenOver) -> None:
        """Another window has gone on with the piece."""

    def reordered(self) -> None:
        """What there is to do now may be another step than it was."""

    def set_interval(self, interval: float, callback: Callable[[], None]) -> Timer:
        """Has something done again and again."""

    def beside(self, errand: Callable[[], None]) -> None:
        """Has something done in a thread of its own."""

    def post_message(self, message: Message) -> bool:
        """Hands over a `Planned`, from whichever thread, which is given back to `take_in`."""


class Planning:
    """Has the order of a piece found when it needs one, while the piece is worked on."""

    def __init__(self, step: NeedsOrder) -> None:
        self._step = step
        self.search: Search | None = None
        """The search that goes on beside the screen."""
        self._ticking: Timer | None = None
        self._landed: Planned | None = None
        self._swapped = float("-inf")

    @property
    def searching(self) -> bool:
        """True while a search goes on beside the screen."""
        return self.search is not None

    def begin(self) -> None:
        """Finds the order with the fewest pick-ups where there is need of one: now, or beside the screen."""
        step, held = self._step, self._step.held
        if not held.needs_plan or self.searching:
            return
        if not held.plans_at_once:
            self.search = search = Search(held)
            self._ticking = step.set_interval(TICK, step.show)
            step.beside(lambda: self._find(search))
            return
        try:
            order = held.plan()
        except Exception as error:
            self._work_by_rows(error)
        else:
            self._go_by(order)

    def _find(self, search: Search) -> None:
        found: Order | Exception | None
        try:
            found = search.run()
        except Exception as error:
            found = error
        # A message waits for nobody: the bench may be gone by now.
        self._step.post_message(Planned(search, found))

    def take_in(self, planned: Planned) -> None:
        """Goes by what a search has found; when knots were tied meanwhile, it searches again from there."""
        if planned.search is not self.search:
            return
        if not self._step.in_front:
            # What another screen says of the order has to stay true until it is left.
            self._landed = planned
            return
        self.end()
        found = planned.found
        if isinstance(found, Exception):
            self._reorder(lambda: self._work_by_rows(found))
        elif found is not None:
            self._reorder(lambda: self._now_by_segments(found))
            self.begin()
        self._step.show()

    def _reorder(self, change: Callable[[], bool]) -> None:
        """Makes a change to the order that nobody pressed a key for, and says so where another step comes next."""
        step, held = self._step, self._step.held
        if not held.holding:
            return
        shown = held.progress.next
        if not change():
            return
        if held.progress.next != shown:
            self._swapped = time.monotonic()
            step.notice = f"ANOTHER KNOT COMES FIRST NOW. {step.notice}"
        step.reordered()

    def _now_by_segments(self, order: Order) -> bool:
        if not self._go_by(order):
            return False
        by_segments, by_rows = self._step.held.pickups
        self._step.notice = f"By segments now: {by_segments} pick-ups, by rows {by_rows}."
        return True

    def _go_by(self, order: Order) -> bool:
        try:
            return self._step.held.go_by(order)
        except TakenOver as taken:
            self._step.lost(taken)
        except StoreError as error:
            self._step.notice = f"{PLAN_NOT_SAVED} {error}"
        return False

    def _work_by_rows(self, error: Exception) -> bool:
        """The search has failed: by rows the work goes on without it."""
        step, held = self._step, self._step.held
        failed = f"The search for the fewest pick-ups failed ({in_one_line(error)})."
        try:
            held.change_way("rows", from_right=held.way.from_right)
        except TakenOver as taken:
            step.lost(taken)
            return False
        except StoreError as unsaved:
            step.notice = f"{failed} Going on as before. {unsaved}"
            return False
        step.notice = f"{failed} Working by rows; {step.key('way')} chooses again."
        return True

    def in_front_again(self) -> None:
        """Takes in what was found while another screen lay over this one."""
        if self._landed is not None:
            planned, self._landed = self._landed, None
            self.take_in(planned)

    @property
    def just_swapped(self) -> bool:
        """True for a moment after another step has come to stand on the screen by itself: no press is meant for it."""
        return time.monotonic() - self._swapped < SWAP

    @property
    def how_far(self) -> str:
        """How far the search is, in words; empty when there is none."""
        if self.search is None:
            return ""
        return (
            f"Looking for the fewest pick-ups: {self.search.share}%. It goes on as before meanwhile "
            f"({self._step.key('keep')}: by rows from here on)."
        )

    def end(self) -> None:
        """Nothing is looked for any more."""
        if self.search is not None:
            self.search.stop()
            self.search = None
        if self._ticking is not None:
            self._ticking.stop()
            self._ticking = None
