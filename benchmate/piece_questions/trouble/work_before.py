"""When the hands worked before this moment, on whatever piece."""

from datetime import UTC, datetime

from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Pieces

LOOKED_AT = 3 * 3600.0
"""Seconds before now that are looked at."""
MILLISECOND = 0.001
"""How exactly times are kept."""
MOST_PIECES, MOST_PRESSES = 8, 5000
"""How many pieces are looked at, and how many presses of each, always the last ones."""


def times_of_work(pieces: Pieces, held: OpenPiece, until: float) -> list[float]:
    """The times of the presses of the last hours until then, to the millisecond, on all pieces, oldest first.

    Where another piece cannot be read, those of this one in the memory of this window have to do.
    """
    since = datetime.fromtimestamp(until - LOOKED_AT, UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    times: list[float] = []
    try:
        for piece in pieces.touched_since(since, MOST_PIECES):
            times += [press.at for press in pieces.presses(piece, MOST_PRESSES, since=since)]
    except StoreError:
        times = [press.at for press in held.presses]
    return sorted(at for at in times if at <= until + MILLISECOND)
