"""The arguments of the commands about trouble."""

import argparse

from benchmate.commands.shared.options import number_from_0


def done_option(parser: argparse.ArgumentParser) -> None:
    """Adds --done, from 0."""
    parser.add_argument("--done", metavar="N", type=number_from_0, required=True, help="the number of steps done")


def see_option(parser: argparse.ArgumentParser, *, needed: bool = True, also: str = "") -> None:
    """Adds --see; `also` is what its help says beside the usual."""
    parser.add_argument(
        "--see",
        metavar="COLOURS",
        required=needed,
        help=f'the colours of all strings as they hang now, left to right, such as "deep foam foam deep"{also}',
    )


def made_option(parser: argparse.ArgumentParser) -> None:
    """Adds --made."""
    parser.add_argument(
        "--made",
        metavar="K:KIND",
        action="append",
        default=[],
        help="a knot known to be made otherwise than charted: f, b, fb, bf, or - for left out, such as 12:fb; once for"
        " each",
    )


def shows_option(parser: argparse.ArgumentParser) -> None:
    """Adds --shows."""
    parser.add_argument(
        "--shows",
        metavar="K:COLOUR",
        action="append",
        default=[],
        help="the colour that a tied knot shows, such as 12:deep, or 12:- where there is no knot; once for each",
    )
