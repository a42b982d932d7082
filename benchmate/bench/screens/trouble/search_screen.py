"""Searches of a screen that run while it is shown: in a thread, with progress and a way to stop."""

from collections.abc import Callable
from enum import Enum
from functools import partial
from typing import TypeVar

from textual.message import Message
from textual.timer import Timer

from benchmate.bench.screens.background_search import TICK, Search, Stopped
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.craft.work import ReportProgress


class GoBack(Enum):
    """The result of a screen that the maker leaves for what was asked before."""

    BACK = "back"


T = TypeVar("T")
R = TypeVar("R")


class Ended(Message):
    """A search has ended; `take_in` does what follows from that. It was stopped where that is None."""

    def __init__(self, search: Search, take_in: Callable[[], None] | None) -> None:
        super().__init__()
        self.search = search
        self.take_in = take_in


class SearchingScreen(LinesScreen[T]):
    """A screen that searches for something, one thing at a time. Subclasses define `stopped`."""

    search: Search | None = None
    """The search that runs now."""
    takes_long = False
    """True once the search runs for so long that it is to be said."""
    _ticking: Timer | None = None

    def begin_search(self, job: Callable[[ReportProgress], R], found: Callable[[R], None]) -> None:
        """Searches in a thread, and hands on what was `found`; the search before is stopped."""
        self.end_search()
        self.search = search = Search()
        self.takes_long = False
        self._ticking = self.set_interval(TICK, self._show_share)

        def run() -> None:
            take_in: Callable[[], None] | None
            try:
                take_in = partial(found, job(search.report))
            except Stopped:
                take_in = None
            except Exception as error:
                # Nothing else would see an error in this thread, and the screen would wait for ever.
                take_in = partial(_fail, error)
            # The bench may be gone by now; posting a message does no harm then.
            self.post_message(Ended(search, take_in))

        self.run_worker(run, thread=True)

    def stopped(self) -> None:
        """Goes on without a result."""

    def on_ended(self, message: Ended) -> None:
        """Takes in the result of a search, unless another one has begun since."""
        if message.search is self.search and message.take_in is not None:
            self.end_search()
            message.take_in()
            self.show()

    def end_search(self) -> None:
        """Stops the search, if one runs."""
        if self.search is not None:
            self.search.stop()
            self.search = None
        if self._ticking is not None:
            self._ticking.stop()
            self._ticking = None

    def stop_search(self) -> bool:
        """Stops the search at the maker's wish; False where none runs."""
        if self.search is None:
            return False
        self.end_search()
        self.stopped()
        self.show()
        return True

    @property
    def share_words(self) -> str:
        """How far the search is: ` 40%`; empty before that is known, and without a search."""
        share = None if self.search is None else self.search.share
        return "" if share is None else f" {share}%"

    def _show_share(self) -> None:
        if self.search is not None:
            self.takes_long = True
            self.show()

    def on_unmount(self) -> None:
        """Stops the search, because its result is of no use then."""
        self.end_search()


def _fail(error: Exception) -> None:
    """Raises in the app what failed in the thread."""
    raise error
