"""Arguments that several commands take, and the numbers in them."""

import argparse


def design_argument(parser: argparse.ArgumentParser, *, several: bool = False) -> None:
    """Adds DESIGN, a path or the name of a shipped design; `several` for one or more, kept as `designs`."""
    says = "a design file, or the name of a shipped design (see: benchmate designs)"
    if several:
        parser.add_argument("designs", metavar="DESIGN", nargs="+", help=says)
    else:
        parser.add_argument("design", metavar="DESIGN", help=says)


def working_options(parser: argparse.ArgumentParser, *, resumes: bool = False) -> None:
    """Adds how the design is worked.

    A command that `resumes` a piece keeps the piece's own way of working where nothing is said, so `by` is None then.
    """
    parser.add_argument(
        "--by",
        choices=["rows", "segments"],
        default=None if resumes else "rows",
        help=f"work row by row, or in segments: keep each string in hand as long as possible ({_by_default(resumes)})",
    )
    parser.add_argument("--from-right", action="store_true", help="work from the right, as left-handed makers may")
    parser.add_argument("--mirror", action="store_true", help="work the mirror image of the design")
    repeats_option(parser)


def _by_default(resumes: bool) -> str:
    return "default: rows, or as the piece was begun" if resumes else "default: rows"


def repeats_option(parser: argparse.ArgumentParser) -> None:
    """Adds --repeats."""
    parser.add_argument(
        "--repeats", metavar="N", type=number, help="work the rows N times (default: as often as the design says)"
    )


def json_option(parser: argparse.ArgumentParser) -> None:
    """Adds --json."""
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def output_options(
    parser: argparse.ArgumentParser,
    file: str = "FILE",
    says: str = "write to this file (default: standard output)",
) -> None:
    """Adds -o and --force, as `output.deliver` takes them."""
    parser.add_argument("-o", "--output", metavar=file, help=says)
    parser.add_argument("--force", action="store_true", help="overwrite FILE if it exists")


def number(text: str) -> int:
    """A whole number from 1, in plain digits; the type of an argument."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9) or int(text) < 1:
        from benchmate.files.words import shown

        raise argparse.ArgumentTypeError(f"{shown(text)[:40]!r} is not a whole number from 1 to 999999999")
    return int(text)
