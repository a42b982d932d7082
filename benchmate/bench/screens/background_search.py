"""A search in a thread of its own, while the bench is used: how far it is, and a way to stop it."""

TICK = 0.25
"""Seconds between updates of what is shown of a search."""


class Stopped(Exception):
    """The search was stopped."""


class Search:
    """One search."""

    def __init__(self) -> None:
        self.share: int | None = None
        """How far it is, in percent; None before it says so."""
        self._stopped = False

    def report(self, done: int, of: int) -> None:
        """What the search calls now and then. Raises Stopped after `stop`."""
        if self._stopped:
            raise Stopped
        self.share = 100 * done // of if of else 100

    def stop(self) -> None:
        """Makes the search end soon."""
        self._stopped = True
