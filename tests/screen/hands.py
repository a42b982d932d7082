"""Hands and eyes of a person at the bench: send key events at set times, and read the screen."""

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
from tests.screen.benches import Drawings, drawings, read
from tests.terminal import PATIENCE

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
"""The characters that named keys type."""
CALM = 0.3
"""Seconds between two unhurried presses."""

WAIT = 0.01
"""Seconds that a key waits which may be held down: real time passes between no two keys here."""


class Hands:
    """Presses keys with set gaps in seconds, whatever the real time."""

    def __init__(self, pilot: "Pilot[int]", drawn: Drawings) -> None:
        """`drawn` is all that is drawn in large type."""
        self.pilot = pilot
        self.drawn = drawn
        self.now = time.monotonic()

    @property
    def app(self) -> BenchApp:
        """The app."""
        assert isinstance(self.pilot.app, BenchApp)
        return self.pilot.app

    async def press(self, *keys: str, gap: float = CALM) -> None:
        """Presses keys one by one, and waits for the screen after each."""
        for key in keys:
            self.send(key, gap)
            await self.catch_up()

    async def catch_up(self) -> None:
        """Lets the app handle all waiting events, and the events these cause."""
        while self._key_waits():
            while self._key_waits():
                await self.pilot.pause(0.001)
            # A timer passes it on, beside this.
            await self.pilot.pause()
        calm, front = 0, self.app.screen
        while calm < 3:
            await self.pilot.pause(0)
            # A screen that closes may close the one below it, and hand on what it was told.
            calm = calm + 1 if self.app.screen is front else 0
            front = self.app.screen
        if self._key_waits():
            await self.catch_up()

    def _key_waits(self) -> bool:
        return self.app.held_over.waiting is not None

    async def hold(self, key: str, times: int, gap: float = 0.03) -> None:
        """Holds a key down: many events arrive before the screen has handled the first."""
        for _ in range(times):
            self.send(key, gap)
        await self.catch_up()

    def send(self, key: str, gap: float) -> None:
        """Sends one key event, `gap` seconds after the last, and does not wait."""
        self.now += gap
        event = events.Key(key, SIGNS.get(key, key if len(key) == 1 else None))
        event.time = self.now
        self.app.post_message(event)

    async def wait_for(self, condition: Callable[[], bool], timeout: float = PATIENCE) -> None:
        """Runs the app until the condition holds. Raises AssertionError, with the screen, after `timeout` seconds."""
        end = time.monotonic() + timeout
        while not condition():
            assert time.monotonic() < end, self.text
            await self.pilot.pause(0.01)

    @property
    def lines(self) -> list[str]:
        """The rows of the screen as painted."""
        board = self.app.screen.query_one(Board)
        return [board.render_line(y).text for y in range(board.size.height)]

    @property
    def text(self) -> str:
        """The screen in one string."""
        return "\n".join(self.lines)

    @property
    def words(self) -> str:
        """The screen with each run of spaces and line ends as one space."""
        return " ".join(self.text.split())

    @property
    def legible(self) -> str:
        """The same, with the texts in large type as if they were plain."""
        return " ".join("\n".join(read(self.drawn, self.lines)[1]).split())


@asynccontextmanager
async def sitting(
    kept: Kept, opening: OpenedPiece | None, *, settings: Settings = DEFAULTS, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Hands]:
    """A person at the bench, on a piece or on the list."""
    if settings is not DEFAULTS:
        write_settings(places.settings_file(), settings)
    app = BenchApp(kept, settings, opening)
    app.held_over.wait = WAIT
    with drawings() as drawn:
        async with app.run_test(size=size) as pilot:
            hands = Hands(pilot, drawn)
            await hands.catch_up()
            yield hands
