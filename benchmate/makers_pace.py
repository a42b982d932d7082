"""The maker's own pace for the knots of one family, from the logs of all its pieces."""

from collections.abc import Sequence

from benchmate.craft.design import steps_in
from benchmate.craft.pace import LAST_KNOTS, Pace, knot_times, pace_of
from benchmate.design_files.load import parse
from benchmate.files.top_level import top_level
from benchmate.store.reading import Copy, Piece, PieceReader

MOST_PIECES = 30
"""How many pieces, the last touched first, are looked at."""
MOST_PRESSES = 200
"""How many presses of a piece, the last ones, are looked at."""


def pace_with(reader: PieceReader, pieces: Sequence[Piece], family: str) -> Pace | None:
    """The pace with the knots of a family, by the last of them in whatever pieces; None while there are too few.

    `pieces` are those to look at, last touched first. Raises StoreError.
    """
    times: list[float] = []
    for piece in pieces[:MOST_PIECES]:
        copy = reader.copies_of(piece.piece)[-1][1]
        if top_level(copy.design, "family") != family:
            continue
        knots = _knots(piece, copy)
        # The log of a copied piece begins with presses of the piece it was copied from.
        own = reader.presses(piece.piece, MOST_PRESSES, since=piece.started)
        times = [*knot_times(own, knots), *times]
        if len(times) >= LAST_KNOTS:
            break
    return pace_of(times)


def _knots(piece: Piece, copy: Copy) -> range:
    """The numbers of the steps of its band, between its start and its finish."""
    before, after = (_steps(text) for text in (copy.start, copy.finish))
    return range(before, piece.size - after)


def _steps(text: str | None) -> int:
    design = None if text is None else parse(text, limit_texts=False)[0]
    return 0 if design is None else steps_in(design)
