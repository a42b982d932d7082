"""Asks which strand lies in each slot of a disk."""

from collections.abc import Sequence

from benchmate.bench.screens.trouble.hanging_screen import HangingScreen, letters_heard


class SlotsScreen(HangingScreen):
    """Shows the slots in turn, the empty ones too."""

    question = "What lies in each slot?"
    do, does = "lie", "lies"

    def heard_first(self) -> Sequence[str]:
        """The question, the filled slots as believed, and the keys."""
        filled = [f"{at} {self._label(name)}" for at, name in enumerate(self.hanging.believed, 1) if name]
        return [
            self.question,
            f"As charted: {', '.join(filled)}",
            f"Type a letter for each slot: {letters_heard(self._colours)}",
            "Left or right: move, a number: to that slot, enter: so they lie, escape: back",
        ]

    def heard(self) -> Sequence[str]:
        """The slot at the cursor, and what lies in it."""
        hanging = self.hanging
        if hanging.at == len(hanging.colours):
            return ["That was the last slot. Enter: so they lie"]
        return [f"slot {hanging.at + 1}, {self._label(hanging.colours[hanging.at])}"]

    def _label(self, name: str) -> str:
        return next(colour.label for colour in self._colours if colour.name == name)
