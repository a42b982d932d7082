"""`pieces`: unfinished and finished pieces, last touched first; to another machine and back."""

import argparse
import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import json_option, number
from benchmate.exit_status import BAD_INPUT, DONE

if TYPE_CHECKING:
    from benchmate.store.reading import Piece

NAME = "pieces"
SUMMARY = "list your pieces, unfinished and finished"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds --json, --export and --import."""
    json_option(parser)
    parser.add_argument(
        "--export", metavar="FILE", dest="output", help="write pieces with their logs and designs to FILE (- to print)"
    )
    parser.add_argument("--force", action="store_true", help="overwrite FILE if it exists")
    parser.add_argument(
        "--import", metavar="FILE", dest="source", help="take in the pieces that --export wrote to FILE"
    )
    parser.add_argument("pieces", metavar="PIECE", type=number, nargs="*", help="the pieces to export (default: all)")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the pieces, writes them to a file or takes them from one."""
    if options.output is not None and options.source is not None:
        parser.error("choose one of --export and --import")
    if options.pieces and options.output is None:
        parser.error("a PIECE is named for --export only")
    if options.output is not None:
        return _export(parser, options)
    if options.source is not None:
        return _import(options)
    from benchmate.store import places
    from benchmate.store.reading import pieces_kept

    found = pieces_kept(places.home())
    sys.stdout.write(_document(found) if options.json else _lines(found))
    return DONE


def _export(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    from benchmate.commands.shared.output import write_output
    from benchmate.piece_exchange import NoSuchPiece, exported
    from benchmate.store import places
    from benchmate.store.safekeeping.restoration import is_own_file

    home = places.home()
    if is_own_file(home, options.output):
        parser.error(f"--export: {options.output}: the program keeps this file itself; choose another name")
    try:
        content = exported(home, options.pieces)
    except NoSuchPiece as error:
        parser.error(f"--export: {error}")
    return write_output(parser, content, options)


def _import(options: argparse.Namespace) -> int:
    from benchmate.files.safe_text import shown
    from benchmate.piece_exchange import imported
    from benchmate.store import places
    from benchmate.store.errors import StoreError
    from benchmate.store.pieces import TakenOver
    from benchmate.store.safekeeping.keeping import make_copy

    home = places.home()
    try:
        taken = imported(home, options.source)
    except TakenOver as error:
        where = f"piece {error.piece} is open in a window. Leave it there, then try again."
        print(f"{shown(options.source)}: nothing was taken in: {where}", file=sys.stderr)
        return BAD_INPUT
    for piece in taken:
        where = " (in the bin)" if piece.deleted else ""
        print(f"{piece.piece}: {shown(piece.title)}, {piece.done}/{piece.size}: {piece.outcome.value}{where}")
    try:
        make_copy(home)
    except StoreError as error:
        print(f"benchmate: {shown(str(error))}", file=sys.stderr)
    return DONE


def _document(pieces: "Sequence[Piece]") -> str:
    from benchmate.commands.shared.json_text import json_text
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
            **({"aside": True} if piece.arrangement.aside else {}),
        }
        for piece in pieces
    ]
    return json_text(document)


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
        way += "put aside; " if piece.arrangement.aside else ""
        yield shown(f"{state:>13}  {piece.title}  (piece {piece.piece}; {way}last touched {day}; {piece.file})")


def _to_the_second(moment: str) -> str:
    return moment[:19] + "Z"
