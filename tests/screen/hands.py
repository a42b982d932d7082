"""A person's hands at the bench: key events at set times, and eyes that read the screen."""

import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

from textual import events
from textual.pilot import Pilot

from benchmate.bench.app import BenchApp
from benchmate.bench.terminal.board import Board
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, Settings, write_settings
from benchmate.store import places

SIGNS = {
    "space": " ",
    "question_mark": "?",
    "full_stop": ".",
    "percent_sign": "%",
    "left_parenthesis": "(",
    "dollar_sign": "$",
    "plus": "+",
    "minus": "-",
    "equals_sign": "=",
    "alt+x": "x",
}
"""What keys with a name type."""
CALM = 0.3
"""Seconds between two presses of a person who takes time."""


class Hands:
    """Presses keys, each so many seconds after the one before, whatever the real time is."""

    def __init__(self, pilot: "Pilot[int]") -> None:
        self.pilot = pilot
        self.now = time.monotonic()

    @property
    def app(self) -> BenchApp:
        """The app sat at."""
        assert isinstance(self.pilot.app, BenchApp)
        return self.pilot.app

    async def press(self, *keys: str, gap: float = CALM) -> None:
        """Presses keys one after another, and lets the screen catch up after each."""
        for key in keys:
            self.send(key, gap)
            await self.catch_up()

    async def catch_up(self) -> None:
        """Lets the app and its screen see to all that waits for them, and to what comes of that in turn."""
        for _ in range(3):
            await self.pilot.pause(0)

    async def hold(self, key: str, times: int, gap: float = 0.03) -> None:
        """Holds a key down: many events that all wait to be seen to before the screen has caught up with one."""
        for _ in range(times):
            self.send(key, gap)
        await self.catch_up()

    def send(self, key: str, gap: float) -> None:
        """One key event `gap` seconds after the last, without waiting for what comes of it."""
        self.now += gap
        event = events.Key(key, SIGNS.get(key, key if len(key) == 1 else None))
        event.time = self.now
        self.app.post_message(event)

    async def wait_for(self, condition: Callable[[], bool], timeout: float = 5.0) -> None:
        """Lets the app go on until something is so. Raises AssertionError, with the screen, where it never is."""
        end = time.monotonic() + timeout
        while not condition():
            assert time.monotonic() < end, self.text
            await self.pilot.pause(0.01)

    @property
    def lines(self) -> list[str]:
        """The rows of the screen as they are painted."""
        board = self.app.screen.query_one(Board)
        return [board.render_line(y).text for y in range(board.size.height)]

    @property
    def text(self) -> str:
        """The screen in one string."""
        return "\n".join(self.lines)

    @property
    def words(self) -> str:
        """The screen with every run of spaces, line ends among them, as one space."""
        return " ".join(self.text.split())


@asynccontextmanager
async def sitting(
    kept: Kept, opening: OpenedPiece | None, *, settings: Settings = DEFAULTS, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Hands]:
    """Somebody at the bench, on a piece or on the list."""
    if settings is not DEFAULTS:
        write_settings(places.settings_file(), settings)
    app = BenchApp(kept, settings, opening)
    async with app.run_test(size=size) as pilot:
        hands = Hands(pilot)
        await hands.catch_up()
        yield hands
