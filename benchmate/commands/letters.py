"""`letters`: an alpha design from a text."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.given_threads import colours_option, given_threads, thread
from benchmate.commands.shared.links import link_options, linked_text
from benchmate.commands.shared.options import number, output_options

if TYPE_CHECKING:
    from benchmate.letters.band import Threads

NAME = "letters"
SUMMARY = "write a design from a text, knotted along the band"
CHOSEN = ""
"""The border without a colour of its own."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the text, how to set it, and where to write the design."""
    text = parser.add_argument("text", metavar="TEXT", help="the text for the band, in quotes if it has spaces")
    # After `--colours` and `--border`, argparse takes the text for another colour; `run` separates them.
    text.required = False
    parser.add_argument(
        "--rows", type=int, choices=[5, 7, 9], default=7, help="how many knots tall the capitals are (default: 7)"
    )
    parser.add_argument(
        "--upside-down", action="store_true", help="turn the text round, to read from the end of the band"
    )
    colours_option(
        parser, "the threads of letters and ground, such as deep=#0b3c5d foam=ivory (default: dark blue on linen)"
    )
    parser.add_argument(
        "--border",
        metavar="NAME=COLOUR",
        nargs="?",
        const=CHOSEN,
        help="frame the band with one knot of this thread (without a thread: one that differs from both others)",
    )
    parser.add_argument(
        "--length",
        metavar="MM",
        type=number,
        help="the length of the band, the text in its middle (default: as long as the text)",
    )
    link_options(parser)
    output_options(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Writes the design, and prints the size of the band and the thread it needs on standard error."""
    from benchmate.commands.shared.output import write_output
    from benchmate.commands.shared.thread.thread_needed import known_floss, thread_needed
    from benchmate.letters.band import design_text, with_border, with_length
    from benchmate.letters.setting import CannotSet, measures, set_text

    text, threads = _text_and_threads(parser, options)
    border = threads.border is not None
    floss = known_floss()
    try:
        setting = set_text(text, options.rows, upside_down=options.upside_down)
        if options.length is not None:
            setting = with_length(setting, options.length, floss.estimate.gauge.base_mm, border=border)
        if border:
            setting = with_border(setting)
    except CannotSet as error:
        parser.error(str(error))
    written = linked_text(
        parser, options, lambda start, finish: design_text(setting, threads, start=start, finish=finish)
    )
    print(f"{measures(setting, floss.estimate.gauge, floss.units).words}. {setting.words}", file=sys.stderr)
    print(thread_needed(written, options.output, floss), file=sys.stderr)
    return write_output(parser, written, options)


def _text_and_threads(parser: argparse.ArgumentParser, options: argparse.Namespace) -> "tuple[str, Threads]":
    """The text, which may be the last value of `--colours` or that of `--border`, and the threads."""
    from benchmate.letters.band import GROUND_THREAD, INK_THREAD, Thread, Threads, border_beside

    text, colours, border = options.text, list(options.colours), options.border
    if text is None and border and thread(border) is None:
        text, border = border, CHOSEN
    elif text is None and len(colours) > 1 and thread(colours[-1]) is None:
        text = colours.pop()
    if text is None:
        parser.error("the following arguments are required: TEXT")
    named = given_threads(parser, "--colours", (part for value in colours for part in value.split(",") if part))
    given = [Thread(*each) for each in named.items()]
    if len(given) > 2:
        parser.error("--colours takes two threads, that of the letters and that of the ground")
    ink, ground = [*given, *(INK_THREAD, GROUND_THREAD)[len(given) :]]
    if border is None:
        return text, _checked(parser, Threads(ink, ground))
    frames = [Thread(*each) for each in given_threads(parser, "--border", [border] if border else []).items()]
    return text, _checked(parser, Threads(ink, ground, frames[0] if frames else border_beside(ink, ground)))


def _checked(parser: argparse.ArgumentParser, threads: "Threads") -> "Threads":
    """The threads. Exits with status 2 where two of them have one name, or letters and ground have one colour."""
    from benchmate.files.safe_text import quoted

    names = [each.name for each in threads if each is not None]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        parser.error(f"two threads are called {quoted(twice)}; give one of them another name")
    if threads.ink.value == threads.ground.value:
        parser.error("--colours: the letters and the ground have the same colour")
    return threads
