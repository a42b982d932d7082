"""Makes the previews of lines in the background, and keeps them."""

import asyncio
from collections.abc import Callable, Sequence
from threading import Thread

from benchmate.choosing.preview import Preview, PreviewSources, preview_of
from benchmate.choosing.shelves import Entry
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.files.unexpected import in_one_line
from benchmate.settings import Settings
from benchmate.store.reading import Piece, PieceReader

MOST = 200
"""How many previews are kept."""


class Previews:
    """The previews made so far, since the pieces were read last."""

    def __init__(self, reader: PieceReader, settings: Callable[[], Settings], taken: Callable[[str], None]) -> None:
        """`settings` gives the settings as they are now.

        `taken` is called when a preview is there, with what went wrong, or an empty text.
        """
        self._sources = PreviewSources(reader, settings)
        self._taken = taken
        self._made: dict[object, Preview] = {}

    def forget(self, pieces: Sequence[Piece]) -> None:
        """Forgets all: the pieces have been read again."""
        self._sources.forget(pieces)
        self._made.clear()

    def of(self, entry: Entry) -> Preview | None:
        """The preview of a line, if it is made."""
        return self._made.get(entry.key)

    def make(self, entry: Entry, depth: ColourDepth) -> None:
        """Has a preview made, in colours for a screen of that `depth`. Raises StoreError for an unreadable piece."""
        wanted = self._sources.wanted(entry, depth)
        loop = asyncio.get_running_loop()

        def work() -> None:
            try:
                found: Preview | Exception = preview_of(wanted)
            except Exception as error:
                # A design that cannot be drawn for an unforeseen reason can still be worked, so the list stays open.
                found = error
            if not loop.is_closed():
                loop.call_soon_threadsafe(self._take, entry, found)

        # A large design takes long. A daemon, so that leaving never waits for it.
        Thread(target=work, daemon=True).start()

    def _take(self, entry: Entry, made: Preview | Exception) -> None:
        if len(self._made) >= MOST:
            self._made.clear()
        if isinstance(made, Exception):
            self._made[entry.key] = Preview(())
            self._taken(f"{entry.title} could not be drawn ({in_one_line(made)}).")
        else:
            self._made[entry.key] = made
            self._taken("")
