"""The question after more key events than hands can make."""

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.question import Answer, Question
from benchmate.bench.terminal.guard import Press


class FloodQuestion(Question[bool]):
    """Stops the bench until the keys have been quiet for a moment and a person says to go on: True, or leaves."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(
            bench,
            "STOPPED",
            [
                "Many presses came faster than hands can make them. Is a pedal stuck, or something lying on the keys?",
                "None counts from here on. Free the key, wait a moment, answer, and check the knot that is shown then.",
            ],
            [Answer("y", "yes, it is free now: go on", True), Answer("q", "leave the bench", False)],
        )

    def meant(self, press: Press) -> bool:
        """Only a key pressed after a moment of quiet answers."""
        return press.calm
