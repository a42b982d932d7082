"""The start and finish that a written design names."""

import argparse
import os
import sys
from collections.abc import Callable

USUAL_START = "fold-over-a-pin"
"""The start of a written design unless another is chosen. It is shipped, and leaves a loop to tie the band with."""


def link_options(parser: argparse.ArgumentParser) -> None:
    """Adds --start, --no-start and --finish."""
    start = parser.add_mutually_exclusive_group()
    start.add_argument("--start", metavar="NAME", help=f"the design to begin with (default: {USUAL_START})")
    start.add_argument("--no-start", action="store_true", help="begin with the first row")
    parser.add_argument("--finish", metavar="NAME", help="the design to finish with (default: none)")


def linked_text(
    parser: argparse.ArgumentParser, options: argparse.Namespace, text_with: Callable[[str | None, str | None], str]
) -> str:
    """The text of a design with the chosen start and finish, from `text_with`, which takes their names.

    They must be designs in written steps, beside the file to write or among the shipped ones; else this exits with
    status 2. The usual start is left out where the design cannot have it, and a line on standard error says why.
    """
    from benchmate.commands.shared.output import STANDARD_ERROR, STANDARD_OUTPUT
    from benchmate.design_files.load import faults_of_links
    from benchmate.files.safe_text import is_name, quoted

    for option, name in (("--start", options.start), ("--finish", options.finish)):
        if name is not None and not is_name(name):
            parser.error(f"{option}: {quoted(name)} must be the name of a design, without folder or ending")
    in_a_stream = options.output is None or options.output in (*STANDARD_OUTPUT, *STANDARD_ERROR)
    path = os.path.abspath("design.yaml" if in_a_stream else options.output)
    start = options.start or (None if options.no_start else USUAL_START)
    text = text_with(start, options.finish)
    faults = faults_of_links(text, path)
    if faults and start is not None and options.start is None:
        without = text_with(None, options.finish)
        if not faults_of_links(without, path):
            print(f"Left out the start {quoted(start)}: {'; '.join(faults)}", file=sys.stderr)
            return without
    if faults:
        parser.error("; ".join(faults))
    return text
