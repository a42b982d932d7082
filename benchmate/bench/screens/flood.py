"""The question after more key events than hands can make."""

from textual import events

from benchmate.bench.screens.question import Question
from benchmate.bench.terminal.guard import Guard


class FloodQuestion(Question):
    """Stops the bench until the keys have been quiet for a moment and a person says to go on."""

    def __init__(self, guard: Guard) -> None:
        """`guard` has judged the flood and goes on hearing every key event."""
        super().__init__(
            "STOPPED",
            [
                "Many presses came faster than hands can make them. Is a pedal stuck, or something lying on the keys?",
                "None counts from here on. Free the key, wait a moment, answer, and check the knot that is shown then.",
            ],
            [("y", "yes, it is free now: go on"), ("q", "leave the bench")],
        )
        self._guard = guard
        self._quiet_before_last = False

    def heard(self, at: float) -> None:
        """A key event came at the time `at`; this is told before the guard is."""
        self._quiet_before_last = self._guard.quiet_before(at)

    def meant(self, event: events.Key) -> bool:
        """Only a key pressed after a moment of quiet answers."""
        return self._quiet_before_last
