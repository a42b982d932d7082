"""The first screen: the pieces under way, the lessons and the designs that ship."""

import os
from typing import NamedTuple

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.help import HelpScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.design import Design
from benchmate.craft.ways import Way
from benchmate.design_files.load import load
from benchmate.design_files.shelf import easy_to_hard, shipped
from benchmate.display.cells import Line, cut, fits
from benchmate.families.steps.family import STEPS
from benchmate.files.tree import BadFile
from benchmate.piece_opening import Kept
from benchmate.store import places
from benchmate.store.errors import StoreError
from benchmate.store.reading import Piece

LETTERS = "abcdefghijklmnoprstuvwxyz"
"""The keys of the lines; q leaves."""
CONTINUE = "continue: "
LESSON_PREFIX = "lesson-"
"""The file of a lesson is named by this and its number."""


class Choice(NamedTuple):
    """A line of the list: a piece to continue, or a design file to start. With neither, it opens the lessons."""

    text: str
    piece: Piece | None
    file: str


class HomeScreen(LinesScreen[None]):
    """Lists pieces and designs, or the lessons; a letter, or enter on the chosen line, opens one."""

    def __init__(self, bench: Bench, kept: Kept) -> None:
        super().__init__(bench)
        self._kept = kept
        self._chosen = 0
        self._first = 0
        self._shown = 1
        self._notice = ""
        self._in_lessons = False
        self.reload()

    def reload(self) -> None:
        """Reads the list again."""
        self._notice = ""
        pieces: list[Piece] = []
        try:
            pieces, damage = self._kept.pieces.readable()
            self._notice = "" if damage is None else str(damage)
        except StoreError as error:
            self._notice = str(error)
        self._newest = max((piece.piece for piece in pieces), default=0)
        files = shipped()
        lessons = [file for file in files if os.path.basename(file).startswith(LESSON_PREFIX)]
        done = {piece.file for piece in pieces if piece.finished}
        following = next((at for at, file in enumerate(lessons) if places.resolved(file) not in done), 0)
        self._first = self._chosen = 0
        if self._in_lessons:
            self._choices = self._lessons(lessons, pieces)
            self._chosen = min(following, max(0, len(self._choices) - 1))
            return
        self._choices = [_continued(piece) for piece in pieces if not piece.finished]
        if lessons:
            count = sum(places.resolved(file) in done for file in lessons)
            self._choices.append(Choice(_lessons_line(count, len(lessons)), None, ""))
        self._choices += self._easy_to_hard([file for file in files if file not in lessons])

    def _lessons(self, files: list[str], pieces: list[Piece]) -> list[Choice]:
        """The lessons in order: a finished one says so, one under way is continued."""
        choices = []
        for choice in self._titled(files):
            # The piece touched last comes first.
            piece = next((piece for piece in pieces if piece.file == places.resolved(choice.file)), None)
            if piece is None:
                choices.append(choice)
            elif piece.finished:
                choices.append(choice._replace(text=f"{choice.text}  done"))
            else:
                choices.append(Choice(f"{choice.text}  {_where(piece)}", piece, piece.file))
        return choices

    def _easy_to_hard(self, files: list[str]) -> list[Choice]:
        """The designs to start: bands, pictures and braids from easy to hard, then written steps."""
        found = easy_to_hard(self._loaded(files))
        found.sort(key=lambda each: each.design.family is STEPS)
        return [
            Choice(f"start: {design.title}  {design.family.kind(design.body)}", None, file) for design, file, _ in found
        ]

    def _titled(self, files: list[str]) -> list[Choice]:
        return [Choice(design.title, None, file) for design, file in self._loaded(files)]

    def _loaded(self, files: list[str]) -> list[tuple[Design, str]]:
        found = []
        for file in files:
            try:
                found.append((load(file).design, file))
            except BadFile as bad:
                self._notice = str(bad).splitlines()[0]
        return found

    def say(self, notice: str) -> None:
        """Shows a notice under the list."""
        self._notice = notice
        self.show()

    def lines(self, width: int, height: int) -> list[Line]:
        """The part of the list that fits, around the chosen line."""
        heading = "LESSONS" if self._in_lessons else "BENCHMATE"
        room = max(1, height - (5 if height >= 20 else 1) - 4)
        self._shown = min(room, len(LETTERS))
        self._first = min(self._first, self._chosen)
        self._first = max(self._first, self._chosen - self._shown + 1)
        visible = self._choices[self._first : self._first + self._shown]
        items = [
            Item(_shortened(choice.text, width - 8), LETTERS[at], chosen=self._first + at == self._chosen)
            for at, choice in enumerate(visible)
        ]
        texts = [self._notice] if self._notice else []
        away = "q: back" if self._in_lessons else "q: leave"
        foot = f"a letter opens its line   up/down, enter   ?: help   {away}"
        if len(visible) < len(self._choices):
            count = f"{self._first + 1} to {self._first + len(visible)} of {len(self._choices)}"
            foot = f"{count}, page up/down   {foot}"
        return page(heading, texts, items, foot, width, height, self.palette)

    def on_key(self, event: Key) -> None:
        """A letter opens its line, arrows choose one, enter opens it. Of keys in a burst only the first counts."""
        event.stop()
        key, burst = event.key, event.press.burst
        if self.app.screen is not self:
            # An earlier key has opened something over the list.
            return
        if key in ("q", "escape"):
            if not burst:
                self._leave()
        elif key in ("up", "down", "pageup", "pagedown") and self._choices:
            step = self._shown if key.startswith("page") else 1
            by = step if key in ("down", "pagedown") else -step
            self._chosen = min(max(0, self._chosen + by), len(self._choices) - 1)
            self.show()
        elif burst:
            return
        elif key in ("enter", "space") and self._choices:
            self._open(self._chosen)
        elif key == "question_mark":
            self.app.push_screen(HelpScreen(self.bench))
        elif key in LETTERS and len(key) == 1:
            at = self._first + LETTERS.index(key)
            if LETTERS.index(key) < self._shown and at < len(self._choices):
                self._open(at)

    def _open(self, at: int) -> None:
        choice = self._choices[at]
        if not choice.file:
            self._show_list(lessons=True)
            return
        self.bench.open_choice(choice.piece, choice.file, self._newest)

    def _leave(self) -> None:
        if self._in_lessons:
            self._show_list(lessons=False)
        else:
            self.app.exit(0)

    def _show_list(self, *, lessons: bool) -> None:
        self._in_lessons = lessons
        self.reload()
        self.show()


def _shortened(text: str, width: int) -> str:
    """The text cut to the width; a piece first loses the word `continue`, as how far it is says as much."""
    return cut(text if fits(text, width) else text.removeprefix(CONTINUE), width)


def _continued(piece: Piece) -> Choice:
    return Choice(f"{CONTINUE}{piece.title}  {_where(piece)}, last {piece.touched[:10]}", piece, piece.file)


def _lessons_line(done: int, of: int) -> str:
    """The line that opens the lessons; until one is done it addresses beginners."""
    if not done:
        return f"Never made a knot? Start here: {of} lessons"
    return f"lessons: {done} of {of} done"


def _where(piece: Piece) -> str:
    done = f"{piece.done}/{piece.size}"
    return done if piece.way == Way() else f"{done} {piece.way.words}"
