"""The quiet line of the step screen: which one stands there, and until when."""

import time
from typing import Protocol

from textual.geometry import Size

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.step.spoken_step import SpokenStep
from benchmate.bench.zones.room import LOW
from benchmate.craft.wording.prompts import Beside, Happened
from benchmate.piece_questions.trouble.beside_the_step import NOTHING, Quiet, QuietLines
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Pieces

SHORT = "l"
"""What to press after the key for a wrong knot, about a string that runs short."""


class Quieted(Protocol):
    """The step screen as its quiet line uses it."""

    notice: str

    @property
    def bench(self) -> Bench:
        """The app."""

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    @property
    def size(self) -> Size:
        """Its columns and lines."""

    @property
    def in_front(self) -> bool:
        """True while no other screen covers it."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def show(self) -> None:
        """Shows the screen as it is now."""


class QuietLine:
    """One line beside the step. What is said in passing is gone with the next press."""

    def __init__(self, step: Quieted, spoken: SpokenStep, pieces: Pieces) -> None:
        """`pieces` are all that are kept."""
        self._step = step
        self._spoken_step = spoken
        self._lines = QuietLines(pieces)
        self._passing: Quiet | None = None
        self._spoken = ""
        self._looked = False
        """Whether it was looked up what there is to say. Until then nothing is, so that a piece opens quickly."""

    def first_shown(self, *, say: bool) -> None:
        """Takes in that the opened piece stands on the screen, and says the step with what belongs to it.

        A press that was quicker has said more.
        """
        if self._looked:
            return
        self._looked = True
        if say:
            self._spoken_step.say_step(Happened.RESUMED, beside=self._look(calm=False))
        if self._step.in_front:
            self._step.show()

    def pressed(self, *, paced: bool) -> Beside:
        """Takes in a press that changed the piece, with no small trouble while `paced`; what to say beside the step."""
        self._lines.press(self._step.held, time.monotonic())
        return self._look(calm=not paced and not self._step.notice and self._step.size.height >= LOW)

    def _look(self, *, calm: bool) -> Beside:
        step = self._step
        self._looked = True
        stays = self._stays()
        keys = f"{step.key('wrong')}, {SHORT}"
        self._passing = None if stays else self._lines.in_passing(step.held, step.bench.settings, keys, calm=calm)
        found, before = self.shown(), self._spoken
        # What stays for a few steps is said with the first of them.
        self._spoken = found.spoken
        return found.beside._replace(first="") if found.spoken == before else found.beside

    def _stays(self) -> Quiet | None:
        return self._lines.at_this_step(self._step.held, self._spoken_step.steps_of_press())

    def shown(self) -> Quiet:
        """The line as it is now; it may have changed since the last press, because a string was measured."""
        return (self._stays() or self._passing or NOTHING) if self._looked else NOTHING
