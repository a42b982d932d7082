"""`letters`: a text as an alpha design."""

import argparse
import sys

from benchmate.commands.shared.options import output_options

NAME = "letters"
SAYS = "write a design from a text, knotted along the band"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The text, how it is set, and where the design is written."""
    parser.add_argument("text", metavar="TEXT", help="what the band is to say, in quotes if it has spaces")
    parser.add_argument(
        "--rows", type=int, choices=[5, 7, 9], default=7, help="how many knots tall the capitals are (default: 7)"
    )
    parser.add_argument(
        "--upside-down", action="store_true", help="turn the text round: it reads from the end of the band"
    )
    output_options(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Says how wide and long the text comes out, and writes the design."""
    from benchmate.commands.output import deliver
    from benchmate.letters.setting import CannotSet, design_text, measures, set_text

    try:
        setting = set_text(options.text, options.rows, upside_down=options.upside_down)
    except CannotSet as error:
        parser.error(str(error))
    print(f"{measures(setting).words}. {setting.words}", file=sys.stderr)
    return deliver(parser, design_text(setting), options)
