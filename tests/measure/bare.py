"""The baseline for the full screen: an app of the same framework that shows only a counter."""

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static


class BareApp(App[None]):
    """Counts presses up to `of`."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "count(1)"),
        Binding("left", "count(-1)"),
        Binding("q", "quit"),
    ]

    def __init__(self, count: int, of: int) -> None:
        """Starts at `count`."""
        super().__init__()
        self._count, self._of = count, of

    def compose(self) -> ComposeResult:
        """The counter."""
        yield Static(f"{self._count}/{self._of}")

    def action_count(self, by: int) -> None:
        """Counts up or down."""
        self._count += by
        self.query_one(Static).update(f"{self._count}/{self._of}")
