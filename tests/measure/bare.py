"""The floor of the full screen: an app of the same framework with one counter and nothing else."""

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static


class BareApp(App[None]):
    """Shows how many of `of` presses there have been."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "count(1)"),
        Binding("left", "count(-1)"),
        Binding("q", "quit"),
    ]

    def __init__(self, count: int, of: int) -> None:
        """Begins at `count`."""
        super().__init__()
        self._count, self._of = count, of

    def compose(self) -> ComposeResult:
        """The counter."""
        yield Static(f"{self._count}/{self._of}")

    def action_count(self, by: int) -> None:
        """Counts on or back."""
        self._count += by
        self.query_one(Static).update(f"{self._count}/{self._of}")
