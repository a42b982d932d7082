"""`draw`: the finished band, in the terminal or as a picture in a file."""

import argparse
import os
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import BAD_INPUT, DONE
from benchmate.commands.shared.options import design_argument, output_options, repeats_option

if TYPE_CHECKING:
    from benchmate.craft.drawing import Layout

NAME = "draw"
SAYS = "show the finished band in the terminal, or write it as a PNG or SVG picture"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The design, and where its picture is written."""
    design_argument(parser)
    repeats_option(parser)
    output_options(parser, "FILE.png|FILE.svg", "write a picture to this file (default: show it in the terminal)")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Shows the band, or says what the picture shows and writes it."""
    from benchmate.craft.design import repeats_fault
    from benchmate.craft.drawing import CannotDraw
    from benchmate.design_files.load import load
    from benchmate.draw.description import description
    from benchmate.draw.layout import lay_out
    from benchmate.files.words import quoted, shown

    kind = os.path.splitext(options.output)[1].lower() if options.output is not None else ""
    if options.output is not None and kind not in (".png", ".svg"):
        parser.error(f"-o: {quoted(options.output)} ends neither in .png nor in .svg")
    design = load(options.design).design
    if options.repeats is not None and (fault := repeats_fault(design, options.repeats)) is not None:
        parser.error(f"--repeats: {fault}")
    try:
        layout = lay_out(design, options.repeats)
    except CannotDraw as error:
        print(f"{shown(options.design)}: {error}", file=sys.stderr)
        return BAD_INPUT
    if options.output is None:
        return _show(layout)
    from benchmate.commands.output import deliver

    print(description(layout), file=sys.stderr)
    if kind == ".svg":
        from benchmate.draw.vector import svg

        return deliver(parser, svg(layout), options)
    from benchmate.draw.raster import png

    return deliver(parser, png(layout), options)


def _show(layout: "Layout") -> int:
    """The band in as much of the terminal as there is; all of it where there is none."""
    import shutil

    from benchmate.draw.in_terminal import in_terminal

    on_terminal = sys.stdout.isatty()
    width, height = shutil.get_terminal_size((80, 24))
    colours = on_terminal and not os.environ.get("NO_COLOR")
    lines = in_terminal(layout, width, height - 1 if on_terminal else None, colours=colours)
    print("\n".join(lines))
    return DONE
