"""Watches for other windows that hold the piece on this screen, or take it over."""

from typing import Protocol

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.piece_exchange import LOST
from benchmate.store.errors import StoreError
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
        """True while this screen is the one shown."""

    def key(self, action: str) -> str:
        """The first of an action's keys, as a person calls it."""

    def say(self, notice: str) -> None:
        """Shows a notice."""

    def show(self) -> None:
        """Shows the screen as it is now."""

    def cannot_save(self, error: StoreError) -> None:
        """Stops counting: the piece can no longer be saved where it was."""

    def start_working(self) -> None:
        """This window took the piece over."""

    def stop_working(self) -> None:
        """Another window took the piece over."""


class OtherWindows:
    """Handles what other windows do with the piece."""

    def __init__(self, step: Shared) -> None:
        self._step = step
        self.told = False
        """True once the person knows that the piece can no longer be saved where it was."""

    @property
    def elsewhere(self) -> str:
        """The notice of a read-only window, with the key to take over."""
        return f"Read-only: open in another window; press {self._step.key('take')} to take over."

    def lost(self, taken: TakenOver) -> None:
        """Handles that another window took the piece over."""
        try:
            if self._step.held.piece is None:
                self._step.bench.open_started_elsewhere(taken.piece)
            else:
                self._become_read_only()
        except StoreError as error:
            self._step.notice = str(error)

    def _become_read_only(self) -> None:
        step = self._step
        step.stop_working()
        step.held.holding = False
        step.held.refresh()
        step.notice = self.elsewhere

    def take_over(self) -> None:
        """Takes over the piece from the window that holds it."""
        step = self._step
        if step.held.holding:
            return
        try:
            step.held.hold(force=True)
            step.notice = "Taken over from the other window."
            step.start_working()
        except StoreError as error:
            step.notice = str(error)
        step.show()

    def check(self) -> None:
        """Checks what other windows have done since the last check."""
        step, held = self._step, self._step.held
        if held.piece is None or not step.is_current:
            return
        try:
            if held.holding and not held.still_holds():
                self._become_read_only()
                step.show()
            elif not held.holding and held.refresh():
                step.show()
        except LOST as error:
            if held.holding and not self.told:
                step.cannot_save(error)
            elif held.holding:
                # Whoever keeps it on the screen is asked again at the next press.
                return
            else:
                step.say(str(error))
        except StoreError as error:
            step.say(str(error))
