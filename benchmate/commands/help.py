"""`help`: a page of help, or the list of pages."""

import argparse
import shutil
import sys

from benchmate.exit_status import DONE

NAME = "help"
SUMMARY = "show a help page, or list the pages"

DEFAULT_WIDTH = 80
"""The width of a page where the output is not a terminal."""
MAX_WIDTH = 100
"""The width of a page in a wide terminal: longer lines are hard to read."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the topic."""
    parser.add_argument("topic", metavar="TOPIC", nargs="?", help="the page to show (default: list the topics)")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the page, or the topics."""
    from benchmate.help.topics import TOPICS, page, summary, topic_list

    width = min(MAX_WIDTH, shutil.get_terminal_size((DEFAULT_WIDTH, 24)).columns)
    if not sys.stdout.isatty():
        width = DEFAULT_WIDTH
    if options.topic is None:
        lines = ["benchmate help TOPIC shows a page:", "", *topic_list(width)]
        lines += ["", "To complete commands with the tab key: benchmate help completion"]
    elif options.topic.lower() in TOPICS:
        topic = options.topic.lower()
        lines = [f"{topic.upper()}: {summary(topic)}", "", *page(topic, width)]
    else:
        from benchmate.files.safe_text import nearest, quoted

        found, near = nearest(options.topic, TOPICS)
        hint = f"did you mean {quoted(found)}?" if found is not None and near else "`benchmate help` lists the pages"
        parser.error(f"no help page {quoted(options.topic)}; {hint}")
    print("\n".join(lines))
    return DONE
