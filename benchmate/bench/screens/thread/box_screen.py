"""The box at the bench: lists the maker's threads; adds, corrects and takes out; undoes."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.first_screen.name_screen import NameScreen
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.screens.thread.box_form_screen import BoxFormScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.colours.terminal_colours import nearest
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.piece_questions.thread import box_form
from benchmate.piece_questions.thread.box_actions import BoxActions
from benchmate.piece_questions.thread.dialogue import Say
from benchmate.store.thread.box import Box

HOW_TO_BEGIN = "Press a to add a skein or an offcut. Cut lists then say what to cut from."


class BoxScreen(PageScreen[None]):
    """Lists the threads in the box. Every change is saved before it is shown, and can be undone."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "walk(-1)", "up"),
        Binding("down", "walk(1)", "down"),
        Binding("pageup", "walk(-8)", "up"),
        Binding("pagedown", "walk(8)", "down"),
    ]

    def __init__(self, bench: Bench, box: Box, kinds: Sequence[str]) -> None:
        """`kinds` are the names of all gauges. Raises StoreError when the box cannot be read."""
        super().__init__(bench)
        self._box = BoxActions(box, "u")
        self._kinds = kinds
        self._at = 0
        self._says = ""
        self._does: dict[str, Callable[[], None]] = {
            "a": self._add,
            "enter": self._correct,
            "c": self._correct,
            "t": self._take_out,
            "delete": self._take_out,
            "u": lambda: self._did(self._box.undo()),
            "i": self._import,
            "x": lambda: self._did(self._box.write()),
        }

    def page(self) -> Page:
        """A line for each thread."""
        units, depth = self.bench.settings.units, self.depth
        items = [
            Item(box_form.thread_line(thread, units), chosen=at == self._at, swatch=nearest(thread.colour, depth))
            for at, thread in enumerate(self._threads)
        ]
        texts = [self._says] if self._says else []
        texts.append(box_form.box_summary(self._threads) + ("" if self._threads else f" {HOW_TO_BEGIN}"))
        keys = "enter: correct   t: take out   " if self._threads else ""
        return Page("BOX", texts, items, f"a: add   {keys}u: undo   x: write a CSV file   i: read one   escape: back")

    def heard_first(self) -> Sequence[str]:
        """The heading, what is heard later too, and the keys."""
        *_, foot = self.page()
        begin = [] if self._threads else [HOW_TO_BEGIN]
        return ["Box", *self.heard(), *begin, foot.replace("   ", ", ")]

    def heard(self) -> Sequence[str]:
        """The chosen thread, then the texts."""
        units = self.bench.settings.units
        chosen = [box_form.spoken_thread_line(thread, units) for thread in self._threads[self._at : self._at + 1]]
        return [*([self._says] if self._says else []), *chosen, box_form.box_summary(self._threads)]

    def action_walk(self, by: int) -> None:
        """Moves up or down the list."""
        self._at = min(max(0, self._at + by), max(0, len(self._threads) - 1))
        self._says = ""
        self.show()

    def on_key(self, event: Key) -> None:
        """Does what a key is for."""
        if event.key in ("escape", "q"):
            event.stop()
            self.dismiss(None)
        elif event.key in self._does:
            event.stop()
            self._does[event.key]()

    @property
    def _threads(self) -> Sequence[BoxThread]:
        return self._box.threads

    @property
    def _chosen(self) -> BoxThread | None:
        return self._threads[self._at] if self._threads else None

    def _add(self) -> None:
        self._says = ""

        def added(threads: Sequence[BoxThread] | None) -> None:
            if threads:
                done = self._box.add(threads)
                self._at = len(self._threads)
                self._did(done)

        self.app.push_screen(BoxFormScreen(self.bench, self._kinds, None), added)

    def _correct(self) -> None:
        thread = self._chosen
        if thread is None:
            self._add()
            return
        self._says = ""

        def corrected(threads: Sequence[BoxThread] | None) -> None:
            if threads:
                self._did(self._box.correct(threads[0]))

        self.app.push_screen(BoxFormScreen(self.bench, self._kinds, thread), corrected)

    def _take_out(self) -> None:
        if self._chosen is not None:
            self._did(self._box.take_out(self._chosen))

    def _import(self) -> None:
        def named(path: str | None) -> None:
            if path:
                self._did(self._box.read_from(path))

        self.app.push_screen(NameScreen(self.bench, "CSV FILE", "", "Type the path of a CSV file."), named)

    def _did(self, done: Say) -> None:
        """Says what was done, or why it was not."""
        self._says = done.text
        self._at = min(self._at, max(0, len(self._threads) - 1))
        self.show()
