"""`pieces`: unfinished and finished pieces, last touched first."""

import argparse
import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import DONE
from benchmate.commands.shared.options import json_option

if TYPE_CHECKING:
    from benchmate.store.pieces import Piece

NAME = "pieces"
SUMMARY = "list your pieces, unfinished and finished"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds --json."""
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the pieces."""
    from benchmate.store import places
    from benchmate.store.pieces import pieces_kept

    found = pieces_kept(places.database_file(), places.copy_file(), places.holders_folder())
    sys.stdout.write(_document(found) if options.json else _lines(found))
    return DONE


def _document(pieces: "Sequence[Piece]") -> str:
    import json

    from benchmate.commands.shared.ways_document import hands_document

    document = [
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
            **hands_document(piece.way),
        }
        for piece in pieces
    ]
    return json.dumps(document) + "\n"


def _lines(pieces: "Sequence[Piece]") -> str:
    """The pieces for a person, one per line."""
    if not pieces:
        return "No pieces yet.\n"
    return "\n".join(_piece_lines(pieces)) + "\n"


def _piece_lines(pieces: "Sequence[Piece]") -> Iterator[str]:
    from benchmate.craft.ways import Way
    from benchmate.files.safe_text import shown

    for piece in pieces:
        state = "finished" if piece.finished else f"{piece.done}/{piece.size}"
        day = piece.touched[:10]
        way = "" if piece.way == Way() else f"{piece.way.words}; "
        yield f"{state:>13}  {piece.title}  ({way}last touched {day}; {shown(piece.file)})"


def _to_the_second(moment: str) -> str:
    return moment[:19] + "Z"
