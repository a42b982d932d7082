"""`follow`: the bench on one design, or its piece line by line."""

import argparse
import io
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, refuse_width, width_option, working_options
from benchmate.commands.shared.standard_streams import without_screen
from benchmate.exit_status import BAD_INPUT

if TYPE_CHECKING:
    from benchmate.piece_opening import Kept, OpenedPiece

NAME = "follow"
SUMMARY = "open the bench on a design, and continue its unfinished piece"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, and where."""
    design_argument(parser)
    working_options(parser, resumes=True)
    parser.add_argument("--new", action="store_true", help="begin a new piece even if one is unfinished")
    parser.add_argument("--plain", action="store_true", help="print one step per line instead of the full screen")
    width_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Opens the piece on the full screen, or line by line."""
    plain = options.plain or without_screen()
    if not plain:
        refuse_width(parser, options.width)
    from benchmate import piece_opening

    kept = piece_opening.Kept()
    try:
        try:
            working = piece_opening.WorkingOptions(options.by, options.repeats, options.from_right, options.mirror)
            opened = piece_opening.follow(kept, options.design, working, new=options.new)
        except piece_opening.OutOfRange as error:
            parser.error(f"--repeats: {error}")
        if plain:
            return _run_plain(parser, kept, opened, options.width)
        from benchmate.bench.start import open_bench

        return open_bench(kept, opened)
    finally:
        kept.close()


def _run_plain(parser: argparse.ArgumentParser, kept: "Kept", opened: "OpenedPiece", width: int | None) -> int:
    from benchmate.commands.shared.plain_lines import plain_lines
    from benchmate.piece_exchange import copy_after_work
    from benchmate.plain import piece
    from benchmate.plain.answers import Answers
    from benchmate.store.pieces import TakenOver

    if opened.mismatch:
        parser.error(f"this piece is {opened.mismatch}; add --new to begin another")
    try:
        opened.held.hold()
    except TakenOver:
        print("This piece is open in another window. Leave it there, then try again.", file=sys.stderr)
        return BAD_INPUT
    status, left = piece.lead_on(opened, Answers(sys.stdin or io.StringIO()), plain_lines(width))
    notice = copy_after_work(kept, left)
    if notice is not None:
        print(notice, file=sys.stderr)
    return status
