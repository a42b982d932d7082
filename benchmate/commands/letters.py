"""`letters`: an alpha design from a text."""

import argparse
import sys

from benchmate.commands.shared.options import output_options

NAME = "letters"
SUMMARY = "write a design from a text, knotted along the band"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the text, how to set it, and where to write the design."""
    parser.add_argument("text", metavar="TEXT", help="the text for the band, in quotes if it has spaces")
    parser.add_argument(
        "--rows", type=int, choices=[5, 7, 9], default=7, help="how many knots tall the capitals are (default: 7)"
    )
    parser.add_argument(
        "--upside-down", action="store_true", help="turn the text round, to read from the end of the band"
    )
    output_options(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Writes the design, and prints the size of the band on standard error."""
    from benchmate.commands.shared.output import write_output
    from benchmate.letters.setting import CannotSet, design_text, measures, set_text

    try:
        setting = set_text(options.text, options.rows, upside_down=options.upside_down)
    except CannotSet as error:
        parser.error(str(error))
    print(f"{measures(setting).words}. {setting.words}", file=sys.stderr)
    return write_output(parser, design_text(setting), options)
