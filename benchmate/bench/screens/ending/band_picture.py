"""Shows the finished band at full size, and saves a picture of it."""

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import foot_lines
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.craft.design import Design
from benchmate.craft.drawing import Layout
from benchmate.display.cells import Line, clipped, line, on, text_line
from benchmate.draw.in_terminal import in_cells
from benchmate.piece_questions.band_pictures import saved

MOST_SAID = 3
"""The most lines that say what was saved."""


class PictureScreen(LinesScreen[None]):
    """The finished band, which scrolls. A key saves a picture of it in the working folder."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "save", "save a picture"),
        Binding("up", "scroll(-1)", "up"),
        Binding("down", "scroll(1)", "down"),
        Binding("pageup", "scroll_page(-1)", "a screen up"),
        Binding("pagedown,space", "scroll_page(1)", "a screen down"),
        Binding("home", "scroll(-1000000)", "to the beginning"),
        Binding("end", "scroll(1000000)", "to the end"),
        Binding("escape,q,left,enter", "dismiss(None)", "back"),
    ]

    def __init__(self, bench: Bench, design: Design, layout: Layout, piece: int) -> None:
        """`layout` is the drawing of the design, and `piece` the number that names the file."""
        super().__init__(bench)
        self._design = design
        self._layout = layout
        self._piece = piece
        self._first = self._room = 0
        self._drawn: tuple[tuple[int, ColourDepth | None], list[Line]] | None = None
        self._saved = ""
        self._saving = False

    def lines(self, width: int, height: int) -> list[Line]:
        """The part of the drawing that fits."""
        palette = self.palette
        drawn = self._drawing(width)
        said = [
            text_line(text, width, palette.ink, palette.ground, bold=True)
            for text in clipped(self._saved, max(1, width - 2), MOST_SAID)
        ]
        self._room = room = max(0, height - len(said) - 1)
        self._first = min(self._first, max(0, len(drawn) - room))
        seen = drawn[self._first : self._first + room]
        body = [line(on(each, palette.ink, palette.ground), width, palette.ground) for each in seen]
        body += [line([], width, palette.ground)] * (room - len(body))
        more = ["page down: more"] if self._first + room < len(drawn) else []
        save = [] if self._saved and not self._saved.startswith("Not") else ["s: save a picture"]
        (keys,) = foot_lines([*save, "escape: back", *more], width, 1)
        return [*body, *said, text_line(keys, width, palette.quiet, palette.panel)][-height:]

    def _drawing(self, width: int) -> list[Line]:
        # The saved picture keeps the design's own colours; the screen shows those that it can.
        seen = self._layout._replace(colours=self._design.on_screen(self.depth).colours)
        told_apart = not self.app.no_color and not any(colour.pattern for colour in seen.colours.values())
        kind = width, self.depth if told_apart else None
        if self._drawn is None or self._drawn[0] != kind:
            self._drawn = kind, in_cells(seen, width, depth=kind[1])
        return self._drawn[1]

    def action_scroll(self, by: int) -> None:
        """Scrolls by that many lines."""
        self._first = max(0, self._first + by)
        self.show()

    def action_scroll_page(self, by: int) -> None:
        """Scrolls by a screen less two lines."""
        self.action_scroll(by * max(1, self._room - 2))

    class Saved(Message):
        """The picture is saved, or could not be; `words` says so."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def action_save(self) -> None:
        """Saves the picture, once."""
        if self._saving or self._saved.startswith("Saved"):
            return
        self._saving, self._saved = True, "Saving the picture."
        self.show()
        self.run_worker(self._save, thread=True)

    def _save(self) -> None:
        self.post_message(self.Saved(saved(self._layout, self._piece)))

    def on_picture_screen_saved(self, message: Saved) -> None:
        """Shows where the picture is."""
        self._saving, self._saved = False, message.words
        self.show()
