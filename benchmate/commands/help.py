"""`help`: a page of help, or the list of pages."""

import argparse
import shutil
import sys

from benchmate.commands.shared.exit_status import DONE

NAME = "help"
SAYS = "show a help page, or list the pages"

NOT_A_TERMINAL = 80
"""Columns where the output is not a terminal."""
WIDEST = 100
"""Columns beyond which lines are hard to read."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The topic."""
    parser.add_argument("topic", metavar="TOPIC", nargs="?", help="the page to show (default: list the topics)")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the page, or the topics."""
    from benchmate.help.topics import TOPICS, page, says, topic_list

    width = min(WIDEST, shutil.get_terminal_size((NOT_A_TERMINAL, 24)).columns)
    if not sys.stdout.isatty():
        width = NOT_A_TERMINAL
    if options.topic is None:
        lines = ["benchmate help TOPIC shows a page:", "", *topic_list(width)]
        lines += ["", "To complete commands with the tab key: benchmate help completion"]
    elif options.topic in TOPICS:
        lines = [f"{options.topic.upper()}: {says(options.topic)}", "", *page(options.topic, width)]
    else:
        from benchmate.files.words import nearest, quoted

        found, _ = nearest(options.topic, TOPICS)
        parser.error(f"there is no help page {quoted(options.topic)}; the nearest is {quoted(found or TOPICS[0])}")
    print("\n".join(lines))
    return DONE
