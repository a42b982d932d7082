"""The question asked after more key events than hands can make."""

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.question import CONTINUE, LEAVE, Answer, Question
from benchmate.bench.terminal.guard import Press


class FloodQuestion(Question[bool]):
    """Stops the bench until the keys are quiet and a person answers: True to continue, False to leave."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(
            bench,
            "STOPPED",
            [
                "Many presses came faster than hands can make them. Is a pedal stuck, or something lying on the keys?",
                "Presses no longer count. Free the key, wait a moment, answer, and check the knot shown then.",
            ],
            [Answer(CONTINUE, "the key is free, continue", True), Answer(LEAVE, "leave the bench", False)],
        )

    def meant(self, press: Press) -> bool:
        """Only a key pressed after a moment of quiet counts as an answer."""
        return press.calm
