"""The pieces under way and finished, as a JSON document or as lines for a person."""

import json
from collections.abc import Iterator, Sequence

from benchmate.craft.ways import Way
from benchmate.files.words import shown
from benchmate.listing import handed
from benchmate.store.pieces import Piece


def pieces_json(pieces: Sequence[Piece]) -> str:
    """The document of `pieces --json`."""
    return (
        json.dumps(
            [
                {
                    "piece": piece.piece,
                    "title": piece.title,
                    "file": piece.file,
                    "by": piece.way.by,
                    "done": piece.done,
                    "of": piece.size,
                    "finished": piece.finished,
                    "started": _to_the_second(piece.started),
                    "touched": _to_the_second(piece.touched),
                    **handed(piece.way),
                }
                for piece in pieces
            ]
        )
        + "\n"
    )


def pieces_lines(pieces: Sequence[Piece]) -> str:
    """The pieces for a person, a line each."""
    if not pieces:
        return "No piece has been begun yet.\n"
    return "\n".join(_piece_lines(pieces)) + "\n"


def _piece_lines(pieces: Sequence[Piece]) -> Iterator[str]:
    for piece in pieces:
        state = "finished" if piece.finished else f"{piece.done}/{piece.size}"
        day = piece.touched[:10]
        way = "" if piece.way == Way() else f"{piece.way.words}; "
        yield f"{state:>13}  {piece.title}  ({way}last touched {day}; {shown(piece.file)})"


def _to_the_second(moment: str) -> str:
    return moment[:19] + "Z"
