"""The search for the order with the fewest pick-ups: at once where it is short, else beside the screen."""

import time
from array import array

from textual import work
from textual.message import Message
from textual.timer import Timer

from benchmate.actions import shown_key
from benchmate.bench.terminal.board import LinesScreen
from benchmate.craft.orders import Order, fewest_to_come
from benchmate.craft.ways import order_of
from benchmate.plain import NOT_KEPT
from benchmate.store.database import StoreError
from benchmate.store.held import Held
from benchmate.store.pieces import TakenOver

SWAP = 1.0
"""Seconds in which no press counts after the step on the screen has become another one by itself."""
TICK = 0.25
"""Seconds between looks how far a search is."""


class Stopped(Exception):
    """The search is not wanted any more."""


class Planning:
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


class PlanningScreen(LinesScreen):
    """A screen with a piece on it that has its order found when it needs one, and goes on meanwhile."""

    class Planned(Message):
        """A search has come to its end, and found an order unless it was stopped."""

        def __init__(self, planning: Planning, order: Order | None) -> None:
            super().__init__()
            self.planning = planning
            self.order = order

    def __init__(self, held: Held) -> None:
        super().__init__()
        self.held = held
        self.notice = ""
        self._planning: Planning | None = None
        self._ticking: Timer | None = None
        self._landed: PlanningScreen.Planned | None = None
        self._swapped = float("-inf")

    def lost(self, taken: TakenOver) -> None:
        """Another window has gone on with the piece."""
        raise NotImplementedError

    def reordered(self) -> None:
        """What there is to do now may be another step than it was."""

    def say(self, notice: str) -> None:
        """Shows a notice."""
        self.notice = notice
        self.show()

    def key(self, action: str) -> str:
        """The first of the keys an action has now, as a person calls it."""
        return next(map(shown_key, self.bench.settings.keys[action]), "no key")

    @property
    def searching(self) -> bool:
        """True while a search goes on beside the screen."""
        return self._planning is not None

    def plan(self) -> None:
        """Finds the order with the fewest pick-ups where there is need of one: now, or beside the screen."""
        if not self.held.needs_plan or self._planning is not None:
            return
        if self.held.plans_at_once:
            self._go_by(self.held.plan())
        else:
            self._planning = Planning(self.held)
            self._ticking = self.set_interval(TICK, self.show)
            self._search(self._planning)

    @work(thread=True)
    def _search(self, planning: Planning) -> None:
        # A message waits for nobody: the bench may be gone by now.
        self.post_message(self.Planned(planning, planning.run()))

    def on_planning_screen_planned(self, message: Planned) -> None:
        """Goes by what a search has found; when knots were tied meanwhile, it searches again from there."""
        if message.planning is not self._planning:
            return
        if self.app.screen is not self:
            # What another screen says of the order has to stay true until it is left.
            self._landed = message
            return
        self.end_search()
        if message.order is not None and self.held.holding:
            shown = self.held.progress.next
            if self._go_by(message.order):
                by_segments, by_rows = self.held.pickups
                self.notice = f"By segments now: {by_segments} pick-ups, by rows {by_rows}."
                if self.held.progress.next != shown:
                    self._swapped = time.monotonic()
                    self.notice = f"ANOTHER KNOT COMES FIRST NOW. {self.notice}"
                self.reordered()
            self.plan()
        self.show()

    def on_screen_resume(self) -> None:
        """Takes in what was found while another screen lay over this one."""
        if self._landed is not None:
            message, self._landed = self._landed, None
            self.on_planning_screen_planned(message)

    @property
    def just_swapped(self) -> bool:
        """True for a moment after another step has come to stand on the screen by itself: no press is meant for it."""
        return time.monotonic() - self._swapped < SWAP

    def _go_by(self, order: Order) -> bool:
        try:
            return self.held.go_by(order)
        except TakenOver as taken:
            self.lost(taken)
        except StoreError as error:
            self.notice = f"{NOT_KEPT} {error}"
        return False

    def how_far(self) -> str:
        if self._planning is None:
            return ""
        return (
            f"Looking for the fewest pick-ups: {self._planning.share}%. It goes on as before meanwhile "
            f"({self.key('keep')}: by rows from here on)."
        )

    def end_search(self) -> None:
        if self._planning is not None:
            self._planning.stop()
            self._planning = None
        if self._ticking is not None:
            self._ticking.stop()
            self._ticking = None

    def on_unmount(self) -> None:
        """Nothing goes on in the background."""
        self.end_search()
