"""The search for the order with the fewest pick-ups: at once where it is short, else in the background."""

import time
from array import array
from collections.abc import Callable
from typing import Protocol

from textual.message import Message
from textual.timer import Timer

from benchmate.bench.screens.background_search import TICK, Search, Stopped
from benchmate.craft.orders import Order, fewest_left
from benchmate.craft.ways import order_of
from benchmate.files.unexpected import in_one_line
from benchmate.plain.in_piece.session import PLAN_NOT_SAVED
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver

SWAP = 1.0
"""Seconds in which no press counts after a search has changed the step on the screen."""


class OrderSearch(Search):
    """One search for an order."""

    def __init__(self, held: OpenPiece) -> None:
        """Copies all it needs, as the piece may change while it runs.

        Once a piece has a knot, the step on the screen stays the next one if that costs no pick-up: the maker may be
        tying it.
        """
        super().__init__()
        self._whole, self._way, self._history = held.whole, held.way, held.progress.history
        self._shown = held.progress.next if held.progress.done else None

    def is_for(self, held: OpenPiece) -> bool:
        """False once knots are made otherwise than when it began: other strings make them then."""
        return self._whole is held.whole

    def run(self) -> Order | None:
        """Searches; None when stopped."""
        whole, history = self._whole, self._history
        if self._shown is not None:
            with_it = array("L", [*history, self._shown])
            picked_up = whole.hand(self._shown) not in (0, whole.hand(history[-1]))
            if picked_up + fewest_left(whole, with_it) == fewest_left(whole, history):
                history = with_it
        try:
            return order_of(whole, self._way, history, self.report)
        except Stopped:
            return None


class Planned(Message):
    """A search has ended: it found an order, failed, or was stopped (None)."""

    def __init__(self, search: OrderSearch, found: Order | Exception | None) -> None:
        super().__init__()
        self.search = search
        self.found = found


class NeedsOrder(Protocol):
    """The step screen as the search uses it."""

    notice: str

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    @property
    def in_front(self) -> bool:
        """True while no other screen covers it."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def show(self) -> None:
        """Shows the screen as it is now."""

    def lost(self, taken: TakenOver) -> None:
        """Handles that another window took the piece over."""

    def order_changed(self) -> None:
        """The order changed, and perhaps the next step with it."""

    def set_interval(self, interval: float, callback: Callable[[], None]) -> Timer:
        """Calls `callback` every `interval` seconds."""

    def run_in_thread(self, job: Callable[[], None]) -> None:
        """Runs `job` in its own thread."""

    def post_message(self, message: Message) -> bool:
        """Sends a `Planned` from any thread; it reaches `take_in`."""


class Planning:
    """Finds the order of a piece when it needs one, while the piece is worked on."""

    def __init__(self, step: NeedsOrder) -> None:
        self._step = step
        self.search: OrderSearch | None = None
        """The search in the background."""
        self._ticking: Timer | None = None
        self._waiting: Planned | None = None
        self._swapped = float("-inf")

    @property
    def searching(self) -> bool:
        """True while a search runs in the background."""
        return self.search is not None

    def begin(self) -> None:
        """Finds the order with the fewest pick-ups if the piece needs one: at once, or in the background."""
        step, held = self._step, self._step.held
        if not held.needs_plan or self.searching:
            return
        if not held.can_plan_at_once:
            self.search = search = OrderSearch(held)
            self._ticking = step.set_interval(TICK, step.show)
            step.run_in_thread(lambda: self._find(search))
            return
        try:
            order = held.plan()
        except Exception as error:
            # Whatever is wrong with the search, the bench stays open and says so; the work goes on by rows.
            self._work_by_rows(error)
        else:
            self._use_order(order)

    def _find(self, search: OrderSearch) -> None:
        found: Order | Exception | None
        try:
            found = search.run()
        except Exception as error:
            # Nothing else would see an error in this thread, and the bench would wait for ever.
            found = error
        # The bench may be gone by now; posting a message does no harm then.
        self._step.post_message(Planned(search, found))

    def take_in(self, planned: Planned) -> None:
        """Uses what a search found, and searches again if knots were tied in the meantime."""
        if planned.search is not self.search:
            return
        if not self._step.in_front:
            # The order must not change while another screen shows something about it.
            self._waiting = planned
            return
        self.end()
        found = planned.found
        if isinstance(found, Exception):
            self._reorder(lambda: self._work_by_rows(found))
        elif found is not None:
            if planned.search.is_for(self._step.held):
                self._reorder(lambda: self._now_by_segments(found))
            self.begin()
        self._step.show()

    def _reorder(self, change: Callable[[], bool]) -> None:
        """Changes the order without a key press, with a notice when another step comes next."""
        step, held = self._step, self._step.held
        if not held.holding:
            return
        shown = held.progress.next
        if not change():
            return
        if held.progress.next != shown:
            self._swapped = time.monotonic()
            step.notice = f"THE NEXT KNOT HAS CHANGED. {step.notice}"
        step.order_changed()

    def _now_by_segments(self, order: Order) -> bool:
        if not self._use_order(order):
            return False
        self._step.notice = f"Working {self._step.held.way.words}."
        return True

    def _use_order(self, order: Order) -> bool:
        try:
            return self._step.held.use_plan(order)
        except TakenOver as taken:
            self._step.lost(taken)
        except StoreError as error:
            self._step.notice = f"{PLAN_NOT_SAVED} {error}"
        return False

    def _work_by_rows(self, error: Exception) -> bool:
        """Works by rows after the search failed."""
        step, held = self._step, self._step.held
        failed = f"The search for the fewest pick-ups failed ({in_one_line(error)})."
        try:
            held.change_way("rows", from_right=held.way.from_right)
        except TakenOver as taken:
            step.lost(taken)
            return False
        except StoreError as unsaved:
            step.notice = f"{failed} The order stays as it was. {unsaved}"
            return False
        step.notice = f"{failed} Working by rows; press {step.key('way')} to choose again."
        return True

    def back_in_front(self) -> None:
        """Takes in what was found while another screen covered this one."""
        if self._waiting is not None:
            planned, self._waiting = self._waiting, None
            self.take_in(planned)

    @property
    def just_reordered(self) -> bool:
        """True for a moment after a search changed the step on the screen: a press was meant for the one before."""
        return time.monotonic() - self._swapped < SWAP

    @property
    def progress_text(self) -> str:
        """The progress of the search as a notice; empty when there is none."""
        if self.search is None:
            return ""
        cancel = f"{self._step.key('keep')} cancels the search"
        return f"Looking for the fewest pick-ups: {self.search.share or 0}%. Keep knotting; {cancel}."

    def end(self) -> None:
        """Stops the search, if one runs."""
        if self.search is not None:
            self.search.stop()
            self.search = None
        if self._ticking is not None:
            self._ticking.stop()
            self._ticking = None
