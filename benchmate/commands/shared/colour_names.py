"""Colours of a design on the command line, by their names."""

import argparse
from collections.abc import Mapping


def known_colour(parser: argparse.ArgumentParser, option: str, name: str, colours: Mapping[str, object]) -> str:
    """The name; one that the design does not have exits with status 2, with the nearest one named."""
    if name not in colours:
        from benchmate.files.safe_text import nearest, quoted

        near, is_near = nearest(name, colours)
        guess = f"; did you mean {quoted(near)}?" if near and is_near else ""
        parser.error(f"{option}: the design has no colour {quoted(name)}{guess}")
    return name
