"""No command at all: the full screen, on the pieces under way and the designs that ship."""

import argparse

from benchmate.commands.shared.standard_streams import at_a_terminal

NAME = "app"
SAYS = "open on your pieces and the shipped designs"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Takes none."""


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Opens on the list of pieces and designs."""
    if not at_a_terminal():
        parser.error("this needs a terminal; name a command, such as: benchmate follow DESIGN --plain")
    from benchmate.bench.start import open_home

    return open_home()
