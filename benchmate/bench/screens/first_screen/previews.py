"""Makes the previews of lines in the background, and keeps them."""

import asyncio
from collections.abc import Callable, Sequence
from threading import Thread

from benchmate.bench.screens.first_screen.preview import Preview, Wanted, preview_of
from benchmate.bench.screens.first_screen.shelves import Entry
from benchmate.bench.terminal.unexpected import in_one_line
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.craft.pace import Pace
from benchmate.files.top_level import top_level
from benchmate.makers_pace import pace_with
from benchmate.store.reading import Copy, Piece, PieceReader

MOST = 200
"""How many previews are kept."""


class Previews:
    """The previews made so far, since the pieces were read last."""

    def __init__(self, reader: PieceReader, taken: Callable[[str], None]) -> None:
        """`taken` is called when a preview is there, with what went wrong, or an empty text."""
        self._reader = reader
        self._taken = taken
        self._pieces: Sequence[Piece] = ()
        self._made: dict[object, Preview] = {}
        self._paces: dict[str, Pace | None] = {}

    def forget(self, pieces: Sequence[Piece]) -> None:
        """Forgets all: the pieces have been read again."""
        self._pieces = pieces
        self._made.clear()
        self._paces.clear()

    def of(self, entry: Entry) -> Preview | None:
        """The preview of a line, if it is made."""
        return self._made.get(entry.key)

    def make(self, entry: Entry, depth: ColourDepth) -> None:
        """Has a preview made, in colours for a screen of that `depth`. Raises StoreError for an unreadable piece."""
        copy = None if entry.piece is None else self._reader.copies_of(entry.piece.piece)[-1][1]
        wanted = Wanted(entry, copy, self._pace(_family_of(entry, copy)), depth)
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

    def _pace(self, family: str) -> Pace | None:
        if family not in self._paces:
            self._paces[family] = pace_with(self._reader, self._pieces, family)
        return self._paces[family]


def _family_of(entry: Entry, copy: Copy | None) -> str:
    if copy is not None:
        return top_level(copy.design, "family") or ""
    return "" if entry.loaded is None else entry.loaded.design.family.name
