"""The steps of a design, of some of which nobody knows how they were made."""

from collections.abc import Collection

from benchmate.craft.work import Work


class InDoubt(Work):
    """Put before a family's own work, it tells of the steps only what is certain where some of them are in doubt."""

    def __init__(self, work: Work, doubted: Collection[int]) -> None:
        """The steps of `work`, which stay as they are there for all that is counted."""
        vars(self).update(vars(work))
        self._doubted = frozenset(doubted)
