"""`restore`: takes back a copy of the pieces."""

import argparse
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import number
from benchmate.exit_status import BAD_INPUT, DONE

if TYPE_CHECKING:
    from benchmate.store.reading import Piece

NAME = "restore"
SUMMARY = "take back all pieces, or one, from a copy"
ASKED = "Type yes to go on: "


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the copy, and which piece."""
    parser.add_argument("file", metavar="FILE", help="a copy: from benchmate keep, or from the folder copies")
    parser.add_argument(
        "--piece",
        metavar="N",
        type=number,
        action="append",
        default=[],
        help="take back this piece alone; the others stay (may be repeated)",
    )
    parser.add_argument(
        "--box", action="store_true", help="take back your box of threads and your gauges alone; your pieces stay"
    )
    parser.epilog = "It shows what would change, and asks first. What was there before is set aside, not deleted."


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Shows what the copy has, asks, and puts it in place."""
    from contextlib import closing
    from pathlib import Path

    from benchmate.files.safe_text import shown
    from benchmate.store import places
    from benchmate.store.errors import command
    from benchmate.store.safekeeping.copies import moment
    from benchmate.store.safekeeping.restoration import NoCopy, OpenElsewhere, Restoration

    try:
        with closing(Restoration(places.home(), Path(options.file), options.piece, box=options.box)) as restoration:
            _tell(f"The copy of {moment(restoration.touched)} has:", restoration.pieces, restoration.threads)
            _tell("It replaces:", restoration.pieces_now, restoration.threads_now)
            if options.piece or options.box:
                print(_staying(bool(options.piece), options.box), file=sys.stderr)
            agreed = _ask()
            if not agreed:
                print("Nothing was changed.", file=sys.stderr)
                return BAD_INPUT if agreed is None else DONE
            aside = restoration.carry_out()
    except NoCopy as error:
        print(f"{shown(options.file)}: {error}", file=sys.stderr)
        return BAD_INPUT
    except OpenElsewhere:
        print("Nothing was changed: benchmate is open in a window. Press q there, then try again.", file=sys.stderr)
        return BAD_INPUT
    print("Restored." if aside is None else f"Restored. To undo this: {command('restore', str(aside))}")
    return DONE


def _tell(heading: str, pieces: "Sequence[Piece] | None", threads: int | None) -> None:
    """Prints what a database has; None is one that is missing or damaged, or a box that stays."""
    from benchmate.craft.wording.counting import counted
    from benchmate.files.safe_text import shown

    lines = ["  what is missing or damaged"] if pieces is None else []
    for piece in pieces or ():
        state = f"{piece.done}/{piece.size}, last touched {shown(piece.touched[:10])}"
        state += ", in the bin" if piece.arrangement.deleted else ""
        lines.append(f"  {piece.piece}: {shown(piece.title)}, {state}")
    if threads:
        lines.append(f"  your box, with {counted(threads, 'thread')}, and your gauges")
    print("\n".join([heading, *(lines or ["  nothing"])]), file=sys.stderr)


def _staying(pieces: bool, box: bool) -> str:
    """What is not taken from the copy."""
    if pieces:
        return "Your other pieces stay." if box else "Your other pieces stay, and so do your box and gauges."
    return "Your pieces stay."


def _ask() -> bool | None:
    """Asks, and reads the answer; None when there is none."""
    print(ASKED, end="", file=sys.stderr, flush=True)
    try:
        answer = sys.stdin.readline() if sys.stdin else ""
    except (OSError, UnicodeError):
        # What cannot be read is no answer.
        answer = ""
    if not (sys.stdin and sys.stdin.isatty()):
        print(file=sys.stderr)
    return answer.strip().lower() in ("y", "yes") if answer else None
