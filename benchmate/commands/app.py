"""`benchmate` without a command: the list of pieces and designs, on the full screen or in plain lines."""

import argparse
import io
import sys

from benchmate.commands.shared.options import refuse_width, width_option
from benchmate.commands.shared.standard_streams import without_screen

NAME = "app"
SUMMARY = "open the list of your pieces and the shipped designs"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds --plain and --width, under names that no command's own options take."""
    parser.add_argument(
        "--plain", dest="plain_list", action="store_true", help="without a command: the list in plain lines"
    )
    width_option(parser, dest="list_width")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Opens the list of pieces and designs, on the full screen or in plain lines."""
    if not options.plain_list and not without_screen():
        refuse_width(parser, options.list_width)
        from benchmate.bench.start import open_home

        return open_home()
    from benchmate.commands.shared.plain_lines import plain_lines
    from benchmate.kept import Kept
    from benchmate.plain import home
    from benchmate.plain.answers import Answers

    kept = Kept()
    try:
        return home.run(kept, Answers(sys.stdin or io.StringIO()), plain_lines(options.list_width))
    finally:
        kept.close()
