"""Keeps a key that is held down from answering what is asked because of its press.

The first repeat of a held key comes so long after the press that by its time it may be a second press. The next repeat
tells, which follows at once. So where something else is asked by then, the same key waits for as long as that takes.
"""

from collections.abc import Awaitable, Callable, Collection
from functools import partial

from benchmate.bench.terminal.guard import Verdict
from benchmate.bench.terminal.judged_key import Key

FIRST_REPEAT = 0.8
"""The most seconds that keyboards wait before a held key repeats."""
Later = Callable[[float, Callable[[], Awaitable[None]]], object]
"""Calls something after so many seconds."""


class HeldOver:
    """Passes key events on; a bit later one that may be the first repeat of a key that has answered."""

    def __init__(self, guard: float, pass_on: Callable[[Key], Awaitable[None]], later: Later) -> None:
        """`guard` as the guard has it: repeats of a held key are closer together than that."""
        self.wait = guard
        """Seconds that such an event waits."""
        self._pass_on = pass_on
        self._later = later
        self.waiting: Key | None = None
        """The event that waits."""
        self._asked: object = None
        self._at = float("-inf")

    async def take(self, event: Key, asked: object, moves: Collection[str]) -> None:
        """Takes in an event that comes while `asked` is asked. Keys that only move, `moves`, never wait."""
        before, self.waiting = self.waiting, None
        press, counts = event.press, event.press.verdict is Verdict.COUNTS
        if before is not None and (counts or not press.same):
            await self._pass_on(before)
        near, self._at = event.time - self._at < FIRST_REPEAT, event.time
        changed, self._asked = asked != self._asked, asked
        if press.same and counts and near and changed and event.key not in moves:
            self.waiting = event
            self._later(self.wait, partial(self._over, event))
        else:
            await self._pass_on(event)

    async def _over(self, event: Key) -> None:
        if self.waiting is event:
            self.waiting = None
            await self._pass_on(event)
