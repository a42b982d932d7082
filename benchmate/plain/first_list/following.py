"""Opens pieces from the list of plain mode, and follows them until they are left."""

import os

from benchmate import piece_exchange, piece_opening
from benchmate.craft.wording import step_words
from benchmate.design_files.load import load
from benchmate.kept import Kept
from benchmate.piece_opening import NO_OPTIONS, OpenedPiece
from benchmate.plain import piece as plain_piece
from benchmate.plain.answers import Answers, NoAnswer, Unreadable
from benchmate.plain.lines import Lines
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver
from benchmate.store.reading import Piece


class Following:
    """The ways to a piece. Those that open one raise BadFile and StoreError."""

    def __init__(self, kept: Kept, answers: Answers, lines: Lines) -> None:
        self._kept = kept
        self._answers = answers
        self._lines = lines
        self._left: OpenPiece | None = None

    def opened(self, file: str) -> OpenedPiece:
        """The unfinished piece of a design file, or a new one."""
        # A name with a NUL is refused where its path is made, but looking for a home folder in it ends the program.
        path = file if "\0" in file else os.path.expanduser(file)
        return piece_opening.follow(self._kept, path, NO_OPTIONS, new=False)

    def begun(self, file: str, newest: int) -> OpenedPiece:
        """A new piece of a design; `newest` is the newest piece in the list."""
        return piece_opening.begin(self._kept, load(file), NO_OPTIONS, newest)

    def resumed(self, piece: Piece) -> OpenedPiece:
        """A piece from the list, only to look at."""
        return piece_opening.resume_listed(self._kept, piece)

    def continued(self, piece: Piece) -> OpenedPiece:
        """A piece from the list, to be worked on."""
        return piece_opening.open_listed(self._kept, piece)

    def next_step(self, piece: Piece) -> list[str]:
        """What is to do next in a piece, without holding it; nothing where that takes a plan, or all is done."""
        held = self.resumed(piece).held
        number, comes_out = (None, False) if held.needs_plan else held.current_step()
        return [] if number is None else [f"next: {step_words.prompt(held.as_known, number, comes_out=comes_out)}"]

    def follow(self, opened: OpenedPiece, *, take_over: bool) -> bool:
        """Follows a piece until it is left. False when it cannot be held, or the answers have ended.

        Raises StoreError when it can no longer be saved.
        """
        held = opened.held
        try:
            held.hold(force=take_over)
        except TakenOver:
            self._lines.notice(f"{held.title} is open in another window. To take it over, type take and its number.")
            return False
        except StoreError as error:
            self._lines.notice(str(error))
            return False
        self._lines.say(held.title)
        try:
            new = opened._replace(lays_out=not opened.resumed)
            _, self._left = plain_piece.lead_on(new, self._answers, self._lines, offers=True)
        finally:
            held.let_go()
        return not self._has_ended()

    def _has_ended(self) -> bool:
        """True when the last answer was that of the piece: nobody hears another list."""
        try:
            answer = self._answers.next(timeout=0)
        except NoAnswer:
            return False
        except Unreadable:
            return True
        if answer is not None:
            self._answers.put_back(answer)
        return answer is None

    def copy_after_work(self) -> str | None:
        """Makes a copy of the pieces; what to say where that failed. Raises StoreError when they are gone."""
        return piece_exchange.copy_after_work(self._kept, self._left)
