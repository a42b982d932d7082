"""Arguments that several commands share, and how their numbers are read."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from decimal import Decimal


def design_argument(parser: argparse.ArgumentParser, *, several: bool = False, needed: bool = True) -> None:
    """Adds DESIGN, a path or the name of a shipped design; with `several`, one or more, as `designs`.

    Where it is not `needed` it may be left out, and is None.
    """
    text = "a design file, or the name of a shipped design (see: benchmate designs)"
    if several:
        parser.add_argument("designs", metavar="DESIGN", nargs="+", help=text)
    else:
        parser.add_argument("design", metavar="DESIGN", nargs=None if needed else "?", help=text)


def working_options(parser: argparse.ArgumentParser, *, resumes: bool = False) -> None:
    """Adds the options that say how to work the design.

    A command that `resumes` a piece keeps the piece's own way of working by default, so `by` is None there.
    """
    parser.add_argument(
        "--by",
        choices=["rows", "segments"],
        default=None if resumes else "rows",
        help="work by rows, or by segments, which keeps each string in hand as long as possible "
        f"(default: {'rows, or as the piece was begun' if resumes else 'rows'})",
    )
    parser.add_argument("--from-right", action="store_true", help="work from the right, for left-handed makers")
    parser.add_argument("--mirror", action="store_true", help="work the mirror image of the design")
    repeats_option(parser)


def way_given(options: argparse.Namespace) -> str:
    """The options of `working_options` as they were given, each after a space, for a command to be typed next."""
    given = [
        f"--by {options.by}" if options.by not in ("rows", None) else "",
        "--from-right" if options.from_right else "",
        "--mirror" if options.mirror else "",
        f"--repeats {options.repeats}" if options.repeats is not None else "",
    ]
    return "".join(f" {each}" for each in given if each)


def repeats_option(parser: argparse.ArgumentParser) -> None:
    """Adds --repeats."""
    parser.add_argument("--repeats", metavar="N", type=number, help="work the rows N times (default: as in the design)")


def thread_option(parser: argparse.ArgumentParser) -> None:
    """Adds --thread."""
    parser.add_argument(
        "--thread", metavar="NAME", help="use the gauge of this thread (default: the design's; see: benchmate gauge)"
    )


def float_options(parser: argparse.ArgumentParser) -> None:
    """Adds the rules for the leading strings of a picture, which take the place of those in the settings."""
    for what in ("columns", "rows"):
        parser.add_argument(
            f"--float-{what}",
            metavar="N",
            type=number_from_0,
            help=f"pictures: bring strings behind at most N {what} (default: as in the settings, or 5)",
        )
    parser.add_argument(
        "--hang", metavar="N", type=number, help="pictures: let at most N leading strings hang at once (default: any)"
    )


def width_option(parser: argparse.ArgumentParser, *, dest: str = "width") -> None:
    """Adds --width."""
    parser.add_argument(
        "--width",
        metavar="N",
        type=_width,
        dest=dest,
        help="plain lines of at most N cells, 20 to 1000, such as 40 for a braille line (default: as in the settings)",
    )


def refuse_width(parser: argparse.ArgumentParser, width: int | None) -> None:
    """Refuses a width for the full screen, which has its own."""
    if width is not None:
        parser.error("--width is for plain lines; add --plain")


def _width(text: str) -> int:
    from benchmate.settings import LEAST_WIDTH, WIDTHS

    if not (text.isascii() and text.isdigit() and len(text) <= 9 and LEAST_WIDTH <= int(text) <= WIDTHS[1]):
        from benchmate.files.safe_text import shown

        expected = f"must be a whole number from {LEAST_WIDTH} to {WIDTHS[1]}, such as 40"
        raise argparse.ArgumentTypeError(f"{expected} (found {shown(text)[:40]!r})")
    return int(text)


def json_option(parser: argparse.ArgumentParser) -> None:
    """Adds --json."""
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def output_options(
    parser: argparse.ArgumentParser,
    file: str = "FILE",
    help_text: str = "write to this file, or to standard output for - (default: standard output)",
    *,
    required: bool = False,
) -> None:
    """Adds -o and --force, which `output.write_output` reads."""
    parser.add_argument("-o", "--output", metavar=file, help=help_text, required=required)
    parser.add_argument("--force", action="store_true", help="overwrite FILE if it exists")


def number_from_0(text: str) -> int:
    """Reads a whole number from 0 in plain digits; the type of an argument."""
    return number(text, 0)


def number(text: str, least: int = 1) -> int:
    """Reads a whole number from `least` in plain digits; the type of an argument."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9) or int(text) < least:
        from benchmate.files.safe_text import shown

        expected = f"must be a whole number from {least} to 999999999, such as 12"
        raise argparse.ArgumentTypeError(f"{expected} (found {shown(text)[:40]!r})")
    return int(text)


def mm(text: str) -> "Decimal":
    """Reads a decimal number of mm, which may be below 0; the type of an argument."""
    return _mm(text, "+-", "")


def mm_from_0(text: str) -> "Decimal":
    """Reads a decimal number of mm from 0; the type of an argument."""
    return _mm(text, "+", " from 0")


def mm_above_0(text: str) -> "Decimal":
    """Reads a decimal number of mm above 0; the type of an argument."""
    found = _mm(text, "+", " above 0")
    if not found:
        raise _not_mm(text, " above 0")
    return found


def _mm(text: str, signs: str, within: str) -> "Decimal":
    # Imported here: most commands read no length.
    from benchmate.craft.wording.length_words import number_of_mm

    sign = text[:1] if text[:1] in tuple(signs) else ""
    found = number_of_mm(text.removeprefix(sign))
    if found is None:
        raise _not_mm(text, within)
    return -found if sign == "-" else found


def _not_mm(text: str, within: str) -> argparse.ArgumentTypeError:
    from benchmate.files.safe_text import shown

    expected = f"must be a number of millimetres{within}, such as 165 or 16.5"
    return argparse.ArgumentTypeError(f"{expected} (found {shown(text)[:40]!r})")
