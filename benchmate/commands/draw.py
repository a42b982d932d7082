"""`draw`: the finished band, in the terminal or as a picture file."""

import argparse
import os
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, output_options, repeats_option
from benchmate.exit_status import BAD_INPUT, DONE

if TYPE_CHECKING:
    from benchmate.craft.colours.terminal_colours import ColourDepth
    from benchmate.craft.design import Design
    from benchmate.craft.drawing import Layout
    from benchmate.design_files.load import DesignFile

NAME = "draw"
SUMMARY = "draw the finished band in the terminal, or as a PNG or SVG picture"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, and where to write its picture."""
    design_argument(parser)
    repeats_option(parser)
    parser.add_argument("--from-box", action="store_true", help="show it in the nearest threads of your box")
    text = "write a picture to this file, or to standard output for - (default: draw in the terminal)"
    output_options(parser, "FILE.png|FILE.svg", text)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Draws the band in the terminal, or writes the picture and describes it on standard error."""
    from benchmate.craft.colours.terminal_colours import depth_said_by
    from benchmate.craft.design import repeats_fault
    from benchmate.craft.drawing import CannotDraw
    from benchmate.design_files.load import load
    from benchmate.draw.description import description
    from benchmate.draw.layout import lay_out
    from benchmate.files.safe_text import quoted, shown

    kind = _kind_of(options.output) if options.output is not None else ""
    if options.output is not None and kind not in (".png", ".svg"):
        parser.error(f"-o: {quoted(options.output)} must end in .png or .svg")
    file = load(options.design)
    design = file.design
    if options.repeats is not None and (fault := repeats_fault(design, options.repeats)) is not None:
        parser.error(f"--repeats: {fault}")
    design = _with_beginnings(file, options.repeats)
    lines: list[str] = []
    if options.from_box:
        from benchmate.commands.shared.thread.box_text import EMPTY, chosen_lines, threads_in_box
        from benchmate.craft.thread.matching import in_threads, shown_in

        threads = threads_in_box()
        if not threads:
            print(EMPTY, file=sys.stderr)
            return BAD_INPUT
        chosen = in_threads(design, threads)
        design, lines = shown_in(design, chosen), chosen_lines(chosen, design.thread)
    depth = depth_said_by(os.environ)
    if options.output is None and depth is not None:
        design = design.on_screen(depth)
    try:
        layout = lay_out(design, options.repeats)
    except CannotDraw as error:
        print(f"{shown(options.design)}: {error}", file=sys.stderr)
        return BAD_INPUT
    for line in lines:
        print(line, file=sys.stderr)
    if options.output is None:
        return _show(layout, depth)
    from benchmate.commands.shared.output import write_output

    print(description(layout), file=sys.stderr)
    if kind == ".svg":
        from benchmate.draw.vector import svg

        return write_output(parser, svg(layout), options)
    from benchmate.draw.raster import png

    return write_output(parser, png(layout), options)


def _with_beginnings(file: "DesignFile", repeats: int | None) -> "Design":
    """The design, with where its variegated strings begin, by what is known of its thread. Raises StoreError."""
    design = file.design
    if not design.is_variegated:
        return design
    from benchmate.craft.thread.variegated.start_point import begun
    from benchmate.store import places
    from benchmate.thread_gauges import estimate_for

    ends = file.start and file.start.design, file.finish and file.finish.design
    return begun(design, estimate_for(places.home(), design), *ends, repeats)


def _kind_of(output: str) -> str:
    """`.png`, `.svg` or whatever the name ends in; SVG, a text, for standard output and pipes without an ending."""
    from benchmate.commands.shared.output import STANDARD_OUTPUT
    from benchmate.files.pipe_or_device import is_pipe_or_device

    kind = os.path.splitext(output)[1].lower()
    return ".svg" if kind == "" and (output in STANDARD_OUTPUT or is_pipe_or_device(output)) else kind


def _show(layout: "Layout", depth: "ColourDepth | None") -> int:
    """Prints the band as large as the terminal allows; in full where there is no terminal.

    Signs tell the colours apart on a terminal without colours, or with fewer than the band has.
    """
    import shutil

    from benchmate.commands.shared.standard_streams import print_painted
    from benchmate.draw.in_terminal import in_terminal

    on_terminal = sys.stdout.isatty()
    width, height = shutil.get_terminal_size((80, 24))
    told_apart = not any(colour.pattern for colour in layout.colours.values())
    shown = depth if on_terminal and told_apart and not os.environ.get("NO_COLOR") else None
    lines = in_terminal(layout, width, height - 1 if on_terminal else None, depth=shown)
    print_painted("\n".join(lines))
    return DONE
