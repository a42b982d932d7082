"""The quiet lines of plain mode, each printed once, before the line of its step."""

import time
from typing import Protocol

from benchmate.craft.wording.prompts import NOTHING_BESIDE, Beside
from benchmate.piece_opening import OpenedPiece
from benchmate.piece_questions.trouble.beside_the_step import NOTHING, QuietLines
from benchmate.plain.answers import Answers
from benchmate.settings import Settings
from benchmate.store.open_piece import OpenPiece

SHORT = "short"
"""What to type about a string that runs short."""


class Noticing(Protocol):
    """A session as its quiet lines use it."""

    opened: OpenedPiece
    answers: Answers
    settings: Settings

    @property
    def held(self) -> OpenPiece:
        """The piece."""

    def steps_of_press(self) -> list[int]:
        """The steps that an empty line ties."""

    def notice(self, text: str) -> None:
        """Prints what the person should know."""


class PlainQuietLines:
    """What is said beside the steps of the piece that a session has open."""

    def __init__(self) -> None:
        self._of: tuple[OpenPiece, QuietLines] | None = None
        self._last = ""
        self.paced = False
        """Whether pace mode counts the knots: then nothing is said of small trouble."""

    def opened(self, session: Noticing) -> Beside:
        """Takes in that the piece was opened; prints what there is to say, and returns it for the voice."""
        self._of = None
        return self._print(session, calm=False)

    def _lines(self, session: Noticing) -> QuietLines:
        """Those of the piece that is open now."""
        if self._of is None or self._of[0] is not session.held:
            self._of, self._last = (session.held, QuietLines(session.opened.kept.pieces)), ""
        return self._of[1]

    def pressed(self, session: Noticing) -> Beside:
        """Takes in a change of the piece; prints what there is to say, and returns it for the voice."""
        self._lines(session).press(session.held, time.monotonic())
        return self._print(session, calm=session.answers.is_person and not self.paced)

    def takes_time(self, session: Noticing) -> bool:
        """Whether a string is to be laid in before the step to do now, for which a timer has no time."""
        if self._of is None:
            return False
        stays = self._lines(session).at_this_step(session.held, session.steps_of_press())
        return stays is not None and bool(stays.first)

    def _print(self, session: Noticing, *, calm: bool) -> Beside:
        held, lines = session.held, self._lines(session)
        stays = lines.at_this_step(held, session.steps_of_press())
        found = stays or lines.in_passing(held, session.settings, SHORT, calm=calm) or NOTHING
        before, self._last = self._last, found.text
        if not found.text or found.text == before:
            return NOTHING_BESIDE
        session.notice(found.text)
        return found.beside
