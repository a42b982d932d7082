"""Threads on the command line: `deep=#0b3c5d`, or a CSS colour name alone."""

import argparse
from collections.abc import Iterable

EXAMPLE = "NAME=COLOUR, such as deep=#0b3c5d"


def colours_option(parser: argparse.ArgumentParser, says: str) -> None:
    """Adds `--colours`, which takes any number of threads; `says` is its help."""
    parser.add_argument("--colours", metavar="NAME=COLOUR", nargs="+", action="extend", default=[], help=says)


def thread(text: str) -> tuple[str, str] | None:
    """The name and value of a thread; None for anything else."""
    from benchmate.files.css import parse_colour
    from benchmate.files.safe_text import is_name

    name, equals, colour = text.partition("=")
    value = parse_colour(colour if equals else name)
    return None if value is None or not is_name(name) else (name, value)


def unknown_colour(text: str) -> str | None:
    """The colour of `name=colour` whose name is good, when it is not a CSS colour; None for anything else."""
    from benchmate.files.css import parse_colour
    from benchmate.files.safe_text import is_name

    name, equals, colour = text.partition("=")
    return colour if equals and colour and is_name(name) and parse_colour(colour) is None else None


def given_threads(parser: argparse.ArgumentParser, option: str, texts: Iterable[str]) -> dict[str, str]:
    """The values of threads by their names. Exits with status 2 for a text that is none, and for a name given twice."""
    from benchmate.files.safe_text import quoted

    found: dict[str, str] = {}
    for text in texts:
        each = thread(text)
        if each is None:
            unknown = unknown_colour(text)
            if unknown is not None:
                parser.error(f"{option}: {quoted(unknown)} is not a CSS colour")
            parser.error(f"{option}: {quoted(text)} must be {EXAMPLE}")
        if each[0] in found:
            parser.error(f"{option}: {quoted(each[0])} is given twice")
        found[each[0]] = each[1]
    return found
