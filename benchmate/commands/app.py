"""`benchmate` without a command: the full screen, open on the list of pieces and designs."""

import argparse

from benchmate.commands.shared.standard_streams import at_a_terminal

NAME = "app"
SUMMARY = "open the list of your pieces and the shipped designs"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds nothing."""


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Opens the list of pieces and designs."""
    if not at_a_terminal():
        parser.error("this needs a terminal; name a command, such as: benchmate follow DESIGN --plain")
    from benchmate.bench.start import open_home

    return open_home()
