"""Paints lines of cells with the framework. Every screen uses it, so text from files is never taken for markup."""

from collections.abc import Callable
from functools import lru_cache

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from benchmate.bench.terminal.few_colours import depth_of, sent
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.display.cells import Line, line, width_of
from benchmate.files.safe_text import shown


class Board(Widget):
    """Fills its screen with lines, and repaints only the lines that changed."""

    DEFAULT_CSS = "Board { width: 100%; height: 100%; }"

    def __init__(self, lines: Callable[[int, int], list[Line]]) -> None:
        """`lines` makes, for a width and a height, exactly that many lines of exactly that many cells."""
        super().__init__()
        self._lines_for = lines
        self._lines: list[Line] = []
        self._drawn_for = (0, 0)

    def render_line(self, y: int) -> Strip:
        """One line of the screen."""
        return self.render_lines(Region(0, y, self.size.width, 1))[0]

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines of a part of the screen.

        A board has no border, padding or tint, so it skips the framework's own rendering, and its filters: the colours
        are those the terminal shows. An unchanged line is then the same strip object as before, and nothing is
        computed for it again.
        """
        if self._drawn_for != self.size:
            self._draw()
        depth = depth_of(self.app)
        strips = [_strip(line, depth) for line in self._lines[crop.y : crop.bottom]]
        strips += [Strip.blank(self.size.width)] * (crop.height - len(strips))
        if crop.column_span != (0, self.size.width):
            strips = [strip.crop(*crop.column_span) for strip in strips]
        return strips

    def show(self) -> None:
        """Draws the screen's lines again and repaints those that differ."""
        if not self.size.width or self._drawn_for != self.size:
            self.refresh()
            return
        before = self._lines
        self._draw()
        changed = [y for y, line in enumerate(self._lines) if y >= len(before) or line != before[y]]
        if changed:
            self.refresh(*(Region(0, y, self.size.width, 1) for y in changed))

    def _draw(self) -> None:
        self._lines = [_harmless(each) for each in self._lines_for(self.size.width, self.size.height)]
        self._drawn_for = self.size


def _harmless(spans: Line) -> Line:
    """The line without characters that could control the terminal, and as wide as before.

    What is read from a file is clean already; names of files and what another program wrote into the database are not.
    """
    if all(span.text.isprintable() for span in spans):
        return spans
    return line([span._replace(text=shown(span.text)) for span in spans], width_of(spans), spans[-1].ground)


@lru_cache(maxsize=1024)
def _strip(line: Line, depth: ColourDepth) -> Strip:
    return Strip([Segment(span.text, _style(span.ink, span.ground, span.bold, depth)) for span in line])


@lru_cache(maxsize=1024)
def _style(ink: str, ground: str, bold: bool, depth: ColourDepth) -> Style:
    return Style(color=sent(ink, depth), bgcolor=sent(ground, depth), bold=bold)
