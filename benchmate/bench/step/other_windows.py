"""A piece that another window may hold, or take over, while it is on the screen here."""

from typing import Protocol

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.store.database import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver


class Shared(Protocol):
    """The screen with the piece."""

    notice: str

    @property
    def bench(self) -> Bench:
        """The app."""

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    @property
    def is_current(self) -> bool:
        """True while it is the screen that is seen."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def show(self) -> None:
        """Shows what there is to do now."""

    def take_up(self) -> None:
        """The piece is worked on here from now on."""

    def lay_down(self) -> None:
        """The piece is not worked on here any more."""


class OtherWindows:
    """Sees to what other windows do with the piece."""

    def __init__(self, step: Shared) -> None:
        self._step = step

    @property
    def elsewhere(self) -> str:
        """That the piece is worked on in another window, and what can be done about it."""
        return f"Open in another window: looking on. Press {self._step.key('take')} to take over here."

    def lost(self, taken: TakenOver) -> None:
        """Another window has gone on with the piece."""
        try:
            if self._step.held.piece is None:
                self._step.bench.second_window(taken.piece)
            else:
                self._look_on()
        except StoreError as error:
            self._step.notice = str(error)

    def _look_on(self) -> None:
        step = self._step
        step.lay_down()
        step.held.holding = False
        step.held.refresh()
        step.notice = self.elsewhere

    def take_over(self) -> None:
        """Takes the piece over from the window that holds it."""
        step = self._step
        if step.held.holding:
            return
        try:
            step.held.hold(force=True)
            step.notice = "Taken over: this window goes on."
            step.take_up()
        except StoreError as error:
            step.notice = str(error)
        step.show()

    def look(self) -> None:
        """Looks at what they have done since."""
        step, held = self._step, self._step.held
        if held.piece is None or not step.is_current:
            return
        try:
            if held.holding and not held.still_holds():
                self._look_on()
                step.show()
            elif not held.holding and held.refresh():
                step.show()
        except StoreError as error:
            step.notice = str(error)
            step.show()
