"""The help screens: the list of topics, and one page of text."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.display.cells import Line
from benchmate.help import topics
from benchmate.help.topics import TOPICS

MARGIN = 4
"""Columns beside the text."""
AROUND = 3
"""Lines above and below the text of a page: the heading, and at most two lines of keys."""


class HelpScreen(LinesScreen[None]):
    """Lists the topics, and opens the page of the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "up"),
        Binding("down", "move(1)", "down"),
        Binding("pageup", "move(-8)", "up by eight"),
        Binding("pagedown", "move(8)", "down by eight"),
        Binding("enter,space,right", "open", "read it"),
        Binding("escape,q,h,left,question_mark", "dismiss(None)", "back"),
    ]

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._chosen = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """A line for each topic, with what its page covers."""
        longest = max(map(len, TOPICS))
        texts = [f"{topic:<{longest}}  {topics.summary(topic)}" for topic in TOPICS]
        if max(map(len, texts)) > width - MARGIN:
            texts = [f"{topic}: {topics.summary(topic)}" for topic in TOPICS]
        items = [Item(text, chosen=at == self._chosen) for at, text in enumerate(texts)]
        return page("HELP", [], items, "up/down   enter: read   escape: back", width, height, self.palette)

    def action_move(self, by: int) -> None:
        """Moves to a topic above or below."""
        self._chosen = min(max(0, self._chosen + by), len(TOPICS) - 1)
        self.show()

    def action_open(self) -> None:
        """Opens the page of the chosen topic."""
        self.app.push_screen(HelpPageScreen(self.bench, TOPICS[self._chosen]))


class HelpPageScreen(LinesScreen[None]):
    """One page, which scrolls."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "scroll(-1)", "up"),
        Binding("down", "scroll(1)", "down"),
        Binding("pageup", "scroll_page(-1)", "a screen up"),
        Binding("pagedown,space", "scroll_page(1)", "a screen down"),
        Binding("home", "scroll(-100000)", "to the beginning"),
        Binding("end", "scroll(100000)", "to the end"),
        Binding("escape,q,left,enter", "dismiss(None)", "back to the topics"),
    ]

    def __init__(self, bench: Bench, topic: str) -> None:
        super().__init__(bench)
        self._topic = topic
        self._first = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """The part of the page that fits, from the first visible line."""
        text = self._text(width)
        self._first = min(self._first, self._last_first(len(text), height))
        # Empty lines fill the page, which keeps the heading small.
        items = [Item(line) for line in [*text[self._first :], *[""] * height]]
        below = len(text) - self._first - (height - AROUND)
        more = "page down: more" if below > 0 else "page up" if self._first else ""
        foot = "   ".join(filter(None, (more, "up/down", "escape: back")))
        heading = f"{self._topic.upper()}: {topics.summary(self._topic)}"
        return page(heading, [], items, foot, width, height, self.palette)

    def _text(self, width: int) -> list[str]:
        return topics.page(self._topic, width - MARGIN, self.bench.settings.keys)

    def _last_first(self, count: int, height: int) -> int:
        """The first visible line when the page is scrolled to its end."""
        return max(0, count - max(1, height - AROUND))

    def action_scroll(self, by: int) -> None:
        """Scrolls by that many lines."""
        last = self._last_first(len(self._text(self.size.width)), self.size.height)
        self._first = min(max(0, self._first + by), last)
        self.show()

    def action_scroll_page(self, by: int) -> None:
        """Scrolls by a screen less one line."""
        self.action_scroll(by * max(1, self.size.height - AROUND - 1))
