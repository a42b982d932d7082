"""When a rest is due: 5 to 10 minutes after 50 to 60 of work (HSE, display-screen work, by analogy)."""

from collections.abc import Sequence

from benchmate.craft.pace import REST

AGAIN = 10 * 60.0
"""Seconds of work after which a rest that was offered and not taken is offered again."""


class WorkSinceRest:
    """How long the hands have worked since their last rest, and whether a rest is to be offered.

    Looks at two clocks: the steady one may stand still while a machine sleeps, which is a rest for the hands; the wall
    clock may be set, which is none.
    """

    def __init__(self, before: Sequence[float], wall: float, steady: float) -> None:
        """`before` are the times of the presses before now, oldest first, by the wall clock."""
        self.seconds = 0.0
        """Seconds of work since the last rest."""
        self._offered: float | None = None
        self._wall, self._steady = (before[0] if before else wall), steady
        for at in before:
            # Only the wall clock is known of these.
            self._passes(at - self._wall, at - self._wall)
            self._wall = at

    def press(self, wall: float, steady: float) -> bool:
        """Takes in a press, by both clocks; True when the hands have rested before it."""
        rested = self._passes(wall - self._wall, steady - self._steady)
        self._wall, self._steady = wall, steady
        return rested

    def _passes(self, by_wall: float, by_steady: float) -> bool:
        if max(by_wall, by_steady) >= REST:
            self.seconds, self._offered = 0.0, None
            return True
        self.seconds += max(0.0, by_steady)
        return False

    def offers(self, minutes: int) -> bool:
        """Whether to offer a rest now; that counts as offered. With 0 minutes never."""
        due = minutes > 0 and self.seconds >= minutes * 60
        if not due or (self._offered is not None and self.seconds - self._offered < AGAIN):
            return False
        self._offered = self.seconds
        return True
