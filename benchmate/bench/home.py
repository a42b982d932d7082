"""The first screen: the pieces under way and the designs that ship, one keypress from the bench."""

from typing import NamedTuple

from textual import events

from benchmate.bench.board import LinesScreen
from benchmate.bench.cells import Line, cut
from benchmate.bench.page import Item, page
from benchmate.craft.ways import Way
from benchmate.files.designs import load, shipped
from benchmate.files.tree import BadFile
from benchmate.opening import Kept
from benchmate.store.database import StoreError
from benchmate.store.pieces import Piece

LETTERS = "abcdefghijklmnoprstuvwxyz"
"""Signs before the lines; q is for leaving."""
BURST = 0.1
"""Seconds within which keys are no choice of a person's, but something lying on the keyboard or typed elsewhere."""


class Choice(NamedTuple):
    """Something to go on with or to begin: a piece, or a design's file."""

    text: str
    piece: Piece | None
    file: str


class HomeScreen(LinesScreen):
    """Lists what there is; a letter, or enter on the chosen line, opens it."""

    def __init__(self, kept: Kept) -> None:
        super().__init__()
        self._kept = kept
        self._chosen = 0
        self._first = 0
        self._shown = 1
        self._notice = ""
        self._last_key = float("-inf")
        self.reload()

    def reload(self) -> None:
        """Reads the list anew."""
        self._notice = ""
        under_way: list[Piece] = []
        try:
            under_way = [piece for piece in self._kept.pieces.all() if not piece.finished]
        except StoreError as error:
            self._notice = str(error)
        self._choices = [
            Choice(f"go on: {piece.title}  {_where(piece)}, last on {piece.touched[:10]}", piece, piece.file)
            for piece in under_way
        ]
        for file in shipped():
            try:
                self._choices.append(Choice(f"begin: {load(file).design.title}", None, file))
            except BadFile as bad:
                self._notice = str(bad).splitlines()[0]
        self._chosen = 0

    def say(self, notice: str) -> None:
        """Shows a notice under the list."""
        self._notice = notice
        self.show()

    def lines(self, width: int, height: int) -> list[Line]:
        """The part of the list there is room for, around the chosen line."""
        heading = "BENCHMATE"
        room = max(1, height - (height // 3 if height >= 20 else 1) - 4)
        self._shown = min(room, len(LETTERS))
        self._first = min(self._first, self._chosen)
        self._first = max(self._first, self._chosen - self._shown + 1)
        visible = self._choices[self._first : self._first + self._shown]
        items = [
            Item(cut(choice.text, width - 8), LETTERS[at], chosen=self._first + at == self._chosen)
            for at, choice in enumerate(visible)
        ]
        texts = [self._notice] if self._notice else []
        foot = "a letter opens its line   up/down, enter   q: leave"
        return page(heading, texts, items, foot, width, height, self.palette)

    def on_key(self, event: events.Key) -> None:
        """A letter opens, arrows choose, enter opens the chosen line. Of keys in a burst only the first opens."""
        event.stop()
        key = event.key
        burst = event.time - self._last_key < BURST
        self._last_key = event.time
        if key in ("q", "escape"):
            self.app.exit(0)
        elif key in ("up", "down", "pageup", "pagedown") and self._choices:
            step = self._shown if key.startswith("page") else 1
            by = step if key in ("down", "pagedown") else -step
            self._chosen = min(max(0, self._chosen + by), len(self._choices) - 1)
            self.show()
        elif burst:
            return
        elif key in ("enter", "space") and self._choices:
            self._open(self._chosen)
        elif key in LETTERS and len(key) == 1:
            at = self._first + LETTERS.index(key)
            if LETTERS.index(key) < self._shown and at < len(self._choices):
                self._open(at)

    def _open(self, at: int) -> None:
        choice = self._choices[at]
        self.bench.open_choice(choice.piece, choice.file)


def _where(piece: Piece) -> str:
    done = f"{piece.done}/{piece.size}"
    return done if piece.way == Way() else f"{done} {piece.way.words}"
