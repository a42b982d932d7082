"""The first screen: pieces, lessons and designs to choose from, and all about the one under the cursor."""

from collections.abc import Callable
from typing import TypeVar

from benchmate.actions import shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.first_screen.list_lines import Row, first_visible, list_lines, rows_of
from benchmate.bench.screens.first_screen.piece_menu import PieceMenu
from benchmate.bench.screens.first_screen.preview_lines import about, preview_lines
from benchmate.bench.screens.first_screen.previews import Previews
from benchmate.bench.screens.help import HelpScreen
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE, LinesScreen
from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.question import CONTINUE, LEAVE, NEW, Answer, Callback, Question, act
from benchmate.bench.screens.thread.thread_menu import ThreadMenu
from benchmate.bench.terminal.judged_key import Key
from benchmate.choosing.managing import Done, Managing
from benchmate.choosing.shelves import Entry, Group, Shelf, Stock, found
from benchmate.choosing.shipped_designs import shipped_designs
from benchmate.display.cells import Line, Span, beside, cells_of, clipped, cut, line, text_line
from benchmate.piece_opening import Kept
from benchmate.store.errors import StoreError
from benchmate.store.reading import Piece

T = TypeVar("T")

PREVIEW = (72, 16)
"""From this size on, the preview stands beside the list."""
WIDEST_LIST = 64
QUIET = 0.08
"""Seconds without a move of the cursor before a preview is made."""
MOST_DRAWN = 100
"""How many previews are kept in lines."""
MOVES = frozenset(("up", "down", "pageup", "pagedown", "home", "end", "left", "right"))
"""The keys that move the cursor."""


class HomeScreen(LinesScreen[None]):
    """Lists what to continue and what to begin; shows the line under the cursor, and opens it."""

    repeats = ARROWS_AND_BACKSPACE
    types = True

    def __init__(self, bench: Bench, kept: Kept) -> None:
        super().__init__(bench)
        self._kept = kept
        self._managing = Managing(kept, "press tab, then u")
        self._shelf = Shelf.MAIN
        self._by_difficulty = False
        self._typed = ""
        self._chosen = self._first = self._newest = 0
        self._entries: list[Entry] = []
        self._height = 1
        self._previews = Previews(kept.pieces, lambda: bench.settings, self._preview_taken)
        self._drawn: dict[object, list[Line]] = {}
        self._wanted = 0
        self._is_open = False
        shipped = shipped_designs()
        self._designs, self._lessons, self._faulty = shipped.designs, shipped.lessons, shipped.faulty
        self.reload()

    # What stands there

    def reload(self) -> None:
        """Reads the pieces again, and goes to the first line; back to the line left where no piece was begun."""
        before, newest = self._entry, self._newest
        self._typed = ""
        self._chosen = self._first = 0
        self._read()
        if self._shelf is Shelf.LESSONS:
            self._chosen = self._stock.next_lesson()
        elif before is not None and before.piece is None and self._newest == newest:
            self._chosen = self._place_of(before)
        self._want_preview()

    def _read(self) -> None:
        self._notice = self._faulty
        pieces: list[Piece] = []
        try:
            pieces, damage = self._kept.pieces.readable()
            self._notice = self._notice if damage is None else str(damage)
        except StoreError as error:
            self._notice = str(error)
        self._stock = Stock(pieces, self._lessons, self._designs)
        self._newest = max((piece.piece for piece in pieces), default=0)
        self._previews.forget(pieces)
        self._drawn.clear()
        self._list()

    def _list(self) -> None:
        if not self._typed:
            groups = self._stock.groups(self._shelf, by_difficulty=self._by_difficulty)
        elif self._shelf is Shelf.MAIN:
            groups = found(self._stock.everything(by_difficulty=self._by_difficulty), self._typed)
        else:
            groups = found(self._stock.groups(self._shelf, by_difficulty=False), self._typed)
        self._groups: list[Group] = groups
        self._entries = [entry for group in groups for entry in group.entries]
        self._rows: list[Row] = rows_of(groups)
        self._chosen = min(self._chosen, max(0, len(self._entries) - 1))
        self._want_preview()

    @property
    def _entry(self) -> Entry | None:
        return self._entries[self._chosen] if self._entries else None

    def say(self, notice: str) -> None:
        """Shows a notice above the list."""
        self._notice = notice
        self.show()

    def on_mount(self) -> None:
        """Has the first preview made once the list is there."""
        self._is_open = True
        self._want_preview()

    def _want_preview(self) -> None:
        """Has the preview of the chosen line made, once the cursor rests there."""
        if self._is_open and self._entry is not None and self._previews.of(self._entry) is None:
            self._wanted += 1
            wanted = self._wanted
            self.set_timer(QUIET, lambda: self._make_preview(wanted))

    def _make_preview(self, wanted: int) -> None:
        entry = self._entry
        if wanted == self._wanted and entry is not None and self._previews.of(entry) is None:
            try:
                self._previews.make(entry, self.depth)
            except StoreError as error:
                self.say(str(error))

    def _preview_taken(self, fault: str) -> None:
        if fault:
            self._notice = fault
        self.show()

    # On the screen

    def lines(self, width: int, height: int) -> list[Line]:
        """The list with its heading and its keys, and the preview beside it, or a few words below it."""
        palette = self.palette
        head = self._head(width)
        notices = clipped(self._notice, width - 2, max(1, height // 3)) if self._notice else []
        head += [text_line(text, width, palette.alarm_ink, palette.alarm) for text in notices]
        foot = foot_lines(self._foot(), width, 1 if height < 16 else 2)
        feet = [text_line(text, width, palette.quiet, palette.panel) for text in foot]
        room = max(0, height - len(head) - len(feet))
        entry = self._entry
        if width >= PREVIEW[0] and height >= PREVIEW[1]:
            wide = min(WIDEST_LIST, width // 2)
            seen = [] if entry is None else self._preview_lines(entry, width - wide, room)
            seen = seen or [line([], width - wide, palette.panel)] * room
            body = beside([self._list_lines(wide, room), seen])
        else:
            count = 0 if entry is None or room < 5 else min(3, room // 4)
            words = [] if entry is None else about(entry, self._previews.of(entry), width, count, palette)
            body = [*self._list_lines(width, room - len(words)), *words]
        return [*head, *body, *feet][:height]

    def _head(self, width: int) -> list[Line]:
        palette = self.palette
        left = self._shelf.value + (f"   title: {self._typed}_" if self._typed else "")
        right = f"{self._chosen + 1} of {len(self._entries)}" if self._entries else "none"
        left = cut(left, width - cells_of(right) - 4)
        gap = max(2, width - cells_of(left) - cells_of(right) - 2)
        return [line([Span(f" {left}{' ' * gap}{right} ", palette.ink, palette.head, True)], width, palette.head)]

    def _list_lines(self, width: int, height: int) -> list[Line]:
        self._height = max(2, height)
        if not self._entries:
            text = "No title has that in it." if self._typed else "Nothing here."
            lines = [text_line(text, width, self.palette.ink, self.palette.ground)]
            return (lines + [line([], width, self.palette.ground)] * height)[:height]
        self._first = first_visible(self._rows, self._chosen, self._first, self._height)
        return list_lines(self._rows, self._chosen, self._first, width, height, self.palette)

    def _preview_lines(self, entry: Entry, width: int, height: int) -> list[Line]:
        preview = self._previews.of(entry)
        if preview is None:
            return preview_lines(entry, None, width, height, self.palette, self.depth)
        key = entry.key, width, height, self.palette
        if len(self._drawn) > MOST_DRAWN:
            self._drawn.clear()
        if key not in self._drawn:
            self._drawn[key] = preview_lines(entry, preview, width, height, self.palette, self.depth)
        return self._drawn[key]

    def _foot(self) -> list[str]:
        """The keys, the most needed first."""
        entry = self._entry
        parts = [] if entry is None else [f"enter: {entry.verb}"]
        if self._typed:
            return [*parts, "escape: show all", "backspace", "tab: more", "?: help"]
        keys = self.bench.settings.keys["leave"]
        away = f"{shown_key(keys[0]) if keys else 'escape'}: {'leave' if self._shelf is Shelf.MAIN else 'back'}"
        return [*parts, away, "tab: more", "?: help", "type to find a title", "left/right: next shelf", "page up/down"]

    # Keys

    def on_key(self, event: Key) -> None:
        """Cursor keys move, enter and space open, letters find a title. Of keys in a burst only the first opens.

        Once something is typed, a space is part of a title.
        """
        event.stop()
        key, press = event.key, event.press
        if self.app.screen is not self:
            # An earlier key has opened something over the list.
            return
        act_once = self._action_of(event)
        if key in MOVES:
            self._move(key)
        elif key == "backspace":
            self._type(self._typed[:-1])
        elif act_once is not None:
            if not press.burst:
                act_once()
        elif event.is_printable and "+" not in key:
            self._type(self._typed + (event.character or ""))

    def _action_of(self, event: Key) -> Callback | None:
        """What a key does that acts once, however long it is held; None for any other key."""
        keys, named = self.bench.settings.keys, event.press.key
        if not self._typed:
            # Once something is typed, a letter of a pedal or of another key is a letter of a title.
            if named in keys["done"]:
                return self._open
            if named in keys["leave"]:
                return self._leave
        if self._typed and event.key == "space":
            return None
        actions: dict[str, Callback] = {
            "enter": self._open,
            "space": self._open,
            "escape": self._escape,
            "question_mark": self._help,
            "tab": self._ask_what_to_do,
            "delete": lambda: self._menu().ask_to_delete(),
        }
        return actions.get(event.key)

    def _help(self) -> None:
        self.app.push_screen(HelpScreen(self.bench))

    def _move(self, key: str) -> None:
        """Moves the cursor. At a new group, its heading comes to the top."""
        last = max(0, len(self._entries) - 1)
        page = max(1, self._height - 2)
        to = {
            "up": self._chosen - 1,
            "down": self._chosen + 1,
            "pageup": self._chosen - page,
            "pagedown": self._chosen + page,
            "home": 0,
            "end": last,
            "left": self._next_group(-1),
            "right": self._next_group(1),
        }[key]
        to = min(max(0, to), last)
        if key in ("left", "right"):
            self._first = next((at for at, row in enumerate(self._rows) if row.number == to), 1) - 1
        self._choose(to)

    def _next_group(self, by: int) -> int:
        """The first line of the next group, or of this one and then of the one before."""
        starts = [0]
        for group in self._groups:
            starts.append(starts[-1] + len(group.entries))
        if by > 0:
            return next((start for start in starts[:-1] if start > self._chosen), self._chosen)
        return next((start for start in reversed(starts) if start < self._chosen), 0)

    def _choose(self, number: int) -> None:
        self._chosen = number
        self._want_preview()
        self.show()

    def _type(self, text: str) -> None:
        self._typed = text.lstrip()
        self._chosen = self._first = 0
        self._list()
        self.show()

    def _escape(self) -> None:
        if self._typed:
            self._type("")
        elif self._shelf is not Shelf.MAIN:
            self._go_to(Shelf.MAIN)
        else:
            answers: list[Answer[Callback]] = [
                Answer(LEAVE, "leave", lambda: self.app.exit(0)),
                Answer(CONTINUE, "continue here", lambda: None),
            ]
            texts = ["Everything is saved."]
            self.app.push_screen(Question(self.bench, "LEAVE?", texts, answers, escape=CONTINUE), act)

    def _leave(self) -> None:
        if self._shelf is Shelf.MAIN:
            self.app.exit(0)
        else:
            self._go_to(Shelf.MAIN)

    def _go_to(self, shelf: Shelf) -> None:
        before, self._shelf = self._shelf, shelf
        self.reload()
        at = next((number for number, entry in enumerate(self._entries) if entry.opens is before), 0)
        if shelf is Shelf.MAIN:
            self._chosen = at
        self._want_preview()
        self.show()

    def _open(self) -> None:
        entry = self._entry
        if entry is None:
            return
        if entry.opens is not None:
            self._go_to(entry.opens)
        elif entry.piece is not None and entry.piece.arrangement.deleted:
            self._menu().ask_to_take_back()
        else:
            self.bench.open_choice(entry.piece, entry.file, self._newest)

    # What can be done with a piece

    def _menu(self) -> PieceMenu:
        titles = {piece.title for piece in self._stock.pieces}
        return PieceMenu(self.app, self.bench, self._managing, self._entry, titles, self._did)

    def _ask_what_to_do(self) -> None:
        entry = self._entry
        more: list[Answer[Callback]] = []
        if entry is not None and entry.piece is not None and entry.loaded is not None:
            says = "begin another piece of this design"
            more.append(Answer(NEW, says, lambda: self.bench.open_choice(None, entry.file, self._newest)))
        order = "list the designs by family" if self._by_difficulty else "list the designs by how hard they are"
        more.append(Answer("o", order, self._change_order))
        more.append(Answer("h", "thread: gauges, a swatch, your box", self._open_thread))
        self._menu().ask(more)

    def _open_thread(self) -> None:
        ThreadMenu(self.bench, self._ask, self._kept.pieces.database, self.show).open()

    def _ask(self, screen: LinesScreen[T], answered: Callable[[T | None], None]) -> None:
        self.app.push_screen(screen, answered)

    def _change_order(self) -> None:
        entry = self._entry
        self._by_difficulty = not self._by_difficulty
        self._list()
        self._choose(self._place_of(entry))

    def _did(self, done: Done) -> None:
        """Shows what was done, with the cursor on the piece if it is here still."""
        before = self._entry
        self._read()
        if not self._entries and self._shelf is not Shelf.MAIN:
            self._go_to(Shelf.MAIN)
        else:
            number = done.piece
            at = (at for at, entry in enumerate(self._entries) if entry.piece and entry.piece.piece == number)
            self._choose(next(at, self._place_of(before)))
        self.say(done.says)

    def _place_of(self, wanted: Entry | None) -> int:
        """Where this line is now; where it was, when it is gone."""
        at = (at for at, entry in enumerate(self._entries) if wanted is not None and entry.key == wanted.key)
        return next(at, min(self._chosen, max(0, len(self._entries) - 1)))
