"""`follow`: the bench on one design, or the same piece line by line."""

import argparse
import io
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import BAD_INPUT
from benchmate.commands.shared.options import design_argument, working_options
from benchmate.commands.shared.standard_streams import at_a_terminal

if TYPE_CHECKING:
    from benchmate.piece_opening import Kept, OpenedPiece

NAME = "follow"
SAYS = "open the bench on a design, or resume its unfinished piece"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The design, how it is worked, and whether on the full screen."""
    design_argument(parser)
    working_options(parser, resumes=True)
    parser.add_argument("--new", action="store_true", help="begin a new piece even if one is unfinished")
    parser.add_argument("--plain", action="store_true", help="go line by line, without the full screen")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Opens the piece, on the full screen where there is one."""
    plain = options.plain
    if not plain and not at_a_terminal():
        print("Not in a terminal: going on in plain lines.", file=sys.stderr)
        plain = True
    from benchmate import piece_opening as opening

    kept = opening.Kept()
    try:
        try:
            wish = opening.WorkingOptions(options.by, options.repeats, options.from_right, options.mirror)
            found = opening.follow(kept, options.design, wish, new=options.new)
        except opening.OutOfRange as error:
            parser.error(f"--repeats: {error}")
        if plain:
            return _plainly(parser, kept, found)
        from benchmate.bench.start import open_bench

        return open_bench(kept, found)
    finally:
        kept.close()


def _plainly(parser: argparse.ArgumentParser, kept: "Kept", found: "OpenedPiece") -> int:
    from benchmate import plain
    from benchmate.store.database import StoreError
    from benchmate.store.pieces import TakenOver

    if found.asked:
        parser.error(f"the piece under way is {found.asked}; add --new to begin another")
    try:
        found.held.hold()
    except TakenOver:
        print("This piece is open in another window. Leave it there first.", file=sys.stderr)
        return BAD_INPUT
    try:
        status = plain.run(found, sys.stdin or io.StringIO(), sys.stdout, sys.stderr)
    finally:
        found.held.let_go()
    try:
        kept.keep_copy()
    except StoreError as error:
        print(f"benchmate: {error}", file=sys.stderr)
    return status
